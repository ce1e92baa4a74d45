/* SPDX-License-Identifier: MIT */
#include "base/finding.h"
#include "base/text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

static void
finds_the_name_that_was_meant(void **state)
{
  (void)state;
  static const char *const names[] = {"rating", "regulation", "no-load-rise", "class-2", NULL};
  assert_string_equal(text_nearest("ratnig", names), "rating");
  assert_string_equal(text_nearest("no-load-rize", names), "no-load-rise");
  assert_string_equal(text_nearest("class2", names), "class-2");
  assert_null(text_nearest("voltage", names));
  assert_null(text_nearest("", names));
  g_autofree char *long_word = g_strnfill(5000, 'x');
  assert_null(text_nearest(long_word, names));
}

static void
knows_names(void **state)
{
  (void)state;
  static const char *const good[] = {"T1", "FU-3", "1", "CR1/2", "N+", "A_1"};
  static const char *const bad[] = {
      "", "-1", "T 1", "T.1", "T\n", "\xc3\xa9", "a23456789012345678901234567890123"};
  for (guint i = 0; i < G_N_ELEMENTS(good); i++)
    assert_true(text_is_name(good[i]));
  for (guint i = 0; i < G_N_ELEMENTS(bad); i++)
    assert_false(text_is_name(bad[i]));
  char *device = NULL, *terminal = NULL;
  assert_true(text_split_terminal("T1.H2", &device, &terminal));
  assert_string_equal(device, "T1");
  assert_string_equal(terminal, "H2");
  g_free(device);
  g_free(terminal);
  assert_false(text_split_terminal("T1", &device, &terminal));
  assert_false(text_split_terminal("T1.H2.x", &device, &terminal));
  assert_false(text_split_terminal(".H2", &device, &terminal));
}

static void
cleans_hostile_text(void **state)
{
  (void)state;
  g_autofree char *cleaned = text_clean("a\x1b[31m\xe2\x80\xae"
                                        "b\xff",
                                        100);
  assert_string_equal(cleaned, "a\xef\xbf\xbd[31m\xef\xbf\xbd"
                               "b\xef\xbf\xbd");
  g_autofree char *cut = text_clean("abcdef", 3);
  assert_string_equal(cut, "abc\xe2\x80\xa6");
  g_autoptr(GString) json = g_string_new(NULL);
  text_append_json(json, "a\"b\\\n\x01");
  assert_string_equal(json->str, "\"a\\\"b\\\\\\n\\u0001\"");
}

static void
orders_findings(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) list = g_ptr_array_new_with_free_func((GDestroyNotify)finding_free);
  const struct {
    const char *check, *place;
    Signal signal;
  } given[] = {
      {"b", "T2", SIGNAL_NOTICE},
      {"b", "T2", SIGNAL_DANGER},
      {"b", "T1", SIGNAL_DANGER},
      {"a", "T9", SIGNAL_DANGER},
  };
  assert_true(findings_sound(list));
  for (guint i = 0; i < G_N_ELEMENTS(given); i++) {
    g_ptr_array_add(list,
                    finding_new(given[i].check, "title", given[i].signal, "source",
                                g_strdup("message"), g_strdup("remedy"), given[i].place, NULL));
    assert_true(findings_sound(list) == (i == 0));
  }
  g_ptr_array_sort(list, finding_compare);
  g_autoptr(GString) order = g_string_new(NULL);
  for (guint i = 0; i < list->len; i++) {
    const Finding *finding = g_ptr_array_index(list, i);
    g_string_append_printf(order, "%s %s %s;", signal_word(finding->signal), finding->check,
                           (const char *)g_ptr_array_index(finding->places, 0));
  }
  assert_string_equal(order->str, "DANGER a T9;DANGER b T1;DANGER b T2;NOTICE b T2;");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(finds_the_name_that_was_meant),
      cmocka_unit_test(knows_names),
      cmocka_unit_test(cleans_hostile_text),
      cmocka_unit_test(orders_findings),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
