/* SPDX-License-Identifier: MIT */
/* A large sheet is solved beside the main loop: every solve runs in another thread, the loop goes
 * on being served meanwhile, and the newest edit wins. The linker's --wrap puts this file in front
 * of session_result_new. Times are printed, not asserted: the machine may be busy. */
#include "drive.h"

#include "../bench/greenhouse_rows.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"
#include <glib/gstdio.h>

#define DEVICES 2000
#define EDITS 12

static GtkApplication *application;
static GThread *main_thread;
static int solves, solves_in_main, solving; /* atomic */

SessionResult *__real_session_result_new(const Document *document); /* the linker's names */
SessionResult *__wrap_session_result_new(const Document *document);

SessionResult *
__wrap_session_result_new(const Document *document)
{
  bool large = document_device_count(document) >= DEVICES / 2;
  g_atomic_int_add(&solves, large);
  g_atomic_int_add(&solves_in_main, large && g_thread_self() == main_thread);
  g_atomic_int_add(&solving, large);
  SessionResult *result = __real_session_result_new(document);
  g_atomic_int_add(&solving, -(int)large);
  return result;
}

typedef struct {
  gint64 last;
  double longest; /* ms between two beats */
  guint beats, beside;
} Heart;

static gboolean
beat(gpointer data)
{
  Heart *heart = data;
  gint64 now = g_get_monotonic_time();
  if (heart->last != 0)
    heart->longest = MAX(heart->longest, (double)(now - heart->last) / 1000);
  heart->last = now;
  heart->beats++;
  heart->beside += g_atomic_int_get(&solving) > 0;
  return G_SOURCE_CONTINUE;
}

static char *
make_file(void)
{
  g_autoptr(Document) document = greenhouse_rows(parts_catalog(), DEVICES);
  char *path = NULL;
  int fd = g_file_open_tmp("beside-XXXXXX.doorsheet", &path, NULL);
  assert_true(fd >= 0 && g_close(fd, NULL) && document_save(document, path, NULL));
  return path;
}

static void
wait_for_result(Session *session)
{
  gint64 end = g_get_monotonic_time() + 120 * G_USEC_PER_SEC;
  while (!session_is_fresh(session) && g_get_monotonic_time() < end)
    g_main_context_iteration(NULL, TRUE);
  assert_true(session_is_fresh(session));
}

static void
edit_once(Session *session, guint number)
{
  const Document *document = session_get_document(session);
  const char *id = document_device(document, number * 7)->id;
  const char *const ids[] = {id, NULL};
  assert_true(session_edit(session, edit_move(document, ids, (Point){2.5, 0}), NULL));
  assert_false(session_is_fresh(session)); /* nothing was solved on the way */
}

static void
edits_never_wait_for_a_solve(void **state)
{
  (void)state;
  g_autofree char *path = make_file();
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  Heart heart = {0};
  guint source = g_timeout_add(2, beat, &heart);
  window_open(window, path);
  wait_for_result(session);
  int before = g_atomic_int_get(&solves);
  heart.last = 0;
  heart.longest = 0;
  for (guint i = 0; i < EDITS; i++) {
    edit_once(session, i);
    for (int turn = 0; turn < 20; turn++)
      g_main_context_iteration(NULL, FALSE);
  }
  wait_for_result(session);
  g_source_remove(source);
  const SessionResult *result = session_get_result(session);
  assert_true(document_equal(result->inspection->document, session_get_document(session)));
  assert_int_equal(g_atomic_int_get(&solves_in_main), 0);
  assert_true(g_atomic_int_get(&solves) > before);
  assert_true(g_atomic_int_get(&solves) <= before + EDITS);
  assert_true(heart.beside > 0); /* the loop was served while a solve was running */
  print_message(
      "%u beats, %u of them during a solve; %d solves for %d edits of %d devices; longest "
      "time between beats %.0f ms\n",
      heart.beats, heart.beside, g_atomic_int_get(&solves) - before, EDITS, DEVICES, heart.longest);
  drive_close(window);
  g_remove(path);
}

int
main(void)
{
  main_thread = g_thread_self();
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(edits_never_wait_for_a_solve),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
