/* SPDX-License-Identifier: MIT */
/* Long lists on the clipboard: findings and readings of a sheet with hundreds of devices. */
#include "drive.h"

#include "diagram/document_file.h"
#include "parts/catalog.h"
#include <glib/gstdio.h>
#include <string.h>

static GtkApplication *application;

#define TRANSFORMERS 120

/* So many transformers with nothing landed: every one of them has findings. */
static DoorsheetWindow *
open_many(void)
{
  g_autoptr(GString) text =
      g_string_new("<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" paper=\"tabloid\">");
  g_string_append(text, "<device id=\"S1\" kind=\"supply\" x=\"10\" y=\"10\">"
                        "<reading between=\"L1 L2\" value=\"486 V\"/></device>");
  for (guint i = 1; i <= TRANSFORMERS; i++)
    g_string_append_printf(text,
                           "<device id=\"T%u\" kind=\"transformer\" x=\"%u\" y=\"%u\">"
                           "<lead name=\"H2\" volts=\"480 V\"/><lead name=\"H1\" volts=\"0 V\"/>"
                           "<lead name=\"X2\" winding=\"secondary\" volts=\"24 V\"/>"
                           "<lead name=\"X1\" winding=\"secondary\" volts=\"0 V\"/></device>"
                           "<conductor from=\"S1.L1\" to=\"T%u.H2\"/>"
                           "<conductor from=\"S1.L2\" to=\"T%u.H1\"/>",
                           i, 60 + 70 * (i % 10), 20 + 40 * (i / 10), i, i);
  g_string_append(text, "</doorsheet>");
  g_autofree char *folder = g_dir_make_tmp("doorsheet-lists-XXXXXX", NULL);
  g_autofree char *path = g_build_filename(folder, "many.doorsheet", NULL);
  assert_true(g_file_set_contents(path, text->str, -1, NULL));
  DoorsheetWindow *window = drive_window(application);
  window_open(window, path);
  g_unlink(path);
  g_rmdir(folder);
  return window;
}

/* Large sheets are inspected on another thread. */
static void
wait_fresh(DoorsheetWindow *window)
{
  for (int i = 0; i < 600; i++) {
    drive_settle();
    if (session_get_result(window_get_session(window)) != NULL &&
        session_is_fresh(window_get_session(window)))
      return;
    g_usleep(50000);
  }
  fail_msg("the sheet was never inspected");
}

static GtkWidget *
find_below(GtkWidget *root, GType type, const char *style_class)
{
  if (g_type_is_a(G_OBJECT_TYPE(root), type) &&
      (style_class == NULL || gtk_widget_has_css_class(root, style_class)))
    return root;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = find_below(child, type, style_class);
  return found;
}

static guint
count_children(GtkWidget *widget)
{
  guint n = 0;
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    n++;
  return n;
}

static guint
findings_of(DoorsheetWindow *window)
{
  return session_get_result(window_get_session(window))->inspection->findings->len;
}

static void
findings_come_in_portions(void **state)
{
  (void)state;
  DoorsheetWindow *window = open_many();
  wait_fresh(window);
  drive_action_text(window, "page", "check");
  drive_settle();
  GtkWidget *page = GTK_WIDGET(window_get_check_page(window));
  GtkListBox *list = GTK_LIST_BOX(find_below(page, GTK_TYPE_LIST_BOX, "findings"));
  guint all = findings_of(window);
  assert_true(all > 200);
  assert_int_equal(count_children(GTK_WIDGET(list)), 50);
  g_autofree char *label =
      g_strdup_printf("Show more: 50 of %u are listed, the gravest first", all);
  GtkWidget *more = drive_find(page, GTK_TYPE_BUTTON, label);
  /* Going on by key lists what comes next by itself; going back from the first one shows a last. */
  for (int i = 0; i < 51; i++)
    drive_action(window, "next-finding");
  assert_int_equal(gtk_list_box_row_get_index(gtk_list_box_get_selected_row(list)), 50);
  assert_int_equal(count_children(GTK_WIDGET(list)), 150);
  while (gtk_widget_get_visible(more))
    g_signal_emit_by_name(more, "clicked");
  assert_int_equal(count_children(GTK_WIDGET(list)), all);
  drive_close(window);
}

/* An edit that changes one device's findings leaves the rows of the others as they are. */
static void
rows_stay_and_so_does_the_choice(void **state)
{
  (void)state;
  DoorsheetWindow *window = open_many();
  wait_fresh(window);
  Session *session = window_get_session(window);
  drive_action_text(window, "page", "check");
  drive_settle();
  GtkWidget *page = GTK_WIDGET(window_get_check_page(window));
  GtkListBox *list = GTK_LIST_BOX(find_below(page, GTK_TYPE_LIST_BOX, "findings"));
  for (int i = 0; i < 4; i++)
    drive_action(window, "next-finding");
  GtkListBoxRow *rows[50];
  for (int i = 0; i < 50; i++)
    rows[i] = g_object_ref(gtk_list_box_get_row_at_index(list, i));
  session_select_device(session, "S1", false);
  drive_action(window, "turn");
  wait_fresh(window);
  guint same = 0;
  for (int i = 0; i < 50; i++) {
    same += gtk_list_box_get_row_at_index(list, i) == rows[i];
    g_object_unref(rows[i]);
  }
  assert_int_equal(same, 50);
  assert_int_equal(gtk_list_box_row_get_index(gtk_list_box_get_selected_row(list)), 3);
  drive_action(window, "undo");
  /* One finding goes: the one chosen is still chosen, wherever it is now. */
  const GPtrArray *findings = session_get_result(session)->inspection->findings;
  const Finding *chosen = findings->pdata[3];
  g_autofree char *place = g_strdup(chosen->places->pdata[0]);
  const char *check = chosen->check; /* static */
  const Finding *first = findings->pdata[0];
  g_auto(GStrv) parts = g_strsplit(first->places->pdata[0], ".", 2);
  assert_string_not_equal(parts[0], place);
  session_select_device(session, parts[0], false);
  drive_action(window, "delete");
  wait_fresh(window);
  GtkListBoxRow *row = gtk_list_box_get_selected_row(list);
  assert_non_null(row);
  const Finding *now =
      session_get_result(session)->inspection->findings->pdata[gtk_list_box_row_get_index(row)];
  assert_string_equal(now->check, check);
  assert_string_equal(now->places->pdata[0], place);
  drive_close(window);
}

static guint
lines_of(DoorsheetWindow *window)
{
  drive_settle();
  GtkWidget *pages =
      gtk_widget_get_ancestor(GTK_WIDGET(window_get_check_page(window)), GTK_TYPE_STACK);
  GtkWidget *page = gtk_stack_get_visible_child(GTK_STACK(pages));
  GtkWidget *line = find_below(page, GTK_TYPE_BOX, "reading");
  return line != NULL ? count_children(gtk_widget_get_parent(line)) : 0;
}

static void
readings_come_in_portions(void **state)
{
  (void)state;
  DoorsheetWindow *window = open_many();
  wait_fresh(window);
  drive_action(window, "energize");
  drive_action_text(window, "page", "read");
  guint all = session_get_result(window_get_session(window))->expected->len;
  assert_true(all > 160);
  assert_int_equal(lines_of(window), 60);
  g_autofree char *label = g_strdup_printf("Show more: 60 of %u are listed", all);
  GtkWidget *more = drive_find(GTK_WIDGET(window), GTK_TYPE_BUTTON, label);
  g_signal_emit_by_name(more, "clicked");
  assert_int_equal(lines_of(window), 160);
  drive_close(window);
}

/* --- what was measured, and what would explain it --- */

static DoorsheetWindow *
open_sample(const char *name)
{
  DoorsheetWindow *window = drive_sample(application, name);
  wait_fresh(window);
  drive_action_text(window, "page", "read");
  drive_settle();
  return window;
}

static GtkWidget *
suspects_box(DoorsheetWindow *window)
{
  GtkWidget *title = drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "What one fault would explain");
  return gtk_widget_get_parent(title);
}

static GtkWidget *
first_suspect(GtkWidget *root)
{
  return find_below(root, GTK_TYPE_BUTTON, "suspect");
}

/* Suggestions come from another thread. */
static GtkWidget *
wait_suspect(DoorsheetWindow *window)
{
  for (int i = 0; i < 600; i++) {
    drive_settle();
    GtkWidget *found = first_suspect(GTK_WIDGET(window));
    if (found != NULL && gtk_widget_get_mapped(found))
      return found;
    g_usleep(50000);
  }
  fail_msg("nothing was suggested");
  return NULL;
}

static GtkWidget *
first_suspect_mapped(DoorsheetWindow *window)
{
  GtkWidget *found = first_suspect(GTK_WIDGET(window));
  return found != NULL && gtk_widget_get_mapped(found) ? found : NULL;
}

static void
press_escape(GtkWidget *editor)
{
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(editor);
  gboolean handled = FALSE;
  for (guint i = 0; i < g_list_model_get_n_items(all) && !handled; i++) {
    g_autoptr(GtkEventController) one = g_list_model_get_item(all, i);
    if (GTK_IS_EVENT_CONTROLLER_KEY(one))
      g_signal_emit_by_name(one, "key-pressed", GDK_KEY_Escape, 0, 0, &handled);
  }
  assert_true(handled);
}

static void
measured_readings_suggest_a_fault(void **state)
{
  (void)state;
  DoorsheetWindow *window = open_sample("damper-480.doorsheet");
  Session *session = window_get_session(window);
  drive_action(window, "energize");
  drive_settle();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_type(window, "As measured, S1.L1 to S1.L2", "486");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "\342\234\223 agrees");
  drive_one_step(window, before);
  assert_null(first_suspect(GTK_WIDGET(window)));
  /* The supply and the disconnect are right, the secondary is dead. */
  drive_type(window, "As measured, DISC1.T1 to DISC1.T2", "486 v");
  drive_type(window, "As measured, T1.X2 to T1.X1", "0");
  GtkWidget *suspect = wait_suspect(window);
  g_signal_emit_by_name(suspect, "clicked"); /* its place is shown on the sheet */
  assert_true(session_get_shown(session)->len > 0);
  assert_true(gtk_widget_get_mapped(suspects_box(window)));
  /* The newest edit wins: taken back at once, the old question gets no answer. */
  drive_type(window, "As measured, T1.X2 to T1.X1", "24.5");
  for (int i = 0; i < 40; i++) {
    drive_settle();
    g_usleep(25000);
  }
  assert_null(first_suspect_mapped(window));
  drive_close(window);
}

static GtkWidget *
find_no_single_fault(GtkWidget *root)
{
  if (GTK_IS_LABEL(root) &&
      g_str_has_prefix(gtk_label_get_text(GTK_LABEL(root)), "No single fault"))
    return root;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = find_no_single_fault(child);
  return found;
}

static void
ohms_when_locked_out(void **state)
{
  (void)state;
  DoorsheetWindow *window = open_sample("damper-480.doorsheet");
  drive_type(window, "Ohms measured, FU1.1 to FU1.2", "OL");
  g_auto(GStrv) points = g_strsplit("FU1 1 FU1 2", " ", -1);
  Landing a = {points[0], points[1]}, b = {points[2], points[3]};
  const Measured *noted =
      document_find_measured(drive_document(window), &a, &b, MEASURED_LOCKED_OUT);
  assert_non_null(noted);
  assert_true(noted->values[MEASURED_OHMS].has_value);
  /* With power 485 V were read behind this fuse: nothing that is wrong alone explains both. */
  bool said = false;
  for (int i = 0; i < 400 && !said; i++) {
    drive_settle();
    GtkWidget *label = find_no_single_fault(GTK_WIDGET(window));
    said = label != NULL && gtk_widget_get_mapped(label);
    g_usleep(25000);
  }
  assert_true(said);
  /* What is refused stays where it is typed, and Escape gets the old one. */
  FieldEntry *entry = DOORSHEET_FIELD_ENTRY(
      drive_find(GTK_WIDGET(window), FIELD_ENTRY_TYPE, "Ohms measured, FU1.1 to FU1.2"));
  GtkWidget *editor = field_entry_get_editor(entry);
  gtk_editable_set_text(GTK_EDITABLE(editor), "1,500");
  g_signal_emit_by_name(editor, "activate");
  assert_true(gtk_widget_has_css_class(editor, "error"));
  press_escape(editor);
  assert_string_equal(gtk_editable_get_text(GTK_EDITABLE(editor)), "OL");
  assert_false(gtk_widget_has_css_class(editor, "error"));
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(findings_come_in_portions),
      cmocka_unit_test(rows_stay_and_so_does_the_choice),
      cmocka_unit_test(readings_come_in_portions),
      cmocka_unit_test(measured_readings_suggest_a_fault),
      cmocka_unit_test(ohms_when_locked_out),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
