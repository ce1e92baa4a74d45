/* SPDX-License-Identifier: MIT */
/* An instructor at a master: marking faults, flags, the judgement, the preview, saving. */
#include "drive.h"

#include "diagram/document_file.h"
#include "lesson/deal_rows.h"
#include "parts/catalog.h"
#include "window/window_life.h"
#include <glib/gstdio.h>
#include <string.h>

static GtkApplication *application;
static char *folder;

static char *
text_of(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *text = g_bytes_get_data(bytes, &size);
  return g_strndup(text, size);
}

/* A sample without its marks, in a file of its own. New string. */
static char *
bare_copy(const char *sample)
{
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", sample, NULL);
  g_autoptr(Document) document = document_read(path, parts_catalog(), NULL);
  assert_non_null(document);
  while (document_intended_count(document) > 0) {
    const Intended *first = document_intended(document, 0);
    Change *change = edit_forget_intended(document, intended_fault(first), intended_at(first));
    assert_true(document_apply(document, change, NULL));
  }
  char *file = g_build_filename(folder, sample, NULL);
  assert_true(document_save(document, file, NULL));
  return file;
}

static void
wait_for_study(DoorsheetWindow *window)
{
  const gint64 end = g_get_monotonic_time() + 60 * G_USEC_PER_SEC;
  drive_settle();
  while (deal_page_get_answer(window_get_deal_page(window))->busy) {
    assert_true(g_get_monotonic_time() < end);
    g_main_context_iteration(NULL, TRUE);
  }
  drive_settle();
}

static DoorsheetWindow *
instructor_window(const char *file)
{
  DoorsheetWindow *window = drive_window(application);
  window_open(window, file);
  drive_action_text(window, "page", "lesson");
  wait_for_study(window);
  return window;
}

static GtkWidget *
find_type(GtkWidget *root, GType type)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE(root, type) && gtk_widget_get_mapped(root))
    return root;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    GtkWidget *found = find_type(child, type);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static GtkWidget *
page_part(DoorsheetWindow *window, GType type)
{
  GtkWidget *found = find_type(GTK_WIDGET(window_get_deal_page(window)), type);
  assert_non_null(found);
  return found;
}

/* By keyboard's ways: the command, words, Enter. */
static void
mark(DoorsheetWindow *window, const char *device, const char *words)
{
  session_select_device(window_get_session(window), device, false);
  drive_action(window, "mark-fault");
  drive_settle();
  GtkWidget *entry = page_part(window, GTK_TYPE_SEARCH_ENTRY);
  gtk_editable_set_text(GTK_EDITABLE(entry), words);
  drive_settle();
  g_signal_emit_by_name(entry, "activate");
  drive_settle();
}

static void
assert_marked(DoorsheetWindow *window, guint index, const char *fault, const char *at)
{
  assert_true(index < document_intended_count(drive_document(window)));
  const Intended *intended = document_intended(drive_document(window), index);
  assert_string_equal(intended_fault(intended), fault);
  assert_string_equal(intended_at(intended), at);
}

static void
a_mark_is_an_edit_and_the_sheet_stays_sound(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("lesson-taps.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  Session *session = window_get_session(window);
  g_autofree char *before = text_of(drive_document(window));
  mark(window, "FU3", "blown");
  assert_int_equal(document_intended_count(drive_document(window)), 1);
  assert_marked(window, 0, "fuse-blown", "FU3");
  assert_true(session_get_modified(session));
  assert_true(findings_sound(session_get_result(session)->inspection->findings));
  g_autofree char *after = text_of(drive_document(window));
  assert_non_null(strstr(after, "<expected-fault fault=\"fuse-blown\" at=\"FU3\"/>"));
  mark(window, "FU3", "blown"); /* the same once more is refused */
  assert_int_equal(document_intended_count(drive_document(window)), 1);
  drive_action(window, "undo");
  g_autofree char *undone = text_of(drive_document(window));
  assert_string_equal(undone, before);
  drive_action(window, "redo");
  g_autofree char *redone = text_of(drive_document(window));
  assert_string_equal(redone, after);
  drive_action(window, "save");
  g_autofree char *saved = NULL;
  assert_true(g_file_get_contents(file, &saved, NULL, NULL));
  assert_string_equal(saved, after);
  drive_press(GTK_WIDGET(window), "Remove");
  assert_int_equal(document_intended_count(drive_document(window)), 0);
  drive_close(window);
}

static Point
flag_at(DoorsheetWindow *window, guint number)
{
  const GArray *flags = canvas_get_flags(window_get_canvas(window));
  for (guint i = 0; i < flags->len; i++)
    if (g_array_index(flags, CanvasFlag, i).number == number)
      return g_array_index(flags, CanvasFlag, i).at;
  fail_msg("no flag %u", number);
  return (Point){0, 0};
}

static void
flags_stand_on_their_places(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("lesson-taps.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  mark(window, "FU3", "blown");
  mark(window, "T1", "T1, H4");
  assert_int_equal(canvas_get_flags(window_get_canvas(window))->len, 2);
  const Point lead = drive_terminal(window, "T1.H4"), fuse = flag_at(window, 1);
  assert_true(fabs(flag_at(window, 2).x - lead.x) < 0.01);
  assert_true(fabs(flag_at(window, 2).y - lead.y) < 0.01);
  /* They go along, and nothing of the sheet but the mark is under the flag's name. */
  Session *session = window_get_session(window);
  Change *change =
      edit_move(drive_document(window), (const char *const[]){"FU3", NULL}, (Point){0, 10});
  assert_true(session_edit(session, change, NULL));
  assert_true(fabs(flag_at(window, 1).y - fuse.y - 10) < 0.01);
  drive_action(window, "undo");
  drive_action(window, "undo");
  drive_action(window, "undo");
  assert_int_equal(canvas_get_flags(window_get_canvas(window))->len, 0);
  drive_close(window);
}

/* Every fault of the catalogue at every place can be reached from something on the sheet. */
static void
every_fault_is_offered_at_its_place(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("pump-208.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  const DealScene *scene = deal_page_get_answer(window_get_deal_page(window))->scene;
  const Document *document = drive_document(window);
  assert_non_null(scene);
  assert_true(scene->choices->len > 50);
  for (guint i = 0; i < scene->choices->len; i++) {
    const DealChoice *choice = &g_array_index(scene->choices, DealChoice, i);
    bool reached = false;
    for (guint d = 0; d < document_device_count(document) && !reached; d++)
      reached = deal_rows_fits(scene, choice, &(DealWhere){d, G_MAXUINT, G_MAXUINT});
    for (guint c = 0; c < document_conductor_count(document) && !reached; c++)
      reached = deal_rows_fits(scene, choice, &(DealWhere){G_MAXUINT, c, G_MAXUINT});
    if (!reached)
      fail_msg("%s at %s is offered nowhere", choice->fault->name, choice->place->name);
  }
  /* At a terminal only what concerns it, and less than at its device. */
  const Circuit *circuit = scene->result->inspection->circuit;
  const int device = document_device_index(document, "T1");
  guint at_device = 0, at_terminal = 0;
  const DealWhere whole = {(guint)device, G_MAXUINT, G_MAXUINT};
  const DealWhere lead = {G_MAXUINT, G_MAXUINT, circuit_node(circuit, (guint)device, 0)};
  for (guint i = 0; i < scene->choices->len; i++) {
    const DealChoice *choice = &g_array_index(scene->choices, DealChoice, i);
    at_device += deal_rows_fits(scene, choice, &whole);
    at_terminal += deal_rows_fits(scene, choice, &lead);
  }
  assert_true(at_terminal > 0);
  assert_true(at_terminal < at_device);
  drive_close(window);
}

static void
the_judgement_is_the_quizs_own(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("lesson-taps.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  DealPage *page = window_get_deal_page(window);
  mark(window, "FU3", "blown");
  wait_for_study(window);
  const DealAnswer *answer = deal_page_get_answer(page);
  const DealScene *scene = answer->scene; /* kept: only a mark has been added */
  assert_int_equal(answer->judged->len, 2);
  const DealtVersion *alone = answer->judged->pdata[1];
  assert_true(alone->proof.fair);
  drive_find(GTK_WIDGET(page), GTK_TYPE_LABEL, "Fair, and easy to find.");
  drive_find(GTK_WIDGET(page), GTK_TYPE_LABEL, alone->proof.sentences[FAIR_FINDABLE]);
  /* A load that is not fed twice over is no fair exercise. */
  mark(window, "LD1", "to a load is missing");
  wait_for_study(window);
  answer = deal_page_get_answer(page);
  assert_ptr_equal(answer->scene, scene);
  const DealtVersion *both = answer->judged->pdata[0];
  assert_int_equal(both->faults->len, 2);
  assert_false(both->proof.fair);
  drive_find(GTK_WIDGET(page), GTK_TYPE_LABEL,
             "Not fair together: no version would have all of "
             "these.");
  drive_find(GTK_WIDGET(page), GTK_TYPE_LABEL, both->proof.sentences[both->proof.judged - 1]);
  g_autoptr(DealtVersion) again = deal_judge(scene->evidence, both->faults);
  assert_string_equal(again->proof.sentences[again->proof.judged - 1],
                      both->proof.sentences[both->proof.judged - 1]);
  drive_close(window);
}

/* Edits one on the other, faster than they can be judged: the last one counts. */
static void
the_newest_edit_wins(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("pump-208.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  Session *session = window_get_session(window);
  const Document *document = drive_document(window);
  const DealScene *first = deal_page_get_answer(window_get_deal_page(window))->scene;
  const DealChoice *choice = &g_array_index(first->choices, DealChoice, first->choices->len - 1);
  g_autofree char *fault_name = g_strdup(choice->fault->name), *at = g_strdup(choice->place->name);
  for (guint i = 0; i < 6; i++) {
    Change *change =
        edit_move(document, (const char *const[]){"T1", NULL}, (Point){i % 2 == 0 ? 2.5 : -2.5, 0});
    assert_true(session_edit(session, change, NULL));
    Change *fault = i % 2 == 0 ? edit_intend(document, "fuse-blown", "FU3", NULL)
                               : edit_forget_intended(document, "fuse-blown", "FU3");
    assert_true(session_edit(session, fault, NULL));
  }
  Change *last = edit_intend(document, fault_name, at, NULL);
  assert_true(session_edit(session, last, NULL));
  wait_for_study(window);
  const DealAnswer *answer = deal_page_get_answer(window_get_deal_page(window));
  assert_true(deal_scene_is_of(answer->scene, document));
  assert_int_equal(answer->judged->len, 2);
  const DealtVersion *alone = answer->judged->pdata[1];
  assert_non_null(alone);
  const DealtFault *dealt = alone->faults->pdata[0];
  assert_string_equal(dealt->fault->name, fault_name);
  assert_string_equal(dealt->place->name, at);
  drive_close(window);
}

static void
a_preview_shows_the_faults_and_saves_nothing_of_them(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("lesson-taps.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  Session *session = window_get_session(window);
  mark(window, "FU3", "blown");
  g_autofree char *master = text_of(drive_document(window));
  drive_action(window, "preview-faults");
  drive_settle();
  assert_true(session_is_preview(session));
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL,
             "PREVIEW: the marked faults are made on what you see. The sheet itself is untouched, "
             "and nothing of this is saved.");
  const GPtrArray *findings = session_get_result(session)->inspection->findings;
  bool found = false;
  for (guint i = 0; i < findings->len; i++)
    found |= strcmp(((const Finding *)findings->pdata[i])->check, "load-not-fed") == 0;
  assert_true(found);
  drive_action(window, "energize");
  g_autofree char *volts = session_dup_volts(session, "LD1", "1");
  assert_string_equal(volts, "dead");
  /* No edit, no undo, no export; what is saved and kept is the master. */
  GError *error = NULL;
  Change *change =
      edit_move(session_get_document(session), (const char *const[]){"FU3", NULL}, (Point){0, 10});
  assert_false(session_try(session, change, &error));
  assert_non_null(strstr(error->message, "preview"));
  g_error_free(error);
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "undo"));
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "export-pdf"));
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "print"));
  const char *kept = window_life_settle(window_get_life(window));
  g_autofree char *recovered = NULL;
  assert_non_null(kept);
  g_autoptr(Document) from_kept = document_read(kept, parts_catalog(), NULL);
  assert_non_null(from_kept);
  recovered = text_of(from_kept);
  assert_string_equal(recovered, master);
  drive_action(window, "save");
  g_autofree char *saved = NULL;
  assert_true(g_file_get_contents(file, &saved, NULL, NULL));
  assert_string_equal(saved, master);
  assert_false(session_get_modified(session));
  drive_press(GTK_WIDGET(window), "End the preview");
  assert_false(session_is_preview(session));
  assert_false(notice_bar_has(window_get_notices(window), "preview"));
  g_autofree char *after = text_of(drive_document(window));
  assert_string_equal(after, master);
  g_autofree char *fed = session_dup_volts(session, "LD1", "1");
  assert_string_not_equal(fed, "dead");
  drive_action(window, "undo"); /* the master's own list has waited */
  assert_int_equal(document_intended_count(drive_document(window)), 0);
  drive_close(window);
}

static void
a_preview_ends_with_another_file(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("lesson-taps.doorsheet");
  g_autofree char *other = bare_copy("pump-208.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  Session *session = window_get_session(window);
  drive_action(window, "preview-faults"); /* nothing is marked: it says so */
  assert_false(session_is_preview(session));
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL,
             "Mark a fault first: then there is something to preview.");
  mark(window, "FU3", "blown");
  drive_action(window, "preview-faults");
  assert_true(session_is_preview(session));
  assert_true(session_open(session, other, NULL));
  drive_settle();
  assert_false(session_is_preview(session));
  assert_false(notice_bar_has(window_get_notices(window), "preview"));
  assert_non_null(document_find_device(drive_document(window), "FU1"));
  assert_int_equal(canvas_get_flags(window_get_canvas(window))->len, 0);
  drive_close(window);
}

static void
faults_are_marked_on_a_sound_sheet_only(void **state)
{
  (void)state;
  g_autofree char *path =
      g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", "faulty-open-lead.doorsheet", NULL);
  DoorsheetWindow *window = instructor_window(path);
  DealPage *page = window_get_deal_page(window);
  assert_null(deal_page_get_answer(page)->scene);
  drive_find(GTK_WIDGET(page), GTK_TYPE_LABEL,
             "Faults are dealt into a sound diagram only: clear what the checks find in this one "
             "first.");
  assert_null(find_type(GTK_WIDGET(page), GTK_TYPE_SEARCH_ENTRY));
  drive_close(window);
}

static void
a_mark_without_its_place_says_so(void **state)
{
  (void)state;
  g_autofree char *file = bare_copy("lesson-taps.doorsheet");
  DoorsheetWindow *window = instructor_window(file);
  Session *session = window_get_session(window);
  Change *change = edit_intend(drive_document(window), "fuse-blown", "FU9", NULL);
  assert_true(session_edit(session, change, NULL));
  wait_for_study(window);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL,
             "\342\234\227 It has no place on this sheet any more: remove it.");
  drive_action(window, "preview-faults");
  assert_false(session_is_preview(session));
  drive_press(GTK_WIDGET(window), "Remove");
  assert_int_equal(document_intended_count(drive_document(window)), 0);
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  folder = g_dir_make_tmp("doorsheet-deal-XXXXXX", NULL);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_mark_is_an_edit_and_the_sheet_stays_sound),
      cmocka_unit_test(flags_stand_on_their_places),
      cmocka_unit_test(every_fault_is_offered_at_its_place),
      cmocka_unit_test(the_judgement_is_the_quizs_own),
      cmocka_unit_test(the_newest_edit_wins),
      cmocka_unit_test(a_preview_shows_the_faults_and_saves_nothing_of_them),
      cmocka_unit_test(a_preview_ends_with_another_file),
      cmocka_unit_test(faults_are_marked_on_a_sound_sheet_only),
      cmocka_unit_test(a_mark_without_its_place_says_so),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_autofree char *quoted = g_shell_quote(folder);
  g_autofree char *command = g_strdup_printf("rm -r %s", quoted);
  failed += g_spawn_command_line_sync(command, NULL, NULL, NULL, NULL) ? 0 : 1;
  g_free(folder);
  g_object_unref(application);
  return failed;
}
