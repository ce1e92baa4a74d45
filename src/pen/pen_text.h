/* SPDX-License-Identifier: MIT */
/* Text shared by the back ends: one cleaning, one measuring, one cache of shaped lines.
 *
 * Every thread has a Pango font map, context and cache of its own, because Pango objects belong to
 * one thread and sheets are composed on several. Hinting and rounding are off, so a text is as
 * wide on screen, in print and in a test. */
#pragma once

#include "pen/pen.h"
#include <pango/pangocairo.h>

G_BEGIN_DECLS

/* Pango counts in integers; layouts are set this much larger than paper so that rounding stays
 * below a ten-thousandth of a millimetre. A layout is drawn at scale 1 / PEN_TEXT_SCALE. */
#define PEN_TEXT_SCALE 16.0
/* Longest line drawn, characters; the rest is cut and an ellipsis put. */
#define PEN_TEXT_LONGEST 16384

/* The font size (em), mm, for a letter height. */
double pen_text_em(const TextStyle *style);
/* As pen_text describes. New string. */
char *pen_text_prepare(const char *utf8);
/* Whether this machine can show plain letters at all. */
bool pen_text_has_font(void);
/* Shaped line for prepared text; borrowed from the calling thread's cache, valid until the next
 * call on this thread. */
PangoLayout *pen_text_layout(const char *prepared, const TextStyle *style);
double pen_text_layout_width(PangoLayout *layout); /* mm */
/* Box of a line drawn at a sheet point with final turns, width as measured. */
Rect pen_text_box(Point at, double width, const TextStyle *style);
/* Lines of a block; GPtrArray of char *, owned by the caller, frees its elements. */
GPtrArray *pen_text_wrap(double width, const char *utf8, const TextStyle *style);
/* How many lines that would be; kept for each thread, as sheets ask again and again. */
guint pen_text_line_count(double width, const char *utf8, const TextStyle *style);

G_END_DECLS
