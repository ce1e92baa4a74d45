/* SPDX-License-Identifier: MIT */
/* Points, boxes and quarter turns on the sheet. All lengths are millimetres of paper, x to the
 * right and y down. Everything is a plain value. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

/* Terminals, bends and devices sit on this grid. */
#define GRID_STEP_MM 2.5

typedef struct {
  double x, y;
} Point;

typedef struct {
  double x, y, width, height; /* width < 0: empty */
} Rect;

/* How a device is laid on the sheet: first mirrored left to right, then turned clockwise. */
typedef struct {
  Point at;  /* where the device's own origin lies */
  int turns; /* quarter turns clockwise, 0..3 */
  bool mirrored;
} Placement;

double grid_snap(double value);
Point point_snap(Point p);
Point point_add(Point a, Point b);
Point point_sub(Point a, Point b);
bool point_equal(Point a, Point b); /* within a thousandth of a millimetre */
double point_distance(Point a, Point b);
/* Distance of p from the segment a-b. */
double point_segment_distance(Point p, Point a, Point b);

/* From the device's own coordinates to the sheet and back. */
Point placement_apply(Placement placement, Point own);
Point placement_invert(Placement placement, Point sheet);
Rect placement_apply_rect(Placement placement, Rect own);

Rect rect_empty(void);
bool rect_is_empty(Rect r);
Rect rect_from_points(Point a, Point b);
Rect rect_include(Rect r, Point p);
Rect rect_union(Rect a, Rect b);
Rect rect_grow(Rect r, double margin);
bool rect_contains(Rect r, Point p);
bool rect_intersects(Rect a, Rect b);
bool rect_holds(Rect outer, Rect inner);
bool rect_cuts_segment(Rect r, Point a, Point b); /* some point of a-b lies strictly inside r */

G_END_DECLS
