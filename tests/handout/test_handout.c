/* SPDX-License-Identifier: MIT */
/* A dealt set on disk: what is there, the same twice, nothing written over, and keys that say what
 * a grader needs. */
#include "base/csv.h"
#include "handout/handout.h"
#include "handout/key.h"
#include "pen/pen_record.h"
#include "set.h"

#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const HandoutOptions plain = {.sheet = {.date = "2026-11-25", .language = "en"}};

static Deal *
deal_three(const Master *master)
{
  GError *error = NULL;
  DealOrder order = deal_order_default;
  order.versions = 3;
  order.faults = 2;
  order.seed = 11;
  Deal *deal = deal_new(master->evidence, &order, NULL, &error);
  if (deal == NULL)
    fail_msg("%s", error->message);
  return deal;
}

static char *
read_in(const char *folder, const char *name, gsize *size)
{
  char *text = NULL;
  g_autofree char *path = g_build_filename(folder, name, NULL);
  if (!g_file_get_contents(path, &text, size, NULL))
    fail_msg("%s is not there", path);
  return text;
}

static void
remove_set(const char *folder)
{
  static const char *const parts[] = {"student", "key", ""};
  for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
    g_autofree char *path = g_build_filename(folder, parts[i], NULL);
    g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
    for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;) {
      g_autofree char *file = g_build_filename(path, name, NULL);
      g_unlink(file);
    }
    g_rmdir(path);
  }
}

static const char *const files[] = {
    "student/version-01.svg", "student/version-01.pdf", "student/version-01.doorsheet",
    "student/version-03.svg", "student/version-03.pdf", "student/version-03.doorsheet",
    "key/version-01.pdf",     "key/version-03.pdf",     "grading.csv",
    "fairness.txt",
};

static void
same_set_twice(void **state)
{
  (void)state;
  GError *error = NULL;
  Master master = master_open("pump-208");
  g_autoptr(Deal) deal = deal_three(&master);
  g_autofree char *a = g_dir_make_tmp("doorsheet-set-XXXXXX", NULL);
  g_autofree char *b = g_dir_make_tmp("doorsheet-set-XXXXXX", NULL);

  assert_true(handout_write(deal, master.evidence, a, &plain, NULL, NULL, NULL, &error));
  assert_true(handout_write(deal, master.evidence, b, &plain, NULL, NULL, NULL, &error));
  for (gsize i = 0; i < G_N_ELEMENTS(files); i++) {
    gsize one = 0, two = 0;
    g_autofree char *first = read_in(a, files[i], &one);
    g_autofree char *second = read_in(b, files[i], &two);
    if (one != two || memcmp(first, second, one) != 0)
      fail_msg("%s differs from one run to the next", files[i]);
  }
  assert_false(handout_write(deal, master.evidence, a, &plain, NULL, NULL, NULL, &error));
  assert_true(g_error_matches(error, HANDOUT_ERROR, HANDOUT_ERROR_EXISTS));
  g_clear_error(&error);
  HandoutOptions again = plain;
  again.replace = true;
  assert_true(handout_write(deal, master.evidence, a, &again, NULL, NULL, NULL, &error));
  remove_set(a);
  remove_set(b);
  master_close(&master);
}

/* Every fault has a row of as many fields as the heading, and the figures of its version. */
static void
grading_sheet_is_whole(void **state)
{
  (void)state;
  Master master = master_open("lesson-protection");
  g_autoptr(Deal) deal = deal_three(&master);
  g_autofree char *text = grading_csv(deal);
  g_autoptr(GPtrArray) rows = csv_read(text, strlen(text), NULL);

  assert_non_null(rows);
  assert_int_equal(rows->len, 1 + 3 * 2);
  for (guint r = 1; r < rows->len; r++) {
    const CsvRow *row = rows->pdata[r];
    const DealtVersion *version = deal->versions->pdata[(r - 1) / 2];
    const DealtFault *dealt = version->faults->pdata[(r - 1) % 2];
    assert_int_equal(row->fields->len, ((const CsvRow *)rows->pdata[0])->fields->len);
    assert_string_equal(row->fields->pdata[1], deal->digest);
    assert_string_equal(row->fields->pdata[3], dealt->fault->name);
    assert_string_equal(row->fields->pdata[4], dealt->place->name);
  }
  master_close(&master);
}

/* A key says what was done and where, marks it, and lists findings, remedies and the proof. */
static void
check_key(const Master *master, const Deal *deal, const DealtVersion *version)
{
  GError *error = NULL;
  g_autoptr(Document) exercise = deal_exercise_document(deal, version, master->scene, NULL, &error);
  assert_non_null(exercise);
  g_autoptr(Inspection) faulty = inspection_new(exercise);
  const KeyFacts facts = {version, master->evidence, master->sound, faulty};
  g_autoptr(Table) faults = key_faults_table(&facts);
  g_autoptr(Table) findings = key_findings_table(&facts);
  g_autoptr(Table) readings = key_readings_table(&facts);
  g_autoptr(Table) proof = key_proof_table(&facts);
  g_autoptr(GPtrArray) steps = key_path_steps(&facts);

  assert_int_equal(faults->rows->len, version->faults->len);
  assert_non_null(findings);
  assert_non_null(readings);
  assert_int_equal(proof->rows->len, FAIR_CONDITION_COUNT);
  assert_int_equal(steps->len, version->path->steps->len);
  assert_true(steps->len > 0);
  for (guint i = 0; i < version->faults->len; i++) {
    const DealtFault *dealt = version->faults->pdata[i];
    Point at;
    assert_string_equal(table_cell(faults, i, 2), dealt->place->name);
    if (!key_place_point(exercise, dealt->place->name, &at))
      g_print("no place on the sheet: %s\n", dealt->place->name);
  }
  g_autoptr(Sheet) sheet =
      key_sheet_compose(version, master->evidence, exercise, &plain.sheet, &error);
  if (sheet == NULL)
    fail_msg("%s", error->message);
  assert_true(sheet_page_count(sheet) > 0);
}

static void
keys_say_it_all(void **state)
{
  (void)state;
  static const char *const samples[] = {"pump-208", "lesson-taps", "lesson-grounding"};
  for (gsize s = 0; s < G_N_ELEMENTS(samples); s++) {
    Master master = master_open(samples[s]);
    g_autoptr(Deal) deal = deal_three(&master);
    for (guint v = 0; v < deal->versions->len; v++)
      check_key(&master, deal, deal->versions->pdata[v]);
    master_close(&master);
  }
}

/* Nearly every place of the catalogue can be pointed at; the rest is marked at its finding. */
static void
places_are_found_on_the_sheet(void **state)
{
  (void)state;
  Master master = master_open("pump-208");
  guint found = 0, all = 0;

  for (guint r = 0; r < evidence_row_count(master.evidence); r++) {
    Point at;
    const char *name = evidence_row(master.evidence, r)->place->name;
    const bool there = key_place_point(master.document, name, &at);
    all++;
    found += there;
    if (!there)
      g_print("%s\n", name);
  }
  g_print("%u of %u places\n", found, all);
  assert_true(found * 100 >= all * 95);
  master_close(&master);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(same_set_twice),
      cmocka_unit_test(grading_sheet_is_whole),
      cmocka_unit_test(keys_say_it_all),
      cmocka_unit_test(places_are_found_on_the_sheet),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
