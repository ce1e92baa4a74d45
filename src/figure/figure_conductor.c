/* SPDX-License-Identifier: MIT */
#include "figure/figure_private.h"

#include "base/language.h"

#include "figure/figure_draw.h"
#include "pen/pen_text.h"
#include <math.h>
#include <string.h>

/* A conductor is a casing with the insulation's colour as its core, so that white and yellow stand
 * out on paper and black does on a dark screen. */
#define CASING_MM 0.72
#define CORE_MM 0.44
#define TRACER_MM 0.18
#define ELBOW_MM 1.2 /* solid arms of a dashed line's corners */

bool
figure_is_field_wiring(const Conductor *conductor)
{
  const FieldSpec *field = &conductor_fields[CONDUCTOR_WIRING];
  const Value *value = &conductor->values[CONDUCTOR_WIRING];
  return value->has_value && strcmp(field->choices[value->choice], "field") == 0;
}

/* --- hops --- */

/* Where level stretch a-b crosses upright stretches of other conductors, as x, sorted. */
static GArray *
crossings_of(const FigureCache *cache, const ConductorEntry *entry, Point a, Point b)
{
  GArray *crossings = g_array_new(FALSE, FALSE, sizeof(double));
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  figure_index_query(cache->lines, figure_stretch_box(a, b), near);
  for (guint i = 0; i < near->len; i++) {
    const FigureNear *other = &g_array_index(near, FigureNear, i);
    const FigureOwner *owner = other->item;
    Rect r = rect_grow(other->box, -0.1);
    bool upright = r.height > r.width;
    if (!owner->is_conductor || other->item == (gpointer)(gintptr)entry || !upright)
      continue;
    if (r.y > a.y - 0.3 || r.y + r.height < a.y + 0.3)
      continue; /* it ends here: no crossing */
    double x = r.x + r.width / 2;
    if (x > MIN(a.x, b.x) + 0.3 && x < MAX(a.x, b.x) - 0.3)
      g_array_append_val(crossings, x);
  }
  g_array_sort(crossings, figure_compare_doubles);
  return crossings;
}

/* How far a hop may reach without touching the corner or its neighbour. */
static double
hop_radius(const GArray *crossings, guint i, Point a, Point b)
{
  double x = g_array_index(crossings, double, i);
  double radius = MIN(HOP_RADIUS_MM, MIN(fabs(x - a.x), fabs(x - b.x)) - 0.05);
  if (i > 0)
    radius = MIN(radius, (x - g_array_index(crossings, double, i - 1)) / 2 - 0.05);
  if (i + 1 < crossings->len)
    radius = MIN(radius, (g_array_index(crossings, double, i + 1) - x) / 2 - 0.05);
  return radius;
}

/* A drawn way in pieces: straight runs and hops by turns, so that a hop is never lost in the gap of
 * a dashed line. */
typedef struct {
  GArray *points; /* of Point: all of them */
  GArray *breaks; /* of guint: indices where a hop begins or ends */
} Path;

static void
path_clear(Path *path)
{
  g_array_unref(path->points);
  g_array_unref(path->breaks);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Path, path_clear)

static void
append_hops(Path *path, const FigureCache *cache, const ConductorEntry *entry, Point a, Point b)
{
  g_autoptr(GArray) crossings = crossings_of(cache, entry, a, b);
  bool rightwards = b.x > a.x;
  for (guint k = 0; k < crossings->len; k++) {
    guint i = rightwards ? k : crossings->len - 1 - k;
    double x = g_array_index(crossings, double, i), r = hop_radius(crossings, i, a, b);
    if (r < 0.3)
      continue;
    g_array_append_val(path->breaks, path->points->len);
    for (int step = 0; step <= 12; step++) {
      double angle = G_PI * (rightwards ? 12 - step : step) / 12;
      Point p = {x + r * cos(angle), a.y - r * sin(angle)};
      g_array_append_val(path->points, p);
    }
    guint last = path->points->len - 1;
    g_array_append_val(path->breaks, last);
  }
}

/* The route with half circles where it crosses others. Level stretches hop over upright ones. */
static Path
path_of(const FigureCache *cache, const ConductorEntry *entry)
{
  Path path = {g_array_new(FALSE, FALSE, sizeof(Point)), g_array_new(FALSE, FALSE, sizeof(guint))};
  for (guint i = 0; i < entry->route->len; i++) {
    Point p = g_array_index(entry->route, Point, i);
    if (i > 0) {
      Point last = g_array_index(entry->route, Point, i - 1);
      if (fabs(last.y - p.y) < 1e-6)
        append_hops(&path, cache, entry, last, p);
    }
    g_array_append_val(path.points, p);
  }
  return path;
}

/* --- drawing --- */

/* A corner of a dashed line is solid, or it would be lost where a gap falls on it. */
static void
draw_elbows(Pen *pen, const GArray *route, const PenStyle *style)
{
  for (guint i = 1; i + 1 < route->len; i++) {
    Point corner = g_array_index(route, Point, i);
    Point ends[2] = {g_array_index(route, Point, i - 1), g_array_index(route, Point, i + 1)};
    for (guint k = 0; k < 2; k++) {
      double length = point_distance(corner, ends[k]);
      double t = length > 0 ? MIN(ELBOW_MM / length, 1) : 0;
      ends[k] =
          (Point){corner.x + (ends[k].x - corner.x) * t, corner.y + (ends[k].y - corner.y) * t};
    }
    pen_polyline(pen, (Point[]){ends[0], corner, ends[1]}, 3, style);
  }
}

static void
draw_stroke(Pen *pen, const Path *path, const GArray *route, PenStyle style)
{
  const Point *points = (const Point *)(gpointer)path->points->data;
  if (style.dash == DASH_SOLID) {
    pen_polyline(pen, points, path->points->len, &style);
    return;
  }
  Dash dash = style.dash;
  guint start = 0;
  for (guint i = 0; i <= path->breaks->len; i++) {
    guint end =
        i < path->breaks->len ? g_array_index(path->breaks, guint, i) : path->points->len - 1;
    style.dash = i % 2 == 0 ? dash : DASH_SOLID;
    if (end > start) /* a straight run ends where the hop's first point lies */
      pen_polyline(pen, points + start, end - start + 1, &style);
    start = end;
  }
  style.dash = DASH_SOLID;
  draw_elbows(pen, route, &style);
}

/* weight: how much heavier than at rest; the outline grows, the insulation with it. */
static void
draw_path(Pen *pen, const ConductorEntry *entry, const Path *path, double weight)
{
  const Conductor *conductor = entry->conductor;
  const GArray *route = entry->route;
  Dash dash = figure_is_field_wiring(conductor) ? DASH_FIELD : DASH_SOLID;
  PenColour base, tracer;
  bool has_tracer;
  if (!figure_colour(conductor_text(conductor, CONDUCTOR_COLOUR), &base, &tracer, &has_tracer)) {
    draw_stroke(pen, path, route,
                (PenStyle){.width = PEN_NORMAL * weight, .ink = INK_LINE, .dash = dash});
    return;
  }
  draw_stroke(pen, path, route,
              (PenStyle){.width = CASING_MM * weight, .ink = INK_LINE, .dash = dash});
  PenStyle core = {.width = CORE_MM * weight, .ink = INK_COLOUR, .colour = base, .dash = dash};
  draw_stroke(pen, path, route, core);
  core.width = TRACER_MM * weight;
  core.colour = tracer;
  if (has_tracer)
    draw_stroke(pen, path, route, core);
}

#define HIT_MM 2.5 /* a pointer this near, both sides together, is on a conductor */

static void
draw_number(Pen *pen, const ConductorEntry *entry)
{
  const FigurePlace *place = &entry->number;
  if (rect_is_empty(place->box))
    return;
  if (place->backing || place->is_patched)
    pen_box(pen, place->box, NULL, &(PenStyle){.ink = INK_PAPER});
  if (place->leads)
    pen_line(pen, place->foot,
             (Point){CLAMP(place->foot.x, place->box.x, place->box.x + place->box.width),
                     CLAMP(place->foot.y, place->box.y, place->box.y + place->box.height)},
             &(PenStyle){.width = PEN_THIN, .ink = INK_LINE});
  figure_draw_line_of_text(
      pen, place->box, conductor_text(entry->conductor, CONDUCTOR_NUMBER),
      &(TextStyle){
          .height = place->height, .align = TEXT_MIDDLE, .ink = INK_LINE, .turns = place->turns});
}

/* 1 on a sheet that is not energized, and where nothing is known. */
static double
weight_of(const ConductorEntry *entry, const FigureStyle *style)
{
  Reading reading;
  if (!style->energized || style->solution == NULL)
    return 1;
  guint node = circuit_node_of_landing(style->solution->circuit, &entry->conductor->from);
  return figure_reading_to_earth(style->solution, node, &reading) ? figure_weight(&reading) : 1;
}

/* The live mark and the volts to ground. */
static void
draw_potential(Pen *pen, const ConductorEntry *entry, const Solution *solution)
{
  Reading reading;
  const FigurePlace *place = &entry->potential;
  guint node = circuit_node_of_landing(solution->circuit, &entry->conductor->from);
  if (rect_is_empty(place->box) || !figure_reading_to_earth(solution, node, &reading))
    return;
  figure_draw_live(pen, place, &reading);
}

void
figure_draw_conductor_entry(Pen *pen, const FigureCache *cache, const ConductorEntry *entry,
                            const FigureStyle *style)
{
  if (entry->route == NULL)
    return;
  const Conductor *conductor = entry->conductor;
  g_autofree char *name = conductor_dup_name(conductor);
  g_autofree char *id =
      g_strdup_printf("conductor-%s.%s-%s.%s", conductor->from.device, conductor->from.terminal,
                      conductor->to.device, conductor->to.terminal);
  const char *colour = conductor_text(conductor, CONDUCTOR_COLOUR);
  g_autofree char *gauge =
      value_dup_text(&conductor->values[CONDUCTOR_GAUGE], &conductor_fields[CONDUCTOR_GAUGE]);
  g_autofree char *wiring =
      g_strdup_printf(figure_is_field_wiring(conductor) ? _("%s.%s to %s.%s, field wiring")
                                                        : _("%s.%s to %s.%s, factory wiring"),
                      conductor->from.device, conductor->from.terminal, conductor->to.device,
                      conductor->to.terminal);
  g_autofree char *description = g_strconcat(wiring, *colour != '\0' ? ", " : "", colour,
                                             gauge != NULL ? ", " : "", gauge, NULL);
  pen_begin_group(pen, id, name, description);
  g_auto(Path) path = path_of(cache, entry);
  draw_path(pen, entry, &path, weight_of(entry, style));
  if (style->labels)
    draw_number(pen, entry);
  pen_hit(pen, (const Point *)(gconstpointer)entry->route->data, entry->route->len, HIT_MM);
  if (style->energized && style->solution != NULL)
    draw_potential(pen, entry, style->solution);
  pen_end_group(pen);
}
