/* SPDX-License-Identifier: MIT */
/* Undo and redo: what they select, what they bring into view, and a file loaded again as a step
 * that can be taken back. */
#include "drive.h"

#include "diagram/document_file.h"
#include "figure/figure.h"
#include "parts/catalog.h"
#include <glib/gstdio.h>
#include <string.h>

static GtkApplication *application;

/* "FU1 LD1 |1": the ids selected, in sheet order, and how many conductors. New string. */
static char *
selected(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  const Document *document = drive_document(window);
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < document_device_count(document); i++)
    if (session_device_selected(session, document_device(document, i)->id))
      g_string_append_printf(text, "%s ", document_device(document, i)->id);
  guint n;
  session_get_selected_conductors(session, &n);
  g_string_append_printf(text, "|%u", n);
  return g_string_free(text, FALSE);
}

static void
assert_selected(DoorsheetWindow *window, const char *expected)
{
  g_autofree char *now = selected(window);
  assert_string_equal(now, expected);
}

static void
a_step_selects_what_it_changed(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  /* Moved: whatever is selected meanwhile, undo and redo select what moves. */
  session_select_device(session, "LD1", false);
  drive_drag(window, drive_middle(window, "LD1"), (Point){140, 60});
  session_select_device(session, "FU2", false);
  drive_action(window, "undo");
  assert_selected(window, "LD1 |0"); /* not its conductor, which only followed */
  drive_click(window, (Point){20, 150});
  drive_action(window, "redo");
  assert_selected(window, "LD1 |0");
  /* Deleted: undo brings all of it back selected, redo takes it away again. */
  drive_action(window, "select-all");
  drive_action(window, "delete");
  assert_selected(window, "|0");
  drive_action(window, "undo");
  assert_selected(window, "FU1 FU2 LD1 |1");
  drive_action(window, "redo");
  assert_selected(window, "|0");
  drive_action(window, "undo");
  /* A conductor alone. */
  guint32 key = document_conductor(drive_document(window), 0)->key;
  session_select_conductor(session, key, false);
  drive_action(window, "delete");
  session_select_device(session, "FU2", false);
  drive_action(window, "undo");
  assert_selected(window, "|1");
  /* A paste that is undone drops nothing but what goes. */
  session_select_device(session, "FU1", false);
  drive_action(window, "duplicate");
  assert_selected(window, "FU3 |0");
  session_select_device(session, "FU1", true);
  drive_action(window, "undo");
  assert_selected(window, "FU1 |0");
  drive_action(window, "redo");
  assert_selected(window, "FU3 |0");
  drive_close(window);
}

static void
sheet_data_leaves_the_selection(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  session_edit(session, edit_set_sheet_field(drive_document(window), false, "title", "Mine", NULL),
               NULL);
  session_select_device(session, "FU2", false);
  drive_action(window, "undo");
  assert_selected(window, "FU2 |0");
  drive_action(window, "redo");
  assert_selected(window, "FU2 |0");
  drive_close(window);
}

static void
a_step_comes_into_view(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  Canvas *canvas = window_get_canvas(window);
  session_select_device(window_get_session(window), "FU1", false);
  drive_action(window, "turn");
  canvas_zoom_by(canvas, 6);
  canvas_reveal(canvas, (Rect){200, 170, 10, 10});
  double width = gtk_widget_get_width(GTK_WIDGET(canvas)), x, y;
  canvas_from_sheet(canvas, drive_middle(window, "FU1"), &x, &y);
  assert_true(x < 0 || y < 0 || x > width);
  drive_action(window, "undo");
  canvas_from_sheet(canvas, drive_middle(window, "FU1"), &x, &y);
  assert_true(x > 0 && x < width);
  assert_true(y > 0 && y < gtk_widget_get_height(GTK_WIDGET(canvas)));
  drive_close(window);
}

/* --- one sheet in the place of another --- */

static GPtrArray *
samples(void)
{
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  GPtrArray *all = g_ptr_array_new_with_free_func((GDestroyNotify)document_free);
  for (const char *name; (name = g_dir_read_name(dir)) != NULL;) {
    if (!g_str_has_suffix(name, ".doorsheet"))
      continue;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    Document *document = document_read(path, parts_catalog(), NULL);
    assert_non_null(document);
    g_ptr_array_add(all, document);
  }
  assert_true(all->len > 10);
  return all;
}

static void
assert_written_alike(const Document *a, const Document *b)
{
  assert_true(document_equal(a, b));
  g_autoptr(GBytes) left = document_write_memory(a), right = document_write_memory(b);
  assert_true(g_bytes_equal(left, right));
}

static void
any_sheet_takes_the_place_of_any_other(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) all = samples();
  for (guint i = 0; i < all->len; i++)
    for (guint k = 0; k < all->len; k++) {
      const Document *from = all->pdata[i], *by = all->pdata[k];
      g_autoptr(Document) document = document_snapshot(from);
      g_autoptr(GError) error = NULL;
      Change *change = edit_replace(document, by, "Load");
      assert_int_equal(change_is_empty(change), i == k);
      if (!document_apply(document, change, &error))
        fail_msg("%u by %u: %s", i, k, error->message);
      assert_written_alike(document, by);
      document_undo(document);
      assert_written_alike(document, from);
      document_redo(document);
      assert_written_alike(document, by);
    }
}

/* The same devices in another order, one more and one fewer, with everything landed on them. */
static void
an_order_is_taken_over(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) all = samples();
  for (guint i = 0; i < all->len; i++) {
    const Document *from = all->pdata[i];
    guint n = document_device_count(from);
    Change *change = change_new("The first comes last");
    g_autoptr(Document) turned = document_new(document_catalog(from));
    for (guint d = 0; d < n; d++)
      change_device(change, NULL, document_device(from, (d + 1) % n));
    for (guint c = document_conductor_count(from); c-- > 0;)
      change_conductor(change, NULL, document_conductor(from, c));
    assert_true(document_apply(turned, change, NULL));
    g_autoptr(Document) document = document_snapshot(from);
    assert_true(document_apply(document, edit_replace(document, turned, "Load"), NULL));
    assert_written_alike(document, turned);
    document_undo(document);
    assert_written_alike(document, from);
  }
}

static void
loading_again_is_a_step(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-undo-XXXXXX", &error);
  g_autofree char *path = g_build_filename(folder, "mine.doorsheet", NULL);
  DoorsheetWindow *window = drive_small_sheet(application);
  Session *session = window_get_session(window);
  assert_true(session_save(session, path, NULL));
  /* Another program turns one device and takes another away with its conductor. */
  g_autoptr(Document) theirs = document_read(path, parts_catalog(), NULL);
  const char *ids[] = {"FU2", NULL}, *gone[] = {"LD1", NULL};
  assert_true(document_apply(theirs, edit_turn(theirs, ids, 1), NULL));
  assert_true(document_apply(theirs, edit_delete(theirs, gone, NULL, 0), NULL));
  assert_true(document_save(theirs, path, NULL));
  /* Meanwhile work is done here. */
  session_select_device(session, "FU1", false);
  drive_action(window, "mirror");
  g_autoptr(Document) mine = document_snapshot(drive_document(window));
  assert_true(session_reload(session, &error));
  assert_true(document_equal(drive_document(window), theirs));
  assert_false(session_get_modified(session));
  assert_selected(window, "FU1 |0");
  drive_one_step(window, mine);
  drive_action(window, "undo");
  assert_true(session_get_modified(session));
  drive_action(window, "undo"); /* and the steps before it are still there */
  assert_false(drive_device(window, "FU1")->placement.mirrored);
  drive_action(window, "redo");
  drive_action(window, "redo");
  assert_false(session_get_modified(session));
  /* What cannot be read leaves everything as it is. */
  assert_true(g_file_set_contents(path, "<doorsheet", -1, NULL));
  assert_false(session_reload(session, &error));
  assert_non_null(error);
  assert_true(document_equal(drive_document(window), theirs));
  drive_close(window);
  g_remove(path);
  g_rmdir(folder);
}

int
main(void)
{
  application = drive_application();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_step_selects_what_it_changed),
      cmocka_unit_test(sheet_data_leaves_the_selection),
      cmocka_unit_test(a_step_comes_into_view),
      cmocka_unit_test(any_sheet_takes_the_place_of_any_other),
      cmocka_unit_test(an_order_is_taken_over),
      cmocka_unit_test(loading_again_is_a_step),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
