/* SPDX-License-Identifier: MIT */
#include "figure/figure_room.h"

#include <math.h>
#include <string.h>

#define HOP_MARGIN_MM 1.0 /* a label keeps this far from hops, which rise upwards */
#define COST_BOX 4000
#define COST_LABEL 5000
/* Text may break an enclosure's chain line sooner than cover a conductor. */
#define COST_OUTLINE 600

void
room_clear(Room *room)
{
  g_array_unref(room->boxes);
  g_array_unref(room->lines);
  g_array_unref(room->labels);
}

static bool
same_box(const Rect *a, const Rect *b)
{
  return memcmp(a, b, sizeof(Rect)) == 0;
}

static LabelKind
kind_of(const FigureNear *entry)
{
  const FigureOwner *owner = entry->item;
  const ConductorEntry *conductor = entry->item;
  const DeviceEntry *device = entry->item;
  if (owner->is_conductor)
    return same_box(&conductor->number.box, &entry->box) ? LABEL_NUMBER : LABEL_POTENTIAL;
  return same_box(&device->label.box, &entry->box) ? LABEL_DEVICE : LABEL_OPEN;
}

/* Whether the label in an index entry was placed before the one in hand. A device's open terminals
 * are placed together, after their old places have left the index. */
static bool
is_earlier(const FigureNear *entry, LabelKind kind, guint order)
{
  const FigureOwner *owner = entry->item;
  LabelKind other = kind_of(entry);
  return other < kind ||
         (other == kind && (kind == LABEL_OPEN ? owner->order <= order : owner->order < order));
}

static void
collect(const FigureIndex *index, Rect window, double margin, GArray *out)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  figure_index_query(index, window, near);
  for (guint i = 0; i < near->len; i++) {
    const FigureNear *entry = &g_array_index(near, FigureNear, i);
    RoomThing item = {rect_grow(entry->box, margin), entry->item};
    g_array_append_val(out, item);
  }
}

Room
room_look(const FigureCache *cache, Rect window, LabelKind kind, guint order)
{
  Room room = {g_array_new(FALSE, FALSE, sizeof(RoomThing)),
               g_array_new(FALSE, FALSE, sizeof(RoomThing)),
               g_array_new(FALSE, FALSE, sizeof(RoomThing))};
  /* Obstacles have grown for routing; a label may come as close as its own gap. */
  collect(cache->boxes, rect_grow(window, ROUTE_CLEARANCE), 0.3 - ROUTE_CLEARANCE, room.boxes);
  collect(cache->lines, rect_grow(window, HOP_MARGIN_MM), LINE_MARGIN_MM - 0.1, room.lines);
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  figure_index_query(cache->labels, window, near);
  for (guint i = 0; i < near->len; i++) {
    const FigureNear *entry = &g_array_index(near, FigureNear, i);
    RoomThing item = {rect_grow(entry->box, 0.3), entry->item};
    if (is_earlier(entry, kind, order))
      g_array_append_val(room.labels, item);
  }
  return room;
}

static gint64
overlap_cost(Rect a, Rect b, gint64 cost)
{
  double across = MIN(a.x + a.width, b.x + b.width) - MAX(a.x, b.x);
  double down = MIN(a.y + a.height, b.y + b.height) - MAX(a.y, b.y);
  if (across <= 1e-6 || down <= 1e-6)
    return 0;
  return cost + llround(MIN(across * down, 1e6) * 50);
}

gint64
room_cost(const Room *room, Rect box, const void *on, gint64 over, gint64 limit)
{
  gint64 cost = 0;
  const RoomThing *things = (const RoomThing *)(gpointer)room->labels->data;
  for (guint i = 0; i < room->labels->len && cost < limit; i++)
    cost += overlap_cost(box, things[i].box, COST_LABEL);
  things = (const RoomThing *)(gpointer)room->boxes->data;
  for (guint i = 0; i < room->boxes->len && cost < limit; i++)
    cost += overlap_cost(box, things[i].box, COST_BOX);
  things = (const RoomThing *)(gpointer)room->lines->data;
  for (guint i = 0; i < room->lines->len && cost < limit; i++) {
    if (things[i].owner == on)
      continue;
    /* A patch on the line must not cut into a hop beside it. */
    Rect taken = on != NULL ? rect_grow(things[i].box, HOP_RADIUS_MM + 0.3) : things[i].box;
    const FigureOwner *owner = things[i].owner;
    cost += overlap_cost(box, taken, owner->is_conductor ? over : MIN(over, COST_OUTLINE));
  }
  return cost;
}

bool
room_breaks_outline(const Room *room, Rect box)
{
  bool breaks = false;
  for (guint i = 0; i < room->lines->len; i++) {
    const RoomThing *line = &g_array_index(room->lines, RoomThing, i);
    const FigureOwner *owner = line->owner;
    if (!rect_intersects(line->box, box))
      continue;
    if (owner->is_conductor)
      return false;
    breaks = true;
  }
  return breaks;
}

void
room_consider(RoomChoice *choice, FigurePlace place, gint64 preference, const void *on)
{
  if (preference >= choice->cost)
    return;
  gint64 limit = choice->cost - preference;
  gint64 cost = preference + room_cost(choice->room, place.box, on, COST_LINE, limit);
  if (cost < choice->cost) {
    choice->cost = cost;
    choice->best = place;
  }
}
