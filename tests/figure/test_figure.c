/* SPDX-License-Identifier: MIT */
#include "diagram/document_file.h"
#include "figure/figure_private.h"
#include "figure_diagram.h"
#include "pen/pen_record.h"
#include "pen/pen_svg.h"

#include <math.h>
#include <string.h>
#include <time.h>

static const FigureStyle printed = {.labels = true, .as_printed = true};

static void
add_devices(Document *document)
{
  place(document, "supply", 20, 40, 0);
  place(document, "outline", 10, 25, 0);
  place(document, "disconnect", 75, 45, 0);
  place(document, "fuse", 110, 45, 0);
  place(document, "fuse", 110, 60, 0);
  place(document, "transformer", 155, 35, 0);
  place(document, "load", 260, 40, 0);
  place(document, "cap", 140, 80, 2);
  place(document, "cap", 140, 90, 2);
  place(document, "ground", 180, 120, 0);
  place(document, "ground", 60, 130, 0);
  place(document, "relay", 230, 80, 0);
  place(document, "lamp", 270, 95, 0);
  place(document, "splice", 220, 70, 0);
}

/* A greenhouse sheet: supply, disconnect, fuses, transformer with two capped leads, loads. */
static Document *
greenhouse(void)
{
  Document *document = document_new(parts_catalog());
  add_devices(document);
  land(document, "S1.L1", "DISC1.L1", "101", "black", "factory");
  land(document, "S1.L2", "DISC1.L2", "102", "red", "factory");
  land(document, "DISC1.T1", "FU1.1", "111", "black", "field");
  land(document, "DISC1.T2", "FU2.1", "112", "red", "field");
  land(document, "FU1.2", "T1.H4", "121", "brown", "field");
  land(document, "FU2.2", "T1.H1", "122", "grey", "field");
  land(document, "T1.H3", "WC1.1", "", "orange", "factory");
  land(document, "T1.H2", "WC2.1", "", "yellow", "factory");
  land(document, "T1.X2", "LD1.1", "201", "white", "field");
  land(document, "T1.X1", "LD1.2", "202", "blue/white", "field");
  land(document, "T1.FRAME", "GRD1.1", "G1", "green", "field");
  land(document, "T1.X1", "GRD1.1", "N1", "white/green", "field");
  land(document, "S1.GND", "GRD2.1", "G", "bare", "factory");
  land(document, "T1.X2", "CR1.A1", "203", "violet", "field");
  land(document, "T1.X1", "CR1.A2", "204", "blue", "field");
  land(document, "SP1.1", "CR1.C1", "", "pink", "field");
  land(document, "T1.X2", "SP1.1", "205", "tan", "field");
  land(document, "CR1.NO1", "LT1.1", "206", "", "field");
  land(document, "LT1.2", "SP1.1", "207", "", "factory");
  return document;
}

/* n pairs of a fuse and a lamp in rows, each fuse also feeding the pair below. */
static Document *
plant(guint pairs)
{
  Document *document = document_new(parts_catalog());
  g_autoptr(Change) change = change_new("Build");
  const PartKind *kinds[] = {part_catalog_find(parts_catalog(), "fuse"),
                             part_catalog_find(parts_catalog(), "lamp")};
  for (guint i = 0; i < 2 * pairs; i++) {
    g_autofree char *id = g_strdup_printf("%s%u", i % 2 == 0 ? "FU" : "LT", i / 2 + 1);
    g_autoptr(Device) device = device_new(kinds[i % 2], id);
    guint column = i % 40, row = i / 40;
    device->placement.at = (Point){20 + 40.0 * column, 20 + 25.0 * row};
    assert_true(device_derive(device, NULL));
    change_device(change, NULL, device);
  }
  for (guint i = 0; i < pairs; i++) {
    g_autofree char *fuse = g_strdup_printf("FU%u", i + 1);
    g_autofree char *lamp = g_strdup_printf("LT%u", i + 1);
    g_autofree char *below = g_strdup_printf("LT%u", i + 21);
    g_autofree char *number = g_strdup_printf("%u", i + 1);
    g_autoptr(Conductor) across = conductor_new(fuse, "2", lamp, "1");
    assert_true(conductor_set(across, "number", number, NULL));
    change_conductor(change, NULL, across);
    if (i + 21 > pairs)
      continue;
    g_autoptr(Conductor) down = conductor_new(fuse, "2", below, "2");
    assert_true(conductor_set(down, "colour", "red", NULL));
    change_conductor(change, NULL, down);
  }
  g_autoptr(GError) error = NULL;
  if (!document_apply(document, g_steal_pointer(&change), &error))
    fail_msg("%s", error->message);
  return document;
}

static FigureCache *
cache_of(const Document *document)
{
  FigureCache *cache = figure_cache_new();
  figure_cache_update(cache, document);
  return cache;
}

static Point
corner(const GArray *route, guint i)
{
  return g_array_index(route, Point, i);
}

/* --- colours --- */

static void
colours_are_known(void **state)
{
  (void)state;
  PenColour base, tracer;
  bool has_tracer;
  for (guint i = 0; figure_colour_names[i] != NULL; i++) {
    assert_true(figure_colour(figure_colour_names[i], &base, &tracer, &has_tracer));
    assert_false(has_tracer);
    for (guint k = 0; k < i; k++) { /* no two look alike */
      PenColour other;
      assert_true(figure_colour(figure_colour_names[k], &other, &tracer, &has_tracer));
      assert_true(fabs(base.red - other.red) + fabs(base.green - other.green) +
                      fabs(base.blue - other.blue) >
                  0.2);
    }
  }
  assert_true(figure_colour("White / Blue", &base, &tracer, &has_tracer));
  assert_true(has_tracer && base.red >= 1 && tracer.blue > tracer.red);
  assert_true(figure_colour("gray", &base, &tracer, &has_tracer));
  static const char *const unknown[] = {"", "see note", "white/", "/blue", "white/plaid", NULL};
  for (guint i = 0; unknown[i] != NULL; i++)
    assert_false(figure_colour(unknown[i], &base, &tracer, &has_tracer));
  assert_false(figure_colour(NULL, &base, &tracer, &has_tracer));
}

/* --- the drawing is drafted --- */

static bool
overlap(Rect a, Rect b)
{
  return rect_intersects(rect_grow(a, -0.02), rect_grow(b, -0.02));
}

/* Whether a label lies on something the symbol draws; the empty corners of its box are free. */
static bool
covers_symbol(const Device *device, Rect label)
{
  g_autoptr(Pen) pen = pen_record_new();
  pen_push(pen, device->placement);
  device->kind->draw(device, pen);
  pen_pop(pen);
  bool covers = false;
  const GArray *items = pen_record_items(pen);
  for (guint i = 0; i < items->len && !covers; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind != RECORD_LINE || item->filled)
      covers = item->kind != RECORD_GROUP && overlap(item->bounds, label);
    for (guint k = 1; item->kind == RECORD_LINE && k < item->points->len; k++)
      covers |= rect_cuts_segment(label, corner(item->points, k - 1), corner(item->points, k));
  }
  return covers;
}

static void
check_label(const FigureCache *cache, Rect label, const ConductorEntry *on)
{
  for (guint i = 0; i < cache->devices->len; i++) {
    const DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    if (!entry->is_outline && overlap(entry->symbol, label) && covers_symbol(entry->device, label))
      fail_msg("a label at (%g, %g) covers %s", label.x, label.y, entry->device->id);
  }
  for (guint i = 0; i < cache->conductors->len; i++) {
    const ConductorEntry *entry = g_ptr_array_index(cache->conductors, i);
    for (guint k = 1; entry != on && k < entry->route->len; k++)
      if (rect_cuts_segment(label, corner(entry->route, k - 1), corner(entry->route, k)))
        fail_msg("a label at (%g, %g), %g by %g, lies on conductor %s-%s", label.x, label.y,
                 label.width, label.height,
                 entry->conductor->from.device, entry->conductor->to.device);
  }
}

/* Live marks and volts belong to the screen; in crowded diagrams made for tests, not in what we
 * ship, one may stand on a line where there is no way round it. */
static bool printed_only;

/* Every label's box with its conductor, when it may lie on one. */
static void
each_label(const FigureCache *cache, void (*act)(const FigureCache *, Rect, const ConductorEntry *))
{
  for (guint i = 0; i < cache->devices->len; i++) {
    const DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    assert_false(rect_is_empty(entry->label.box));
    act(cache, entry->label.box, NULL);
    for (guint k = 0; k < entry->n_terminals; k++)
      if (!rect_is_empty(entry->open[k].box) && !printed_only)
        act(cache, entry->open[k].box, NULL);
  }
  for (guint i = 0; i < cache->conductors->len; i++) {
    const ConductorEntry *entry = g_ptr_array_index(cache->conductors, i);
    const FigurePlace *places[] = {&entry->number, &entry->potential};
    for (guint k = 0; k < 2; k++)
      if (!rect_is_empty(places[k]->box) && !(printed_only && k == 1))
        act(cache, places[k]->box, places[k]->backing ? entry : NULL);
  }
}

static GArray *seen_labels;

static void
check_against_seen(const FigureCache *cache, Rect label, const ConductorEntry *on)
{
  (void)cache;
  (void)on;
  for (guint i = 0; i < seen_labels->len; i++)
    assert_false(overlap(g_array_index(seen_labels, Rect, i), label));
  g_array_append_val(seen_labels, label);
}

static void
labels_cover_nothing(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  g_autoptr(FigureCache) cache = cache_of(document);
  each_label(cache, check_label);
  seen_labels = g_array_new(FALSE, FALSE, sizeof(Rect));
  each_label(cache, check_against_seen);
  assert_true(seen_labels->len > 40);
  g_array_unref(seen_labels);
}

/* Checks every diagram of a folder; returns how many there are. */
static guint
check_folder(const char *relative)
{
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), relative, NULL);
  g_autoptr(GDir) samples = g_dir_open(folder, 0, NULL);
  assert_non_null(samples);
  guint n = 0;
  for (const char *name; (name = g_dir_read_name(samples)) != NULL;) {
    if (!g_str_has_suffix(name, ".doorsheet"))
      continue;
    g_autoptr(GError) error = NULL;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(Document) document = document_read(path, parts_catalog(), &error);
    if (document == NULL)
      fail_msg("%s", error->message);
    print_message("%s\n", name);
    g_autoptr(FigureCache) cache = cache_of(document);
    each_label(cache, check_label);
    seen_labels = g_array_new(FALSE, FALSE, sizeof(Rect));
    each_label(cache, check_against_seen);
    g_array_unref(seen_labels);
    n++;
  }
  return n;
}

/* The shipped samples as they were drawn by people, given bends and all, and the sound diagrams of
 * the tests. What is printed of them is judged by tests/sheet/test_clear.c. */
static void
samples_are_drafted(void **state)
{
  (void)state;
  assert_true(check_folder("samples") >= 12);
  printed_only = true;
  assert_true(check_folder("tests/data/sound") >= 25);
  printed_only = false;
}

/* What is drawn of a label lies in the box that was kept free for it. */
static void
labels_stay_in_their_boxes(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  g_autoptr(FigureCache) cache = cache_of(document);
  guint checked = 0;
  for (guint i = 0; i < cache->devices->len; i++) {
    const DeviceEntry *entry = g_ptr_array_index(cache->devices, i);
    g_autoptr(Pen) pen = pen_record_new();
    FigureStyle style = printed;
    style.cache = cache;
    figure_draw_device(pen, document, entry->device, &style);
    const GArray *items = pen_record_items(pen);
    for (guint k = 0; k < items->len; k++) {
      const RecordItem *item = &g_array_index(items, RecordItem, k);
      if (item->kind != RECORD_TEXT || strcmp(item->text, entry->lines[0]) != 0)
        continue;
      assert_true(rect_holds(rect_grow(entry->label.box, 0.4), item->bounds) ||
                  rect_holds(entry->symbol, item->bounds));
      checked++;
    }
  }
  assert_true(checked >= cache->devices->len);
}

static void
check_route(const Document *document, const FigureCache *cache, const ConductorEntry *entry)
{
  static const Point out[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  const GArray *route = entry->route;
  assert_non_null(route);
  assert_ptr_equal(figure_cache_route(cache, entry->conductor), route);
  for (guint end = 0; end < 2; end++) {
    const Device *device = entry->ends[end]->device;
    Point at = device_terminal_point(device, entry->terminals[end]);
    Point first = corner(route, end == 0 ? 0 : route->len - 1);
    Point next = corner(route, end == 0 ? 1 : route->len - 2);
    Point way = out[device_terminal_side(device, entry->terminals[end]) & 3];
    assert_true(point_equal(first, at));
    if (device->kind->role != ROLE_SPLICE)
      assert_true((next.x - at.x) * way.x + (next.y - at.y) * way.y > 0);
  }
  for (guint i = 1; i < route->len; i++) {
    Point a = corner(route, i - 1), b = corner(route, i);
    assert_true(fabs(a.x - b.x) < 1e-6 || fabs(a.y - b.y) < 1e-6);
    for (guint k = 0; k < document_device_count(document); k++) {
      const Device *device = document_device(document, k);
      if (device->kind->role == ROLE_OUTLINE || device == entry->ends[0]->device ||
          device == entry->ends[1]->device)
        continue;
      if (rect_cuts_segment(figure_device_bounds(device), a, b))
        fail_msg("conductor %s-%s runs through %s", entry->conductor->from.device,
                 entry->conductor->to.device, device->id);
    }
  }
}

static void
routes_go_round_devices(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  g_autoptr(FigureCache) cache = cache_of(document);
  for (guint i = 0; i < cache->conductors->len; i++)
    check_route(document, cache, g_ptr_array_index(cache->conductors, i));
}

/* Length two level or upright stretches have in common. */
static double
shared_length(Point a, Point b, Point c, Point d)
{
  bool level = fabs(a.y - b.y) < 1e-6, other_level = fabs(c.y - d.y) < 1e-6;
  if (level != other_level || fabs(level ? a.y - c.y : a.x - c.x) > 0.5)
    return 0;
  return level ? MIN(MAX(a.x, b.x), MAX(c.x, d.x)) - MAX(MIN(a.x, b.x), MIN(c.x, d.x))
               : MIN(MAX(a.y, b.y), MAX(c.y, d.y)) - MAX(MIN(a.y, b.y), MIN(c.y, d.y));
}

static bool
share_a_terminal(const ConductorEntry *a, const ConductorEntry *b)
{
  for (guint i = 0; i < 2; i++)
    for (guint k = 0; k < 2; k++)
      if (a->ends[i] == b->ends[k] && a->terminals[i] == b->terminals[k])
        return true;
  return false;
}

static void
conductors_do_not_run_together(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  g_autoptr(FigureCache) cache = cache_of(document);
  for (guint i = 0; i < cache->conductors->len; i++)
    for (guint k = 0; k < i; k++) {
      const ConductorEntry *one = g_ptr_array_index(cache->conductors, i);
      const ConductorEntry *two = g_ptr_array_index(cache->conductors, k);
      double shared = 0;
      for (guint a = 1; a < one->route->len; a++)
        for (guint b = 1; b < two->route->len; b++)
          shared = MAX(shared, shared_length(corner(one->route, a - 1), corner(one->route, a),
                                             corner(two->route, b - 1), corner(two->route, b)));
      /* From one terminal they have to start together; a dot marks where they part. */
      assert_true(shared < (share_a_terminal(one, two) ? 2 * GRID_STEP_MM + 0.1 : 0.1));
    }
}

/* --- drawing --- */

static char *
svg_of(const Document *document, Palette palette, const FigureStyle *style)
{
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_svg_new(bytes, palette, "Test", NULL, NULL);
  g_autoptr(GError) error = NULL;
  pen_begin_page(pen, 350, 200, NULL);
  figure_draw(pen, document, style);
  pen_end_page(pen);
  if (!pen_finish(pen, &error))
    fail_msg("%s", error->message);
  return g_strndup((const char *)bytes->data, bytes->len);
}

static void
groups_name_everything(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  g_autofree char *svg = svg_of(document, PALETTE_LIGHT, &printed);
  for (guint i = 0; i < document_device_count(document); i++) {
    g_autofree char *id = g_strdup_printf("id=\"device-%s\"", document_device(document, i)->id);
    assert_non_null(strstr(svg, id));
  }
  assert_non_null(strstr(svg, "id=\"conductor-FU1.2-T1.H4\""));
  assert_non_null(strstr(svg, "<title>conductor 121</title>"));
  assert_non_null(strstr(svg, "FU1.2 to T1.H4, field wiring, brown"));
}

/* Dashes of one conductor's group in the SVG. */
static bool
is_dashed(const char *svg, const char *id)
{
  const char *start = strstr(svg, id);
  assert_non_null(start);
  const char *end = strstr(start, "</g>");
  const char *dash = strstr(start, "stroke-dasharray");
  return dash != NULL && dash < end;
}

static void
field_wiring_is_dashed_in_every_palette(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  for (int palette = 0; palette < PALETTE_COUNT; palette++) {
    g_autofree char *svg = svg_of(document, (Palette)palette, &printed);
    assert_true(is_dashed(svg, "id=\"conductor-FU1.2-T1.H4\""));
    assert_true(is_dashed(svg, "id=\"conductor-T1.X2-LD1.1\"")); /* white on white */
    assert_false(is_dashed(svg, "id=\"conductor-S1.L1-DISC1.L1\""));
    assert_false(is_dashed(svg, "id=\"conductor-T1.H2-WC2.1\""));
  }
}

static guint
count_items(const Pen *pen, RecordKind kind, double width)
{
  guint n = 0;
  const GArray *items = pen_record_items(pen);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    n += item->kind == kind && fabs(item->bounds.width - width) < 1e-3;
  }
  return n;
}

/* Two lamps' conductors made to cross: one hop; two made to meet: a dot and no hop. */
static void
crossings_hop_and_joints_are_dotted(void **state)
{
  (void)state;
  for (int joined = 0; joined < 2; joined++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    for (int i = 0; i < 4; i++)
      place(document, "lamp", i < 2 ? 20 : 100, i % 2 ? 80 : 20, 0);
    land(document, "LT1.2", joined ? "LT3.1" : "LT4.1", "", "", "factory");
    const Conductor *second =
        land(document, joined ? "LT1.2" : "LT2.2", "LT3.1", "", "", "factory");
    const Point via[] = {{60, joined ? 20 : 80}, {60, 20}};
    apply(document, edit_set_via(document, second->key, via, 2));
    g_autoptr(Pen) pen = pen_record_new();
    figure_draw(pen, document, &printed);
    guint hops = 0;
    const GArray *items = pen_record_items(pen);
    for (guint i = 0; i < items->len; i++) {
      const RecordItem *item = &g_array_index(items, RecordItem, i);
      hops += item->kind == RECORD_LINE && item->points->len > 12;
    }
    assert_int_equal(hops, joined ? 0 : 1);
    if (joined)
      assert_true(count_items(pen, RECORD_ARC, 1.6) >= 2); /* the larger dots */
  }
}

static void
screen_aids_are_not_printed(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  place(document, "lamp", 20, 20, 0);
  FigureStyle screen = {.labels = true};
  guint counts[2];
  for (int i = 0; i < 2; i++) {
    g_autoptr(Pen) pen = pen_record_new();
    figure_draw(pen, document, i == 0 ? &printed : &screen);
    counts[i] = pen_record_items(pen)->len;
  }
  assert_int_equal(counts[1], counts[0] + 2); /* a ring on each free terminal */
}

static void
labels_can_be_left_out(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  FigureStyle bare = {.as_printed = true};
  g_autoptr(Pen) pen = pen_record_new();
  figure_draw(pen, document, &bare);
  const GArray *items = pen_record_items(pen);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT) {
      assert_string_not_equal(item->text, "FU1");
      assert_string_not_equal(item->text, "121");
    }
  }
}

static void
live_parts_are_marked(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  static const char *const readings[][2] = {{"L1 L2", "486 V"},  {"L2 L3", "484 V"},
                                            {"L1 L3", "485 V"},  {"L1 GND", "281 V"},
                                            {"L2 GND", "280 V"}, {"L3 GND", "279 V"}};
  while (device_row_count(document_find_device(document, "S1")) < G_N_ELEMENTS(readings))
    apply(document, edit_add_row(document, "S1", NULL));
  for (guint i = 0; i < G_N_ELEMENTS(readings); i++) {
    apply(document, edit_set_row_field(document, "S1", i, "between", readings[i][0], NULL));
    apply(document, edit_set_row_field(document, "S1", i, "value", readings[i][1], NULL));
  }
  set(document, "DISC1", "closed", "yes");
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(GError) error = NULL;
  g_autoptr(Solution) solution = solution_new(circuit, &error);
  if (solution == NULL)
    fail_msg("%s", error->message);
  FigureStyle live = {.labels = true, .as_printed = true, .energized = true, .solution = solution};
  g_autofree char *dead = svg_of(document, PALETTE_LIGHT, &printed);
  g_autofree char *energized = svg_of(document, PALETTE_LIGHT, &live);
  assert_null(strstr(dead, "class=\"f-live\""));
  assert_non_null(strstr(energized, ">281 V</text>"));
  assert_non_null(strstr(energized, ">279 V</text>"));          /* the open L3 */
  assert_non_null(strstr(energized, "Z\" class=\"f-live\"/>")); /* not by colour alone */
}

/* --- the cache --- */

static void
check_same(const FigureCache *kept, const FigureCache *fresh)
{
  assert_int_equal(kept->devices->len, fresh->devices->len);
  assert_int_equal(kept->conductors->len, fresh->conductors->len);
  for (guint i = 0; i < kept->devices->len; i++) {
    const DeviceEntry *a = g_ptr_array_index(kept->devices, i);
    const DeviceEntry *b = g_ptr_array_index(fresh->devices, i);
    assert_ptr_equal(a->device, b->device);
    assert_memory_equal(&a->label.box, &b->label.box, sizeof(Rect));
    for (guint k = 0; k < a->n_terminals; k++)
      assert_memory_equal(&a->open[k].box, &b->open[k].box, sizeof(Rect));
  }
  for (guint i = 0; i < kept->conductors->len; i++) {
    const ConductorEntry *a = g_ptr_array_index(kept->conductors, i);
    const ConductorEntry *b = g_ptr_array_index(fresh->conductors, i);
    assert_ptr_equal(a->conductor, b->conductor);
    assert_int_equal(a->route->len, b->route->len);
    assert_memory_equal(a->route->data, b->route->data, a->route->len * sizeof(Point));
    assert_memory_equal(&a->number.box, &b->number.box, sizeof(Rect));
    assert_memory_equal(&a->potential.box, &b->potential.box, sizeof(Rect));
  }
}

static void
edit_at_random(Document *document, GRand *random)
{
  guint n = document_device_count(document);
  const char *id = document_device(document, (guint)g_rand_int_range(random, 0, (gint)n))->id;
  const char *const ids[] = {id, NULL};
  switch (g_rand_int_range(random, 0, 8)) {
  case 0:
  case 1:
    apply(document, edit_move(document, ids,
                              (Point){GRID_STEP_MM * g_rand_int_range(random, -6, 7),
                                      GRID_STEP_MM * g_rand_int_range(random, -6, 7)}));
    break;
  case 2:
    apply(document, edit_turn(document, ids, 1));
    break;
  case 3:
    apply(document, edit_mirror(document, ids));
    break;
  case 4:
    if (n > 8)
      apply(document, edit_delete(document, ids, NULL, 0));
    break;
  case 5:
    place(document, "lamp", grid_snap(g_rand_double_range(random, 10, 300)),
          grid_snap(g_rand_double_range(random, 10, 150)), 0);
    break;
  case 6:
    if (document_can_undo(document))
      document_undo(document);
    break;
  default:
    if (document_can_redo(document))
      document_redo(document);
    break;
  }
}

static void
kept_cache_equals_a_fresh_one(void **state)
{
  (void)state;
  GRand *random = g_rand_new_with_seed(20261125);
  g_autoptr(Document) document = greenhouse();
  g_autoptr(FigureCache) kept = cache_of(document);
  for (int step = 0; step < 250; step++) {
    edit_at_random(document, random);
    figure_cache_update(kept, document);
    g_autoptr(FigureCache) fresh = cache_of(document);
    check_same(kept, fresh);
  }
  g_rand_free(random);
}

static void
queries_find_what_is_there(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  g_autoptr(FigureCache) cache = cache_of(document);
  GRand *random = g_rand_new_with_seed(3);
  for (int round = 0; round < 200; round++) {
    Rect window = {g_rand_double_range(random, 0, 300), g_rand_double_range(random, 0, 150),
                   g_rand_double_range(random, 0, 80), g_rand_double_range(random, 0, 80)};
    g_autoptr(GPtrArray) devices = g_ptr_array_new();
    g_autoptr(GPtrArray) conductors = g_ptr_array_new();
    figure_cache_devices_in(cache, window, devices);
    figure_cache_conductors_in(cache, window, conductors);
    for (guint i = 0; i < document_device_count(document); i++) {
      const Device *device = document_device(document, i);
      bool there = rect_intersects(figure_cache_symbol_box(cache, device), window);
      if (there)
        assert_true(g_ptr_array_find(devices, device, NULL));
    }
    for (guint i = 0; i < document_conductor_count(document); i++) {
      const Conductor *conductor = document_conductor(document, i);
      const GArray *route = figure_cache_route(cache, conductor);
      bool there = false;
      for (guint k = 1; k < route->len; k++)
        there |= rect_cuts_segment(window, corner(route, k - 1), corner(route, k));
      if (there)
        assert_true(g_ptr_array_find(conductors, conductor, NULL));
    }
    assert_true(devices->len <= document_device_count(document));
  }
  g_rand_free(random);
}

static double
seconds_to_draw(guint pairs)
{
  g_autoptr(Document) document = plant(pairs);
  g_autoptr(Pen) pen = pen_record_new();
  clock_t start = clock();
  g_autoptr(FigureCache) cache = cache_of(document);
  FigureStyle style = printed;
  style.cache = cache;
  figure_draw(pen, document, &style);
  assert_true(pen_finish(pen, NULL));
  return (double)(clock() - start) / CLOCKS_PER_SEC;
}

/* Processor time, as other programs may be busy. Near-linear: ten times the devices take about ten
 * times as long; quadratic would be a hundred. */
static void
many_devices_take_proportional_time(void **state)
{
  (void)state;
  seconds_to_draw(50); /* fonts and the like */
  double small = seconds_to_draw(500), large = seconds_to_draw(5000);
  print_message("1 000 devices: %.3f s, 10 000 devices: %.3f s, ratio %.1f\n", small, large,
                large / small);
  assert_true(large / small < 30);
}

static guint
count_tags(Document *document, const Rect *window, Rect *tags, guint most)
{
  FigureStyle style = printed;
  g_autoptr(Pen) pen = pen_record_new();
  figure_draw_points(pen, document, &style, window);
  const GArray *items = pen_record_items(pen);
  guint n = 0;
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT && g_str_has_prefix(item->text, "TP") && n < most)
      tags[n++] = item->bounds;
  }
  return n;
}

/* A tag at each point but the ground, clear of labels, symbols and of one another, the same
 * whatever part is drawn, and gone when unpinned. */
static void
points_have_tags(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  const Landing x2 = {(char *)"T1", (char *)"X2"}, x1 = {(char *)"T1", (char *)"X1"};
  const Landing fuse = {(char *)"FU1", (char *)"1"}, earth = {NULL, (char *)"GND"};
  Rect tags[16], again[16];
  assert_int_equal(count_tags(document, NULL, tags, 16), 0);
  g_autofree char *before = svg_of(document, PALETTE_LIGHT, &printed);
  apply(document, edit_pin(document, &x2, &x1, NULL, NULL));
  apply(document, edit_pin(document, &fuse, &earth, NULL, NULL));
  apply(document, edit_pin(document, &fuse, &x1, NULL, NULL));
  guint n = count_tags(document, NULL, tags, 16);
  assert_int_equal(n, 5);
  const FigureCache *cache = figure_cache_of_thread(document);
  for (guint i = 0; i < n; i++) {
    for (guint k = 0; k < i; k++)
      assert_false(rect_intersects(tags[i], tags[k]));
    for (guint d = 0; d < cache->devices->len; d++) {
      const DeviceEntry *entry = g_ptr_array_index(cache->devices, d);
      assert_false(!entry->is_outline && rect_intersects(tags[i], entry->symbol));
      assert_false(rect_intersects(tags[i], entry->label.box));
    }
  }
  Rect window = rect_grow(tags[0], 1);
  guint fewer = count_tags(document, &window, again, 16);
  assert_true(fewer > 0 && fewer < n);
  assert_memory_equal(&again[0], &tags[0], sizeof(Rect));
  apply(document, edit_unpin(document, &x1, &x2, NULL));
  apply(document, edit_unpin(document, &fuse, &earth, NULL));
  apply(document, edit_unpin(document, &fuse, &x1, NULL));
  g_autofree char *after = svg_of(document, PALETTE_LIGHT, &printed);
  assert_string_equal(before, after);
}

static void
a_small_edit_is_cheap(void **state)
{
  (void)state;
  g_autoptr(Document) document = plant(5000);
  clock_t start = clock();
  g_autoptr(FigureCache) cache = cache_of(document);
  clock_t whole = clock() - start;
  apply(document, edit_move(document, (const char *const[]){"FU1000", NULL}, (Point){2.5, 5}));
  start = clock();
  figure_cache_update(cache, document);
  clock_t part = clock() - start;
  print_message("10 000 devices anew: %.1f ms, after moving one: %.2f ms\n",
                1e3 * (double)whole / CLOCKS_PER_SEC, 1e3 * (double)part / CLOCKS_PER_SEC);
  assert_true(part * 10 < whole);
}

static gpointer
draw_in_thread(gpointer data)
{
  const Document *document = data;
  g_autoptr(Pen) pen = pen_record_new();
  figure_draw(pen, document, &printed);
  return pen_record_dump(pen);
}

static void
threads_draw_alike(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  Document *snapshots[3] = {document_snapshot(document), document_snapshot(document),
                            document_snapshot(document)};
  GThread *threads[3];
  for (guint i = 0; i < 3; i++)
    threads[i] = g_thread_new("draw", draw_in_thread, snapshots[i]);
  g_autofree char *expected = draw_in_thread(document);
  for (guint i = 0; i < 3; i++) {
    g_autofree char *drawn = g_thread_join(threads[i]);
    assert_string_equal(drawn, expected);
  }
  for (guint i = 0; i < 3; i++)
    document_free(snapshots[i]);
}

static void
rubber_bands_leave_devices(void **state)
{
  (void)state;
  g_autoptr(Document) document = greenhouse();
  const Device *fuse = document_find_device(document, "FU1");
  Point from = device_terminal_point(fuse, 1), to = {170, 45}; /* over the transformer */
  g_autoptr(GArray) route = figure_route_points(document, from, 0, to, -1);
  assert_true(point_equal(corner(route, 0), from));
  assert_true(point_equal(corner(route, route->len - 1), to));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(colours_are_known),
      cmocka_unit_test(labels_cover_nothing),
      cmocka_unit_test(samples_are_drafted),
      cmocka_unit_test(labels_stay_in_their_boxes),
      cmocka_unit_test(routes_go_round_devices),
      cmocka_unit_test(conductors_do_not_run_together),
      cmocka_unit_test(groups_name_everything),
      cmocka_unit_test(field_wiring_is_dashed_in_every_palette),
      cmocka_unit_test(crossings_hop_and_joints_are_dotted),
      cmocka_unit_test(screen_aids_are_not_printed),
      cmocka_unit_test(labels_can_be_left_out),
      cmocka_unit_test(live_parts_are_marked),
      cmocka_unit_test(kept_cache_equals_a_fresh_one),
      cmocka_unit_test(queries_find_what_is_there),
      cmocka_unit_test(many_devices_take_proportional_time),
      cmocka_unit_test(points_have_tags),
      cmocka_unit_test(a_small_edit_is_cheap),
      cmocka_unit_test(threads_draw_alike),
      cmocka_unit_test(rubber_bands_leave_devices),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
