/* SPDX-License-Identifier: MIT */
/* What an energized diagram shows: heavier lines for higher potentials, dead parts, live leads that
 * nobody has landed, and insulation colours in letters. */
#include "diagram/document_file.h"
#include "figure/figure_draw.h"
#include "figure_diagram.h"
#include "pen/pen_record.h"
#include "pen/pen_svg.h"
#include "pen/pen_text.h"

#include <math.h>
#include <string.h>

static Document *
sample(const char *name)
{
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", name, NULL);
  g_autoptr(GError) error = NULL;
  Document *document = document_read(path, parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

static guint
conductor_numbered(const Document *document, const char *number)
{
  for (guint i = 0; i < document_conductor_count(document); i++)
    if (strcmp(conductor_text(document_conductor(document, i), CONDUCTOR_NUMBER), number) == 0)
      return i;
  fail_msg("no conductor %s", number);
  return 0;
}

typedef struct {
  Document *document;
  Circuit *circuit;
  Solution *solution;
  FigurePower *power;
} Live;

static Live
energize(const char *name, const char *opened)
{
  Live live = {.document = sample(name)};
  if (opened != NULL)
    apply(live.document, edit_operate(live.document, opened, NULL));
  live.circuit = circuit_build(live.document, NULL);
  live.solution = solution_new(live.circuit, NULL);
  assert_non_null(live.solution);
  live.power = figure_power_new(live.document, live.solution);
  return live;
}

static void
live_clear(Live *live)
{
  figure_power_free(live->power);
  solution_free(live->solution);
  circuit_free(live->circuit);
  document_free(live->document);
}

static bool
wire_is_dead(const Live *live, const char *number)
{
  return figure_power_is_dead_conductor(live->power, live->document,
                                        conductor_numbered(live->document, number));
}

static bool
device_is_dead(const Live *live, const char *id)
{
  return figure_power_is_dead_device(live->power, live->document,
                                     (guint)document_device_index(live->document, id));
}

static void
dead_is_without_volts_and_without_current(void **state)
{
  (void)state;
  Live live = energize("damper-480.doorsheet", NULL);
  assert_false(wire_is_dead(&live, "101"));
  assert_false(wire_is_dead(&live, "201"));
  assert_false(
      wire_is_dead(&live, "200")); /* at ground potential, but the load's current returns */
  assert_true(wire_is_dead(&live, "GND"));
  assert_false(device_is_dead(&live, "T1"));
  assert_false(device_is_dead(&live, "WC1")); /* a capped lead is live */
  assert_false(device_is_dead(&live, "SP1"));
  assert_true(device_is_dead(&live, "GRD2"));
  assert_false(device_is_dead(&live, "ENC1")); /* an outline is neither */
  live_clear(&live);
  /* The disconnect opened: its line side stays live, all behind it is dead. */
  live = energize("damper-480.doorsheet", "DISC1");
  assert_false(wire_is_dead(&live, "1L1"));
  assert_false(device_is_dead(&live, "DISC1"));
  assert_true(wire_is_dead(&live, "101"));
  assert_true(wire_is_dead(&live, "200"));
  assert_true(device_is_dead(&live, "T1"));
  assert_true(device_is_dead(&live, "WC1"));
  assert_true(device_is_dead(&live, "LD1"));
  live_clear(&live);
}

static double
weight(ReadingState state, double volts)
{
  return figure_weight(&(Reading){.state = state, .volts = volts});
}

static void
higher_potentials_are_heavier(void **state)
{
  (void)state;
  static const double volts[] = {24, 120, 277, 347};
  double last = 0;
  for (guint i = 0; i < G_N_ELEMENTS(volts); i++) {
    double now = weight(READING_LIVE, volts[i]);
    assert_true(now >= last + 0.2); /* seen without measuring */
    last = now;
  }
  assert_true(fabs(weight(READING_DEAD, 0) - 1) < 1e-9);
  /* Lines on neighbouring grid points stay apart. */
  assert_true(last * 0.72 < GRID_STEP_MM * 0.7);
}

static char *
svg_of(const Document *document, const FigureStyle *style)
{
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_svg_new(bytes, PALETTE_LIGHT, "t", "d", NULL);
  pen_begin_page(pen, 280, 216, "p");
  figure_draw(pen, document, style);
  pen_end_page(pen);
  assert_true(pen_finish(pen, NULL));
  return g_strndup((const char *)bytes->data, bytes->len);
}

/* The widest line of the group with this id, as written. */
static double
widest_in(const char *svg, const char *id)
{
  g_autofree char *start = g_strdup_printf("id=\"%s\"", id);
  const char *from = strstr(svg, start);
  if (from == NULL)
    fail_msg("no group %s", id);
  const char *end = strstr(from, "</g>");
  double widest = 0;
  for (const char *c = from; (c = strstr(c, "stroke-width=\"")) != NULL && c < end; c++) {
    const char *open = g_strrstr_len(from, c - from, "<");
    if (open == NULL || g_strstr_len(open, c - open, "class=\"hit\"") == NULL) /* is drawn */
      widest = MAX(widest, g_ascii_strtod(c + strlen("stroke-width=\""), NULL));
  }
  return widest;
}

static void
a_sheet_at_rest_and_live(void **state)
{
  (void)state;
  Live live = energize("damper-480.doorsheet", NULL);
  FigureStyle style = {.labels = true, .solution = live.solution};
  g_autofree char *rest = svg_of(live.document, &style);
  style.energized = true;
  g_autofree char *on = svg_of(live.document, &style);
  const char *high = "conductor-FU1.2-T1.H4", *low = "conductor-T1.X2-LD1.1";
  assert_true(fabs(widest_in(rest, high) - widest_in(rest, low)) < 1e-9);
  assert_true(widest_in(on, high) > 1.4 * widest_in(on, low)); /* 281 V beside 24 V to ground */
  /* The line terminal nobody has landed is ringed, and the capped leads framed with their volts:
   * a tap of 240 V of a winding on 484 V stands at 281 V minus half of it, by the phasors 139 V. */
  assert_null(strstr(rest, "139 V"));
  assert_non_null(strstr(on, "139 V"));
  live_clear(&live);
}

static void
every_colour_has_letters_of_its_own(void **state)
{
  (void)state;
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; figure_colour_names[i] != NULL; i++) {
    char *code = figure_colour_code(figure_colour_names[i]);
    assert_non_null(code);
    assert_true(strlen(code) >= 3 && strlen(code) <= 4);
    assert_true(g_hash_table_add(seen, code));
  }
  g_autofree char *traced = figure_colour_code("blue/white");
  assert_string_equal(traced, "BLU/WHT");
  g_autofree char *gray = figure_colour_code("gray");
  assert_string_equal(gray, "GRY");
  assert_null(figure_colour_code("plaid"));
  assert_null(figure_colour_code("blue/plaid"));
  assert_null(figure_colour_code(""));
}

/* Texts of the whole sheet, the letters last; *first: where they begin. */
static GArray *
texts_of(const Document *document, const FigureStyle *style, Pen *pen, guint *first)
{
  figure_draw(pen, document, style);
  guint before = pen_record_items(pen)->len;
  for (guint i = 0; i < document_conductor_count(document); i++)
    figure_draw_code(pen, document, document_conductor(document, i), style);
  const GArray *items = pen_record_items(pen);
  GArray *boxes = g_array_new(FALSE, FALSE, sizeof(Rect));
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (i == before)
      *first = boxes->len;
    if (item->kind == RECORD_TEXT)
      g_array_append_val(boxes, item->bounds);
  }
  return boxes;
}

static void
letters_take_only_free_room(void **state)
{
  (void)state;
  static const char *const names[] = {"damper-480.doorsheet", "pump-208.doorsheet",
                                      "fan-480.doorsheet", "controller-600.doorsheet"};
  for (guint n = 0; n < G_N_ELEMENTS(names); n++) {
    g_autoptr(Document) document = sample(names[n]);
    FigureStyle style = {.labels = true};
    g_autoptr(Pen) pen = pen_record_new();
    guint first = G_MAXUINT;
    g_autoptr(GArray) boxes = texts_of(document, &style, pen, &first);
    assert_true(first < boxes->len && boxes->len - first >= 4);
    for (guint i = first; i < boxes->len; i++)
      for (guint k = 0; k < i; k++)
        if (rect_intersects(rect_grow(g_array_index(boxes, Rect, i), -0.4),
                            rect_grow(g_array_index(boxes, Rect, k), -0.4)))
          fail_msg("%s: letters %u lie on text %u", names[n], i, k);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(dead_is_without_volts_and_without_current),
      cmocka_unit_test(higher_potentials_are_heavier),
      cmocka_unit_test(a_sheet_at_rest_and_live),
      cmocka_unit_test(every_colour_has_letters_of_its_own),
      cmocka_unit_test(letters_take_only_free_room),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
