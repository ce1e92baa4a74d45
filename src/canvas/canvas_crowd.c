/* SPDX-License-Identifier: MIT */
/* Many devices in hand: what moves together is drawn as it lay, shifted, and only what is in view;
 * a conductor that one end of moves is a plain elbow until it is put down. Finding new routes and
 * label places for hundreds of devices at every step of the pointer would take longer than a frame
 * by far, and tell nobody anything while everything is on its way. */
#include "canvas/canvas_private.h"

#define CROWD_FROM 40

bool
canvas_moves_crowd(const Canvas *canvas)
{
  return canvas->mode == MODE_MOVE && g_hash_table_size(canvas->hidden_devices) >= CROWD_FROM;
}

static bool
moves(const Canvas *canvas, const Landing *end)
{
  return end->device != NULL && g_hash_table_contains(canvas->hidden_devices, end->device);
}

static void
draw_elbow(cairo_t *cr, Point a, Point b)
{
  cairo_move_to(cr, a.x, a.y);
  cairo_line_to(cr, b.x, a.y);
  cairo_line_to(cr, b.x, b.y);
}

/* Conductors from what moves to what stays. */
static void
draw_ties(Canvas *canvas, cairo_t *cr)
{
  const Document *document = session_get_document(canvas->session);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    bool from = moves(canvas, &conductor->from), to = moves(canvas, &conductor->to);
    const GArray *route = from != to ? figure_cache_route(canvas->cache, conductor) : NULL;
    if (route == NULL || route->len < 2)
      continue;
    Point first = g_array_index(route, Point, 0);
    Point last = g_array_index(route, Point, route->len - 1);
    draw_elbow(cr, from ? point_add(first, canvas->move_by) : first,
               to ? point_add(last, canvas->move_by) : last);
  }
  canvas_set_ink(cr, canvas, INK_ACCENT, 0.8);
  cairo_set_line_width(cr, canvas_hairline(canvas));
  cairo_stroke(cr);
}

static void
draw_boxes(Canvas *canvas, cairo_t *cr, const GPtrArray *devices, const GPtrArray *conductors)
{
  for (guint i = 0; i < conductors->len; i++) {
    const Conductor *conductor = conductors->pdata[i];
    const GArray *route = moves(canvas, &conductor->from) && moves(canvas, &conductor->to)
                              ? figure_cache_route(canvas->cache, conductor)
                              : NULL;
    for (guint p = 0; route != NULL && p < route->len; p++) {
      Point at = g_array_index(route, Point, p);
      (p == 0 ? cairo_move_to : cairo_line_to)(cr, at.x, at.y);
    }
  }
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    Rect box = figure_cache_symbol_box(canvas->cache, device);
    if (g_hash_table_contains(canvas->hidden_devices, device->id))
      cairo_rectangle(cr, box.x, box.y, box.width, box.height);
  }
  canvas_set_ink(cr, canvas, INK_LINE, 1);
  cairo_set_line_width(cr, canvas_hairline(canvas));
  cairo_stroke(cr);
}

static void
draw_figures(Canvas *canvas, cairo_t *cr, const GPtrArray *devices, const GPtrArray *conductors)
{
  const Document *document = session_get_document(canvas->session);
  FigureStyle style = canvas_figure_style(canvas);
  style.solution = NULL; /* what it will be is not solved yet */
  style.energized = false;
  g_autoptr(Pen) pen = pen_cairo_new(cr, canvas_palette(canvas), canvas_hairline(canvas));
  for (guint i = 0; i < conductors->len; i++) {
    const Conductor *conductor = conductors->pdata[i];
    if (moves(canvas, &conductor->from) && moves(canvas, &conductor->to))
      figure_draw_conductor(pen, document, conductor, &style);
  }
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    if (g_hash_table_contains(canvas->hidden_devices, device->id))
      figure_draw_device(pen, document, device, &style);
  }
  figure_draw_points_of(pen, document, &style, NULL, canvas->hidden_devices, true);
}

void
canvas_draw_crowd(Canvas *canvas, GtkSnapshot *snapshot)
{
  int width = gtk_widget_get_width(GTK_WIDGET(canvas));
  int height = gtk_widget_get_height(GTK_WIDGET(canvas));
  Rect seen = rect_from_points(point_sub(canvas_to_sheet(canvas, 0, 0), canvas->move_by),
                               point_sub(canvas_to_sheet(canvas, width, height), canvas->move_by));
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  g_autoptr(GPtrArray) conductors = g_ptr_array_new();
  figure_cache_devices_in(canvas->cache, seen, devices);
  figure_cache_conductors_in(canvas->cache, seen, conductors);
  cairo_t *cr =
      gtk_snapshot_append_cairo(snapshot, &GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
  cairo_translate(cr, canvas->origin_x, canvas->origin_y);
  cairo_scale(cr, canvas->zoom, canvas->zoom);
  draw_ties(canvas, cr);
  cairo_translate(cr, canvas->move_by.x, canvas->move_by.y);
  (canvas->small ? draw_boxes : draw_figures)(canvas, cr, devices, conductors);
  cairo_destroy(cr);
}
