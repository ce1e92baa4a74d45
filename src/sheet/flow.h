/* SPDX-License-Identifier: MIT */
/* Laying blocks out in columns and pages. A block is a title that is repeated where the block goes
 * on, and slices that are never split: table rows, steps, paragraphs. Blocks measure first and
 * draw later, at the places the flow has found, so nothing is ever cut off. */
#pragma once

#include "pen/pen.h"
#include <stdbool.h>

G_BEGIN_DECLS

/* Letter heights of a paper, mm: ISO 3098 sizes. */
typedef struct {
  double body, heading, title;
  bool tight; /* label stock: bands of signal words are as low as their letters permit */
} Lettering;

#define LINE_SPACING 1.7 /* baseline to baseline, in letter heights */

typedef struct Block Block;
typedef struct {
  guint (*count)(Block *block, double width);
  double (*head_height)(Block *block, double width);
  double (*slice_height)(Block *block, guint slice, double width);
  double (*tail_height)(Block *block);
  /* continued: the block began in an earlier column. */
  void (*draw_head)(Block *block, Point at, double width, bool continued, Pen *pen);
  void (*draw_slice)(Block *block, guint slice, Point at, double width, Pen *pen);
  void (*draw_tail)(Block *block, Point at, double width, Pen *pen);
  void (*free)(Block *block);
} BlockClass;

struct Block {
  const BlockClass *class_;
  Lettering lettering;
  bool wide;  /* takes the whole width of a page rather than a column */
  bool whole; /* never split unless taller than flow->tallest */
  bool loose; /* may come before its turn, whole, into room that would stay empty */
  bool keeps; /* stands on the page on which the block before it ends, where that can be helped */
};
void block_free(Block *block);

/* A stretch of a block in one column. */
typedef struct {
  Block *block; /* borrowed */
  guint first, count;
  guint page;
  Point at;
  double width;
} Fragment;

typedef struct {
  GPtrArray *blocks; /* of Block *, owned, in reading order; flow_fill brings loose ones forward */
  guint next;        /* block to place next */
  guint slice;       /* and its slice */
  GArray *fragments; /* of Fragment */
  double tallest;    /* blocks that are kept whole are split only beyond this height, mm */
  bool overflowed;   /* a slice was placed that no page can hold */
} Flow;

/* tallest: height of a page's area. */
Flow *flow_new(double tallest);
void flow_free(Flow *flow);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Flow, flow_free)
void flow_add(Flow *flow, Block *take_block);
bool flow_done(const Flow *flow);

/* Space between columns and between blocks, mm. */
#define FLOW_COLUMN_GAP 5.0
#define FLOW_BLOCK_GAP 4.0
/* A block that has to be split begins with at least so many slices, or on a new page. */
#define FLOW_FEWEST 5

/* Places blocks from flow->next on into one area, columns beside one another, until one does not
 * fit or block number `until` is reached; returns the height used. Columns of a run are balanced;
 * wide blocks go below the columns before them. At least one slice is placed when `force`. Where
 * the next block does not fit, loose ones after it fill what is left. */
double flow_fill(Flow *flow, guint page, Rect area, guint columns, guint until, bool force);
/* Whether everything from flow->next up to `until` would fit. Changes nothing. */
bool flow_fits(Flow *flow, Rect area, guint columns, guint until);
void flow_draw_page(const Flow *flow, guint page, Pen *pen);

G_END_DECLS
