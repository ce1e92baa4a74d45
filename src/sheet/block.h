/* SPDX-License-Identifier: MIT */
/* The kinds of block a sheet is made of. Each function makes a new block. */
#pragma once

#include "sheet/cautions.h"
#include "sheet/flow.h"
#include "sheet/table.h"

G_BEGIN_DECLS

/* A table with its title above; where its columns cannot stand side by side, each row becomes a
 * small list of "column: text". */
Block *block_table_new(Table *take_table, const Lettering *lettering);
/* The least width at which a table block's columns stand side by side, mm. */
double block_table_least_width(Block *block);
/* A signal-word panel of ANSI Z535.4: symbol and word in a band, then headline and paragraphs. */
Block *block_panel_new(Caution *take_caution, const Lettering *lettering);
/* Numbered lines under a title. texts: of char *, taken. */
Block *block_steps_new(const char *title, GPtrArray *take_texts, const Lettering *lettering);
/* Insulation colours, line styles and marks that the diagram uses. */
Block *block_legend_new(const Document *document, const Lettering *lettering);

/* Shared by the kinds: a block's title line, and text that starts below `top`. */
double block_title_height(const char *title, double width, const Lettering *lettering);
void block_draw_title(const char *title, bool continued, Point top, double width, bool rule,
                      const Lettering *lettering, Pen *pen);
/* Text wrapped into width whose lines' box begins at top; returns the box's height. */
double block_text(Pen *pen, Point top, double width, const char *text, const TextStyle *style);
double block_text_height(double width, const char *text, const TextStyle *style);
/* "486 V" is not torn apart: the space before a unit becomes one that does not break; the two
 * functions above do it by themselves. New string. */
char *block_hold_units(const char *text);

G_END_DECLS
