/* SPDX-License-Identifier: MIT */
#include "figure/figure_private.h"

#include <string.h>

/* Growing a box for the cost of passing close reaches a step beyond the window. */
#define INFLUENCE_MM (GRID_STEP_MM + 0.5)

static void
gather(const FigureCache *cache, Rect window, guint rank, GArray *boxes, GArray *lines)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  Rect wide = rect_grow(window, INFLUENCE_MM);
  figure_index_query(cache->boxes, wide, near);
  for (guint i = 0; i < near->len; i++)
    g_array_append_val(boxes, g_array_index(near, FigureNear, i).box);
  g_array_set_size(near, 0);
  figure_index_query(cache->lines, wide, near);
  for (guint i = 0; i < near->len; i++) {
    const FigureNear *entry = &g_array_index(near, FigureNear, i);
    const FigureOwner *owner = entry->item;
    if (owner->is_conductor && owner->rank >= rank)
      continue;                           /* routes found later make way for this one */
    Rect r = rect_grow(entry->box, -0.1); /* back to the stretch itself */
    RouteLine line = {{r.x, r.y}, {r.x + r.width, r.y + r.height}};
    g_array_append_val(lines, line);
  }
}

/* A free end that lies in a box (a rubber band over a device) is let out of it. */
static void
open_boxes(GArray *boxes, const RouteEnd *end)
{
  if (end->side >= 0)
    return;
  for (guint i = boxes->len; i > 0; i--)
    if (rect_contains(g_array_index(boxes, Rect, i - 1), end->at))
      g_array_remove_index_fast(boxes, i - 1);
}

static GArray *
find(const FigureCache *cache, const RouteEnd *from, const RouteEnd *to, guint rank, Rect *decided)
{
  static const double margins[] = {ROUTE_MARGIN, 4 * ROUTE_MARGIN};
  GArray *route = NULL;
  RouteSeen seen = {.box = rect_empty()};
  for (guint i = 0; i < G_N_ELEMENTS(margins) && route == NULL && !seen.is_shut_in; i++) {
    Rect window = route_window(from, to, margins[i]);
    g_autoptr(GArray) boxes = g_array_new(FALSE, FALSE, sizeof(Rect));
    g_autoptr(GArray) lines = g_array_new(FALSE, FALSE, sizeof(RouteLine));
    gather(cache, window, rank, boxes, lines);
    open_boxes(boxes, from);
    open_boxes(boxes, to);
    RouteTask task = {.from = *from,
                      .to = *to,
                      .boxes = (const Rect *)(gpointer)boxes->data,
                      .n_boxes = boxes->len,
                      .lines = (const RouteLine *)(gpointer)lines->data,
                      .n_lines = lines->len};
    route = route_find(&task, window, &seen);
  }
  *decided = rect_is_empty(seen.box) ? seen.box : rect_grow(seen.box, INFLUENCE_MM);
  return route != NULL ? route : route_plain(from, to);
}

/* A splice is a point in the middle of its symbol: conductors come to it from where they like. */
static RouteEnd
end_of(const ConductorEntry *entry, guint which)
{
  const DeviceEntry *device = entry->ends[which];
  guint terminal = entry->terminals[which];
  bool any = device->device->kind->role == ROLE_SPLICE;
  return (RouteEnd){.at = device_terminal_point(device->device, terminal),
                    .side = any ? -1 : device_terminal_side(device->device, terminal),
                    .own = any ? rect_empty() : device->obstacle};
}

static Rect
bounds_of(const GArray *route)
{
  Rect bounds = rect_empty();
  for (guint i = 0; i < route->len; i++)
    bounds = rect_include(bounds, g_array_index(route, Point, i));
  return rect_grow(bounds, HOP_RADIUS_MM + 0.1);
}

static bool
same_route(const GArray *a, const GArray *b)
{
  return a != NULL && b != NULL && a->len == b->len &&
         memcmp(a->data, b->data, a->len * sizeof(Point)) == 0;
}

static bool
has_stretch(const GArray *route, Rect box)
{
  for (guint i = 1; route != NULL && i < route->len; i++) {
    Rect own =
        figure_stretch_box(g_array_index(route, Point, i - 1), g_array_index(route, Point, i));
    if (memcmp(&own, &box, sizeof box) == 0)
      return true;
  }
  return false;
}

/* Takes a route's stretches into the index or out of it. What the other route has as well stays
 * where it is, and is nothing new to anybody. */
static void
index_stretches(FigureCache *cache, ConductorEntry *entry, const GArray *route, const GArray *other,
                guint rank, bool add)
{
  for (guint i = 1; route != NULL && i < route->len; i++) {
    Rect box =
        figure_stretch_box(g_array_index(route, Point, i - 1), g_array_index(route, Point, i));
    (add ? figure_index_add : figure_index_remove)(cache->lines, entry, box);
    if (!has_stretch(other, box))
      figure_cache_touch(cache, rect_grow(box, HOP_RADIUS_MM), rank);
  }
}

static void
put_route(FigureCache *cache, ConductorEntry *entry, GArray *take_route)
{
  if (same_route(entry->route, take_route)) {
    g_array_unref(take_route);
    return;
  }
  index_stretches(cache, entry, entry->route, take_route, TOUCH_ALL, false);
  index_stretches(cache, entry, take_route, entry->route, TOUCH_ALL, true);
  g_clear_pointer(&entry->route, g_array_unref);
  entry->route = take_route;
  entry->bounds = bounds_of(take_route);
}

void
figure_cache_drop_route(FigureCache *cache, ConductorEntry *entry)
{
  index_stretches(cache, entry, entry->route, NULL, entry->owner.rank, false);
  g_clear_pointer(&entry->route, g_array_unref);
  entry->bounds = rect_empty();
}

/* Whether something has changed that its route was found by. */
static bool
is_stale(const FigureCache *cache, const ConductorEntry *entry)
{
  return figure_cache_is_touched(cache, entry->window, entry->rank_before);
}

void
figure_cache_find_routes(FigureCache *cache)
{
  for (guint i = 0; i < cache->in_rank->len; i++) {
    ConductorEntry *entry = g_ptr_array_index(cache->in_rank, i);
    if (entry->ends[0] == NULL || entry->ends[1] == NULL)
      continue;
    const GArray *via = entry->conductor->via;
    bool keep = entry->route != NULL && (via->len > 0 || !is_stale(cache, entry));
    entry->rank_before = entry->owner.rank;
    if (keep)
      continue;
    RouteEnd from = end_of(entry, 0), to = end_of(entry, 1);
    GArray *route = via->len > 0
                        ? route_through(&from, &to, (const Point *)(gpointer)via->data, via->len)
                        : find(cache, &from, &to, entry->owner.rank, &entry->window);
    put_route(cache, entry, route);
  }
}

/* The box a free point belongs to, so that a band leaves the device it starts on. */
static Rect
box_at(const FigureCache *cache, Point at)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  figure_index_query(cache->boxes, (Rect){at.x, at.y, 0, 0}, near);
  return near->len > 0 ? g_array_index(near, FigureNear, 0).box : rect_empty();
}

GArray *
figure_cache_route_points(const FigureCache *cache, Point from, int from_side, Point to,
                          int to_side)
{
  RouteEnd ends[2] = {
      {.at = from, .side = from_side, .own = from_side < 0 ? rect_empty() : box_at(cache, from)},
      {.at = to, .side = to_side, .own = to_side < 0 ? rect_empty() : box_at(cache, to)},
  };
  Rect window;
  return find(cache, &ends[0], &ends[1], G_MAXUINT, &window);
}
