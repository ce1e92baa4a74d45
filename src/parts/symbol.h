/* SPDX-License-Identifier: MIT */
/* Strokes that several symbols share, sized alike. Own coordinates of the device, millimetres. */
#pragma once

#include "diagram/device.h"
#include "pen/pen.h"

G_BEGIN_DECLS

extern const PenStyle symbol_stroke; /* PEN_NORMAL in INK_LINE */
extern const PenStyle symbol_thin;   /* PEN_THIN */
extern const PenStyle symbol_heavy;  /* PEN_HEAVY */
extern const PenStyle symbol_solid;  /* INK_LINE, as a fill */
extern const PenStyle symbol_paper;  /* INK_PAPER, as a fill */

/* A plain outline with a stroke to each terminal. */
void symbol_plain(const Device *device, Pen *pen);

G_END_DECLS
