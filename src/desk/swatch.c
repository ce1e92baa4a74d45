/* SPDX-License-Identifier: MIT */
#include "desk/swatch.h"

#include "base/language.h"
#include "figure/figure.h"
#include "tables/colours.h"

#define SIZE 14

/* --- drawing --- */

static void
draw(cairo_t *cr, const char *colour, double size)
{
  PenColour base, tracer;
  bool has_tracer;
  bool known = figure_colour(colour, &base, &tracer, &has_tracer);
  cairo_rectangle(cr, 0.5, 0.5, size - 1, size - 1);
  if (known)
    cairo_set_source_rgb(cr, base.red, base.green, base.blue);
  else
    cairo_set_source_rgba(cr, 0.5, 0.5, 0.5, 0.15);
  cairo_fill_preserve(cr);
  if (known && has_tracer) {
    cairo_save(cr);
    cairo_clip(cr);
    cairo_set_source_rgb(cr, tracer.red, tracer.green, tracer.blue);
    cairo_set_line_width(cr, size / 3.5);
    cairo_move_to(cr, 0, size);
    cairo_line_to(cr, size, 0);
    cairo_stroke(cr);
    cairo_restore(cr);
    cairo_rectangle(cr, 0.5, 0.5, size - 1, size - 1);
  }
  /* Seen on light and on dark, and white on white. */
  cairo_set_source_rgba(cr, 0.5, 0.5, 0.5, 0.9);
  cairo_set_line_width(cr, 1);
  cairo_stroke(cr);
  if (known)
    return;
  cairo_move_to(cr, size * 0.3, size * 0.7);
  cairo_line_to(cr, size * 0.7, size * 0.3);
  cairo_stroke(cr);
}

static GdkTexture *
make_texture(const char *colour, int scale)
{
  int size = SIZE * scale;
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, size, size);
  cairo_t *cr = cairo_create(surface);
  draw(cr, colour, size);
  cairo_destroy(cr);
  cairo_surface_flush(surface);
  gsize stride = (gsize)cairo_image_surface_get_stride(surface);
  g_autoptr(GBytes) bytes =
      g_bytes_new(cairo_image_surface_get_data(surface), stride * (gsize)size);
  cairo_surface_destroy(surface);
  return gdk_memory_texture_new(size, size, GDK_MEMORY_DEFAULT, bytes, stride);
}

static void
show(GtkEntry *entry)
{
  const char *text = gtk_editable_get_text(GTK_EDITABLE(entry));
  g_autoptr(GdkTexture) texture =
      make_texture(text, MAX(1, gtk_widget_get_scale_factor(GTK_WIDGET(entry))));
  gtk_entry_set_icon_from_paintable(entry, GTK_ENTRY_ICON_PRIMARY, GDK_PAINTABLE(texture));
}

/* --- the list --- */

static void
draw_area(GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer colour)
{
  (void)area;
  (void)width;
  draw(cr, colour, height);
}

#define LIST_KEY "colours"

/* The list belongs to the entry: it has to go before the entry does, and when it has been used. */
static void
close_list(GtkEntry *entry)
{
  GtkWidget *list = g_object_steal_data(G_OBJECT(entry), LIST_KEY);
  if (list != NULL)
    gtk_widget_unparent(list);
}

static gboolean
on_close_later(gpointer entry)
{
  close_list(entry);
  return G_SOURCE_REMOVE;
}

static void
on_closed(GtkPopover *list, GtkEntry *entry)
{
  (void)list;
  g_idle_add_full(G_PRIORITY_DEFAULT_IDLE, on_close_later, g_object_ref(entry), g_object_unref);
}

static void
on_chosen(GtkButton *button, GtkEntry *entry)
{
  const char *colour = g_object_get_data(G_OBJECT(button), "colour"); /* static */
  g_object_ref(entry);
  close_list(entry);
  gtk_widget_grab_focus(GTK_WIDGET(entry));
  gtk_editable_set_text(GTK_EDITABLE(entry), colour);
  g_signal_emit_by_name(entry, "activate");
  g_object_unref(entry);
}

static GtkWidget *
make_choice(GtkEntry *entry, const char *colour)
{
  GtkWidget *line = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *area = gtk_drawing_area_new();
  gtk_drawing_area_set_content_width(GTK_DRAWING_AREA(area), SIZE + 4);
  gtk_drawing_area_set_content_height(GTK_DRAWING_AREA(area), SIZE + 4);
  gtk_widget_set_valign(area, GTK_ALIGN_CENTER);
  gtk_drawing_area_set_draw_func(GTK_DRAWING_AREA(area), draw_area, (gpointer)(guintptr)colour,
                                 NULL);
  gtk_box_append(GTK_BOX(line), area);
  g_autofree char *name = wire_colour_text(colour);
  const char *letters = colour_iec_code(wire_colour_parse(colour).base);
  GtkWidget *word = gtk_label_new(name);
  gtk_label_set_xalign(GTK_LABEL(word), 0);
  gtk_widget_set_hexpand(word, TRUE);
  gtk_box_append(GTK_BOX(line), word);
  GtkWidget *code = gtk_label_new(letters);
  gtk_widget_add_css_class(code, "dim-label");
  gtk_box_append(GTK_BOX(line), code);
  GtkWidget *button = gtk_button_new();
  gtk_button_set_child(GTK_BUTTON(button), line);
  gtk_widget_add_css_class(button, "flat");
  gtk_widget_add_css_class(button, "swatch-choice");
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  g_object_set_data(G_OBJECT(button), "colour", (gpointer)(guintptr)colour);
  g_signal_connect_object(button, "clicked", G_CALLBACK(on_chosen), entry, 0);
  return button;
}

static void
open_list(GtkEntry *entry)
{
  close_list(entry);
  GtkWidget *list = gtk_popover_new();
  GtkWidget *box = gtk_grid_new();
  for (guint i = 0; figure_colour_names[i] != NULL; i++)
    gtk_grid_attach(GTK_GRID(box), make_choice(entry, figure_colour_names[i]), (int)(i % 2),
                    (int)(i / 2), 1, 1);
  gtk_popover_set_child(GTK_POPOVER(list), box);
  gtk_widget_set_parent(list, GTK_WIDGET(entry));
  g_object_set_data(G_OBJECT(entry), LIST_KEY, list);
  g_signal_connect_object(list, "closed", G_CALLBACK(on_closed), entry, 0);
  gtk_popover_popup(GTK_POPOVER(list));
}

static void
on_icon(GtkEntry *entry, GtkEntryIconPosition position, gpointer data)
{
  (void)data;
  if (position == GTK_ENTRY_ICON_PRIMARY)
    open_list(entry);
}

/* The list by keyboard. Alt+Down, which opens lists elsewhere, moves a lead down. */
static gboolean
on_key(GtkEventControllerKey *keys, guint key, guint code, GdkModifierType state, GtkEntry *entry)
{
  (void)keys;
  (void)code;
  if (key != GDK_KEY_Down ||
      (state & gtk_accelerator_get_default_mod_mask()) != GDK_CONTROL_MASK)
    return FALSE;
  open_list(entry);
  return TRUE;
}

static void
on_changed(GtkEntry *entry, gpointer data)
{
  (void)data;
  show(entry);
}

void
swatch_attach(GtkEntry *entry)
{
  g_signal_connect(entry, "changed", G_CALLBACK(on_changed), NULL);
  g_signal_connect(entry, "icon-press", G_CALLBACK(on_icon), NULL);
  g_signal_connect(entry, "destroy", G_CALLBACK(close_list), NULL);
  g_signal_connect(entry, "notify::scale-factor", G_CALLBACK(on_changed), NULL);
  GtkEventController *keys = gtk_event_controller_key_new();
  g_signal_connect(keys, "key-pressed", G_CALLBACK(on_key), entry);
  gtk_widget_add_controller(GTK_WIDGET(entry), keys);
  gtk_entry_set_icon_activatable(entry, GTK_ENTRY_ICON_PRIMARY, TRUE);
  gtk_entry_set_icon_tooltip_text(entry, GTK_ENTRY_ICON_PRIMARY,
                                  _("Choose a colour by name and letters (Ctrl+Down)"));
  show(entry);
}
