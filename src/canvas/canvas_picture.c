/* SPDX-License-Identifier: MIT */
/* The sheet at rest as pixels. Panning moves the picture and draws only the strips that come into
 * view, so that a frame costs the same however much is drawn. Zooming shows the picture stretched
 * while it changes, when drawing it afresh would take longer than a frame allows, and draws it
 * afresh when it has come to rest.
 *
 * Every change makes a new surface: the old one may still be held by the frame on the screen, and
 * drawing into it would copy it first. */
#include "canvas/canvas_private.h"
#include <math.h>

/* A picture that took longer than this is stretched while the zoom changes. */
#define AFRESH_MS 3.0
#define REST_MS 120

struct CanvasPicture {
  cairo_surface_t *surface;
  double zoom, origin_x, origin_y; /* for which it was drawn */
  int width, height, scale;
  double cost_ms; /* of drawing it whole */
  guint rest;     /* source: draw afresh when the zoom has come to rest */
};

CanvasPicture *
canvas_picture_new(void)
{
  return g_new0(CanvasPicture, 1);
}

void
canvas_picture_drop(CanvasPicture *picture)
{
  g_clear_pointer(&picture->surface, cairo_surface_destroy);
  g_clear_handle_id(&picture->rest, g_source_remove);
}

void
canvas_picture_free(CanvasPicture *picture)
{
  if (picture == NULL)
    return;
  canvas_picture_drop(picture);
  g_free(picture);
}

static cairo_surface_t *
make_surface(const CanvasPicture *picture)
{
  cairo_surface_t *surface = cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, picture->width * picture->scale, picture->height * picture->scale);
  cairo_surface_set_device_scale(surface, picture->scale, picture->scale);
  return surface;
}

static void
take_surface(CanvasPicture *picture, cairo_surface_t *surface)
{
  cairo_surface_flush(surface);
  g_clear_pointer(&picture->surface, cairo_surface_destroy);
  picture->surface = surface;
}

static void
draw_area(Canvas *canvas, cairo_t *cr, Rect area)
{
  if (rect_is_empty(area) || area.width <= 0 || area.height <= 0)
    return;
  const CanvasPicture *picture = canvas->picture;
  cairo_save(cr);
  cairo_rectangle(cr, area.x, area.y, area.width, area.height);
  cairo_clip(cr);
  cairo_translate(cr, picture->origin_x, picture->origin_y);
  cairo_scale(cr, picture->zoom, picture->zoom);
  Rect seen = {(area.x - picture->origin_x) / picture->zoom,
               (area.y - picture->origin_y) / picture->zoom, area.width / picture->zoom,
               area.height / picture->zoom};
  canvas_draw_sheet(canvas, cr, seen);
  cairo_restore(cr);
}

static void
draw_afresh(Canvas *canvas)
{
  CanvasPicture *picture = canvas->picture;
  gint64 since = g_get_monotonic_time();
  canvas_picture_drop(picture);
  picture->width = gtk_widget_get_width(GTK_WIDGET(canvas));
  picture->height = gtk_widget_get_height(GTK_WIDGET(canvas));
  picture->scale = gtk_widget_get_scale_factor(GTK_WIDGET(canvas));
  picture->zoom = canvas->zoom;
  picture->origin_x = canvas->origin_x;
  picture->origin_y = canvas->origin_y;
  cairo_surface_t *surface = make_surface(picture);
  cairo_t *cr = cairo_create(surface);
  canvas_choose_detail(canvas);
  draw_area(canvas, cr, (Rect){0, 0, picture->width, picture->height});
  cairo_destroy(cr);
  take_surface(picture, surface);
  picture->cost_ms = (double)(g_get_monotonic_time() - since) / 1000;
}

/* By whole pixels of the device: what has been drawn stays sharp. Less than half a pixel is left
 * to the next time. */
static void
scroll(Canvas *canvas)
{
  CanvasPicture *picture = canvas->picture;
  double scale = picture->scale, width = picture->width, height = picture->height;
  double dx = round((canvas->origin_x - picture->origin_x) * scale) / scale;
  double dy = round((canvas->origin_y - picture->origin_y) * scale) / scale;
  if (dx == 0 && dy == 0)
    return;
  cairo_surface_t *surface = make_surface(picture);
  cairo_t *cr = cairo_create(surface);
  cairo_save(cr);
  cairo_set_operator(cr, CAIRO_OPERATOR_SOURCE);
  cairo_set_source_surface(cr, picture->surface, dx, dy);
  cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_NEAREST);
  cairo_rectangle(cr, MAX(dx, 0), MAX(dy, 0), width - fabs(dx), height - fabs(dy));
  cairo_fill(cr);
  cairo_restore(cr);
  picture->origin_x += dx;
  picture->origin_y += dy;
  draw_area(canvas, cr, (Rect){dx > 0 ? 0 : width + dx, 0, fabs(dx), height});
  draw_area(canvas, cr, (Rect){MAX(dx, 0), dy > 0 ? 0 : height + dy, width - fabs(dx), fabs(dy)});
  cairo_destroy(cr);
  take_surface(picture, surface);
}

static gboolean
on_rest(gpointer data)
{
  Canvas *canvas = data;
  canvas->picture->rest = 0;
  canvas_refresh(canvas);
  return G_SOURCE_REMOVE;
}

static void
bring_up_to_date(Canvas *canvas)
{
  CanvasPicture *picture = canvas->picture;
  GtkWidget *widget = GTK_WIDGET(canvas);
  bool fits = picture->surface != NULL && picture->width == gtk_widget_get_width(widget) &&
              picture->height == gtk_widget_get_height(widget) &&
              picture->scale == gtk_widget_get_scale_factor(widget);
  if (!fits) {
    draw_afresh(canvas);
  } else if (picture->zoom == canvas->zoom) {
    bool overlaps = fabs(canvas->origin_x - picture->origin_x) < picture->width &&
                    fabs(canvas->origin_y - picture->origin_y) < picture->height;
    if (overlaps)
      scroll(canvas);
    else
      draw_afresh(canvas);
  } else if (picture->cost_ms <= AFRESH_MS) {
    draw_afresh(canvas);
  } else {
    g_clear_handle_id(&picture->rest, g_source_remove);
    picture->rest = g_timeout_add(REST_MS, on_rest, canvas);
  }
}

void
canvas_picture_paint(Canvas *canvas, cairo_t *cr)
{
  bring_up_to_date(canvas);
  const CanvasPicture *picture = canvas->picture;
  if (picture->zoom == canvas->zoom) {
    cairo_set_source_surface(cr, picture->surface, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_NEAREST);
    cairo_paint(cr);
    return;
  }
  canvas_set_bench(canvas, cr);
  cairo_paint(cr);
  double factor = canvas->zoom / picture->zoom;
  cairo_translate(cr, canvas->origin_x - picture->origin_x * factor,
                  canvas->origin_y - picture->origin_y * factor);
  cairo_scale(cr, factor, factor);
  cairo_set_source_surface(cr, picture->surface, 0, 0);
  cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_NEAREST);
  cairo_paint(cr);
}
