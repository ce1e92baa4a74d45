/* SPDX-License-Identifier: MIT */
/* Enclosures, copies between windows, and numbering by rule: the document after, after undo, and
 * as saved. */
#include "drive.h"

#include "diagram/document_file.h"
#include "figure/figure.h"
#include "parts/catalog.h"
#include <string.h>

static GtkApplication *application;

static Point
place_of(DoorsheetWindow *window, const char *id)
{
  return drive_device(window, id)->placement.at;
}

static void
an_outline_takes_along_what_it_holds(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  assert_false(g_action_group_get_action_enabled(G_ACTION_GROUP(window), "ungroup"));
  session_select_device(session, "FU1", false);
  session_select_device(session, "FU2", true);
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_action(window, "group");
  drive_one_step(window, before);
  Rect box = figure_device_bounds(drive_device(window, "ENC1"));
  assert_true(rect_holds(box, figure_device_bounds_labelled(drive_device(window, "FU1"))));
  assert_true(rect_holds(box, figure_device_bounds_labelled(drive_device(window, "FU2"))));
  assert_false(rect_contains(box, place_of(window, "LD1")));
  /* By keyboard and by its border: what lies in it goes along, what lies outside stays. */
  session_select_device(session, "ENC1", false);
  g_autoptr(Document) grouped = document_snapshot(drive_document(window));
  Point fuse = place_of(window, "FU1"), load = place_of(window, "LD1");
  Point outline = place_of(window, "ENC1");
  drive_key(window, GDK_KEY_Down, GDK_SHIFT_MASK);
  assert_true(point_equal(place_of(window, "FU1"), point_add(fuse, (Point){0, 10})));
  assert_true(point_equal(place_of(window, "ENC1"), point_add(outline, (Point){0, 10})));
  assert_true(point_equal(place_of(window, "LD1"), load));
  drive_one_step(window, grouped);
  drive_action(window, "undo");
  box = figure_device_bounds(drive_device(window, "ENC1"));
  drive_drag(window, (Point){box.x + box.width / 2, box.y + box.height},
             (Point){box.x + box.width / 2 + 5, box.y + box.height + 15});
  assert_true(
      point_equal(place_of(window, "FU2"),
                  point_add(document_find_device(grouped, "FU2")->placement.at, (Point){5, 15})));
  drive_action(window, "undo");
  /* A copy of the enclosure holds copies. */
  session_select_device(session, "ENC1", false);
  drive_action(window, "duplicate");
  assert_int_equal(document_device_count(drive_document(window)), 7);
  drive_action(window, "undo");
  /* The outline goes, what it held stays and is selected. */
  session_select_device(session, "ENC1", false);
  drive_action(window, "ungroup");
  assert_true(document_equal(drive_document(window), before));
  assert_true(session_device_selected(session, "FU1"));
  assert_true(session_device_selected(session, "FU2"));
  drive_close(window);
}

static void
on_written(GObject *source, GAsyncResult *result, gpointer done)
{
  assert_true(
      gdk_content_provider_write_mime_type_finish(GDK_CONTENT_PROVIDER(source), result, NULL));
  *(bool *)done = true;
}

/* What a provider gives for a type, as another program would get it. */
static char *
written(GdkContentProvider *provider, const char *type)
{
  g_autoptr(GOutputStream) stream = g_memory_output_stream_new_resizable();
  bool done = false;
  gdk_content_provider_write_mime_type_async(provider, type, stream, G_PRIORITY_DEFAULT, NULL,
                                             on_written, &done);
  while (!done)
    g_main_context_iteration(NULL, TRUE);
  g_output_stream_close(stream, NULL, NULL);
  g_autoptr(GBytes) bytes = g_memory_output_stream_steal_as_bytes(G_MEMORY_OUTPUT_STREAM(stream));
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  return g_strndup(data, size);
}

static void
a_copy_goes_to_another_window(void **state)
{
  (void)state;
  static const char *const types[] = {"application/x-doorsheet", "image/svg+xml",
                                      "text/plain;charset=utf-8"};
  DoorsheetWindow *window = drive_small_sheet(application);
  guint32 key = document_conductor(drive_document(window), 0)->key;
  Session *session = window_get_session(window);
  session_edit(session,
               edit_set_conductor_field(drive_document(window), key, "number", "101", NULL), NULL);
  drive_action(window, "select-all");
  g_autoptr(GdkContentProvider) provider = window_copy_provider(session);
  for (guint i = 0; i < G_N_ELEMENTS(types); i++) {
    g_autofree char *text = written(provider, types[i]);
    DoorsheetWindow *other = drive_window(application);
    g_autoptr(Document) empty = document_snapshot(drive_document(other));
    /* On an empty sheet everything keeps its name, number and place. */
    assert_true(window_paste_text(other, text, strlen(text)));
    assert_int_equal(document_device_count(drive_document(other)), 3);
    assert_true(point_equal(place_of(other, "LD1"), place_of(window, "LD1")));
    assert_string_equal(
        conductor_text(document_conductor(drive_document(other), 0), CONDUCTOR_NUMBER), "101");
    drive_one_step(other, empty);
    /* Once more: new names counted on, no number twice, nothing on top of another. */
    g_autoptr(Document) once = document_snapshot(drive_document(other));
    assert_true(window_paste_text(other, text, strlen(text)));
    assert_int_equal(document_device_count(drive_document(other)), 6);
    drive_device(other, "FU3");
    drive_device(other, "FU4");
    drive_device(other, "LD2");
    const Conductor *second = document_conductor(drive_document(other), 1);
    assert_string_equal(second->from.device, "FU3");
    assert_string_equal(second->to.device, "LD2");
    assert_string_equal(conductor_text(second, CONDUCTOR_NUMBER), "");
    assert_false(point_equal(place_of(other, "LD1"), place_of(other, "LD2")));
    drive_one_step(other, once);
    drive_close(other);
  }
  /* What is no sheet changes nothing. */
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  assert_false(window_paste_text(window, "hello", 5));
  assert_false(window_paste_text(window, "<svg xmlns='http://www.w3.org/2000/svg'/>", 41));
  assert_true(document_equal(drive_document(window), before));
  drive_close(window);
}

static const char *
number_of(DoorsheetWindow *window, const char *device, const char *terminal)
{
  guint at = drive_conductor_from(window, device, terminal);
  return conductor_text(document_conductor(drive_document(window), at), CONDUCTOR_NUMBER);
}

static void
numbering_by_rule(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  drive_place(window, "Splice", (Point){90, 120});
  drive_place(window, "Load", (Point){160, 110});
  drive_land(window, "FU2.2", "SP1.1");
  drive_land(window, "LD1.2", "SP1.1");
  drive_land(window, "LD2.1", "SP1.1");
  drive_settle();
  g_autoptr(Document) before = document_snapshot(drive_document(window));
  drive_action(window, "number-wires");
  assert_string_equal(number_of(window, "FU1", "2"), "101");
  /* One potential has one number. */
  const char *number = number_of(window, "FU2", "2");
  assert_string_equal(number, "102");
  assert_string_equal(number_of(window, "LD1", "2"), number);
  assert_string_equal(number_of(window, "LD2", "1"), number);
  drive_one_step(window, before);
  drive_settle();
  g_autoptr(Document) numbered = document_snapshot(drive_document(window));
  drive_action(window, "number-wires"); /* in order: nothing changes */
  assert_true(document_equal(drive_document(window), numbered));
  /* FU1 is moved below FU2: they change names, and what lands on them follows. */
  session_select_device(session, "FU1", false);
  Point middle = drive_middle(window, "FU1");
  drive_drag(window, middle, (Point){middle.x, middle.y + 90});
  g_autoptr(Document) moved = document_snapshot(drive_document(window));
  Point low = place_of(window, "FU1");
  drive_action(window, "number-devices");
  assert_true(point_equal(place_of(window, "FU2"), low));
  assert_string_equal(document_conductor(drive_document(window), 0)->from.device, "FU2");
  drive_one_step(window, moved);
  drive_close(window);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(an_outline_takes_along_what_it_holds),
      cmocka_unit_test(a_copy_goes_to_another_window),
      cmocka_unit_test(numbering_by_rule),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
