/* SPDX-License-Identifier: MIT */
/* samples/ against tests/checks/samples.txt: a faulty sample gives exactly the checks listed above
 * NOTICE, a sound one none. */
#include "edit_script.h"

#include "checks/check.h"

static gint
compare_words(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Names of the checks above NOTICE, sorted, each once, joined by spaces. */
static char *
found_in(const char *folder, const char *file)
{
  g_autoptr(Document) document = script_open(folder, file);
  g_autoptr(Inspection) inspection = inspection_new(document);
  assert_null(inspection->error);
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (finding->signal != SIGNAL_NOTICE &&
        !g_ptr_array_find_with_equal_func(names, finding->check, g_str_equal, NULL))
      g_ptr_array_add(names, (gpointer)finding->check);
  }
  g_ptr_array_sort(names, compare_words);
  g_ptr_array_add(names, NULL);
  return g_strjoinv(" ", (char **)names->pdata);
}

static char *
sorted(const char *words)
{
  g_auto(GStrv) list = g_strsplit_set(words, " ", -1);
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (guint i = 0; list[i] != NULL; i++)
    if (*list[i] != '\0') {
      assert_non_null(check_find(list[i]));
      g_ptr_array_add(names, list[i]);
    }
  g_ptr_array_sort(names, compare_words);
  g_ptr_array_add(names, NULL);
  return g_strjoinv(" ", (char **)names->pdata);
}

static char *
root_path(const char *first, const char *second, const char *third)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  return g_build_filename(root != NULL ? root : ".", first, second, third, NULL);
}

static void
test_listed(void **state)
{
  (void)state;
  g_autofree char *path = root_path("tests", "checks", "samples.txt");
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  guint sound = 0, faulty = 0, wrong = 0;
  for (guint i = 0; lines[i] != NULL; i++) {
    char *line = g_strstrip(lines[i]);
    char *colon = strchr(line, ':');
    if (*line == '#' || *line == '\0' || colon == NULL)
      continue;
    *colon = '\0';
    g_autofree char *expected = sorted(colon + 1);
    g_autofree char *found = found_in("samples", line);
    *(*expected != '\0' ? &faulty : &sound) += 1;
    if (strcmp(expected, found) != 0) {
      g_printerr("%s: expected \"%s\", found \"%s\"\n", line, expected, found);
      wrong++;
    }
  }
  assert_int_equal(wrong, 0);
  assert_true(sound >= 6 && faulty >= 6);
}

/* No sample is left out of the list. */
static void
test_complete(void **state)
{
  (void)state;
  g_autofree char *path = root_path("tests", "checks", "samples.txt");
  g_autofree char *folder = root_path("samples", NULL, NULL);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  const char *name;
  while ((name = g_dir_read_name(dir)) != NULL) {
    g_autofree char *entry = g_strdup_printf("\n%s:", name);
    if (g_str_has_suffix(name, ".doorsheet") && strstr(text, entry) == NULL)
      fail_msg("%s is not in samples.txt", name);
  }
}

/* Sound diagrams over every supply class and many ways to wire stay quiet. */
static void
test_sound(void **state)
{
  (void)state;
  static const char *const folders[] = {"sound", "checks"};
  guint seen = 0, wrong = 0;
  for (gsize f = 0; f < G_N_ELEMENTS(folders); f++) {
    g_autofree char *folder = root_path("tests", "data", folders[f]);
    g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
    assert_non_null(dir);
    const char *name;
    while ((name = g_dir_read_name(dir)) != NULL) {
      g_autofree char *place = g_build_filename("tests", "data", folders[f], NULL);
      g_autofree char *found = found_in(place, name);
      if (*found != '\0') {
        g_printerr("%s: found \"%s\"\n", name, found);
        wrong++;
      }
      seen++;
    }
  }
  assert_int_equal(wrong, 0);
  assert_true(seen >= 25);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_listed),
      cmocka_unit_test(test_complete),
      cmocka_unit_test(test_sound),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
