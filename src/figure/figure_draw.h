/* SPDX-License-Identifier: MIT */
/* Drawing from a cache's entries. Used by figure's own files only. */
#pragma once

#include "figure/figure_private.h"

G_BEGIN_DECLS

void figure_draw_device_entry(Pen *pen, const Document *document, const FigureCache *cache,
                              const DeviceEntry *entry, const FigureStyle *style);
void figure_draw_conductor_entry(Pen *pen, const FigureCache *cache, const ConductorEntry *entry,
                                 const FigureStyle *style);

/* Text whose capitals stand in the middle of box; turns 0 or 3. */
void figure_draw_line_of_text(Pen *pen, Rect box, const char *text, const TextStyle *style);
/* A bolt and volts ("277 V", or "floating") in place. */
void figure_draw_live(Pen *pen, const FigurePlace *place, const Reading *reading);
/* False when the point is dead or unknown: then nothing is marked. */
bool figure_reading_to_earth(const Solution *solution, guint node, Reading *out);
/* How much heavier than a dead line one of this potential is drawn. */
double figure_weight(const Reading *reading);
/* What it costs to put something small there, once all labels have their places; 0: it is free. */
gint64 figure_cost_of_place(const FigureCache *cache, Rect box);
/* The short word of an insulation colour: "BLK", "BLU/WHT". New; NULL: none. */
char *figure_colour_code(const char *name);
int figure_compare_doubles(gconstpointer a, gconstpointer b);

G_END_DECLS
