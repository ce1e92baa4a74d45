/* SPDX-License-Identifier: MIT */
/* A pen that passes everything on to another pen, scaled and moved: how a diagram drawn in canvas
 * millimetres gets onto a page. */
#pragma once

#include "pen/pen.h"

G_BEGIN_DECLS

/* A canvas point p lands at offset + scale * p. descriptions: group id -> text (nullable), given to
 * groups that come without a description. target and descriptions are borrowed. A failure of the
 * new pen is for the caller to hand to the target: pen_finish it. */
Pen *fit_pen_new(Pen *target, double scale, Point offset, GHashTable *descriptions);
/* Groups pass on without id, title and description: a hand-out says nothing but what is drawn. Call
 * before drawing. */
void fit_pen_set_quiet(Pen *fit);

/* What to do with a group of the diagram on a page that shows a part of it. */
typedef enum {
  FIT_WHOLE, /* passed on */
  FIT_NONE,  /* on another page, but for dots in this one's window */
  FIT_CUT    /* lines end at the edge of the window; texts and dots belong to where they stand */
} FitPart;
typedef FitPart (*FitChoose)(const char *id, gpointer data);
/* window: in canvas millimetres; holds its left and top edge, not its right and bottom one, so
 * that nothing is drawn on two pages. Call before drawing. */
void fit_pen_set_window(Pen *fit, Rect window, FitChoose choose, gpointer data);

G_END_DECLS
