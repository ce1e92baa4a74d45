/* SPDX-License-Identifier: MIT */
/* What a drafter looks for first: no line runs through a letter and no text stands on another, on
 * any page of any sample and sound diagram, on every paper, upright and across, with both sets of
 * symbols. Judged by what is drawn, not by what the drawing code believes: a line below a patch of
 * paper is not seen. */
#include "sheet_fixture.h"

#include <math.h>

#define TOUCH 0.05 /* mm: closer than that counts as nothing */

/* What letters cover of a text's box: capitals and, where there are any, what hangs below. */
static Rect
letters_of(const RecordItem *item)
{
  const TextStyle style = {.height = item->height};
  double above = 0, below = 0;
  pen_text_extents(&style, &above, &below);
  const double high = item->height + (strpbrk(item->text, "gjpqy,;()[]{}|/@_Q") ? below : 0);
  const double skip = above - item->height;
  const Rect box = item->bounds;

  switch (item->turns) {
  case 0:
    return (Rect){box.x, box.y + skip, box.width, high};
  case 1: /* reads downwards: the top of the letters is at the right */
    return (Rect){box.x + box.width - skip - high, box.y, high, box.height};
  case 2:
    return (Rect){box.x, box.y + box.height - skip - high, box.width, high};
  default:
    return (Rect){box.x + skip, box.y, high, box.height};
  }
}

static bool
line_cuts(const RecordItem *line, Rect letters)
{
  if (line->kind == RECORD_LINE) {
    for (guint p = 1; p < line->points->len; p++)
      if (rect_cuts_segment(letters, g_array_index(line->points, Point, p - 1),
                            g_array_index(line->points, Point, p)))
        return true;
    return false;
  }
  for (double a = line->from; a < line->to; a += 5) {
    const double one = a * G_PI / 180, two = MIN(a + 5, line->to) * G_PI / 180;
    const Point from = {line->centre.x + line->radius * cos(one),
                        line->centre.y + line->radius * sin(one)};
    const Point to = {line->centre.x + line->radius * cos(two),
                      line->centre.y + line->radius * sin(two)};
    if (rect_cuts_segment(letters, from, to))
      return true;
  }
  return false;
}

/* Whether a filled shape reaches into the letters; of a polygon its box counts. */
static bool
fill_covers(const RecordItem *fill, Rect letters)
{
  if (!fill->filled || !rect_intersects(letters, fill->bounds))
    return false;
  if (fill->kind != RECORD_ARC)
    return true;
  const double x = CLAMP(fill->centre.x, letters.x, letters.x + letters.width);
  const double y = CLAMP(fill->centre.y, letters.y, letters.y + letters.height);
  return hypot(x - fill->centre.x, y - fill->centre.y) < fill->radius;
}

/* Whether paper was laid over the place between the two, or the text lies below paper itself. */
static bool
is_hidden(const GArray *items, guint from, guint to, Rect letters)
{
  for (guint i = from + 1; i < to; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->hides && rect_holds(rect_grow(item->bounds, TOUCH), letters))
      return true;
  }
  return false;
}

static guint
check_text(const GArray *items, guint text, const char *what)
{
  const RecordItem *item = &g_array_index(items, RecordItem, text);
  const Rect letters = rect_grow(letters_of(item), -TOUCH);
  guint bad = 0;

  for (guint i = 0; i < items->len && bad == 0; i++) {
    const RecordItem *other = &g_array_index(items, RecordItem, i);
    if (i == text || other->page != item->page || other->kind == RECORD_GROUP)
      continue;
    if (other->kind == RECORD_TEXT) {
      if (i < text && rect_intersects(letters, rect_grow(letters_of(other), -TOUCH))) {
        print_message("%s, page %u: \"%s\" stands on \"%s\" at %.1f, %.1f\n", what, item->page + 1,
                      item->text, other->text, letters.x, letters.y);
        bad++;
      }
      continue;
    }
    const bool covers = i > text && fill_covers(other, letters);
    if (!covers && (!other->stroked || !line_cuts(other, letters)))
      continue;
    if (i < text && is_hidden(items, i, text, letters))
      continue;
    print_message("%s, page %u: %s \"%s\" at %.1f, %.1f\n", what, item->page + 1,
                  covers ? "something covers" : "a line runs through", item->text, letters.x,
                  letters.y);
    bad++;
  }
  return bad;
}

static guint
check_sheet(const Document *document, const char *paper, const char *what)
{
  g_autoptr(Sheet) sheet = fixture_sheet(document, paper, PALETTE_LIGHT);
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  guint bad = 0;

  for (guint i = 0; i < items->len; i++)
    if (g_array_index(items, RecordItem, i).kind == RECORD_TEXT)
      bad += check_text(items, i, what);
  return bad;
}

static void
set_field(Document *document, const char *field, const char *text)
{
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(document, false, field, text, &error);

  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

static guint
check_document(Document *document, const char *name)
{
  static const char *const orientations[] = {"landscape", "portrait"};
  static const char *const symbols[] = {"north-american", "iec"};
  guint bad = 0;

  for (guint s = 0; s < G_N_ELEMENTS(symbols); s++)
    for (guint o = 0; o < G_N_ELEMENTS(orientations); o++) {
      set_field(document, "symbols", symbols[s]);
      set_field(document, "orientation", orientations[o]);
      for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
        g_autofree char *what =
            g_strdup_printf("%s, %s, %s, %s", name, paper->name, orientations[o], symbols[s]);
        bad += check_sheet(document, paper->name, what);
      }
    }
  return bad;
}

static void
test_no_letter_is_crossed(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  guint bad = 0;
  (void)state;

  fixture_add_paths(paths, "tests/data/sound");
  assert_true(paths->len >= 45);
  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autofree char *name = g_path_get_basename(paths->pdata[i]);
    bad += check_document(document, name);
  }
  assert_int_equal(bad, 0);
}

/* Nor by the tags of test points. */
static void
test_tags_keep_clear(void **state)
{
  static const char *const points[][2] = {{"T1", "X2"}, {"T1", "H3"}, {"FU1", "2"}, {"LD1", "1"}};
  g_autoptr(Document) document = fixture_pump();
  const Landing earth = {NULL, (char *)"GND"}, x1 = {(char *)"T1", (char *)"X1"};
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(points); i++) {
    const Landing at = {(char *)(guintptr)points[i][0], (char *)(guintptr)points[i][1]};
    g_autoptr(GError) error = NULL;
    Change *change = edit_pin(document, &at, i % 2 == 0 ? &earth : &x1, NULL, &error);
    if (change == NULL || !document_apply(document, change, &error))
      fail_msg("%s", error->message);
  }
  assert_int_equal(check_document(document, "pump with test points"), 0);
}

/* The eye of the test: what it has to see it sees. */
static void
test_crossings_are_seen(void **state)
{
  static const PenStyle line = {.width = PEN_NORMAL}, paper = {.ink = INK_PAPER};
  static const TextStyle flat = {.height = 2.5}, upright = {.height = 2.5, .turns = 3};
  const Rect patch = {15, 15, 30, 10};
  (void)state;

  for (guint c = 0; c < 6; c++) {
    g_autoptr(Pen) record = pen_record_new();
    pen_begin_page(record, 100, 100, NULL);
    if (c == 0 || c == 1) /* through the letters; the second hidden by a patch */
      pen_line(record, (Point){10, 19}, (Point){60, 19}, &line);
    if (c == 1)
      pen_box(record, patch, NULL, &paper);
    if (c == 2) /* just below the letters */
      pen_line(record, (Point){10, 20.3}, (Point){60, 20.3}, &line);
    if (c == 3)
      pen_circle(record, (Point){22, 19}, 1, &line, NULL);
    pen_text(record, (Point){20, 20}, "FU1", c == 5 ? &upright : &flat);
    if (c == 4)
      pen_text(record, (Point){23, 20.5}, "T1", &flat);
    if (c == 5) /* left of an upright text's baseline */
      pen_line(record, (Point){19, 5}, (Point){19, 30}, &line);
    pen_end_page(record);
    guint bad = 0;
    for (guint i = 0; i < pen_record_items(record)->len; i++)
      if (g_array_index(pen_record_items(record), RecordItem, i).kind == RECORD_TEXT)
        bad += check_text(pen_record_items(record), i, "made to cross");
    assert_int_equal(bad, c == 1 || c == 2 ? 0 : 1);
  }
}

/* Ink changes how a line looks, not where it runs. */
static void
test_mono_is_drawn_alike(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) colour = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(Sheet) mono = fixture_sheet(document, "letter", PALETTE_MONO);
  g_autoptr(Pen) one = fixture_record(colour), two = fixture_record(mono);
  g_autofree char *first = pen_record_dump(one), *second = pen_record_dump(two);
  (void)state;

  assert_string_equal(first, second);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_no_letter_is_crossed),
      cmocka_unit_test(test_tags_keep_clear),
      cmocka_unit_test(test_crossings_are_seen),
      cmocka_unit_test(test_mono_is_drawn_alike),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
