/* SPDX-License-Identifier: MIT */
/* Whole sheets as they were when somebody last looked at the pictures. A difference is either a
 * mistake or to be looked at: run with DOORSHEET_GOLDEN=write, look at the sheet, and commit the
 * new record with the change. Places are compared to a tenth of a millimetre. */
#include "sheet_fixture.h"

#include <stdlib.h>

/* The record with places to 0.1 mm, and without the program's version. New string. */
static char *
record_of(const Document *document, const char *paper, Palette palette)
{
  g_autoptr(Sheet) sheet = fixture_sheet(document, paper, palette);
  g_autoptr(Pen) record = fixture_record(sheet);
  g_autofree char *dump = pen_record_dump(record);
  g_auto(GStrv) lines = g_strsplit(dump, "\n", -1);
  GString *out = g_string_new(NULL);

  for (char **line = lines; *line != NULL && **line != '\0'; line++) {
    const char *text = strchr(*line, '"');
    const gsize length = text != NULL ? (gsize)(text - *line) : strlen(*line);
    g_autofree char *head = g_strndup(*line, length);
    g_auto(GStrv) words = g_strsplit(head, " ", -1);
    for (guint i = 0; words[i] != NULL; i++) {
      const char *dot = strchr(words[i], '.');
      char number[G_ASCII_DTOSTR_BUF_SIZE];
      const double value = g_ascii_strtod(words[i], NULL);
      if (i > 0)
        g_string_append_c(out, ' ');
      g_string_append(out, dot == NULL ? words[i]
                                       : g_ascii_formatd(number, sizeof number, "%.1f", value));
    }
    g_string_append_printf(out, "%s\n", text != NULL ? text : "");
  }
  g_string_replace(out, DOORSHEET_VERSION, "VERSION", 0);
  return g_string_free(out, FALSE);
}

/* Numbers may differ by what rounding to a tenth can turn; all else has to be the same. */
static bool
same_line(const char *a, const char *b)
{
  while (*a != '\0' && *b != '\0') {
    if (*a == *b && !g_ascii_isdigit(*a) && *a != '-') {
      a++, b++;
      continue;
    }
    char *end_a = NULL, *end_b = NULL;
    const double x = g_ascii_strtod(a, &end_a), y = g_ascii_strtod(b, &end_b);
    if (end_a == a || end_b == b) {
      if (*a++ != *b++)
        return false;
      continue;
    }
    if (ABS(x - y) > 0.101)
      return false;
    a = end_a;
    b = end_b;
  }
  return *a == *b;
}

static void
check_golden(const Document *document, const char *paper, Palette palette, const char *name)
{
  g_autofree char *file = g_strconcat("tests/sheet/golden/", name, ".txt", NULL);
  g_autofree char *path = fixture_path(file);
  g_autofree char *found = record_of(document, paper, palette);
  g_autofree char *expected = NULL;

  if (g_strcmp0(g_getenv("DOORSHEET_GOLDEN"), "write") == 0) {
    assert_true(g_file_set_contents(path, found, -1, NULL));
    return;
  }
  assert_true(g_file_get_contents(path, &expected, NULL, NULL));
  g_auto(GStrv) left = g_strsplit(expected, "\n", -1);
  g_auto(GStrv) right = g_strsplit(found, "\n", -1);
  for (guint i = 0; left[i] != NULL || right[i] != NULL; i++)
    if (left[i] == NULL || right[i] == NULL || !same_line(left[i], right[i]))
      fail_msg("%s, line %u:\n  was %s\n  is  %s\nIf the sheet looks right, run this test with "
               "DOORSHEET_GOLDEN=write.",
               file, i + 1, left[i] != NULL ? left[i] : "(nothing)",
               right[i] != NULL ? right[i] : "(nothing)");
}

static void
test_first_page_on_letter(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  (void)state;
  check_golden(document, "letter", PALETTE_LIGHT, "pump-letter");
}

static void
test_label(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  (void)state;
  check_golden(document, "label-4x6", PALETTE_MONO, "pump-label");
}

static void
test_in_parts(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(document, false, "orientation", "portrait", &error);
  const char *const far[] = {"LD1", NULL};
  (void)state;

  assert_true(document_apply(document, change, &error));
  assert_true(document_apply(document, edit_move(document, far, (Point){100, 0}), &error));
  change = edit_set_sheet_field(document, false, "symbols", "iec", &error);
  assert_true(document_apply(document, change, &error));
  check_golden(document, "a4", PALETTE_LIGHT, "pump-parts-iec");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_first_page_on_letter),
      cmocka_unit_test(test_label),
      cmocka_unit_test(test_in_parts),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
