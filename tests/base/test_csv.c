/* SPDX-License-Identifier: MIT */
/* Comma-separated values: the rules of RFC 4180 section 2, what spreadsheets write besides, and
 * tables that were torn or made to hurt. */
#include "base/csv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Rows as "a|b\n", with "!" for a bad row. New string. */
static char *
read_plainly(const char *data, gsize size)
{
  g_autoptr(GPtrArray) rows = csv_read(data, size, NULL);
  GString *text = g_string_new(NULL);

  if (rows == NULL)
    return g_string_free(text, TRUE);
  for (guint i = 0; i < rows->len; i++) {
    const CsvRow *row = rows->pdata[i];
    for (guint f = 0; row->error == NULL && f < row->fields->len; f++)
      g_string_append_printf(text, "%s%s", f > 0 ? "|" : "", (const char *)row->fields->pdata[f]);
    g_string_append(text, row->error != NULL ? "!\n" : "\n");
  }
  return g_string_free(text, FALSE);
}

typedef struct {
  const char *given, *expected;
} Case;

static void
check_cases(const Case *cases, gsize n)
{
  for (gsize i = 0; i < n; i++) {
    g_autofree char *found = read_plainly(cases[i].given, strlen(cases[i].given));
    if (strcmp(found, cases[i].expected) != 0)
      fail_msg("case %zu: read \"%s\" instead of \"%s\"", i, found, cases[i].expected);
  }
}

/* The seven rules with the RFC's own examples. */
static void
test_rfc_4180(void **state)
{
  static const Case cases[] = {
      {"aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc\nzzz|yyy|xxx\n"},
      {"aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc\nzzz|yyy|xxx\n"},
      {"\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc\nzzz|yyy|xxx\n"},
      {"\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\r\nbb|ccc\nzzz|yyy|xxx\n"},
      {"\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc\n"},
      {"a, b ,c", "a| b |c\n"}, /* spaces are part of a field */
      {"a,,", "a||\n"},
      {"", ""},
  };
  (void)state;
  check_cases(cases, G_N_ELEMENTS(cases));
}

static void
test_spreadsheets(void **state)
{
  static const Case cases[] = {
      {"\xef\xbb\xbftag,x\n1,2\n", "tag|x\n1|2\n"}, /* byte order mark */
      {"tag;x\n\"a;b\";2,5\n", "tag|x\na;b|2,5\n"}, /* where the comma is decimal */
      {"tag\tx\na\tb\n", "tag|x\na|b\n"},
      {"\"a;b\",x\n1,2\n", "a;b|x\n1|2\n"}, /* a semicolon in quotes separates nothing */
      {"a,b\rc,d\r", "a|b\nc|d\n"},
      {"a,b\n\n\r\nc,d\n\n", "a|b\nc|d\n"}, /* empty lines */
      {"a,b\n24\" duct,c\n", "a|b\n24\" duct|c\n"},
  };
  (void)state;
  check_cases(cases, G_N_ELEMENTS(cases));
}

/* One bad row is one bad row. */
static void
test_bad_rows(void **state)
{
  static const Case cases[] = {
      {"a,b\n\"open,1\nc,d\n", "a|b\n!\nc|d\n"},
      {"a,b\n\"x\"y,1\nc,d\n", "a|b\n!\nc|d\n"},
      {"a,b\n\"\nc,d\n", "a|b\n!\nc|d\n"},
      {"a,b\n\xff\xfe,1\nc,d\n", "a|b\n!\nc|d\n"},
      {"\"", "!\n"},
  };
  static const char nul[] = "a,b\nc\0d,1\ne,f\n";
  (void)state;

  check_cases(cases, G_N_ELEMENTS(cases));
  g_autofree char *found = read_plainly(nul, sizeof nul - 1);
  assert_string_equal(found, "a|b\n!\ne|f\n");
}

static void
test_lines_are_counted(void **state)
{
  static const char text[] = "a,b\r\n\"1\r\n2\n3\r4\",x\r\n\r\nc,d\n\"open\ne,f\n";
  static const guint lines[] = {1, 2, 7, 8, 9};
  g_autoptr(GPtrArray) rows = csv_read(text, strlen(text), NULL);
  (void)state;

  assert_int_equal(rows->len, G_N_ELEMENTS(lines));
  for (guint i = 0; i < rows->len; i++)
    assert_int_equal(((const CsvRow *)rows->pdata[i])->line, lines[i]);
}

static void
test_limits(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *commas = g_strnfill(5000, ',');
  g_autofree char *found = read_plainly(commas, 5000);
  g_autofree char *field = g_strnfill(100000, 'x');
  g_autofree char *quoted = g_strconcat("\"", field, "\"\na,b\n", NULL);
  g_autofree char *long_field = read_plainly(quoted, strlen(quoted));
  g_autoptr(GString) rows = g_string_new(NULL);
  (void)state;

  assert_string_equal(found, "!\n");
  assert_string_equal(long_field, "!\na|b\n");
  for (guint i = 0; i <= CSV_MOST_ROWS; i++)
    g_string_append(rows, "a\n");
  assert_null(csv_read(rows->str, rows->len, &error));
  assert_non_null(strstr(error->message, "Split it"));
  g_clear_error(&error);
  assert_null(csv_read("\xff\xfe"
                       "a\0",
                       4, &error));
  assert_non_null(strstr(error->message, "CSV UTF-8"));
}

/* A million quotes that never close: each row looks only as far as a field may be long. */
static void
test_hostile_quotes_end(void **state)
{
  g_autoptr(GString) text = g_string_new("a,b\n");
  const gint64 start = g_get_monotonic_time();
  (void)state;

  for (guint i = 0; i < 2000; i++)
    g_string_append(text, "x,\"\n");
  for (guint i = 0; i < 300000; i++)
    g_string_append(text, "\"\"\"\"");
  g_autofree char *found = read_plainly(text->str, text->len);
  assert_true(g_str_has_prefix(found, "a|b\n"));
  assert_true(g_get_monotonic_time() - start < 20 * G_USEC_PER_SEC);
}

/* Whatever is written is read back: random fields of the characters that matter. */
static void
test_written_is_read(void **state)
{
  static const char *const pieces[] = {"\"", ",", ";", "\t", "\r", "\n", " ", "a", "é", "=", ""};
  g_autoptr(GRand) rand = g_rand_new_with_seed(4180);
  (void)state;

  for (guint run = 0; run < 2000; run++) {
    g_autoptr(GString) text = g_string_new(NULL);
    g_autoptr(GPtrArray) given = g_ptr_array_new_with_free_func(g_free);
    csv_append(text, "first"); /* so that the separator is told from a plain line */
    csv_append(text, "second");
    csv_end_row(text);
    for (guint f = (guint)g_rand_int_range(rand, 2, 6); f > 0; f--) {
      g_autoptr(GString) field = g_string_new(NULL);
      for (guint n = (guint)g_rand_int_range(rand, 0, 6); n > 0; n--)
        g_string_append(field, pieces[g_rand_int_range(rand, 0, G_N_ELEMENTS(pieces))]);
      csv_append(text, field->str);
      g_ptr_array_add(given, g_strdup(field->str));
    }
    csv_end_row(text);
    g_autoptr(GPtrArray) rows = csv_read(text->str, text->len, NULL);
    assert_int_equal(rows->len, 2);
    const CsvRow *row = rows->pdata[1];
    assert_null(row->error);
    assert_int_equal(row->fields->len, given->len);
    for (guint f = 0; f < given->len; f++)
      assert_string_equal(row->fields->pdata[f], given->pdata[f]);
  }
}

/* What a spreadsheet would run it gets with an apostrophe before it; what is a number stays one. */
static void
test_formulas_and_numbers(void **state)
{
  static const char *const runs[] = {"=1+1", "+1",   "-cmd",       "@SUM(1)", "\t=1",
                                     "\r=1", "\n@x", "  =1",       "-",       "-1+2",
                                     "-1e",  "+A1",  "\302\240=1", "-0x10"};
  static const char *const stays[] = {"-5", "-5.25", "5", "1e3", "T1.H2", "MAU-2", "a=b", "", " x"};
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(runs) + G_N_ELEMENTS(stays); i++) {
    const bool is_run = i < G_N_ELEMENTS(runs);
    const char *text = is_run ? runs[i] : stays[i - G_N_ELEMENTS(runs)];
    g_autoptr(GString) out = g_string_new(NULL);
    csv_append(out, "first");
    csv_append_text(out, text);
    csv_append(out, "last");
    csv_end_row(out);
    g_autoptr(GPtrArray) rows = csv_read(out->str, out->len, NULL);
    const CsvRow *row = rows->pdata[0];
    g_autofree char *wanted = g_strconcat(is_run ? "'" : "", text, NULL);
    assert_int_equal(row->fields->len, 3);
    assert_string_equal(row->fields->pdata[1], wanted);
  }
}

/* Any bytes at all: no crash, no endless walk, and only valid UTF-8 comes out. */
static void
test_random_bytes(void **state)
{
  static const char bytes[] = "\",\n\r;\t ab\0\xff\xc3\xa9";
  g_autoptr(GRand) rand = g_rand_new_with_seed(7);
  (void)state;

  for (guint run = 0; run < 5000; run++) {
    char text[64];
    const gsize size = (gsize)g_rand_int_range(rand, 0, sizeof text);
    for (gsize i = 0; i < size; i++)
      text[i] = bytes[g_rand_int_range(rand, 0, sizeof bytes - 1)];
    g_autoptr(GPtrArray) rows = csv_read(text, size, NULL);
    for (guint i = 0; rows != NULL && i < rows->len; i++) {
      const CsvRow *row = rows->pdata[i];
      for (guint f = 0; f < row->fields->len; f++)
        assert_true(g_utf8_validate(row->fields->pdata[f], -1, NULL));
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_rfc_4180),
      cmocka_unit_test(test_spreadsheets),
      cmocka_unit_test(test_bad_rows),
      cmocka_unit_test(test_lines_are_counted),
      cmocka_unit_test(test_limits),
      cmocka_unit_test(test_hostile_quotes_end),
      cmocka_unit_test(test_written_is_read),
      cmocka_unit_test(test_random_bytes),
      cmocka_unit_test(test_formulas_and_numbers),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
