/* SPDX-License-Identifier: MIT */
/* Which boxes lie near: a grid of cells over the sheet, each listing the boxes that touch it.
 * Items are borrowed pointers; the index never looks into them. */
#pragma once

#include "base/geometry.h"

G_BEGIN_DECLS

typedef struct FigureIndex FigureIndex;

typedef struct {
  gpointer item;
  Rect box;
} FigureNear;

FigureIndex *figure_index_new(void);
void figure_index_free(FigureIndex *index);
/* An item may have several boxes. Empty boxes are not kept. */
void figure_index_add(FigureIndex *index, gpointer item, Rect box);
/* The same box again that was added. */
void figure_index_remove(FigureIndex *index, gpointer item, Rect box);
/* Appends FigureNear for each box that touches window, each once; in no promised order, but the
 * same after the same history. */
void figure_index_query(const FigureIndex *index, Rect window, GArray *out);

G_END_DECLS
