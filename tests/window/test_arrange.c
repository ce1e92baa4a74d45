/* SPDX-License-Identifier: MIT */
/* Selecting what is joined, aligning and spacing. */
#include "drive.h"

#include "figure/figure.h"
#include <math.h>

static GtkApplication *application;

static double
edge_of(DoorsheetWindow *window, const char *id, bool down, double share)
{
  Rect box = figure_device_bounds(drive_device(window, id));
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
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  session_select_device(session, "FU1", false);
  session_select_device(session, "FU2", true);
  drive_drag(window, drive_middle(window, "FU1"), (Point){75, 45}); /* so that nothing is in line */
  for (guint w = 0; w < G_N_ELEMENTS(ways); w++) {
    g_autoptr(Document) before = document_snapshot(drive_document(window));
    for (guint i = 0; i < 3; i++)
      session_select_device(session, ids[i], i > 0);
    drive_action(window, ways[w].action);
    assert_false(document_equal(drive_document(window), before));
    double first = edge_of(window, "FU1", ways[w].down, ways[w].share);
    for (guint i = 0; i < 3; i++) {
      /* Edges may lie between grid lines: in line to the nearest step. */
      assert_true(fabs(edge_of(window, ids[i], ways[w].down, ways[w].share) - first) <=
                  GRID_STEP_MM);
      Point at = drive_device(window, ids[i])->placement.at;
      assert_true(point_equal(at, point_snap(at)));
      Point was = document_find_device(before, ids[i])->placement.at;
      assert_true(ways[w].down ? at.x == was.x : at.y == was.y);
    }
    assert_true(fabs(edge_of(window, "FU2", ways[w].down, ways[w].share) - first) < 1e-6);
    g_autoptr(Document) once = document_snapshot(drive_document(window));
    drive_action(window, ways[w].action); /* in line already: nothing changes */
    assert_true(document_equal(drive_document(window), once));
    drive_action(window, "undo");
    assert_true(document_equal(drive_document(window), before));
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
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_action(window, "select-all");
  drive_action(window, "spread-across");
  drive_action(window, "spread-down");
  Point first = drive_device(window, "FU1")->placement.at,
        last = drive_device(window, "FU4")->placement.at;
  assert_true(point_equal(first, document_find_device(before, "FU1")->placement.at));
  assert_true(point_equal(last, document_find_device(before, "FU4")->placement.at));
  static const char *const between[] = {"FU2", "FU3"};
  for (guint i = 0; i < 2; i++) {
    Point at = drive_device(window, between[i])->placement.at;
    double share = (i + 1) / 3.0;
    assert_true(fabs(at.x - (first.x + (last.x - first.x) * share)) <= GRID_STEP_MM / 2 + 1e-6);
    assert_true(fabs(at.y - (first.y + (last.y - first.y) * share)) <= GRID_STEP_MM / 2 + 1e-6);
  }
  drive_action(window, "undo");
  drive_action(window, "undo");
  assert_true(document_equal(drive_document(window), before));
  session_select_device(session, "FU1", false);
  session_select_device(session, "FU2", true);
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "spread-across"));
  drive_close(window);
}

static bool
conductor_chosen(DoorsheetWindow *window, const char *device, const char *terminal)
{
  guint at = drive_conductor_from(window, device, terminal);
  return session_conductor_selected(window_get_session(window),
                                    document_conductor(drive_document(window), at)->key);
}

/* Two fuses in a row, a splice behind them, a load on it: a net ends at a fuse. */
static void
a_net_is_selected(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  drive_place(window, "Splice", (Point){90, 100});
  drive_place(window, "Load", (Point){160, 90});
  drive_land(window, "FU2.2", "SP1.1");
  drive_land(window, "LD1.2", "SP1.1");
  drive_land(window, "LD2.1", "SP1.1");
  drive_land(window, "FU2.1", "FU1.1");
  drive_settle();
  guint at = drive_conductor_from(window, "LD2", "1");
  session_select_conductor(session, document_conductor(drive_document(window), at)->key, false);
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

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(aligning_is_one_step_on_the_grid),
      cmocka_unit_test(spacing_is_even),
      cmocka_unit_test(a_net_is_selected),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
