/* SPDX-License-Identifier: MIT */
/* The promise under the window: a process killed between two edits leaves the last one. The
 * children here are real processes ended by SIGKILL. */
#include "keep.h"
#include "keep/recovery.h"

#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

static void
place(Document *document, guint n)
{
  const PartKind *lamp = part_catalog_find(document_catalog(document), "lamp");
  for (guint i = 0; i < n; i++) {
    guint at = document_device_count(document);
    Point where = {5.0 * (at % 100), 5.0 * (at / 100)};
    assert_true(document_apply(document, edit_place(document, lamp, where, NULL), NULL));
  }
}

/* A child that makes edits, telling the number of each through a pipe only after it is kept, until
 * it is killed. */
static void
edit_until_killed(guint first, int tell)
{
  g_autoptr(Document) document = document_new(parts_catalog());
  Recovery *recovery = recovery_new(NULL, NULL);
  place(document, first);
  for (guint n = first;; n++) {
    recovery_keep(recovery, document, "/greenhouse/pump.doorsheet", "abc", "pump.doorsheet");
    if (write(tell, &n, sizeof n) != sizeof n)
      _exit(2);
    place(document, 1);
  }
}

static guint
kill_after(guint first, guint edits)
{
  int pipe_ends[2];
  assert_int_equal(pipe(pipe_ends), 0);
  pid_t child = fork();
  if (child == 0) {
    close(pipe_ends[0]);
    edit_until_killed(first, pipe_ends[1]);
  }
  close(pipe_ends[1]);
  guint seen = 0, last = 0;
  for (guint i = 0; i < edits; i++) {
    assert_int_equal(read(pipe_ends[0], &seen, sizeof seen), sizeof seen);
    last = seen;
  }
  assert_int_equal(kill(child, SIGKILL), 0);
  while (read(pipe_ends[0], &seen, sizeof seen) == sizeof seen)
    last = seen; /* told before it died */
  close(pipe_ends[0]);
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_true(WIFSIGNALED(status));
  return last;
}

static void
expect_none(void)
{
  g_autoptr(GPtrArray) offers = recovery_offers();
  assert_int_equal(offers->len, 0);
}

static void
a_killed_process_leaves_its_last_edit(void **state)
{
  (void)state;
  for (guint edits = 1; edits <= 60; edits++) {
    guint last = kill_after(1, edits);
    g_autoptr(GPtrArray) offers = recovery_offers();
    assert_int_equal(offers->len, 1);
    RecoveryOffer *offer = offers->pdata[0];
    assert_string_equal(offer->path, "/greenhouse/pump.doorsheet");
    assert_string_equal(offer->digest, "abc");
    assert_string_equal(offer->name, "pump.doorsheet");
    g_autoptr(GError) error = NULL;
    g_autoptr(Document) document = document_read(offer->file, parts_catalog(), &error);
    if (document == NULL)
      fail_msg("%s", error->message);
    /* What was told as kept is there; one more edit may have been kept and not told. */
    assert_in_range(document_device_count(document), last, last + 1);
    recovery_offer_discard(offer);
  }
  expect_none();
}

static void
a_living_window_is_not_offered(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  Recovery *recovery = recovery_new(NULL, NULL);
  assert_null(recovery_get_file(recovery));
  place(document, 3);
  recovery_keep(recovery, document, NULL, NULL, "New sheet");
  g_autofree char *file = g_strdup(recovery_get_file(recovery));
  assert_true(g_file_test(file, G_FILE_TEST_IS_REGULAR));
  expect_none();
  pid_t child = fork(); /* another process sees the lock as well */
  if (child == 0) {
    g_autoptr(GPtrArray) offers = recovery_offers();
    _exit((int)offers->len);
  }
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_int_equal(WEXITSTATUS(status), 0);
  recovery_clear(recovery);
  assert_false(g_file_test(file, G_FILE_TEST_EXISTS));
  recovery_keep(recovery, document, NULL, NULL, "New sheet");
  assert_string_not_equal(recovery_get_file(recovery), file);
  recovery_free(recovery); /* closed on purpose: nothing is left */
  g_autofree char *folder = g_path_get_dirname(file);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_null(g_dir_read_name(dir));
}

static void
an_offer_is_made_to_one_only(void **state)
{
  (void)state;
  kill_after(2, 2);
  g_autoptr(GPtrArray) mine = recovery_offers();
  assert_int_equal(mine->len, 1);
  expect_none();
  g_clear_pointer(&mine, g_ptr_array_unref); /* undecided: offered again */
  mine = recovery_offers();
  assert_int_equal(mine->len, 1);
  recovery_offer_discard(mine->pdata[0]);
  g_clear_pointer(&mine, g_ptr_array_unref);
  expect_none();
}

static void
a_large_sheet_is_kept_by_the_worker(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  Recovery *recovery = recovery_new(NULL, NULL);
  place(document, RECOVERY_INLINE + 1);
  gint64 since = g_get_monotonic_time();
  for (guint i = 0; i < 20; i++) { /* edits faster than the disk: the newest wins */
    place(document, 1);
    recovery_keep(recovery, document, NULL, NULL, "Large");
  }
  bool kept = false;
  while (!kept && g_get_monotonic_time() - since < 120 * G_USEC_PER_SEC) {
    g_main_context_iteration(NULL, FALSE);
    g_autoptr(Document) read = document_read(recovery_get_file(recovery), parts_catalog(), NULL);
    kept = read != NULL && document_equal(read, document);
    g_usleep(1000);
  }
  assert_true(kept);
  print_message("newest edit of %u devices kept after %.0f ms\n", document_device_count(document),
                (double)(g_get_monotonic_time() - since) / 1000);
  /* Back below the limit while the worker may be at work: the small one must win. */
  g_autoptr(Document) small = document_new(parts_catalog());
  place(document, 1);
  recovery_keep(recovery, document, NULL, NULL, "Large");
  place(small, 1);
  recovery_keep(recovery, small, NULL, NULL, "Small");
  recovery_settle(recovery);
  g_autoptr(Document) read = document_read(recovery_get_file(recovery), parts_catalog(), NULL);
  assert_non_null(read);
  assert_true(document_equal(read, small));
  recovery_free(recovery);
  while (g_main_context_iteration(NULL, FALSE))
    ;
  expect_none();
}

static int failures;

static void
on_failed(const GError *error, gpointer data)
{
  (void)data;
  assert_non_null(error->message);
  failures++;
}

/* A full disk, by the limit on file sizes: told once, the older state stays readable. */
static void
a_full_disk_is_told_once(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  Recovery *recovery = recovery_new(on_failed, NULL);
  place(document, 1);
  recovery_keep(recovery, document, NULL, NULL, "Full");
  recovery_settle(recovery);
  g_autoptr(Document) before = document_snapshot(document);
  struct rlimit old, tight;
  assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
  tight = (struct rlimit){.rlim_cur = 300, .rlim_max = old.rlim_max};
  signal(SIGXFSZ, SIG_IGN);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
  for (int i = 0; i < 3; i++) {
    place(document, 5);
    recovery_keep(recovery, document, NULL, NULL, "Full");
  }
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &old), 0);
  assert_int_equal(failures, 1);
  g_autoptr(Document) read = document_read(recovery_get_file(recovery), parts_catalog(), NULL);
  assert_non_null(read);
  assert_true(document_equal(read, before));
  recovery_keep(recovery, document, NULL, NULL, "Full"); /* there is room again */
  recovery_settle(recovery);
  g_autoptr(Document) now = document_read(recovery_get_file(recovery), parts_catalog(), NULL);
  assert_true(document_equal(now, document));
  recovery_free(recovery);
  while (g_main_context_iteration(NULL, FALSE))
    ;
}

int
main(void)
{
  keep_home();
  const struct CMUnitTest tests[] = {
      /* First: it forks, before any thread is there. */
      cmocka_unit_test(a_killed_process_leaves_its_last_edit),
      cmocka_unit_test(an_offer_is_made_to_one_only),
      cmocka_unit_test(a_living_window_is_not_offered),
      cmocka_unit_test(a_large_sheet_is_kept_by_the_worker),
      cmocka_unit_test(a_full_disk_is_told_once),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  keep_home_remove();
  return failed;
}
