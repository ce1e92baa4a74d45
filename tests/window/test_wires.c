/* SPDX-License-Identifier: MIT */
/* Conductors by keyboard alone: each tool's outcome, its undoing and the saved text. */
#include "drive.h"

#include "figure/figure.h"
#include <math.h>
#include <string.h>

static GtkApplication *application;

static const Conductor *
first_conductor(DoorsheetWindow *window)
{
  return document_conductor(drive_document(window), 0);
}

static void
walking_along_a_device(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  drive_land(window, "FU1.1", "FU2.1");
  drive_land(window, "FU2.2", "LD1.2");
  session_select_device(session, "FU1", false);
  drive_action(window, "next-conductor");
  assert_true(session_conductor_selected(session, first_conductor(window)->key));
  assert_int_equal(session_get_selected_device_count(session), 0);
  drive_action(window, "next-conductor");
  guint32 second = document_conductor(drive_document(window), 1)->key;
  assert_true(session_conductor_selected(session, second));
  drive_action(window, "next-conductor"); /* round: the third does not touch FU1 */
  assert_true(session_conductor_selected(session, first_conductor(window)->key));
  drive_action(window, "previous-conductor");
  assert_true(session_conductor_selected(session, second));
  drive_key(window, GDK_KEY_Tab, 0); /* on to its other end */
  assert_true(session_device_selected(session, "FU2"));
  /* With nothing selected all are walked. */
  session_select_nothing(session);
  drive_action(window, "previous-conductor");
  guint n;
  session_get_selected_conductors(session, &n);
  assert_int_equal(n, 1);
  drive_action(window, "delete");
  assert_int_equal(document_conductor_count(drive_document(window)), 2);
  drive_close(window);
}

static void
an_end_moves_by_keyboard(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  guint32 key = first_conductor(window)->key;
  session_select_conductor(session, key, false);
  drive_action(window, "reland");
  assert_true(canvas_is_busy(window_get_canvas(window)));
  for (const char *c = "ld1.2"; *c != '\0'; c++)
    drive_key(window, gdk_unicode_to_keyval((guint32)*c), 0);
  drive_key(window, GDK_KEY_Page_Down, 0); /* an end does not splice */
  drive_key(window, GDK_KEY_Return, 0);
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_string_equal(first_conductor(window)->to.terminal, "2");
  assert_string_equal(first_conductor(window)->from.device, "FU1");
  drive_one_step(window, before);
  session_select_conductor(session, key, false);
  drive_action(window, "reland-start");
  for (const char *c = "fu2.1"; *c != '\0'; c++)
    drive_key(window, gdk_unicode_to_keyval((guint32)*c), 0);
  drive_key(window, GDK_KEY_Return, 0);
  assert_string_equal(first_conductor(window)->from.device, "FU2");
  assert_string_equal(first_conductor(window)->to.terminal, "2");
  /* Escape leaves it. */
  g_autoptr(Document) settled = document_snapshot(drive_document(window));
  session_select_conductor(session, key, false);
  drive_action(window, "reland");
  drive_key(window, GDK_KEY_Left, 0);
  drive_key(window, GDK_KEY_Escape, 0);
  assert_true(document_equal(drive_document(window), settled));
  drive_close(window);
}

static void
bending_by_keyboard(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  guint32 key = first_conductor(window)->key;
  session_select_conductor(session, key, false);
  drive_action(window, "bend");
  for (int i = 0; i < 3; i++) { /* the arrow along a stretch does nothing, the other moves it */
    drive_key(window, GDK_KEY_Up, 0);
    drive_key(window, GDK_KEY_Right, 0);
  }
  assert_true(document_equal(drive_document(window), before)); /* not before Enter */
  drive_key(window, GDK_KEY_Return, 0);
  const Conductor *conductor = document_find_conductor(drive_document(window), key);
  assert_true(conductor->via->len >= 2);
  g_autoptr(GArray) route = figure_route(drive_document(window), conductor);
  for (guint i = 0; i + 1 < route->len; i++) {
    Point a = g_array_index(route, Point, i), b = g_array_index(route, Point, i + 1);
    assert_true(fabs(a.x - b.x) < 1e-6 || fabs(a.y - b.y) < 1e-6);
  }
  drive_one_step(window, before);
  /* A stretch is parted and one half moved: more corners than before. */
  guint corners = document_find_conductor(drive_document(window), key)->via->len;
  session_select_conductor(session, key, false);
  drive_action(window, "bend");
  drive_key(window, GDK_KEY_Insert, 0);
  drive_key(window, GDK_KEY_Down, 0);
  drive_key(window, GDK_KEY_Right, 0);
  drive_key(window, GDK_KEY_Return, 0);
  assert_true(document_find_conductor(drive_document(window), key)->via->len > corners);
  /* Bends go one stretch at a time, or all at once. */
  corners = document_find_conductor(drive_document(window), key)->via->len;
  drive_action(window, "bend");
  drive_key(window, GDK_KEY_Tab, 0);
  drive_key(window, GDK_KEY_Delete, 0);
  assert_true(document_find_conductor(drive_document(window), key)->via->len < corners);
  drive_action(window, "undo");
  session_select_conductor(session, key, false);
  drive_action(window, "straighten");
  assert_int_equal(document_find_conductor(drive_document(window), key)->via->len, 0);
  /* Escape gives up. */
  g_autoptr(Document) settled = document_snapshot(drive_document(window));
  drive_action(window, "bend");
  drive_key(window, GDK_KEY_Up, GDK_SHIFT_MASK);
  drive_key(window, GDK_KEY_Escape, 0);
  assert_true(document_equal(drive_document(window), settled));
  drive_close(window);
}

static void
splicing_by_keyboard(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  session_select_device(session, "FU2", false);
  drive_action(window, "land");
  drive_key(window, GDK_KEY_2, 0);
  drive_key(window, GDK_KEY_Return, 0);
  drive_key(window, GDK_KEY_Page_Down, 0);
  drive_key(window, GDK_KEY_Right, GDK_SHIFT_MASK);
  drive_key(window, GDK_KEY_Left, 0);
  drive_key(window, GDK_KEY_Return, 0);
  assert_false(canvas_is_busy(window_get_canvas(window)));
  assert_int_equal(document_conductor_count(drive_document(window)), 3);
  assert_int_equal(document_device_count(drive_document(window)), 4);
  assert_int_equal(document_device(drive_document(window), 3)->kind->role, ROLE_SPLICE);
  drive_one_step(window, before);
  drive_close(window);
}

static void
probes_and_selection_by_keyboard(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  session_select_device(session, "LD1", false);
  drive_action(window, "probe-red");
  drive_key(window, GDK_KEY_Return, 0); /* the selected device: now its terminals are walked */
  for (const char *c = "ld1.2"; *c != '\0'; c++)
    drive_key(window, gdk_unicode_to_keyval((guint32)*c), 0);
  drive_key(window, GDK_KEY_Return, 0);
  const Landing *probe = session_get_probe(session, PROBE_RED);
  assert_non_null(probe);
  assert_string_equal(probe->device, "LD1");
  assert_string_equal(probe->terminal, "2");
  /* From one device the selection grows in sheet order. */
  session_select_device(session, "FU1", false);
  drive_action(window, "extend-next");
  assert_int_equal(session_get_selected_device_count(session), 2);
  assert_true(session_device_selected(session, "FU2"));
  drive_action(window, "extend-next");
  assert_int_equal(session_get_selected_device_count(session), 3);
  drive_action(window, "extend-next"); /* there is no more */
  assert_int_equal(session_get_selected_device_count(session), 3);
  session_select_device(session, "LD1", false);
  drive_action(window, "extend-previous");
  assert_true(session_device_selected(session, "FU2"));
  drive_close(window);
}

static void
the_selection_is_said(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  g_autofree char *path =
      g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", "controller-600.doorsheet", NULL);
  Session *session = window_get_session(window);
  if (!g_file_test(path, G_FILE_TEST_EXISTS))
    fail_msg("%s is missing", path);
  assert_true(session_open(session, path, NULL));
  drive_settle();
  session_set_energized(session, true);
  guint live = 0;
  for (guint i = 0; i < document_conductor_count(drive_document(window)); i++) {
    const Conductor *conductor = document_conductor(drive_document(window), i);
    session_select_conductor(session, conductor->key, false);
    g_autofree char *text = session_dup_selection_text(session);
    g_autofree char *from = landing_dup_name(&conductor->from);
    assert_non_null(strstr(text, from));
    if (strstr(text, "to ground") != NULL) {
      live++;
      assert_true(strstr(text, "current") != NULL);
    }
    gtk_test_accessible_assert_property(GTK_ACCESSIBLE(window_get_canvas(window)),
                                        GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text);
  }
  assert_true(live > 0);
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(walking_along_a_device),
      cmocka_unit_test(an_end_moves_by_keyboard),
      cmocka_unit_test(bending_by_keyboard),
      cmocka_unit_test(splicing_by_keyboard),
      cmocka_unit_test(probes_and_selection_by_keyboard),
      cmocka_unit_test(the_selection_is_said),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
