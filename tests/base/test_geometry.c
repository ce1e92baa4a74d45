/* SPDX-License-Identifier: MIT */
#include "base/geometry.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static void
places_and_takes_back(void **state)
{
  (void)state;
  Placement clockwise = {.at = {100, 50}, .turns = 1};
  Point right = placement_apply(clockwise, (Point){10, 0});
  assert_true(point_equal(right, (Point){100, 60})); /* y points down: right turns to below */
  Placement mirrored = {.at = {0, 0}, .turns = 1, .mirrored = true};
  assert_true(point_equal(placement_apply(mirrored, (Point){10, 0}), (Point){0, -10}));
  for (int turns = -4; turns < 8; turns++) {
    for (int mirror = 0; mirror < 2; mirror++) {
      Placement p = {.at = {12.5, -7.5}, .turns = turns, .mirrored = mirror};
      Point own = {3.25, -8.5};
      assert_true(point_equal(placement_invert(p, placement_apply(p, own)), own));
      Rect box = placement_apply_rect(p, (Rect){-5, -2, 10, 4});
      assert_true(fabs(box.width * box.height - 40) < 1e-9);
    }
  }
}

static void
snaps_to_the_grid(void **state)
{
  (void)state;
  assert_true(grid_snap(3.7) == 2.5 && grid_snap(3.8) == 5 && grid_snap(-1.3) == -2.5);
}

static void
knows_boxes(void **state)
{
  (void)state;
  Rect box = {0, 0, 10, 5};
  assert_true(rect_is_empty(rect_empty()));
  assert_true(rect_contains(box, (Point){10, 5}));
  assert_false(rect_contains(rect_empty(), (Point){0, 0}));
  assert_false(rect_intersects(box, rect_empty()));
  assert_true(rect_holds(rect_grow(box, 1), box));
  assert_false(rect_holds(box, rect_grow(box, 1)));
  Rect both = rect_union(box, rect_include(rect_empty(), (Point){-3, 20}));
  assert_true(both.x == -3 && both.y == 0 && both.width == 13 && both.height == 20);
}

static void
cuts_segments(void **state)
{
  (void)state;
  Rect box = {0, 0, 10, 5};
  assert_true(rect_cuts_segment(box, (Point){-5, 2}, (Point){15, 2}));
  assert_true(rect_cuts_segment(box, (Point){5, 2}, (Point){5, 2}));
  assert_true(rect_cuts_segment(box, (Point){1, 1}, (Point){2, 2}));
  assert_false(rect_cuts_segment(box, (Point){-5, 0}, (Point){15, 0})); /* along the edge */
  assert_false(rect_cuts_segment(box, (Point){-5, 2}, (Point){0, 2}));  /* ends on it */
  assert_false(rect_cuts_segment(box, (Point){-5, -5}, (Point){-5, 15}));
  assert_true(point_segment_distance((Point){5, 3}, (Point){0, 0}, (Point){10, 0}) == 3);
  assert_true(point_segment_distance((Point){-3, 4}, (Point){0, 0}, (Point){10, 0}) == 5);
  assert_true(point_segment_distance((Point){3, 4}, (Point){0, 0}, (Point){0, 0}) == 5);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(places_and_takes_back),
      cmocka_unit_test(snaps_to_the_grid),
      cmocka_unit_test(knows_boxes),
      cmocka_unit_test(cuts_segments),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
