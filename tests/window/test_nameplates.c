/* SPDX-License-Identifier: MIT */
/* The shelf of own nameplates and the editor of a transformer's leads, in the window. */
#include "drive.h"

#include "diagram/document_file.h"
#include "keep/nameplates.h"
#include "parts/catalog.h"
#include "window/row_table.h"
#include <glib/gstdio.h>
#include <string.h>

static GtkApplication *application;

/* The box that asks something, in front of the window. */
static GtkWidget *
question(void)
{
  drive_settle();
  GListModel *all = gtk_window_get_toplevels();
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkWidget) one = g_list_model_get_item(all, i);
    if (gtk_widget_has_css_class(one, "question"))
      return one;
  }
  fail_msg("nothing is asked");
  return NULL;
}

static GtkWidget *
entry_in(GtkWidget *root)
{
  if (GTK_IS_ENTRY(root))
    return root;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = entry_in(child);
  return found;
}

/* Types over the proposal and presses Enter. */
static void
answer_name(const char *name)
{
  GtkWidget *entry = entry_in(question());
  gtk_editable_set_text(GTK_EDITABLE(entry), name);
  g_signal_emit_by_name(entry, "activate");
  drive_settle();
}

static void
answer_button(const char *label)
{
  GtkWidget *button = drive_find(question(), GTK_TYPE_BUTTON, label);
  g_signal_emit_by_name(button, "clicked");
  drive_settle();
}

static GPtrArray *
kept(void)
{
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  GPtrArray *list = nameplates_read(path, parts_catalog(), &error);
  if (list == NULL)
    fail_msg("%s", error->message);
  return list;
}

static int
empty_shelf(void **state)
{
  (void)state;
  g_autofree char *path = nameplates_dup_path();
  g_unlink(path);
  return 0;
}

static GtkWidget *
search_of(GtkWidget *root)
{
  if (GTK_IS_SEARCH_ENTRY(root))
    return root;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = search_of(child);
  return found;
}

static bool
button_shown(GtkWidget *root, const char *title)
{
  if (GTK_IS_BUTTON(root) && gtk_widget_get_mapped(root)) {
    GtkWidget *line = gtk_button_get_child(GTK_BUTTON(root));
    GtkWidget *texts = GTK_IS_BOX(line) ? gtk_widget_get_last_child(line) : NULL;
    GtkWidget *label = GTK_IS_BOX(texts) ? gtk_widget_get_first_child(texts) : NULL;
    if (GTK_IS_LABEL(label) && strcmp(gtk_label_get_text(GTK_LABEL(label)), title) == 0)
      return true;
  }
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    if (button_shown(child, title))
      return true;
  return false;
}

/* A transformer with a nameplate of its own, designated and turned. */
static DoorsheetWindow *
with_transformer(void)
{
  DoorsheetWindow *window = drive_window(application);
  drive_place(window, "Transformer", (Point){60, 50});
  session_select_device(window_get_session(window), "T1", false);
  drive_action_text(window, "page", "land");
  drive_settle();
  drive_type(window, "Rating", "0.15 kva");
  drive_type(window, "Designation", "TC7");
  return window;
}

static void
kept_here_and_placed_there(void **state)
{
  (void)state;
  DoorsheetWindow *window = with_transformer();
  drive_action(window, "keep-nameplate");
  answer_name("Bench 3 transformer");
  g_autoptr(GPtrArray) list = kept();
  assert_int_equal(list->len, 1);
  assert_true(button_shown(GTK_WIDGET(window), "Bench 3 transformer"));

  /* Another window shows it too, and places it like any part, turned in hand. */
  DoorsheetWindow *other = drive_window(application);
  drive_settle();
  drive_place(other, "Bench 3 transformer", (Point){80, 60});
  const Device *placed = drive_device(other, "T1");
  assert_string_equal(device_value_named(placed, "rating")->text, "0.15 kVA");
  assert_string_equal(device_designation(placed), "T1"); /* TC7 stays where it was */
  drive_action(other, "undo");
  assert_int_equal(document_device_count(drive_document(other)), 0);
  drive_action_text(other, "place-nameplate", "Bench 3 transformer");
  drive_key(other, GDK_KEY_r, 0);
  drive_key(other, GDK_KEY_Right, 0);
  drive_key(other, GDK_KEY_Return, 0);
  assert_int_equal(drive_device(other, "T1")->placement.turns, 1);
  drive_close(other);
  drive_close(window);
}

static void
renamed_deleted_and_asked_first(void **state)
{
  (void)state;
  DoorsheetWindow *window = with_transformer();
  drive_action(window, "keep-nameplate");
  answer_name("one");
  drive_action(window, "keep-nameplate");
  answer_name("one"); /* taken */
  answer_button("Keep the old one");
  g_autoptr(GPtrArray) still = kept();
  assert_int_equal(still->len, 1);
  drive_action_text(window, "rename-nameplate", "one");
  answer_name("first");
  assert_true(button_shown(GTK_WIDGET(window), "first"));
  assert_false(button_shown(GTK_WIDGET(window), "one"));
  drive_action_text(window, "delete-nameplate", "first");
  answer_button("Keep it");
  assert_true(button_shown(GTK_WIDGET(window), "first"));
  drive_action_text(window, "delete-nameplate", "first");
  answer_button("Delete");
  assert_false(button_shown(GTK_WIDGET(window), "first"));
  g_autoptr(GPtrArray) list = kept();
  assert_int_equal(list->len, 0);
  drive_close(window);
}

static void
another_nameplate_for_a_device(void **state)
{
  (void)state;
  DoorsheetWindow *window = with_transformer();
  drive_action(window, "keep-nameplate");
  answer_name("large");
  drive_place(window, "Transformer", (Point){160, 50});
  drive_place(window, "Fuse", (Point){40, 120});
  drive_land(window, "FU1.2", "T2.H4");
  session_select_device(window_get_session(window), "T2", false);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_action_text(window, "use-nameplate", "large");
  assert_string_equal(device_value_named(drive_device(window, "T2"), "rating")->text, "0.15 kVA");
  assert_int_equal(document_conductor_count(drive_document(window)), 1);
  drive_one_step(window, before);
  /* Of another kind: nothing changes, and the status line says why. */
  session_select_device(window_get_session(window), "FU1", false);
  g_autoptr(Document) now = document_snapshot(drive_document(window));
  drive_action_text(window, "use-nameplate", "large");
  assert_true(document_equal(now, drive_document(window)));
  drive_close(window);
}

static void
search_narrows_the_shelf(void **state)
{
  (void)state;
  DoorsheetWindow *window = with_transformer();
  drive_action(window, "keep-nameplate");
  answer_name("Greenhouse boiler");
  GtkWidget *search = search_of(GTK_WIDGET(window));
  gtk_editable_set_text(GTK_EDITABLE(search), "GREEN");
  g_signal_emit_by_name(search, "search-changed");
  drive_settle();
  assert_true(button_shown(GTK_WIDGET(window), "Greenhouse boiler"));
  assert_false(button_shown(GTK_WIDGET(window), "Fuse"));
  gtk_editable_set_text(GTK_EDITABLE(search), "208 v"); /* by the volts of a lead */
  g_signal_emit_by_name(search, "search-changed");
  drive_settle();
  assert_true(button_shown(GTK_WIDGET(window), "Greenhouse boiler"));
  gtk_editable_set_text(GTK_EDITABLE(search), "fus");
  g_signal_emit_by_name(search, "search-changed");
  drive_settle();
  assert_false(button_shown(GTK_WIDGET(window), "Greenhouse boiler"));
  assert_true(button_shown(GTK_WIDGET(window), "Fuse"));
  /* Enter takes it in hand. */
  g_signal_emit_by_name(search, "activate");
  assert_true(canvas_is_busy(window_get_canvas(window)));
  canvas_cancel(window_get_canvas(window));
  gtk_editable_set_text(GTK_EDITABLE(search), "zzz");
  g_signal_emit_by_name(search, "search-changed");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "Nothing on the shelf fits these words.");
  g_signal_emit_by_name(search, "stop-search");
  drive_settle();
  assert_true(button_shown(GTK_WIDGET(window), "Fuse"));
  drive_close(window);
}

/* A shelf of a later time: said on the shelf, kept as it is, and the parts can still be placed. */
static void
a_file_that_cannot_be_used(void **state)
{
  (void)state;
  g_autofree char *path = nameplates_dup_path();
  g_autofree char *folder = g_path_get_dirname(path);
  static const char text[] = "<shelf xmlns=\"" NAMEPLATES_NAMESPACE "\" version=\"9\"/>";
  g_mkdir_with_parents(folder, 0700);
  assert_true(g_file_set_contents(path, text, -1, NULL));
  DoorsheetWindow *window = with_transformer();
  drive_find(GTK_WIDGET(window), GTK_TYPE_BUTTON, "Set the file aside");
  drive_action(window, "keep-nameplate");
  answer_name("mine");
  answer_button("Close"); /* the complaint */
  g_autofree char *now = NULL;
  assert_true(g_file_get_contents(path, &now, NULL, NULL));
  assert_string_equal(now, text);
  drive_action(window, "set-nameplates-aside");
  drive_settle();
  drive_action(window, "keep-nameplate");
  answer_name("mine");
  assert_true(button_shown(GTK_WIDGET(window), "mine"));
  drive_close(window);
}

/* What another program adds appears here by itself. */
static void
another_program_adds_one(void **state)
{
  (void)state;
  DoorsheetWindow *window = with_transformer();
  drive_action(window, "keep-nameplate");
  answer_name("mine");
  g_autofree char *path = nameplates_dup_path();
  g_autofree char *text = NULL;
  gsize size;
  assert_true(g_file_get_contents(path, &text, &size, NULL));
  g_auto(GStrv) parts = g_strsplit(text, "\"mine\"", 2);
  g_autofree char *theirs = g_strjoinv("\"theirs\"", parts);
  assert_true(file_write_atomic(path, theirs, strlen(theirs), NULL));
  for (int i = 0; i < 100 && !button_shown(GTK_WIDGET(window), "theirs"); i++) {
    g_usleep(50000);
    drive_settle();
  }
  assert_true(button_shown(GTK_WIDGET(window), "theirs"));
  drive_close(window);
}

/* --- leads --- */

static GtkWidget *
row_table(GtkWidget *root)
{
  if (DOORSHEET_IS_ROW_TABLE(root))
    return root;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = row_table(child);
  return found;
}

static void
row_command(DoorsheetWindow *window, const char *command, guint row)
{
  assert_true(gtk_widget_activate_action(row_table(GTK_WIDGET(window)), command, "u", row));
  drive_settle();
}

/* The line below a lead's row. */
static GtkWidget *
problem_below(GtkWidget *entry)
{
  GtkGrid *grid = GTK_GRID(gtk_widget_get_parent(entry));
  int column, row;
  gtk_grid_query_child(grid, entry, &column, &row, NULL, NULL);
  return gtk_grid_get_child_at(grid, 0, row + 1);
}

/* A transformer whose H4 and H3 are landed. */
static DoorsheetWindow *
landed_transformer(void)
{
  DoorsheetWindow *window = drive_window(application);
  drive_place(window, "Transformer", (Point){120, 50});
  drive_place(window, "Fuse", (Point){40, 50});
  drive_place(window, "Fuse", (Point){40, 70});
  drive_land(window, "FU1.2", "T1.H4");
  drive_land(window, "FU2.2", "T1.H3");
  session_select_device(window_get_session(window), "T1", false);
  drive_action_text(window, "page", "land");
  drive_settle();
  return window;
}

static const char *
lands_on(DoorsheetWindow *window, const char *fuse)
{
  guint at = drive_conductor_from(window, fuse, "2");
  return document_conductor(drive_document(window), at)->to.terminal;
}

static void
leads_move_with_what_is_landed(void **state)
{
  (void)state;
  DoorsheetWindow *window = landed_transformer();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  row_command(window, "row.down", 0);
  assert_string_equal(drive_text(window, "Lead 1 Marking"), "H3");
  assert_string_equal(drive_text(window, "Lead 2 Volts"), "480 V");
  assert_string_equal(lands_on(window, "FU1"), "H4");
  drive_one_step(window, before);
  row_command(window, "row.up", 0); /* there is nothing above: nothing happens */
  assert_string_equal(drive_text(window, "Lead 1 Marking"), "H3");
  /* A name of its own keeps what lands on it. */
  g_autoptr(Document) moved = document_snapshot(drive_document(window));
  drive_type(window, "Lead 1 Marking", "P5");
  assert_string_equal(lands_on(window, "FU2"), "P5");
  drive_one_step(window, moved);
  drive_close(window);
}

static void
a_removed_lead_says_what_goes_with_it(void **state)
{
  (void)state;
  DoorsheetWindow *window = landed_transformer();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  row_command(window, "row.remove", 1);
  assert_int_equal(document_conductor_count(drive_document(window)), 1);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL,
             "H3 is gone, and with it what was landed on it: conductor FU2.2-T1.H3. Ctrl+Z takes "
             "it back.");
  drive_one_step(window, before);
  drive_action(window, "undo");
  assert_true(document_equal(drive_document(window), before));
  session_select_device(window_get_session(window), "T1", false);
  row_command(window, "row.remove", 2);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "H2 is gone. Ctrl+Z takes it back.");
  assert_int_equal(document_conductor_count(drive_document(window)), 2);
  drive_close(window);
}

/* Said while it is typed, below the lead it is about; nothing is committed. */
static void
what_cannot_be_is_said_at_once(void **state)
{
  (void)state;
  DoorsheetWindow *window = landed_transformer();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  static const struct {
    const char *title, *text, *good, *says;
  } cases[] = {
      {"Lead 2 Marking", "H4", "H3", "H4"},     {"Lead 2 Marking", "FRAME", "H3", "FRAME"},
      {"Lead 2 Marking", "H 4", "H3", "H 4"},   {"Lead 2 Volts", "480 A", "240 V", "480 A"},
      {"Lead 2 Volts", "99 kV", "240 V", "35"}, {"Lead 2 Volts", "1,500", "240 V", "two things"},
  };
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    FieldEntry *entry =
        DOORSHEET_FIELD_ENTRY(drive_find(GTK_WIDGET(window), FIELD_ENTRY_TYPE, cases[i].title));
    GtkWidget *editor = field_entry_get_editor(entry);
    gtk_editable_set_text(GTK_EDITABLE(editor), cases[i].text);
    assert_true(gtk_widget_has_css_class(editor, "error"));
    const char *said = gtk_label_get_text(GTK_LABEL(problem_below(GTK_WIDGET(entry))));
    if (strstr(said, cases[i].says) == NULL)
      fail_msg("%s \"%s\": \"%s\"", cases[i].title, cases[i].text, said);
    assert_true(gtk_widget_get_mapped(problem_below(GTK_WIDGET(entry))));
    g_signal_emit_by_name(editor, "activate");
    assert_true(document_equal(drive_document(window), before));
    gtk_editable_set_text(GTK_EDITABLE(editor), cases[i].good);
    assert_false(gtk_widget_has_css_class(editor, "error"));
    assert_false(gtk_widget_get_mapped(problem_below(GTK_WIDGET(entry))));
  }
  /* Volts another tap has can be entered on the way, and are pointed out as long as they stand. */
  drive_type(window, "Lead 2 Volts", "480 V");
  drive_settle();
  GtkWidget *entry = drive_find(GTK_WIDGET(window), FIELD_ENTRY_TYPE, "Lead 2 Volts");
  assert_true(gtk_widget_get_mapped(problem_below(entry)));
  assert_non_null(strstr(gtk_label_get_text(GTK_LABEL(problem_below(entry))), "same volts"));
  drive_action(window, "undo");
  drive_settle();
  assert_false(gtk_widget_get_mapped(problem_below(entry)));
  assert_true(document_equal(drive_document(window), before));
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup(kept_here_and_placed_there, empty_shelf),
      cmocka_unit_test_setup(renamed_deleted_and_asked_first, empty_shelf),
      cmocka_unit_test_setup(another_nameplate_for_a_device, empty_shelf),
      cmocka_unit_test_setup(search_narrows_the_shelf, empty_shelf),
      cmocka_unit_test_setup(a_file_that_cannot_be_used, empty_shelf),
      cmocka_unit_test_setup(another_program_adds_one, empty_shelf),
      cmocka_unit_test(leads_move_with_what_is_landed),
      cmocka_unit_test(a_removed_lead_says_what_goes_with_it),
      cmocka_unit_test(what_cannot_be_is_said_at_once),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
