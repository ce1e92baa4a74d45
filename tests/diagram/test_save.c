/* SPDX-License-Identifier: MIT */
/* Saving never harms what was there before. */
#include "diagram/document_file.h"
#include "small_catalog.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <sched.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char *folder;

static int
set_up(void **state)
{
  (void)state;
  folder = g_dir_make_tmp("doorsheet-save-XXXXXX", NULL);
  return folder == NULL;
}

static void
remove_all(const char *path)
{
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
    g_autofree char *inner = g_build_filename(path, name, NULL);
    if (g_file_test(inner, G_FILE_TEST_IS_DIR) && !g_file_test(inner, G_FILE_TEST_IS_SYMLINK))
      remove_all(inner);
    else
      g_unlink(inner);
  }
  g_rmdir(path);
}

static int
tear_down(void **state)
{
  (void)state;
  remove_all(folder);
  g_clear_pointer(&folder, g_free);
  return 0;
}

static char *
in_folder(const char *name)
{
  return g_build_filename(folder, name, NULL);
}

static guint
count_files(const char *path)
{
  guint n = 0;
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  while (g_dir_read_name(dir) != NULL)
    n++;
  return n;
}

static Document *
sheet(const char *title)
{
  Document *document = document_new(small_catalog);
  g_autoptr(SheetData) data = sheet_data_copy(document_sheet(document));
  assert_true(
      value_set_text(&data->values[SHEET_TITLE], &sheet_data_fields[SHEET_TITLE], title, NULL));
  Change *change = change_new("Title");
  change_sheet(change, document_sheet(document), data);
  assert_true(document_apply(document, change, NULL));
  return document;
}

static void
assert_title(const char *path, const char *title)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = document_read(path, small_catalog, &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  assert_string_equal(document_sheet(document)->values[SHEET_TITLE].text, title);
}

static void
save(const char *path, const char *title)
{
  g_autoptr(Document) document = sheet(title);
  g_autoptr(GError) error = NULL;
  if (!document_save(document, path, &error))
    fail_msg("%s", error->message);
}

static mode_t
mode_of(const char *path)
{
  struct stat info;
  assert_int_equal(stat(path, &info), 0);
  return info.st_mode & 07777;
}

static void
test_new_and_again(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("a.doorsheet");
  mode_t old = umask(027);
  save(path, "one");
  umask(old);
  assert_int_equal(mode_of(path), 0640); /* as any new file */
  assert_title(path, "one");
  assert_int_equal(chmod(path, 0604), 0);
  save(path, "two");
  assert_int_equal(mode_of(path), 0604); /* kept */
  assert_title(path, "two");
  assert_int_equal(count_files(folder), 1); /* nothing left lying about */
}

static void
test_bare_name(void **state)
{
  (void)state;
  g_autofree char *here = g_get_current_dir();
  assert_int_equal(g_chdir(folder), 0);
  save("plain.doorsheet", "plain");
  assert_title("plain.doorsheet", "plain");
  assert_int_equal(g_chdir(here), 0);
}

static void
test_symbolic_links(void **state)
{
  (void)state;
  g_autofree char *inner = in_folder("inner");
  g_autofree char *target = in_folder("inner/real.doorsheet");
  g_autofree char *link = in_folder("link.doorsheet");
  g_autofree char *second = in_folder("second.doorsheet");
  assert_int_equal(g_mkdir(inner, 0755), 0);
  assert_int_equal(symlink("inner/real.doorsheet", link), 0);
  assert_int_equal(symlink(link, second), 0);
  save(second, "through a link that leads nowhere yet");
  assert_title(target, "through a link that leads nowhere yet");
  save(link, "again");
  assert_title(target, "again");
  assert_true(g_file_test(link, G_FILE_TEST_IS_SYMLINK));
  assert_true(g_file_test(second, G_FILE_TEST_IS_SYMLINK));
  assert_int_equal(count_files(inner), 1);

  g_autofree char *loop = in_folder("loop");
  assert_int_equal(symlink("loop", loop), 0);
  g_autoptr(GError) error = NULL;
  assert_false(file_write_atomic(loop, "x", 1, &error));
  assert_true(g_error_matches(error, FILE_ERROR, FILE_ERROR_WRITE));
}

static void
test_refused_places(void **state)
{
  (void)state;
  g_autofree char *nowhere = in_folder("no/such/folder.doorsheet");
  g_autofree char *is_folder = in_folder("folder.doorsheet");
  assert_int_equal(g_mkdir(is_folder, 0755), 0);
  const char *paths[] = {nowhere, is_folder, "/dev/full", "/proc/cannot.doorsheet"};
  g_autoptr(Document) document = sheet("x");
  for (guint i = 0; i < G_N_ELEMENTS(paths); i++) {
    g_autoptr(GError) error = NULL;
    assert_false(document_save(document, paths[i], &error));
    assert_true(g_error_matches(error, FILE_ERROR, FILE_ERROR_WRITE));
    assert_true(g_str_has_prefix(error->message, paths[i]));
    assert_non_null(strstr(error->message, "untouched"));
  }
  assert_int_equal(count_files(is_folder), 0);
}

/* A file somebody protected is not replaced behind the protection's back. The superuser may write
 * everywhere, so a child gives that up first. */
static void
test_protected(void **state)
{
  (void)state;
  const uid_t nobody = 65534;
  g_autofree char *path = in_folder("a.doorsheet");
  save(path, "one");
  assert_int_equal(chmod(path, 0444), 0);
  if (geteuid() == 0) {
    assert_int_equal(chown(path, nobody, (gid_t)-1), 0);
    assert_int_equal(chown(folder, nobody, (gid_t)-1), 0);
  }
  fflush(NULL);
  pid_t child = fork();
  if (child == 0) {
    if (geteuid() == 0 && setuid(nobody) != 0)
      _exit(2);
    g_autoptr(GError) error = NULL;
    bool saved = file_write_atomic(path, "two", 3, &error);
    _exit(saved ? 3 : g_error_matches(error, FILE_ERROR, FILE_ERROR_WRITE) ? 0 : 4);
  }
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_int_equal(status, 0);
  assert_title(path, "one");
}

/* Runs the saving of a large text in a child; returns its exit code: 0 saved, 1 refused. */
static int
in_child(const char *path, bool (*prepare)(const char *path))
{
  fflush(NULL);
  pid_t child = fork();
  if (child == 0) {
    if (!prepare(path))
      _exit(77);
    g_autofree char *large = g_malloc0(4u << 20);
    memset(large, 'x', 4u << 20);
    g_autoptr(GError) error = NULL;
    bool saved = file_write_atomic(path, large, 4u << 20, &error);
    if (!saved && !g_error_matches(error, FILE_ERROR, FILE_ERROR_WRITE))
      _exit(3);
    g_autofree char *left = g_path_get_dirname(path);
    if (!saved && count_files(left) != 1)
      _exit(4); /* the temporary file stayed */
    g_autofree char *now = NULL;
    if (!saved && (!g_file_get_contents(path, &now, NULL, NULL) || strcmp(now, "old") != 0))
      _exit(5);
    _exit(saved ? 0 : 1);
  }
  int status;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_true(WIFEXITED(status));
  return WEXITSTATUS(status);
}

static bool
prepare_limit(const char *path)
{
  struct rlimit limit = {1u << 20, 1u << 20};
  signal(SIGXFSZ, SIG_IGN); /* the write then fails with EFBIG */
  return g_file_set_contents(path, "old", -1, NULL) && setrlimit(RLIMIT_FSIZE, &limit) == 0;
}

static void
test_file_size_limit(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("a.doorsheet");
  assert_int_equal(in_child(path, prepare_limit), 1);
}

/* A real full disk: a small memory file system, mounted in a name space of the child's own. */
static bool
prepare_full_disk(const char *path)
{
  g_autofree char *place = g_path_get_dirname(path);
  return unshare(CLONE_NEWNS) == 0 && mount(NULL, "/", NULL, MS_REC | MS_PRIVATE, NULL) == 0 &&
         mount("doorsheet-test", place, "tmpfs", 0, "size=1m") == 0 &&
         g_file_set_contents(path, "old", -1, NULL);
}

static void
test_full_disk(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("a.doorsheet");
  int result = in_child(path, prepare_full_disk);
  if (result == 77) {
    print_message("skipped: no permission to mount a small file system\n");
    skip();
  }
  assert_int_equal(result, 1);
}

/* Killed at any moment, the file is the old one or the new one, whole. */
static void
test_killed(void **state)
{
  (void)state;
  g_autofree char *path = in_folder("a.doorsheet");
  gsize size = 1u << 20;
  g_autofree char *text = g_malloc(size);
  memset(text, 'a', size);
  assert_true(file_write_atomic(path, text, size, NULL));
  g_autoptr(GRand) dice = g_rand_new_with_seed(7);
  for (int round = 0; round < 25; round++) {
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
      for (guint i = 0;; i++) {
        memset(text, 'a' + (int)(i % 26), size);
        if (!file_write_atomic(path, text, size, NULL))
          _exit(1);
      }
    }
    g_usleep((gulong)g_rand_int_range(dice, 500, 20000));
    kill(child, SIGKILL);
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status));
    g_autofree char *now = NULL;
    gsize length;
    assert_true(g_file_get_contents(path, &now, &length, NULL));
    assert_int_equal(length, size);
    for (gsize i = 1; i < size; i++)
      if (now[i] != now[0])
        fail_msg("round %d: two writings mixed at byte %zu", round, i);
  }
}

#define WITH(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)
int
main(void)
{
  const struct CMUnitTest tests[] = {
      WITH(test_new_and_again),  WITH(test_bare_name), WITH(test_symbolic_links),
      WITH(test_refused_places), WITH(test_protected), WITH(test_file_size_limit),
      WITH(test_full_disk),      WITH(test_killed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
