/* SPDX-License-Identifier: MIT */
#include "desk/part_item.h"

#include "desk/field_entry.h"
#include "desk/theme.h"
#include "desk/tip.h"
#include "figure/figure.h"
#include "pen/pen_cairo.h"

static gpointer
sample_copy(gpointer sample)
{
  return device_ref(sample);
}

static void
sample_free(gpointer sample)
{
  device_unref(sample);
}

GType
part_sample_get_type(void)
{
  static GType type;
  if (type == 0)
    type = g_boxed_type_register_static("DoorsheetPartSample", sample_copy, sample_free);
  return type;
}

static void
draw_symbol(GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  const Device *device = data;
  Rect bounds = rect_grow(figure_device_bounds(device), 0.8);
  double scale = MIN(width / bounds.width, height / bounds.height);
  scale = MIN(scale, 4);
  cairo_translate(cr, (width - bounds.width * scale) / 2, (height - bounds.height * scale) / 2);
  cairo_scale(cr, scale, scale);
  cairo_translate(cr, -bounds.x, -bounds.y);
  g_autoptr(Pen) pen = pen_cairo_new(cr, theme_palette(GTK_WIDGET(area)), 0.75 / scale);
  device->kind->draw(device, pen);
}

static GdkContentProvider *
on_drag_prepare(GtkDragSource *source, double x, double y, gpointer sample)
{
  (void)source;
  (void)x;
  (void)y;
  return gdk_content_provider_new_typed(PART_SAMPLE_TYPE, sample);
}

static void
on_drag_begin(GtkDragSource *source, GdkDrag *drag, gpointer sample)
{
  (void)drag;
  (void)sample;
  /* The canvas shows the device itself; the pointer carries only a speck. */
  static const guchar nothing[4] = {0};
  g_autoptr(GBytes) bytes = g_bytes_new_static(nothing, sizeof nothing);
  g_autoptr(GdkTexture) speck = gdk_memory_texture_new(1, 1, GDK_MEMORY_DEFAULT, bytes, 4);
  gtk_drag_source_set_icon(source, GDK_PAINTABLE(speck), 0, 0);
}

static void
unref_sample(gpointer data, GClosure *closure)
{
  (void)closure;
  device_unref(data);
}

GtkWidget *
part_item_new(const Device *sample, const char *title, const char *below, const char *help)
{
  Device *mine = (Device *)(guintptr)sample; /* counted, never changed */
  GtkWidget *button = gtk_button_new();
  gtk_widget_add_css_class(button, "flat");
  gtk_widget_add_css_class(button, "part");
  GtkWidget *line = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *area = gtk_drawing_area_new();
  gtk_drawing_area_set_content_width(GTK_DRAWING_AREA(area), 42);
  gtk_drawing_area_set_content_height(GTK_DRAWING_AREA(area), 30);
  gtk_widget_set_valign(area, GTK_ALIGN_CENTER);
  gtk_drawing_area_set_draw_func(GTK_DRAWING_AREA(area), draw_symbol, device_ref(mine),
                                 sample_free);
  GtkWidget *texts = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_set_valign(texts, GTK_ALIGN_CENTER);
  gtk_widget_set_hexpand(texts, TRUE);
  gtk_box_append(GTK_BOX(texts), panel_label(title, NULL));
  if (below != NULL && *below != '\0')
    gtk_box_append(GTK_BOX(texts), panel_label(below, "dim-label"));
  gtk_box_append(GTK_BOX(line), area);
  gtk_box_append(GTK_BOX(line), texts);
  gtk_button_set_child(GTK_BUTTON(button), line);
  tip_set(button, help);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
                                 GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, below != NULL ? below : help,
                                 -1);
  GtkDragSource *source = gtk_drag_source_new();
  g_signal_connect_data(source, "prepare", G_CALLBACK(on_drag_prepare), device_ref(mine),
                        unref_sample, 0);
  g_signal_connect(source, "drag-begin", G_CALLBACK(on_drag_begin), NULL);
  gtk_widget_add_controller(button, GTK_EVENT_CONTROLLER(source));
  return button;
}
