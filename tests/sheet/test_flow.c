/* SPDX-License-Identifier: MIT */
/* The flow of blocks: nothing lost, nothing twice, nothing outside its area, columns balanced. */
#include "sheet/flow.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

typedef struct {
  Block block;
  guint n;
  double slice, head;
} Plain;

static guint
plain_count(Block *block, double width)
{
  (void)width;
  return ((Plain *)block)->n;
}

static double
plain_head(Block *block, double width)
{
  (void)width;
  return ((Plain *)block)->head;
}

static double
plain_slice(Block *block, guint slice, double width)
{
  (void)slice;
  (void)width;
  return ((Plain *)block)->slice;
}

static double
plain_tail(Block *block)
{
  (void)block;
  return 1;
}

static void
plain_free(Block *block)
{
  g_free(block);
}

static const BlockClass plain_class = {.count = plain_count,
                                       .head_height = plain_head,
                                       .slice_height = plain_slice,
                                       .tail_height = plain_tail,
                                       .free = plain_free};

static Block *
add(Flow *flow, guint n, double slice, double head, bool wide, bool whole)
{
  Plain *plain = g_new0(Plain, 1);
  plain->block = (Block){.class_ = &plain_class, .wide = wide, .whole = whole};
  plain->n = n;
  plain->slice = slice;
  plain->head = head;
  flow_add(flow, &plain->block);
  return &plain->block;
}

static const Fragment *
fragment(const Flow *flow, guint i)
{
  return &g_array_index(flow->fragments, Fragment, i);
}

static double
fragment_height(const Fragment *f)
{
  const Plain *plain = (const Plain *)f->block;
  return plain->head + 1 + f->count * plain->slice;
}

/* Every slice of every block stands exactly once, in order, inside the area. */
static void
assert_complete(const Flow *flow, Rect area)
{
  guint block = 0, slice = 0;

  for (guint i = 0; i < flow->fragments->len; i++) {
    const Fragment *f = fragment(flow, i);
    const Plain *plain = (const Plain *)f->block;
    assert_ptr_equal(f->block, flow->blocks->pdata[block]);
    assert_int_equal(f->first, slice);
    assert_true(f->count > 0);
    slice += f->count;
    if (slice == plain->n) {
      block++;
      slice = 0;
    }
    const Rect box = {f->at.x, f->at.y, f->width, fragment_height(f)};
    assert_true(rect_holds(rect_grow(area, 1e-6), box));
    for (guint j = 0; j < i; j++) {
      const Fragment *other = fragment(flow, j);
      const Rect other_box = {other->at.x, other->at.y, other->width, fragment_height(other)};
      assert_false(other->page == f->page && rect_intersects(box, rect_grow(other_box, -1e-6)));
    }
  }
  assert_int_equal(block, flow->blocks->len);
}

static void
fill_all(Flow *flow, Rect area, guint columns)
{
  for (guint page = 0; !flow_done(flow); page++) {
    assert_true(page < 100);
    flow_fill(flow, page, area, columns, G_MAXUINT, true);
  }
}

static void
test_nothing_lost(void **state)
{
  const Rect area = {10, 10, 200, 100};
  (void)state;

  for (guint columns = 1; columns <= 3; columns++) {
    g_autoptr(Flow) flow = flow_new(100);
    add(flow, 30, 6, 8, false, false);
    add(flow, 2, 20, 5, false, true);
    add(flow, 40, 4, 9, true, false);
    add(flow, 3, 30, 0, false, false);
    add(flow, 1, 90, 2, false, true);
    add(flow, 5, 5, 5, true, false);
    fill_all(flow, area, columns);
    assert_complete(flow, area);
    assert_false(flow->overflowed);
  }
}

static void
test_whole_block_is_not_split(void **state)
{
  const Rect area = {0, 0, 100, 100};
  g_autoptr(Flow) flow = flow_new(100);
  (void)state;

  add(flow, 6, 10, 5, false, false); /* 66 high */
  add(flow, 5, 10, 5, false, true);  /* 56 high: does not fit below, fits a page */
  fill_all(flow, area, 1);
  assert_int_equal(flow->fragments->len, 2);
  assert_int_equal(fragment(flow, 1)->count, 5);
  assert_int_equal(fragment(flow, 1)->page, 1);
}

static void
test_columns_end_level(void **state)
{
  const Rect area = {0, 0, 205, 200};
  g_autoptr(Flow) flow = flow_new(100);
  (void)state;

  add(flow, 20, 5, 5, false, false); /* 106 in one column; 56 in each of two */
  const double used = flow_fill(flow, 0, area, 2, G_MAXUINT, true);
  assert_int_equal(flow->fragments->len, 2);
  assert_int_equal(fragment(flow, 0)->count, 10);
  assert_int_equal(fragment(flow, 1)->count, 10);
  assert_true(used < 57);
  assert_true(fragment(flow, 1)->at.x > 104.9 && fragment(flow, 1)->at.x < 105.1);
}

static void
test_too_high_slice_is_still_placed(void **state)
{
  const Rect area = {0, 0, 100, 50};
  g_autoptr(Flow) flow = flow_new(100);
  (void)state;

  add(flow, 2, 80, 5, false, false);
  fill_all(flow, area, 1);
  assert_int_equal(flow->fragments->len, 2);
  assert_true(flow->overflowed);
}

static void
test_trial_changes_nothing(void **state)
{
  const Rect area = {0, 0, 100, 50};
  g_autoptr(Flow) flow = flow_new(100);
  (void)state;

  add(flow, 4, 10, 5, false, false); /* 46 high */
  assert_true(flow_fits(flow, area, 1, G_MAXUINT));
  assert_false(flow_fits(flow, (Rect){0, 0, 100, 45}, 1, G_MAXUINT));
  assert_int_equal(flow->fragments->len, 0);
  assert_int_equal(flow->next, 0);
}

/* Below a run that ends because its next block is too high, loose blocks stand side by side; what
 * is not loose keeps its turn. */
static void
test_loose_blocks_fill(void **state)
{
  const Rect area = {0, 0, 205, 100};
  g_autoptr(Flow) flow = flow_new(100);
  (void)state;

  const Block *first = add(flow, 5, 10, 5, true, true); /* 56 high */
  const Block *high = add(flow, 6, 10, 5, true, true);  /* 66 high: goes to the next page */
  add(flow, 1, 20, 5, false, true);                     /* fits, but has to wait */
  Block *left = add(flow, 2, 10, 5, false, true), *right = add(flow, 1, 30, 5, false, true);
  left->loose = right->loose = true;
  fill_all(flow, area, 2);
  assert_complete(flow, area);
  assert_ptr_equal(fragment(flow, 0)->block, first);
  assert_ptr_equal(fragment(flow, 1)->block, left);
  assert_ptr_equal(fragment(flow, 2)->block, right);
  assert_ptr_equal(fragment(flow, 3)->block, high);
  assert_int_equal(fragment(flow, 2)->page, 0);
  assert_int_equal(fragment(flow, 3)->page, 1);
  assert_true(fragment(flow, 1)->at.y > 56 && fragment(flow, 1)->at.x < 1);
  assert_true(fragment(flow, 2)->at.x > 100);
}

/* A strip to sign does not stand alone: the block before it comes along. */
static void
test_a_companion_is_kept(void **state)
{
  const Rect area = {0, 0, 100, 100};
  (void)state;

  for (guint keeps = 0; keeps < 2; keeps++) {
    g_autoptr(Flow) flow = flow_new(100);
    add(flow, 4, 10, 5, false, true); /* 46 high */
    add(flow, 4, 10, 0, false, true); /* 41 high: 91 with the gap */
    add(flow, 1, 20, 0, false, true)->keeps = keeps == 1;
    fill_all(flow, area, 1);
    assert_complete(flow, area);
    assert_int_equal(fragment(flow, 0)->page, 0);
    assert_int_equal(fragment(flow, 1)->page, keeps);
    assert_int_equal(fragment(flow, 2)->page, 1);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_nothing_lost),
      cmocka_unit_test(test_whole_block_is_not_split),
      cmocka_unit_test(test_columns_end_level),
      cmocka_unit_test(test_too_high_slice_is_still_placed),
      cmocka_unit_test(test_trial_changes_nothing),
      cmocka_unit_test(test_loose_blocks_fill),
      cmocka_unit_test(test_a_companion_is_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
