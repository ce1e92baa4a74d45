/* SPDX-License-Identifier: MIT */
#include "pen/pen_record.h"
#include "pen/pen_text.h"
#include "torture.h"

static const TextStyle normal = {.height = 2.5};

/* ISO 3098 names letter heights by the height of capitals: 2.5 mm lettering has 2.5 mm capitals. */
static void
height_is_that_of_capitals(void **state)
{
  (void)state;
  PangoRectangle ink;
  PangoLayout *layout = pen_text_layout("H", &(TextStyle){.height = 10});
  pango_layout_get_extents(layout, &ink, NULL);
  assert_near(ink.height / (PEN_TEXT_SCALE * PANGO_SCALE), 10, 0.05);
}

static void
extents_hold_letters(void **state)
{
  (void)state;
  double above, below;
  pen_text_extents(&normal, &above, &below);
  PangoRectangle ink;
  PangoLayout *layout = pen_text_layout("Hdpgjq|", &normal);
  pango_layout_get_extents(layout, &ink, NULL);
  double unit = PEN_TEXT_SCALE * PANGO_SCALE;
  double baseline = pango_layout_get_baseline(layout) / unit;
  assert_true(baseline - ink.y / unit <= above + 0.05);
  assert_true((ink.y + ink.height) / unit - baseline <= below + 0.05);
}

/* Unhinted metrics scale: a text twice as high is twice as wide. */
static void
width_scales(void **state)
{
  (void)state;
  double one = pen_text_width("Condensate pump 24 V", &normal);
  double four = pen_text_width("Condensate pump 24 V", &(TextStyle){.height = 10});
  assert_true(one > 20 && one < 60);
  assert_near(four / one, 4, 0.002);
  assert_true(pen_text_width("Condensate pump 24 V", &(TextStyle){.height = 2.5, .bold = true}) >
              one);
  assert_near(pen_text_width("", &normal), 0, 0);
  assert_near(pen_text_width("<i>", &normal) - pen_text_width("<i", &normal),
              pen_text_width(">", &normal), 0.05);
}

static char *
without_space(const char *text)
{
  g_auto(GStrv) parts = g_strsplit_set(text, " \n", -1);
  return g_strjoinv("", parts);
}

static void
wrapping_fits(void **state)
{
  (void)state;
  g_autofree char *word = g_strnfill(3000, 'm');
  g_autofree char *text =
      g_strdup_printf("Prove the tester before\n\nand after the test. %s end", word);
  g_autoptr(GPtrArray) lines = pen_text_wrap(50, text, &normal);
  g_autoptr(GString) joined = g_string_new(NULL);
  for (guint i = 0; i < lines->len; i++) {
    assert_true(pen_text_width(g_ptr_array_index(lines, i), &normal) <= 50);
    g_string_append(joined, g_ptr_array_index(lines, i));
  }
  assert_string_equal(g_ptr_array_index(lines, 1), "");
  /* Nothing is lost: without white space both are the same. */
  g_autofree char *given = without_space(text), *wrapped = without_space(joined->str);
  assert_string_equal(given, wrapped);
  assert_true(lines->len > 100);
  assert_near(pen_text_block_height(50, text, &normal, 1.7), lines->len * 1.7 * 2.5, 1e-9);
  /* A column narrower than a letter still ends. */
  g_autoptr(GPtrArray) narrow = pen_text_wrap(0.1, "abc", &normal);
  assert_int_equal(narrow->len, 3);
}

/* Greedy lines by measuring each one whole: what wrapping has to agree with. */
static GPtrArray *
wrap_plainly(double width, const char *text)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func(g_free);
  g_auto(GStrv) words = g_strsplit(text, " ", -1);
  g_autoptr(GString) line = g_string_new(NULL);

  for (char **word = words; *word != NULL; word++) {
    g_autofree char *wider =
        line->len > 0 ? g_strconcat(line->str, " ", *word, NULL) : g_strdup(*word);
    if (line->len > 0 && pen_text_width(wider, &normal) > width) {
      g_ptr_array_add(lines, g_strdup(line->str));
      g_string_assign(line, *word);
    } else {
      g_string_assign(line, wider);
    }
  }
  g_ptr_array_add(lines, g_strdup(line->str));
  return lines;
}

/* Random words of letters that kern most, in random widths: the lines are those of measuring each
 * line whole, although most are decided by the sum of their words. */
static void
wrapping_agrees_with_measuring(void **state)
{
  static const char letters[] = "AVTLYWPFjfyr.,01é-";
  g_autoptr(GRand) rand = g_rand_new_with_seed(20261125);
  (void)state;

  for (guint run = 0; run < 400; run++) {
    g_autoptr(GString) text = g_string_new(NULL);
    for (guint word = 0; word < 40; word++) {
      if (word > 0)
        g_string_append_c(text, ' ');
      for (guint n = (guint)g_rand_int_range(rand, 1, 9); n > 0; n--)
        g_string_append_unichar(text, g_utf8_get_char(g_utf8_offset_to_pointer(
                                          letters, g_rand_int_range(rand, 0, 18))));
    }
    const double width = g_rand_double_range(rand, 30, 120);
    g_autoptr(GPtrArray) whole = wrap_plainly(width, text->str);
    g_autoptr(GPtrArray) lines = pen_text_wrap(width, text->str, &normal);
    assert_int_equal(lines->len, whole->len);
    for (guint i = 0; i < lines->len; i++)
      assert_string_equal(lines->pdata[i], whole->pdata[i]);
    assert_int_equal(pen_text_line_count(width, text->str, &normal), lines->len);
    assert_int_equal(pen_text_line_count(width, text->str, &normal), lines->len);
  }
}

/* What is kept for one thing is not given for another: width, height and weight all count. */
static void
counts_are_not_mixed_up(void **state)
{
  static const char text[] = "Prove the tester before and after the test on a known source.";
  const TextStyle bold = {.height = 2.5, .bold = true}, large = {.height = 5};
  (void)state;

  for (guint again = 0; again < 2; again++) {
    for (double width = 10; width < 90; width += 1) {
      g_autoptr(GPtrArray) a = pen_text_wrap(width, text, &normal);
      g_autoptr(GPtrArray) b = pen_text_wrap(width, text, &bold);
      g_autoptr(GPtrArray) c = pen_text_wrap(width, text, &large);
      assert_int_equal(pen_text_line_count(width, text, &normal), a->len);
      assert_int_equal(pen_text_line_count(width, text, &bold), b->len);
      assert_int_equal(pen_text_line_count(width, text, &large), c->len);
    }
  }
}

static void
cleaning(void **state)
{
  (void)state;
  static const struct {
    const char *given, *expected;
  } cases[] = {
      {"a\xe2\x80\xae"
       "b",
       "ab"},
      {"a\nb\tc", "a b c"},
      {"\x1b[31m", "[31m"},
      {"x\xff", "x\xef\xbf\xbd"},
      {"\xef\xb7\x90\xef\xbf\xbf", ""},
      {"caf\xc3\xa9 \xe2\x84\xa6", "caf\xc3\xa9 \xe2\x84\xa6"},
  };
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *clean = pen_text_prepare(cases[i].given);
    assert_string_equal(clean, cases[i].expected);
  }
  g_autofree char *huge = g_strnfill(100000, 'x');
  g_autofree char *cut = pen_text_prepare(huge);
  assert_int_equal(g_utf8_strlen(cut, -1), PEN_TEXT_LONGEST + 1);
}

static gpointer
measure_often(gpointer data)
{
  double *sum = data;
  for (int i = 0; i < 3000; i++) {
    g_autofree char *text = g_strdup_printf("FU%d 480 V", i % 700);
    *sum += pen_text_width(text, &normal);
  }
  return NULL;
}

static void
threads_measure_alike(void **state)
{
  (void)state;
  double sums[4] = {0};
  GThread *threads[4];
  for (guint i = 0; i < 4; i++)
    threads[i] = g_thread_new("measure", measure_often, &sums[i]);
  for (guint i = 0; i < 4; i++)
    g_thread_join(threads[i]);
  for (guint i = 1; i < 4; i++)
    assert_near(sums[i], sums[0], 0);
  assert_true(sums[0] > 1000);
}

/* Where text lands after being turned with its device, and that it is never upside down: the box of
 * the capitals must be the box the placement gives. */
static void
text_stays_readable(void **state)
{
  (void)state;
  for (int own = 0; own < 4; own++)
    for (int turns = 0; turns < 4; turns++)
      for (int mirrored = 0; mirrored < 2; mirrored++) {
        TextStyle style = {.height = 2.5, .turns = own};
        Placement placement = {.at = {50, 50}, .turns = turns, .mirrored = mirrored};
        g_autoptr(Pen) pen = pen_record_new();
        pen_push(pen, placement);
        pen_text(pen, (Point){3, 4}, "H1", &style);
        pen_pop(pen);
        assert_true(pen_finish(pen, NULL));
        double width = pen_text_width("H1", &style);
        Rect capitals = placement_apply_rect(
            placement, placement_apply_rect((Placement){.at = {3, 4}, .turns = own},
                                            (Rect){0, -2.5, width, 2.5}));
        Rect box = pen_record_bounds(pen);
        /* Descender and ascender stick out of the box of the capitals at opposite sides. */
        assert_true(rect_holds(rect_grow(box, 0.001), capitals));
        bool level = box.width > box.height;
        double below = level ? box.y + box.height - (capitals.y + capitals.height)
                             : box.x + box.width - (capitals.x + capitals.width);
        double above, descent;
        pen_text_extents(&style, &above, &descent);
        assert_near(below, descent, 0.001);
      }
}

static const char *test_program;

static void
no_font_is_noticed(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("pen-XXXXXX", NULL);
  g_autofree char *config = g_build_filename(folder, "fonts.conf", NULL);
  assert_true(g_file_set_contents(
      config, "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig/>", -1,
      NULL));
  g_auto(GStrv) environment = g_environ_setenv(g_get_environ(), "FONTCONFIG_FILE", config, TRUE);
  environment = g_environ_unsetenv(environment, "G_DEBUG"); /* Pango itself complains loudly */
  g_autofree char *output = NULL;
  char *arguments[] = {(char *)(gintptr)test_program, (char *)(gintptr) "child", NULL};
  g_autoptr(GError) error = NULL;
  int status = 0;
  assert_true(g_spawn_sync(NULL, arguments, environment, G_SPAWN_STDERR_TO_DEV_NULL, NULL, NULL,
                           &output, NULL, &status, &error));
  assert_non_null(strstr(output, "No font is installed"));
  g_remove(config);
  g_rmdir(folder);
}

int
main(int argc, char **argv)
{
  if (argc > 1) { /* the child of no_font_is_noticed */
    g_autoptr(Pen) pen = pen_record_new();
    g_autoptr(GError) error = NULL;
    pen_text(pen, (Point){0, 0}, "T1", &normal);
    bool fine = pen_finish(pen, &error);
    g_print("%s", fine ? "drawn" : error->message);
    return 0;
  }
  test_program = argv[0];
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(height_is_that_of_capitals),
      cmocka_unit_test(extents_hold_letters),
      cmocka_unit_test(width_scales),
      cmocka_unit_test(wrapping_fits),
      cmocka_unit_test(wrapping_agrees_with_measuring),
      cmocka_unit_test(counts_are_not_mixed_up),
      cmocka_unit_test(cleaning),
      cmocka_unit_test(threads_measure_alike),
      cmocka_unit_test(text_stays_readable),
      cmocka_unit_test(no_font_is_noticed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
