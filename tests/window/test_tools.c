/* SPDX-License-Identifier: MIT */
/* Each tool of the canvas by itself; all of them together: test_gestures.c. */
#include "drive.h"

#include "canvas/canvas_private.h"
#include "figure/figure.h"

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

/* More than are routed anew at every step: drawn as they lay, shifted, and put down as any. */
static void
a_crowd_moves_together(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Canvas *canvas = window_get_canvas(window);
  for (int i = 0; i < 4; i++) {
    drive_action(window, "select-all");
    drive_action(window, "duplicate");
  }
  drive_action(window, "select-all");
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  assert_int_equal(document_device_count(before), 48);
  Point grip = drive_middle(window, "LD1");
  double x, y, end_x, end_y;
  canvas_from_sheet(canvas, grip, &x, &y);
  canvas_from_sheet(canvas, (Point){grip.x + 10, grip.y + 5}, &end_x, &end_y);
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(GTK_WIDGET(canvas));
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkEventController) drag = g_list_model_get_item(all, i);
    if (G_OBJECT_TYPE(drag) != GTK_TYPE_GESTURE_DRAG)
      continue;
    g_signal_emit_by_name(drag, "drag-begin", x, y);
    g_signal_emit_by_name(drag, "drag-update", end_x - x, end_y - y);
    assert_true(canvas_moves_crowd(canvas));
    assert_null(canvas->preview);
    drive_settle(); /* drawn on its way */
    g_signal_emit_by_name(drag, "drag-end", end_x - x, end_y - y);
  }
  assert_false(canvas_moves_crowd(canvas));
  for (guint i = 0; i < document_device_count(before); i++) {
    Point was = document_device(before, i)->placement.at;
    assert_true(point_equal(document_device(drive_document(window), i)->placement.at,
                            (Point){was.x + 10, was.y + 5}));
  }
  drive_one_step(window, before);
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
      cmocka_unit_test(a_crowd_moves_together),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
