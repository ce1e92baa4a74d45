/* SPDX-License-Identifier: MIT */
/* The catalogue: its table, and every fault at every place of every sound diagram. */
#include "../checks/edit_script.h"

#include "matrix.h"

static void
test_table(void **state)
{
  (void)state;
  g_autoptr(GHashTable) names = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint f = 0; fault_at(f) != NULL; f++) {
    const Fault *fault = fault_at(f);
    assert_true(g_hash_table_add(names, (gpointer)fault->name));
    assert_ptr_equal(fault_find(fault->name), fault);
    assert_non_null(check_find(fault->check));
    assert_true(strlen(fault->title) > 8);
    assert_true(strlen(fault->symptom) > 8);
    assert_true(*fault_topic_word(fault->topic) != '\0' && *fault_level_word(fault->level) != '\0');
    assert_true((fault->also == NULL) == (fault->why == NULL));
    g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
    for (guint i = 0; also[i] != NULL; i++) {
      if (*also[i] != '\0' && check_find(also[i]) == NULL)
        fail_msg("%s: no check %s", fault->name, also[i]);
      assert_string_not_equal(also[i], fault->check);
    }
  }
  assert_int_equal(g_hash_table_size(names), fault_count());
  assert_null(fault_find("no-such-fault"));
  assert_null(fault_at(fault_count()));
}

static void
test_every_check_has_a_fault(void **state)
{
  (void)state;
  guint without = 0;
  for (const Check *check = checks_table; check->name != NULL; check++) {
    /* Equations without a solution: no sheet is known that makes them. tests/checks gives that
     * check its errors by hand. */
    bool has = strcmp(check->name, "not-solved") == 0;
    for (guint f = 0; fault_at(f) != NULL; f++)
      has = has || strcmp(fault_at(f)->check, check->name) == 0;
    if (!has) {
      g_printerr("no fault causes %s\n", check->name);
      without++;
    }
  }
  assert_int_equal(without, 0);
}

/* Two capped leads on that sheet, so two places for a lead left open, by name. */
static void
test_places(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("tests/data/checks", "control-480");
  g_autoptr(Inspection) sound = inspection_new(document);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  g_autoptr(GPtrArray) open = fault_places(fault_find("lead-left-open"), scene);
  assert_int_equal(open->len, 2);
  assert_string_not_equal(((FaultPlace *)g_ptr_array_index(open, 0))->name,
                          ((FaultPlace *)g_ptr_array_index(open, 1))->name);
  g_autoptr(GPtrArray) motor = fault_places(fault_find("motor-reversed"), scene);
  assert_int_equal(motor->len, 0); /* no motor on it */
  FaultPlace nowhere = {1000, 1000, NULL};
  assert_null(fault_change(fault_find("lead-left-open"), scene, &nowhere));
}

static void
assert_chapter(const char *name, const char *generated)
{
  g_autofree char *path = manual_path("ui/manual", name);
  g_autofree char *committed = NULL;
  if (!g_file_get_contents(path, &committed, NULL, NULL))
    fail_msg("cannot read %s", path);
  if (strcmp(committed, generated) != 0)
    fail_msg("%s is not what the program generates: run write-manual", path);
}

static void
test_matrix(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  assert_true(sheets.documents->len >= 30);
  Matrix matrix = matrix_run(&sheets, problems);
  for (guint f = 0; f < matrix.n_faults; f++)
    if (matrix.places[f] == 0)
      g_string_append_printf(problems, "%s has no place on any sheet\n", fault_at(f)->name);
  g_print("%u faults, %u checks, %u diagrams, %u places\n", matrix.n_faults, matrix.n_checks,
          matrix.n_sheets, matrix.tried);
  g_autofree char *faults = manual_faults(&matrix), *checks = manual_checks();
  matrix_clear(&matrix);
  sheets_clear(&sheets);
  if (problems->len > 0) {
    g_printerr("%s", problems->str);
    fail_msg("the matrix has holes");
  }
  assert_chapter("faults.md", faults);
  assert_chapter("checks.md", checks);
}

/* Nothing listed to follow that never does: a list too generous would hide false alarms. */
static void
test_followers_follow(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  Matrix matrix = matrix_run(&sheets, problems);
  guint idle = 0;
  for (guint f = 0; f < matrix.n_faults; f++) {
    const Fault *fault = fault_at(f);
    g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
    for (guint i = 0; also[i] != NULL; i++) {
      const Check *check = check_find(also[i]);
      if (check == NULL || matrix.hits[f * matrix.n_checks + (guint)(check - checks_table)] > 0)
        continue;
      g_printerr("%s never follows from %s\n", also[i], fault->name);
      idle++;
    }
  }
  matrix_clear(&matrix);
  sheets_clear(&sheets);
  assert_int_equal(idle, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_table),
      cmocka_unit_test(test_every_check_has_a_fault),
      cmocka_unit_test(test_places),
      cmocka_unit_test(test_matrix),
      cmocka_unit_test(test_followers_follow),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
