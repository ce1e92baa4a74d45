/* SPDX-License-Identifier: MIT */
#include "figure/route.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <string.h>

static const Rect nothing = {0, 0, -1, -1};

static GArray *
find(RouteEnd from, RouteEnd to, const Rect *boxes, guint n_boxes, const RouteLine *lines,
     guint n_lines)
{
  RouteTask task = {from, to, boxes, n_boxes, lines, n_lines};
  RouteSeen seen = {.box = nothing};
  return route_find(&task, route_window(&from, &to, ROUTE_MARGIN), &seen);
}

static Point
corner(const GArray *route, guint i)
{
  return g_array_index(route, Point, i);
}

static void
check_orthogonal(const GArray *route, Point from, Point to)
{
  assert_true(route->len >= 2);
  assert_true(point_equal(corner(route, 0), from));
  assert_true(point_equal(corner(route, route->len - 1), to));
  for (guint i = 1; i < route->len; i++) {
    Point a = corner(route, i - 1), b = corner(route, i);
    assert_true(fabs(a.x - b.x) < 1e-6 || fabs(a.y - b.y) < 1e-6);
    if (i + 1 < route->len) { /* a corner is a corner: it turns */
      Point c = corner(route, i + 1);
      assert_true(fabs((b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y)) < 1e-6);
    }
  }
}

static bool
cuts(const GArray *route, Rect box)
{
  for (guint i = 1; i < route->len; i++)
    if (rect_cuts_segment(box, corner(route, i - 1), corner(route, i)))
      return true;
  return false;
}

static void
facing_terminals_get_a_straight_line(void **state)
{
  (void)state;
  for (double gap = 2.5; gap <= 50; gap += 2.5) {
    RouteEnd from = {{10, 10}, 0, {0, 5, 10, 10}}, to = {{10 + gap, 10}, 2, {10 + gap, 5, 10, 10}};
    g_autoptr(GArray) route = find(from, to, NULL, 0, NULL, 0);
    check_orthogonal(route, from.at, to.at);
    assert_int_equal(route->len, 2);
  }
}

static void
terminals_are_left_on_their_side(void **state)
{
  (void)state;
  static const Point out[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  for (int a = 0; a < 4; a++)
    for (int b = 0; b < 4; b++)
      for (int where = 0; where < 8; where++) {
        double angle = where * G_PI / 4;
        RouteEnd from = {{100, 100}, a, nothing};
        RouteEnd to = {point_snap((Point){100 + 40 * cos(angle), 100 + 40 * sin(angle)}), b,
                       nothing};
        g_autoptr(GArray) route = find(from, to, NULL, 0, NULL, 0);
        assert_non_null(route);
        check_orthogonal(route, from.at, to.at);
        Point first = point_sub(corner(route, 1), from.at);
        Point last = point_sub(corner(route, route->len - 2), to.at);
        assert_true(first.x * out[a].x + first.y * out[a].y >= GRID_STEP_MM - 1e-6);
        assert_true(last.x * out[b].x + last.y * out[b].y >= GRID_STEP_MM - 1e-6);
      }
}

static void
boxes_are_gone_round(void **state)
{
  (void)state;
  const Rect boxes[] = {{49, 0, 22, 60}, {0, 5, 11, 10}, {99, 5, 11, 10}};
  RouteEnd from = {{10, 10}, 0, boxes[1]}, to = {{100, 10}, 2, boxes[2]};
  g_autoptr(GArray) route = find(from, to, boxes, 3, NULL, 0);
  check_orthogonal(route, from.at, to.at);
  assert_false(cuts(route, boxes[0]));
  /* Over the top is shorter than below. */
  double top = INFINITY;
  for (guint i = 0; i < route->len; i++)
    top = MIN(top, corner(route, i).y);
  assert_true(top < 0 && top > -6);
}

static void
thin_boxes_between_grid_lines_count(void **state)
{
  (void)state;
  const Rect wall = {50.3, -100, 0.4, 190};
  RouteEnd from = {{10, 10}, 0, nothing}, to = {{100, 10}, 2, nothing};
  RouteTask task = {from, to, &wall, 1, NULL, 0};
  RouteSeen seen = {.box = nothing};
  g_autoptr(GArray) inside = route_find(&task, (Rect){0, -50, 120, 100}, &seen);
  assert_null(inside); /* no way through, and the window ends before the wall does */
  g_autoptr(GArray) round = route_find(&task, (Rect){0, -50, 120, 200}, &seen);
  assert_non_null(round);
  assert_false(cuts(round, wall));
}

static void
other_conductors_are_not_run_over(void **state)
{
  (void)state;
  /* A conductor takes the straight way; the next between the same columns goes beside it. */
  const RouteLine taken[] = {{{20, 10}, {80, 10}}};
  RouteEnd from = {{0, 10}, 0, nothing}, to = {{100, 10}, 2, nothing};
  g_autoptr(GArray) route = find(from, to, NULL, 0, taken, 1);
  check_orthogonal(route, from.at, to.at);
  for (guint i = 1; i < route->len; i++) {
    Point a = corner(route, i - 1), b = corner(route, i);
    double shared = MIN(MAX(a.x, b.x), 80) - MAX(MIN(a.x, b.x), 20);
    assert_false(fabs(a.y - 10) < 1 && fabs(b.y - 10) < 1 && shared > 0.1);
  }
}

static int
compare_points(const GArray *a, const GArray *b)
{
  return a->len == b->len ? memcmp(a->data, b->data, a->len * sizeof(Point)) : 1;
}

static void
order_of_neighbours_does_not_matter(void **state)
{
  (void)state;
  GRand *random = g_rand_new_with_seed(7);
  guint found = 0;
  for (int round = 0; round < 100; round++) {
    Rect boxes[40];
    RouteLine lines[40];
    for (guint i = 0; i < 40; i++) {
      boxes[i] = (Rect){g_rand_double_range(random, 15, 130), g_rand_double_range(random, 0, 90),
                        g_rand_double_range(random, 1, 15), g_rand_double_range(random, 1, 15)};
      double x = grid_snap(g_rand_double_range(random, 15, 140));
      lines[i] = (RouteLine){{x, 0}, {x, 70}};
    }
    RouteEnd from = {{10, 50}, 0, nothing}, to = {{150, 50}, 2, nothing};
    g_autoptr(GArray) one = find(from, to, boxes, 40, lines, 40);
    for (guint i = 39; i > 0; i--) {
      guint k = (guint)g_rand_int_range(random, 0, (gint)i + 1);
      Rect box = boxes[i];
      boxes[i] = boxes[k];
      boxes[k] = box;
      RouteLine line = lines[i];
      lines[i] = lines[k];
      lines[k] = line;
    }
    g_autoptr(GArray) two = find(from, to, boxes, 40, lines, 40);
    assert_int_equal(one == NULL, two == NULL);
    if (one == NULL)
      continue;
    found++;
    assert_int_equal(compare_points(one, two), 0);
    for (guint i = 0; i < 40; i++)
      assert_false(cuts(one, boxes[i]));
  }
  assert_true(found > 50);
  g_rand_free(random);
}

static void
work_is_bounded(void **state)
{
  (void)state;
  /* A goal walled in: the search has to give up, in a window of a thousand millimetres. */
  const Rect walls[] = {{895, 895, 2, 20}, {895, 895, 20, 2}, {913, 895, 2, 20}, {895, 913, 20, 2}};
  RouteEnd from = {{100, 100}, 0, nothing}, to = {{905, 905}, 2, nothing};
  RouteTask task = {from, to, walls, 4, NULL, 0};
  gint64 start = g_get_monotonic_time();
  RouteSeen seen = {.box = nothing};
  assert_null(route_find(&task, (Rect){0, 0, 1000, 1000}, &seen));
  assert_true(seen.is_shut_in);
  assert_true(g_get_monotonic_time() - start < 2 * G_USEC_PER_SEC);
  g_autoptr(GArray) plain = route_plain(&from, &to);
  check_orthogonal(plain, from.at, to.at);
}

static void
odd_ends_work(void **state)
{
  (void)state;
  RouteEnd a = {{10, 10}, 0, nothing}, off = {{61.37, 43.19}, 2, nothing};
  g_autoptr(GArray) route = find(a, off, NULL, 0, NULL, 0);
  check_orthogonal(route, a.at, off.at);
  g_autoptr(GArray) nowhere = find(a, a, NULL, 0, NULL, 0);
  assert_non_null(nowhere);
  assert_true(nowhere->len >= 2);
  RouteEnd free_end = {{60, 40}, -1, nothing};
  g_autoptr(GArray) band = find(a, free_end, NULL, 0, NULL, 0);
  check_orthogonal(band, a.at, free_end.at);
  assert_int_equal(band->len, 3); /* a free end needs one corner only */
}

static void
given_bends_are_kept(void **state)
{
  (void)state;
  RouteEnd from = {{0, 0}, 0, nothing}, to = {{100, 50}, 3, nothing};
  const Point level[] = {{20, 0}, {20, 30}, {100, 30}};
  g_autoptr(GArray) route = route_through(&from, &to, level, 3);
  check_orthogonal(route, from.at, to.at);
  assert_int_equal(route->len, 5);
  const Point slanted[] = {{20, 30}, {60, 10}};
  g_autoptr(GArray) made = route_through(&from, &to, slanted, 2);
  for (guint i = 1; i < made->len; i++) {
    Point a = corner(made, i - 1), b = corner(made, i);
    assert_true(fabs(a.x - b.x) < 1e-6 || fabs(a.y - b.y) < 1e-6);
  }
  guint kept = 0;
  for (guint i = 0; i < made->len; i++)
    for (guint k = 0; k < 2; k++)
      kept += point_equal(corner(made, i), slanted[k]);
  assert_int_equal(kept, 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(facing_terminals_get_a_straight_line),
      cmocka_unit_test(terminals_are_left_on_their_side),
      cmocka_unit_test(boxes_are_gone_round),
      cmocka_unit_test(thin_boxes_between_grid_lines_count),
      cmocka_unit_test(other_conductors_are_not_run_over),
      cmocka_unit_test(order_of_neighbours_does_not_matter),
      cmocka_unit_test(work_is_bounded),
      cmocka_unit_test(odd_ends_work),
      cmocka_unit_test(given_bends_are_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
