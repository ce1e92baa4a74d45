/* SPDX-License-Identifier: MIT */
#include "base/language.h"
#include "keep.h"
#include "keep/preferences.h"

#include <glib/gstdio.h>
#include <string.h>

static int
fresh(void **state)
{
  (void)state;
  g_autofree char *path = preferences_dup_path();
  g_remove(path);
  preferences_reload();
  return 0;
}

static void
nothing_stored_means_initial(void **state)
{
  (void)state;
  for (Preference p = 0; p < PREFERENCE_COUNT; p++)
    assert_string_equal(preference_text(p), preference_spec(p)->initial);
  g_autofree char *path = preferences_dup_path();
  assert_true(g_str_has_suffix(path, "doorsheet/preferences.ini"));
  assert_false(g_file_test(path, G_FILE_TEST_EXISTS)); /* asking writes nothing */
}

static void
what_is_set_is_read_again(void **state)
{
  (void)state;
  static const char *const texts[PREFERENCE_COUNT] = {
      [PREFERENCE_THEME] = "contrast", [PREFERENCE_MOTION] = "reduced",
      [PREFERENCE_LANGUAGE] = "es",    [PREFERENCE_GRID] = "no",
      [PREFERENCE_COLOURS] = "no",     [PREFERENCE_LARGE] = "250",
      [PREFERENCE_UNITS] = "metric",   [PREFERENCE_SHEET_LANGUAGE] = "en-es",
      [PREFERENCE_EDITION] = "2020",   [PREFERENCE_AUTHOR] = "J. \"Jo\" \303\205kesson; = [x] \\n"};
  for (Preference p = 0; p < PREFERENCE_COUNT; p++)
    assert_true(preference_set(p, texts[p], NULL));
  preferences_reload();
  for (Preference p = 0; p < PREFERENCE_COUNT; p++)
    assert_string_equal(preference_text(p), texts[p]);
  assert_false(preference_on(PREFERENCE_GRID));
  assert_int_equal(preference_number(PREFERENCE_LARGE), 250);
}

static void
bad_words_are_refused_and_overlooked(void **state)
{
  (void)state;
  static const struct {
    Preference preference;
    const char *text;
  } bad[] = {{PREFERENCE_THEME, "purple"},
             {PREFERENCE_LANGUAGE, "tlh"},
             {PREFERENCE_SHEET_LANGUAGE, "es-en"},
             {PREFERENCE_GRID, "true"},
             {PREFERENCE_LARGE, "9"},
             {PREFERENCE_LARGE, "60.5"},
             {PREFERENCE_LARGE, "many"},
             {PREFERENCE_EDITION, "1999"},
             {PREFERENCE_AUTHOR, "a\nb"},
             {PREFERENCE_AUTHOR, "\377"}};
  for (guint i = 0; i < G_N_ELEMENTS(bad); i++) {
    g_autoptr(GError) error = NULL;
    assert_false(preference_set(bad[i].preference, bad[i].text, &error));
    assert_non_null(error);
    assert_non_null(strstr(error->message, preference_spec(bad[i].preference)->title));
    assert_string_equal(preference_text(bad[i].preference),
                        preference_spec(bad[i].preference)->initial);
  }
  g_autofree char *path = preferences_dup_path();
  keep_write(path,
             "[Window]\ntheme=purple\nlarge-sheet=70\ngrid=\n\377\n[New sheets]\nunits=leagues\n");
  preferences_reload();
  assert_string_equal(preference_text(PREFERENCE_THEME), "system");
  assert_string_equal(preference_text(PREFERENCE_UNITS), "imperial");
}

static void
other_keys_stay(void **state)
{
  (void)state;
  g_autofree char *path = preferences_dup_path();
  keep_write(path, "# mine\n[Window]\ntheme=dark\n[Later]\nunknown=7\n");
  preferences_reload();
  assert_string_equal(preference_text(PREFERENCE_THEME), "dark");
  assert_true(preference_set(PREFERENCE_GRID, "no", NULL));
  g_autofree char *text = keep_read(path);
  assert_non_null(strstr(text, "unknown=7"));
  assert_non_null(strstr(text, "# mine"));
  assert_non_null(strstr(text, "theme=dark"));
}

static Preference heard;
static int times;

static void
on_change(Preference preference, gpointer data)
{
  heard = preference;
  times++;
  if (data != NULL)
    preferences_unlisten(*(guint *)data);
}

static void
listeners_hear_changes_only(void **state)
{
  (void)state;
  times = 0;
  guint once = 0;
  once = preferences_listen(on_change, &once);
  guint always = preferences_listen(on_change, NULL);
  assert_true(preference_set(PREFERENCE_UNITS, "metric", NULL));
  assert_int_equal(times, 2);
  assert_int_equal(heard, PREFERENCE_UNITS);
  assert_true(preference_set(PREFERENCE_UNITS, "metric", NULL));
  assert_int_equal(times, 2); /* no change */
  assert_true(preference_set(PREFERENCE_UNITS, "imperial", NULL));
  assert_int_equal(times, 3); /* the first one left while it was called */
  preferences_unlisten(always);
  assert_true(preference_set(PREFERENCE_UNITS, "metric", NULL));
  assert_int_equal(times, 3);
}

/* The file cannot be written: the value holds, and somebody is told. */
static void
a_failed_write_is_told(void **state)
{
  (void)state;
  g_autofree char *path = preferences_dup_path();
  assert_int_equal(g_mkdir_with_parents(path, 0700), 0); /* a folder where the file should be */
  g_autoptr(GError) error = NULL;
  assert_false(preference_set(PREFERENCE_THEME, "dark", &error));
  assert_non_null(error);
  assert_string_equal(preference_text(PREFERENCE_THEME), "dark");
  g_rmdir(path);
}

static void
new_sheets_start_with_them(void **state)
{
  (void)state;
  const int fields[] = {SHEET_UNITS, SHEET_CODE_EDITION};
  const Preference preferences[] = {PREFERENCE_UNITS, PREFERENCE_EDITION};
  g_autoptr(SheetData) plain = sheet_data_new();
  for (guint i = 0; i < 2; i++) {
    const PreferenceSpec *spec = preference_spec(preferences[i]);
    /* Every word the sheet knows can be preferred, and no other. */
    guint n = g_strv_length((char **)sheet_data_fields[fields[i]].choices);
    assert_int_equal(g_strv_length((char **)spec->words), n);
    for (guint w = 0; w < n; w++) {
      assert_string_equal(spec->words[w], sheet_data_fields[fields[i]].choices[w]);
      assert_true(preference_set(preferences[i], spec->words[w], NULL));
      g_autoptr(SheetData) data = preferences_new_sheet_data(plain);
      g_autofree char *text =
          value_dup_text(&data->values[fields[i]], &sheet_data_fields[fields[i]]);
      assert_string_equal(text, spec->words[w]);
    }
  }
  assert_true(preference_set(PREFERENCE_AUTHOR, "Workshop", NULL));
  g_autoptr(SheetData) data = preferences_new_sheet_data(plain);
  assert_string_equal(data->values[SHEET_AUTHOR].text, "Workshop");
}

/* The language of the window, or a chosen one; what a sheet is in anyhow is not written. */
static void
new_sheets_speak_a_language(void **state)
{
  (void)state;
  static const struct {
    const char *window, *preference, *text;
    bool written;
  } cases[] = {{"en", "window", "en", false},
               {"es", "window", "es", true},
               {"en", "es", "es", true},
               {"es", "en", "en", false},
               {"en", "en-es", "en-es", true}};
  const FieldSpec *field = &sheet_data_fields[SHEET_LANGUAGE];
  g_autoptr(SheetData) plain = sheet_data_new();
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    const char *before = language_choose(cases[i].window);
    assert_true(preference_set(PREFERENCE_SHEET_LANGUAGE, cases[i].preference, NULL));
    g_autoptr(SheetData) data = preferences_new_sheet_data(plain);
    g_autofree char *text = value_dup_text(&data->values[SHEET_LANGUAGE], field);
    assert_string_equal(text, cases[i].text);
    assert_int_equal(data->values[SHEET_LANGUAGE].is_set, cases[i].written);
    language_choose(before);
  }
  /* Every word the sheet knows can be preferred. */
  for (guint w = 0; field->choices[w] != NULL; w++)
    assert_true(preference_set(PREFERENCE_SHEET_LANGUAGE, field->choices[w], NULL));
}

int
main(void)
{
  keep_home();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup(nothing_stored_means_initial, fresh),
      cmocka_unit_test_setup(what_is_set_is_read_again, fresh),
      cmocka_unit_test_setup(bad_words_are_refused_and_overlooked, fresh),
      cmocka_unit_test_setup(other_keys_stay, fresh),
      cmocka_unit_test_setup(listeners_hear_changes_only, fresh),
      cmocka_unit_test_setup(a_failed_write_is_told, fresh),
      cmocka_unit_test_setup(new_sheets_start_with_them, fresh),
      cmocka_unit_test_setup(new_sheets_speak_a_language, fresh),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  preferences_reload();
  keep_home_remove();
  return failed;
}
