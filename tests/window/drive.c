/* SPDX-License-Identifier: MIT */
#include "drive.h"

#include "base/text.h"
#include "diagram/document_file.h"
#include "figure/figure.h"
#include <stdlib.h>
#include <string.h>

GtkApplication *
drive_application(void)
{
  if (!gtk_init_check()) {
    fputs("no display: run through tests/window/under-display.sh\n", stderr);
    exit(g_getenv("CI") != NULL ? 1 : DRIVE_SKIP);
  }
  GtkApplication *application =
      gtk_application_new("org.doorsheet.Doorsheet.Test", G_APPLICATION_NON_UNIQUE);
  g_autoptr(GError) error = NULL;
  if (!g_application_register(G_APPLICATION(application), NULL, &error))
    fail_msg("%s", error->message);
  return application;
}

void
drive_settle(void)
{
  /* A frame or two, so that sizes are allocated and idle work is done. */
  gint64 end = g_get_monotonic_time() + 60 * 1000;
  while (g_get_monotonic_time() < end)
    if (!g_main_context_iteration(NULL, FALSE))
      g_usleep(500);
}

DoorsheetWindow *
drive_window(GtkApplication *application)
{
  DoorsheetWindow *window = window_new(application);
  gtk_window_present(GTK_WINDOW(window));
  gtk_test_widget_wait_for_draw(GTK_WIDGET(window));
  window_complete(window);
  drive_settle();
  return window;
}

DoorsheetWindow *
drive_open(GtkApplication *application, const char *path)
{
  DoorsheetWindow *window = drive_window(application);
  window_open(window, path);
  drive_settle();
  return window;
}

DoorsheetWindow *
drive_sample(GtkApplication *application, const char *name)
{
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", name, NULL);
  return drive_open(application, path);
}

static GtkWindow *
question_of(DoorsheetWindow *window)
{
  GListModel *all = gtk_window_get_toplevels();
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkWindow) top = g_list_model_get_item(all, i);
    if (gtk_window_get_transient_for(top) == GTK_WINDOW(window))
      return top;
  }
  return NULL;
}

void
drive_close(DoorsheetWindow *window)
{
  bool modified = session_get_modified(window_get_session(window));
  g_object_add_weak_pointer(G_OBJECT(window), (gpointer *)&window);
  gtk_window_close(GTK_WINDOW(window));
  drive_settle();
  if (modified) {
    assert_non_null(window); /* it asks first */
    GtkWindow *question = question_of(window);
    assert_non_null(question);
    GtkWidget *button = drive_find(GTK_WIDGET(question), GTK_TYPE_BUTTON, "Throw changes away");
    g_signal_emit_by_name(button, "clicked");
    drive_settle();
  }
  assert_null(window);
}

void
drive_action(DoorsheetWindow *window, const char *action)
{
  GAction *found = g_action_map_lookup_action(G_ACTION_MAP(window), action);
  if (found == NULL || !g_action_get_enabled(found))
    fail_msg("win.%s is %s", action, found == NULL ? "missing" : "switched off");
  g_action_activate(found, NULL);
}

void
drive_action_text(DoorsheetWindow *window, const char *action, const char *text)
{
  g_autofree char *full = g_strconcat("win.", action, NULL);
  if (!gtk_widget_activate_action(GTK_WIDGET(window), full, "s", text))
    fail_msg("%s is missing", full);
}

gpointer
drive_controller(DoorsheetWindow *window, GType type)
{
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(GTK_WIDGET(window_get_canvas(window)));
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkEventController) one = g_list_model_get_item(all, i);
    if (G_OBJECT_TYPE(one) == type)
      return one;
  }
  fail_msg("the canvas has no %s", g_type_name(type));
  return NULL;
}

void
drive_drag(DoorsheetWindow *window, Point from, Point to)
{
  GObject *drag = drive_controller(window, GTK_TYPE_GESTURE_DRAG);
  double x, y, end_x, end_y;
  canvas_from_sheet(window_get_canvas(window), from, &x, &y);
  canvas_from_sheet(window_get_canvas(window), to, &end_x, &end_y);
  g_signal_emit_by_name(drag, "drag-begin", x, y);
  /* Pressing may scroll nothing, so the offsets hold. */
  for (int step = 1; step <= 4 && (end_x != x || end_y != y); step++)
    g_signal_emit_by_name(drag, "drag-update", (end_x - x) * step / 4, (end_y - y) * step / 4);
  g_signal_emit_by_name(drag, "drag-end", end_x - x, end_y - y);
}

void
drive_hover(DoorsheetWindow *window, Point at)
{
  double x, y;
  canvas_from_sheet(window_get_canvas(window), at, &x, &y);
  g_signal_emit_by_name(drive_controller(window, GTK_TYPE_EVENT_CONTROLLER_MOTION), "motion", x, y);
}

void
drive_click(DoorsheetWindow *window, Point at)
{
  drive_hover(window, at);
  drive_drag(window, at, at);
}

void
drive_key(DoorsheetWindow *window, guint key, GdkModifierType state)
{
  gboolean handled = FALSE;
  GObject *keys = drive_controller(window, GTK_TYPE_EVENT_CONTROLLER_KEY);
  g_signal_emit_by_name(keys, "key-pressed", key, 0, state, &handled);
  g_signal_emit_by_name(keys, "key-released", key, 0, state);
}

/* --- widgets --- */

static const char *
text_of(GtkWidget *widget)
{
  if (GTK_IS_LABEL(widget))
    return gtk_label_get_text(GTK_LABEL(widget));
  if (GTK_IS_BUTTON(widget) && gtk_button_get_label(GTK_BUTTON(widget)) != NULL)
    return gtk_button_get_label(GTK_BUTTON(widget));
  /* A field or a composed button: the first label inside. */
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    const char *text = text_of(child);
    if (text != NULL)
      return text;
  }
  return NULL;
}

static GtkWidget *
search(GtkWidget *root, GType type, const char *text)
{
  if (!gtk_widget_get_visible(root))
    return NULL;
  if (g_type_is_a(G_OBJECT_TYPE(root), type) && g_strcmp0(text_of(root), text) == 0)
    return root;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    GtkWidget *found = search(child, type, text);
    if (found != NULL)
      return found;
  }
  return NULL;
}

GtkWidget *
drive_find(GtkWidget *root, GType type, const char *text)
{
  GtkWidget *found = search(root, type, text);
  if (found == NULL)
    fail_msg("no %s says \"%s\"", g_type_name(type), text);
  return found;
}

static FieldEntry *
field(DoorsheetWindow *window, const char *title)
{
  /* The fields of the page that is shown come first; a hidden page's are not mapped. */
  GtkWidget *found = NULL;
  GtkWidget *pages =
      gtk_widget_get_ancestor(GTK_WIDGET(window_get_check_page(window)), GTK_TYPE_STACK);
  found = search(gtk_stack_get_visible_child(GTK_STACK(pages)), FIELD_ENTRY_TYPE, title);
  if (found == NULL)
    fail_msg("no field is called \"%s\" on this page", title);
  return DOORSHEET_FIELD_ENTRY(found);
}

void
drive_type(DoorsheetWindow *window, const char *title, const char *text)
{
  FieldEntry *entry = field(window, title);
  GtkWidget *editor = field_entry_get_editor(entry);
  if (GTK_IS_DROP_DOWN(editor)) {
    const char *const *choices = field_entry_get_field(entry)->choices;
    guint at = 0;
    while (choices[at] != NULL && strcmp(choices[at], text) != 0)
      at++;
    assert_non_null(choices[at]);
    gtk_drop_down_set_selected(GTK_DROP_DOWN(editor), at);
  } else if (GTK_IS_SWITCH(editor)) {
    gtk_switch_set_active(GTK_SWITCH(editor), strcmp(text, "yes") == 0);
  } else {
    gtk_editable_set_text(GTK_EDITABLE(editor), text);
    g_signal_emit_by_name(editor, "activate");
  }
}

const char *
drive_text(DoorsheetWindow *window, const char *title)
{
  return gtk_editable_get_text(GTK_EDITABLE(field_entry_get_editor(field(window, title))));
}

/* --- the sheet --- */

const Document *
drive_document(DoorsheetWindow *window)
{
  return session_get_document(window_get_session(window));
}

const Device *
drive_device(DoorsheetWindow *window, const char *id)
{
  const Device *found = document_find_device(drive_document(window), id);
  if (found == NULL)
    fail_msg("no device %s", id);
  return found;
}

Point
drive_middle(DoorsheetWindow *window, const char *id)
{
  Rect box = figure_device_bounds(drive_device(window, id));
  return (Point){box.x + box.width / 2, box.y + box.height / 2};
}

guint
drive_conductor_from(DoorsheetWindow *window, const char *device, const char *terminal)
{
  for (guint i = 0; i < document_conductor_count(drive_document(window)); i++) {
    const Conductor *conductor = document_conductor(drive_document(window), i);
    if (g_strcmp0(conductor->from.device, device) == 0 &&
        g_strcmp0(conductor->from.terminal, terminal) == 0)
      return i;
  }
  fail_msg("no conductor starts at %s.%s", device, terminal);
  return 0;
}

DoorsheetWindow *
drive_small_sheet(GtkApplication *application)
{
  DoorsheetWindow *window = drive_window(application);
  drive_place(window, "Fuse", (Point){50, 40});
  drive_place(window, "Fuse", (Point){50, 70});
  drive_place(window, "Load", (Point){120, 40});
  drive_land(window, "FU1.2", "LD1.1");
  return window;
}

void
drive_one_step(DoorsheetWindow *window, const Document *before)
{
  const Document *now = drive_document(window);
  assert_false(document_equal(now, before));
  g_autoptr(GBytes) old_text = document_write_memory(before);
  g_autoptr(GBytes) text = document_write_memory(now);
  gsize size;
  const char *data = g_bytes_get_data(text, &size);
  g_autoptr(Document) read = document_read_memory(data, size, "saved", document_catalog(now), NULL);
  assert_non_null(read);
  assert_true(document_equal(read, now));
  drive_action(window, "undo");
  assert_true(document_equal(drive_document(window), before));
  g_autoptr(GBytes) undone = document_write_memory(drive_document(window));
  assert_true(g_bytes_equal(undone, old_text));
  drive_action(window, "redo");
  g_autoptr(GBytes) again = document_write_memory(drive_document(window));
  assert_true(g_bytes_equal(again, text));
}

/* --- the job's steps --- */

static GtkWidget *
find_shelf(GtkWidget *root)
{
  GtkWidget *found = DOORSHEET_IS_SHELF(root) ? root : NULL;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling(child))
    found = find_shelf(child);
  return found;
}

void
drive_place(DoorsheetWindow *window, const char *title, Point at)
{
  const Document *document = session_get_document(window_get_session(window));
  guint before = document_device_count(document);
  GtkWidget *shelf = find_shelf(GTK_WIDGET(window));
  assert_non_null(shelf);
  GtkWidget *button = drive_find(shelf, GTK_TYPE_BUTTON, title);
  g_signal_emit_by_name(button, "clicked");
  assert_true(canvas_is_busy(window_get_canvas(window)));
  drive_click(window, at);
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_int_equal(document_device_count(document), before + 1);
}

Point
drive_terminal(DoorsheetWindow *window, const char *name)
{
  const Document *document = session_get_document(window_get_session(window));
  g_autofree char *id = NULL, *terminal = NULL;
  assert_true(text_split_terminal(name, &id, &terminal));
  const Device *device = document_find_device(document, id);
  if (device == NULL)
    fail_msg("no device %s", id);
  int index = device_terminal_index(device, terminal);
  if (index < 0)
    fail_msg("no terminal %s", name);
  return device_terminal_point(device, (guint)index);
}

void
drive_land(DoorsheetWindow *window, const char *from, const char *to)
{
  const Document *document = session_get_document(window_get_session(window));
  guint before = document_conductor_count(document);
  /* Ends of a selected conductor would be taken along instead of landing a new one. */
  session_select_nothing(window_get_session(window));
  drive_drag(window, drive_terminal(window, from), drive_terminal(window, to));
  if (document_conductor_count(document) != before + 1)
    fail_msg("%s to %s was not landed", from, to);
}

void
drive_press(GtkWidget *root, const char *text)
{
  g_signal_emit_by_name(drive_find(root, GTK_TYPE_BUTTON, text), "clicked");
  drive_settle();
}
