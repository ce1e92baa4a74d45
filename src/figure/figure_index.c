/* SPDX-License-Identifier: MIT */
#include "figure/figure_index.h"

#include <math.h>

#define CELL_MM 25.0
/* A box over more cells than this (an outline round a whole plant) is kept in a plain list. */
#define MOST_CELLS 1024

struct FigureIndex {
  GHashTable *cells; /* gint64 * of column and row -> GArray of FigureNear */
  GArray *large;     /* of FigureNear */
};

typedef struct {
  gint64 left, top, right, bottom;
} CellRange;

/* GLib's own hash of a 64-bit key takes its lower half, which is the same for a whole row. */
static guint
cell_hash(gconstpointer key)
{
  guint64 mixed = (guint64) * (const gint64 *)key * G_GUINT64_CONSTANT(0x9e3779b97f4a7c15);
  return (guint)(mixed >> 32);
}

FigureIndex *
figure_index_new(void)
{
  FigureIndex *index = g_new0(FigureIndex, 1);
  index->cells =
      g_hash_table_new_full(cell_hash, g_int64_equal, g_free, (GDestroyNotify)g_array_unref);
  index->large = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  return index;
}

void
figure_index_free(FigureIndex *index)
{
  if (index == NULL)
    return;
  g_hash_table_unref(index->cells);
  g_array_unref(index->large);
  g_free(index);
}

static gint64
cell_of(double coordinate)
{
  return (gint64)floor(CLAMP(coordinate, -1e9, 1e9) / CELL_MM);
}

static CellRange
cells_of(Rect box)
{
  return (CellRange){cell_of(box.x), cell_of(box.y), cell_of(box.x + box.width),
                     cell_of(box.y + box.height)};
}

static gint64
cell_key(gint64 column, gint64 row)
{
  return column * ((gint64)1 << 31) + row;
}

static bool
is_large(CellRange range)
{
  return (range.right - range.left + 1) * (range.bottom - range.top + 1) > MOST_CELLS;
}

static bool
is_nowhere(Rect box)
{
  return rect_is_empty(box) || !isfinite(box.x + box.y + box.width + box.height);
}

void
figure_index_add(FigureIndex *index, gpointer item, Rect box)
{
  if (is_nowhere(box))
    return;
  FigureNear entry = {item, box};
  CellRange range = cells_of(box);
  if (is_large(range)) {
    g_array_append_val(index->large, entry);
    return;
  }
  for (gint64 row = range.top; row <= range.bottom; row++)
    for (gint64 column = range.left; column <= range.right; column++) {
      gint64 key = cell_key(column, row);
      GArray *cell = g_hash_table_lookup(index->cells, &key);
      if (cell == NULL) {
        cell = g_array_new(FALSE, FALSE, sizeof(FigureNear));
        g_hash_table_insert(index->cells, g_memdup2(&key, sizeof key), cell);
      }
      g_array_append_val(cell, entry);
    }
}

static bool
same_box(Rect a, Rect b)
{
  return !(a.x < b.x) && !(a.x > b.x) && !(a.y < b.y) && !(a.y > b.y) && !(a.width < b.width) &&
         !(a.width > b.width) && !(a.height < b.height) && !(a.height > b.height);
}

static void
remove_from(GArray *list, gpointer item, Rect box)
{
  for (guint i = 0; i < list->len; i++) {
    const FigureNear *entry = &g_array_index(list, FigureNear, i);
    if (entry->item == item && same_box(entry->box, box)) {
      g_array_remove_index_fast(list, i);
      return;
    }
  }
}

void
figure_index_remove(FigureIndex *index, gpointer item, Rect box)
{
  if (is_nowhere(box))
    return;
  CellRange range = cells_of(box);
  if (is_large(range)) {
    remove_from(index->large, item, box);
    return;
  }
  for (gint64 row = range.top; row <= range.bottom; row++)
    for (gint64 column = range.left; column <= range.right; column++) {
      gint64 key = cell_key(column, row);
      GArray *cell = g_hash_table_lookup(index->cells, &key);
      if (cell != NULL)
        remove_from(cell, item, box);
    }
}

static void
query_cell(const GArray *cell, gint64 column, gint64 row, CellRange window_range, Rect window,
           GArray *out)
{
  for (guint i = 0; i < cell->len; i++) {
    const FigureNear *entry = &g_array_index(cell, FigureNear, i);
    /* A box over several cells is reported in the first one both share, and only there. */
    if (MAX(cell_of(entry->box.x), window_range.left) == column &&
        MAX(cell_of(entry->box.y), window_range.top) == row && rect_intersects(entry->box, window))
      g_array_append_val(out, *entry);
  }
}

static void
query_every_cell(const FigureIndex *index, CellRange range, Rect window, GArray *out)
{
  GHashTableIter iter;
  gpointer key, cell;
  g_hash_table_iter_init(&iter, index->cells);
  while (g_hash_table_iter_next(&iter, &key, &cell)) {
    const GArray *list = cell;
    for (guint i = 0; i < list->len; i++) {
      const FigureNear *entry = &g_array_index(list, FigureNear, i);
      gint64 column = MAX(cell_of(entry->box.x), range.left);
      gint64 row = MAX(cell_of(entry->box.y), range.top);
      if (cell_key(column, row) == *(const gint64 *)key && rect_intersects(entry->box, window))
        g_array_append_val(out, *entry);
    }
  }
}

void
figure_index_query(const FigureIndex *index, Rect window, GArray *out)
{
  if (is_nowhere(window))
    return;
  for (guint i = 0; i < index->large->len; i++) {
    const FigureNear *entry = &g_array_index(index->large, FigureNear, i);
    if (rect_intersects(entry->box, window))
      g_array_append_val(out, *entry);
  }
  CellRange range = cells_of(window);
  if ((range.right - range.left + 1) * (range.bottom - range.top + 1) >
      (gint64)g_hash_table_size(index->cells)) {
    query_every_cell(index, range, window, out);
    return;
  }
  for (gint64 row = range.top; row <= range.bottom; row++)
    for (gint64 column = range.left; column <= range.right; column++) {
      gint64 key = cell_key(column, row);
      const GArray *cell = g_hash_table_lookup(index->cells, &key);
      if (cell != NULL)
        query_cell(cell, column, row, range, window, out);
    }
}
