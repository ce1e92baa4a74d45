/* SPDX-License-Identifier: MIT */
/* Finding a conductor's way: orthogonal, out of each terminal on its own side, round the boxes of
 * devices, not on top of stretches already taken, with few bends and crossings.
 *
 * The search is A* over the lines of the grid inside a window, with bounded work. The result
 * depends on the arguments as sets only, never on the order in which they come, so that a route
 * found again after an undo is the route there was. */
#pragma once

#include "base/geometry.h"

G_BEGIN_DECLS

/* Boxes are kept at this distance by growing them, mm: less than a grid step, so that the next
 * line of the grid is free. */
#define ROUTE_CLEARANCE 1.0
/* How far round both ends a way is looked for first, mm. */
#define ROUTE_MARGIN 30.0

typedef struct {
  Point at;
  int side; /* 0 right, 1 down, 2 left, 3 up; -1: any (a free end) */
  Rect own; /* box of the end's device, which the first stretch may leave; empty: none */
} RouteEnd;

/* A stretch another conductor takes, level or upright. */
typedef struct {
  Point a, b;
} RouteLine;

typedef struct {
  RouteEnd from, to;
  const Rect *boxes; /* already grown by ROUTE_CLEARANCE; those of both ends among them */
  guint n_boxes;
  const RouteLine *lines;
  guint n_lines;
} RouteTask;

/* The ends, their boxes and a margin: where boxes and lines can have influence on a route. */
Rect route_window(const RouteEnd *from, const RouteEnd *to, double margin);

/* What a search has looked at. While no box and no line within half a grid step of box changes
 * (for boxes: GRID_STEP_MM - ROUTE_CLEARANCE), the same search comes to the same result. */
typedef struct {
  Rect box;        /* empty: nothing */
  bool is_shut_in; /* one end cannot be left far enough to reach the window's edge: a larger window
                      would not help */
} RouteSeen;

/* A way inside window: the best one, or when finding that gets too long one that is good enough.
 * New array of Point, at least two, first and last at the ends; NULL when every way is barred or
 * the search got too long. Adds to seen. */
GArray *route_find(const RouteTask *task, Rect window, RouteSeen *seen);
/* A way across without regard to anything, for when there is no other. */
GArray *route_plain(const RouteEnd *from, const RouteEnd *to);

/* Through given bends: straight where a stretch is level or upright, else with one corner put in,
 * continuing the way it came unless that would mean going back. */
GArray *route_through(const RouteEnd *from, const RouteEnd *to, const Point *via, guint n);

G_END_DECLS
