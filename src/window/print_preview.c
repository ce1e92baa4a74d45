/* SPDX-License-Identifier: MIT */
#include "window/print_preview.h"

#include "base/language.h"
#include <math.h>

#define EDGE 16        /* round the paper, pixels */
#define LEAST_ZOOM 0.5 /* pixels a millimetre */
#define MOST_ZOOM 20.0

typedef struct {
  Sheet *sheet;
  PreviewPrint print;
  guint page;
  double zoom; /* pixels a millimetre; 0: the whole page in the window */
  bool mono;
  GtkWindow *window;
  GtkWidget *area, *scroller, *count, *back, *forward, *black;
} Preview;

static void
preview_free(gpointer data)
{
  Preview *self = data;
  sheet_free(self->sheet);
  g_free(self);
}

static double
scale_of(const Preview *self)
{
  double width, height;
  if (self->zoom > 0)
    return self->zoom;
  sheet_page_size(self->sheet, self->page, &width, &height);
  double across = gtk_widget_get_width(self->scroller) - 2.0 * EDGE;
  double down = gtk_widget_get_height(self->scroller) - 2.0 * EDGE;
  return CLAMP(MIN(across / width, down / height), LEAST_ZOOM, MOST_ZOOM);
}

static void
update(Preview *self)
{
  const guint pages = sheet_page_count(self->sheet);
  g_autofree char *text = g_strdup_printf(_("Page %u of %u"), self->page + 1, pages);
  double width, height;

  sheet_page_size(self->sheet, self->page, &width, &height);
  gtk_label_set_text(GTK_LABEL(self->count), text);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->area), GTK_ACCESSIBLE_PROPERTY_LABEL, text,
                                 -1);
  gtk_widget_set_sensitive(self->back, self->page > 0);
  gtk_widget_set_sensitive(self->forward, self->page + 1 < pages);
  const bool fits = self->zoom <= 0;
  gtk_widget_set_size_request(self->area, fits ? -1 : (int)ceil(width * self->zoom) + 2 * EDGE,
                              fits ? -1 : (int)ceil(height * self->zoom) + 2 * EDGE);
  gtk_widget_queue_draw(self->area);
}

static void
draw(GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  const Preview *self = data;
  const double scale = scale_of(self);
  double wide, high;
  (void)area;

  sheet_page_size(self->sheet, self->page, &wide, &high);
  cairo_set_source_rgb(cr, 0.45, 0.45, 0.45);
  cairo_paint(cr);
  cairo_translate(cr, MAX(EDGE, floor((width - wide * scale) / 2)),
                  MAX(EDGE, floor((height - high * scale) / 2)));
  cairo_scale(cr, scale, scale);
  g_autoptr(Pen) pen = pen_cairo_new(cr, self->mono ? PALETTE_MONO : PALETTE_LIGHT, 1 / scale);
  sheet_draw_page(self->sheet, self->page, pen);
  g_autoptr(GError) error = NULL;
  if (!pen_finish(pen, &error))
    g_message("Page %u was not drawn whole: %s", self->page + 1, error->message);
}

static void
turn_to(Preview *self, int page)
{
  self->page = (guint)CLAMP(page, 0, (int)sheet_page_count(self->sheet) - 1);
  update(self);
}

static void
zoom_by(Preview *self, double factor)
{
  self->zoom = CLAMP(scale_of(self) * factor, LEAST_ZOOM, MOST_ZOOM);
  update(self);
}

static void
do_print(Preview *self)
{
  GtkWindow *parent = gtk_window_get_transient_for(self->window);
  PreviewPrint print = self->print;
  const Palette palette = self->mono ? PALETTE_MONO : PALETTE_LIGHT;

  gtk_window_destroy(self->window);
  if (print != NULL)
    print(parent, palette);
}

/* --- what keys and buttons do --- */

typedef enum { BACK, FORWARD, FIRST, LAST, LARGER, SMALLER, FIT, BLACK, PRINT, CLOSE } Act;

static void
act(Preview *self, Act what)
{
  switch (what) {
  case BACK:
  case FORWARD:
    turn_to(self, (int)self->page + (what == BACK ? -1 : 1));
    break;
  case FIRST:
    turn_to(self, 0);
    break;
  case LAST:
    turn_to(self, G_MAXINT);
    break;
  case LARGER:
  case SMALLER:
    zoom_by(self, what == LARGER ? 1.25 : 0.8);
    break;
  case FIT:
    self->zoom = 0;
    update(self);
    break;
  case BLACK:
    gtk_toggle_button_set_active(GTK_TOGGLE_BUTTON(self->black), !self->mono);
    break;
  case PRINT:
    if (self->print != NULL)
      do_print(self);
    break;
  case CLOSE:
    gtk_window_destroy(self->window);
    break;
  }
}

static gboolean
on_key(GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, Preview *self)
{
  static const struct {
    guint key;
    Act what;
  } table[] = {
      {GDK_KEY_Page_Up, BACK},  {GDK_KEY_Page_Down, FORWARD}, {GDK_KEY_Home, FIRST},
      {GDK_KEY_End, LAST},      {GDK_KEY_plus, LARGER},       {GDK_KEY_equal, LARGER},
      {GDK_KEY_KP_Add, LARGER}, {GDK_KEY_minus, SMALLER},     {GDK_KEY_KP_Subtract, SMALLER},
      {GDK_KEY_0, FIT},         {GDK_KEY_b, BLACK},           {GDK_KEY_p, PRINT},
      {GDK_KEY_Escape, CLOSE}};
  (void)keys;
  (void)code;
  if ((state & GDK_ALT_MASK) != 0)
    return FALSE;
  for (guint i = 0; i < G_N_ELEMENTS(table); i++)
    if (table[i].key == key) {
      act(self, table[i].what);
      return TRUE;
    }
  return FALSE;
}

static void
on_clicked(GtkButton *button, Preview *self)
{
  act(self, (Act)GPOINTER_TO_INT(g_object_get_data(G_OBJECT(button), "act")));
}

static void
on_black(GtkToggleButton *button, Preview *self)
{
  self->mono = gtk_toggle_button_get_active(button);
  update(self);
}

static GtkWidget *
add_button(Preview *self, GtkWidget *bar, const char *label, const char *tip, Act what)
{
  GtkWidget *button = gtk_button_new_with_label(label);
  gtk_widget_set_tooltip_text(button, tip);
  g_object_set_data(G_OBJECT(button), "act", GINT_TO_POINTER(what));
  g_signal_connect(button, "clicked", G_CALLBACK(on_clicked), self);
  gtk_header_bar_pack_start(GTK_HEADER_BAR(bar), button);
  return button;
}

static GtkWidget *
make_bar(Preview *self)
{
  GtkWidget *bar = gtk_header_bar_new();

  self->back = add_button(self, bar, _("Back"), _("The page before (Page Up)"), BACK);
  self->count = gtk_label_new(NULL);
  gtk_header_bar_pack_start(GTK_HEADER_BAR(bar), self->count);
  self->forward = add_button(self, bar, _("Next"), _("The next page (Page Down)"), FORWARD);
  add_button(self, bar, _("Smaller"), _("Smaller (minus)"), SMALLER);
  add_button(self, bar, _("Whole page"), _("The whole page (0)"), FIT);
  add_button(self, bar, _("Larger"), _("Larger (plus)"), LARGER);
  if (self->print != NULL) {
    GtkWidget *print = gtk_button_new_with_label(_("Print"));
    gtk_widget_add_css_class(print, "suggested-action");
    gtk_widget_set_tooltip_text(print, _("Choose a printer, or print to a file (P)"));
    g_object_set_data(G_OBJECT(print), "act", GINT_TO_POINTER(PRINT));
    g_signal_connect(print, "clicked", G_CALLBACK(on_clicked), self);
    gtk_header_bar_pack_end(GTK_HEADER_BAR(bar), print);
  }
  self->black = gtk_toggle_button_new_with_label(_("Black ink"));
  gtk_widget_set_tooltip_text(self->black, _("As a printer without colours shows it (B)"));
  g_signal_connect(self->black, "toggled", G_CALLBACK(on_black), self);
  gtk_header_bar_pack_end(GTK_HEADER_BAR(bar), self->black);
  return bar;
}

GtkWindow *
print_preview_show(GtkWindow *parent, Sheet *take_sheet, PreviewPrint print)
{
  Preview *self = g_new0(Preview, 1);
  GtkWidget *window = gtk_window_new();

  self->sheet = take_sheet;
  self->print = print;
  self->window = GTK_WINDOW(window);
  g_object_set_data_full(G_OBJECT(window), "preview", self, preview_free);
  gtk_window_set_title(self->window, _("Print preview"));
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_destroy_with_parent(self->window, TRUE);
  gtk_window_set_default_size(self->window, 980, 680);
  gtk_window_set_titlebar(self->window, make_bar(self));
  self->area =
      g_object_new(GTK_TYPE_DRAWING_AREA, "accessible-role", GTK_ACCESSIBLE_ROLE_IMG, NULL);
  gtk_drawing_area_set_draw_func(GTK_DRAWING_AREA(self->area), draw, self, NULL);
  gtk_widget_set_focusable(self->area, TRUE);
  self->scroller = gtk_scrolled_window_new();
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->scroller), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 _("Page, to be pushed about"), -1);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(self->scroller), self->area);
  gtk_window_set_child(self->window, self->scroller);
  GtkEventController *keys = gtk_event_controller_key_new();
  gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
  g_signal_connect(keys, "key-pressed", G_CALLBACK(on_key), self);
  gtk_widget_add_controller(window, keys);
  update(self);
  gtk_window_present(self->window);
  gtk_widget_grab_focus(self->area);
  return self->window;
}
