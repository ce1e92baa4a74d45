/* SPDX-License-Identifier: MIT */
#include "sheet/fit_pen.h"

typedef struct {
  Pen pen;
  Pen *target;
  double scale;
  Point offset;
  GHashTable *descriptions;
} FitPen;

static Point
fit_point(const FitPen *fit, Point p)
{
  return (Point){fit->offset.x + fit->scale * p.x, fit->offset.y + fit->scale * p.y};
}

/* Lines thin out with the scale, but never below the thinnest line of the sheet. */
static const PenStyle *
fit_style(const FitPen *fit, const PenStyle *style, PenStyle *room)
{
  if (style == NULL)
    return NULL;
  *room = *style;
  room->width = MAX(style->width * fit->scale, MIN(style->width, PEN_THIN));
  return room;
}

static void
fit_line(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *stroke,
         const PenStyle *fill)
{
  const FitPen *fit = (const FitPen *)pen;
  g_autofree Point *moved = g_new(Point, MAX(n, 1));
  PenStyle stroke_room, fill_room;

  for (guint i = 0; i < n; i++)
    moved[i] = fit_point(fit, points[i]);
  const PenStyle *stroke_fit = fit_style(fit, stroke, &stroke_room);
  const PenStyle *fill_fit = fit_style(fit, fill, &fill_room);
  if (closed)
    pen_polygon(fit->target, moved, n, stroke_fit, fill_fit);
  else if (stroke_fit != NULL)
    pen_polyline(fit->target, moved, n, stroke_fit);
}

static void
fit_arc(Pen *pen, Point centre, double radius, double from_degrees, double to_degrees,
        const PenStyle *stroke, const PenStyle *fill)
{
  const FitPen *fit = (const FitPen *)pen;
  PenStyle stroke_room, fill_room;

  if (fit->target->status == NULL)
    fit->target->back_end->arc(fit->target, fit_point(fit, centre), radius * fit->scale,
                               from_degrees, to_degrees, fit_style(fit, stroke, &stroke_room),
                               fit_style(fit, fill, &fill_room));
}

static void
fit_text(Pen *pen, Point at, const char *utf8, const TextStyle *style)
{
  const FitPen *fit = (const FitPen *)pen;
  TextStyle scaled = *style;

  scaled.height *= fit->scale;
  pen_text(fit->target, fit_point(fit, at), utf8, &scaled);
}

static void
fit_begin_group(Pen *pen, const char *id, const char *title, const char *description)
{
  const FitPen *fit = (const FitPen *)pen;

  if (id != NULL && fit->descriptions != NULL) {
    const char *known = g_hash_table_lookup(fit->descriptions, id);
    if (known != NULL)
      description = known;
  }
  pen_begin_group(fit->target, id, title, description);
}

static void
fit_end_group(Pen *pen)
{
  pen_end_group(((const FitPen *)pen)->target);
}

/* Pages are the target's business. */
static void
fit_begin_page(Pen *pen, double width_mm, double height_mm, const char *title)
{
  (void)pen;
  (void)width_mm;
  (void)height_mm;
  (void)title;
}

static void
fit_nothing(Pen *pen)
{
  (void)pen;
}

static void
fit_free(Pen *pen)
{
  g_free(pen);
}

static const PenBackEnd fit_back_end = {
    .line = fit_line,
    .arc = fit_arc,
    .text = fit_text,
    .begin_group = fit_begin_group,
    .end_group = fit_end_group,
    .begin_page = fit_begin_page,
    .end_page = fit_nothing,
    .finish = fit_nothing,
    .free = fit_free,
};

Pen *
fit_pen_new(Pen *target, double scale, Point offset, GHashTable *descriptions)
{
  FitPen *fit = g_new0(FitPen, 1);

  pen_init(&fit->pen, &fit_back_end);
  fit->target = target;
  fit->scale = scale;
  fit->offset = offset;
  fit->descriptions = descriptions;
  return &fit->pen;
}
