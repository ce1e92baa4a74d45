/* SPDX-License-Identifier: MIT */
#include "figure/figure_private.h"

/* With more than this many changed places it is quicker to look at everything again. */
#define MOST_DIRTY 1024

static void
device_entry_unref(DeviceEntry *entry)
{
  if (entry == NULL || --entry->references > 0)
    return;
  device_unref(entry->device);
  g_strfreev(entry->lines);
  g_free(entry->landed);
  g_free(entry->open);
  g_free(entry);
}

static void
conductor_entry_free(ConductorEntry *entry)
{
  conductor_unref(entry->conductor);
  device_entry_unref(entry->ends[0]);
  device_entry_unref(entry->ends[1]);
  g_clear_pointer(&entry->route, g_array_unref);
  g_free(entry);
}

FigureCache *
figure_cache_new(void)
{
  FigureCache *cache = g_new0(FigureCache, 1);
  cache->devices = g_ptr_array_new();
  cache->conductors = g_ptr_array_new();
  cache->by_device = g_hash_table_new(NULL, NULL);
  cache->by_conductor = g_hash_table_new(NULL, NULL);
  cache->boxes = figure_index_new();
  cache->outlines = figure_index_new();
  cache->lines = figure_index_new();
  cache->labels = figure_index_new();
  cache->in_rank = g_ptr_array_new();
  cache->dirty = g_array_new(FALSE, FALSE, sizeof(FigureTouch));
  cache->dirty_bounds = rect_empty();
  return cache;
}

void
figure_cache_free(FigureCache *cache)
{
  if (cache == NULL)
    return;
  for (guint i = 0; i < cache->conductors->len; i++)
    conductor_entry_free(g_ptr_array_index(cache->conductors, i));
  for (guint i = 0; i < cache->devices->len; i++)
    device_entry_unref(g_ptr_array_index(cache->devices, i));
  g_ptr_array_unref(cache->devices);
  g_ptr_array_unref(cache->conductors);
  g_hash_table_unref(cache->by_device);
  g_hash_table_unref(cache->by_conductor);
  figure_index_free(cache->boxes);
  figure_index_free(cache->outlines);
  figure_index_free(cache->lines);
  figure_index_free(cache->labels);
  g_ptr_array_unref(cache->in_rank);
  g_array_unref(cache->dirty);
  g_free(cache);
}

void
figure_cache_touch(FigureCache *cache, Rect box, guint rank)
{
  if (rect_is_empty(box) || cache->all_dirty)
    return;
  FigureTouch touch = {box, rank};
  g_array_append_val(cache->dirty, touch);
  cache->dirty_bounds = rect_union(cache->dirty_bounds, box);
  cache->all_dirty = cache->dirty->len > MOST_DIRTY;
}

bool
figure_cache_is_touched(const FigureCache *cache, Rect window, guint rank)
{
  if (cache->all_dirty)
    return true;
  if (!rect_intersects(cache->dirty_bounds, window))
    return false;
  for (guint i = 0; i < cache->dirty->len; i++) {
    const FigureTouch *touch = &g_array_index(cache->dirty, FigureTouch, i);
    if ((touch->rank < rank || rank == TOUCH_LABELS) && rect_intersects(touch->box, window))
      return true;
  }
  return false;
}

Rect
figure_stretch_box(Point a, Point b)
{
  return rect_grow(rect_from_points(a, b), 0.1);
}

/* --- devices --- */

static void
index_outline(FigureCache *cache, DeviceEntry *entry, bool add)
{
  Rect r = entry->symbol;
  const Point corners[] = {
      {r.x, r.y}, {r.x + r.width, r.y}, {r.x + r.width, r.y + r.height}, {r.x, r.y + r.height}};
  void (*act)(FigureIndex *, gpointer, Rect) = add ? figure_index_add : figure_index_remove;
  act(cache->outlines, entry, r);
  for (guint i = 0; i < 4; i++)
    act(cache->lines, entry, figure_stretch_box(corners[i], corners[(i + 1) % 4]));
}

static DeviceEntry *
device_entry_new(FigureCache *cache, const Device *device)
{
  DeviceEntry *entry = g_new0(DeviceEntry, 1);
  entry->references = 1;
  entry->device = device_ref(device);
  entry->is_outline = device->kind->role == ROLE_OUTLINE;
  Rect lettering;
  g_autoptr(Device) whole = cache->covered ? figure_dup_whole(device) : NULL;
  entry->symbol = figure_measure_symbol(whole != NULL ? whole : device, &lettering);
  entry->obstacle = rect_grow(entry->is_outline ? lettering : entry->symbol, ROUTE_CLEARANCE);
  entry->lines = figure_label_lines(device, &entry->bold);
  entry->size = figure_label_size(entry->lines, entry->bold);
  entry->label.box = rect_empty();
  entry->n_terminals = device_terminal_count(device);
  entry->landed = g_new0(guint8, entry->n_terminals);
  entry->open = g_new0(FigurePlace, entry->n_terminals);
  for (guint i = 0; i < entry->n_terminals; i++)
    entry->open[i].box = rect_empty();
  if (entry->is_outline)
    index_outline(cache, entry, true);
  figure_index_add(cache->boxes, entry, entry->obstacle);
  figure_cache_touch(cache, rect_grow(entry->symbol, ROUTE_CLEARANCE), TOUCH_ALL);
  return entry;
}

static void
device_entry_drop(FigureCache *cache, DeviceEntry *entry)
{
  entry->is_dead = true;
  g_hash_table_remove(cache->by_device, entry->device);
  if (entry->is_outline)
    index_outline(cache, entry, false);
  figure_index_remove(cache->boxes, entry, entry->obstacle);
  figure_index_remove(cache->labels, entry, entry->label.box);
  for (guint i = 0; i < entry->n_terminals; i++) {
    figure_index_remove(cache->labels, entry, entry->open[i].box);
    figure_cache_touch(cache, entry->open[i].box, TOUCH_LABELS);
  }
  figure_cache_touch(cache, rect_grow(entry->symbol, ROUTE_CLEARANCE), TOUCH_ALL);
  figure_cache_touch(cache, entry->label.box, TOUCH_LABELS);
  device_entry_unref(entry);
}

static bool
sync_devices(FigureCache *cache, const Document *document)
{
  guint n = document_device_count(document);
  bool same = n == cache->devices->len;
  for (guint i = 0; same && i < n; i++)
    same = ((DeviceEntry *)g_ptr_array_index(cache->devices, i))->device ==
           document_device(document, i);
  if (same)
    return false;
  GPtrArray *next = g_ptr_array_sized_new(n);
  guint latest = 0;
  for (guint i = 0; i < n; i++) {
    const Device *device = document_device(document, i);
    DeviceEntry *entry = g_hash_table_lookup(cache->by_device, device);
    if (entry == NULL) {
      entry = device_entry_new(cache, device);
      g_hash_table_insert(cache->by_device, entry->device, entry);
    } else if (entry->owner.order < latest) {
      figure_cache_touch(cache, entry->symbol,
                         TOUCH_LABELS); /* overtaken: labels go in document order */
    } else {
      latest = entry->owner.order;
    }
    entry->owner.order = i;
    entry->owner.stamp = cache->stamp;
    g_ptr_array_add(next, entry);
  }
  for (guint i = 0; i < cache->devices->len; i++) {
    DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    if (entry->owner.stamp != cache->stamp)
      device_entry_drop(cache, entry);
  }
  g_ptr_array_unref(cache->devices);
  cache->devices = next;
  return true;
}

/* --- conductors --- */

/* Lets go of the route, remembering where it was. */
static void
forget_route(FigureCache *cache, ConductorEntry *entry)
{
  figure_cache_drop_route(cache, entry);
  figure_index_remove(cache->labels, entry, entry->number.box);
  figure_index_remove(cache->labels, entry, entry->potential.box);
  figure_cache_touch(cache, entry->number.box, TOUCH_LABELS);
  figure_cache_touch(cache, entry->potential.box, TOUCH_LABELS);
  entry->number.box = entry->potential.box = rect_empty();
}

static void
resolve_ends(FigureCache *cache, const Document *document, ConductorEntry *entry)
{
  const Landing *landings[] = {&entry->conductor->from, &entry->conductor->to};
  for (guint i = 0; i < 2; i++) {
    const Device *device = NULL;
    g_clear_pointer(&entry->ends[i], device_entry_unref);
    if (!document_resolve(document, landings[i], &device, &entry->terminals[i]))
      continue;
    entry->ends[i] = g_hash_table_lookup(cache->by_device, device);
    if (entry->ends[i] != NULL)
      entry->ends[i]->references++;
  }
  entry->distance = 0;
  if (entry->ends[0] == NULL || entry->ends[1] == NULL)
    return;
  Point a = device_terminal_point(entry->ends[0]->device, entry->terminals[0]);
  Point b = device_terminal_point(entry->ends[1]->device, entry->terminals[1]);
  entry->distance = ABS(a.x - b.x) + ABS(a.y - b.y);
}

static ConductorEntry *
conductor_entry_new(const Conductor *conductor)
{
  ConductorEntry *entry = g_new0(ConductorEntry, 1);
  entry->owner.is_conductor = true;
  entry->conductor = conductor_ref(conductor);
  entry->bounds = entry->window = rect_empty();
  entry->number.box = entry->potential.box = rect_empty();
  return entry;
}

static bool
ends_are_stale(const ConductorEntry *entry)
{
  return entry->ends[0] == NULL || entry->ends[1] == NULL || entry->ends[0]->is_dead ||
         entry->ends[1]->is_dead;
}

static bool
sync_conductors(FigureCache *cache, const Document *document, bool devices_changed)
{
  guint n = document_conductor_count(document);
  bool changed = n != cache->conductors->len;
  GPtrArray *next = g_ptr_array_sized_new(n);
  guint latest = 0;
  for (guint i = 0; i < n; i++) {
    const Conductor *conductor = document_conductor(document, i);
    ConductorEntry *entry =
        i < cache->conductors->len ? g_ptr_array_index(cache->conductors, i) : NULL;
    if (entry == NULL || entry->conductor != conductor) {
      changed = true;
      entry = g_hash_table_lookup(cache->by_conductor, conductor);
    }
    if (entry == NULL) {
      entry = conductor_entry_new(conductor);
      g_hash_table_insert(cache->by_conductor, entry->conductor, entry);
      resolve_ends(cache, document, entry);
    } else if (devices_changed && ends_are_stale(entry)) {
      changed = true;
      forget_route(cache, entry);
      resolve_ends(cache, document, entry);
    } else if (entry->owner.order < latest) {
      forget_route(cache, entry); /* overtaken: routes and labels go in document order */
    } else {
      latest = entry->owner.order;
    }
    entry->owner.order = i;
    entry->owner.stamp = cache->stamp;
    g_ptr_array_add(next, entry);
  }
  for (guint i = 0; i < cache->conductors->len; i++) {
    ConductorEntry *entry = g_ptr_array_index(cache->conductors, i);
    if (entry->owner.stamp == cache->stamp)
      continue;
    forget_route(cache, entry);
    g_hash_table_remove(cache->by_conductor, entry->conductor);
    conductor_entry_free(entry);
  }
  g_ptr_array_unref(cache->conductors);
  cache->conductors = next;
  return changed;
}

/* Given routes first, then short ones: what has little choice comes before what has much. */
static int
compare_rank(gconstpointer a, gconstpointer b)
{
  const ConductorEntry *left = *(ConductorEntry *const *)a, *right = *(ConductorEntry *const *)b;
  bool left_free = left->conductor->via->len == 0, right_free = right->conductor->via->len == 0;
  if (left_free != right_free)
    return left_free - right_free;
  if (left->distance < right->distance || left->distance > right->distance)
    return left->distance < right->distance ? -1 : 1;
  return left->owner.order < right->owner.order ? -1 : left->owner.order > right->owner.order;
}

static void
sort_by_rank(FigureCache *cache)
{
  g_ptr_array_set_size(cache->in_rank, 0);
  for (guint i = 0; i < cache->conductors->len; i++)
    g_ptr_array_add(cache->in_rank, g_ptr_array_index(cache->conductors, i));
  g_ptr_array_sort(cache->in_rank, compare_rank);
  for (guint i = 0; i < cache->in_rank->len; i++)
    ((ConductorEntry *)g_ptr_array_index(cache->in_rank, i))->owner.rank = i + 1;
}

/* Which terminals conductors end on; where that has changed labels have to be looked at again. */
static void
find_landed(FigureCache *cache)
{
  for (guint i = 0; i < cache->conductors->len; i++) {
    const ConductorEntry *entry = g_ptr_array_index(cache->conductors, i);
    for (guint k = 0; k < 2; k++)
      if (entry->ends[k] != NULL)
        entry->ends[k]->landed[entry->terminals[k]] |= LANDED_SEEN;
  }
  for (guint i = 0; i < cache->devices->len; i++) {
    DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    for (guint k = 0; k < entry->n_terminals; k++) {
      guint8 now = entry->landed[k] & LANDED_SEEN ? LANDED : 0;
      if (now != (entry->landed[k] & LANDED))
        figure_cache_touch(cache, entry->symbol, TOUCH_LABELS);
      entry->landed[k] = now;
    }
  }
}

void
figure_cache_update(FigureCache *cache, const Document *document)
{
  cache->covered = sheet_is_exercise(document_sheet(document));
  cache->stamp++;
  bool devices_changed = sync_devices(cache, document);
  bool conductors_changed = sync_conductors(cache, document, devices_changed);
  if (!devices_changed && !conductors_changed)
    return;
  if (conductors_changed)
    sort_by_rank(cache);
  find_landed(cache);
  figure_cache_find_routes(cache);
  figure_cache_place_labels(cache);
  g_array_set_size(cache->dirty, 0);
  cache->dirty_bounds = rect_empty();
  cache->all_dirty = false;
}

static void
cache_free(gpointer data)
{
  figure_cache_free(data);
}

FigureCache *
figure_cache_of_thread(const Document *document)
{
  static GPrivate caches = G_PRIVATE_INIT(cache_free);
  FigureCache *cache = g_private_get(&caches);
  if (cache == NULL) {
    cache = figure_cache_new();
    g_private_set(&caches, cache);
  }
  figure_cache_update(cache, document);
  return cache;
}
