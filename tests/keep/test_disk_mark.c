/* SPDX-License-Identifier: MIT */
#include "keep.h"
#include "keep/disk_mark.h"

#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utime.h>

static void
contents_count_not_times(void **state)
{
  (void)state;
  g_autofree char *path = keep_path("a.doorsheet");
  keep_write(path, "one");
  g_autoptr(DiskMark) mark = disk_mark_new(path);
  assert_int_equal(disk_mark_compare(mark), DISK_SAME);
  /* SHA-256 of "abc": FIPS 180-4 example. */
  g_autoptr(GBytes) abc = g_bytes_new_static("abc", 3);
  g_autoptr(DiskMark) known = disk_mark_new_for_bytes(path, abc);
  assert_string_equal(disk_mark_get_digest(known),
                      "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  struct utimbuf then = {1000, 1000};
  assert_int_equal(utime(path, &then), 0);
  assert_int_equal(disk_mark_compare(mark), DISK_SAME);
  keep_write(path, "two"); /* same size */
  assert_int_equal(utime(path, &then), 0);
  assert_int_equal(disk_mark_compare(mark), DISK_CHANGED);
  keep_write(path, "one");
  assert_int_equal(disk_mark_compare(mark), DISK_SAME);
  g_remove(path);
  assert_int_equal(disk_mark_compare(mark), DISK_GONE);
  assert_int_equal(g_mkdir(path, 0700), 0);
  assert_int_equal(disk_mark_compare(mark), DISK_CHANGED);
  g_rmdir(path);
  g_autoptr(DiskMark) none = disk_mark_new(path);
  assert_int_equal(disk_mark_compare(none), DISK_SAME); /* there was none, there is none */
  keep_write(path, "");
  assert_int_equal(disk_mark_compare(none), DISK_CHANGED);
  g_remove(path);
}

static void
a_digest_is_remembered(void **state)
{
  (void)state;
  g_autofree char *path = keep_path("b.doorsheet");
  keep_write(path, "contents");
  g_autoptr(DiskMark) mark = disk_mark_new(path);
  g_autoptr(DiskMark) again = disk_mark_new_for_digest(path, disk_mark_get_digest(mark));
  assert_int_equal(disk_mark_compare(again), DISK_SAME);
  g_autoptr(DiskMark) never = disk_mark_new_for_digest(path, NULL);
  assert_int_equal(disk_mark_compare(never), DISK_CHANGED);
  g_remove(path);
}

static void
protection_is_seen(void **state)
{
  (void)state;
  g_autofree char *folder = keep_path("locked");
  g_autofree char *path = g_build_filename(folder, "c.doorsheet", NULL);
  g_autofree char *link = keep_path("link.doorsheet");
  keep_write(path, "c");
  assert_int_equal(symlink(path, link), 0);
  assert_false(disk_is_read_only(path));
  assert_false(disk_is_read_only(link));
  assert_int_equal(g_chmod(path, 0444), 0);
  assert_true(disk_is_read_only(path));
  assert_true(disk_is_read_only(link));
  assert_int_equal(g_chmod(path, 0644), 0);
  assert_int_equal(g_chmod(folder, 0555), 0);
  assert_true(disk_is_read_only(path)); /* saving makes a new file beside it */
  assert_true(disk_is_read_only(link));
  g_autofree char *fresh = g_build_filename(folder, "new.doorsheet", NULL);
  assert_true(disk_is_read_only(fresh));
  assert_int_equal(g_chmod(folder, 0755), 0);
  assert_false(disk_is_read_only(fresh));
  g_remove(link);
}

static void
one_file_by_many_names(void **state)
{
  (void)state;
  g_autofree char *path = keep_path("d.doorsheet");
  g_autofree char *round = keep_path("locked/../d.doorsheet");
  g_autofree char *link = keep_path("d-link");
  g_autofree char *other = keep_path("e.doorsheet");
  keep_write(path, "d");
  keep_write(other, "d");
  assert_int_equal(symlink(path, link), 0);
  assert_true(disk_is_same_file(path, round));
  assert_true(disk_is_same_file(path, link));
  assert_false(disk_is_same_file(path, other));
  g_remove(path);
  assert_true(disk_is_same_file(path, round));
  assert_false(disk_is_same_file(path, other));
}

int
main(void)
{
  keep_home();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(contents_count_not_times),
      cmocka_unit_test(a_digest_is_remembered),
      cmocka_unit_test(protection_is_seen),
      cmocka_unit_test(one_file_by_many_names),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  keep_home_remove();
  return failed;
}
