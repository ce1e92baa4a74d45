/* SPDX-License-Identifier: MIT */
#include "pen/pen_record.h"
#include "torture.h"

static void
expect_failure(Pen *pen, int code)
{
  g_autoptr(GError) error = NULL;
  assert_false(pen_finish(pen, &error));
  assert_true(g_error_matches(error, PEN_ERROR, code));
  assert_true(strlen(error->message) > 20);
}

static void
bad_coordinates_are_refused(void **state)
{
  (void)state;
  static const double bad[] = {NAN, INFINITY, -INFINITY, 1e30};
  for (guint i = 0; i < G_N_ELEMENTS(bad); i++)
    for (int what = 0; what < 8; what++) {
      g_autoptr(Pen) pen = pen_record_new();
      Point p = {bad[i], 1}, q = {1, bad[i]}, fine = {1, 1};
      switch (what) {
      case 0:
        pen_line(pen, p, fine, &plain);
        break;
      case 1:
        pen_polygon(pen, (Point[]){fine, q, fine}, 3, &plain, NULL);
        break;
      case 2:
        pen_circle(pen, fine, bad[i], &plain, NULL);
        break;
      case 3:
        pen_arc(pen, q, 1, 0, 90, &plain);
        break;
      case 4:
        pen_arc(pen, fine, 1, bad[i], 90, &plain);
        break;
      case 5:
        pen_text(pen, p, "T1", &(TextStyle){.height = 2.5});
        break;
      case 6:
        pen_text(pen, fine, "T1", &(TextStyle){.height = bad[i]});
        break;
      default:
        pen_push(pen, (Placement){.at = p});
        break;
      }
      pen_line(pen, fine, p, &plain); /* nothing after the first failure matters */
      assert_int_equal(pen_record_items(pen)->len, 0);
      expect_failure(pen, PEN_ERROR_COORDINATE);
    }
}

static void
balance_is_watched(void **state)
{
  (void)state;
  for (int what = 0; what < 10; what++) {
    g_autoptr(Pen) pen = pen_record_new();
    switch (what) {
    case 0:
      pen_begin_group(pen, "a", NULL, NULL);
      break;
    case 1:
      pen_end_group(pen);
      break;
    case 2:
      pen_push(pen, (Placement){{0, 0}, 0, false});
      break;
    case 3:
      pen_pop(pen);
      break;
    case 4:
      pen_begin_page(pen, 10, 10, NULL);
      break;
    case 5:
      pen_end_page(pen);
      break;
    case 6:
      pen_begin_page(pen, 10, 10, NULL);
      pen_begin_page(pen, 10, 10, NULL);
      break;
    case 7:
      pen_begin_page(pen, 10, 10, NULL);
      pen_begin_group(pen, "a", NULL, NULL);
      pen_end_page(pen);
      break;
    case 8:
      for (int i = 0; i <= PEN_DEEPEST; i++)
        pen_begin_group(pen, "a", NULL, NULL);
      break;
    default:
      for (int i = 0; i <= PEN_DEEPEST; i++)
        pen_push(pen, (Placement){{0, 0}, 0, false});
      break;
    }
    expect_failure(pen, PEN_ERROR_BALANCE);
  }
}

static void
drawing_after_the_end_fails(void **state)
{
  (void)state;
  g_autoptr(Pen) pen = pen_record_new();
  assert_true(pen_finish(pen, NULL));
  pen_line(pen, (Point){0, 0}, (Point){1, 1}, &plain);
  assert_non_null(pen->status);
}

/* The golden record (each line checked by hand from the rule "mirror, then turn clockwise") of the
 * shapes: a change of any coordinate, of turning or of grouping shows. */
static void
shapes_are_where_they_were(void **state)
{
  (void)state;
  g_autoptr(Pen) pen = pen_record_new();
  pen_begin_page(pen, 100, 90, "one");
  draw_shapes(pen);
  pen_end_page(pen);
  assert_true(pen_finish(pen, NULL));
  g_autofree char *dump = pen_record_dump(pen);
  static const char expected[] =
      "0 group 50.00 7.00 14.31 33.00 \"device-T1\"\n"
      "0   line filled 60.00 40.00 60.00 20.00 50.00 20.00 50.00 40.00 60.00 40.00\n"
      "0   arc 51.00 26.00 4.00 4.00\n"
      "0   arc filled 52.00 7.00 6.00 6.00\n"
      "0   line 60.00 40.00 50.00 20.00\n"
      "0   text 60.89 22.59 3.41 17.41 \"H1 Turned\"\n"
      "0 line 10.00 70.00 90.00 70.00\n"
      "0 line 10.00 73.00 90.00 73.00\n"
      "0 line 10.00 76.00 90.00 76.00\n"
      "0 line 10.00 79.00 90.00 79.00\n";
  assert_string_equal(dump, expected);
}

static void
torture_is_recorded(void **state)
{
  (void)state;
  g_autoptr(Pen) pen = pen_record_new();
  draw_torture(pen);
  assert_true(pen_finish(pen, NULL));
  const GArray *items = pen_record_items(pen);
  guint texts = 0;
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    texts += item->kind == RECORD_TEXT;
    if (item->kind == RECORD_TEXT) {
      assert_true(g_utf8_validate(item->text, -1, NULL));
      assert_null(strstr(item->text, "\xe2\x80\xae"));
      assert_null(strchr(item->text, '\x1b'));
    }
  }
  assert_int_equal(texts, 7);
  assert_true(pen_record_bounds(pen).width > 10000); /* the longest text */
}

/* A quarter arc drawn in any of the eight placements covers what its points cover. */
static void
arcs_turn_like_points(void **state)
{
  (void)state;
  for (int turns = 0; turns < 4; turns++)
    for (int mirrored = 0; mirrored < 2; mirrored++) {
      Placement placement = {.at = {5, 7}, .turns = turns, .mirrored = mirrored};
      g_autoptr(Pen) pen = pen_record_new();
      pen_push(pen, placement);
      pen_arc(pen, (Point){1, 2}, 10, 20, 70, &plain);
      pen_pop(pen);
      Rect expected = rect_empty();
      for (int degrees = 20; degrees <= 70; degrees++)
        expected = rect_include(
            expected, placement_apply(placement, (Point){1 + 10 * cos(degrees * G_PI / 180),
                                                         2 + 10 * sin(degrees * G_PI / 180)}));
      Rect bounds = pen_record_bounds(pen);
      assert_near(bounds.x, expected.x, 1e-9);
      assert_near(bounds.y, expected.y, 1e-9);
      assert_near(bounds.width, expected.width, 1e-9);
      assert_near(bounds.height, expected.height, 1e-9);
    }
}

static void
block_returns_its_height(void **state)
{
  (void)state;
  g_autoptr(Pen) pen = pen_record_new();
  TextStyle style = {.height = 2.5};
  const char *text = "Turn off and lock out every supply before opening the panel.";
  double height = pen_text_block(pen, (Point){10, 10}, 40, text, &style, 1.7);
  assert_near(height, pen_text_block_height(40, text, &style, 1.7), 1e-9);
  assert_true(pen_record_items(pen)->len >= 3);
  assert_near(height, pen_record_items(pen)->len * 1.7 * 2.5, 1e-9);
  Rect bounds = pen_record_bounds(pen);
  assert_true(bounds.width <= 40 && bounds.height <= height);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(bad_coordinates_are_refused), cmocka_unit_test(balance_is_watched),
      cmocka_unit_test(drawing_after_the_end_fails), cmocka_unit_test(shapes_are_where_they_were),
      cmocka_unit_test(torture_is_recorded),         cmocka_unit_test(arcs_turn_like_points),
      cmocka_unit_test(block_returns_its_height),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
