/* SPDX-License-Identifier: MIT */
/* Text half as large again and twice as large (gtk-xft-dpi),: the window still fits a
 * screen of 1280 x 900, and no page is wider than its place. */
#include "drive.h"

#include <string.h>

static GtkApplication *application;

#define DPI (96 * 1024)

static int
least_of(GtkWidget *widget, GtkOrientation orientation)
{
  int least, natural;
  gtk_widget_measure(widget, orientation, -1, &least, &natural, NULL, NULL);
  return least;
}

/* A label that is neither cut nor wrapped into less than it needs: wider than its place. */
static void
find_cut(GtkWidget *widget, GString *cut)
{
  if (!gtk_widget_get_mapped(widget))
    return;
  if (GTK_IS_LABEL(widget)) {
    GtkLabel *label = GTK_LABEL(widget);
    int width = gtk_widget_get_allocated_width(widget), needed, high;
    pango_layout_get_pixel_size(gtk_label_get_layout(label), &needed, &high);
    if (gtk_label_get_ellipsize(label) == PANGO_ELLIPSIZE_NONE && needed > width + 1)
      g_string_append_printf(cut, "\n  \"%s\" needs %d of %d", gtk_label_get_text(label), needed,
                             width);
  }
  for (GtkWidget *child = gtk_widget_get_first_child(widget); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    find_cut(child, cut);
}

/* A page is laid out with a later frame, on a busy machine much later. */
static void
settle_page(DoorsheetWindow *window)
{
  for (int i = 0; i < 100; i++) {
    drive_settle();
    g_autoptr(GString) unplaced = g_string_new(NULL);
    find_cut(GTK_WIDGET(window), unplaced);
    if (strstr(unplaced->str, " of 0") == NULL)
      return;
  }
}

static void
pages_fit(double scale)
{
  static int plain; /* the height of a line of text at 1 */
  static const char *const pages[] = {"measure", "land", "check", "read", "post"};
  g_object_set(gtk_settings_get_default(), "gtk-xft-dpi", (int)(scale * DPI), NULL);
  DoorsheetWindow *window = drive_sample(application, "faulty-wrong-tap.doorsheet");
  g_autoptr(PangoLayout) line = gtk_widget_create_pango_layout(GTK_WIDGET(window), "T1");
  int high;
  pango_layout_get_pixel_size(line, NULL, &high);
  if (plain == 0)
    plain = high;
  assert_true(high > 0.9 * scale * plain); /* the scale is in force */
  session_select_device(window_get_session(window), "T1", false);
  for (guint p = 0; p < G_N_ELEMENTS(pages); p++) {
    drive_action_text(window, "page", pages[p]);
    settle_page(window);
    int wide = least_of(GTK_WIDGET(window), GTK_ORIENTATION_HORIZONTAL);
    high = least_of(GTK_WIDGET(window), GTK_ORIENTATION_VERTICAL);
    if (wide > 1280 || high > 900)
      fail_msg("%s at %.1f: the window needs %d x %d", pages[p], scale, wide, high);
    g_autoptr(GString) cut = g_string_new(NULL);
    find_cut(GTK_WIDGET(window), cut);
    if (cut->len > 0)
      fail_msg("%s at %.1f: cut off:%s", pages[p], scale, cut->str);
  }
  drive_close(window);
  gtk_settings_reset_property(gtk_settings_get_default(), "gtk-xft-dpi");
}

static void
fits_at_one(void **state)
{
  (void)state;
  pages_fit(1);
}

static void
fits_at_one_and_a_half(void **state)
{
  (void)state;
  pages_fit(1.5);
}

static void
fits_at_two(void **state)
{
  (void)state;
  pages_fit(2);
}

int
main(void)
{
  application = drive_application();
  g_autoptr(GtkCssProvider) css = gtk_css_provider_new();
  gtk_css_provider_load_from_resource(css, "/org/doorsheet/Doorsheet/style.css");
  gtk_style_context_add_provider_for_display(gdk_display_get_default(), GTK_STYLE_PROVIDER(css),
                                             GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(fits_at_one),
      cmocka_unit_test(fits_at_one_and_a_half),
      cmocka_unit_test(fits_at_two),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
