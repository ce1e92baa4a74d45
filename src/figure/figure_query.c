/* SPDX-License-Identifier: MIT */
/* What a cache is asked once it is up to date. */
#include "figure/figure_private.h"

const DeviceEntry *
figure_cache_find_device(const FigureCache *cache, const Device *device)
{
  return g_hash_table_lookup(cache->by_device, device);
}

const ConductorEntry *
figure_cache_find_conductor(const FigureCache *cache, const Conductor *conductor)
{
  return g_hash_table_lookup(cache->by_conductor, conductor);
}

const GArray *
figure_cache_route(const FigureCache *cache, const Conductor *conductor)
{
  const ConductorEntry *entry = figure_cache_find_conductor(cache, conductor);
  return entry != NULL ? entry->route : NULL;
}

Rect
figure_cache_symbol_box(const FigureCache *cache, const Device *device)
{
  const DeviceEntry *entry = figure_cache_find_device(cache, device);
  return entry != NULL ? entry->symbol : rect_empty();
}

static Rect
device_bounds(const DeviceEntry *entry)
{
  Rect bounds = rect_union(entry->symbol, entry->label.box);
  for (guint i = 0; i < entry->n_terminals; i++)
    bounds = rect_union(bounds, entry->open[i].box);
  return bounds;
}

static Rect
conductor_bounds(const ConductorEntry *entry)
{
  return rect_union(entry->bounds, rect_union(entry->number.box, entry->potential.box));
}

Rect
figure_cache_device_bounds(const FigureCache *cache, const Device *device)
{
  const DeviceEntry *entry = figure_cache_find_device(cache, device);
  return entry != NULL ? device_bounds(entry) : rect_empty();
}

Rect
figure_cache_conductor_bounds(const FigureCache *cache, const Conductor *conductor)
{
  const ConductorEntry *entry = figure_cache_find_conductor(cache, conductor);
  return entry != NULL ? conductor_bounds(entry) : rect_empty();
}

Rect
figure_cache_bounds(const FigureCache *cache)
{
  Rect bounds = rect_empty();
  for (guint i = 0; i < cache->devices->len; i++)
    bounds = rect_union(bounds, device_bounds(g_ptr_array_index(cache->devices, i)));
  for (guint i = 0; i < cache->conductors->len; i++)
    bounds = rect_union(bounds, conductor_bounds(g_ptr_array_index(cache->conductors, i)));
  return bounds;
}

static int
compare_orders(gconstpointer a, gconstpointer b)
{
  const FigureOwner *left = *(FigureOwner *const *)a, *right = *(FigureOwner *const *)b;
  return left->order < right->order ? -1 : left->order > right->order;
}

/* Owners of the wanted sort in any of the indexes, each once, in document order. New array. */
static GPtrArray *
owners_in(const FigureIndex *const *indexes, guint n, Rect window, bool conductors)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  GPtrArray *owners = g_ptr_array_new();
  for (guint i = 0; i < n; i++)
    figure_index_query(indexes[i], window, near);
  for (guint i = 0; i < near->len; i++) {
    FigureOwner *owner = g_array_index(near, FigureNear, i).item;
    if (owner->is_conductor == conductors)
      g_ptr_array_add(owners, owner);
  }
  g_ptr_array_sort(owners, compare_orders);
  guint kept = 0;
  for (guint i = 0; i < owners->len; i++)
    if (kept == 0 || owners->pdata[kept - 1] != owners->pdata[i])
      owners->pdata[kept++] = owners->pdata[i];
  g_ptr_array_set_size(owners, (gint)kept);
  return owners;
}

void
figure_cache_devices_in(const FigureCache *cache, Rect window, GPtrArray *out)
{
  const FigureIndex *indexes[] = {cache->boxes, cache->outlines, cache->labels};
  g_autoptr(GPtrArray) owners = owners_in(indexes, G_N_ELEMENTS(indexes), window, false);
  for (guint i = 0; i < owners->len; i++)
    g_ptr_array_add(out, ((DeviceEntry *)g_ptr_array_index(owners, i))->device);
}

void
figure_cache_conductors_in(const FigureCache *cache, Rect window, GPtrArray *out)
{
  const FigureIndex *indexes[] = {cache->lines, cache->labels};
  Rect wide = rect_grow(window, HOP_RADIUS_MM);
  g_autoptr(GPtrArray) owners = owners_in(indexes, G_N_ELEMENTS(indexes), wide, true);
  for (guint i = 0; i < owners->len; i++)
    g_ptr_array_add(out, ((ConductorEntry *)g_ptr_array_index(owners, i))->conductor);
}

guint
figure_cache_conductor_index(const FigureCache *cache, const Conductor *conductor)
{
  const ConductorEntry *entry = figure_cache_find_conductor(cache, conductor);
  return entry != NULL ? entry->owner.order : G_MAXUINT;
}
