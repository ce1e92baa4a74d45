/* SPDX-License-Identifier: MIT */
#include "sheet/tiling_private.h"

#include "base/language.h"

#include "base/text.h"
#include "figure/figure.h"
#include "figure/figure_cache.h"
#include "pen/pen_record.h"
#include <math.h>
#include <string.h>

#define LEADER_MM 5.0   /* from a cut to a reference's text, and air behind it */
#define LONGEST_NAME 16 /* of a reference, letters */
#define STEP_MM 1.25    /* places for a cut: between the lines of the grid as well as on them */
#define OVERHANG_MM 8.0 /* a device's label may reach so far over a cut */
#define COST_DEVICE 100000.0
#define COST_TEXT 400.0
#define COST_ALONG 200.0 /* a cut along a line */
#define COST_LINE 10.0
#define COST_PART 30.0

static void
reference_clear(gpointer data)
{
  g_free(((Reference *)data)->name);
}

void
tiling_free(Tiling *tiling)
{
  if (tiling == NULL)
    return;
  g_array_unref(tiling->across);
  g_array_unref(tiling->down);
  g_array_unref(tiling->cells);
  g_array_unref(tiling->references);
  g_free(tiling->pages);
  g_free(tiling);
}

/* --- where to cut ---------------------------------------------------------------------------- */

/* Costs of cutting at each step from low on, one direction. */
typedef struct {
  double low;
  GArray *costs; /* of double */
} Costs;

static void
add_cost(Costs *costs, double from, double to, double cost)
{
  const int first = (int)floor((from - costs->low) / STEP_MM) + 1;
  const int last = (int)ceil((to - costs->low) / STEP_MM) - 1;

  for (int i = MAX(first, 0); i <= MIN(last, (int)costs->costs->len - 1); i++)
    g_array_index(costs->costs, double, i) += cost;
}

static void
add_item(Costs *costs, const RecordItem *item, bool across)
{
  const Rect b = item->bounds;
  const double from = across ? b.x : b.y, to = from + (across ? b.width : b.height);

  if (item->kind == RECORD_TEXT)
    add_cost(costs, from - 0.3, to + 0.3, COST_TEXT);
  else if (item->kind == RECORD_LINE && to - from < 0.1)
    add_cost(costs, from - 1.2, to + 1.2, COST_ALONG);
  else if (item->kind != RECORD_GROUP)
    add_cost(costs, from, to, COST_LINE);
}

/* A cut between a symbol and its label parts what belongs together. */
static void
add_group(Costs *costs, const Document *document, const RecordItem *item, bool across)
{
  const Rect b = item->bounds;
  const double from = across ? b.x : b.y, size = across ? b.width : b.height;
  const Device *device =
      item->kind == RECORD_GROUP && item->text != NULL && g_str_has_prefix(item->text, "device-")
          ? document_find_device(document, item->text + strlen("device-"))
          : NULL;

  if (device != NULL && device->kind->role != ROLE_OUTLINE)
    add_cost(costs, from, from + size, COST_TEXT);
}

static Costs
costs_new(const Document *document, const GArray *items, Rect bounds, bool across)
{
  const double low = across ? bounds.x : bounds.y;
  const double length = across ? bounds.width : bounds.height;
  Costs costs = {low, g_array_sized_new(FALSE, TRUE, sizeof(double), 1)};

  g_array_set_size(costs.costs, (guint)ceil(length / STEP_MM) + 1);
  for (guint i = 0; i < items->len; i++) {
    add_item(&costs, &g_array_index(items, RecordItem, i), across);
    add_group(&costs, document, &g_array_index(items, RecordItem, i), across);
  }
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind->role == ROLE_OUTLINE)
      continue;
    const Rect b = figure_device_bounds(device);
    const double from = across ? b.x : b.y, size = across ? b.width : b.height;
    add_cost(&costs, from - 1.5, from + size + 1.5, COST_DEVICE);
  }
  return costs;
}

/* Edges from low to the end, no two farther apart than room, so that the cuts cost least: the
 * cheapest way to each step is found from the ways to the steps before it. */
static GArray *
choose_edges(const Costs *costs, double length, double room)
{
  const guint n = costs->costs->len, reach = (guint)MAX(1, floor(room / STEP_MM));
  g_autofree double *best = g_new(double, n);
  g_autofree guint *from = g_new0(guint, n);
  GArray *edges = g_array_new(FALSE, FALSE, sizeof(double));

  best[0] = 0;
  for (guint i = 1; i < n; i++) {
    const double own = i + 1 < n ? g_array_index(costs->costs, double, i) : 0;
    best[i] = G_MAXDOUBLE;
    for (guint j = i > reach ? i - reach : 0; j < i; j++)
      if (best[j] + own + COST_PART < best[i]) {
        best[i] = best[j] + own + COST_PART;
        from[i] = j;
      }
  }
  for (guint i = n - 1; i > 0; i = from[i]) {
    const double edge = costs->low + (i + 1 < n ? i * STEP_MM : length);
    g_array_prepend_val(edges, edge);
  }
  g_array_prepend_val(edges, costs->low);
  return edges;
}

/* The wire number, or the terminal a conductor starts from. New string. */
static char *
reference_name(const Conductor *conductor)
{
  const char *number = conductor_text(conductor, CONDUCTOR_NUMBER);
  g_autofree char *from = landing_dup_name(&conductor->from);

  return text_clean(number[0] != '\0' ? number : from, LONGEST_NAME);
}

/* Paper kept at a cut, so that the longest reference there could be has room. */
static double
side_room(const Document *document, double letters)
{
  const TextStyle style = {.height = letters};
  double widest = 0;

  for (guint i = 0; i < document_conductor_count(document); i++) {
    g_autofree char *name = reference_name(document_conductor(document, i));
    widest = MAX(widest, pen_text_width(name, &style));
  }
  return widest + pen_text_width(_(" to 888/D8"), &style) + LEADER_MM;
}

/* paper: the page's length in this direction; what fits into it is not cut. side: kept at cuts. */
static GArray *
edges_for(const Document *document, const GArray *items, Rect bounds, double paper, double side,
          double scale, bool across)
{
  const bool fits = (across ? bounds.width : bounds.height) * scale <= paper;
  const double room = (fits ? paper : MAX(paper - 2 * side, paper / 4)) / scale;
  Costs costs = costs_new(document, items, bounds, across);
  GArray *edges = choose_edges(&costs, across ? bounds.width : bounds.height, room);

  g_array_unref(costs.costs);
  return edges;
}

/* --- parts ----------------------------------------------------------------------------------- */

static guint
columns_of(const Tiling *tiling)
{
  return tiling->across->len - 1;
}

/* Which stretch between edges a value lies in; each has its low edge. */
static guint
stretch_of(const GArray *edges, double value)
{
  guint i = 0;
  while (i + 2 < edges->len && value >= g_array_index(edges, double, i + 1))
    i++;
  return i;
}

static guint
cell_of(const Tiling *tiling, Point p)
{
  return stretch_of(tiling->down, p.y) * columns_of(tiling) + stretch_of(tiling->across, p.x);
}

static Point
device_middle(const Device *device)
{
  const Rect b = figure_device_bounds(device);
  return (Point){b.x + b.width / 2, b.y + b.height / 2};
}

static Rect
cell_window(const Tiling *tiling, guint cell)
{
  const guint column = cell % columns_of(tiling), row = cell / columns_of(tiling);
  const double x = g_array_index(tiling->across, double, column);
  const double y = g_array_index(tiling->down, double, row);

  return (Rect){x, y, g_array_index(tiling->across, double, column + 1) - x,
                g_array_index(tiling->down, double, row + 1) - y};
}

/* Marks what a route goes through, and notes where it crosses from cell to cell. */
static void
follow_route(Tiling *tiling, const GArray *route, const char *name)
{
  for (guint i = 0; i + 1 < route->len; i++) {
    const Point a = g_array_index(route, Point, i), b = g_array_index(route, Point, i + 1);
    const guint steps = (guint)MAX(1, ceil(point_distance(a, b) / (STEP_MM / 2)));
    guint cell = cell_of(tiling, a);
    tiling->pages[cell] = 1;
    for (guint k = 1; k <= steps; k++) {
      const double t = (double)k / steps;
      const Point p = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
      const guint next = cell_of(tiling, p);
      if (next == cell)
        continue;
      const bool level = next / columns_of(tiling) == cell / columns_of(tiling);
      const Rect from = cell_window(tiling, cell);
      const int side = level ? (next > cell ? 0 : 2) : (next > cell ? 1 : 3);
      Point at = p;
      if (level)
        at.x = side == 0 ? from.x + from.width : from.x;
      else
        at.y = side == 1 ? from.y + from.height : from.y;
      const Reference there = {cell, next, side, at, g_strdup(name)};
      const Reference back = {next, cell, (side + 2) & 3, at, g_strdup(name)};
      g_array_append_val(tiling->references, there);
      g_array_append_val(tiling->references, back);
      tiling->pages[next] = 1;
      cell = next;
    }
  }
}

/* A device keeps inside its part, but for a bit of its label. */
bool
tiling_splits(const Tiling *tiling, const Device *device)
{
  const Rect window = cell_window(tiling, cell_of(tiling, device_middle(device)));

  return device->kind->role != ROLE_OUTLINE &&
         !rect_holds(rect_grow(window, OVERHANG_MM / tiling->scale), figure_device_bounds(device));
}

/* Each cell that a split device reaches into has something of it. */
static void
mark_device(Tiling *tiling, const Device *device)
{
  const guint columns = columns_of(tiling);

  tiling->pages[cell_of(tiling, device_middle(device))] = 1;
  if (!tiling_splits(tiling, device))
    return;
  const Rect b = figure_device_bounds(device);
  const guint left = stretch_of(tiling->across, b.x);
  const guint right = stretch_of(tiling->across, b.x + b.width);
  const guint top = stretch_of(tiling->down, b.y);
  const guint bottom = stretch_of(tiling->down, b.y + b.height);
  for (guint row = top; row <= bottom; row++)
    for (guint column = left; column <= right; column++)
      tiling->pages[row * columns + column] = 1;
}

static void
find_contents(Tiling *tiling, const Document *document)
{
  g_autoptr(FigureCache) cache = figure_cache_new();

  figure_cache_update(cache, document);
  for (guint i = 0; i < document_device_count(document); i++)
    if (document_device(document, i)->kind->role != ROLE_OUTLINE)
      mark_device(tiling, document_device(document, i));
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    const GArray *route = figure_cache_route(cache, conductor);
    g_autofree char *name = reference_name(conductor);
    if (route != NULL)
      follow_route(tiling, route, name);
  }
}

/* Numbers the cells that hold something; references then name parts, not cells. */
static void
number_parts(Tiling *tiling)
{
  const guint n = columns_of(tiling) * (tiling->down->len - 1);

  for (guint cell = 0; cell < n; cell++)
    if (tiling->pages[cell] != 0) {
      g_array_append_val(tiling->cells, cell);
      tiling->pages[cell] = tiling->cells->len;
    }
  for (guint i = 0; i < tiling->references->len; i++) {
    Reference *reference = &g_array_index(tiling->references, Reference, i);
    reference->part = tiling->pages[reference->part] - 1;
    reference->other = tiling->pages[reference->other] - 1;
  }
}

Tiling *
tiling_new(const Document *document, Rect bounds, const Frame *frame, double scale, guint most)
{
  const Rect area = frame_area(frame);
  const double side = side_room(document, frame->lettering.body);
  const FigureStyle style = {.labels = true, .as_printed = true};
  const Rect all = rect_grow(bounds, 1);
  g_autoptr(Pen) record = pen_record_new();

  figure_draw(record, document, &style);
  Tiling *tiling = g_new0(Tiling, 1);
  tiling->scale = scale;
  tiling->area = area;
  tiling->across =
      edges_for(document, pen_record_items(record), all, area.width, side, scale, true);
  tiling->down =
      edges_for(document, pen_record_items(record), all, area.height, side, scale, false);
  const guint cells = columns_of(tiling) * (tiling->down->len - 1);
  tiling->pages = g_new0(guint, cells);
  tiling->cells = g_array_new(FALSE, FALSE, sizeof(guint));
  tiling->references = g_array_new(FALSE, FALSE, sizeof(Reference));
  g_array_set_clear_func(tiling->references, reference_clear);
  find_contents(tiling, document);
  number_parts(tiling);
  if (tiling->cells->len > most)
    g_clear_pointer(&tiling, tiling_free);
  return tiling;
}

guint
tiling_count(const Tiling *tiling)
{
  return tiling->cells->len;
}

Rect
tiling_window(const Tiling *tiling, guint part)
{
  return cell_window(tiling, g_array_index(tiling->cells, guint, part));
}

Point
tiling_offset(const Tiling *tiling, guint part)
{
  const Rect window = tiling_window(tiling, part), area = tiling->area;
  return (Point){area.x + area.width / 2 - tiling->scale * (window.x + window.width / 2),
                 area.y + area.height / 2 - tiling->scale * (window.y + window.height / 2)};
}

guint
tiling_part_of_device(const Tiling *tiling, const Device *device)
{
  return tiling->pages[cell_of(tiling, device_middle(device))] - 1;
}

char *
tiling_devices(const Tiling *tiling, const Document *document, guint part)
{
  GString *names = g_string_new(NULL);

  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind->role != ROLE_OUTLINE && tiling_part_of_device(tiling, device) == part)
      g_string_append_printf(names, "%s%s", names->len > 0 ? ", " : "", device_designation(device));
  }
  return g_string_free(names, FALSE);
}
