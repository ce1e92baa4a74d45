/* SPDX-License-Identifier: MIT */
/* Sentences with places, lists and dates in both languages, whatever the locale is. */
#include "base/language.h"
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void
assert_taken(char *take_text, const char *expected)
{
  assert_string_equal(take_text, expected);
  g_free(take_text);
}

static void
sentences_are_filled(void **state)
{
  (void)state;
  assert_taken(language_fill("%s gets %s", "LD1", "24 V", NULL), "LD1 gets 24 V");
  assert_taken(language_fill("%2$s at %1$s", "LD1", "24 V", NULL), "24 V at LD1");
  assert_taken(language_fill("85 % and %%, %d", "x", NULL), "85 % and %%, %d");
  assert_taken(language_fill("%s, %s", "only one", NULL), "only one, ");
  assert_taken(language_fill("%s", "%s%n", NULL), "%s%n"); /* what is filled in is no format */
  assert_taken(language_fill("", NULL), "");
}

static void
lists_are_joined(void **state)
{
  static const char *const names[] = {"T1.H1", "T1.H2", "T1.H4"};
  (void)state;
  assert_taken(language_list(names, 0), "");
  assert_taken(language_list(names, 1), "T1.H1");
  assert_taken(language_list(names, 2), "T1.H1 and T1.H2");
  assert_taken(language_list(names, 3), "T1.H1, T1.H2 and T1.H4");
  language_choose("es");
  assert_taken(language_list(names, 3), "T1.H1, T1.H2 y T1.H4");
  language_choose(NULL);
}

static void
days_have_their_month_in_letters(void **state)
{
  static const char *const not_days[] = {
      "",         "2026",          "2026-02-30",  "2026-13-01",  "2026-1-1",
      "26-11-25", "2026-11-25 ",   "2026-11-025", "25 Nov 2026", "-2026-11-25",
      "2026-11-", "\303\241-11-25"};
  (void)state;
  assert_taken(language_date("2026-11-25"), "25 Nov 2026");
  assert_taken(language_date("2024-02-29"), "29 Feb 2024");
  assert_taken(language_date("2026-01-03"), "3 Jan 2026");
  for (guint i = 0; i < G_N_ELEMENTS(not_days); i++)
    assert_taken(language_date(not_days[i]), not_days[i]);
  language_choose("es");
  assert_taken(language_date("2026-11-25"), "25 nov 2026");
  assert_taken(language_date("2026-01-03"), "3 ene 2026");
  language_choose(NULL);
}

static void
forms_follow_the_count(void **state)
{
  (void)state;
  language_choose("es");
  assert_string_equal(language_plural("%u measurement", "%u measurements", 1),
                      "%u medici\303\263n");
  assert_string_equal(language_plural("%u measurement", "%u measurements", 2), "%u mediciones");
  assert_string_equal(language_plural("%u measurement", "%u measurements", 0), "%u mediciones");
  language_choose(NULL);
  assert_string_equal(language_plural("%u measurement", "%u measurements", 0), "%u measurements");
}

static void
choices_nest(void **state)
{
  (void)state;
  assert_string_equal(language_now(), "en");
  const char *before = language_choose("es");
  assert_null(before);
  assert_string_equal(language_choose("tlh"), "es"); /* unknown: nothing changes */
  assert_string_equal(language_now(), "es");
  assert_string_equal(_("DANGER"), "PELIGRO");
  assert_string_equal(language_choose(before), "es");
  assert_string_equal(language_now(), "en");
  assert_null(language_text_in("es", NULL));
  assert_string_equal(language_text_in("es", ""), "");
}

/* LANGUAGE goes first, then LC_ALL, LC_MESSAGES, LANG; the C locale speaks English. Each case runs
 * in a process of its own: GLib asks the environment once. */
static void
the_user_is_asked(void **state)
{
  static const struct {
    const char *name, *value, *code;
  } cases[] = {{"LANGUAGE", "es", "es"},
               {"LANGUAGE", "es_MX:en", "es"},
               {"LANGUAGE", "de:es:en", "es"},
               {"LANGUAGE", "de", "en"},
               {"LC_ALL", "es_ES.UTF-8", "es"},
               {"LC_ALL", "C", "en"},
               {"LC_MESSAGES", "es_US.utf8", "es"},
               {"LANG", "es_AR.UTF-8@euro", "es"},
               {"LANG", "de_DE.UTF-8", "en"}};
  (void)state;
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_auto(GStrv) environment = g_get_environ();
    static const char *const all[] = {"LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"};
    for (guint k = 0; k < G_N_ELEMENTS(all); k++)
      environment = g_environ_unsetenv(environment, all[k]);
    environment = g_environ_setenv(environment, cases[i].name, cases[i].value, TRUE);
    g_autofree char *self = g_file_read_link("/proc/self/exe", NULL);
    const char *command[] = {self, "--ask", NULL};
    g_autofree char *said = NULL;
    assert_true(g_spawn_sync(NULL, (char **)(guintptr)command, environment, G_SPAWN_DEFAULT, NULL,
                             NULL, &said, NULL, NULL, NULL));
    if (strcmp(said, cases[i].code) != 0)
      fail_msg("%s=%s asks for %s and gets %s", cases[i].name, cases[i].value, cases[i].code, said);
  }
}

int
main(int argc, char **argv)
{
  if (argc > 1 && strcmp(argv[1], "--ask") == 0) {
    g_print("%s", language_of_user());
    return 0;
  }
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(sentences_are_filled),
      cmocka_unit_test(lists_are_joined),
      cmocka_unit_test(days_have_their_month_in_letters),
      cmocka_unit_test(forms_follow_the_count),
      cmocka_unit_test(choices_nest),
      cmocka_unit_test(the_user_is_asked),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
