/* SPDX-License-Identifier: MIT */
#include "figure/figure.h"
#include "pen/pen_cairo.h"
#include "window/panels.h"
#include <string.h>

struct _Shelf {
  GtkBox parent;
  GtkWidget *items;
};

G_DEFINE_FINAL_TYPE(Shelf, shelf, GTK_TYPE_BOX)

static void
draw_symbol(GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  const PartKind *kind = data;
  g_autoptr(Device) device = device_new(kind, kind->designation);
  Rect bounds = rect_grow(figure_device_bounds(device), 0.8);
  double scale = MIN(width / bounds.width, height / bounds.height);
  scale = MIN(scale, 4);
  cairo_translate(cr, (width - bounds.width * scale) / 2, (height - bounds.height * scale) / 2);
  cairo_scale(cr, scale, scale);
  cairo_translate(cr, -bounds.x, -bounds.y);
  g_autoptr(Pen) pen = pen_cairo_new(cr, theme_palette(GTK_WIDGET(area)), 0.75 / scale);
  kind->draw(device, pen);
}

static GdkContentProvider *
on_drag_prepare(GtkDragSource *source, double x, double y, gpointer kind)
{
  (void)source;
  (void)x;
  (void)y;
  return gdk_content_provider_new_typed(G_TYPE_POINTER, kind);
}

static void
on_drag_begin(GtkDragSource *source, GdkDrag *drag, gpointer kind)
{
  (void)drag;
  (void)kind;
  /* The canvas shows the device itself; the pointer carries only a speck. */
  static const guchar nothing[4] = {0};
  g_autoptr(GBytes) bytes = g_bytes_new_static(nothing, sizeof nothing);
  g_autoptr(GdkTexture) speck = gdk_memory_texture_new(1, 1, GDK_MEMORY_DEFAULT, bytes, 4);
  gtk_drag_source_set_icon(source, GDK_PAINTABLE(speck), 0, 0);
}

static GtkWidget *
make_item(const PartKind *kind)
{
  GtkWidget *button = gtk_button_new();
  gtk_widget_add_css_class(button, "flat");
  gtk_widget_add_css_class(button, "part");
  GtkWidget *line = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *area = gtk_drawing_area_new();
  gtk_drawing_area_set_content_width(GTK_DRAWING_AREA(area), 42);
  gtk_drawing_area_set_content_height(GTK_DRAWING_AREA(area), 30);
  gtk_drawing_area_set_draw_func(GTK_DRAWING_AREA(area), draw_symbol, (gpointer)(gintptr)kind,
                                 NULL);
  GtkWidget *title = panel_label(kind->title, NULL);
  gtk_widget_set_hexpand(title, TRUE);
  gtk_box_append(GTK_BOX(line), area);
  gtk_box_append(GTK_BOX(line), title);
  gtk_button_set_child(GTK_BUTTON(button), line);
  gtk_widget_set_tooltip_text(button, kind->help);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, kind->title,
                                 -1);
  gtk_actionable_set_action_name(GTK_ACTIONABLE(button), "win.place");
  gtk_actionable_set_action_target(GTK_ACTIONABLE(button), "s", kind->name);
  GtkDragSource *source = gtk_drag_source_new();
  g_signal_connect(source, "prepare", G_CALLBACK(on_drag_prepare), (gpointer)(gintptr)kind);
  g_signal_connect(source, "drag-begin", G_CALLBACK(on_drag_begin), NULL);
  gtk_widget_add_controller(button, GTK_EVENT_CONTROLLER(source));
  return button;
}

void
shelf_set_catalog(Shelf *shelf, PartCatalog catalog)
{
  panel_clear(shelf->items);
  for (int group = 0; group < GROUP_COUNT; group++) {
    bool titled = false;
    for (guint i = 0; catalog[i] != NULL; i++) {
      if (catalog[i]->group != (PartGroup)group)
        continue;
      if (!titled)
        gtk_box_append(GTK_BOX(shelf->items),
                       panel_label(part_group_title((PartGroup)group), "shelf-group"));
      titled = true;
      gtk_box_append(GTK_BOX(shelf->items), make_item(catalog[i]));
    }
  }
}

static void
shelf_class_init(ShelfClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  gtk_widget_class_set_template_from_resource(widget_class, "/org/doorsheet/Doorsheet/ui/shelf.ui");
  gtk_widget_class_bind_template_child(widget_class, Shelf, items);
}

static void
shelf_init(Shelf *shelf)
{
  gtk_widget_init_template(GTK_WIDGET(shelf));
}
