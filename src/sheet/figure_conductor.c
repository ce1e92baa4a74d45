/* SPDX-License-Identifier: MIT */
#include "sheet/figure_private.h"

#include "pen/pen_text.h"
#include "sheet/figure_draw.h"
#include <math.h>
#include <string.h>

/* A conductor is a casing with the insulation's colour as its core, so that white and yellow stand
 * out on paper and black does on a dark screen. */
#define CASING_MM 0.85
#define CORE_MM 0.5
#define TRACER_MM 0.2

static bool
is_field_wiring(const Conductor *conductor)
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

static void
append_hops(GArray *path, const FigureCache *cache, const ConductorEntry *entry, Point a, Point b)
{
  g_autoptr(GArray) crossings = crossings_of(cache, entry, a, b);
  bool rightwards = b.x > a.x;
  for (guint k = 0; k < crossings->len; k++) {
    guint i = rightwards ? k : crossings->len - 1 - k;
    double x = g_array_index(crossings, double, i), r = hop_radius(crossings, i, a, b);
    if (r < 0.3)
      continue;
    for (int step = 0; step <= 12; step++) {
      double angle = G_PI * (rightwards ? 12 - step : step) / 12;
      Point p = {x + r * cos(angle), a.y - r * sin(angle)};
      g_array_append_val(path, p);
    }
  }
}

/* The route with half circles where it crosses others. Level stretches hop over upright ones. */
static GArray *
path_of(const FigureCache *cache, const ConductorEntry *entry)
{
  GArray *path = g_array_new(FALSE, FALSE, sizeof(Point));
  for (guint i = 0; i < entry->route->len; i++) {
    Point p = g_array_index(entry->route, Point, i);
    if (i > 0) {
      Point last = g_array_index(entry->route, Point, i - 1);
      if (fabs(last.y - p.y) < 1e-6)
        append_hops(path, cache, entry, last, p);
    }
    g_array_append_val(path, p);
  }
  return path;
}

/* --- drawing --- */

static void
draw_path(Pen *pen, const Conductor *conductor, const GArray *path)
{
  const Point *points = (const Point *)(gpointer)path->data;
  Dash dash = is_field_wiring(conductor) ? DASH_FIELD : DASH_SOLID;
  PenColour base, tracer;
  bool has_tracer;
  if (!figure_colour(conductor_text(conductor, CONDUCTOR_COLOUR), &base, &tracer, &has_tracer)) {
    PenStyle plain = {.width = PEN_NORMAL, .ink = INK_LINE, .dash = dash};
    pen_polyline(pen, points, path->len, &plain);
    return;
  }
  const PenStyle casing = {.width = CASING_MM, .ink = INK_LINE, .dash = dash};
  const PenStyle core = {.width = CORE_MM, .ink = INK_COLOUR, .colour = base, .dash = dash};
  pen_polyline(pen, points, path->len, &casing);
  pen_polyline(pen, points, path->len, &core);
  if (!has_tracer)
    return;
  const PenStyle stripe = {.width = TRACER_MM, .ink = INK_COLOUR, .colour = tracer, .dash = dash};
  pen_polyline(pen, points, path->len, &stripe);
}

static void
draw_number(Pen *pen, const ConductorEntry *entry)
{
  const FigurePlace *place = &entry->number;
  if (rect_is_empty(place->box))
    return;
  if (place->backing)
    pen_box(pen, place->box, NULL, &(PenStyle){.ink = INK_PAPER});
  figure_draw_line_of_text(
      pen, place->box, conductor_text(entry->conductor, CONDUCTOR_NUMBER),
      &(TextStyle){
          .height = LABEL_SMALL_MM, .align = TEXT_MIDDLE, .ink = INK_LINE, .turns = place->turns});
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
  figure_draw_live(pen, place->box, place->turns, &reading);
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
  g_autofree char *description =
      g_strdup_printf("%s.%s to %s.%s, %s wiring%s%s%s%s", conductor->from.device,
                      conductor->from.terminal, conductor->to.device, conductor->to.terminal,
                      is_field_wiring(conductor) ? "field" : "factory", *colour != '\0' ? ", " : "",
                      colour, gauge != NULL ? ", " : "", gauge != NULL ? gauge : "");
  pen_begin_group(pen, id, name, description);
  g_autoptr(GArray) path = path_of(cache, entry);
  draw_path(pen, conductor, path);
  if (style->labels)
    draw_number(pen, entry);
  if (style->energized && style->solution != NULL)
    draw_potential(pen, entry, style->solution);
  pen_end_group(pen);
}
