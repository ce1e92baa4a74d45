/* SPDX-License-Identifier: MIT */
/* What the figure's own files share; nobody else includes it. */
#pragma once

#include "figure/figure_cache.h"
#include "figure/figure_index.h"
#include "figure/route.h"

G_BEGIN_DECLS

/* Letters are as high as the sheet demands of what is printed (pen.h): at 1:1 the canvas is the
 * sheet. Only the volts of live parts, which no sheet prints, are lower. */
#define LABEL_LETTER_MM PEN_LETTER_MM
#define LABEL_POTENTIAL_MM 2.0
#define LABEL_LINE 1.65      /* from baseline to baseline, letter heights */
#define LABEL_WIDEST_MM 30.0 /* designations and nameplate lines are wrapped here */
#define HOP_RADIUS_MM 1.0
#define LIVE_MARK_MM 2.2 /* room for the bolt before the volts */

#define TOUCH_ALL 0            /* every rank is higher */
#define TOUCH_LABELS G_MAXUINT /* none is */
#define LANDED 1
#define LANDED_SEEN 2 /* while an update counts */

/* A label's place. Empty box: there is none. */
typedef struct {
  Rect box;
  TextAlign align;
  int turns;       /* 0, or 3 along an upright conductor */
  bool backing;    /* lies on its own conductor, on a patch of paper */
  bool mark_only;  /* of potentials: room for the live mark, none for the volts */
  bool is_patched; /* paper below it: it lies, or may lie, across the line of an outline */
  double height;   /* of a wire number, mm */
  bool leads;      /* stands apart from its conductor: a thin line from... */
  Point foot;      /* ...there to the box says whose it is */
  bool is_far;     /* it was looked for further away than usual */
} FigurePlace;

/* A place where something has changed; see figure_cache_touch. */
typedef struct {
  Rect box;
  guint rank;
} FigureTouch;

/* Common start of both entries, so that an index can hold either. */
typedef struct {
  bool is_conductor;
  guint stamp; /* update that last saw it in the document */
  guint order; /* position in the document */
  guint rank;  /* routes are found in this order; 0 for edges of outlines */
} FigureOwner;

typedef struct {
  FigureOwner owner;
  Device *device; /* a reference */
  int references;
  bool is_dead;    /* no longer in the document */
  bool is_outline; /* groups devices: no obstacle, its edges are lines */
  Rect symbol;
  Rect obstacle; /* symbol grown by ROUTE_CLEARANCE; empty for outlines */
  char **lines;  /* label: designation, then the nameplate line, wrapped; NULL-terminated */
  guint bold;    /* lines of the designation, which come first */
  Rect size;     /* of the label, at 0, 0 */
  FigurePlace label;
  guint n_terminals;
  guint8 *landed;    /* by terminal: LANDED when a conductor ends there */
  FigurePlace *open; /* by terminal: the live mark of one where none does */
} DeviceEntry;

typedef struct {
  FigureOwner owner;
  Conductor *conductor; /* a reference */
  DeviceEntry *ends[2]; /* references; NULL: dangling, not drawn */
  guint terminals[2];
  double distance;
  guint rank_before; /* by which the route was last looked at */
  GArray *route;     /* of Point; NULL until found */
  Rect window;       /* what lies in it decided the route */
  Rect bounds;       /* of the route */
  FigurePlace number, potential;
} ConductorEntry;

struct FigureCache {
  GPtrArray *devices, *conductors; /* entries in document order */
  GHashTable *by_device, *by_conductor;
  FigureIndex *boxes;    /* obstacles; DeviceEntry */
  FigureIndex *outlines; /* symbols of outlines; DeviceEntry */
  FigureIndex *lines;    /* stretches of routes and edges of outlines; FigureOwner */
  FigureIndex *labels;   /* FigureOwner; of devices, numbers, potentials, open terminals */
  GPtrArray *in_rank;    /* conductor entries in the order of routing */
  GArray *dirty;         /* of FigureTouch: where this update has changed something */
  Rect dirty_bounds;     /* round all of them */
  bool all_dirty;
  bool covered; /* an exercise: nothing is placed by what a fuse is inside */
  guint stamp;
};

/* The calling thread's cache, up to date with document. */
FigureCache *figure_cache_of_thread(const Document *document);
const DeviceEntry *figure_cache_find_device(const FigureCache *cache, const Device *device);
const ConductorEntry *figure_cache_find_conductor(const FigureCache *cache,
                                                  const Conductor *conductor);
/* Something changed there that matters to labels, and to routes of higher rank before this update
 * than the one given. */
void figure_cache_touch(FigureCache *cache, Rect box, guint rank);
/* For a route of that rank before this update, or TOUCH_LABELS. */
bool figure_cache_is_touched(const FigureCache *cache, Rect window, guint rank);

/* figure_routes.c: finds again every route that what was touched can have changed. */
void figure_cache_find_routes(FigureCache *cache);
/* Lets go of one, so that it is found again. */
void figure_cache_drop_route(FigureCache *cache, ConductorEntry *entry);
/* figure_label.c: the same for labels; afterwards nothing is left to do. */
void figure_cache_place_labels(FigureCache *cache);
/* figure.c: the symbol's bounds, by drawing it into a record; lettering (nullable) gets the bounds
 * of its texts alone. */
Rect figure_measure_symbol(const Device *device, Rect *lettering);
/* figure.c: a fuse with its element whole, new; NULL for what does not open inside. */
Device *figure_dup_whole(const Device *device);
/* The label's text; see DeviceEntry. */
char **figure_label_lines(const Device *device, guint *bold);
Rect figure_label_size(char **lines, guint bold); /* at 0, 0 */

bool figure_is_field_wiring(const Conductor *conductor);
/* A corner-to-corner stretch as a box a little thicker than nothing. */
Rect figure_stretch_box(Point a, Point b);

G_END_DECLS
