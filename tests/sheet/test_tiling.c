/* SPDX-License-Identifier: MIT */
/* Diagrams on several pages: nothing lost, nothing twice, and every reference finds its other
 * end. */
#include "sheet_fixture.h"

#include "../bench/greenhouse_rows.h"
#include "figure/figure.h"
#include "sheet/sheet_private.h"
#include <math.h>
#include <stdio.h>

static const FigureStyle printed = {.labels = true, .as_printed = true};

/* The group an item lies in at the depth of the diagram's devices and conductors; NULL: none. */
static const char *
group_of(const GArray *items, guint i, int depth)
{
  if (g_array_index(items, RecordItem, i).depth <= depth)
    return NULL; /* the groups before it have ended */
  for (guint j = i; j-- > 0;) {
    const RecordItem *item = &g_array_index(items, RecordItem, j);
    if (item->kind == RECORD_GROUP && item->depth == depth)
      return item->text;
    if (item->kind == RECORD_GROUP && item->depth < depth)
      return NULL;
  }
  return NULL;
}

static double
line_length(const RecordItem *item)
{
  double length = 0;
  for (guint k = 0; item->points != NULL && k + 1 < item->points->len; k++)
    length += point_distance(g_array_index(item->points, Point, k),
                             g_array_index(item->points, Point, k + 1));
  return length;
}

/* What is drawn of each kind; groups of conductors and devices lie at depth `depth`. */
typedef struct {
  double conductors; /* length of their lines, mm */
  guint arcs;        /* hops and dots */
  GHashTable *texts; /* text -> how often, within devices and conductors */
} Drawn;

static Drawn
drawn_of(Pen *record, int depth)
{
  const GArray *items = pen_record_items(record);
  Drawn drawn = {.texts = g_hash_table_new(g_str_hash, g_str_equal)};

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    const char *group = item->kind == RECORD_GROUP ? NULL : group_of(items, i, depth);
    /* A dot may stand on another page than its device, outside any device's group. */
    const char *outer = item->kind == RECORD_ARC ? group_of(items, i, 0) : NULL;
    drawn.arcs += outer != NULL && (depth == 0 || strcmp(outer, "diagram") == 0);
    if (group == NULL ||
        (!g_str_has_prefix(group, "conductor-") && !g_str_has_prefix(group, "device-")))
      continue;
    if (item->kind == RECORD_LINE && !item->filled && g_str_has_prefix(group, "conductor-"))
      drawn.conductors += line_length(item);
    if (item->kind == RECORD_TEXT)
      g_hash_table_insert(
          drawn.texts, item->text,
          GUINT_TO_POINTER(GPOINTER_TO_UINT(g_hash_table_lookup(drawn.texts, item->text)) + 1));
  }
  return drawn;
}

static void
compare_texts(const Drawn *whole, const Drawn *parts)
{
  GHashTableIter iter;
  gpointer text, count;

  assert_int_equal(g_hash_table_size(whole->texts), g_hash_table_size(parts->texts));
  g_hash_table_iter_init(&iter, whole->texts);
  while (g_hash_table_iter_next(&iter, &text, &count))
    if (g_hash_table_lookup(parts->texts, text) != count)
      fail_msg("\"%s\" stands %u times on the pages, %u times in the diagram", (char *)text,
               GPOINTER_TO_UINT(g_hash_table_lookup(parts->texts, text)), GPOINTER_TO_UINT(count));
}

/* Lines of conductors are as long on all pages together as in the diagram; texts, hops and dots
 * stand once. */
static void
check_complete(const Document *document, const Sheet *sheet)
{
  g_autoptr(Pen) whole = pen_record_new();
  g_autoptr(Pen) parts = fixture_record(sheet);

  figure_draw(whole, document, &printed);
  Drawn expected = drawn_of(whole, 0), found = drawn_of(parts, 1);
  assert_true(expected.conductors > 100);
  if (fabs(expected.conductors - found.conductors) > 0.01)
    fail_msg("conductors are %.3f mm long on the pages and %.3f mm in the diagram",
             found.conductors, expected.conductors);
  assert_int_equal(found.arcs, expected.arcs);
  compare_texts(&expected, &found);
  g_hash_table_unref(expected.texts);
  g_hash_table_unref(found.texts);
}

/* Every reference on page p to page q has its answer on page q to page p, and each stands in the
 * zone that the other names. */
static guint
check_references(const Sheet *sheet)
{
  const guint first = 2;
  guint checked = 0;

  for (guint part = 0; part < tiling_count(sheet->tiling); part++) {
    g_autoptr(GPtrArray) texts = tiling_references(sheet->tiling, part, &sheet->frame, first);
    for (guint i = 0; i < texts->len; i++, checked++) {
      const char *to = strstr(texts->pdata[i], " to ");
      const guint page = (guint)g_ascii_strtoull(to + 4, NULL, 10);
      g_autofree char *name = g_strndup(texts->pdata[i], (gsize)(to - (char *)texts->pdata[i]));
      g_autofree char *answer = g_strdup_printf("%s to %u/", name, part + first);
      assert_true(page >= first && page < first + tiling_count(sheet->tiling));
      g_autoptr(GPtrArray) others =
          tiling_references(sheet->tiling, page - first, &sheet->frame, first);
      bool answered = false;
      for (guint k = 0; k < others->len; k++)
        answered = answered || g_str_has_prefix(others->pdata[k], answer);
      if (!answered)
        fail_msg("page %u: \"%s\" has no answer", part + first, (char *)texts->pdata[i]);
    }
  }
  return checked;
}

/* Each reference text on a page is drawn there in the zone that its answer names. */
static void
check_zones(const Sheet *sheet)
{
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  guint checked = 0;

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    const char *to = item->kind == RECORD_TEXT ? strstr(item->text, " to ") : NULL;
    guint page = 0;
    char zone[8];
    if (to == NULL || item->page == 0 || sscanf(to, " to %u/%7s", &page, zone) != 2)
      continue;
    /* The answer: same name, back to this page; its conductor ends where the zone says. */
    g_autofree char *name = g_strndup(item->text, (gsize)(to - item->text));
    g_autofree char *answer = g_strdup_printf("%s to %u/", name, item->page + 1);
    bool near = false;
    for (guint k = 0; k < items->len; k++) {
      const RecordItem *other = &g_array_index(items, RecordItem, k);
      if (other->kind != RECORD_TEXT || other->page + 1 != page ||
          !g_str_has_prefix(other->text, answer))
        continue;
      const Rect b = rect_grow(other->bounds, 8);
      const Point corners[] = {
          {b.x, b.y}, {b.x + b.width, b.y}, {b.x, b.y + b.height}, {b.x + b.width, b.y + b.height}};
      for (guint c = 0; c < 4; c++) {
        g_autofree char *there = frame_zone(&sheet->frame, corners[c]);
        near = near || strcmp(there, zone) == 0;
      }
    }
    if (!near)
      fail_msg("page %u: \"%s\": nothing there", item->page + 1, item->text);
    checked++;
  }
  assert_true(checked > 0);
}

/* References cross no other text and stay inside the border. */
static void
check_legible(const Sheet *sheet)
{
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  const Rect inside = {11, 11, sheet->width - 22, sheet->height - 22};

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    const bool reference = item->kind == RECORD_TEXT && strstr(item->text, " to ") != NULL &&
                           item->page >= 1 && item->page <= tiling_count(sheet->tiling);
    if (!reference)
      continue;
    if (!rect_holds(inside, item->bounds))
      fail_msg("page %u: \"%s\" leaves the border", item->page + 1, item->text);
    for (guint j = 0; j < items->len; j++) {
      const RecordItem *other = &g_array_index(items, RecordItem, j);
      if (i != j && other->kind == RECORD_TEXT && other->page == item->page &&
          rect_intersects(rect_grow(item->bounds, -0.02), rect_grow(other->bounds, -0.02)))
        fail_msg("page %u: \"%s\" stands on \"%s\"", item->page + 1, item->text, other->text);
    }
  }
}

static void
check_parted(const Document *document, const char *paper)
{
  g_autoptr(Sheet) sheet = fixture_sheet(document, paper, PALETTE_LIGHT);

  assert_non_null(sheet->tiling);
  assert_true(tiling_count(sheet->tiling) > 1);
  assert_true(ABS(sheet->figure_scale - 1) < 1e-9);
  check_complete(document, sheet);
  assert_true(check_references(sheet) > 0);
  check_zones(sheet);
  check_legible(sheet);
}

static void
test_samples_on_portrait_letter(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  guint parted = 0;
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autoptr(GError) error = NULL;
    Change *change = edit_set_sheet_field(document, false, "orientation", "portrait", &error);
    assert_true(document_apply(document, change, &error));
    g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
    if (sheet->tiling == NULL)
      continue;
    parted++;
    check_parted(document, "letter");
  }
  assert_true(parted >= 15);
}

static void
test_far_load(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  const char *const far[] = {"LD1", NULL};
  (void)state;

  assert_true(document_apply(document, edit_move(document, far, (Point){700, 300}), &error));
  check_parted(document, "letter");
  check_parted(document, "a3");
}

static void
test_rows_of_bays(void **state)
{
  g_autoptr(Document) document = greenhouse_rows(parts_catalog(), 200);
  (void)state;

  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  assert_non_null(sheet->tiling);
  check_complete(document, sheet);
}

/* Names of any length end in an ellipsis rather than outside the border. */
static void
test_long_wire_numbers(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  const char *const far[] = {"LD1", NULL};
  g_autofree char *longest = g_strnfill(40, 'W');
  (void)state;

  for (guint i = 0; i < document_conductor_count(document); i++) {
    const guint32 key = document_conductor(document, i)->key;
    g_autoptr(GError) refused = NULL;
    Change *change = edit_set_conductor_field(document, key, "number", longest, &refused);
    if (change != NULL)
      document_apply(document, change, &refused);
  }
  assert_true(document_apply(document, edit_move(document, far, (Point){500, 0}), &error));
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  assert_non_null(sheet->tiling);
  check_legible(sheet);
}

/* A device larger than any page goes on over several, as large as ever, and no terminal is lost. */
static void
test_device_larger_than_a_page(void **state)
{
  g_autoptr(Document) document = document_new(parts_catalog());
  g_autoptr(GError) error = NULL;
  g_autofree char *id = NULL;
  const PartKind *strip = NULL;
  (void)state;

  for (PartCatalog kind = parts_catalog(); *kind != NULL; kind++)
    if ((*kind)->role == ROLE_STRIP)
      strip = *kind;
  assert_true(document_apply(document, edit_place(document, strip, (Point){50, 50}, &id), &error));
  Change *change = edit_set_field(document, id, "positions", "32", &error);
  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
  g_autoptr(Sheet) sheet = fixture_sheet(document, "label-4x6", PALETTE_LIGHT);
  const Device *device = document_device(document, 0);
  assert_false(sheet->has_figure); /* a label does without */
  g_autoptr(Sheet) letter = fixture_sheet(document, "letter", PALETTE_LIGHT);
  assert_non_null(letter->tiling);
  assert_true(tiling_count(letter->tiling) > 1);
  assert_float_equal(letter->figure_scale, 1, 1e-9);
  assert_true(tiling_splits(letter->tiling, device));
  g_autoptr(Pen) record = fixture_record(letter);
  for (guint n = 1; n <= 32; n++) {
    g_autofree char *number = g_strdup_printf("%u", n);
    guint found = 0;
    for (guint k = 0; k < pen_record_items(record)->len; k++) {
      const RecordItem *item = &g_array_index(pen_record_items(record), RecordItem, k);
      found += item->kind == RECORD_TEXT && item->depth > 1 && strcmp(item->text, number) == 0;
    }
    if (found != 1)
      fail_msg("position %u is drawn %u times", n, found);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_samples_on_portrait_letter),
      cmocka_unit_test(test_far_load),
      cmocka_unit_test(test_rows_of_bays),
      cmocka_unit_test(test_long_wire_numbers),
      cmocka_unit_test(test_device_larger_than_a_page),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
