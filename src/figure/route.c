/* SPDX-License-Identifier: MIT */
#include "figure/route.h"

#include "figure/route_grid.h"
#include <math.h>

static const Point heading[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};

Rect
route_window(const RouteEnd *from, const RouteEnd *to, double margin)
{
  Rect window = rect_from_points(from->at, to->at);
  window = rect_union(window, rect_union(from->own, to->own));
  return rect_grow(window, margin);
}

static bool
is_near(double a, double b)
{
  return fabs(a - b) < 1e-6;
}

/* Leaves out points on the way between their neighbours and points that say the same twice. */
static void
append_point(GArray *route, Point p)
{
  guint n = route->len;
  if (n > 0) {
    const Point *last = &g_array_index(route, Point, n - 1);
    if (is_near(last->x, p.x) && is_near(last->y, p.y))
      return;
    if (n > 1) {
      const Point *before = &g_array_index(route, Point, n - 2);
      bool level = is_near(before->y, last->y) && is_near(last->y, p.y) &&
                   (last->x - before->x) * (p.x - last->x) > 0;
      bool upright = is_near(before->x, last->x) && is_near(last->x, p.x) &&
                     (last->y - before->y) * (p.y - last->y) > 0;
      if (level || upright)
        g_array_set_size(route, n - 1);
    }
  }
  g_array_append_val(route, p);
}

static GArray *
finish(GArray *route, Point last)
{
  append_point(route, last);
  if (route->len == 1) /* both ends in one place: still a line of two points */
    g_array_append_val(route, last);
  return route;
}

/* The first point of the grid outside the end's own box, straight out of its side. */
static Point
leave(const RouteEnd *end)
{
  if (end->side < 0)
    return end->at;
  Point step = heading[end->side & 3], at = end->at;
  for (int i = 1; i <= 60; i++) {
    at = (Point){end->at.x + step.x * GRID_STEP_MM * i, end->at.y + step.y * GRID_STEP_MM * i};
    if (rect_is_empty(end->own) || !rect_contains(end->own, at))
      break;
  }
  return at;
}

/* Two terminals that face each other on one line need no search, however close they are. */
static bool
faces(const RouteTask *task, RouteSeen *seen)
{
  const RouteEnd *from = &task->from, *to = &task->to;
  if (from->side < 0 || to->side < 0 || ((from->side + 2) & 3) != (to->side & 3))
    return false;
  Point step = heading[from->side & 3], way = point_sub(to->at, from->at);
  double along = way.x * step.x + way.y * step.y;
  double across = fabs(way.x * step.y) + fabs(way.y * step.x);
  if (along <= 0 || across > 1e-6)
    return false;
  seen->box = rect_union(seen->box, rect_grow(rect_from_points(from->at, to->at), 0.5));
  Point a = leave(from), b = leave(to);
  double between = (b.x - a.x) * step.x + (b.y - a.y) * step.y;
  if (between <= 0)
    return true; /* no room for a bend anyway */
  for (guint i = 0; i < task->n_boxes; i++)
    if (rect_cuts_segment(task->boxes[i], a, b))
      return false;
  for (guint i = 0; i < task->n_lines; i++) {
    Rect line = rect_grow(rect_from_points(task->lines[i].a, task->lines[i].b), 0.5);
    bool level = is_near(task->lines[i].a.y, task->lines[i].b.y);
    if (level == (fabs(step.x) > 0.5) && rect_cuts_segment(line, a, b))
      return false;
  }
  return true;
}

static GArray *
cross(const RouteEnd *from, const RouteEnd *to, Point a, Point b)
{
  GArray *route = g_array_new(FALSE, FALSE, sizeof(Point));
  append_point(route, from->at);
  append_point(route, a);
  if (!is_near(a.x, b.x) && !is_near(a.y, b.y)) {
    if (from->side >= 0 && (from->side & 1))
      append_point(route, (Point){a.x, b.y});
    else
      append_point(route, (Point){b.x, a.y});
  }
  append_point(route, b);
  return finish(route, to->at);
}

GArray *
route_plain(const RouteEnd *from, const RouteEnd *to)
{
  return cross(from, to, leave(from), leave(to));
}

GArray *
route_find(const RouteTask *task, Rect window, RouteSeen *seen)
{
  seen->is_shut_in = false;
  if (faces(task, seen))
    return cross(&task->from, &task->to, task->from.at, task->to.at);
  g_autoptr(GArray) way =
      route_grid_search(task, window, leave(&task->from), leave(&task->to), seen);
  if (way == NULL)
    return NULL;
  GArray *route = g_array_new(FALSE, FALSE, sizeof(Point));
  append_point(route, task->from.at);
  for (guint i = 0; i < way->len; i++)
    append_point(route, g_array_index(way, Point, i));
  return finish(route, task->to.at);
}

/* Goes on to the next given bend. */
static void
go_to(GArray *route, Point next, int side)
{
  Point last = g_array_index(route, Point, route->len - 1);
  if (!is_near(last.x, next.x) && !is_near(last.y, next.y)) {
    bool level = side >= 0 && (side & 1) == 0;
    if (route->len > 1) {
      Point before = g_array_index(route, Point, route->len - 2);
      level = is_near(before.y, last.y);
      double on =
          level ? (last.x - before.x) * (next.x - last.x) : (last.y - before.y) * (next.y - last.y);
      if (on < 0) /* going on would mean going back */
        level = !level;
    } else if (side < 0) {
      level = true;
    }
    append_point(route, level ? (Point){next.x, last.y} : (Point){last.x, next.y});
  }
  append_point(route, next);
}

GArray *
route_through(const RouteEnd *from, const RouteEnd *to, const Point *via, guint n)
{
  GArray *route = g_array_new(FALSE, FALSE, sizeof(Point));
  append_point(route, from->at);
  for (guint i = 0; i < n; i++)
    go_to(route, via[i], from->side);
  /* The last corner is put so that the conductor comes in on the terminal's side. */
  Point last = g_array_index(route, Point, route->len - 1);
  if (to->side >= 0 && !is_near(last.x, to->at.x) && !is_near(last.y, to->at.y))
    append_point(route,
                 (to->side & 1) == 0 ? (Point){last.x, to->at.y} : (Point){to->at.x, last.y});
  else
    go_to(route, to->at, from->side);
  return finish(route, to->at);
}
