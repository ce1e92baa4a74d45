/* SPDX-License-Identifier: MIT */
/* How pages are filled, for every sample and sound diagram on every paper: nobody signs a page that
 * says nothing, no page but the diagram's stands nearly empty, no heading is without its table. */
#include "sheet_fixture.h"

#include "sheet/sheet_private.h"

/* A page of tables and cautions holds at least so much, as a share of its height, unless all that
 * is left does. */
#define LEAST_FILLED 0.15

typedef struct {
  double filled; /* lowest end of a fragment, share of the area's height */
  guint blocks;  /* fragments of anything but the signatures */
  bool signed_, shows_diagram;
} PageUse;

static bool
is_signatures(const Flow *flow, const Block *block)
{
  return block->keeps && block == flow->blocks->pdata[flow->blocks->len - 1];
}

static double
fragment_end(const Fragment *fragment)
{
  Block *block = fragment->block;
  double y = fragment->at.y + block->class_->head_height(block, fragment->width) +
             block->class_->tail_height(block);

  for (guint i = 0; i < fragment->count; i++)
    y += block->class_->slice_height(block, fragment->first + i, fragment->width);
  return y;
}

static PageUse
use_of(const Sheet *sheet, guint page)
{
  const Rect area = frame_area(&sheet->frame);
  const guint parts = sheet->tiling != NULL ? tiling_count(sheet->tiling) : 0;
  PageUse use = {.shows_diagram = sheet->tiling != NULL ? page > 0 && page <= parts
                                                        : sheet->has_figure && page == 0};

  for (guint i = 0; i < sheet->flow->fragments->len; i++) {
    const Fragment *fragment = &g_array_index(sheet->flow->fragments, Fragment, i);
    if (fragment->page != page)
      continue;
    assert_true(fragment->count > 0); /* a heading has something below it */
    if (is_signatures(sheet->flow, fragment->block))
      use.signed_ = true;
    else
      use.blocks++;
    use.filled = MAX(use.filled, (fragment_end(fragment) - area.y) / area.height);
  }
  return use;
}

static guint
check_sheet(const Sheet *sheet, const char *what, double *least)
{
  guint signatures = 0;

  for (guint page = 0; page < sheet_page_count(sheet); page++) {
    const PageUse use = use_of(sheet, page);
    signatures += use.signed_;
    if (use.shows_diagram)
      continue;
    if (use.blocks == 0)
      fail_msg("%s: page %u of %u holds nothing%s", what, page + 1, sheet_page_count(sheet),
               use.signed_ ? " but signatures" : "");
    if (use.filled < LEAST_FILLED)
      fail_msg("%s: page %u of %u is filled to %.0f %%", what, page + 1, sheet_page_count(sheet),
               100 * use.filled);
    *least = MIN(*least, use.filled);
  }
  return signatures;
}

static void
turn(Document *document, const char *orientation)
{
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(document, false, "orientation", orientation, &error);

  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

static void
test_no_page_stands_nearly_empty(void **state)
{
  static const char *const orientations[] = {"landscape", "portrait"};
  static const char *const languages[] = {"en", "es", "en-es"};
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  double least = 1;
  (void)state;

  fixture_add_paths(paths, "tests/data/sound");
  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autofree char *name = g_path_get_basename(paths->pdata[i]);
    for (guint o = 0; o < G_N_ELEMENTS(orientations); o++) {
      turn(document, orientations[o]);
      for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
        const guint l = (i + o) % G_N_ELEMENTS(languages);
        const SheetOptions options = {
            .paper = paper->name, .date = "2026-11-25", .language = languages[l]};
        g_autofree char *what =
            g_strdup_printf("%s on %s %s, %s", name, paper->name, orientations[o], languages[l]);
        g_autoptr(GError) error = NULL;
        g_autoptr(Inspection) inspection = inspection_new(document);
        g_autoptr(Sheet) sheet = sheet_compose(inspection, &options, &error);
        if (sheet == NULL)
          fail_msg("%s: %s", what, error->message);
        const guint signatures = check_sheet(sheet, what, &least);
        assert_int_equal(signatures, sheet->frame.label ? 0 : 1);
      }
    }
  }
  print_message("the emptiest page is filled to %.0f %%\n", 100 * least);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_no_page_stands_nearly_empty),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
