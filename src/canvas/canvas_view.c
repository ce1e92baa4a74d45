/* SPDX-License-Identifier: MIT */
/* Which part of the sheet is seen, and how large. */
#include "canvas/canvas_private.h"
#include "sheet/sheet.h"

#include <math.h>

#define ZOOM_LEAST 0.3 /* pixels for each mm */
#define ZOOM_MOST 40.0
#define BENCH 24.0 /* pixels of bench beside a paper that fills the view */

Point
canvas_to_sheet(Canvas *canvas, double x, double y)
{
  return (Point){(x - canvas->origin_x) / canvas->zoom, (y - canvas->origin_y) / canvas->zoom};
}

void
canvas_from_sheet(Canvas *canvas, Point p, double *x, double *y)
{
  *x = canvas->origin_x + p.x * canvas->zoom;
  *y = canvas->origin_y + p.y * canvas->zoom;
}

void
canvas_refresh(Canvas *canvas)
{
  canvas_picture_drop(canvas->picture);
  canvas_review(canvas);
}

void
canvas_review(Canvas *canvas)
{
  g_clear_pointer(&canvas->view, gsk_render_node_unref);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

Rect
canvas_content(Canvas *canvas)
{
  if (!canvas->content_known)
    canvas->content = figure_cache_bounds(canvas->cache);
  canvas->content_known = true;
  return canvas->content;
}

Rect
canvas_paper(Canvas *canvas)
{
  const SheetData *data = document_sheet(session_get_document(canvas->session));
  g_autofree char *name =
      value_dup_text(&data->values[SHEET_PAPER], &sheet_data_fields[SHEET_PAPER]);
  g_autofree char *orientation =
      value_dup_text(&data->values[SHEET_ORIENTATION], &sheet_data_fields[SHEET_ORIENTATION]);
  const Paper *paper = name != NULL ? sheet_find_paper(name) : NULL;
  double width = paper != NULL ? paper->width_mm : 215.9;
  double height = paper != NULL ? paper->height_mm : 279.4;
  if (g_strcmp0(orientation, "portrait") != 0)
    return (Rect){0, 0, MAX(width, height), MIN(width, height)};
  return (Rect){0, 0, width, height};
}

/* Some of the sheet always stays in view. */
void
canvas_clamp(Canvas *canvas)
{
  Rect all = rect_union(canvas_paper(canvas), canvas_content(canvas));
  double width = gtk_widget_get_width(GTK_WIDGET(canvas));
  double height = gtk_widget_get_height(GTK_WIDGET(canvas));
  double margin = 80;
  canvas->origin_x = CLAMP(canvas->origin_x, margin - (all.x + all.width) * canvas->zoom,
                           width - margin - all.x * canvas->zoom);
  canvas->origin_y = CLAMP(canvas->origin_y, margin - (all.y + all.height) * canvas->zoom,
                           height - margin - all.y * canvas->zoom);
}

void
canvas_set_zoom(Canvas *canvas, double zoom, double about_x, double about_y)
{
  Point about = canvas_to_sheet(canvas, about_x, about_y);
  canvas->zoom = CLAMP(zoom, ZOOM_LEAST, ZOOM_MOST);
  canvas->origin_x = about_x - about.x * canvas->zoom;
  canvas->origin_y = about_y - about.y * canvas->zoom;
  canvas_clamp(canvas);
  canvas_readout(canvas);
  canvas_review(canvas);
}

void
canvas_zoom_by(Canvas *canvas, double factor)
{
  canvas_set_zoom(canvas, canvas->zoom * factor, gtk_widget_get_width(GTK_WIDGET(canvas)) / 2.0,
                  gtk_widget_get_height(GTK_WIDGET(canvas)) / 2.0);
}

void
canvas_zoom_normal(Canvas *canvas)
{
  canvas_zoom_by(canvas, ZOOM_NORMAL / canvas->zoom);
}

static void
frame_area(Canvas *canvas, Rect area, double most)
{
  double width = gtk_widget_get_width(GTK_WIDGET(canvas));
  double height = gtk_widget_get_height(GTK_WIDGET(canvas));
  if (width < 10 || height < 10)
    return;
  double fit = MIN(width / area.width, height / area.height);
  canvas->zoom = CLAMP(MIN(fit, most), ZOOM_LEAST, ZOOM_MOST);
  canvas->origin_x = (width - area.width * canvas->zoom) / 2 - area.x * canvas->zoom;
  canvas->origin_y = (height - area.height * canvas->zoom) / 2 - area.y * canvas->zoom;
  /* No more bench than needed: a paper larger than the view covers it. */
  Rect paper = canvas_paper(canvas);
  if (rect_holds(rect_grow(paper, 15), area) && paper.width * canvas->zoom > width)
    canvas->origin_x = CLAMP(canvas->origin_x, width - BENCH - paper.width * canvas->zoom, BENCH);
  if (rect_holds(rect_grow(paper, 15), area) && paper.height * canvas->zoom > height)
    canvas->origin_y = CLAMP(canvas->origin_y, height - BENCH - paper.height * canvas->zoom, BENCH);
  else if (rect_holds(rect_grow(paper, 15), area)) /* a shorter one lies in the middle of it */
    canvas->origin_y = (height - paper.height * canvas->zoom) / 2;
  canvas_readout(canvas);
  canvas_refresh(canvas);
}

void
canvas_zoom_fit(Canvas *canvas)
{
  Rect all = rect_union(canvas_paper(canvas), canvas_content(canvas));
  frame_area(canvas, rect_grow(all, 6), ZOOM_MOST);
}

void
canvas_zoom_content(Canvas *canvas)
{
  Rect content = canvas_content(canvas);
  if (rect_is_empty(content)) {
    canvas_zoom_fit(canvas);
    return;
  }
  frame_area(canvas, rect_grow(content, 12), 1.5 * ZOOM_NORMAL);
  canvas->framed_zoom = canvas->zoom;
  canvas->framed_x = canvas->origin_x;
  canvas->framed_y = canvas->origin_y;
}

bool
canvas_is_framed(const Canvas *canvas)
{
  return point_equal((Point){canvas->framed_x, canvas->framed_y},
                     (Point){canvas->origin_x, canvas->origin_y}) &&
         fabs(canvas->framed_zoom - canvas->zoom) < 1e-9;
}

void
canvas_reveal(Canvas *canvas, Rect area)
{
  if (rect_is_empty(area))
    return;
  double width = gtk_widget_get_width(GTK_WIDGET(canvas));
  double height = gtk_widget_get_height(GTK_WIDGET(canvas));
  Point corner = canvas_to_sheet(canvas, 0, 0), far = canvas_to_sheet(canvas, width, height);
  Rect seen = rect_from_points(corner, far);
  Rect wanted = rect_grow(area, 8);
  if (rect_holds(seen, area))
    return;
  if (wanted.width > seen.width || wanted.height > seen.height) {
    frame_area(canvas, wanted, canvas->zoom);
    return;
  }
  double dx = 0, dy = 0;
  if (wanted.x < seen.x)
    dx = seen.x - wanted.x;
  else if (wanted.x + wanted.width > seen.x + seen.width)
    dx = seen.x + seen.width - wanted.x - wanted.width;
  if (wanted.y < seen.y)
    dy = seen.y - wanted.y;
  else if (wanted.y + wanted.height > seen.y + seen.height)
    dy = seen.y + seen.height - wanted.y - wanted.height;
  canvas->origin_x += dx * canvas->zoom;
  canvas->origin_y += dy * canvas->zoom;
  canvas_review(canvas);
}

static Rect
seen_area(Canvas *canvas)
{
  return rect_from_points(canvas_to_sheet(canvas, 0, 0),
                          canvas_to_sheet(canvas, gtk_widget_get_width(GTK_WIDGET(canvas)),
                                          gtk_widget_get_height(GTK_WIDGET(canvas))));
}

void
canvas_reveal_selection(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  Rect seen = seen_area(canvas), all = rect_empty();
  bool in_view = false;
  const char *const *ids = session_get_selected_devices(canvas->session);
  for (guint i = 0; ids[i] != NULL; i++) {
    const Device *device = document_find_device(document, ids[i]);
    Rect box = figure_cache_symbol_box(canvas->cache, device);
    in_view |= rect_intersects(box, seen);
    all = rect_union(all, box);
  }
  guint n;
  const guint32 *keys = session_get_selected_conductors(canvas->session, &n);
  for (guint i = 0; i < n; i++) {
    const Conductor *conductor = document_find_conductor(document, keys[i]);
    Rect box = figure_cache_conductor_bounds(canvas->cache, conductor);
    in_view |= rect_intersects(box, seen);
    all = rect_union(all, box);
  }
  if (!in_view)
    canvas_reveal(canvas, all);
}
