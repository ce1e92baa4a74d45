/* SPDX-License-Identifier: MIT */
/* The room round a label: what is there already, and what a place there would cost. Costs are whole
 * numbers, so that they do not depend on the order of neighbours. */
#pragma once

#include "figure/figure_private.h"

G_BEGIN_DECLS

#define LINE_MARGIN_MM 0.5 /* a label keeps this far from conductors */
#define COST_LINE 3000     /* over a conductor */
#define COST_LEADER 250    /* of a leader over one: better than a conductor through letters */

/* In the order in which they are placed. */
typedef enum { LABEL_DEVICE, LABEL_NUMBER, LABEL_OPEN, LABEL_POTENTIAL } LabelKind;

typedef struct {
  Rect box;
  const void *owner;
} RoomThing;

typedef struct {
  GArray *boxes, *lines, *labels; /* of RoomThing */
} Room;

/* What lies in the window. Of labels those count that were placed before the one of this kind and
 * order. */
Room room_look(const FigureCache *cache, Rect window, LabelKind kind, guint order);
void room_clear(Room *room);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Room, room_clear)

/* on: the conductor the label lies on with a backing, NULL for none. over: cost of another one. What
 * costs limit or more may be told as anything from limit on: it has lost. */
gint64 room_cost(const Room *room, Rect box, const void *on, gint64 over, gint64 limit);
/* Whether a label stands in the line of an enclosure and on no conductor: paper below it breaks the
 * line, as a drafter would. */
bool room_breaks_outline(const Room *room, Rect box);

/* The cheapest place so far. */
typedef struct {
  const Room *room;
  FigurePlace best;
  gint64 cost;
} RoomChoice;
void room_consider(RoomChoice *choice, FigurePlace place, gint64 preference, const void *on);

G_END_DECLS
