/* SPDX-License-Identifier: MIT */
/* A student at an exercise: what is put away, what is logged, what power does, handing in. */
#include "drive.h"

#include "diagram/document_file.h"
#include "grade/result_file.h"
#include "grade/touch.h"
#include "lesson/exercise_page.h"
#include "parts/catalog.h"
#include "quiz/deal.h"
#include <glib/gstdio.h>
#include <string.h>

static GtkApplication *application;
static char *folder;

/* An exercise in a file: the fault at the first place it fits on the sample. New string. */
static char *
exercise_file(const char *sample, const char *name)
{
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", sample, NULL);
  g_autoptr(Document) document = document_read(path, parts_catalog(), NULL);
  assert_non_null(document);
  g_autoptr(Inspection) sound = inspection_new(document);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  const Fault *fault = fault_find(name);
  g_autoptr(GPtrArray) places = fault_places(fault, scene);
  assert_true(places->len > 0);
  assert_true(document_apply(document, fault_change(fault, scene, places->pdata[0]), NULL));
  g_autoptr(SheetData) sheet = sheet_data_copy(document_sheet(document));
  const char *const values[] = {"3",        "Protection", "The pump is dead.", "easy", "1",
                                "0123abcd", NULL};
  for (guint i = 0; i < EXERCISE_FIELD_COUNT; i++)
    assert_true(value_set_text(&sheet->exercise[i], &exercise_fields[i], values[i], NULL));
  Change *change = change_new("Exercise");
  change_sheet(change, document_sheet(document), sheet);
  assert_true(document_apply(document, change, NULL));
  char *file = g_strdup_printf("%s/%s.doorsheet", folder, name);
  assert_true(document_save(document, file, NULL));
  return file;
}

static ExercisePage *
find_page(GtkWidget *root)
{
  if (DOORSHEET_IS_EXERCISE_PAGE(root))
    return DOORSHEET_EXERCISE_PAGE(root);
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    ExercisePage *page = find_page(child);
    if (page != NULL)
      return page;
  }
  return NULL;
}

static DoorsheetWindow *
student_window(const char *sample, const char *fault, ExercisePage **page)
{
  g_autofree char *file = exercise_file(sample, fault);
  DoorsheetWindow *window = drive_open(application, file);
  *page = find_page(GTK_WIDGET(window));
  assert_non_null(*page);
  assert_true(exercise_page_is_active(*page));
  return window;
}

static void
findings_are_put_away(void **state)
{
  (void)state;
  ExercisePage *page;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown", &page);
  Session *session = window_get_session(window);
  assert_string_equal(window_get_page(window), "exercise");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "Exercise 3: Protection");
  drive_action_text(window, "page", "check");
  assert_string_equal(window_get_page(window), "exercise");
  drive_action(window, "next-finding");
  assert_int_equal(session_get_shown(session)->len, 0);
  drive_action(window, "energize");
  g_autofree char *volts = session_dup_volts(session, "T1", "X1");
  assert_string_equal(volts, "not measured");
  drive_close(window);
  /* Another sheet has its five pages. */
  DoorsheetWindow *other = drive_window(application);
  window_show_page(other, "check");
  assert_string_equal(window_get_page(other), "check");
  drive_close(other);
}

static void
a_blown_fuse_is_found_mended_and_handed_in(void **state)
{
  (void)state;
  ExercisePage *page;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown", &page);
  Session *session = window_get_session(window);
  session_set_probe(session, PROBE_RED, "FU3", "1");
  session_set_probe(session, PROBE_BLACK, "FU3", "2");
  assert_int_equal(exercise_page_get_attempt(page)->steps->len, 0); /* on their way */
  drive_action(window, "energize");
  exercise_page_settle(page);
  exercise_page_settle(page); /* the same reading counts once */
  const Attempt *attempt = exercise_page_get_attempt(page);
  assert_int_equal(attempt->steps->len, 2);
  const AttemptStep *step = attempt->steps->pdata[1];
  assert_int_equal(step->kind, STEP_VOLTS);
  assert_true(g_ascii_strtod(step->reads, NULL) > 100); /* supply volts across an open fuse */
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, step->reads);
  drive_action_text(window, "meter", "ohms"); /* live: at once an error */
  assert_int_equal(attempt_errors_of(attempt, SAFETY_OHMS_LIVE), 1);
  drive_action_text(window, "meter", "volts");
  drive_action(window, "energize");
  session_select_device(session, "FU3", false);
  drive_press(GTK_WIDGET(window), "Name this fault here");
  assert_int_equal(attempt->answers->len, 1);
  drive_press(GTK_WIDGET(window), "Take back");
  assert_int_equal(attempt->answers->len, 0);
  drive_press(GTK_WIDGET(window), "Replace what is selected");
  assert_int_equal(attempt_errors_of(attempt, SAFETY_NOT_VERIFIED), 1);
  drive_press(GTK_WIDGET(window), "Hand in");
  assert_false(exercise_page_is_handed_in(page)); /* no name yet */
  GtkWidget *entry = drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "Log");
  for (GtkWidget *child = gtk_widget_get_first_child(GTK_WIDGET(page)); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    if (GTK_IS_ENTRY(child))
      entry = child;
  gtk_editable_set_text(GTK_EDITABLE(entry), "Jo Miller");
  drive_press(GTK_WIDGET(window), "Hand in");
  assert_true(exercise_page_is_handed_in(page));
  g_autofree char *path = g_build_filename(folder, "jo.doorsheet-result", NULL);
  assert_true(exercise_page_save(page, path, NULL));
  g_autoptr(GError) error = NULL;
  g_autoptr(Result) result = result_read(path, parts_catalog(), &error);
  if (result == NULL)
    fail_msg("%s", error->message);
  /* Solved, and economy 2/3 of 20: one reading finds it and one proves the repair; three taken. */
  if (result->points < 93.3 || result->points > 93.4)
    fail_msg("%s", result->summary);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "93 of 100 points");
  assert_string_equal(result->attempt->student, "Jo Miller");
  assert_int_equal(result->attempt->errors->len, 2);
  drive_close(window);
}

static void
power_on_a_short_opens_the_fuse(void **state)
{
  (void)state;
  ExercisePage *page;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "load-shorted", &page);
  drive_action(window, "energize");
  drive_settle();
  const Attempt *attempt = exercise_page_get_attempt(page);
  guint told = attempt_errors_of(attempt, SAFETY_CONSEQUENCE);
  assert_true(told > 0);
  assert_int_equal(attempt->errors->len, told); /* the fuse opens by itself: no hand is blamed */
  bool blown = false;
  const Document *document = drive_document(window);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind->role == ROLE_FUSE)
      blown |= touch_is_blown(device);
  }
  assert_true(blown);
  drive_close(window);
}

/* What is exported is the student sheet, whatever the window computes behind it. */
static void
only_the_student_sheet_leaves(void **state)
{
  (void)state;
  ExercisePage *page;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "frame-not-grounded", &page);
  g_autofree char *path = g_build_filename(folder, "leaves.svg", NULL);
  g_autofree char *svg = NULL;
  assert_true(window_export_to(window, path, NULL));
  assert_true(g_file_get_contents(path, &svg, NULL, NULL));
  assert_non_null(strstr(svg, "Your answer"));
  assert_null(strstr(svg, "Findings"));
  assert_null(strstr(svg, "urn:doorsheet"));
  g_unlink(path);
  drive_close(window);
}

int
main(void)
{
  folder = g_dir_make_tmp("doorsheet-lesson-XXXXXX", NULL);
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(findings_are_put_away),
      cmocka_unit_test(a_blown_fuse_is_found_mended_and_handed_in),
      cmocka_unit_test(power_on_a_short_opens_the_fuse),
      cmocka_unit_test(only_the_student_sheet_leaves),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
