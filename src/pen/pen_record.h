/* SPDX-License-Identifier: MIT */
/* Recording back end: what was drawn, where. For bounds, hit tests, label placement and golden
 * files. */
#pragma once

#include "pen/pen.h"

G_BEGIN_DECLS

typedef enum { RECORD_LINE, RECORD_ARC, RECORD_TEXT, RECORD_GROUP } RecordKind;

typedef struct {
  RecordKind kind;
  Rect bounds;       /* sheet mm, without line width; for text its measured box */
  GArray *points;    /* of Point; lines only */
  char *text;        /* text, or group id */
  double height;     /* of its capitals, mm; texts only */
  bool filled;
  bool stroked;      /* lines and arcs: has a line, not only a fill */
  bool hides;        /* filled with paper: what was drawn below it is not seen */
  int turns;         /* texts: quarter turns clockwise, as TextStyle says */
  Point centre;      /* arcs only, with the three below */
  double radius, from, to; /* degrees, clockwise from three o'clock */
  guint page;        /* from 0 */
  int depth;         /* group nesting */
} RecordItem;

Pen *pen_record_new(void);
/* Borrowed, in drawing order; of RecordItem. Valid until pen_free. */
const GArray *pen_record_items(const Pen *pen);
Rect pen_record_bounds(const Pen *pen);
/* One line an item with coordinates to 0.01 mm: for golden files. New string. */
char *pen_record_dump(const Pen *pen);

G_END_DECLS
