/* SPDX-License-Identifier: MIT */
#include "keep.h"

#include <glib/gstdio.h>
#include <stdbool.h>

static char *home;

const char *
keep_home(void)
{
  if (home == NULL) {
    home = g_dir_make_tmp("doorsheet-keep-XXXXXX", NULL);
    assert_non_null(home);
    static const char *const names[] = {"XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"};
    for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
      g_autofree char *folder = keep_path(names[i]);
      g_setenv(names[i], folder, TRUE);
    }
  }
  return home;
}

static void
remove_below(const char *path)
{
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
    g_autofree char *child = g_build_filename(path, name, NULL);
    bool folder =
        g_file_test(child, G_FILE_TEST_IS_DIR) && !g_file_test(child, G_FILE_TEST_IS_SYMLINK);
    if (folder) {
      g_chmod(child, 0700);
      remove_below(child);
    }
    g_remove(child);
  }
}

void
keep_home_remove(void)
{
  remove_below(home);
  g_rmdir(home);
  g_clear_pointer(&home, g_free);
}

char *
keep_path(const char *name)
{
  return g_build_filename(home, name, NULL);
}

void
keep_write(const char *path, const char *text)
{
  g_autofree char *folder = g_path_get_dirname(path);
  assert_int_equal(g_mkdir_with_parents(folder, 0700), 0);
  assert_true(g_file_set_contents(path, text, -1, NULL));
}

char *
keep_read(const char *path)
{
  char *text = NULL;
  g_file_get_contents(path, &text, NULL, NULL);
  return text;
}
