/* SPDX-License-Identifier: MIT */
/* Places for labels: each tries a list of places in order of preference and takes the one that
 * costs least. Devices come first, then wire numbers, then live marks of open terminals (nothing
 * else tells of them), then those of conductors, each in document order: a label makes way for the
 * ones before it only. */
#include "figure/figure_room.h"

#include <math.h>
#include <string.h>

#define GAP_MM 0.9              /* between a label and what it stands beside */
#define REACH_MM 11.0           /* how far from its device a label may get */
#define FAR_MM 26.0             /* the same of a number that stands apart from its conductor */
#define POTENTIAL_TEXT "88.8 V" /* room is kept for the widest usual text */

static bool
same_box(const Rect *a, const Rect *b)
{
  return memcmp(a, b, sizeof(Rect)) == 0;
}

/* --- devices --- */

/* The side a device's conductors leave least: its label goes there first. */
static bool
is_level(const DeviceEntry *entry)
{
  guint level = 0, upright = 0;
  for (guint i = 0; i < device_terminal_count(entry->device); i++)
    *(device_terminal_side(entry->device, i) & 1 ? &upright : &level) += 1;
  return level >= upright;
}

/* side 0..3 of the symbol, slot -1 start, 0 middle, 1 end along that side. */
static FigurePlace
beside(Rect symbol, Rect size, int side, int slot, double gap)
{
  double w = size.width, h = size.height;
  double x = symbol.x + (symbol.width - w) * (slot + 1) / 2;
  double y = symbol.y + (symbol.height - h) * (slot + 1) / 2;
  switch (side) {
  case 0:
    return (FigurePlace){{symbol.x + symbol.width + gap, y, w, h}, TEXT_START, 0, false};
  case 1:
    y = symbol.y + symbol.height + gap;
    break;
  case 2:
    return (FigurePlace){{symbol.x - gap - w, y, w, h}, TEXT_END, 0, false};
  default:
    y = symbol.y - gap - h;
    break;
  }
  TextAlign align = slot < 0 ? TEXT_START : slot > 0 ? TEXT_END : TEXT_MIDDLE;
  return (FigurePlace){{x, y, w, h}, align, 0, false};
}

static void
consider_sides(RoomChoice *choice, const DeviceEntry *entry, Rect size)
{
  static const int order[2][4] = {{0, 2, 3, 1}, {3, 1, 0, 2}};
  static const int slots[] = {0, -1, 1, -2, 2}; /* the last ones reach beyond the symbol */
  static const double gaps[] = {GAP_MM, 3.0, 5.5, 8.0, 10.5};
  const int *sides = order[is_level(entry)];
  for (guint g = 0; g < G_N_ELEMENTS(gaps); g++)
    for (guint s = 0; s < 4; s++)
      for (guint k = 0; k < G_N_ELEMENTS(slots); k++)
        room_consider(choice, beside(entry->symbol, size, sides[s], slots[k], gaps[g]),
                      (gint64)g * 300 + s * 60 + k * 20, NULL);
}

/* Where something is in the way everywhere, the label moves along its side in small steps. */
static void
consider_shifted(RoomChoice *choice, const DeviceEntry *entry, Rect size)
{
  static const double gaps[] = {GAP_MM, 3.0, 5.5, 8.0, 10.5};
  for (guint g = 0; g < G_N_ELEMENTS(gaps); g++)
    for (int side = 0; side < 4; side++) {
      const FigurePlace middle = beside(entry->symbol, size, side, 0, gaps[g]);
      const double most =
          (side & 1 ? entry->symbol.width + size.width : entry->symbol.height + size.height) / 2 +
          GRID_STEP_MM;
      for (int k = 1; k * GRID_STEP_MM / 2 <= MIN(most, 2 * REACH_MM); k++)
        for (int way = -1; way <= 1; way += 2) {
          FigurePlace place = middle;
          *(side & 1 ? &place.box.x : &place.box.y) += way * k * GRID_STEP_MM / 2;
          room_consider(choice, place, 700 + (gint64)g * 300 + k * 15, NULL);
        }
    }
}

/* An outline's label stands inside a corner. */
static void
consider_corners(RoomChoice *choice, const DeviceEntry *entry, Rect size)
{
  Rect inside = rect_grow(entry->symbol, -(GAP_MM + 0.6));
  double right = inside.x + inside.width - size.width;
  double bottom = inside.y + inside.height - size.height;
  const Point corners[] = {
      {inside.x, inside.y}, {right, inside.y}, {inside.x, bottom}, {right, bottom}};
  for (guint i = 0; i < G_N_ELEMENTS(corners); i++)
    room_consider(choice,
                  (FigurePlace){{corners[i].x, corners[i].y, size.width, size.height},
                                i & 1 ? TEXT_END : TEXT_START,
                                0,
                                false},
                  (gint64)i * 20, NULL);
  for (int side = 3; side > 0; side -= 2)
    for (int slot = -1; slot <= 1; slot++)
      room_consider(choice, beside(entry->symbol, size, side, slot, GAP_MM), 200 + slot, NULL);
}

static FigurePlace
place_device(const FigureCache *cache, const DeviceEntry *entry, Rect window)
{
  Rect size = entry->size;
  if (rect_is_empty(size) || rect_is_empty(entry->symbol))
    return (FigurePlace){.box = rect_empty()};
  g_auto(Room) room = room_look(cache, window, LABEL_DEVICE, entry->owner.order);
  RoomChoice choice = {.room = &room, .cost = G_MAXINT64, .best.box = rect_empty()};
  if (entry->is_outline)
    consider_corners(&choice, entry, size);
  else
    consider_sides(&choice, entry, size);
  if (!entry->is_outline && choice.cost >= COST_LINE)
    consider_shifted(&choice, entry, size);
  choice.best.is_patched = !entry->is_outline && room_breaks_outline(&room, choice.best.box);
  return choice.best;
}

/* --- conductors --- */

typedef struct {
  Point a, b;
  double length;
  bool level;
  guint place; /* preference: 0 is the longest */
} Stretch;

static int
compare_stretches(gconstpointer a, gconstpointer b)
{
  const Stretch *left = a, *right = b;
  /* Level ones read better: they count for a third more. */
  double one = left->length * (left->level ? 1.35 : 1);
  double two = right->length * (right->level ? 1.35 : 1);
  if (one < two || one > two)
    return one > two ? -1 : 1;
  return left->place < right->place ? -1 : left->place > right->place;
}

static GArray *
stretches_of(const GArray *route)
{
  GArray *stretches = g_array_new(FALSE, FALSE, sizeof(Stretch));
  for (guint i = 1; i < route->len; i++) {
    Stretch s = {
        .a = g_array_index(route, Point, i - 1), .b = g_array_index(route, Point, i), .place = i};
    s.length = point_distance(s.a, s.b);
    s.level = fabs(s.a.y - s.b.y) < fabs(s.a.x - s.b.x);
    g_array_append_val(stretches, s);
  }
  g_array_sort(stretches, compare_stretches);
  return stretches;
}

/* A box round or beside the point at fraction t; shift: distance of its middle from the line,
 * upwards or to the left. */
static FigurePlace
along(const Stretch *s, double t, double width, double height, double shift, bool backing)
{
  Point p = {s->a.x + (s->b.x - s->a.x) * t, s->a.y + (s->b.y - s->a.y) * t};
  double w = s->level ? width : height, h = s->level ? height : width;
  if (s->level)
    p.y -= shift;
  else
    p.x -= shift;
  return (FigurePlace){{p.x - w / 2, p.y - h / 2, w, h}, TEXT_MIDDLE, s->level ? 0 : 3, backing};
}

/* Numbers lie on the line with a patch of paper if they can, potentials beside it. Candidates start
 * in the middle of a stretch and step outwards, both ways by turns. */
static void
consider_stretch(RoomChoice *choice, const ConductorEntry *entry, const Stretch *s, LabelKind kind,
                 Rect size, gint64 preference)
{
  /* On both sides of the patch enough has to remain to see whether the line is dashed. */
  double least = figure_is_field_wiring(entry->conductor) ? 5.0 : 1.5;
  double shift = size.height / 2 + LINE_MARGIN_MM + 0.05;
  /* Without a patch a number needs no margin of its own: lines keep theirs. */
  double bare = kind == LABEL_NUMBER ? size.width - 1.0 : size.width;
  const gint64 on_line = kind == LABEL_NUMBER ? 0 : 900, beside_line = 400 - on_line / 3;
  const double step = CLAMP(s->length / 48, 0.25, GRID_STEP_MM);
  for (int k = 0; k < 49; k++) {
    double t = 0.5 + (k & 1 ? 1 : -1) * ((k + 1) / 2) * step / MAX(s->length, 1e-3);
    if (t < 0 || t > 1)
      break;
    double room = MIN(t, 1 - t) * s->length - size.width / 2;
    gint64 here = preference + llround(k * step * 3.2);
    if (room >= 1.2)
      room_consider(choice, along(s, t, size.width, size.height, 0, true),
                    here + on_line + (room < least ? 600 : 0), entry);
    here += beside_line + (room < 0 ? 200 : 0); /* longer than its stretch */
    room_consider(choice, along(s, t, bare, size.height, shift, false), here, NULL);
    room_consider(choice, along(s, t, bare, size.height, -shift, false), here + 7, NULL);
  }
}

/* What the thin line from a conductor to a number that stands apart from it would cross. From limit
 * on the sum does not matter any more. */
static gint64
leader_cost(const Room *room, const FigurePlace *place, const void *on, gint64 limit)
{
  enum { PIECES = 6 };
  const Rect box = place->box;
  const Point foot = place->foot;
  const Point end = {CLAMP(foot.x, box.x, box.x + box.width),
                     CLAMP(foot.y, box.y, box.y + box.height)};
  gint64 cost = 0;
  for (int i = 0; i < PIECES && cost < limit; i++) {
    Point a = {foot.x + (end.x - foot.x) * i / PIECES, foot.y + (end.y - foot.y) * i / PIECES};
    Point b = {foot.x + (end.x - foot.x) * (i + 1) / PIECES,
               foot.y + (end.y - foot.y) * (i + 1) / PIECES};
    const Rect piece = rect_grow(rect_include((Rect){a.x, a.y, 0, 0}, b), 0.05);
    cost += room_cost(room, piece, on, COST_LEADER, limit - cost);
  }
  return cost;
}

/* The letters first: most places are lost by them, and then the leader need not be looked at. */
static void
consider_leader(RoomChoice *choice, const ConductorEntry *entry, Point foot, Point middle,
                Rect size, gint64 preference)
{
  const double width = size.width - 1.0; /* bare: see consider_stretch */
  FigurePlace place = {
      .box = {middle.x - width / 2, middle.y - size.height / 2, width, size.height},
      .align = TEXT_MIDDLE,
      .leads = true,
      .foot = foot};
  const gint64 limit = choice->cost - preference;
  if (limit <= 0)
    return;
  const gint64 letters = room_cost(choice->room, place.box, NULL, COST_LINE, limit);
  if (letters < limit)
    room_consider(choice, place,
                  preference + leader_cost(choice->room, &place, entry, limit - letters), NULL);
}

/* Where a number fits neither on its conductor nor beside it, it stands further away with a leader
 * (a drafter's way out), straight across or aslant. */
static void
consider_apart(RoomChoice *choice, const ConductorEntry *entry, const Stretch *s, Rect size,
               gint64 preference)
{
  static const double away[] = {2.5, 4.5, 6.5, 9.0, 12.0};
  static const double aslant[] = {0, 4.0, -4.0, 8.0, -8.0};
  const double step = CLAMP(s->length / 16, 0.25, GRID_STEP_MM);
  for (guint a = 0; a < G_N_ELEMENTS(away); a++)
    for (guint l = 0; l < G_N_ELEMENTS(aslant); l++)
      for (int k = 0; k < 17; k++) {
        double t = 0.5 + (k & 1 ? 1 : -1) * ((k + 1) / 2) * step / MAX(s->length, 1e-3);
        Point foot = {s->a.x + (s->b.x - s->a.x) * t, s->a.y + (s->b.y - s->a.y) * t};
        for (int side = -1; side <= 1 && t > 0.05 && t < 0.95; side += 2) {
          double shift = side * (away[a] + (s->level ? size.height : size.width) / 2);
          Point middle = {foot.x + (s->level ? aslant[l] : shift),
                          foot.y + (s->level ? shift : aslant[l])};
          consider_leader(choice, entry, foot, middle, size,
                          preference + 900 + (gint64)a * 60 + (gint64)l * 30 + k * 8);
        }
      }
}

static FigurePlace
place_along(const Room *room, const ConductorEntry *entry, LabelKind kind, Rect size, gint64 *cost)
{
  RoomChoice choice = {.room = room, .cost = G_MAXINT64, .best.box = rect_empty()};
  g_autoptr(GArray) stretches = stretches_of(entry->route);
  for (guint i = 0; i < stretches->len && i < 8; i++)
    consider_stretch(&choice, entry, &g_array_index(stretches, Stretch, i), kind, size,
                     (gint64)i * 120);
  *cost = choice.cost;
  return choice.best;
}

/* Further away, with a leader; the better one of that and the place there is. */
static FigurePlace
place_apart(const FigureCache *cache, const ConductorEntry *entry, Rect size, FigurePlace place,
            gint64 cost)
{
  g_auto(Room) room =
      room_look(cache, rect_grow(entry->bounds, FAR_MM), LABEL_NUMBER, entry->owner.order);
  RoomChoice choice = {.room = &room, .cost = cost, .best = place};
  g_autoptr(GArray) stretches = stretches_of(entry->route);
  for (guint i = 0; i < stretches->len && i < 8; i++)
    consider_apart(&choice, entry, &g_array_index(stretches, Stretch, i), size, (gint64)i * 120);
  choice.best.is_far = true;
  return choice.best;
}

static FigurePlace
place_number(const FigureCache *cache, const ConductorEntry *entry, Rect window)
{
  const char *number = conductor_text(entry->conductor, CONDUCTOR_NUMBER);
  TextStyle style = {.height = LABEL_LETTER_MM};
  gint64 cost;
  if (*number == '\0')
    return (FigurePlace){.box = rect_empty()};
  g_auto(Room) room = room_look(cache, window, LABEL_NUMBER, entry->owner.order);
  Rect size = {0, 0, pen_text_width(number, &style) + 1.2, LABEL_LETTER_MM + 1.0};
  FigurePlace place = place_along(&room, entry, LABEL_NUMBER, size, &cost);
  if (cost >= COST_LINE)
    place = place_apart(cache, entry, size, place, cost);
  else
    place.is_patched = !place.backing && room_breaks_outline(&room, place.box);
  place.height = style.height;
  return place;
}

/* Where volts would cover something, the live mark stands alone: the number can be read at the
 * conductor's other parts or in the readings. */
static FigurePlace
place_potential(const FigureCache *cache, const ConductorEntry *entry, Rect window)
{
  TextStyle style = {.height = LABEL_POTENTIAL_MM};
  gint64 cost;
  Rect size = {0, 0, pen_text_width(POTENTIAL_TEXT, &style) + LIVE_MARK_MM,
               LABEL_POTENTIAL_MM + 0.4};
  g_auto(Room) room = room_look(cache, window, LABEL_POTENTIAL, entry->owner.order);
  FigurePlace place = place_along(&room, entry, LABEL_POTENTIAL, size, &cost);
  place.is_patched = true;
  if (cost < COST_LINE)
    return place;
  size = (Rect){0, 0, LIVE_MARK_MM, LABEL_POTENTIAL_MM + 0.4};
  place = place_along(&room, entry, LABEL_POTENTIAL, size, &cost);
  place.mark_only = true;
  return place;
}

/* Outwards from the terminal, to its sides, further out; then the mark alone, close by. */
static FigurePlace
place_open(const FigureCache *cache, const DeviceEntry *entry, guint terminal, Rect window)
{
  static const Point out[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  TextStyle style = {.height = LABEL_POTENTIAL_MM};
  double height = LABEL_POTENTIAL_MM + 0.4;
  const double widths[] = {pen_text_width(POTENTIAL_TEXT, &style) + LIVE_MARK_MM, LIVE_MARK_MM};
  Point at = device_terminal_point(entry->device, terminal);
  Point way = out[device_terminal_side(entry->device, terminal) & 3];
  g_auto(Room) room = room_look(cache, window, LABEL_OPEN, entry->owner.order);
  RoomChoice choice = {.room = &room, .cost = G_MAXINT64, .best.box = rect_empty()};
  for (guint w = 0; w < 2; w++)
    for (int far = 0; far < 3; far++)
      for (int side = 0; side < 3; side++) {
        double along = 1.0 + far * 2.5 + (way.x < 0 || way.x > 0 ? widths[w] : height) / 2;
        double across = (side == 0 ? 0 : side == 1 ? -1.0 : 1.0) * (height / 2 + 1.1);
        Point middle = {at.x + way.x * along + fabs(way.y) * across * 3,
                        at.y + way.y * along + fabs(way.x) * across};
        Rect box = {middle.x - widths[w] / 2, middle.y - height / 2, widths[w], height};
        room_consider(&choice, (FigurePlace){.box = box, .align = TEXT_MIDDLE, .mark_only = w == 1},
                      (gint64)w * 1000 + far * 60 + side * 20, NULL);
      }
  choice.best.is_patched = choice.cost < COST_LINE;
  return choice.best;
}

static void
place_open_terminals(FigureCache *cache, DeviceEntry *entry, Rect window)
{
  g_autofree FigurePlace *before = g_memdup2(entry->open, entry->n_terminals * sizeof *before);
  for (guint i = 0; i < entry->n_terminals; i++)
    figure_index_remove(cache->labels, entry, entry->open[i].box);
  for (guint i = 0; i < entry->n_terminals; i++) {
    entry->open[i] =
        entry->landed[i] ? (FigurePlace){.box = rect_empty()} : place_open(cache, entry, i, window);
    figure_index_add(cache->labels, entry, entry->open[i].box);
    if (same_box(&before[i].box, &entry->open[i].box))
      continue;
    figure_cache_touch(cache, before[i].box, TOUCH_LABELS);
    figure_cache_touch(cache, entry->open[i].box, TOUCH_LABELS);
  }
}

/* --- all of them --- */

static void
put_label(FigureCache *cache, gpointer owner, FigurePlace *label, FigurePlace place)
{
  if (!same_box(&label->box, &place.box)) {
    figure_index_remove(cache->labels, owner, label->box);
    figure_cache_touch(cache, label->box, TOUCH_LABELS);
    figure_index_add(cache->labels, owner, place.box);
    figure_cache_touch(cache, place.box, TOUCH_LABELS);
  }
  *label = place;
}

static Rect
device_window(const DeviceEntry *entry)
{
  double reach = REACH_MM + MAX(entry->size.width, entry->size.height);
  return rect_grow(entry->symbol, reach);
}

static void
place_conductor_labels(FigureCache *cache, LabelKind kind)
{
  for (guint i = 0; i < cache->conductors->len; i++) {
    ConductorEntry *entry = g_ptr_array_index(cache->conductors, i);
    Rect window = rect_grow(entry->bounds, REACH_MM);
    if (kind == LABEL_NUMBER && entry->number.is_far)
      window = rect_grow(entry->bounds, FAR_MM);
    if (entry->route == NULL || !figure_cache_is_touched(cache, window, TOUCH_LABELS))
      continue;
    if (kind == LABEL_NUMBER)
      put_label(cache, entry, &entry->number,
                place_number(cache, entry, rect_grow(entry->bounds, REACH_MM)));
    else
      put_label(cache, entry, &entry->potential, place_potential(cache, entry, window));
  }
}

void
figure_cache_place_labels(FigureCache *cache)
{
  for (guint i = 0; i < cache->devices->len; i++) {
    DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    Rect window = device_window(entry);
    if (rect_is_empty(entry->label.box) || figure_cache_is_touched(cache, window, TOUCH_LABELS))
      put_label(cache, entry, &entry->label, place_device(cache, entry, window));
  }
  place_conductor_labels(cache, LABEL_NUMBER);
  for (guint i = 0; i < cache->devices->len; i++) {
    DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    Rect window = rect_grow(entry->symbol, 2 * REACH_MM);
    if (figure_cache_is_touched(cache, window, TOUCH_LABELS))
      place_open_terminals(cache, entry, window);
  }
  place_conductor_labels(cache, LABEL_POTENTIAL);
}
