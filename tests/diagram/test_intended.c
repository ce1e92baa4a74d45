/* SPDX-License-Identifier: MIT */
/* Faults an instructor has chosen, and what marks a sheet as an exercise: read, written, undone to
 * the byte, and following a device's new name. */
#include "diagram/document_file.h"
#include "diagram/edit_private.h"
#include "small_catalog.h"

#define HEAD                                                                                       \
  "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"                                                   \
  "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">\n"

static const char whole[] =
    HEAD "  <equipment tag=\"MAU-2\"/>\n"
         "  <exercise number=\"12\" lesson=\"Reading taps\" symptom=\"The pump does not run\" "
         "difficulty=\"medium\" faults=\"2\" set=\"0f3a\"/>\n"
         "  <device id=\"MAU-2\" kind=\"outline\" x=\"0\" y=\"0\"/>\n"
         "  <device id=\"T1\" kind=\"bank\" x=\"90\" y=\"40\">\n"
         "    <lead name=\"H1\"/>\n"
         "    <lead name=\"H2\"/>\n"
         "  </device>\n"
         "  <expected-fault fault=\"lead-left-open\" at=\"T1.H1, T1.H2\" note=\"first lesson\"/>\n"
         "  <expected-fault fault=\"wire-cut\" at=\"conductor T1.H1-MAU-2.L1\"/>\n"
         "</doorsheet>\n";

static Document *
read_text(const char *text)
{
  g_autoptr(GError) error = NULL;
  Document *document = document_read_memory(text, strlen(text), "test", small_catalog, &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

static void
assert_written(const Document *document, const char *text)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  assert_string_equal(g_bytes_get_data(bytes, NULL), text);
}

static void
must(Document *document, Change *change)
{
  g_autoptr(GError) error = NULL;
  assert_non_null(change);
  if (!document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

static void
test_round_trip(void **state)
{
  (void)state;
  g_autoptr(Document) document = read_text(whole);
  assert_written(document, whole);
  assert_int_equal(document_intended_count(document), 2);
  assert_string_equal(intended_fault(document_intended(document, 0)), "lead-left-open");
  assert_string_equal(intended_at(document_intended(document, 1)), "conductor T1.H1-MAU-2.L1");
  assert_true(sheet_is_exercise(document_sheet(document)));
  assert_string_equal(sheet_exercise_text(document_sheet(document), EXERCISE_DIFFICULTY), "medium");
  g_autoptr(Document) plain = read_text(HEAD "  <equipment tag=\"A\"/>\n</doorsheet>\n");
  assert_false(sheet_is_exercise(document_sheet(plain)));
  assert_false(document_equal(document, plain));
  g_autoptr(Document) snapshot = document_snapshot(document);
  assert_true(document_equal(document, snapshot));
}

static void
test_undo(void **state)
{
  (void)state;
  g_autoptr(Document) document = read_text(whole);
  g_autoptr(Document) snapshot = document_snapshot(document);
  must(document, edit_intend(document, "fuse-blown", "T1", NULL));
  assert_int_equal(document_intended_count(document), 3);
  assert_int_equal(document_intended_count(snapshot), 2);
  assert_false(document_equal(document, snapshot));
  assert_string_equal(document_undo_title(document), "Intend fuse-blown at T1");
  g_autoptr(GError) error = NULL;
  assert_null(edit_intend(document, "fuse-blown", "T1", &error));
  assert_true(g_error_matches(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE));
  must(document, edit_forget_intended(document, "lead-left-open", "T1.H1, T1.H2"));
  assert_int_equal(document_intended_count(document), 2);
  assert_string_equal(intended_at(document_intended(document, 1)), "T1");
  g_autoptr(Change) nothing = edit_forget_intended(document, "lead-left-open", "T1.H9");
  assert_true(change_is_empty(nothing));
  document_undo(document);
  document_undo(document);
  assert_written(document, whole);
  document_redo(document);
  document_redo(document);
  document_undo(document);
  document_undo(document);
  assert_written(document, whole);
}

static void
test_exercise_undone(void **state)
{
  (void)state;
  g_autoptr(Document) document = read_text(whole);
  Change *change = change_new("Other version");
  g_autoptr(SheetData) after = sheet_data_copy(document_sheet(document));
  assert_true(value_set_text(&after->exercise[EXERCISE_NUMBER], &exercise_fields[EXERCISE_NUMBER],
                             "13", NULL));
  assert_false(value_set_text(&after->exercise[EXERCISE_NUMBER], &exercise_fields[EXERCISE_NUMBER],
                              "10001", NULL));
  change_sheet(change, document_sheet(document), after);
  must(document, change);
  assert_string_equal(sheet_exercise_text(document_sheet(document), EXERCISE_NUMBER), "13");
  document_undo(document);
  assert_written(document, whole);
}

static void
test_bounded(void **state)
{
  (void)state;
  g_autoptr(GString) text = g_string_new(HEAD);
  for (guint i = 0; i < DOCUMENT_MAX_INTENDED; i++)
    g_string_append_printf(text, "  <expected-fault fault=\"f\" at=\"T%u\"/>\n", i);
  gsize full = text->len;
  g_string_append(text, "</doorsheet>\n");
  g_autoptr(Document) document = read_text(text->str);
  assert_written(document, text->str);
  g_autoptr(GError) error = NULL;
  assert_false(document_apply(document, edit_intend(document, "f", "one more", NULL), &error));
  assert_true(g_error_matches(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LIMIT));
  g_string_truncate(text, full);
  g_string_append(text, "  <expected-fault fault=\"f\" at=\"more\"/>\n</doorsheet>\n");
  g_autoptr(GError) many = NULL;
  assert_null(document_read_memory(text->str, text->len, "test", small_catalog, &many));
  assert_non_null(strstr(many->message, "more than 200 intended faults"));
}

static void
test_renamed(void **state)
{
  (void)state;
  static const struct {
    const char *text, *from, *to, *expected; /* NULL: not named there */
  } cases[] = {
      {"T1", "T1", "T2", "T2"},
      {"T1.H1, T1.H2", "T1", "T20", "T20.H1, T20.H2"},
      {"T11.H1, T1.T1", "T1", "T2", "T11.H1, T2.T1"},
      {"conductor FU1.2-T1.H3", "T1", "T2", "conductor FU1.2-T2.H3"},
      {"conductor FU1.2-T1.H3", "FU1", "F", "conductor F.2-T1.H3"},
      {"conductor 101", "101", "102", NULL},
      {"conductor 101.1-A.1", "101", "102", "conductor 102.1-A.1"},
      {"MAU-2.L1", "2", "3", NULL},
      {"MAU-2.L1", "MAU", "X", NULL},
      {"MAU-2.L1", "MAU-2", "MAU-3", "MAU-3.L1"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *got = edit_rename_place(cases[i].text, cases[i].from, cases[i].to);
    if (g_strcmp0(got, cases[i].expected) != 0)
      fail_msg("%s: %s", cases[i].text, got != NULL ? got : "(not named)");
  }
  g_autoptr(Document) document = read_text(whole);
  must(document, edit_set_id(document, "T1", "T7", NULL));
  assert_string_equal(intended_at(document_intended(document, 0)), "T7.H1, T7.H2");
  assert_string_equal(intended_at(document_intended(document, 1)), "conductor T7.H1-MAU-2.L1");
  must(document, edit_set_id(document, "MAU-2", "P1", NULL));
  assert_string_equal(intended_at(document_intended(document, 1)), "conductor T7.H1-P1.L1");
  document_undo(document);
  document_undo(document);
  assert_written(document, whole);
}

/* A mark follows the terminal it was made for, through a new marking and a removed row. */
static void
test_terminals_renamed(void **state)
{
  (void)state;
  g_autoptr(Document) document = read_text(whole);
  must(document, edit_set_row_field(document, "T1", 0, "name", "H10", NULL));
  assert_string_equal(intended_at(document_intended(document, 0)), "T1.H10, T1.H2");
  assert_string_equal(intended_at(document_intended(document, 1)), "conductor T1.H10-MAU-2.L1");
  document_undo(document);
  assert_written(document, whole);
  must(document, edit_move_row(document, "T1", 0, 1, NULL)); /* marked leads keep their names */
  assert_string_equal(intended_at(document_intended(document, 0)), "T1.H1, T1.H2");
  document_undo(document);
  must(document, edit_remove_row_landed(document, "T1", 1, NULL, NULL));
  assert_int_equal(document_intended_count(document), 1);
  assert_string_equal(intended_at(document_intended(document, 0)), "conductor T1.H1-MAU-2.L1");
  document_undo(document);
  assert_written(document, whole);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_round_trip),      cmocka_unit_test(test_undo),
      cmocka_unit_test(test_exercise_undone), cmocka_unit_test(test_bounded),
      cmocka_unit_test(test_renamed),         cmocka_unit_test(test_terminals_renamed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
