/* SPDX-License-Identifier: MIT */
/* Points by physics, result files that show edits, and the class table. */
#include "dealt.h"

#include "grade/class_table.h"

#include <glib/gstdio.h>

static Score *
score_of(const Dealt *dealt, const Document *final, const Document *master, const char *place,
         const char *fault)
{
  g_autoptr(Attempt) attempt = attempt_new("Jo", "2026-11-25");
  if (fault != NULL)
    attempt_add_answer(attempt, place, fault);
  return score_new(dealt->exercise, final, master, attempt);
}

static void
points(const Dealt *dealt, const Document *final, const Document *master, const char *place,
       const char *fault, double expected)
{
  g_autoptr(Score) score = score_of(dealt, final, master, place, fault);
  if (score->total != expected) {
    g_autofree char *text = score_dup_text(score);
    fail_msg("%s at %s: %g instead of %g points\n%s", fault != NULL ? fault : "nothing",
             place != NULL ? place : "-", score->total, expected, text);
  }
}

static void
answers_are_judged_by_the_master(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("pump-208", "fuse-blown", 0); /* FU1 or the like */
  points(&dealt, dealt.exercise, dealt.master, NULL, NULL, 0);
  points(&dealt, dealt.exercise, dealt.master, dealt.place, "fuse-blown", 100);
  /* Right place, wrong topic; right topic, wrong place. Economy in the share of what was solved. */
  points(&dealt, dealt.exercise, dealt.master, dealt.place, "fuse-bridged",
         SCORE_PLACE * 100 / SCORE_SOLVED);
  points(&dealt, dealt.exercise, dealt.master, "S1", "fuse-blown",
         SCORE_TOPIC * 100 / SCORE_SOLVED);
  points(&dealt, dealt.exercise, dealt.master, "S1", "supply-low", 0);
  points(&dealt, dealt.exercise, dealt.master, dealt.place, "no-such-fault",
         SCORE_PLACE * 100 / SCORE_SOLVED);
  dealt_clear(&dealt);
}

static void
every_fault_named_where_it_is_counts(void **state)
{
  (void)state;
  guint tried = 0;
  for (guint i = 0; i < fault_count(); i++) {
    const Fault *fault = fault_at(i);
    g_autoptr(Document) master = script_open("samples", "pump-208");
    g_autoptr(Inspection) sound = inspection_new(master);
    g_autoptr(FaultScene) scene = fault_scene_new(sound);
    g_autoptr(GPtrArray) places = fault_places(fault, scene);
    if (places->len == 0)
      continue;
    Dealt dealt = dealt_with("pump-208", fault->name, places->len - 1);
    g_auto(GStrv) places_named = g_strsplit(dealt.place, ", ", -1);
    char *as = strstr(places_named[0], " as "); /* "conductor 203 as 104": at 203 */
    if (as != NULL)
      *as = '\0';
    g_autoptr(Score) named =
        score_of(&dealt, dealt.exercise, dealt.master, places_named[0], fault->name);
    g_autoptr(Score) mended = score_of(&dealt, dealt.master, NULL, NULL, NULL);
    const ScoreFault *truth = named->truths->len > 0 ? named->truths->pdata[0] : NULL;
    if (truth == NULL || !truth->named || named->solved != SCORE_SOLVED)
      fail_msg("%s at %s is not taken for right", fault->name, dealt.place);
    /* Nameplates and the paper are not mended by a student: those have to be named. */
    bool may_mend = mended->why_not == NULL || strstr(mended->why_not, "nameplate") != NULL;
    if (!may_mend)
      fail_msg("%s: the master does not count as mended: %s", fault->name, mended->why_not);
    tried++;
    dealt_clear(&dealt);
  }
  assert_true(tried > 25);
}

static void
no_answer_is_needed_in_the_file(void **state)
{
  (void)state;
  /* Without master and not mended: by the findings alone. */
  Dealt dealt = dealt_with("fan-480", "lead-too-low", 0);
  g_autoptr(Score) score = score_of(&dealt, dealt.exercise, NULL, "T1", "lead-too-low");
  assert_false(score->by_reference);
  if (score->solved != SCORE_SOLVED) {
    g_autofree char *text = score_dup_text(score);
    fail_msg("%s", text);
  }
  g_autoptr(Score) wrong = score_of(&dealt, dealt.exercise, NULL, "T1", "lead-too-high");
  assert_true(wrong->solved < SCORE_SOLVED);
  /* Mended by the student: that diagram is the reference. */
  g_autoptr(Score) mended = score_of(&dealt, dealt.master, NULL, NULL, NULL);
  assert_true(mended->by_reference && mended->mended);
  assert_true(mended->solved == SCORE_SOLVED);
  assert_string_equal(((const ScoreFault *)mended->truths->pdata[0])->fault, "lead-too-low");
  assert_true(mended->shortest > 0);
  dealt_clear(&dealt);
}

static void
a_nameplate_is_no_repair(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("pump-208", "load-for-less", 0);
  g_autoptr(Document) final = document_snapshot(dealt.exercise);
  const Device *master = document_find_device(dealt.master, dealt.place);
  const Value *accepts = device_value_named(master, "accepts");
  g_autofree char *text = NULL;
  for (guint i = 0; i < master->kind->n_fields; i++)
    if (strcmp(master->kind->fields[i].name, "accepts") == 0)
      text = value_dup_text(accepts, &master->kind->fields[i]);
  assert_true(
      document_apply(final, edit_set_field(final, dealt.place, "accepts", text, NULL), NULL));
  g_autoptr(Score) score = score_of(&dealt, final, NULL, NULL, NULL);
  assert_false(score->mended);
  assert_non_null(strstr(score->why_not, "nameplate"));
  dealt_clear(&dealt);
}

static void
power_and_many_readings_cost_points(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("fan-480", "lead-too-low", 0);
  g_autoptr(Attempt) attempt = attempt_new("Jo", "2026-11-25");
  attempt_add_error(attempt, SAFETY_CONSEQUENCE, 1, "T1", "It hums.");
  attempt_add_error(attempt, SAFETY_OHMS_LIVE, 2, "T1", "Ohms.");
  g_autoptr(Score) few = score_new(dealt.exercise, dealt.master, dealt.master, attempt);
  assert_true(few->total == 100 - SCORE_CONSEQUENCE); /* the other error costs nothing */
  g_autofree char *told = score_dup_text(few);
  g_autofree char *ohms = g_strdup_printf("  %s: 1\n", safety_kind_title(SAFETY_OHMS_LIVE));
  assert_non_null(strstr(told, "Safety errors: 2."));
  assert_non_null(strstr(told, ohms)); /* apart from the points, by kind */
  assert_null(strstr(told, safety_kind_title(SAFETY_NOT_VERIFIED)));
  guint allowed = few->shortest + 1;
  for (guint i = 0; i < 2 * allowed; i++)
    attempt_add_step(attempt, STEP_VOLTS, i, true, "T1.X1", "T1.X2", "1 V", NULL);
  g_autoptr(Score) many = score_new(dealt.exercise, dealt.master, dealt.master, attempt);
  assert_true(many->economy == SCORE_ECONOMY / 2);
  dealt_clear(&dealt);
}

/* --- result files --- */

static Result *
a_result(const Dealt *dealt, const char *student, bool mended)
{
  Attempt *attempt = attempt_new(student, "2026-11-25");
  attempt_add_step(attempt, STEP_VOLTS, 1.5, false, "T1.X1", "T1.X2", "0 V", NULL);
  attempt_add_step(attempt, STEP_ENERGIZE, 2.25, true, NULL, NULL, NULL, NULL);
  attempt_add_error(attempt, SAFETY_OHMS_LIVE, 3, "T1.X1, T1.X2", "Ohms <live> & \"loud\".");
  attempt_add_answer(attempt, "T1", "lead-too-low");
  return result_new(attempt, dealt->exercise, mended ? dealt->master : dealt->exercise, 87.5,
                    "It was the tap.\nPoints: 87.5.\n");
}

static void
result_files_come_back(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("fan-480", "lead-too-low", 0);
  g_autoptr(Result) result = a_result(&dealt, "J\303\266 \001 <Miller> & \"Co\"", true);
  g_autoptr(GBytes) bytes = result_write_memory(result);
  g_autoptr(GError) error = NULL;
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autoptr(Result) read = result_read_memory(data, size, "r", parts_catalog(), &error);
  if (read == NULL)
    fail_msg("%s", error->message);
  g_autoptr(GBytes) again = result_write_memory(read);
  assert_true(g_bytes_equal(bytes, again));
  assert_true(document_equal(read->final, dealt.master));
  assert_int_equal(read->attempt->steps->len, 2);
  assert_true(read->points == 87.5);
  g_autofree char *name = result_dup_name(read);
  assert_string_equal(name, "exercise-3-jo-miller-co.doorsheet-result");
  dealt_clear(&dealt);
}

/* Every letter of every value, changed, is an edit or an error; never a crash, never accepted. */
static void
edits_show(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("fan-480", "lead-too-low", 0);
  g_autoptr(Result) result = a_result(&dealt, "Jo Miller", false);
  g_autoptr(GBytes) bytes = result_write_memory(result);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  guint edited = 0, damaged = 0;
  for (gsize i = 60; i < size; i += 7) {
    if (!g_ascii_isalnum(data[i]))
      continue;
    g_autofree char *copy = g_memdup2(data, size);
    copy[i] = data[i] == '1' ? '2' : data[i] == 'x' ? 'y' : g_ascii_isdigit(data[i]) ? '1' : 'x';
    g_autoptr(GError) error = NULL;
    g_autoptr(Result) read = result_read_memory(copy, size, "r", parts_catalog(), &error);
    if (read != NULL)
      fail_msg("an edit at byte %zu went by: %.30s", i, copy + i - 15);
    edited += g_error_matches(error, RESULT_ERROR, RESULT_ERROR_EDITED);
    damaged += !g_error_matches(error, RESULT_ERROR, RESULT_ERROR_EDITED);
  }
  assert_true(edited > 20 && damaged > 20);
  for (gsize cut = 0; cut < size; cut += 97) {
    g_autoptr(GError) error = NULL;
    assert_null(result_read_memory(data, cut, "r", parts_catalog(), &error));
    assert_non_null(error);
  }
  dealt_clear(&dealt);
}

/* --- the class --- */

static void
save_in(const char *folder, const char *name, const Result *result)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  assert_true(result_save(result, path, NULL));
}

static void
write_in(const char *folder, const char *name, const char *text)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  assert_true(g_file_set_contents(path, text, -1, NULL));
}

static void
a_class_is_graded(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("fan-480", "lead-too-low", 0);
  g_autofree char *folder = g_dir_make_tmp("doorsheet-class-XXXXXX", NULL);
  g_autoptr(Result) good = a_result(&dealt, "=Ann, A.", true), bad = a_result(&dealt, "Bo", false);
  g_clear_pointer(&bad->attempt->answers, g_ptr_array_unref);
  bad->attempt->answers = g_ptr_array_new();
  save_in(folder, "a.doorsheet-result", good);
  save_in(folder, "b.doorsheet-result", bad);
  g_autoptr(GBytes) bytes = result_write_memory(bad);
  g_autofree char *text = g_strdup(g_bytes_get_data(bytes, NULL));
  memcpy(strstr(text, "points=\"87"), "points=\"99", 10);
  write_in(folder, "c.doorsheet-result", text);
  write_in(folder, "d.doorsheet-result", "nothing");
  write_in(folder, "e.odt", "something");
  write_in(folder, "f.doorsheet", "passed over");
  guint rejected = 0;
  g_autoptr(GError) error = NULL;
  g_autofree char *shown =
      class_table_grade_folder(folder, parts_catalog(), NULL, &rejected, &error);
  assert_non_null(shown);
  assert_int_equal(rejected, 3);
  g_autoptr(ClassTable) table = class_table_new(folder, parts_catalog(), NULL, NULL);
  assert_int_equal(table->rows->len, 2);
  const ClassRow *first = table->rows->pdata[0], *second = table->rows->pdata[1];
  assert_string_equal(first->result->attempt->student, "=Ann, A.");
  assert_true(first->score->mended && first->score->solved == SCORE_SOLVED);
  assert_true(second->score->by_reference); /* by the other student's repair */
  assert_true(second->score->total == 0);
  assert_int_equal(table->faults->len, 1);
  const ClassFault *fault = table->faults->pdata[0];
  assert_string_equal(fault->fault, "lead-too-low");
  assert_int_equal(fault->dealt, 2);
  assert_int_equal(fault->mended, 1);
  assert_true(fault->readings == 1);
  assert_int_equal(fault->errors, 2);
  g_autofree char *csv = class_table_csv(table);
  assert_non_null(strstr(csv, "\"'=Ann, A.\"")); /* no formula */
  assert_non_null(strstr(csv, "c.doorsheet-result,,"));
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_unlink(path);
  }
  g_rmdir(folder);
  assert_null(class_table_new(folder, parts_catalog(), NULL, &error));
  dealt_clear(&dealt);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(answers_are_judged_by_the_master),
      cmocka_unit_test(every_fault_named_where_it_is_counts),
      cmocka_unit_test(no_answer_is_needed_in_the_file),
      cmocka_unit_test(a_nameplate_is_no_repair),
      cmocka_unit_test(power_and_many_readings_cost_points),
      cmocka_unit_test(result_files_come_back),
      cmocka_unit_test(edits_show),
      cmocka_unit_test(a_class_is_graded),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
