/* SPDX-License-Identifier: MIT */
/* Each tool of the canvas by itself, and a crowd of random gestures that must never leave the
 * document unsound or anything behind after undoing. */
#include "drive.h"

#include "figure/figure.h"
#include "parts/catalog.h"
#include "solve/meter.h"
#include "window/canvas_private.h"
#include "window/panels.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

static GtkApplication *application;

static const Document *
document_of(DoorsheetWindow *window)
{
  return session_get_document(window_get_session(window));
}

static const Device *
device(DoorsheetWindow *window, const char *id)
{
  const Device *found = document_find_device(document_of(window), id);
  if (found == NULL)
    fail_msg("no device %s", id);
  return found;
}

/* Two fuses, a load, and a conductor from FU1.2 to LD1.1. */
static DoorsheetWindow *
small_sheet(void)
{
  DoorsheetWindow *window = drive_window(application);
  drive_place(window, "Fuse", (Point){50, 40});
  drive_place(window, "Fuse", (Point){50, 70});
  drive_place(window, "Load", (Point){120, 40});
  drive_land(window, "FU1.2", "LD1.1");
  return window;
}

static Point
middle_of(DoorsheetWindow *window, const char *id)
{
  Rect box = figure_device_bounds(device(window, id));
  return (Point){box.x + box.width / 2, box.y + box.height / 2};
}

static void
moving_follows_the_grid(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Point before = device(window, "FU2")->placement.at, grip = middle_of(window, "FU2");
  drive_drag(window, grip, (Point){grip.x + 13.4, grip.y + 6.1});
  Point after = device(window, "FU2")->placement.at;
  assert_true(point_equal(after, (Point){before.x + 12.5, before.y + 5}));
  drive_action(window, "undo");
  assert_true(point_equal(device(window, "FU2")->placement.at, before));
  /* A conductor stays on its terminals. */
  grip = middle_of(window, "LD1");
  drive_drag(window, grip, (Point){grip.x + 10, grip.y + 10});
  g_autoptr(GArray) route =
      figure_route(document_of(window), document_conductor(document_of(window), 0));
  assert_true(point_equal(g_array_index(route, Point, 0), drive_terminal(window, "FU1.2")));
  assert_true(
      point_equal(g_array_index(route, Point, route->len - 1), drive_terminal(window, "LD1.1")));
  drive_close(window);
}

static void
selecting(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  drive_click(window, middle_of(window, "FU1"));
  assert_true(session_device_selected(session, "FU1"));
  assert_int_equal(session_get_selected_device_count(session), 1);
  drive_click(window, (Point){20, 150}); /* nothing there */
  assert_int_equal(session_get_selected_device_count(session), 0);
  drive_drag(window, (Point){20, 20}, (Point){105, 100}); /* a box round both fuses */
  assert_int_equal(session_get_selected_device_count(session), 2);
  assert_false(session_device_selected(session, "LD1"));
  drive_action(window, "select-all");
  guint n;
  session_get_selected_conductors(session, &n);
  assert_int_equal(session_get_selected_device_count(session), 3);
  assert_int_equal(n, 1);
  drive_action(window, "delete");
  assert_int_equal(document_device_count(document_of(window)), 0);
  assert_int_equal(document_conductor_count(document_of(window)), 0);
  drive_action(window, "undo");
  assert_int_equal(document_device_count(document_of(window)), 3);
  assert_int_equal(document_conductor_count(document_of(window)), 1);
  drive_close(window);
}

static void
turning_and_copying(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  session_select_device(session, "FU2", false);
  drive_action(window, "turn");
  assert_int_equal(device(window, "FU2")->placement.turns, 1);
  drive_action(window, "turn-back");
  assert_int_equal(device(window, "FU2")->placement.turns, 0);
  drive_action(window, "mirror");
  assert_true(device(window, "FU2")->placement.mirrored);
  drive_action(window, "duplicate");
  assert_non_null(device(window, "FU3"));
  assert_true(session_device_selected(session, "FU3"));
  assert_false(session_device_selected(session, "FU2"));
  /* Copy takes the conductors between what is copied along, under new names. */
  drive_action(window, "select-all");
  drive_action(window, "copy");
  drive_action(window, "paste");
  drive_settle();
  assert_int_equal(document_device_count(document_of(window)), 8);
  assert_int_equal(document_conductor_count(document_of(window)), 2);
  assert_int_equal(session_get_selected_device_count(session), 4);
  drive_action(window, "undo");
  assert_int_equal(document_device_count(document_of(window)), 4);
  /* Operating blows and mends a fuse. */
  session_select_device(session, "FU1", false);
  drive_action(window, "operate");
  assert_int_equal(device_value_named(device(window, "FU1"), "blown")->choice, 1);
  drive_close(window);
}

static void
an_end_moves_to_another_terminal(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  const Conductor *conductor = document_conductor(document_of(window), 0);
  guint32 key = conductor->key;
  session_select_conductor(session, key, false);
  drive_drag(window, drive_terminal(window, "LD1.1"), drive_terminal(window, "LD1.2"));
  conductor = document_find_conductor(document_of(window), key);
  assert_non_null(conductor);
  assert_string_equal(conductor->to.terminal, "2");
  assert_string_equal(conductor->from.device, "FU1");
  assert_int_equal(document_conductor_count(document_of(window)), 1);
  /* Let go on nothing: nothing changes. */
  session_select_conductor(session, key, false);
  drive_drag(window, drive_terminal(window, "LD1.2"), (Point){20, 150});
  conductor = document_find_conductor(document_of(window), key);
  assert_string_equal(conductor->to.terminal, "2");
  /* A stretch that is dragged keeps its bends. */
  Point a = drive_terminal(window, "FU1.2");
  g_autoptr(GArray) route = figure_route(document_of(window), conductor);
  Point b = g_array_index(route, Point, 1);
  session_select_nothing(session);
  Point grip = {(a.x + b.x) / 2, (a.y + b.y) / 2};
  drive_drag(window, grip, (Point){grip.x, grip.y - 10});
  conductor = document_find_conductor(document_of(window), key);
  assert_true(conductor->via->len >= 2);
  for (guint i = 0; i < conductor->via->len; i++) {
    Point p = g_array_index(conductor->via, Point, i);
    assert_true(point_equal(p, point_snap(p)));
  }
  drive_close(window);
}

static void
landing_through_bends_by_clicks(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  drive_click(window, drive_terminal(window, "FU2.2"));
  assert_true(canvas_is_busy(window_get_canvas(window)));
  drive_click(window, (Point){90, 90});
  drive_click(window, drive_terminal(window, "LD1.2"));
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_int_equal(document_conductor_count(document_of(window)), 2);
  const Conductor *conductor = document_conductor(document_of(window), 1);
  bool through = false;
  for (guint i = 0; i < conductor->via->len; i++)
    through |= point_equal(g_array_index(conductor->via, Point, i), (Point){90, 90});
  assert_true(through || conductor->via->len >= 2);
  drive_action(window, "undo"); /* one edit, bends and all */
  assert_int_equal(document_conductor_count(document_of(window)), 1);
  drive_close(window);
}

static void
type_name(DoorsheetWindow *window, const char *name)
{
  for (const char *c = name; *c != '\0'; c++)
    drive_key(window, gdk_unicode_to_keyval((guint32)*c), 0);
}

static void
everything_by_keyboard(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  const char *const kinds[] = {"fuse", "load"};
  for (guint i = 0; i < G_N_ELEMENTS(kinds); i++) {
    drive_action_text(window, "place", kinds[i]);
    for (guint step = 0; step < 6; step++)
      drive_key(window, i == 0 ? GDK_KEY_Left : GDK_KEY_Right, GDK_SHIFT_MASK);
    drive_key(window, GDK_KEY_Return, 0);
  }
  assert_int_equal(document_device_count(document_of(window)), 2);
  session_select_nothing(session);
  drive_key(window, GDK_KEY_Tab, 0);
  assert_true(session_device_selected(session, "FU1"));
  Point before = device(window, "FU1")->placement.at;
  drive_key(window, GDK_KEY_Down, 0);
  assert_true(
      point_equal(device(window, "FU1")->placement.at, (Point){before.x, before.y + GRID_STEP_MM}));
  drive_action(window, "land");
  type_name(window, "2");
  drive_key(window, GDK_KEY_Return, 0);
  type_name(window, "ld1.1");
  drive_key(window, GDK_KEY_Return, 0);
  assert_int_equal(document_conductor_count(document_of(window)), 1);
  const Conductor *conductor = document_conductor(document_of(window), 0);
  assert_string_equal(conductor->from.terminal, "2");
  assert_string_equal(conductor->to.device, "LD1");
  /* Escape gives up what is in hand and changes nothing. */
  drive_action_text(window, "place", "fuse");
  drive_key(window, GDK_KEY_Escape, 0);
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_int_equal(document_device_count(document_of(window)), 2);
  drive_close(window);
}

/* --- the meter --- */

static DoorsheetWindow *
sample_sheet(const char *name)
{
  DoorsheetWindow *window = drive_window(application);
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", name, NULL);
  window_open(window, path);
  drive_settle();
  assert_true(session_is_fresh(window_get_session(window)));
  return window;
}

static guint
conductor_at(DoorsheetWindow *window, const char *device, const char *terminal)
{
  for (guint i = 0; i < document_conductor_count(document_of(window)); i++) {
    const Conductor *conductor = document_conductor(document_of(window), i);
    if (g_strcmp0(conductor->from.device, device) == 0 &&
        g_strcmp0(conductor->from.terminal, terminal) == 0)
      return i;
  }
  fail_msg("no conductor starts at %s.%s", device, terminal);
  return 0;
}

static void
a_clamp_goes_round_the_selected_conductor(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("sensor-208.doorsheet");
  Session *session = window_get_session(window);
  drive_action_text(window, "meter", "amps");
  drive_action(window, "energize");
  session_select_nothing(session);
  drive_settle();
  GtkWidget *root = GTK_WIDGET(window);
  drive_find(root, GTK_TYPE_LABEL, "Select one conductor: the clamp goes round it.");
  guint at = conductor_at(window, "FU1", "2");
  session_select_conductor(session, document_conductor(document_of(window), at)->key, false);
  drive_settle();
  /* The load is 20 VA behind a transformer on 208 V: about a tenth of an ampere, and at least a
   * twentieth whatever the losses. */
  const Solution *solution = session_get_solution(session);
  MeterReading reading;
  assert_true(meter_amps(solution->circuit, solution, (Owner){.kind = OWNER_CONDUCTOR, .index = at},
                         &reading, NULL));
  assert_int_equal(reading.state, METER_READS);
  assert_true(reading.value > 0.05 && reading.value < 0.3);
  g_autofree char *text = meter_reading_text(&reading);
  drive_find(root, GTK_TYPE_LABEL, text);
  drive_action(window, "energize"); /* locked out: nothing flows */
  drive_settle();
  solution = session_get_solution(session);
  assert_true(meter_amps(solution->circuit, solution, (Owner){.kind = OWNER_CONDUCTOR, .index = at},
                         &reading, NULL));
  assert_true(reading.value == 0);
  g_autofree char *none = meter_reading_text(&reading);
  drive_find(root, GTK_TYPE_LABEL, none);
  drive_action_text(window, "meter", "volts");
  drive_close(window);
}

static void
ohms_are_warned_of_while_live(void **state)
{
  (void)state;
  DoorsheetWindow *window = sample_sheet("sensor-208.doorsheet");
  Session *session = window_get_session(window);
  session_set_probe(session, PROBE_RED, "T1", "X1");
  session_set_probe(session, PROBE_BLACK, "T1", "X2");
  drive_action_text(window, "meter", "ohms");
  drive_action(window, "energize");
  drive_settle();
  GtkWidget *root = GTK_WIDGET(window);
  GtkWidget *word = drive_find(root, GTK_TYPE_LABEL, "LIVE: no ohms");
  assert_true(gtk_widget_has_css_class(word, "problem"));
  drive_action(window, "energize");
  drive_settle();
  assert_false(gtk_widget_has_css_class(word, "problem"));
  const Solution *solution = session_get_solution(session);
  MeterReading reading;
  guint a = circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_RED));
  guint b = circuit_node_of_landing(solution->circuit, session_get_probe(session, PROBE_BLACK));
  assert_true(meter_ohms(solution->circuit, solution, a, b, &reading, NULL));
  assert_int_equal(reading.state, METER_READS);
  g_autofree char *text = meter_reading_text(&reading);
  drive_find(root, GTK_TYPE_LABEL, text);
  drive_close(window);
}

static void
probes_touch_conductors(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  const Conductor *conductor = document_conductor(document_of(window), 0);
  g_autoptr(GArray) route = figure_route(document_of(window), conductor);
  Point a = g_array_index(route, Point, 0), b = g_array_index(route, Point, 1);
  session_select_nothing(session);
  drive_action(window, "probe-red");
  drive_click(window, (Point){(a.x + b.x) / 2, (a.y + b.y) / 2});
  assert_false(canvas_is_busy(window_get_canvas(window)));
  const Landing *red = session_get_probe(session, PROBE_RED);
  assert_non_null(red);
  assert_string_equal(red->device, "FU1");
  assert_string_equal(red->terminal, "2");
  /* On nothing the probe stays in hand; on a terminal it goes there. */
  drive_action(window, "probe-black");
  drive_click(window, (Point){20, 150});
  assert_true(canvas_is_busy(window_get_canvas(window)));
  assert_null(session_get_probe(session, PROBE_BLACK));
  drive_click(window, drive_terminal(window, "LD1.2"));
  assert_string_equal(session_get_probe(session, PROBE_BLACK)->terminal, "2");
  /* By keyboard: the selected conductor. */
  session_select_conductor(session, conductor->key, false);
  drive_action(window, "probe-black");
  drive_key(window, GDK_KEY_Return, 0);
  assert_string_equal(session_get_probe(session, PROBE_BLACK)->device, "FU1");
  drive_close(window);
}

static void
colours_follow_the_theme(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Canvas *canvas = window_get_canvas(window);
  drive_settle();
  assert_false(panel_dark(GTK_WIDGET(window)));
  assert_int_equal(canvas_palette(canvas), PALETTE_LIGHT);
  g_object_set(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", TRUE, NULL);
  for (int i = 0; i < 10; i++) /* colours may fade over */
    drive_settle();
  assert_int_equal(panel_palette(GTK_WIDGET(window)), PALETTE_DARK);
  assert_int_equal(canvas_palette(canvas), PALETTE_DARK);
  g_object_set(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", FALSE, NULL);
  for (int i = 0; i < 10; i++)
    drive_settle();
  assert_int_equal(canvas_palette(canvas), PALETTE_LIGHT);
  drive_close(window);
}

/* --- arranging --- */

static double
edge_of(DoorsheetWindow *window, const char *id, bool down, double share)
{
  Rect box = figure_device_bounds(device(window, id));
  return down ? box.y + box.height * share : box.x + box.width * share;
}

static void
aligning_is_one_step_on_the_grid(void **state)
{
  (void)state;
  static const struct {
    const char *action;
    bool down;
    double share;
  } ways[] = {{"align-left", false, 0},  {"align-right", false, 1},    {"align-top", true, 0},
              {"align-bottom", true, 1}, {"align-column", false, 0.5}, {"align-row", true, 0.5}};
  static const char *const ids[] = {"FU1", "FU2", "LD1"};
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  session_select_device(session, "FU1", false);
  session_select_device(session, "FU2", true);
  drive_drag(window, middle_of(window, "FU1"), (Point){75, 45}); /* so that nothing is in line */
  for (guint w = 0; w < G_N_ELEMENTS(ways); w++) {
    g_autoptr(Document) before = document_snapshot(document_of(window));
    for (guint i = 0; i < 3; i++)
      session_select_device(session, ids[i], i > 0);
    drive_action(window, ways[w].action);
    assert_false(document_equal(document_of(window), before));
    double first = edge_of(window, "FU1", ways[w].down, ways[w].share);
    for (guint i = 0; i < 3; i++) {
      /* Edges may lie between grid lines: in line to the nearest step. */
      assert_true(fabs(edge_of(window, ids[i], ways[w].down, ways[w].share) - first) <=
                  GRID_STEP_MM);
      Point at = device(window, ids[i])->placement.at;
      assert_true(point_equal(at, point_snap(at)));
      Point was = document_find_device(before, ids[i])->placement.at;
      assert_true(ways[w].down ? at.x == was.x : at.y == was.y);
    }
    assert_true(fabs(edge_of(window, "FU2", ways[w].down, ways[w].share) - first) < 1e-6);
    g_autoptr(Document) once = document_snapshot(document_of(window));
    drive_action(window, ways[w].action); /* in line already: nothing changes */
    assert_true(document_equal(document_of(window), once));
    drive_action(window, "undo");
    assert_true(document_equal(document_of(window), before));
  }
  session_select_device(session, "FU1", false);
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "align-left"));
  drive_close(window);
}

static void
spacing_is_even(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  const Point places[] = {{30, 40}, {50, 60}, {90, 75}, {190, 120}};
  for (guint i = 0; i < G_N_ELEMENTS(places); i++)
    drive_place(window, "Fuse", places[i]);
  g_autoptr(Document) before = document_snapshot(document_of(window));
  drive_action(window, "select-all");
  drive_action(window, "spread-across");
  drive_action(window, "spread-down");
  Point first = device(window, "FU1")->placement.at, last = device(window, "FU4")->placement.at;
  assert_true(point_equal(first, document_find_device(before, "FU1")->placement.at));
  assert_true(point_equal(last, document_find_device(before, "FU4")->placement.at));
  static const char *const between[] = {"FU2", "FU3"};
  for (guint i = 0; i < 2; i++) {
    Point at = device(window, between[i])->placement.at;
    double share = (i + 1) / 3.0;
    assert_true(fabs(at.x - (first.x + (last.x - first.x) * share)) <= GRID_STEP_MM / 2 + 1e-6);
    assert_true(fabs(at.y - (first.y + (last.y - first.y) * share)) <= GRID_STEP_MM / 2 + 1e-6);
  }
  drive_action(window, "undo");
  drive_action(window, "undo");
  assert_true(document_equal(document_of(window), before));
  session_select_device(session, "FU1", false);
  session_select_device(session, "FU2", true);
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "spread-across"));
  drive_close(window);
}

static bool
conductor_chosen(DoorsheetWindow *window, const char *device, const char *terminal)
{
  guint at = conductor_at(window, device, terminal);
  return session_conductor_selected(window_get_session(window),
                                    document_conductor(document_of(window), at)->key);
}

/* Two fuses in a row, a splice behind them, a load on it: a net ends at a fuse. */
static void
a_net_is_selected(void **state)
{
  (void)state;
  DoorsheetWindow *window = small_sheet();
  Session *session = window_get_session(window);
  drive_place(window, "Splice", (Point){90, 100});
  drive_place(window, "Load", (Point){160, 90});
  drive_land(window, "FU2.2", "SP1.1");
  drive_land(window, "LD1.2", "SP1.1");
  drive_land(window, "LD2.1", "SP1.1");
  drive_land(window, "FU2.1", "FU1.1");
  drive_settle();
  guint at = conductor_at(window, "LD2", "1");
  session_select_conductor(session, document_conductor(document_of(window), at)->key, false);
  drive_action(window, "select-net");
  assert_true(conductor_chosen(window, "FU2", "2"));
  assert_true(conductor_chosen(window, "LD1", "2"));
  assert_true(conductor_chosen(window, "LD2", "1"));
  assert_false(conductor_chosen(window, "FU2", "1"));
  assert_false(conductor_chosen(window, "FU1", "2"));
  assert_true(session_device_selected(session, "SP1"));
  assert_true(session_device_selected(session, "FU2"));
  assert_true(session_device_selected(session, "LD2"));
  assert_false(session_device_selected(session, "FU1"));
  /* A terminal that is pointed at. */
  session_select_nothing(session);
  drive_hover(window, drive_terminal(window, "FU1.1"));
  drive_action(window, "select-net");
  assert_true(conductor_chosen(window, "FU2", "1"));
  assert_int_equal(session_get_selected_device_count(session), 2);
  /* Nothing asked for: nothing is selected. */
  drive_hover(window, (Point){20, 150});
  session_select_nothing(session);
  drive_action(window, "select-net");
  assert_int_equal(session_get_selected_device_count(session), 0);
  drive_close(window);
}

/* --- random gestures --- */

/* Enough for every tool to meet every other; a random heap of more only makes routing slow. */
#define CROWD 16

static Point
random_place(GRand *random)
{
  return (Point){g_rand_double_range(random, 10, 250), g_rand_double_range(random, 10, 190)};
}

static void
random_gesture(DoorsheetWindow *window, GRand *random)
{
  static const char *const actions[] = {
      "delete",    "duplicate",    "turn",       "mirror",    "operate",    "undo",        "redo",
      "zoom-in",   "zoom-out",     "zoom-fit",   "energize",  "select-all", "select-none", "land",
      "probe-red", "next-finding", "select-net", "align-row", "spread-down"};
  static const guint keys[] = {GDK_KEY_Tab,  GDK_KEY_Left,   GDK_KEY_Right,  GDK_KEY_Up,
                               GDK_KEY_Down, GDK_KEY_Return, GDK_KEY_Escape, GDK_KEY_space};
  PartCatalog catalog = parts_catalog();
  const Document *document = document_of(window);
  guint n = document_device_count(document), kinds = 0;
  switch (g_rand_int_range(random, 0, 8)) {
  case 0:
    while (catalog[kinds] != NULL)
      kinds++;
    if (n < CROWD) {
      drive_action_text(window, "place", catalog[g_rand_int_range(random, 0, (int)kinds)]->name);
      drive_click(window, random_place(random));
    }
    break;
  case 1:
  case 2:
    if (n > 1 && document_conductor_count(document) < CROWD) {
      const Device *a = document_device(document, (guint)g_rand_int_range(random, 0, (int)n));
      const Device *b = document_device(document, (guint)g_rand_int_range(random, 0, (int)n));
      guint s = device_terminal_count(a), t = device_terminal_count(b);
      if (s > 0 && t > 0)
        drive_drag(window, device_terminal_point(a, (guint)g_rand_int_range(random, 0, (int)s)),
                   device_terminal_point(b, (guint)g_rand_int_range(random, 0, (int)t)));
    }
    break;
  case 3:
  case 4:
    drive_drag(window, random_place(random), random_place(random));
    break;
  case 5:
    drive_click(window, random_place(random));
    break;
  case 6:
    drive_key(window, keys[g_rand_int_range(random, 0, G_N_ELEMENTS(keys))], 0);
    break;
  default: {
    const char *name = actions[g_rand_int_range(random, 0, G_N_ELEMENTS(actions))];
    GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);
    if (g_action_get_enabled(action) && (strcmp(name, "duplicate") != 0 || n < CROWD / 2))
      g_action_activate(action, NULL);
  }
  }
}

static void
assert_sound(DoorsheetWindow *window)
{
  const Document *document = document_of(window);
  const Device *found;
  guint terminal;
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    assert_true(document_resolve(document, &conductor->from, &found, &terminal));
    assert_true(document_resolve(document, &conductor->to, &found, &terminal));
  }
  Session *session = window_get_session(window);
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; ids[i] != NULL; i++)
    assert_non_null(document_find_device(document, ids[i]));
  guint n;
  const guint32 *selected = session_get_selected_conductors(session, &n);
  for (guint i = 0; i < n; i++)
    assert_non_null(document_find_conductor(document, selected[i]));
}

static void
random_gestures_leave_nothing_behind(void **state)
{
  (void)state;
  const char *given = g_getenv("DOORSHEET_SEED"), *wanted = g_getenv("DOORSHEET_GESTURES");
  guint32 seed = given != NULL ? (guint32)strtoul(given, NULL, 10) : g_random_int();
  int count = wanted != NULL ? atoi(wanted) : 600;
  print_message("seed %u, %d gestures\n", seed, count);
  DoorsheetWindow *window = drive_window(application);
  window_hide_start(window);
  g_autoptr(Document) start = document_snapshot(document_of(window));
  g_autoptr(GRand) random = g_rand_new_with_seed(seed);
  for (int i = 0; i < count; i++) {
    random_gesture(window, random);
    assert_sound(window);
    if (i % 50 == 0)
      drive_settle(); /* so that it is drawn as well */
  }
  drive_action(window, "select-none");
  while (document_can_undo(document_of(window)))
    session_undo(window_get_session(window));
  assert_true(document_equal(document_of(window), start));
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(moving_follows_the_grid),
      cmocka_unit_test(selecting),
      cmocka_unit_test(turning_and_copying),
      cmocka_unit_test(an_end_moves_to_another_terminal),
      cmocka_unit_test(landing_through_bends_by_clicks),
      cmocka_unit_test(everything_by_keyboard),
      cmocka_unit_test(a_clamp_goes_round_the_selected_conductor),
      cmocka_unit_test(ohms_are_warned_of_while_live),
      cmocka_unit_test(probes_touch_conductors),
      cmocka_unit_test(colours_follow_the_theme),
      cmocka_unit_test(aligning_is_one_step_on_the_grid),
      cmocka_unit_test(spacing_is_even),
      cmocka_unit_test(a_net_is_selected),
      cmocka_unit_test(random_gestures_leave_nothing_behind),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
