/* SPDX-License-Identifier: MIT */
/* Geometry of composed sheets on every paper, for the fixture and every sample: texts stay inside
 * the border, no text stands on another, lettering is large enough, and long texts wrap. */
#include "sheet_fixture.h"

#include "sheet/sheet_private.h"
#include <math.h>

/* The figure's group on a page, so that its own lettering can be told apart. */
static bool
in_diagram(const GArray *items, guint i)
{
  for (guint j = i; j-- > 0;) {
    const RecordItem *item = &g_array_index(items, RecordItem, j);
    if (item->kind == RECORD_GROUP && item->depth == 0)
      return item->text != NULL && g_str_has_prefix(item->text, "diagram");
  }
  return false;
}

static double
letter_height(const RecordItem *item)
{
  const TextStyle one = {.height = 1};
  double above = 0, below = 0;

  pen_text_extents(&one, &above, &below);
  return MIN(item->bounds.height, MAX(item->bounds.width, item->bounds.height)) / (above + below);
}

static void
check_texts(const Sheet *sheet, const char *what, Pen *record)
{
  const GArray *items = pen_record_items(record);
  const double edge = sheet->frame.label ? 3 : 6;
  const Rect paper = {edge, edge, sheet->width - 2 * edge, sheet->height - 2 * edge};

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind != RECORD_GROUP && !rect_is_empty(item->bounds) &&
        !rect_holds(rect_grow(paper, 0.01), item->bounds))
      fail_msg("%s: page %u: %s leaves the border: %.2f %.2f %.2f %.2f", what, item->page + 1,
               item->text != NULL ? item->text : "a line", item->bounds.x, item->bounds.y,
               item->bounds.width, item->bounds.height);
    if (item->kind != RECORD_TEXT)
      continue;
    if (!in_diagram(items, i) && letter_height(item) < sheet->frame.lettering.body - 0.01)
      fail_msg("%s: \"%s\" is only %.2f mm high", what, item->text, letter_height(item));
    for (guint j = 0; j < i; j++) {
      const RecordItem *other = &g_array_index(items, RecordItem, j);
      if (other->kind == RECORD_TEXT && other->page == item->page &&
          rect_intersects(rect_grow(item->bounds, -0.02), rect_grow(other->bounds, -0.02)))
        fail_msg("%s: page %u: \"%s\" stands on \"%s\" at %.1f, %.1f", what, item->page + 1,
                 item->text, other->text, item->bounds.x, item->bounds.y);
    }
  }
}

static void
set_field(Document *document, bool equipment, const char *field, const char *text)
{
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(document, equipment, field, text, &error);

  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

static void
check_document(Document *document, const char *name)
{
  static const char *const orientations[] = {"landscape", "portrait"};

  for (guint o = 0; o < G_N_ELEMENTS(orientations); o++) {
    set_field(document, false, "orientation", orientations[o]);
    for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
      g_autofree char *what = g_strdup_printf("%s on %s %s", name, paper->name, orientations[o]);
      g_autoptr(Sheet) sheet = fixture_sheet(document, paper->name, PALETTE_LIGHT);
      g_autoptr(Pen) record = fixture_record(sheet);
      check_texts(sheet, what, record);
    }
  }
}

static void
test_all_samples_on_all_papers(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autofree char *name = g_path_get_basename(paths->pdata[i]);
    check_document(document, name);
  }
}

/* The longest texts the file format takes, with and without spaces, still wrap; where a label has
 * no room for them the sheet is refused rather than cut off. */
static void
test_long_texts_wrap(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autofree char *spaced = g_strnfill(200, 'W');
  (void)state;

  set_field(document, false, "title", spaced);
  for (guint i = 7; i < 200; i += 8)
    spaced[i] = ' ';
  set_field(document, true, "location", spaced);
  spaced[40] = '\0';
  set_field(document, true, "tag", spaced);
  set_field(document, false, "sheet", spaced);
  for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
    const SheetOptions options = {.paper = paper->name, .date = "2026-11-25"};
    g_autoptr(Inspection) inspection = inspection_new(document);
    g_autoptr(GError) error = NULL;
    g_autoptr(Sheet) sheet = sheet_compose(inspection, &options, &error);
    if (sheet == NULL) {
      assert_string_equal(paper->name, "label-4x6");
      assert_non_null(strstr(error->message, "Choose a larger paper"));
      continue;
    }
    g_autoptr(Pen) record = fixture_record(sheet);
    check_texts(sheet, paper->name, record);
  }
}

static void
test_title_block(void **state)
{
  static const char *const said[] = {"Condensate pump add-on",
                                     "MAU-2",
                                     "Greenhouse roof, north bay",
                                     "E-104",
                                     "R. Okafor",
                                     "20 Nov 2026",
                                     "not an approval",
                                     ("Checked on 25 Nov 2026 by Doorsheet " DOORSHEET_VERSION)};
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(said); i++)
    if (!fixture_says(sheet, said[i]))
      fail_msg("the sheet does not say \"%s\"", said[i]);
}

/* Everything the technician needs stands on the sheet, and on the label what the door needs. */
static void
test_contents(void **state)
{
  static const char *const both[] = {"DANGER",      "WARNING",      "NOTICE",
                                     "Leads of T1", "capped (WC1)", "eadings, energized"};
  static const char *const full[] = {
      "Legend",        "field wiring", "factory wiring", "Wire schedule",
      "Order of work", "Parts",        "Signatures",     "1:1"};
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) letter = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(Sheet) label = fixture_sheet(document, "label-4x6", PALETTE_LIGHT);
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(both); i++) {
    if (!fixture_says(letter, both[i]))
      fail_msg("the letter sheet does not say \"%s\"", both[i]);
    if (!fixture_says(label, both[i]))
      fail_msg("the label does not say \"%s\"", both[i]);
  }
  for (guint i = 0; i < G_N_ELEMENTS(full); i++)
    if (!fixture_says(letter, full[i]))
      fail_msg("the letter sheet does not say \"%s\"", full[i]);
  assert_true(fixture_says(label, "are on sheet E-104"));
}

/* Numbered tags are explained where there are any. */
static void
test_legend_of_points(void **state)
{
  const Landing a = {(char *)"T1", (char *)"X2"}, earth = {NULL, (char *)"GND"};
  g_autoptr(Document) document = fixture_pump();
  (void)state;

  g_autoptr(Sheet) before = fixture_sheet(document, "letter", PALETTE_LIGHT);
  assert_false(fixture_says(before, "test point, red probe"));
  assert_true(document_apply(document, edit_pin(document, &a, &earth, NULL, NULL), NULL));
  g_autoptr(Sheet) after = fixture_sheet(document, "letter", PALETTE_LIGHT);
  assert_true(fixture_says(after, "test point, red probe"));
  assert_true(fixture_says(after, "test point, black probe"));
  assert_true(fixture_says(after, "TP1: T1.X2 to GND"));
}

/* A diagram is never shrunk: where it does not fit beside the cautions it goes on pages of its own,
 * at the scale that the title block states. */
static void
test_scale_is_stated(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  guint whole = 0, parted = 0;
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    for (guint p = 0; p < 2; p++) {
      g_autoptr(Sheet) sheet = fixture_sheet(document, p == 0 ? "letter" : "a3", PALETTE_LIGHT);
      g_autofree char *stated = g_strdup_printf("%.0f %%", sheet->figure_scale * 100);
      assert_true(sheet->figure_scale >= 1 - 1e-9);
      *(sheet->tiling != NULL ? &parted : &whole) += 1;
      assert_string_equal(sheet->scale_text, sheet->figure_scale > 1 + 1e-9 ? stated : "1:1");
      assert_true(fixture_says(sheet, sheet->scale_text));
    }
  }
  assert_true(whole > 5 && parted > 5);
}

/* Every letter on every page is as high as ISO 3098-1 and the issue of the sheet demand (2.5 mm,
 * 3.5 mm on a label), the diagram's own included. The height is of capitals: pen.h. */
static void
check_lettering(const Document *document, const char *what, double *smallest)
{
  for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
    g_autoptr(Sheet) sheet = fixture_sheet(document, paper->name, PALETTE_LIGHT);
    g_autoptr(Pen) record = fixture_record(sheet);
    const GArray *items = pen_record_items(record);
    const double least = g_str_has_prefix(paper->name, "label") ? 3.5 : 2.5;
    for (guint k = 0; k < items->len; k++) {
      const RecordItem *item = &g_array_index(items, RecordItem, k);
      const TextStyle style = {.height = item->height};
      double above = 0, below = 0;
      if (item->kind != RECORD_TEXT)
        continue;
      pen_text_extents(&style, &above, &below); /* the box that was drawn agrees */
      assert_float_equal(
          MIN(ABS(item->bounds.height - above - below), ABS(item->bounds.width - above - below)), 0,
          0.001);
      if (item->height < least - 1e-6)
        fail_msg("%s on %s: \"%s\" is %.2f mm high", what, paper->name, item->text, item->height);
      smallest[least > 3] = MIN(smallest[least > 3], item->height);
    }
  }
}

static void
test_lettering(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  double smallest[2] = {G_MAXDOUBLE, G_MAXDOUBLE};
  (void)state;

  fixture_add_paths(paths, "tests/data/sound");
  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    check_lettering(document, paths->pdata[i], smallest);
    set_field(document, false, "orientation", "portrait");
    check_lettering(document, paths->pdata[i], smallest);
  }
  print_message("smallest lettering: %.2f mm, on a label %.2f mm\n", smallest[0], smallest[1]);
  assert_float_equal(smallest[0], 2.5, 1e-6);
  assert_float_equal(smallest[1], 3.5, 1e-6);
}

/* Names that a symbol has to write smaller enlarge the diagram until they can be read. */
static void
test_small_names_enlarge(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  double smallest[2] = {G_MAXDOUBLE, G_MAXDOUBLE};
  Change *change = edit_set_field(document, "LD1", "label", "Condensatepumpcontroller 2", &error);
  (void)state;

  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
  g_autoptr(Sheet) sheet = fixture_sheet(document, "tabloid", PALETTE_LIGHT);
  assert_true(sheet->figure_scale > 1.05);
  check_lettering(document, "a long word", smallest);
}

/* A label shows a diagram that fits; else every conductor once, from the supply on. */
static void
test_label_shows_the_circuit(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Document) small = document_new(parts_catalog());
  g_autoptr(GError) error = NULL;
  g_autofree char *id = NULL;
  (void)state;

  g_autoptr(Sheet) listed = fixture_sheet(document, "label-4x6", PALETTE_LIGHT);
  assert_false(listed->has_figure);
  assert_true(fixture_says(listed, "Connections, from the supply on"));
  assert_true(fixture_says(listed, "Fuse, breaker"));
  assert_true(fixture_says(listed, "Diagram, wire schedule"));
  const PartKind *kind = document_device(document, 0)->kind;
  assert_true(document_apply(small, edit_place(small, kind, (Point){50, 50}, &id), &error));
  set_field(small, false, "orientation", "portrait");
  g_autoptr(Sheet) shown = fixture_sheet(small, "label-4x6", PALETTE_LIGHT);
  assert_true(shown->has_figure);
  assert_float_equal(shown->figure_scale, 1.4, 1e-9);
  assert_non_null(shown->tiling); /* after the cautions */
  assert_int_equal(tiling_count(shown->tiling), 1);
}

/* The setting changes strokes only: texts and their places stay. */
static void
test_symbol_sets(void **state)
{
  g_autofree char *path = fixture_path("samples/fan-480.doorsheet");
  g_autoptr(Document) document = fixture_read(path);
  g_autoptr(Sheet) one = fixture_sheet(document, "letter", PALETTE_LIGHT);
  (void)state;

  set_field(document, false, "symbols", "iec");
  g_autoptr(Sheet) two = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(Pen) first = fixture_record(one);
  g_autoptr(Pen) second = fixture_record(two);
  g_autofree char *north_american = pen_record_dump(first), *iec = pen_record_dump(second);
  assert_string_not_equal(north_american, iec);
  assert_non_null(strstr(north_american, "\"CON\""));
  assert_null(strstr(iec, "\"CON\"")); /* a coil is a box without letters */
  check_texts(two, "IEC", second);
}

static void
test_empty_document(void **state)
{
  g_autoptr(Document) document = document_new(parts_catalog());
  (void)state;

  check_document(document, "empty");
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  assert_false(sheet->has_figure);
}

static void
test_papers(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(GError) error = NULL;
  const SheetOptions wrong = {.paper = "foolscap"};
  double width = 0, height = 0;
  (void)state;

  /* ANSI/ASME Y14.1 size A and ISO 216 A3. */
  assert_float_equal(sheet_find_paper("letter")->width_mm, 215.9, 0.001);
  assert_float_equal(sheet_find_paper("a3")->height_mm, 420, 0.001);
  assert_null(sheet_find_paper("foolscap"));
  assert_null(sheet_compose(inspection, &wrong, &error));
  assert_non_null(strstr(error->message, "foolscap"));
  g_autoptr(Sheet) sheet = fixture_sheet(document, "a4", PALETTE_LIGHT);
  sheet_page_size(sheet, 0, &width, &height);
  assert_float_equal(width, 297, 0.001);
  assert_float_equal(height, 210, 0.001);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_all_samples_on_all_papers),
      cmocka_unit_test(test_long_texts_wrap),
      cmocka_unit_test(test_title_block),
      cmocka_unit_test(test_contents),
      cmocka_unit_test(test_legend_of_points),
      cmocka_unit_test(test_scale_is_stated),
      cmocka_unit_test(test_lettering),
      cmocka_unit_test(test_small_names_enlarge),
      cmocka_unit_test(test_label_shows_the_circuit),
      cmocka_unit_test(test_symbol_sets),
      cmocka_unit_test(test_empty_document),
      cmocka_unit_test(test_papers),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
