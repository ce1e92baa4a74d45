/* SPDX-License-Identifier: MIT */
/* The print preview: every page is turned to and drawn, larger and smaller, in colour and in black
 * ink, by keys alone. */
#include "drive.h"

#include "sheet/sheet.h"
#include "window/window_main.h"
#include <string.h>

static GtkApplication *application;

static GtkWindow *
find_preview(void)
{
  GListModel *windows = gtk_window_get_toplevels();
  GtkWindow *found = NULL;
  for (guint i = 0; i < g_list_model_get_n_items(windows); i++) {
    g_autoptr(GtkWindow) window = g_list_model_get_item(windows, i);
    if (g_strcmp0(gtk_window_get_title(window), "Print preview") == 0)
      found = window;
  }
  return found;
}

static void
press(GtkWindow *preview, guint key)
{
  g_autoptr(GListModel) controllers = gtk_widget_observe_controllers(GTK_WIDGET(preview));
  for (guint i = 0; i < g_list_model_get_n_items(controllers); i++) {
    g_autoptr(GtkEventController) controller = g_list_model_get_item(controllers, i);
    gboolean taken = FALSE;
    if (!GTK_IS_EVENT_CONTROLLER_KEY(controller) ||
        gtk_event_controller_get_propagation_phase(controller) != GTK_PHASE_CAPTURE)
      continue;
    g_signal_emit_by_name(controller, "key-pressed", key, 0u, (GdkModifierType)0, &taken);
    if (taken)
      break;
  }
  drive_settle();
}

static void
expect_page(GtkWindow *preview, const char *text)
{
  drive_find(GTK_WIDGET(preview), GTK_TYPE_LABEL, text); /* fails the test when it is not there */
}

static void
pages_turn_by_keys(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  drive_action(window, "print-preview");
  drive_settle();
  GtkWindow *preview = find_preview();
  assert_non_null(preview);
  press(preview, GDK_KEY_End);
  GtkWidget *next = drive_find(GTK_WIDGET(preview), GTK_TYPE_BUTTON, "Next");
  assert_non_null(next);
  assert_false(gtk_widget_get_sensitive(next));
  press(preview, GDK_KEY_Home);
  assert_true(gtk_widget_get_sensitive(next));
  g_autoptr(GError) error = NULL;
  g_autoptr(Inspection) inspection = inspection_new(drive_document(window));
  g_autoptr(Sheet) sheet = sheet_compose(inspection, NULL, &error);
  for (guint i = 0; i < sheet_page_count(sheet); i++) {
    g_autofree char *text = g_strdup_printf("Page %u of %u", i + 1, sheet_page_count(sheet));
    expect_page(preview, text);
    press(preview, GDK_KEY_Page_Down);
  }
  press(preview, GDK_KEY_Escape);
  assert_null(find_preview());
  drive_close(window);
}

static void
zoom_and_black_ink(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_small_sheet(application);
  drive_action(window, "print-preview");
  drive_settle();
  GtkWindow *preview = find_preview();
  assert_non_null(preview);
  GtkScrolledWindow *scroller = GTK_SCROLLED_WINDOW(gtk_window_get_child(preview));
  GtkWidget *area = gtk_viewport_get_child(GTK_VIEWPORT(gtk_scrolled_window_get_child(scroller)));
  GtkWidget *black = drive_find(GTK_WIDGET(preview), GTK_TYPE_TOGGLE_BUTTON, "Black ink");
  int before = 0, larger = 0, whole = 0;
  assert_non_null(area);
  gtk_widget_get_size_request(area, &before, NULL);
  assert_int_equal(before, -1);
  press(preview, GDK_KEY_plus);
  press(preview, GDK_KEY_plus);
  gtk_widget_get_size_request(area, &larger, NULL);
  assert_true(larger > gtk_widget_get_width(GTK_WIDGET(preview)) / 2);
  press(preview, GDK_KEY_minus);
  gtk_widget_get_size_request(area, &before, NULL);
  assert_true(before < larger);
  press(preview, GDK_KEY_0);
  gtk_widget_get_size_request(area, &whole, NULL);
  assert_int_equal(whole, -1);
  assert_false(gtk_toggle_button_get_active(GTK_TOGGLE_BUTTON(black)));
  press(preview, GDK_KEY_b);
  assert_true(gtk_toggle_button_get_active(GTK_TOGGLE_BUTTON(black)));
  press(preview, GDK_KEY_Escape);
  drive_close(window);
}

int
main(void)
{
  if (!gtk_init_check())
    return g_getenv("CI") != NULL ? 1 : DRIVE_SKIP;
  application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pages_turn_by_keys),
      cmocka_unit_test(zoom_and_black_ink),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
