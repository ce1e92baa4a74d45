/* SPDX-License-Identifier: MIT */
/* A class hands in. Numbers in the tables were worked out by hand from the rules in score.h:
 *
 *   Ann     mends the tap, 2 readings, no error                            100
 *   Bo      names it rightly, 8 readings, ohms on a live circuit            see below
 *   Cy      right place and topic, wrong fault, energized once, 0 readings  40 of 80, economy 10,
 *                                                                           less 10: 40
 *   Di      nothing, 1 reading                                              0
 *   Ed      another exercise of the set: names the blown fuse               100
 */
#include "dealt.h"

#include "grade/class_table.h"
#include "quiz/sealed.h"

#include <glib/gstdio.h>
#include <math.h>

typedef struct {
  Document *master;
  Inspection *sound;
  FaultScene *scene;
} Master;

static Master
master_open(const char *sample)
{
  Master master = {.master = script_open("samples", sample)};
  master.sound = inspection_new(master.master);
  master.scene = fault_scene_new(master.sound);
  return master;
}

static void
master_close(Master *master)
{
  fault_scene_free(master->scene);
  inspection_free(master->sound);
  document_free(master->master);
}

static Document *
exercise_of(const Master *master, const char *name, guint number, char **place)
{
  const Fault *fault = fault_find(name);
  g_autoptr(GPtrArray) places = fault_places(fault, master->scene);
  assert_true(places->len > 0);
  DealtFault dealt = {fault, places->pdata[0]};
  g_autoptr(GPtrArray) faults = g_ptr_array_new();
  g_ptr_array_add(faults, &dealt);
  DealtVersion version = {.number = number, .faults = faults, .symptom = (char *)"It hums."};
  Deal deal = {.digest = (char *)"0123456789abcdef0123456789abcdef", .order = deal_order_default};
  Document *exercise = deal_exercise_document(&deal, &version, master->scene, NULL, NULL);
  assert_non_null(exercise);
  *place = g_strdup(((FaultPlace *)places->pdata[0])->name);
  char *comma = strchr(*place, ',');
  if (comma != NULL)
    *comma = '\0';
  return exercise;
}

static char *
in(const char *folder, const char *name)
{
  return g_build_filename(folder, name, NULL);
}

/* The student read so often, and did what is said. */
static void
hand_in(const char *folder, const char *file, const char *student, const Document *exercise,
        const Document *final, guint readings, const char *place, const char *fault, bool ohms,
        bool power)
{
  Attempt *attempt = attempt_new(student, "2026-11-25");
  for (guint i = 0; i < readings; i++)
    attempt_add_step(attempt, STEP_VOLTS, i, true, "T1.X1", "T1.X2", "1 V", NULL);
  if (place != NULL)
    attempt_add_answer(attempt, place, fault);
  if (ohms)
    attempt_add_error(attempt, SAFETY_OHMS_LIVE, 1, "T1.X1", "Ohms.");
  if (power)
    attempt_add_error(attempt, SAFETY_CONSEQUENCE, 2, "T1", "It hums.");
  g_autoptr(Result) result = result_new(attempt, exercise, final, 12.5, "Shown.\n");
  g_autofree char *path = in(folder, file);
  assert_true(result_save(result, path, NULL));
}

static void
spoil(const char *folder, const char *from, const char *to, const char *find, const char *put)
{
  g_autofree char *source = in(folder, from), *target = in(folder, to), *text = NULL;
  gsize size;
  assert_true(g_file_get_contents(source, &text, &size, NULL));
  if (find == NULL) { /* cut off in the middle */
    assert_true(g_file_set_contents(target, text, (gssize)size / 2, NULL));
    return;
  }
  g_auto(GStrv) parts = g_strsplit(text, find, 2);
  assert_non_null(parts[1]);
  g_autofree char *edited = g_strjoin(put, parts[0], parts[1], NULL);
  assert_true(g_file_set_contents(target, edited, -1, NULL));
}

static const ClassRow *
row_of(const ClassTable *table, const char *student)
{
  for (guint i = 0; i < table->rows->len; i++) {
    const ClassRow *row = table->rows->pdata[i];
    if (strcmp(row->result->attempt->student, student) == 0)
      return row;
  }
  fail_msg("no row of %s", student);
  return NULL;
}

static const char *
why(const ClassTable *table, const char *file)
{
  for (guint i = 0; i < table->rejects->len; i++) {
    const ClassReject *reject = table->rejects->pdata[i];
    if (strcmp(reject->file, file) == 0)
      return reject->why;
  }
  fail_msg("%s was counted", file);
  return NULL;
}

static void
has_points(const ClassTable *table, const char *student, double points)
{
  const ClassRow *row = row_of(table, student);
  if (fabs(row->score->total - points) > 1e-9) {
    g_autofree char *text = score_dup_text(row->score);
    fail_msg("%s has %g points instead of %g\n%s", student, row->score->total, points, text);
  }
}

static void
check_fault(const ClassTable *table, guint at, const char *name, guint dealt, guint named,
            guint mended, double median, guint errors)
{
  const ClassFault *fault = table->faults->pdata[at];
  assert_string_equal(fault->fault, name);
  assert_int_equal(fault->dealt, dealt);
  assert_int_equal(fault->named, named);
  assert_int_equal(fault->mended, mended);
  assert_true(fault->readings == median);
  assert_int_equal(fault->errors, errors);
}

static void
remove_all(const char *folder)
{
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
    g_autofree char *path = in(folder, name);
    g_unlink(path);
  }
  g_rmdir(folder);
}

static void
check_tables(const ClassTable *table, guint shortest)
{
  assert_int_equal(table->rows->len, 5);
  has_points(table, "Ann", 100);
  /* Shortest path and one check of the repair are allowed; Bo took 8. */
  has_points(table, "Bo", 80 + 20 * fmin(1, (shortest + 1) / 8.0));
  has_points(table, "Cy", 40 + 10 - 10);
  has_points(table, "Di", 0);
  has_points(table, "Ed", 100);
  assert_int_equal(table->faults->len, 2);
  /* Readings 2, 8, 0, 1: median 1.5. Errors: Bo's ohms, Cy's power. */
  check_fault(table, 1, "lead-too-low", 4, 1, 1, 1.5, 2);
  check_fault(table, 0, "fuse-blown", 1, 1, 0, 0, 0);
}

static void
check_rejects(const ClassTable *table)
{
  assert_int_equal(table->rejects->len, 6);
  assert_non_null(strstr(why(table, "a.doorsheet-result"), "copy of a-again.doorsheet-result"));
  assert_non_null(strstr(why(table, "edited.doorsheet-result"), "edited"));
  assert_non_null(why(table, "damaged.doorsheet-result"));
  assert_non_null(why(table, "empty.doorsheet-result"));
  assert_non_null(strstr(why(table, "other.doorsheet-result"), "another quiz"));
  assert_non_null(strstr(why(table, "holiday.jpeg"), "foreign"));
}

static void
check_text(const ClassTable *table)
{
  g_autofree char *text = class_table_text(table);
  static const char *const wanted[] = {"5 results graded. 6 files not counted.",
                                       "Safety errors, apart from the points", "Not counted:"};
  for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
    if (strstr(text, wanted[i]) == NULL)
      fail_msg("no \"%s\" in\n%s", wanted[i], text);
  /* Ohms once by one student, power once by one student, each in a line of its own. */
  static const SafetyKind kinds[] = {SAFETY_OHMS_LIVE, SAFETY_CONSEQUENCE};
  for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++) {
    const char *line = strstr(text, safety_kind_title(kinds[i]));
    assert_non_null(line);
    guint errors = 0, results = 0;
    assert_int_equal(sscanf(line + strlen(safety_kind_title(kinds[i])), "%u %u", &errors, &results),
                     2);
    assert_int_equal(errors, 1);
    assert_int_equal(results, 1);
  }
  assert_null(strstr(text, safety_kind_title(SAFETY_NOT_VERIFIED)));
  g_autofree char *csv = class_table_csv(table);
  assert_non_null(strstr(csv,
                         "a-again.doorsheet-result,Ann,1,0123456789abcdef0123456789abcdef,100.0,"
                         "12.5,1,0,1,2,"));
  g_autofree char *faults = class_table_faults_csv(table);
  assert_non_null(strstr(faults, ",4,1,1,1.5,2\r\n"));
}

/* With the instructor's file at hand, and with nothing but what the exercises carry. */
static void
a_class_hands_in(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-class-XXXXXX", NULL);
  Master master = master_open("fan-480"), other = master_open("pump-208");
  g_autofree char *tap = NULL, *fuse = NULL, *far = NULL;
  g_autoptr(Document) one = exercise_of(&master, "lead-too-low", 1, &tap);
  g_autoptr(Document) two = exercise_of(&master, "fuse-blown", 2, &fuse);
  g_autoptr(Document) strange = exercise_of(&other, "fuse-blown", 1, &far);
  g_autoptr(Document) mended = sealed_open(one);
  hand_in(folder, "a.doorsheet-result", "Ann", one, mended, 2, NULL, NULL, false, false);
  hand_in(folder, "b.doorsheet-result", "Bo", one, one, 8, tap, "lead-too-low", true, false);
  hand_in(folder, "c.doorsheet-result", "Cy", one, one, 0, tap, "lead-too-high", false, true);
  hand_in(folder, "d.doorsheet-result", "Di", one, one, 1, NULL, NULL, false, false);
  hand_in(folder, "e.doorsheet-result", "Ed", two, two, 0, fuse, "fuse-blown", false, false);
  hand_in(folder, "other.doorsheet-result", "Flo", strange, strange, 0, far, "fuse-blown", false,
          false);
  g_autofree char *first = in(folder, "a.doorsheet-result"), *text = NULL;
  gsize size;
  assert_true(g_file_get_contents(first, &text, &size, NULL));
  g_autofree char *again = in(folder, "a-again.doorsheet-result");
  g_autofree char *empty = in(folder, "empty.doorsheet-result");
  g_autofree char *foreign = in(folder, "holiday.jpeg"), *sheet = in(folder, "sheet.doorsheet");
  /* The copy is listed first by name; the first by name counts. */
  assert_true(g_rename(first, again) == 0);
  assert_true(g_file_set_contents(first, text, (gssize)size, NULL));
  assert_true(g_file_set_contents(empty, "", 0, NULL));
  assert_true(g_file_set_contents(foreign, "x", 1, NULL));
  assert_true(g_file_set_contents(sheet, "passed over", -1, NULL));
  spoil(folder, "d.doorsheet-result", "edited.doorsheet-result", "points=\"12.500\"",
        "points=\"99.500\"");
  spoil(folder, "d.doorsheet-result", "damaged.doorsheet-result", NULL, NULL);
  g_autoptr(Attempt) nothing = attempt_new("", "2026-11-25");
  g_autoptr(Score) known = score_new(one, one, NULL, nothing);
  g_autoptr(ClassTable) table = class_table_new(folder, parts_catalog(), master.master, NULL);
  check_tables(table, known->shortest);
  check_rejects(table);
  check_text(table);
  /* Without the master nobody knows that the other quiz is another. */
  g_autoptr(ClassTable) alone = class_table_new(folder, parts_catalog(), NULL, NULL);
  assert_int_equal(alone->rows->len, 6);
  has_points(alone, "Bo", row_of(table, "Bo")->score->total);
  has_points(alone, "Cy", row_of(table, "Cy")->score->total);
  has_points(alone, "Flo", 100);
  remove_all(folder);
  master_close(&master);
  master_close(&other);
}

static void
an_empty_folder_is_no_error(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-class-XXXXXX", NULL);
  guint rejected = 7;
  g_autofree char *text = class_table_grade_folder(folder, parts_catalog(), NULL, &rejected, NULL);
  assert_non_null(text);
  assert_int_equal(rejected, 0);
  assert_string_equal(text, "0 results graded.\n\n");
  remove_all(folder);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_class_hands_in),
      cmocka_unit_test(an_empty_folder_is_no_error),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
