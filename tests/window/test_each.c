/* SPDX-License-Identifier: MIT */
/* Every tool by itself: what it makes of the sheet, that one undo takes it back to the byte, one
 * redo makes it again, and that the file reads back as what is drawn. Tools that only look change
 * neither the sheet nor what can be undone. */
#include "drive.h"

#include "canvas/canvas_private.h"
#include "desk/part_item.h"
#include "diagram/document_file.h"
#include "figure/figure.h"
#include "solve/meter.h"
#include <math.h>
#include <string.h>

static GtkApplication *application;

static DoorsheetWindow *
sample_sheet(const char *name)
{
  DoorsheetWindow *window = drive_sample(application, name);
  assert_true(session_is_fresh(window_get_session(window)));
  return window;
}

static void
select_devices(DoorsheetWindow *window, const char *const *ids)
{
  for (guint i = 0; ids[i] != NULL; i++)
    session_select_device(window_get_session(window), ids[i], i > 0);
}

static const Conductor *
first_conductor(DoorsheetWindow *window)
{
  return document_conductor(drive_document(window), 0);
}

/* --- tools that are one command --- */

static void
commands_are_one_step(void **state)
{
  (void)state;
  static const struct {
    const char *action, *ids[4];
  } steps[] = {
      {"turn", {"FU1"}},
      {"turn-back", {"FU1", "LD1"}},
      {"mirror", {"LD1"}},
      {"operate", {"FU2"}},
      {"duplicate", {"FU1", "LD1"}},
      {"delete", {"FU2", "LD1"}},
      {"cut", {"FU1"}},
      {"align-left", {"FU1", "LD1"}},
      {"align-right", {"FU1", "LD1"}},
      {"align-top", {"FU1", "FU2"}},
      {"align-bottom", {"FU1", "FU2"}},
      {"align-column", {"FU1", "LD1"}},
      {"align-row", {"FU1", "FU2"}},
      {"spread-across", {"FU1", "FU2", "LD1"}},
      {"spread-down", {"FU1", "FU2", "LD1"}},
      {"group", {"FU1", "FU2"}},
      {"number-wires", {"FU1"}},
  };
  DoorsheetWindow *window = drive_small_sheet(application);
  /* Nothing stands in line or evenly, so that every command has something to do. */
  session_select_device(window_get_session(window), "LD1", false);
  drive_drag(window, drive_middle(window, "LD1"), (Point){150, 95});
  drive_settle();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  for (guint i = 0; i < G_N_ELEMENTS(steps); i++) {
    select_devices(window, steps[i].ids);
    print_message("%s\n", steps[i].action);
    drive_action(window, steps[i].action);
    drive_one_step(window, before);
    drive_action(window, "undo");
  }
  drive_close(window);
}

static void
turning_mirroring_and_copying_do_what_they_say(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  session_select_device(window_get_session(window), "LD1", false);
  Point before = drive_terminal(window, "LD1.1"), at = drive_device(window, "LD1")->placement.at;
  drive_action(window, "turn"); /* clockwise: what lay right of the origin lies below it */
  Point after = drive_terminal(window, "LD1.1");
  assert_true(fabs(after.x - (at.x - (before.y - at.y))) < 1e-6);
  assert_true(fabs(after.y - (at.y + (before.x - at.x))) < 1e-6);
  drive_action(window, "turn-back");
  drive_action(window, "mirror");
  after = drive_terminal(window, "LD1.1");
  assert_true(fabs(after.y - before.y) < 1e-6);
  /* What is on the other side of it stays on its terminal. */
  g_autoptr(GArray) route = figure_route(drive_document(window), first_conductor(window));
  assert_true(point_equal(g_array_index(route, Point, route->len - 1), after));
  select_devices(window, (const char *const[]){"FU1", "LD1", NULL});
  drive_action(window, "duplicate");
  const Conductor *copy = document_conductor(drive_document(window), 1);
  assert_string_equal(copy->from.device, "FU3");
  assert_string_equal(copy->to.device, "LD2");
  assert_true(drive_device(window, "LD2")->placement.mirrored);
  drive_close(window);
}

/* --- tools of the mouse --- */

static void
an_end_is_dragged_to_another_terminal(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  guint32 key = first_conductor(window)->key;
  session_select_conductor(window_get_session(window), key, false);
  drive_drag(window, drive_terminal(window, "FU1.2"), drive_terminal(window, "FU2.2"));
  assert_string_equal(first_conductor(window)->from.device, "FU2");
  assert_string_equal(first_conductor(window)->to.device, "LD1");
  drive_one_step(window, before);
  assert_true(session_conductor_selected(window_get_session(window), key));
  drive_close(window);
}

static void
a_stretch_is_dragged(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  g_autoptr(GArray) route = figure_route(drive_document(window), first_conductor(window));
  Point a = g_array_index(route, Point, 0), b = g_array_index(route, Point, 1);
  Point grip = {(a.x + b.x) / 2, (a.y + b.y) / 2};
  session_select_nothing(window_get_session(window));
  drive_drag(window, grip, (Point){grip.x, grip.y - 12.5});
  assert_true(first_conductor(window)->via->len >= 2);
  bool lifted = false;
  for (guint i = 0; i < first_conductor(window)->via->len; i++) {
    Point p = g_array_index(first_conductor(window)->via, Point, i);
    lifted |= fabs(p.y - point_snap((Point){grip.x, grip.y - 12.5}).y) < 1e-6;
  }
  assert_true(lifted);
  drive_one_step(window, before);
  /* Its bends are kept when a device on it moves, and go along when both do. */
  guint bends = first_conductor(window)->via->len;
  g_autoptr(Document) bent = document_snapshot(drive_document(window));
  select_devices(window, (const char *const[]){"FU1", "LD1", NULL});
  drive_drag(window, drive_middle(window, "FU1"),
             point_add(drive_middle(window, "FU1"), (Point){0, 20}));
  assert_int_equal(first_conductor(window)->via->len, bends);
  for (guint i = 0; i < bends; i++) {
    Point was = g_array_index(document_conductor(bent, 0)->via, Point, i);
    assert_true(point_equal(g_array_index(first_conductor(window)->via, Point, i),
                            point_add(was, (Point){0, 20})));
  }
  drive_one_step(window, bent);
  drive_close(window);
}

static void
landing_on_a_conductor_makes_a_splice(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  g_autoptr(GArray) route = figure_route(drive_document(window), first_conductor(window));
  Point a = g_array_index(route, Point, 0), b = g_array_index(route, Point, 1);
  session_select_nothing(window_get_session(window));
  drive_drag(window, drive_terminal(window, "FU2.2"), (Point){(a.x + b.x) / 2, (a.y + b.y) / 2});
  assert_int_equal(document_device_count(drive_document(window)), 4);
  const Device *splice = document_device(drive_document(window), 3);
  assert_int_equal(splice->kind->role, ROLE_SPLICE);
  assert_int_equal(document_landings(drive_document(window), splice->id, "1"), 3);
  assert_true(fabs(drive_terminal(window, "SP1.1").y - a.y) < 1e-6); /* on the conductor */
  drive_one_step(window, before);
  drive_close(window);
}

static void
landing_by_drag_and_by_clicks(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_land(window, "FU2.2", "LD1.2");
  drive_one_step(window, before);
  drive_action(window, "undo");
  session_select_nothing(window_get_session(window));
  drive_click(window, drive_terminal(window, "FU2.2"));
  drive_click(window, (Point){95, 100});
  drive_click(window, drive_terminal(window, "LD1.2"));
  const Conductor *landed = document_conductor(drive_document(window), 1);
  bool through = false;
  for (guint i = 0; i < landed->via->len; i++)
    through |= point_equal(g_array_index(landed->via, Point, i), (Point){95, 100});
  assert_true(through);
  drive_one_step(window, before);
  drive_close(window);
}

static void
a_lead_is_capped(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  drive_place(window, "Transformer", (Point){120, 60});
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_place(window, "Cap", (Point){90, 65});
  drive_one_step(window, before);
  g_autoptr(Document) placed = document_snapshot(drive_document(window));
  drive_land(window, "T1.H2", "WC1.1");
  assert_string_equal(first_conductor(window)->to.device, "WC1");
  drive_one_step(window, placed);
  drive_close(window);
}

static void
a_part_is_dropped_from_the_shelf(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Canvas *canvas = window_get_canvas(window);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  GtkEventController *drop = drive_controller(window, GTK_TYPE_DROP_TARGET);
  g_autoptr(Device) sample = device_copy(drive_device(window, "LD1"));
  g_auto(GValue) value = G_VALUE_INIT;
  g_value_init(&value, PART_SAMPLE_TYPE);
  g_value_set_boxed(&value, sample);
  double x, y;
  canvas_from_sheet(canvas, (Point){101, 121}, &x, &y);
  gboolean taken = FALSE;
  g_signal_emit_by_name(drop, "drop", &value, x, y, &taken);
  assert_true(taken);
  assert_false(canvas_is_busy(canvas));
  assert_true(point_equal(drive_device(window, "LD2")->placement.at, (Point){100, 120}));
  drive_one_step(window, before);
  drive_close(window);
}

/* --- clipboard --- */

static bool
wait_for_devices(DoorsheetWindow *window, guint n)
{
  for (int i = 0; i < 100 && document_device_count(drive_document(window)) != n; i++)
    drive_settle();
  return document_device_count(drive_document(window)) == n;
}

/* Only this form is in the clipboard, as if another program had put it there. */
static void
offer(DoorsheetWindow *window, const char *type, GBytes *bytes)
{
  g_autoptr(GdkContentProvider) provider = gdk_content_provider_new_for_bytes(type, bytes);
  gdk_clipboard_set_content(gtk_widget_get_clipboard(GTK_WIDGET(window)), provider);
}

static void
each_form_of_the_clipboard_is_pasted(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-each-XXXXXX", NULL);
  g_autofree char *svg = g_build_filename(folder, "part.svg", NULL);
  g_autofree char *file = g_build_filename(folder, "part.doorsheet", NULL);
  DoorsheetWindow *source = drive_small_sheet(application);
  assert_true(window_export_to(source, svg, NULL));
  assert_true(session_save(window_get_session(source), file, NULL));
  drive_close(source);
  static const struct {
    const char *type;
    bool is_svg;
  } forms[] = {{"application/x-doorsheet", false},
               {"text/plain;charset=utf-8", false},
               {"image/svg+xml", true}};
  for (guint i = 0; i < G_N_ELEMENTS(forms); i++) {
    DoorsheetWindow *window = drive_window(application);
    g_autoptr(Document) before = document_snapshot(drive_document(window));
    g_autofree char *text = NULL;
    gsize size;
    assert_true(g_file_get_contents(forms[i].is_svg ? svg : file, &text, &size, NULL));
    g_autoptr(GBytes) bytes = g_bytes_new(text, size);
    offer(window, forms[i].type, bytes);
    drive_action(window, "paste");
    assert_true(wait_for_devices(window, 3));
    assert_int_equal(document_conductor_count(drive_document(window)), 1);
    drive_one_step(window, before);
    drive_close(window);
  }
  /* Files copied in a file manager open. */
  DoorsheetWindow *window = drive_window(application);
  g_autofree char *uri = g_filename_to_uri(file, NULL, NULL);
  g_autofree char *list = g_strconcat("# copied\r\n", uri, "\r\n", NULL);
  g_autoptr(GBytes) bytes = g_bytes_new(list, strlen(list));
  offer(window, "text/uri-list", bytes);
  drive_action(window, "paste");
  assert_true(wait_for_devices(window, 3));
  assert_string_equal(session_get_path(window_get_session(window)), file);
  drive_close(window);
}

/* --- tools that only look --- */

typedef struct {
  Document *document;
  const char *undo; /* its title */
} Unchanged;

static Unchanged
look(DoorsheetWindow *window)
{
  return (Unchanged){document_snapshot(drive_document(window)),
                     g_intern_string(document_undo_title(drive_document(window)))};
}

static void
assert_unchanged(DoorsheetWindow *window, Unchanged *before)
{
  assert_true(document_equal(drive_document(window), before->document));
  assert_ptr_equal(g_intern_string(document_undo_title(drive_document(window))), before->undo);
  g_clear_pointer(&before->document, document_free);
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
  fail_msg("nothing is asked");
  return NULL;
}

static GtkWidget *
first_of(GtkWidget *root, GType type)
{
  if (g_type_is_a(G_OBJECT_TYPE(root), type))
    return root;
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    GtkWidget *found = first_of(child, type);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static void
find(DoorsheetWindow *window, const char *word)
{
  drive_action(window, "find");
  GtkWidget *box = GTK_WIDGET(question_of(window));
  GtkWidget *entry = first_of(box, GTK_TYPE_ENTRY);
  gtk_editable_set_text(GTK_EDITABLE(entry), word);
  g_signal_emit_by_name(drive_find(box, GTK_TYPE_BUTTON, "Find"), "clicked");
  drive_settle();
}

static guint
conductors_selected(DoorsheetWindow *window)
{
  guint n;
  session_get_selected_conductors(window_get_session(window), &n);
  return n;
}

static void
finding_by_name_and_number(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("damper-480.doorsheet");
  Session *session = window_get_session(window);
  Canvas *canvas = window_get_canvas(window);
  Unchanged before = look(window);
  canvas_zoom_by(canvas, 8);
  canvas_reveal(canvas, (Rect){5, 180, 5, 5});
  find(window, " ld1 ");
  assert_true(session_device_selected(session, "LD1"));
  double x, y;
  canvas_from_sheet(canvas, drive_middle(window, "LD1"), &x, &y);
  assert_true(x > 0 && x < gtk_widget_get_width(GTK_WIDGET(canvas)));
  assert_true(y > 0 && y < gtk_widget_get_height(GTK_WIDGET(canvas)));
  find(window, "103");
  assert_int_equal(session_get_selected_device_count(session), 0);
  assert_int_equal(conductors_selected(window), 1);
  find(window, "gnd"); /* every conductor of the number */
  assert_int_equal(conductors_selected(window), 4);
  find(window, "FU"); /* the start of a name, when nothing is called that */
  assert_int_equal(session_get_selected_device_count(session), 2);
  find(window, "nobody");
  assert_int_equal(session_get_selected_device_count(session), 2);
  assert_unchanged(window, &before);
  drive_close(window);
}

static void
boxes_and_nets_are_selected(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  Unchanged before = look(window);
  session_select_nothing(session);
  Rect fuse = figure_device_bounds(drive_device(window, "FU2"));
  drive_drag(window, (Point){fuse.x - 3, fuse.y + fuse.height + 3},
             (Point){fuse.x + fuse.width + 3, fuse.y - 3}); /* from any corner */
  assert_true(session_device_selected(session, "FU2"));
  assert_int_equal(session_get_selected_device_count(session), 1);
  drive_drag(window, (Point){10, 10}, (Point){200, 150});
  assert_int_equal(session_get_selected_device_count(session), 3);
  assert_int_equal(conductors_selected(window), 1);
  /* Half a device is not in the box. */
  drive_drag(window, (Point){fuse.x + fuse.width / 2, fuse.y - 3},
             (Point){fuse.x + fuse.width + 3, fuse.y + fuse.height + 3});
  assert_false(session_device_selected(session, "FU2"));
  drive_settle();
  session_select_conductor(session, first_conductor(window)->key, false);
  drive_action(window, "select-net");
  assert_int_equal(conductors_selected(window), 1);
  assert_true(session_device_selected(session, "FU1"));
  assert_true(session_device_selected(session, "LD1"));
  assert_false(session_device_selected(session, "FU2"));
  assert_unchanged(window, &before);
  drive_close(window);
}

/* The mapped button that activates this action with this target (NULL: none). */
static GtkWidget *
button_of(GtkWidget *root, const char *action, const char *target)
{
  if (GTK_IS_ACTIONABLE(root) &&
      g_strcmp0(gtk_actionable_get_action_name(GTK_ACTIONABLE(root)), action) == 0) {
    GVariant *value = gtk_actionable_get_action_target_value(GTK_ACTIONABLE(root));
    if (target == NULL ||
        (value != NULL && g_strcmp0(g_variant_get_string(value, NULL), target) == 0))
      return root;
  }
  for (GtkWidget *child = gtk_widget_get_first_child(root); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    GtkWidget *found = button_of(child, action, target);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static void
press(DoorsheetWindow *window, const char *action, const char *target)
{
  GtkWidget *button = button_of(GTK_WIDGET(window), action, target);
  if (button == NULL)
    fail_msg("no button does %s", action);
  assert_true(gtk_widget_get_mapped(button) && gtk_widget_is_sensitive(button));
  g_signal_emit_by_name(button, "clicked");
  drive_settle();
}

static void
the_switch_energizes_and_changes_nothing(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("damper-480.doorsheet");
  Session *session = window_get_session(window);
  Unchanged before = look(window);
  drive_find(GTK_WIDGET(window), GTK_TYPE_TOGGLE_BUTTON, "Energized");
  assert_false(session_get_energized(session));
  g_signal_emit_by_name(drive_find(GTK_WIDGET(window), GTK_TYPE_TOGGLE_BUTTON, "Energized"),
                        "clicked");
  drive_settle();
  assert_true(session_get_energized(session));
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "Expected when energized");
  g_signal_emit_by_name(drive_find(GTK_WIDGET(window), GTK_TYPE_TOGGLE_BUTTON, "Locked out"),
                        "clicked");
  drive_settle();
  assert_false(session_get_energized(session));
  assert_false(session_get_modified(session));
  assert_unchanged(window, &before);
  drive_close(window);
}

static void
assert_shows(DoorsheetWindow *window, const MeterReading *reading)
{
  g_autofree char *text = meter_reading_text(reading);
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, text);
}

static void
the_meter_is_worked_by_mouse(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("damper-480.doorsheet");
  Session *session = window_get_session(window);
  Unchanged before = look(window);
  drive_action(window, "energize");
  session_select_nothing(session);
  press(window, "win.probe-red", NULL);
  drive_click(window, drive_terminal(window, "T1.X2"));
  press(window, "win.probe-black", NULL);
  drive_click(window, drive_terminal(window, "T1.X1"));
  drive_settle();
  assert_string_equal(session_get_probe(session, PROBE_RED)->terminal, "X2");
  assert_string_equal(session_get_probe(session, PROBE_BLACK)->terminal, "X1");
  const Solution *solution = session_get_solution(session);
  guint a = circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_RED));
  guint b = circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_BLACK));
  MeterReading reading;
  assert_true(meter_volts(solution->circuit, solution, a, b, METER_HIGH_IMPEDANCE, &reading, NULL));
  assert_true(reading.value > 22 && reading.value < 28); /* a 24 V secondary that feeds its load */
  assert_shows(window, &reading);
  press(window, "win.meter", "ohms");
  drive_find(GTK_WIDGET(window), GTK_TYPE_LABEL, "LIVE: no ohms");
  press(window, "win.meter", "amps");
  guint at = drive_conductor_from(window, "T1", "X2");
  g_autoptr(GArray) route =
      figure_route(drive_document(window), document_conductor(drive_document(window), at));
  Point p = g_array_index(route, Point, 0), q = g_array_index(route, Point, 1);
  drive_click(window, (Point){(3 * p.x + q.x) / 4, (3 * p.y + q.y) / 4}); /* the clamp's wire */
  drive_settle();
  assert_true(meter_amps(solution->circuit, solution, (Owner){.kind = OWNER_CONDUCTOR, .index = at},
                         &reading, NULL));
  assert_true(reading.value > 1); /* 40 VA at about 24 V */
  assert_shows(window, &reading);
  press(window, "win.meter", "volts");
  assert_unchanged(window, &before);
  drive_close(window);
}

static void
the_pin_button_pins_and_unpins(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("pump-208.doorsheet");
  Session *session = window_get_session(window);
  session_set_probe(session, PROBE_RED, "FU1", "2");
  session_set_probe(session, PROBE_BLACK, NULL, "GND");
  drive_settle();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  guint was = document_measured_count(before);
  press(window, "win.pin", NULL);
  assert_int_equal(document_measured_count(drive_document(window)), was + 1);
  assert_non_null(measured_point(document_measured(drive_document(window), was)));
  drive_one_step(window, before);
  g_autoptr(Document) pinned = document_snapshot(drive_document(window));
  press(window, "win.pin", NULL);
  drive_one_step(window, pinned);
  assert_true(document_equal(drive_document(window), before));
  drive_close(window);
}

/* --- the view --- */

static void
wheel_and_fingers_move_the_view(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Canvas *canvas = window_get_canvas(window);
  Unchanged before = look(window);
  GtkEventController *scroll = drive_controller(window, GTK_TYPE_EVENT_CONTROLLER_SCROLL);
  Point middle = {300, 200};
  Point under = canvas_to_sheet(canvas, middle.x, middle.y);
  gboolean taken = FALSE;
  g_signal_emit_by_name(scroll, "scroll", 0.4, 0.8, &taken); /* two fingers on a touchpad */
  assert_true(taken);
  Point now = canvas_to_sheet(canvas, middle.x, middle.y);
  assert_true(now.x > under.x && now.y > under.y);
  /* Two fingers on a screen: what is between them stays between them. */
  double zoom = canvas->zoom;
  GtkEventController *pinch = drive_controller(window, GTK_TYPE_GESTURE_ZOOM);
  g_signal_emit_by_name(pinch, "begin", NULL);
  under = canvas_to_sheet(canvas, middle.x, middle.y);
  canvas_pinch(canvas, 1, middle.x, middle.y);
  canvas_pinch(canvas, 1.5, middle.x + 40, middle.y - 25);
  canvas_pinch(canvas, 2, middle.x + 60, middle.y - 30);
  assert_true(fabs(canvas->zoom - 2 * zoom) < 1e-9);
  now = canvas_to_sheet(canvas, middle.x + 60, middle.y - 30);
  assert_true(point_distance(now, under) < 1e-6);
  /* Moved together they only push. */
  g_signal_emit_by_name(pinch, "begin", NULL);
  canvas_pinch(canvas, 1, middle.x, middle.y);
  under = canvas_to_sheet(canvas, middle.x, middle.y);
  canvas_pinch(canvas, 1, middle.x - 50, middle.y + 10);
  assert_true(fabs(canvas->zoom - 2 * zoom) < 1e-9);
  now = canvas_to_sheet(canvas, middle.x - 50, middle.y + 10);
  assert_true(point_distance(now, under) < 1e-6);
  assert_unchanged(window, &before);
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(commands_are_one_step),
      cmocka_unit_test(turning_mirroring_and_copying_do_what_they_say),
      cmocka_unit_test(an_end_is_dragged_to_another_terminal),
      cmocka_unit_test(a_stretch_is_dragged),
      cmocka_unit_test(landing_on_a_conductor_makes_a_splice),
      cmocka_unit_test(landing_by_drag_and_by_clicks),
      cmocka_unit_test(a_lead_is_capped),
      cmocka_unit_test(a_part_is_dropped_from_the_shelf),
      cmocka_unit_test(each_form_of_the_clipboard_is_pasted),
      cmocka_unit_test(finding_by_name_and_number),
      cmocka_unit_test(boxes_and_nets_are_selected),
      cmocka_unit_test(the_switch_energizes_and_changes_nothing),
      cmocka_unit_test(the_meter_is_worked_by_mouse),
      cmocka_unit_test(the_pin_button_pins_and_unpins),
      cmocka_unit_test(wheel_and_fingers_move_the_view),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
