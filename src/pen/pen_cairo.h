/* SPDX-License-Identifier: MIT */
/* Cairo back ends: a context (screen, print), a PDF file's bytes, a PNG file's bytes. */
#pragma once

#include "pen/pen.h"
#include <cairo.h>

G_BEGIN_DECLS

typedef enum {
  PALETTE_LIGHT,      /* dark ink on light paper, colour */
  PALETTE_DARK,       /* screen in dark theme */
  PALETTE_CONTRAST,   /* screen, high contrast */
  PALETTE_MONO,       /* black ink only: print, fax; signal panels black and white */
  PALETTE_COUNT
} Palette;

/* The colour of an ink role. */
PenColour palette_ink(Palette palette, Ink ink);
/* The same, with the given colour for INK_COLOUR; in monochrome light colours are paper and the
 * others ink. */
PenColour palette_colour(Palette palette, Ink ink, PenColour given);

/* Draws on cr, which stays the caller's and must already be scaled to millimetres of paper.
 * hairline_mm: no line gets thinner than this (a device pixel, so zoomed-out lines stay visible),
 * and text lower than three hairlines is drawn as a bar, since nobody could read it. */
Pen *pen_cairo_new(cairo_t *cr, Palette palette, double hairline_mm);
/* Writes pages into bytes (taken when pen_finish is called), one page for each pen_begin_page.
 * title, author, subject: PDF metadata, nullable. date: ISO "2026-11-25T00:00:00Z" for a
 * reproducible file. Each page and its title becomes a bookmark. */
Pen *pen_pdf_new(GByteArray *bytes, Palette palette, const char *title, const char *author,
                 const char *subject, const char *date);
/* One page; pixels_per_mm > 0. White paper background. Fails beyond 20000 pixels a side. */
Pen *pen_png_new(GByteArray *bytes, Palette palette, double pixels_per_mm);

G_END_DECLS
