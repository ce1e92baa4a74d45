/* SPDX-License-Identifier: MIT */
#include "sheet/fit_pen.h"

#include <string.h>

typedef struct {
  Pen pen;
  Pen *target;
  double scale;
  Point offset;
  GHashTable *descriptions;
  Rect window; /* with choose only */
  FitChoose choose;
  gpointer choose_data;
  FitPart part; /* of the group in hand */
  guint depth;  /* groups open */
  guint since;  /* the depth at which part was chosen; 0: outside */
  bool quiet;
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

static bool
window_has(const FitPen *fit, Point p)
{
  const Rect w = fit->window;
  return p.x >= w.x && p.x < w.x + w.width && p.y >= w.y && p.y < w.y + w.height;
}

/* A dot where conductors part is drawn by the device they come from, but stands on the page of its
 * own place: it is the one thing that a device's group does not keep together. */
static bool
is_dot_shown(const FitPen *fit, Point p)
{
  return fit->choose == NULL || window_has(fit, p);
}

/* Whether something that stands at p is drawn. */
static bool
is_shown(const FitPen *fit, Point p)
{
  return fit->choose == NULL || fit->part == FIT_WHOLE ||
         (fit->part == FIT_CUT && window_has(fit, p));
}

/* The part of a-b inside the window (Liang and Barsky's way of halving planes); false: none. */
static bool
clip_stretch(const FitPen *fit, Point *a, Point *b)
{
  const Rect w = fit->window;
  const Point d = point_sub(*b, *a);
  const double along[] = {-d.x, d.x, -d.y, d.y};
  const double room[] = {a->x - w.x, w.x + w.width - a->x, a->y - w.y, w.y + w.height - a->y};
  double from = 0, to = 1;

  for (guint i = 0; i < 4; i++) {
    if (ABS(along[i]) < 1e-12) {
      if (room[i] < 0)
        return false;
      continue;
    }
    const double at = room[i] / along[i];
    if (along[i] < 0)
      from = MAX(from, at);
    else
      to = MIN(to, at);
  }
  if (from >= to)
    return false;
  const Point start = *a;
  *a = (Point){start.x + from * d.x, start.y + from * d.y};
  *b = (Point){start.x + to * d.x, start.y + to * d.y};
  return true;
}

static bool
same_point(Point a, Point b)
{
  return point_distance(a, b) < 1e-9;
}

/* The stretches of a line that lie in the window, as long lines as possible. */
static void
cut_line(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *style)
{
  const FitPen *fit = (const FitPen *)pen;
  g_autoptr(GArray) run = g_array_new(FALSE, FALSE, sizeof(Point));

  for (guint i = 0; i + 1 < n + (closed ? 1 : 0); i++) {
    Point a = points[i], b = points[(i + 1) % n];
    const bool seen = clip_stretch(fit, &a, &b);
    const bool joins =
        seen && run->len > 0 && same_point(a, g_array_index(run, Point, run->len - 1));
    const Point ends[] = {fit_point(fit, a), fit_point(fit, b)};
    if (run->len > 0 && !joins) {
      pen_polyline(fit->target, (const Point *)(gconstpointer)run->data, run->len, style);
      g_array_set_size(run, 0);
    }
    if (seen && !joins)
      g_array_append_vals(run, ends, 2);
    else if (seen)
      g_array_append_val(run, ends[1]);
  }
  if (run->len > 0)
    pen_polyline(fit->target, (const Point *)(gconstpointer)run->data, run->len, style);
}

static Point
middle_of(const Point *points, guint n)
{
  Rect box = rect_empty();
  for (guint i = 0; i < n; i++)
    box = rect_include(box, points[i]);
  return (Point){box.x + box.width / 2, box.y + box.height / 2};
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
  if (fit->choose != NULL && fit->part == FIT_NONE)
    return;
  if (fit->choose != NULL && fit->part == FIT_CUT && fill == NULL) {
    if (stroke_fit != NULL && n > 0)
      cut_line(pen, points, n, closed, stroke_fit);
    return;
  }
  if (n > 0 && !is_shown(fit, middle_of(points, n)))
    return;
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

  const bool shown = stroke == NULL ? is_dot_shown(fit, centre) : is_shown(fit, centre);

  if (fit->target->status == NULL && shown)
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
  if (is_shown(fit, at))
    pen_text(fit->target, fit_point(fit, at), utf8, &scaled);
}

/* Areas belong to what is drawn whole; lines are cut like the conductors they lie on. */
static void
fit_hit(Pen *pen, const Point *points, guint n, double width)
{
  const FitPen *fit = (const FitPen *)pen;
  g_autofree Point *moved = g_new(Point, n);

  if (fit->quiet || (fit->choose != NULL && fit->part == FIT_NONE))
    return;
  for (guint i = 0; i < n; i++)
    moved[i] = fit_point(fit, points[i]);
  if (fit->choose == NULL || fit->part == FIT_WHOLE) {
    pen_hit(fit->target, moved, n, width * fit->scale);
    return;
  }
  for (guint i = 1; i < n && width > 0; i++) {
    Point a = points[i - 1], b = points[i];
    if (clip_stretch(fit, &a, &b))
      pen_hit(fit->target, (const Point[]){fit_point(fit, a), fit_point(fit, b)}, 2,
              width * fit->scale);
  }
}

static void
fit_begin_group(Pen *pen, const char *id, const char *title, const char *description)
{
  FitPen *fit = (FitPen *)pen;

  fit->depth++;
  if (fit->choose != NULL && fit->since == 0 && id != NULL) {
    fit->part = fit->choose(id, fit->choose_data);
    fit->since = fit->depth;
  }
  if (fit->choose != NULL && fit->part == FIT_NONE)
    return;
  if (fit->quiet) {
    pen_begin_group(fit->target, NULL, NULL, NULL);
    return;
  }
  const char *known =
      id != NULL && fit->descriptions != NULL ? g_hash_table_lookup(fit->descriptions, id) : NULL;
  if (known == NULL) {
    pen_begin_group(fit->target, id, title, description);
    return;
  }
  /* Pointing at a picture shows the title only: what is known has to be in it. */
  const gsize name = title != NULL ? strcspn(title, ":") : 0;
  g_autofree char *full =
      title != NULL ? g_strdup_printf("%.*s: %s", (int)name, title, known) : g_strdup(known);
  pen_begin_group(fit->target, id, full, known);
}

static void
fit_end_group(Pen *pen)
{
  FitPen *fit = (FitPen *)pen;
  const bool passed = fit->choose == NULL || fit->part != FIT_NONE;

  if (fit->depth == fit->since) {
    fit->since = 0;
    fit->part = FIT_CUT;
  }
  fit->depth--;
  if (passed)
    pen_end_group(fit->target);
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
    .hit = fit_hit,
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

void
fit_pen_set_quiet(Pen *pen)
{
  ((FitPen *)pen)->quiet = true;
}

void
fit_pen_set_window(Pen *pen, Rect window, FitChoose choose, gpointer data)
{
  FitPen *fit = (FitPen *)pen;

  fit->window = window;
  fit->choose = choose;
  fit->choose_data = data;
  fit->part = FIT_CUT;
}
