/* SPDX-License-Identifier: MIT */
#include "figure/figure.h"

#include "base/language.h"

#include "figure/figure_draw.h"
#include "pen/pen_record.h"
#include "pen/pen_text.h"
#include <complex.h>
#include <math.h>

#define LANDING_MM 0.45 /* radius of the dot where one conductor lands */
#define SYMBOLS_IEC 1   /* choice of the sheet */
#define JOINT_MM 0.8    /* and where several do */
#define NO_BREAK_SPACE "\302\240"

/* --- measuring --- */

static void
draw_symbol(Pen *pen, const Device *device, bool iec)
{
  pen_push(pen, device->placement);
  if (iec && device->kind->draw_iec != NULL)
    device->kind->draw_iec(device, pen);
  else if (device->kind->draw != NULL)
    device->kind->draw(device, pen);
  pen_pop(pen);
}

Rect
figure_measure_symbol(const Device *device, Rect *lettering)
{
  g_autoptr(Pen) pen = pen_record_new();
  draw_symbol(pen, device, false);
  Rect bounds = pen_record_bounds(pen), texts = rect_empty();
  if (device->kind->draw_iec != NULL) { /* one room for both sets: choosing moves nothing */
    g_autoptr(Pen) other = pen_record_new();
    draw_symbol(other, device, true);
    bounds = rect_union(bounds, pen_record_bounds(other));
  }
  const GArray *items = pen_record_items(pen);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT)
      texts = rect_union(texts, item->bounds);
  }
  if (lettering != NULL)
    *lettering = texts;
  for (guint i = 0; i < device_terminal_count(device); i++)
    bounds = rect_include(bounds, device_terminal_point(device, i));
  return bounds;
}

/* A number and its unit stay on one line. */
static char *
keep_units(const char *text)
{
  GString *kept = g_string_new(NULL);
  for (const char *c = text; *c != '\0'; c++)
    if (*c == ' ' && c > text && g_ascii_isdigit(c[-1]) && g_ascii_isalpha(c[1]))
      g_string_append(kept, NO_BREAK_SPACE);
    else
      g_string_append_c(kept, *c);
  return g_string_free(kept, FALSE);
}

static void
wrap_line(GPtrArray *lines, const char *text, bool bold, guint most)
{
  TextStyle style = {.height = LABEL_LETTER_MM, .bold = bold};
  g_autofree char *kept = keep_units(text);
  g_autoptr(GPtrArray) wrapped = pen_text_wrap(LABEL_WIDEST_MM, kept, &style);
  for (guint i = 0; i < wrapped->len && i < most; i++) {
    GString *line = g_string_new(g_ptr_array_index(wrapped, i));
    g_string_replace(line, NO_BREAK_SPACE, " ", 0); /* whoever copies it gets the usual one */
    g_ptr_array_add(lines, g_string_free(line, FALSE));
  }
}

char **
figure_label_lines(const Device *device, guint *bold)
{
  GPtrArray *lines = g_ptr_array_new();
  wrap_line(lines, device_designation(device), true, G_MAXUINT);
  *bold = lines->len;
  g_autofree char *rating =
      device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
  if (rating != NULL && *rating != '\0')
    wrap_line(lines, rating, false, 4);
  g_ptr_array_add(lines, NULL);
  return (char **)g_ptr_array_free(lines, FALSE);
}

Rect
figure_label_size(char **lines, guint bold)
{
  Rect size = {0, 0, 0, 0};
  for (guint i = 0; lines[i] != NULL; i++) {
    TextStyle style = {.height = LABEL_LETTER_MM, .bold = i < bold};
    size.width = MAX(size.width, pen_text_width(lines[i], &style));
    size.height += i == 0 ? style.height : style.height * LABEL_LINE;
  }
  /* Room for descenders of the last line. */
  double above, below;
  pen_text_extents(&(TextStyle){.height = LABEL_LETTER_MM}, &above, &below);
  size.height += below * 0.7;
  return size;
}

Rect
figure_device_bounds(const Device *device)
{
  return figure_measure_symbol(device, NULL);
}

Rect
figure_device_bounds_labelled(const Device *device)
{
  /* Without a document nobody knows the neighbours: the label at any of its nearest places. */
  guint bold;
  g_auto(GStrv) lines = figure_label_lines(device, &bold);
  Rect size = figure_label_size(lines, bold), symbol = figure_measure_symbol(device, NULL);
  Rect level = rect_grow(symbol, 0), upright = symbol;
  level.x -= size.width + 1;
  level.width += 2 * (size.width + 1);
  upright.y -= size.height + 1;
  upright.height += 2 * (size.height + 1);
  return rect_union(level, upright);
}

Rect
figure_bounds(const Document *document)
{
  return figure_cache_bounds(figure_cache_of_thread(document));
}

/* --- small parts --- */

int
figure_compare_doubles(gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

void
figure_draw_line_of_text(Pen *pen, Rect box, const char *text, const TextStyle *style)
{
  Point middle = {box.x + box.width / 2, box.y + box.height / 2};
  if (style->turns & 1)
    middle.x += style->height / 2;
  else
    middle.y += style->height / 2;
  pen_text(pen, middle, text, style);
}

bool
figure_reading_to_earth(const Solution *solution, guint node, Reading *out)
{
  if (node >= solution->circuit->n_nodes)
    return false;
  *out = solution_to_earth(solution, node);
  if (out->state == READING_LIVE)
    return cabs(out->volts) >= 0.5;
  return out->state == READING_FLOATING || out->state == READING_UNDEFINED;
}

/* A flash with its middle at the point: the mark does not rest on colour alone. */
static void
draw_bolt(Pen *pen, Point at)
{
  static const Point shape[] = {{0.25, -1.1}, {-0.65, 0.2}, {-0.05, 0.2},
                                {-0.25, 1.1}, {0.65, -0.3}, {0.05, -0.3}};
  Point points[G_N_ELEMENTS(shape)];
  for (guint i = 0; i < G_N_ELEMENTS(shape); i++)
    points[i] = point_add(at, shape[i]);
  pen_polygon(pen, points, G_N_ELEMENTS(points), NULL, &(PenStyle){.ink = INK_LIVE});
}

void
figure_draw_live(Pen *pen, const FigurePlace *place, const Reading *reading)
{
  g_autofree char *text = reading->state == READING_LIVE
                              ? quantity_display(cabs(reading->volts), UNIT_VOLT, 3)
                              : g_strdup(_("floating"));
  TextStyle style = {
      .height = LABEL_POTENTIAL_MM, .align = TEXT_MIDDLE, .ink = INK_LIVE, .turns = place->turns};
  double width = place->mark_only ? 0 : pen_text_width(text, &style);
  Rect box = place->box;
  if (place->backing || place->is_patched)
    pen_box(pen, box, NULL, &(PenStyle){.ink = INK_PAPER});
  Point mark = {box.x + box.width / 2, box.y + box.height / 2};
  if (place->turns & 1) {
    box.y -= LIVE_MARK_MM / 2;
    mark.y += width / 2;
  } else {
    box.x += LIVE_MARK_MM / 2;
    mark.x -= width / 2;
  }
  draw_bolt(pen, mark);
  if (!place->mark_only)
    figure_draw_line_of_text(pen, box, text, &style);
}

/* --- devices --- */

static void
draw_label(Pen *pen, const DeviceEntry *entry)
{
  const FigurePlace *place = &entry->label;
  if (rect_is_empty(place->box))
    return;
  if (place->is_patched)
    pen_box(pen, place->box, NULL, &(PenStyle){.ink = INK_PAPER});
  double x = place->box.x, y = place->box.y;
  if (place->align != TEXT_START)
    x += place->align == TEXT_MIDDLE ? place->box.width / 2 : place->box.width;
  for (guint i = 0; entry->lines[i] != NULL; i++) {
    TextStyle style = {
        .height = LABEL_LETTER_MM, .align = place->align, .ink = INK_LINE, .bold = i < entry->bold};
    y += i == 0 ? style.height : style.height * LABEL_LINE;
    pen_text(pen, (Point){x, y}, entry->lines[i], &style);
  }
}

/* The routes that start or end at the terminal, each as it leaves it. New array of GArray *. */
static GPtrArray *
routes_from(const FigureCache *cache, const DeviceEntry *device, guint terminal)
{
  GPtrArray *routes = g_ptr_array_new_with_free_func((GDestroyNotify)g_array_unref);
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  Point at = device_terminal_point(device->device, terminal);
  figure_index_query(cache->lines, rect_grow((Rect){at.x, at.y, 0, 0}, 0.2), near);
  for (guint i = 0; i < near->len; i++) {
    const FigureOwner *owner = g_array_index(near, FigureNear, i).item;
    const ConductorEntry *entry = g_array_index(near, FigureNear, i).item;
    for (guint end = 0; owner->is_conductor && end < 2; end++) {
      if (entry->ends[end] != device || entry->terminals[end] != terminal)
        continue;
      GArray *route = g_array_new(FALSE, FALSE, sizeof(Point));
      for (guint k = 0; k < entry->route->len; k++) {
        guint index = end == 0 ? k : entry->route->len - 1 - k;
        g_array_append_val(route, g_array_index(entry->route, Point, index));
      }
      g_ptr_array_add(routes, route);
    }
  }
  return routes;
}

/* How far b runs on a's way from their common start: the point where they part. */
static Point
parting(const GArray *a, const GArray *b)
{
  Point at = g_array_index(a, Point, 0);
  for (guint i = 1; i < MIN(a->len, b->len); i++) {
    Point p = g_array_index(a, Point, i), q = g_array_index(b, Point, i);
    bool same_way = (p.x - at.x) * (q.y - at.y) - (p.y - at.y) * (q.x - at.x) < 1e-6 &&
                    (p.x - at.x) * (q.y - at.y) - (p.y - at.y) * (q.x - at.x) > -1e-6 &&
                    (p.x - at.x) * (q.x - at.x) + (p.y - at.y) * (q.y - at.y) > 0;
    if (!same_way)
      return at;
    if (!point_equal(p, q))
      return point_distance(at, p) < point_distance(at, q) ? p : q;
    at = p;
  }
  return at;
}

/* Conductors on one terminal share the first stretch of their way. A dot where they part says that
 * they are joined there, and do not cross. */
static void
draw_joints(Pen *pen, const FigureCache *cache, const DeviceEntry *entry, guint terminal)
{
  static const PenStyle ink = {.ink = INK_LINE};
  g_autoptr(GPtrArray) routes = routes_from(cache, entry, terminal);
  Point start = device_terminal_point(entry->device, terminal);
  for (guint i = 0; i < routes->len; i++)
    for (guint k = i + 1; k < routes->len; k++) {
      Point at = parting(g_ptr_array_index(routes, i), g_ptr_array_index(routes, k));
      if (!point_equal(at, start))
        pen_circle(pen, at, JOINT_MM, NULL, &ink);
    }
}

/* Dots where conductors land; on screen a ring where one still can. */
static void
draw_landings(Pen *pen, const Document *document, const FigureCache *cache,
              const DeviceEntry *entry, const FigureStyle *style)
{
  static const PenStyle ink = {.ink = INK_LINE};
  static const PenStyle ring = {.width = PEN_THIN, .ink = INK_FAINT};
  const Device *device = entry->device;
  for (guint i = 0; i < device_terminal_count(device); i++) {
    const Terminal *terminal = device_terminal(device, i);
    guint n = document_landings(document, device->id, terminal->name);
    Point at = device_terminal_point(device, i);
    if (n > 1)
      draw_joints(pen, cache, entry, i);
    if (n > 0)
      pen_circle(pen, at, n > 1 ? JOINT_MM : LANDING_MM, NULL, &ink);
    else if (!style->as_printed)
      pen_circle(pen, at, JOINT_MM, &ring, NULL);
  }
}

#define OPEN_RING_MM 1.5
#define CAP_MARGIN_MM 0.7

static bool
lead_says_volts(const FigureCache *cache, const DeviceEntry *cap)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  Point at = device_terminal_point(cap->device, 0);
  figure_index_query(cache->lines, rect_grow((Rect){at.x, at.y, 0, 0}, 0.2), near);
  for (guint i = 0; i < near->len; i++) {
    const FigureOwner *owner = g_array_index(near, FigureNear, i).item;
    const ConductorEntry *lead = g_array_index(near, FigureNear, i).item;
    if (owner->is_conductor && (lead->ends[0] == cap || lead->ends[1] == cap) &&
        !rect_is_empty(lead->potential.box) && !lead->potential.mark_only)
      return true;
  }
  return false;
}

/* A capped lead: only the cap is between it and a hand. Told by its frame, and by the volts where
 * the short piece of lead has no room for them. */
static void
draw_live_cap(Pen *pen, const FigureCache *cache, const DeviceEntry *entry, const Reading *reading)
{
  static const PenStyle edge = {.width = PEN_HEAVY, .ink = INK_LIVE};
  Rect frame = rect_grow(entry->symbol, CAP_MARGIN_MM);
  pen_box(pen, frame, &edge, NULL);
  if (lead_says_volts(cache, entry))
    return;
  TextStyle text = {.height = LABEL_POTENTIAL_MM};
  double width = pen_text_width("888 V", &text) + LIVE_MARK_MM, height = LABEL_POTENTIAL_MM + 0.6;
  Point middle = {frame.x + frame.width / 2, frame.y + frame.height / 2};
  const Rect places[] = {
      {frame.x - 0.4 - width, middle.y - height / 2, width, height},
      {frame.x + frame.width + 0.4, middle.y - height / 2, width, height},
      {middle.x - width / 2, frame.y - 0.4 - height, width, height},
      {middle.x - width / 2, frame.y + frame.height + 0.4, width, height},
  };
  for (guint i = 0; i < G_N_ELEMENTS(places); i++)
    if (figure_cost_of_place(cache, places[i]) == 0) {
      figure_draw_live(pen, &(FigurePlace){.box = places[i], .align = TEXT_MIDDLE}, reading);
      return;
    }
}

/* A lead nobody has landed is live all the same: that is where people get hurt. */
static void
draw_live_terminals(Pen *pen, const Document *document, const FigureCache *cache,
                    const DeviceEntry *entry, const Solution *solution)
{
  static const PenStyle ring = {.width = PEN_HEAVY, .ink = INK_LIVE};
  int index = document_device_index(document, entry->device->id);
  for (guint i = 0; index >= 0 && i < entry->n_terminals; i++) {
    Reading reading;
    if (!figure_reading_to_earth(solution, circuit_node(solution->circuit, (guint)index, i),
                                 &reading))
      continue;
    if (entry->device->kind->role == ROLE_CAP)
      draw_live_cap(pen, cache, entry, &reading);
    else if (entry->landed[i] == 0)
      pen_circle(pen, device_terminal_point(entry->device, i), OPEN_RING_MM, &ring, NULL);
    if (!rect_is_empty(entry->open[i].box))
      figure_draw_live(pen, &entry->open[i], &reading);
  }
}

Device *
figure_dup_whole(const Device *device)
{
  if (device->kind->role != ROLE_FUSE || device->kind->operate_field == NULL)
    return NULL;
  g_autoptr(Device) whole = device_copy(device);
  if (!device_set(whole, device->kind->operate_field, NULL, NULL) || !device_derive(whole, NULL))
    return NULL;
  return g_steal_pointer(&whole);
}

void
figure_draw_device_entry(Pen *pen, const Document *document, const FigureCache *cache,
                         const DeviceEntry *entry, const FigureStyle *style)
{
  const Device *device = entry->device;
  g_autofree char *id = g_strdup_printf("device-%s", device->id);
  g_autofree char *title =
      g_strdup_printf("%s: %s", device_designation(device), _(device->kind->title));
  g_autofree char *rating =
      device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
  pen_begin_group(pen, id, title, rating);
  g_autoptr(Device) whole = style->covered ? figure_dup_whole(device) : NULL;
  draw_symbol(pen, whole != NULL ? whole : device,
              document_sheet(document)->values[SHEET_SYMBOLS].choice == SYMBOLS_IEC);
  draw_landings(pen, document, cache, entry, style);
  if (style->labels)
    draw_label(pen, entry);
  if (style->energized && style->solution != NULL)
    draw_live_terminals(pen, document, cache, entry, style->solution);
  if (!entry->is_outline) { /* an enclosure's inside belongs to what stands in it */
    const Rect r = entry->symbol;
    const Point body[] = {
        {r.x, r.y}, {r.x + r.width, r.y}, {r.x + r.width, r.y + r.height}, {r.x, r.y + r.height}};
    pen_hit(pen, body, G_N_ELEMENTS(body), 0);
  }
  pen_end_group(pen);
}

/* --- the calls of figure.h --- */

static const FigureCache *
cache_for(const Document *document, const FigureStyle *style)
{
  return style->cache != NULL ? style->cache : figure_cache_of_thread(document);
}

void
figure_draw_device(Pen *pen, const Document *document, const Device *device,
                   const FigureStyle *style)
{
  const FigureCache *cache = cache_for(document, style);
  const DeviceEntry *entry = figure_cache_find_device(cache, device);
  if (entry != NULL)
    figure_draw_device_entry(pen, document, cache, entry, style);
}

void
figure_draw_conductor(Pen *pen, const Document *document, const Conductor *conductor,
                      const FigureStyle *style)
{
  const FigureCache *cache = cache_for(document, style);
  const ConductorEntry *entry = figure_cache_find_conductor(cache, conductor);
  if (entry != NULL)
    figure_draw_conductor_entry(pen, cache, entry, style);
}

void
figure_draw(Pen *pen, const Document *document, const FigureStyle *style)
{
  const FigureCache *cache = cache_for(document, style);
  /* Outlines lie below everything they enclose. */
  for (int above = 0; above < 2; above++) {
    for (guint i = 0; above && i < cache->conductors->len; i++)
      figure_draw_conductor_entry(pen, cache, g_ptr_array_index(cache->conductors, i), style);
    for (guint i = 0; i < cache->devices->len; i++) {
      const DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
      if (entry->is_outline != (bool)above)
        figure_draw_device_entry(pen, document, cache, entry, style);
    }
  }
  figure_draw_points(pen, document, style, NULL);
}

static gint
compare_order(gconstpointer a, gconstpointer b)
{
  const FigureOwner *left = *(const FigureOwner *const *)a, *right = *(const FigureOwner *const *)b;
  return left->order < right->order ? -1 : left->order > right->order;
}

/* Entries of the devices in the window and of those that its conductors land on, in document
 * order. Borrowed. */
static GPtrArray *
device_entries_within(const FigureCache *cache, Rect window, const GPtrArray *conductors)
{
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  g_autoptr(GHashTable) seen = g_hash_table_new(NULL, NULL);
  GPtrArray *entries = g_ptr_array_new();
  figure_cache_devices_in(cache, window, devices);
  for (guint i = 0; i < devices->len; i++) {
    const DeviceEntry *entry = figure_cache_find_device(cache, g_ptr_array_index(devices, i));
    if (g_hash_table_add(seen, (gpointer)(guintptr)entry))
      g_ptr_array_add(entries, (gpointer)(guintptr)entry);
  }
  for (guint i = 0; i < conductors->len; i++) {
    const ConductorEntry *entry =
        figure_cache_find_conductor(cache, g_ptr_array_index(conductors, i));
    for (guint end = 0; end < 2; end++)
      if (entry->ends[end] != NULL && g_hash_table_add(seen, entry->ends[end]))
        g_ptr_array_add(entries, entry->ends[end]);
  }
  g_ptr_array_sort(entries, compare_order);
  return entries;
}

void
figure_draw_within(Pen *pen, const Document *document, const FigureStyle *style, Rect window)
{
  const FigureCache *cache = cache_for(document, style);
  g_autoptr(GPtrArray) conductors = g_ptr_array_new();
  figure_cache_conductors_in(cache, window, conductors);
  g_autoptr(GPtrArray) devices = device_entries_within(cache, window, conductors);
  for (int above = 0; above < 2; above++) {
    for (guint i = 0; above && i < conductors->len; i++)
      figure_draw_conductor_entry(
          pen, cache, figure_cache_find_conductor(cache, g_ptr_array_index(conductors, i)), style);
    for (guint i = 0; i < devices->len; i++) {
      const DeviceEntry *entry = g_ptr_array_index(devices, i);
      if (entry->is_outline != (bool)above)
        figure_draw_device_entry(pen, document, cache, entry, style);
    }
  }
  figure_draw_points(pen, document, style, &window);
}

GArray *
figure_route(const Document *document, const Conductor *conductor)
{
  const GArray *route = figure_cache_route(figure_cache_of_thread(document), conductor);
  GArray *copy = g_array_new(FALSE, FALSE, sizeof(Point));
  if (route != NULL)
    g_array_append_vals(copy, route->data, route->len);
  return copy;
}

GArray *
figure_route_points(const Document *document, Point from, int from_side, Point to, int to_side)
{
  return figure_cache_route_points(figure_cache_of_thread(document), from, from_side, to, to_side);
}
