/* SPDX-License-Identifier: MIT */
#include "base/geometry.h"

#include <math.h>

double
grid_snap(double value)
{
  return round(value / GRID_STEP_MM) * GRID_STEP_MM;
}

Point
point_snap(Point p)
{
  return (Point){grid_snap(p.x), grid_snap(p.y)};
}

Point
point_add(Point a, Point b)
{
  return (Point){a.x + b.x, a.y + b.y};
}

Point
point_sub(Point a, Point b)
{
  return (Point){a.x - b.x, a.y - b.y};
}

bool
point_equal(Point a, Point b)
{
  return fabs(a.x - b.x) < 1e-3 && fabs(a.y - b.y) < 1e-3;
}

double
point_distance(Point a, Point b)
{
  return hypot(a.x - b.x, a.y - b.y);
}

double
point_segment_distance(Point p, Point a, Point b)
{
  Point along = point_sub(b, a);
  double length2 = along.x * along.x + along.y * along.y;
  if (length2 == 0)
    return point_distance(p, a);
  double t = ((p.x - a.x) * along.x + (p.y - a.y) * along.y) / length2;
  t = CLAMP(t, 0.0, 1.0);
  return point_distance(p, (Point){a.x + t * along.x, a.y + t * along.y});
}

static Point
turn_point(Point p, int turns)
{
  switch (((turns % 4) + 4) % 4) {
  case 1:
    return (Point){-p.y, p.x};
  case 2:
    return (Point){-p.x, -p.y};
  case 3:
    return (Point){p.y, -p.x};
  default:
    return p;
  }
}

Point
placement_apply(Placement placement, Point own)
{
  if (placement.mirrored)
    own.x = -own.x;
  return point_add(turn_point(own, placement.turns), placement.at);
}

Point
placement_invert(Placement placement, Point sheet)
{
  Point own = turn_point(point_sub(sheet, placement.at), -placement.turns);
  if (placement.mirrored)
    own.x = -own.x;
  return own;
}

Rect
placement_apply_rect(Placement placement, Rect own)
{
  if (rect_is_empty(own))
    return own;
  Point far = {own.x + own.width, own.y + own.height};
  return rect_from_points(placement_apply(placement, (Point){own.x, own.y}),
                          placement_apply(placement, far));
}

Rect
rect_empty(void)
{
  return (Rect){0, 0, -1, -1};
}

bool
rect_is_empty(Rect r)
{
  return r.width < 0 || r.height < 0;
}

Rect
rect_from_points(Point a, Point b)
{
  return (Rect){MIN(a.x, b.x), MIN(a.y, b.y), fabs(a.x - b.x), fabs(a.y - b.y)};
}

Rect
rect_include(Rect r, Point p)
{
  return rect_union(r, (Rect){p.x, p.y, 0, 0});
}

Rect
rect_union(Rect a, Rect b)
{
  if (rect_is_empty(a))
    return b;
  if (rect_is_empty(b))
    return a;
  double left = MIN(a.x, b.x), top = MIN(a.y, b.y);
  double right = MAX(a.x + a.width, b.x + b.width);
  double bottom = MAX(a.y + a.height, b.y + b.height);
  return (Rect){left, top, right - left, bottom - top};
}

Rect
rect_grow(Rect r, double margin)
{
  if (rect_is_empty(r))
    return r;
  return (Rect){r.x - margin, r.y - margin, r.width + 2 * margin, r.height + 2 * margin};
}

bool
rect_contains(Rect r, Point p)
{
  return p.x >= r.x && p.y >= r.y && p.x <= r.x + r.width && p.y <= r.y + r.height;
}

bool
rect_intersects(Rect a, Rect b)
{
  if (rect_is_empty(a) || rect_is_empty(b))
    return false;
  return a.x <= b.x + b.width && b.x <= a.x + a.width && a.y <= b.y + b.height &&
         b.y <= a.y + a.height;
}

bool
rect_holds(Rect outer, Rect inner)
{
  if (rect_is_empty(outer) || rect_is_empty(inner))
    return false;
  return inner.x >= outer.x && inner.y >= outer.y &&
         inner.x + inner.width <= outer.x + outer.width &&
         inner.y + inner.height <= outer.y + outer.height;
}

/* Liang-Barsky clipping against one side: keeps the part of [t0, t1] with p * t < q. */
static bool
clip(double p, double q, double *t0, double *t1)
{
  if (p == 0)
    return q > 0;
  double t = q / p;
  if (p < 0)
    *t0 = MAX(*t0, t);
  else
    *t1 = MIN(*t1, t);
  return true;
}

bool
rect_cuts_segment(Rect r, Point a, Point b)
{
  if (rect_is_empty(r))
    return false;
  double t0 = 0, t1 = 1, dx = b.x - a.x, dy = b.y - a.y;
  if (!clip(-dx, a.x - r.x, &t0, &t1) || !clip(dx, r.x + r.width - a.x, &t0, &t1) ||
      !clip(-dy, a.y - r.y, &t0, &t1) || !clip(dy, r.y + r.height - a.y, &t0, &t1))
    return false;
  /* A point strictly inside counts as a segment of no length. */
  return dx == 0 && dy == 0 ? true : t0 < t1;
}
