/* SPDX-License-Identifier: MIT */
/* doorsheet check: remedies by number, explanations, exit codes. The verb runs in this process. */
#include "checks/check.h"
#include "command/check_print.h"
#include "command/command.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>
#include <string.h>

typedef struct {
  CommandStatus status;
  GString *out, *err;
} Run;

static void
run_clear(Run *run)
{
  g_string_free(run->out, TRUE);
  g_string_free(run->err, TRUE);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Run, run_clear)

static Run G_GNUC_NULL_TERMINATED
check(const char *first, ...)
{
  g_autoptr(GPtrArray) words = g_ptr_array_new();
  Run run = {.out = g_string_new(NULL), .err = g_string_new(NULL)};
  va_list list;

  g_ptr_array_add(words, (gpointer)(guintptr) "doorsheet");
  g_ptr_array_add(words, (gpointer)(guintptr) "check");
  va_start(list, first);
  for (const char *word = first; word != NULL; word = va_arg(list, const char *))
    g_ptr_array_add(words, (gpointer)(guintptr)word);
  va_end(list);
  run.status = command_run((int)words->len, (const char *const *)words->pdata, run.out, run.err);
  return run;
}

static char *
source_path(const char *relative)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  return g_build_filename(root != NULL ? root : ".", relative, NULL);
}

static char *
contents(const char *path)
{
  char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, NULL))
    fail_msg("cannot read %s", path);
  return text;
}

static Document *
open_document(const char *path)
{
  Document *document = document_read(path, parts_catalog(), NULL);
  assert_non_null(document);
  return document;
}

static bool
same_places(const Finding *a, const Finding *b)
{
  if (a->places->len != b->places->len)
    return false;
  for (guint i = 0; i < a->places->len; i++)
    if (strcmp(a->places->pdata[i], b->places->pdata[i]) != 0)
      return false;
  return true;
}

static bool
holds_finding(const Inspection *inspection, const Finding *finding)
{
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *other = inspection->findings->pdata[i];
    if (strcmp(other->check, finding->check) == 0 && same_places(other, finding))
      return true;
  }
  return false;
}

/* Applies one remedy by its number into another file: the finding is gone from there, the source
 * file keeps its bytes, and the exit code is that of checking the result. */
static void
apply_one(const char *path, const char *target, guint number, const Finding *finding)
{
  g_autofree char *word = g_strdup_printf("%u", number);
  g_autofree char *before = contents(path);
  g_auto(Run) applied = check(path, "--apply", word, "-o", target, NULL);
  g_autofree char *after = contents(path);
  assert_string_equal(before, after);
  g_auto(Run) again = check(target, NULL);
  assert_int_equal(applied.status, again.status);
  assert_true(g_str_has_suffix(applied.out->str, again.out->str));
  assert_non_null(strstr(applied.out->str, finding->check));
  g_autoptr(Document) document = open_document(target);
  g_autoptr(Inspection) inspection = inspection_new(document);
  if (holds_finding(inspection, finding))
    fail_msg("%s: remedy %u leaves %s", path, number, finding->check);
}

static guint
apply_all(const char *path, const char *target)
{
  guint number = 0;
  g_autoptr(Document) document = open_document(path);
  g_autoptr(Inspection) inspection = inspection_new(document);
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    if (inspection_has_remedy(inspection, finding))
      apply_one(path, target, ++number, finding);
  }
  g_autofree char *beyond = g_strdup_printf("%u", number + 1);
  g_auto(Run) run = check(path, "--apply", beyond, "-o", target, NULL);
  assert_int_equal(run.status, COMMAND_FAILED);
  assert_string_equal(run.out->str, "");
  return number;
}

static void
test_apply_every_remedy_of_the_samples(void **state)
{
  g_autofree char *folder = source_path("samples");
  g_autofree char *dir = g_dir_make_tmp("doorsheet-XXXXXX", NULL);
  g_autofree char *target = g_build_filename(dir, "out.doorsheet", NULL);
  g_autoptr(GDir) list = g_dir_open(folder, 0, NULL);
  guint applied = 0;
  const char *name;
  (void)state;

  assert_non_null(list);
  while ((name = g_dir_read_name(list)) != NULL) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    if (g_str_has_suffix(name, ".doorsheet"))
      applied += apply_all(path, target);
  }
  assert_true(applied >= 8);
  g_remove(target);
  g_rmdir(dir);
}

static void
test_apply_in_place(void **state)
{
  g_autofree char *sample = source_path("samples/faulty-wrong-tap.doorsheet");
  g_autofree char *dir = g_dir_make_tmp("doorsheet-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(dir, "tap.doorsheet", NULL);
  g_autofree char *text = contents(sample);
  (void)state;

  assert_true(g_file_set_contents(path, text, -1, NULL));
  g_auto(Run) listed = check(path, NULL);
  assert_int_equal(listed.status, COMMAND_FINDINGS);
  assert_non_null(strstr(listed.out->str, "Remedy 1: Lock out, land T1.H4"));
  g_auto(Run) run = check(path, "--apply", "1", NULL);
  assert_int_equal(run.status, COMMAND_SOUND);
  assert_non_null(strstr(run.out->str, "moved from T1.H3 to T1.H4"));
  g_auto(Run) again = check(path, NULL);
  assert_int_equal(again.status, COMMAND_SOUND);
  g_autofree char *changed = contents(path);
  assert_string_not_equal(text, changed);
  g_auto(Run) none = check(path, "--apply", "1", NULL);
  assert_int_equal(none.status, COMMAND_FAILED);
  assert_non_null(strstr(none.err->str, "judgement"));
  g_autofree char *kept = contents(path);
  assert_string_equal(changed, kept);
  g_remove(path);
  g_rmdir(dir);
}

static void
test_json_numbers(void **state)
{
  g_autofree char *sample = source_path("samples/faulty-wrong-tap.doorsheet");
  g_autofree char *dir = g_dir_make_tmp("doorsheet-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(dir, "out.doorsheet", NULL);
  (void)state;

  g_auto(Run) listed = check(sample, "--json", NULL);
  assert_non_null(strstr(listed.out->str, "\"remedy_number\":1,"));
  assert_non_null(strstr(listed.out->str, "\"remedy_number\":2,"));
  assert_non_null(strstr(listed.out->str, "\"remedy_number\":null,"));
  assert_null(strstr(listed.out->str, "\"remedy_number\":3,"));
  assert_null(strstr(listed.out->str, "\"applied\""));
  g_auto(Run) run = check(sample, "--json", "--apply", "1", "-o", path, NULL);
  assert_int_equal(run.status, COMMAND_SOUND);
  assert_non_null(strstr(run.out->str, "\"applied\":{\"check\":\"tap-too-low\",\"at\":[\"T1.H3\"],"
                                       "\"remedy_number\":1,\"changes\":[\"conductor"));
  assert_non_null(strstr(run.out->str, "\"sound\":true"));
  g_remove(path);
  g_rmdir(dir);
}

/* A wrong word or a file that cannot be written leaves everything as it was. */
static void
test_apply_refused(void **state)
{
  g_autofree char *sample = source_path("samples/faulty-wrong-tap.doorsheet");
  g_autofree char *before = contents(sample);
  static const char *const words[] = {"0", "-1", "x", "1x", "99999999999", ""};
  (void)state;

  for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
    g_auto(Run) run = check(sample, "--apply", words[i], NULL);
    assert_int_equal(run.status, COMMAND_FAILED);
    assert_string_equal(run.out->str, "");
    assert_non_null(strstr(run.err->str, "--apply needs the number of a remedy"));
  }
  g_auto(Run) folder = check(sample, "--apply", "1", "-o", "/no/such/folder/x.doorsheet", NULL);
  assert_int_equal(folder.status, COMMAND_FAILED);
  assert_non_null(strstr(folder.err->str, "nothing was written"));
  g_auto(Run) drawing = check(sample, "--apply", "1", "-o", "/tmp/x.SVG", NULL);
  assert_int_equal(drawing.status, COMMAND_FAILED);
  assert_non_null(strstr(drawing.err->str, "drawing"));
  g_auto(Run) two = check(sample, sample, "--apply", "1", NULL);
  assert_int_equal(two.status, COMMAND_FAILED);
  g_auto(Run) alone = check(sample, "-o", "/tmp/x.doorsheet", NULL);
  assert_int_equal(alone.status, COMMAND_FAILED);
  g_auto(Run) nothing = check("--json", NULL);
  assert_int_equal(nothing.status, COMMAND_FAILED);
  assert_non_null(strstr(nothing.err->str, "needs at least one file"));
  g_autofree char *after = contents(sample);
  assert_string_equal(before, after);
}

static void
test_explain(void **state)
{
  (void)state;
  g_auto(Run) all = check("--explain", "all", NULL);
  assert_int_equal(all.status, COMMAND_SOUND);
  for (const Check *one = checks_table; one->name != NULL; one++) {
    g_auto(Run) run = check("--explain", one->name, NULL);
    assert_int_equal(run.status, COMMAND_SOUND);
    assert_true(g_str_has_prefix(run.out->str, one->name));
    assert_non_null(strstr(run.out->str, one->title));
    assert_non_null(strstr(run.out->str, one->source));
    assert_non_null(strstr(run.out->str, "  Formula: "));
    assert_non_null(strstr(run.out->str, "  Editions: "));
    assert_non_null(strstr(all.out->str, run.out->str));
  }
  g_auto(Run) near = check("--explain", "conductor-to-small", NULL);
  assert_int_equal(near.status, COMMAND_FAILED);
  assert_non_null(strstr(near.err->str, "Did you mean \"conductor-too-small\"?"));
  g_auto(Run) far = check("--explain", "\x1b[31mzzzzzzzz", NULL);
  assert_int_equal(far.status, COMMAND_FAILED);
  assert_null(strchr(far.err->str, '\x1b'));
  g_auto(Run) mixed = check("--explain", "tap-too-low", "x.doorsheet", NULL);
  assert_int_equal(mixed.status, COMMAND_FAILED);
}

/* The rows are those of the tables: a few published figures have to be among them. */
static void
test_explain_rows(void **state)
{
  static const struct {
    const char *check, *row;
  } rows[] = {
      {"conductor-too-small", "12 AWG: 20 (15), 25 (20), 30 (25)"}, /* NFPA 70 Table 310.16 */
      {"conductor-too-small", "40 C: 0.82, 0.88, 0.91"},            /* Table 310.15(B)(1) */
      {"conductor-too-small", "7 to 9: 0.7"},                       /* Table 310.15(C)(1) */
      {"primary-protection-too-large", "0 A to below 2 A: 300 %"},  /* Table 450.3(B) */
      {"primary-protection-too-large", "2020, fuses and breakers: 15, 20,"}, /* 240.6(A) */
      {"primary-protection-too-large", "2023, fuses and breakers: 10, 15,"},
      {"ground-conductor-too-small", "20 A: 12 AWG (10 AWG)"}, /* Table 250.122 */
      {"tap-too-low", "240 V: 216 to 253 V (published)"},
      {"class2-limit", "24 V: 100 VA"}, /* Chapter 9 Table 11(A) */
      {"colour-misused", "orange (110.15)"},
  };
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_auto(Run) run = check("--explain", rows[i].check, NULL);
    if (strstr(run.out->str, rows[i].row) == NULL)
      fail_msg("%s lacks \"%s\":\n%s", rows[i].check, rows[i].row, run.out->str);
  }
}

/* Without a solution nothing is called sound, in text and in JSON. */
static void
test_not_solved(void **state)
{
  g_autofree char *path = source_path("tests/data/checks/control-480.doorsheet");
  g_autoptr(Document) document = open_document(path);
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(GString) text = g_string_new(NULL);
  g_autoptr(GString) json = g_string_new(NULL);
  (void)state;

  g_clear_pointer(&inspection->solution, solution_free);
  g_set_error_literal(&inspection->error, SOLVE_ERROR, SOLVE_ERROR_UNTRUSTED, "Not trusted");
  const Check *not_solved = check_find("not-solved");
  g_ptr_array_add(inspection->findings,
                  finding_new(not_solved->name, not_solved->title, not_solved->signal,
                              not_solved->source, g_strdup("Why."), g_strdup("What."), "S1", NULL));
  check_print_text(path, inspection, NULL, text);
  check_print_json(path, inspection, NULL, json);
  assert_non_null(strstr(text->str, ": not sound, not computed: "));
  assert_null(strstr(text->str, ": sound"));
  assert_non_null(strstr(json->str, "\"sound\":false"));
  assert_non_null(strstr(json->str, "\"solution\":null,\"error\":\"Not trusted\""));
  assert_false(findings_sound(inspection->findings));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_apply_every_remedy_of_the_samples),
      cmocka_unit_test(test_apply_in_place),
      cmocka_unit_test(test_json_numbers),
      cmocka_unit_test(test_apply_refused),
      cmocka_unit_test(test_not_solved),
      cmocka_unit_test(test_explain),
      cmocka_unit_test(test_explain_rows),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
