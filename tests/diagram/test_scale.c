/* SPDX-License-Identifier: MIT */
/* Work grows with the sheet and not with its square: four times the devices may take up to ten
 * times as long (a square would take sixteen). Both sizes lie beyond the processor's cache, where
 * every step costs the same; the best of a few runs is taken, in processor time of this program. */
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "small_catalog.h"

#include <time.h>

enum { PLACE, LAND, WRITE, READ, UNDO, REDO, SNAPSHOT_EDIT, DELETE_ALL, STEP_COUNT };
static const char *const step_names[] = {"place", "land", "write",         "read",
                                         "undo",  "redo", "edit a shared", "delete all"};

static void
must(Document *document, Change *change)
{
  g_autoptr(GError) error = NULL;
  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error != NULL ? error->message : "no change");
}

/* Of this program alone, in microseconds. */
static gint64
cpu_time(void)
{
  struct timespec now;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return (gint64)now.tv_sec * G_USEC_PER_SEC + now.tv_nsec / 1000;
}

static void
lap(gint64 *start, double *seconds)
{
  gint64 now = cpu_time();
  *seconds = MIN(*seconds, (double)(now - *start) / 1e6);
  *start = cpu_time();
}

static void
build(Document *document, guint n, double *seconds)
{
  gint64 start = cpu_time();
  for (guint i = 0; i < n; i++)
    must(document, edit_place(document, i % 4 == 0 ? &bank_kind : &contact_kind,
                              (Point){i % 100 * 20.0, i / 100 * 20.0}, NULL));
  lap(&start, &seconds[PLACE]);
  for (guint i = 0; i + 1 < n; i++) {
    const Device *a = document_device(document, i), *b = document_device(document, i + 1);
    Landing from = {a->id, (char *)(guintptr)device_terminal(a, 1)->name};
    Landing to = {b->id, (char *)(guintptr)device_terminal(b, 0)->name};
    must(document, edit_land(document, &from, &to, NULL));
  }
  lap(&start, &seconds[LAND]);
}

static void
measure(guint n, double *seconds)
{
  g_autoptr(Document) document = document_new(small_catalog);
  build(document, n, seconds);
  gint64 start = cpu_time();
  g_autoptr(GBytes) bytes = document_write_memory(document);
  lap(&start, &seconds[WRITE]);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autoptr(Document) read = document_read_memory(data, size, "scale", small_catalog, NULL);
  lap(&start, &seconds[READ]);
  assert_true(read != NULL && document_equal(document, read));
  start = cpu_time();
  while (document_can_undo(document))
    document_undo(document);
  lap(&start, &seconds[UNDO]);
  while (document_can_redo(document))
    document_redo(document);
  lap(&start, &seconds[REDO]);
  assert_true(document_equal(document, read));
  start = cpu_time();
  g_autoptr(Document) snapshot = document_snapshot(document);
  const char *one[] = {document_device(document, n / 2)->id, NULL};
  must(document, edit_move(document, one, (Point){10, 10}));
  lap(&start, &seconds[SNAPSHOT_EDIT]);
  assert_true(document_equal(snapshot, read));
  g_autoptr(GPtrArray) ids = g_ptr_array_new();
  for (guint i = 0; i < n; i++)
    g_ptr_array_add(ids, document_device(document, i)->id);
  g_ptr_array_add(ids, NULL);
  must(document, edit_delete(document, (const char *const *)ids->pdata, NULL, 0));
  assert_int_equal(document_device_count(document), 0);
  lap(&start, &seconds[DELETE_ALL]);
}

static void
test_near_linear(void **state)
{
  (void)state;
  double small[STEP_COUNT], large[STEP_COUNT];
  for (guint i = 0; i < STEP_COUNT; i++)
    small[i] = large[i] = 1e9;
  for (int run = 0; run < 3; run++)
    measure(10000, small);
  for (int run = 0; run < 3; run++)
    measure(40000, large);
  for (guint i = 0; i < STEP_COUNT; i++) {
    print_message("%-14s 10 000: %8.3f ms   40 000: %8.3f ms\n", step_names[i], small[i] * 1e3,
                  large[i] * 1e3);
    if (large[i] > 10 * small[i] + 0.010)
      fail_msg("%s grows faster than the sheet", step_names[i]);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_near_linear),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
