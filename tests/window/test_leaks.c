/* SPDX-License-Identifier: MIT */
/* Ways out of a window with an exercise in it: what its widgets say (shown or not, to eyes and to
 * assistive technology), the clipboard, files, export, recovery, the picture, hovering, finding.
 * Each test fails when the guard it is about is taken away. */
#include "drive.h"

#include "diagram/document_file.h"
#include "figure/figure.h"
#include "handout/seen.h"
#include "keep/recovery.h"
#include "lesson/exercise_page.h"
#include "parts/catalog.h"
#include "pen/pen_svg.h"
#include "quiz/deal.h"
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

static GtkApplication *application;
static char *folder;

typedef struct {
  Document *master;
  Inspection *sound;
  FaultScene *scene;
} Lesson;

static Lesson
lesson_open(const char *sample)
{
  Lesson lesson = {0};
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", sample, NULL);
  lesson.master = document_read(path, parts_catalog(), NULL);
  assert_non_null(lesson.master);
  lesson.sound = inspection_new(lesson.master);
  lesson.scene = fault_scene_new(lesson.sound);
  return lesson;
}

static void
lesson_close(Lesson *lesson)
{
  fault_scene_free(lesson->scene);
  inspection_free(lesson->sound);
  document_free(lesson->master);
}

/* As a student gets it; NULL: the fault fits nowhere. */
static Document *
handed_out(const Lesson *lesson, const Fault *fault)
{
  g_autoptr(GPtrArray) places = fault_places(fault, lesson->scene);
  if (places->len == 0)
    return NULL;
  DealtFault dealt = {fault, places->pdata[0]};
  g_autoptr(GPtrArray) faults = g_ptr_array_new();
  g_ptr_array_add(faults, &dealt);
  DealtVersion version = {.number = 1, .faults = faults, .symptom = (char *)"Nothing runs."};
  Deal deal = {.digest = (char *)"0123456789abcdef0123456789abcdef", .order = deal_order_default};
  Document *document = deal_exercise_document(&deal, &version, lesson->scene, "Lesson", NULL);
  assert_non_null(document);
  return document;
}

static DoorsheetWindow *
student_window(const char *sample, const char *fault)
{
  Lesson lesson = lesson_open(sample);
  g_autoptr(Document) document = handed_out(&lesson, fault_find(fault));
  assert_non_null(document);
  g_autofree char *file = g_strdup_printf("%s/exercise.doorsheet", folder);
  assert_true(document_save(document, file, NULL));
  lesson_close(&lesson);
  DoorsheetWindow *window = drive_open(application, file);
  assert_true(sheet_is_exercise(document_sheet(drive_document(window))));
  return window;
}

/* --- what widgets say --- */

static void
add_text(GPtrArray *texts, const char *text)
{
  if (text != NULL && *text != '\0')
    g_ptr_array_add(texts, g_strdup(text));
}

/* Name and description for assistive technology: a check against a text nobody has says what it is
 * instead. */
static void
add_accessible(GPtrArray *texts, GtkWidget *widget)
{
  static const GtkAccessibleProperty asked[] = {GTK_ACCESSIBLE_PROPERTY_LABEL,
                                                GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                                GTK_ACCESSIBLE_PROPERTY_VALUE_TEXT};
  for (gsize i = 0; i < G_N_ELEMENTS(asked); i++) {
    if (!gtk_test_accessible_has_property(GTK_ACCESSIBLE(widget), asked[i]))
      continue;
    g_autofree char *text =
        gtk_test_accessible_check_property(GTK_ACCESSIBLE(widget), asked[i], "\001");
    add_text(texts, text);
  }
}

static void
collect(GPtrArray *texts, GtkWidget *widget)
{
  if (GTK_IS_LABEL(widget))
    add_text(texts, gtk_label_get_text(GTK_LABEL(widget)));
  if (GTK_IS_EDITABLE(widget))
    add_text(texts, gtk_editable_get_text(GTK_EDITABLE(widget)));
  add_text(texts, gtk_widget_get_tooltip_text(widget));
  add_accessible(texts, widget);
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    collect(texts, child);
}

static void
nobody_says(const GPtrArray *texts, const char *what, const char *why)
{
  for (guint i = 0; i < texts->len; i++)
    if (strstr(texts->pdata[i], what) != NULL)
      fail_msg("%s: \"%s\" is said in \"%s\"", why, what, (char *)texts->pdata[i]);
}

/* Expected readings as words, those no nameplate carries too. */
static guint
no_expected(const GPtrArray *texts, const GArray *readings)
{
  guint looked = 0;
  for (guint i = 0; readings != NULL && i < readings->len; i++) {
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    if (reading->state != READING_LIVE || fmod(reading->volts, 1) < 0.05)
      continue;
    g_autofree char *text = expected_reading_text(reading, 4);
    nobody_says(texts, text, "an expected reading");
    g_autofree char *range = quantity_display_range(reading->low, reading->high, UNIT_VOLT, 4);
    nobody_says(texts, range, "an expected range");
    looked++;
  }
  return looked;
}

static void
no_widget_tells(void **state)
{
  (void)state;
  static const char *const pages[] = {"measure", "land", "check", "read", "post"};
  static const char *const faults[] = {"fuse-blown", "lead-too-low", "frame-not-grounded"};
  for (gsize f = 0; f < G_N_ELEMENTS(faults); f++) {
    DoorsheetWindow *window = student_window("pump-208.doorsheet", faults[f]);
    Session *session = window_get_session(window);
    for (int energized = 0; energized < 2; energized++) {
      for (gsize p = 0; p < G_N_ELEMENTS(pages); p++)
        drive_action_text(window, "page", pages[p]);
      drive_action(window, "next-finding");
      session_select_all(session);
      session_select_device(session, "T1", false);
      drive_settle();
      g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
      collect(texts, GTK_WIDGET(window));
      assert_true(texts->len > 60);
      const SessionResult *result = session_get_result(session);
      const GPtrArray *findings = result->inspection->findings;
      assert_true(findings->len > 0);
      for (guint i = 0; i < findings->len; i++) {
        nobody_says(texts, ((Finding *)findings->pdata[i])->message, "a finding");
        nobody_says(texts, ((Finding *)findings->pdata[i])->title, "a finding");
      }
      assert_true(no_expected(texts, result->expected) > 3);
      no_expected(texts, result->expected_locked);
      nobody_says(texts, "expect ", "the meter");
      nobody_says(texts, "V to ground", "volts at a place");
      nobody_says(texts, "blown", "the fuse");
      if (energized == 0) {
        session_set_energized(session, true);
        drive_settle();
      }
    }
    drive_close(window);
  }
}

/* The meter shows digits and no more, wherever the probes lie. */
static void
the_meter_shows_digits_only(void **state)
{
  (void)state;
  static const char *const dials[] = {"volts", "amps", "ohms"};
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown");
  Session *session = window_get_session(window);
  GtkWidget *meter = drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "- - - V");
  while (strcmp(G_OBJECT_TYPE_NAME(meter), "MeterStrip") != 0)
    meter = gtk_widget_get_parent(meter);
  static const char *const said[] = {"open",     "live",       "dead",   "ghost",
                                     "floating", "undefined",  "expect", "Ohms only",
                                     "fixes",    "resistance", "knee"};
  for (gsize d = 0; d < G_N_ELEMENTS(dials); d++)
    for (int energized = 0; energized < 2; energized++) {
      drive_action_text(window, "meter", dials[d]);
      session_set_energized(session, energized);
      session_select_conductor(session, document_conductor(drive_document(window), 0)->key, false);
      for (guint i = 0; i < document_device_count(drive_document(window)); i++) {
        const Device *device = document_device(drive_document(window), i);
        if (device_terminal_count(device) == 0) /* an enclosure */
          continue;
        session_set_probe(session, PROBE_RED, device->id, device_terminal(device, 0)->name);
        session_set_probe(session, PROBE_BLACK, "T1", "X1");
        g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
        collect(texts, meter);
        for (gsize s = 0; s < G_N_ELEMENTS(said); s++)
          if (!(strcmp(dials[d], "ohms") == 0 && energized)) /* the warning is for hands */
            for (guint t = 0; t < texts->len; t++)
              if (g_strcmp0(texts->pdata[t], said[s]) == 0 ||
                  (strlen(said[s]) > 5 && strstr(texts->pdata[t], said[s]) != NULL))
                fail_msg("on %s at %s the meter says \"%s\"", dials[d], device->id,
                         (char *)texts->pdata[t]);
      }
    }
  drive_close(window);
}

/* --- hovering and finding --- */

static void
hovering_and_selecting_tell_nothing(void **state)
{
  (void)state;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "conductor-broken");
  Session *session = window_get_session(window);
  const Document *document = drive_document(window);
  session_set_energized(session, true);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *text = session_dup_conductor_text(session, conductor);
    if (strstr(text, "not measured") == NULL || strstr(text, "current") != NULL ||
        strstr(text, "broken") != NULL)
      fail_msg("hovering tells: %s", text);
    session_select_conductor(session, conductor->key, false);
    g_autofree char *selected = session_dup_selection_text(session);
    assert_null(strstr(selected, "current"));
    assert_null(strstr(selected, "broken"));
  }
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    for (guint t = 0; t < device_terminal_count(device); t++) {
      g_autofree char *volts =
          session_dup_volts(session, device->id, device_terminal(device, t)->name);
      assert_string_equal(volts, "not measured");
    }
    drive_hover(window, drive_middle(window, device->id));
    g_autoptr(GPtrArray) texts = g_ptr_array_new_with_free_func(g_free);
    collect(texts, GTK_WIDGET(window));
    nobody_says(texts, "V to ground", "hovering");
    nobody_says(texts, "broken", "hovering");
  }
  drive_close(window);
}

/* --- the clipboard --- */

static void
nothing_is_copied(void **state)
{
  (void)state;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown");
  Session *session = window_get_session(window);
  session_select_all(session);
  assert_null(window_copy_provider(session));
  drive_action(window, "copy");
  drive_settle();
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL,
             "An exercise is not copied: it is worked where it is, and its result is handed in.");
  drive_close(window);
}

/* --- what may not be done is refused, and says so --- */

static char *last_said;

static void
on_message(Session *session, const char *text, gpointer data)
{
  (void)session;
  (void)data;
  g_free(last_said);
  last_said = g_strdup(text);
}

static void
refused(DoorsheetWindow *window, const Document *before, const char *what)
{
  drive_settle();
  if (!document_equal(before, drive_document(window)))
    fail_msg("%s went by", what);
  if (last_said == NULL || strlen(last_said) < 40 || !g_str_has_suffix(last_said, "."))
    fail_msg("%s: silent, or no sentence: %s", what, last_said != NULL ? last_said : "nothing");
  g_clear_pointer(&last_said, g_free);
}

static void
forbidden_edits_are_refused_with_a_sentence(void **state)
{
  (void)state;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown");
  Session *session = window_get_session(window);
  g_signal_connect(session, "message", G_CALLBACK(on_message), NULL);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  g_clear_pointer(&last_said, g_free);
  session_select_device(session, "T1", false);
  drive_action(window, "delete");
  refused(window, before, "deleting the transformer");
  drive_action(window, "duplicate");
  refused(window, before, "duplicating it");
  drive_action(window, "cut");
  refused(window, before, "cutting it");
  session_select_all(session);
  drive_action(window, "delete");
  refused(window, before, "deleting everything");
  session_set_probe(session, PROBE_RED, "T1", "X1");
  session_set_probe(session, PROBE_BLACK, "T1", "X2");
  drive_action(window, "pin");
  refused(window, before, "pinning a test point");
  g_autofree char *sample =
      g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", "fan-480.doorsheet", NULL);
  g_autofree char *text = NULL;
  gsize size;
  assert_true(g_file_get_contents(sample, &text, &size, NULL));
  assert_false(window_paste_text(window, text, size));
  refused(window, before, "pasting another sheet");
  drive_action_text(window, "place", "transformer");
  drive_click(window, (Point){150, 20});
  refused(window, before, "placing a transformer");
  GError *error = NULL;
  session_edit(session, edit_set_sheet_field(before, false, "title", "Mine", &error), error);
  refused(window, before, "another title");
  drive_action_text(window, "place", "cap");
  drive_click(window, (Point){150, 20});
  drive_settle();
  assert_false(document_equal(before, drive_document(window))); /* a cap may be put on */
  drive_close(window);
}

static void
the_shelf_has_what_mends(void **state)
{
  (void)state;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "Cap");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "Splice");
  guint offered = 0;
  g_autoptr(GPtrArray) queue = g_ptr_array_new();
  g_ptr_array_add(queue, window);
  for (guint i = 0; i < queue->len; i++) {
    GtkWidget *widget = queue->pdata[i];
    const char *action =
        GTK_IS_ACTIONABLE(widget) ? gtk_actionable_get_action_name(GTK_ACTIONABLE(widget)) : NULL;
    offered += g_strcmp0(action, "win.place") == 0 && gtk_widget_get_mapped(widget);
    for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
         child = gtk_widget_get_next_sibling(child))
      g_ptr_array_add(queue, child);
  }
  assert_int_equal(offered, 3);
  drive_close(window);
}

/* --- files --- */

/* Still an exercise, with nothing in it that is not the diagram. */
static void
is_put_away(const char *path, const char *why)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *text = NULL;
  g_autoptr(Document) document = document_read(path, parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s: %s", why, error->message);
  if (!sheet_is_exercise(document_sheet(document)))
    fail_msg("%s: no exercise any more; its findings could be asked for", why);
  assert_int_equal(document_measured_count(document), 0);
  assert_int_equal(document_intended_count(document), 0);
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  assert_null(strstr(text, "expected-fault"));
  assert_null(strstr(text, "note="));
}

static void
files_stay_exercises(void **state)
{
  (void)state;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown");
  Session *session = window_get_session(window);
  g_autofree char *path = g_build_filename(folder, "saved-as.doorsheet", NULL);
  GError *error = NULL;
  session_set_energized(session, true);
  assert_true(session_edit(session, edit_operate(drive_document(window), "FU1", &error), error));
  window_save_as(window, path);
  is_put_away(path, "save as");
  g_unlink(path);
  g_autoptr(Recovery) recovery = recovery_new(NULL, NULL);
  recovery_keep(recovery, session_get_own(session), NULL, NULL, "exercise");
  recovery_settle(recovery);
  is_put_away(recovery_get_file(recovery), "recovery");
  recovery_clear(recovery);
  drive_close(window);
}

static void
exports_are_student_sheets(void **state)
{
  (void)state;
  DoorsheetWindow *window = student_window("pump-208.doorsheet", "fuse-blown");
  session_set_energized(window_get_session(window), true);
  g_autofree char *path = g_build_filename(folder, "out.svg", NULL);
  g_autofree char *svg = NULL;
  assert_true(window_export_to(window, path, NULL));
  assert_true(g_file_get_contents(path, &svg, NULL, NULL));
  assert_non_null(strstr(svg, "Your answer"));
  static const char *const not [] = {"urn:doorsheet", "blown", "Findings", "sealed", "Expected"};
  for (gsize i = 0; i < G_N_ELEMENTS(not ); i++)
    if (strstr(svg, not [i]) != NULL)
      fail_msg("the exported sheet says %s", not [i]);
  g_unlink(path);
  drive_close(window);
}

/* --- the picture --- */

static char *
picture(const Document *document)
{
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_svg_new(bytes, PALETTE_LIGHT, "x", "x", NULL);
  pen_begin_page(pen, 400, 300, "x");
  figure_draw(pen, document, &(FigureStyle){.labels = true, .covered = true});
  pen_end_page(pen);
  assert_true(pen_finish(pen, NULL));
  return g_strndup((const char *)bytes->data, bytes->len);
}

/* What only a meter finds is not to be seen on the canvas, which draws an exercise covered. Faults
 * of the load's and the supply's own figures stand on no drawing but as printed ratings. */
static void
the_canvas_draws_what_eyes_see(void **state)
{
  (void)state;
  static const char *const samples[] = {"pump-208.doorsheet", "fan-480.doorsheet",
                                        "lesson-protection.doorsheet"};
  static const char *const hidden[] = {"fuse-blown", "landing-loose", "conductor-broken",
                                       "conductor-too-long"};
  guint compared = 0;
  for (gsize s = 0; s < G_N_ELEMENTS(samples); s++) {
    Lesson lesson = lesson_open(samples[s]);
    g_autofree char *first = NULL;
    for (gsize i = 0; i < G_N_ELEMENTS(hidden); i++) {
      assert_false(seen_fault(fault_find(hidden[i])));
      g_autoptr(Document) document = handed_out(&lesson, fault_find(hidden[i]));
      if (document == NULL)
        continue;
      char *drawn = picture(document);
      if (first == NULL) {
        first = drawn;
        continue;
      }
      if (strcmp(first, drawn) != 0)
        fail_msg("%s shows on the canvas with %s", hidden[i], samples[s]);
      g_free(drawn);
      compared++;
    }
    lesson_close(&lesson);
  }
  assert_true(compared > 3);
}

int
main(void)
{
  folder = g_dir_make_tmp("doorsheet-leaks-XXXXXX", NULL);
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(no_widget_tells),
      cmocka_unit_test(the_meter_shows_digits_only),
      cmocka_unit_test(hovering_and_selecting_tell_nothing),
      cmocka_unit_test(nothing_is_copied),
      cmocka_unit_test(forbidden_edits_are_refused_with_a_sentence),
      cmocka_unit_test(the_shelf_has_what_mends),
      cmocka_unit_test(files_stay_exercises),
      cmocka_unit_test(exports_are_student_sheets),
      cmocka_unit_test(the_canvas_draws_what_eyes_see),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
