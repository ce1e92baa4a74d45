/* SPDX-License-Identifier: MIT */
/* Each tool of the canvas by itself, and a crowd of random gestures that must never leave the
 * document unsound or anything behind after undoing. */
#include "drive.h"

#include "figure/figure.h"
#include "parts/catalog.h"
#include <math.h>
#include <stdlib.h>
#include <string.h>

static GtkApplication *application;

static void
moving_follows_the_grid(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Point before = drive_device(window, "FU2")->placement.at, grip = drive_middle(window, "FU2");
  drive_drag(window, grip, (Point){grip.x + 13.4, grip.y + 6.1});
  Point after = drive_device(window, "FU2")->placement.at;
  assert_true(point_equal(after, (Point){before.x + 12.5, before.y + 5}));
  drive_action(window, "undo");
  assert_true(point_equal(drive_device(window, "FU2")->placement.at, before));
  /* A conductor stays on its terminals. */
  grip = drive_middle(window, "LD1");
  drive_drag(window, grip, (Point){grip.x + 10, grip.y + 10});
  g_autoptr(GArray) route =
      figure_route(drive_document(window), document_conductor(drive_document(window), 0));
  assert_true(point_equal(g_array_index(route, Point, 0), drive_terminal(window, "FU1.2")));
  assert_true(
      point_equal(g_array_index(route, Point, route->len - 1), drive_terminal(window, "LD1.1")));
  drive_close(window);
}

static void
selecting(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  drive_click(window, drive_middle(window, "FU1"));
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
  assert_int_equal(document_device_count(drive_document(window)), 0);
  assert_int_equal(document_conductor_count(drive_document(window)), 0);
  drive_action(window, "undo");
  assert_int_equal(document_device_count(drive_document(window)), 3);
  assert_int_equal(document_conductor_count(drive_document(window)), 1);
  drive_close(window);
}

static void
turning_and_copying(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  session_select_device(session, "FU2", false);
  drive_action(window, "turn");
  assert_int_equal(drive_device(window, "FU2")->placement.turns, 1);
  drive_action(window, "turn-back");
  assert_int_equal(drive_device(window, "FU2")->placement.turns, 0);
  drive_action(window, "mirror");
  assert_true(drive_device(window, "FU2")->placement.mirrored);
  drive_action(window, "duplicate");
  assert_non_null(drive_device(window, "FU3"));
  assert_true(session_device_selected(session, "FU3"));
  assert_false(session_device_selected(session, "FU2"));
  /* Copy takes the conductors between what is copied along, under new names. */
  drive_action(window, "select-all");
  drive_action(window, "copy");
  drive_action(window, "paste");
  /* The clipboard comes back through the display, in its own time. */
  for (int i = 0; i < 100 && document_device_count(drive_document(window)) == 4; i++)
    drive_settle();
  assert_int_equal(document_device_count(drive_document(window)), 8);
  assert_int_equal(document_conductor_count(drive_document(window)), 2);
  assert_int_equal(session_get_selected_device_count(session), 4);
  drive_action(window, "undo");
  assert_int_equal(document_device_count(drive_document(window)), 4);
  /* Operating blows and mends a fuse. */
  session_select_device(session, "FU1", false);
  drive_action(window, "operate");
  assert_int_equal(device_value_named(drive_device(window, "FU1"), "blown")->choice, 1);
  drive_close(window);
}

static void
an_end_moves_to_another_terminal(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  const Conductor *conductor = document_conductor(drive_document(window), 0);
  guint32 key = conductor->key;
  session_select_conductor(session, key, false);
  drive_drag(window, drive_terminal(window, "LD1.1"), drive_terminal(window, "LD1.2"));
  conductor = document_find_conductor(drive_document(window), key);
  assert_non_null(conductor);
  assert_string_equal(conductor->to.terminal, "2");
  assert_string_equal(conductor->from.device, "FU1");
  assert_int_equal(document_conductor_count(drive_document(window)), 1);
  /* Let go on nothing: nothing changes. */
  session_select_conductor(session, key, false);
  drive_drag(window, drive_terminal(window, "LD1.2"), (Point){20, 150});
  conductor = document_find_conductor(drive_document(window), key);
  assert_string_equal(conductor->to.terminal, "2");
  /* A stretch that is dragged keeps its bends. */
  Point a = drive_terminal(window, "FU1.2");
  g_autoptr(GArray) route = figure_route(drive_document(window), conductor);
  Point b = g_array_index(route, Point, 1);
  session_select_nothing(session);
  Point grip = {(a.x + b.x) / 2, (a.y + b.y) / 2};
  drive_drag(window, grip, (Point){grip.x, grip.y - 10});
  conductor = document_find_conductor(drive_document(window), key);
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
  DoorsheetWindow *window = drive_small_sheet(application);
  drive_click(window, drive_terminal(window, "FU2.2"));
  assert_true(canvas_is_busy(window_get_canvas(window)));
  drive_click(window, (Point){90, 90});
  drive_click(window, drive_terminal(window, "LD1.2"));
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_int_equal(document_conductor_count(drive_document(window)), 2);
  const Conductor *conductor = document_conductor(drive_document(window), 1);
  bool through = false;
  for (guint i = 0; i < conductor->via->len; i++)
    through |= point_equal(g_array_index(conductor->via, Point, i), (Point){90, 90});
  assert_true(through || conductor->via->len >= 2);
  drive_action(window, "undo"); /* one edit, bends and all */
  assert_int_equal(document_conductor_count(drive_document(window)), 1);
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
  assert_int_equal(document_device_count(drive_document(window)), 2);
  session_select_nothing(session);
  drive_key(window, GDK_KEY_Tab, 0);
  assert_true(session_device_selected(session, "FU1"));
  Point before = drive_device(window, "FU1")->placement.at;
  drive_key(window, GDK_KEY_Down, 0);
  assert_true(point_equal(drive_device(window, "FU1")->placement.at,
                          (Point){before.x, before.y + GRID_STEP_MM}));
  drive_action(window, "land");
  type_name(window, "2");
  drive_key(window, GDK_KEY_Return, 0);
  type_name(window, "ld1.1");
  drive_key(window, GDK_KEY_Return, 0);
  assert_int_equal(document_conductor_count(drive_document(window)), 1);
  const Conductor *conductor = document_conductor(drive_document(window), 0);
  assert_string_equal(conductor->from.terminal, "2");
  assert_string_equal(conductor->to.device, "LD1");
  /* Escape gives up what is in hand and changes nothing. */
  drive_action_text(window, "place", "fuse");
  drive_key(window, GDK_KEY_Escape, 0);
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_int_equal(document_device_count(drive_document(window)), 2);
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
  const Document *document = drive_document(window);
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
  const Document *document = drive_document(window);
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
  g_autoptr(Document) start = document_snapshot(drive_document(window));
  g_autoptr(GRand) random = g_rand_new_with_seed(seed);
  for (int i = 0; i < count; i++) {
    random_gesture(window, random);
    assert_sound(window);
    if (i % 50 == 0)
      drive_settle(); /* so that it is drawn as well */
  }
  drive_action(window, "select-none");
  while (document_can_undo(drive_document(window)))
    session_undo(window_get_session(window));
  assert_true(document_equal(drive_document(window), start));
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
      cmocka_unit_test(random_gestures_leave_nothing_behind),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
