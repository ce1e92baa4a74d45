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

G_END_DECLS
