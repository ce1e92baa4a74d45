/* SPDX-License-Identifier: MIT */
#include "pen/pen_cairo.h"
#include "torture.h"

static char *
run(const char *program, const char *const *arguments)
{
  g_autofree char *path = g_find_program_in_path(program);
  if (path == NULL)
    return NULL;
  g_autoptr(GPtrArray) list = g_ptr_array_new();
  g_ptr_array_add(list, path);
  for (; *arguments != NULL; arguments++)
    g_ptr_array_add(list, (char *)(gintptr)*arguments);
  g_ptr_array_add(list, NULL);
  char *output = NULL;
  int status = 1;
  assert_true(
      g_spawn_sync(NULL, (char **)list->pdata, NULL, 0, NULL, NULL, &output, NULL, &status, NULL));
  assert_int_equal(status, 0);
  return output;
}

static GByteArray *
make_pdf(void)
{
  GByteArray *bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_pdf_new(bytes, PALETTE_LIGHT, "Title (a) \\ b", "Technician", "MAU-2",
                                   "2026-11-25T00:00:00Z");
  g_autoptr(GError) error = NULL;
  draw_torture(pen);
  pen_begin_page(pen, 215.9, 279.4, "Letter");
  pen_text(pen, (Point){20, 20}, "X1 to X3 reads 118.4 V", &(TextStyle){.height = 2.5});
  pen_text(pen, (Point){20, 40}, "turned 480 V", &(TextStyle){.height = 2.5, .turns = 3});
  pen_end_page(pen);
  if (!pen_finish(pen, &error))
    fail_msg("%s", error->message);
  return bytes;
}

static void
pdf_is_sound(void **state)
{
  (void)state;
  g_autoptr(GByteArray) bytes = make_pdf();
  g_autofree char *folder = g_dir_make_tmp("pen-XXXXXX", NULL);
  g_autofree char *file = g_build_filename(folder, "a.pdf", NULL);
  assert_true(g_file_set_contents(file, (const char *)bytes->data, bytes->len, NULL));
  g_autofree char *text = run("pdftotext", (const char *[]){"-layout", file, "-", NULL});
  g_autofree char *fonts = run("pdffonts", (const char *[]){file, NULL});
  g_autofree char *info = run("pdfinfo", (const char *[]){"-isodates", file, NULL});
  g_remove(file);
  g_rmdir(folder);
  if (text == NULL || fonts == NULL || info == NULL)
    skip();
  assert_non_null(strstr(text, "X1 to X3 reads 118.4 V"));
  assert_non_null(strstr(text, "<b>&amp;"));
  assert_non_null(strstr(text, "caf\xc3\xa9"));
  assert_non_null(strstr(text, "turned 480 V"));
  assert_non_null(strstr(fonts, "DejaVuSans"));
  /* Columns: name type encoding emb sub uni: every font is embedded as a subset. */
  g_auto(GStrv) lines = g_strsplit(g_strchomp(fonts), "\n", -1);
  assert_true(g_strv_length(lines) > 2);
  for (char **line = lines + 2; *line != NULL; line++)
    assert_non_null(strstr(*line, "yes yes"));
  assert_non_null(strstr(info, "Pages:           2"));
  assert_non_null(strstr(info, "Title (a) \\ b"));
  assert_non_null(strstr(info, "Technician"));
  assert_non_null(strstr(info, "2026-11-25T00:00:00"));
}

static void
pdf_has_bookmarks(void **state)
{
  (void)state;
  g_autoptr(GByteArray) bytes = make_pdf();
  /* Objects of the catalogue are not compressed by this writer: titles stand in the file. */
  assert_non_null(memmem(bytes->data, bytes->len, "/Outlines", 9));
  assert_non_null(memmem(bytes->data, bytes->len, "/Title (Letter)", 15));
}

static void
same_drawing_same_bytes(void **state)
{
  (void)state;
  g_autoptr(GByteArray) one = make_pdf();
  g_autoptr(GByteArray) two = make_pdf();
  assert_int_equal(one->len, two->len);
  assert_memory_equal(one->data, two->data, one->len);
}

static GByteArray *
make_png(Palette palette, double scale, bool *fine)
{
  GByteArray *bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_png_new(bytes, palette, scale);
  draw_torture(pen);
  *fine = pen_finish(pen, NULL);
  return bytes;
}

static void
png_is_reproducible(void **state)
{
  (void)state;
  bool fine = false;
  g_autoptr(GByteArray) one = make_png(PALETTE_MONO, 8, &fine);
  assert_true(fine);
  g_autoptr(GByteArray) two = make_png(PALETTE_MONO, 8, &fine);
  assert_int_equal(one->len, two->len);
  assert_memory_equal(one->data, two->data, one->len);
  assert_memory_equal(one->data, "\x89PNG", 4);
}

static void
png_limits(void **state)
{
  (void)state;
  static const double scales[] = {0, -1, NAN, INFINITY, 201, 1e300};
  for (guint i = 0; i < G_N_ELEMENTS(scales); i++) {
    bool fine = true;
    g_autoptr(GByteArray) bytes = make_png(PALETTE_LIGHT, scales[i], &fine);
    assert_false(fine);
    assert_int_equal(bytes->len, 0);
  }
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_png_new(bytes, PALETTE_LIGHT, 1);
  for (int i = 0; i < 2; i++) {
    pen_begin_page(pen, 10, 10, NULL);
    pen_end_page(pen);
  }
  g_autoptr(GError) error = NULL;
  assert_false(pen_finish(pen, &error));
  assert_true(g_error_matches(error, PEN_ERROR, PEN_ERROR_PAGE));
}

static void
missing_glyphs_fail_a_file(void **state)
{
  (void)state;
  /* A private-use character that no font has. */
  for (int file = 0; file < 2; file++) {
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    g_autoptr(Pen) pen = file ? pen_png_new(bytes, PALETTE_LIGHT, 4)
                              : pen_pdf_new(bytes, PALETTE_LIGHT, NULL, NULL, NULL, NULL);
    g_autoptr(GError) error = NULL;
    pen_begin_page(pen, 50, 20, NULL);
    pen_text(pen, (Point){5, 5}, "T\xf4\x80\x80\x81", &(TextStyle){.height = 2.5});
    pen_end_page(pen);
    assert_false(pen_finish(pen, &error));
    assert_true(g_error_matches(error, PEN_ERROR, PEN_ERROR_FONT));
    assert_true(g_str_has_prefix(error->message, "No font"));
    assert_int_equal(bytes->len, 0);
  }
}

/* Ink under a pixel-wide line drawn far thinner, with and without the hairline. */
static double
line_ink(double hairline)
{
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 50, 50);
  cairo_t *cr = cairo_create(surface);
  cairo_scale(cr, 0.5, 0.5);
  g_autoptr(Pen) pen = pen_cairo_new(cr, PALETTE_LIGHT, hairline);
  pen_begin_page(pen, 100, 100, NULL);
  pen_line(pen, (Point){0, 51}, (Point){100, 51}, &(PenStyle){.width = PEN_THIN});
  pen_end_page(pen);
  assert_true(pen_finish(pen, NULL));
  cairo_surface_flush(surface);
  const unsigned char *row =
      cairo_image_surface_get_data(surface) + 25 * cairo_image_surface_get_stride(surface);
  double ink = 255 - row[25 * 4];
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  return ink;
}

static void
hairlines_stay_visible(void **state)
{
  (void)state;
  assert_true(line_ink(0) < 60);
  assert_true(line_ink(2) > 200);
}

static void
broken_context_is_reported(void **state)
{
  (void)state;
  cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 5, 5);
  cairo_t *cr = cairo_create(surface);
  cairo_restore(cr); /* an error of the context */
  g_autoptr(Pen) pen = pen_cairo_new(cr, PALETTE_LIGHT, 0);
  pen_line(pen, (Point){0, 0}, (Point){1, 1}, &plain);
  g_autoptr(GError) error = NULL;
  assert_false(pen_finish(pen, &error));
  assert_true(g_error_matches(error, PEN_ERROR, PEN_ERROR_OUTPUT));
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pdf_is_sound),
      cmocka_unit_test(pdf_has_bookmarks),
      cmocka_unit_test(same_drawing_same_bytes),
      cmocka_unit_test(png_is_reproducible),
      cmocka_unit_test(png_limits),
      cmocka_unit_test(missing_glyphs_fail_a_file),
      cmocka_unit_test(hairlines_stay_visible),
      cmocka_unit_test(broken_context_is_reported),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
