/* SPDX-License-Identifier: MIT */
/* The same picture from programs that share nothing with one another: our PNG (cairo), librsvg and
 * a browser (Chromium: its own reader, Skia) with the SVG, poppler with the PDF. Pictures are
 * compared by the ink in squares of a millimetre, 8 by 8 pixels, on the first page. Stated
 * tolerance: all differences together at most 5 % of the ink there is (10 % for poppler, which
 * thickens thin lines), in no square more than TOLERANCE of a renderer. A shape or a text
 * taken out of the SVG has to show. A picture may lie a pixel (1/8 mm) beside the other. */
#include "sheet_fixture.h"

#include <gio/gio.h>
#include <glib/gstdio.h>
#include <math.h>

typedef struct {
  const char *path, *paper, *symbols;
  Palette palette;
} Case;

static const Case cases[] = {
    {"tests/sheet/pump.doorsheet", "letter", "north-american", PALETTE_LIGHT},
    {"tests/sheet/pump.doorsheet", "label-4x6", "north-american", PALETTE_LIGHT},
    {"samples/fan-480.doorsheet", "a3", "iec", PALETTE_LIGHT},
    {"samples/lamp-high-leg.doorsheet", "tabloid", "north-american", PALETTE_MONO},
};

static cairo_status_t
read_bytes(void *closure, unsigned char *to, unsigned int length)
{
  GInputStream *stream = closure;
  gsize got = 0;
  if (!g_input_stream_read_all(stream, to, length, &got, NULL, NULL) || got != length)
    return CAIRO_STATUS_READ_ERROR;
  return CAIRO_STATUS_SUCCESS;
}

static cairo_surface_t *
read_picture(const void *data, gsize size)
{
  g_autoptr(GInputStream) stream = g_memory_input_stream_new_from_data(data, (gssize)size, NULL);
  cairo_surface_t *surface = cairo_image_surface_create_from_png_stream(read_bytes, stream);
  assert_int_equal(cairo_surface_status(surface), CAIRO_STATUS_SUCCESS);
  return surface;
}

/* Mean darkness of a square of pixels, 0 to 1; outside the picture counts as white. */
static double
darkness(cairo_surface_t *surface, int left, int top, int side)
{
  const unsigned char *data = cairo_image_surface_get_data(surface);
  const int stride = cairo_image_surface_get_stride(surface);
  const int width = cairo_image_surface_get_width(surface);
  const int height = cairo_image_surface_get_height(surface);
  double sum = 0;

  for (int y = top; y < MIN(top + side, height); y++)
    for (int x = left; x < MIN(left + side, width); x++)
      for (int c = 0; c < 3; c++)
        sum += 255 - data[y * stride + 4 * x + c];
  return sum / (255.0 * 3 * side * side);
}

/* How much a square differs, where the other picture may lie a pixel beside: a browser puts letters
 * on whole pixels of its own. */
static double
square_difference(double own, cairo_surface_t *other, int x, int y, int side)
{
  double least = fabs(own - darkness(other, x, y, side));

  for (int dy = -1; dy <= 1 && least > 0.05; dy++)
    for (int dx = -1; dx <= 1; dx++)
      least = MIN(least, fabs(own - darkness(other, MAX(x + dx, 0), MAX(y + dy, 0), side)));
  return least;
}

/* The largest difference over squares of a millimetre of the first page, and all differences as a
 * share of the ink there is: a full page may differ in more places than an empty one. */
static void
compare_pictures(cairo_surface_t *a, cairo_surface_t *b, int page_height, double *mean,
                 double *most)
{
  const int side = 8;
  double sum = 0, ink = 0;

  *most = 0;
  for (int y = 0; y + side <= page_height; y += side)
    for (int x = 0; x + side <= cairo_image_surface_get_width(a); x += side) {
      const double own = darkness(a, x, y, side);
      const double difference = square_difference(own, b, x, y, side);
      ink += own;
      sum += difference;
      *most = MAX(*most, difference);
    }
  *mean = sum / ink;
}

static char *
run_tool(GBytes *input, const char *const *argv, gsize *size)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) out = NULL;
  GSubprocessFlags flags = (input != NULL ? G_SUBPROCESS_FLAGS_STDIN_PIPE : 0) |
                           G_SUBPROCESS_FLAGS_STDOUT_PIPE | G_SUBPROCESS_FLAGS_STDERR_SILENCE;
  g_autoptr(GSubprocess) process = g_subprocess_newv(argv, flags, &error);
  if (process == NULL)
    fail_msg("%s", error->message);
  if (!g_subprocess_communicate(process, input, NULL, &out, NULL, &error))
    fail_msg("%s", error->message);
  assert_true(g_subprocess_get_successful(process));
  *size = g_bytes_get_size(out);
  return g_memdup2(g_bytes_get_data(out, NULL), *size);
}

static cairo_surface_t *
by_librsvg(GBytes *svg, double width, double height)
{
  static const char *const words[] = {"rsvg-convert", "--dpi-x=203.2", "--dpi-y=203.2",
                                      "--background-color=white", NULL};
  gsize size = 0;
  g_autofree char *data = run_tool(svg, words, &size);
  (void)width;
  (void)height;
  return read_picture(data, size);
}

static cairo_surface_t *
by_poppler(GBytes *pdf, double width, double height)
{
  static const char *const words[] = {"pdftoppm", "-png",        "-r", "203.2", "-f",
                                      "1",        "-singlefile", "-",  NULL};
  gsize size = 0;
  g_autofree char *data = run_tool(pdf, words, &size);
  (void)width;
  (void)height;
  return read_picture(data, size);
}

/* A browser wants files, a home of its own, and thinks in pixels of 1/96 in. */
static cairo_surface_t *
by_chromium(GBytes *svg, double width, double height)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-XXXXXX", &error);
  assert_non_null(folder);
  g_autofree char *in = g_build_filename(folder, "sheet.svg", NULL);
  g_autofree char *out = g_build_filename(folder, "sheet.png", NULL);
  g_autofree char *home = g_strdup_printf("--user-data-dir=%s/home", folder);
  g_autofree char *window =
      g_strdup_printf("--window-size=%.0f,%.0f", ceil(width * 96 / 25.4), ceil(height * 96 / 25.4));
  g_autofree char *shot = g_strconcat("--screenshot=", out, NULL);
  g_autofree char *uri = g_filename_to_uri(in, NULL, NULL);
  const char *const words[] = {"chromium",
                               "--headless",
                               "--no-sandbox",
                               "--disable-gpu",
                               "--hide-scrollbars",
                               "--force-device-scale-factor=2.1166667",
                               home,
                               window,
                               shot,
                               uri,
                               NULL};
  g_autofree char *picture = NULL;
  gsize size = 0;

  assert_true(
      g_file_set_contents(in, g_bytes_get_data(svg, NULL), (gssize)g_bytes_get_size(svg), NULL));
  g_free(run_tool(NULL, words, &size));
  assert_true(g_file_get_contents(out, &picture, &size, &error));
  const char *const clean[] = {"rm", "-rf", folder, NULL};
  gsize none = 0;
  g_free(run_tool(NULL, clean, &none));
  return read_picture(picture, size);
}

typedef struct {
  const char *name;
  cairo_surface_t *(*draw)(GBytes *file, double width, double height);
  SheetFormat format;
  double mean, tolerance; /* ink that may differ: of all there is, and in any square of 1 mm */
} Renderer;

static const Renderer renderers[] = {
    {"librsvg", by_librsvg, SHEET_SVG, 0.05, 0.15},
    {"chromium", by_chromium, SHEET_SVG, 0.05, 0.15},
    {"poppler", by_poppler, SHEET_PDF, 0.10, 0.20} /* thickens thin lines */,
};

static Sheet *
sheet_of(const Case *one)
{
  g_autofree char *path = fixture_path(one->path);
  g_autoptr(Document) document = fixture_read(path);
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(document, false, "symbols", one->symbols, &error);
  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
  return fixture_sheet(document, one->paper, one->palette);
}

static GBytes *export(const Sheet *sheet, SheetFormat format)
{
  g_autoptr(GError) error = NULL;
  GBytes *bytes = sheet_export(sheet, format, 0, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  return bytes;
}

static void
compare_with(const Sheet *sheet, const Renderer *renderer, GBytes *file, double *mean, double *most)
{
  double width = 0, height = 0;
  g_autoptr(GBytes) png = export(sheet, SHEET_PNG);
  sheet_page_size(sheet, 0, &width, &height);
  cairo_surface_t *own = read_picture(g_bytes_get_data(png, NULL), g_bytes_get_size(png));
  cairo_surface_t *theirs = renderer->draw(file, width, height);
  const int wide = cairo_image_surface_get_width(own);
  assert_true(ABS(cairo_image_surface_get_width(theirs) - wide) <= 2);
  compare_pictures(own, theirs, (int)(height * 8) - 8, mean, most);
  cairo_surface_destroy(own);
  cairo_surface_destroy(theirs);
}

static void
test_renderers_agree(void **state)
{
  (void)state;
  for (guint c = 0; c < G_N_ELEMENTS(cases); c++) {
    g_autoptr(Sheet) sheet = sheet_of(&cases[c]);
    for (guint r = 0; r < G_N_ELEMENTS(renderers); r++) {
      double mean = 0, most = 0;
      g_autoptr(GBytes) file = export(sheet, renderers[r].format);
      compare_with(sheet, &renderers[r], file, &mean, &most);
      print_message("%s on %s by %s: mean difference %.4f, largest %.3f\n", cases[c].path,
                    cases[c].paper, renderers[r].name, mean, most);
      assert_true(mean < renderers[r].mean);
      assert_true(most < renderers[r].tolerance);
    }
  }
}

/* The SVG without the nth element of a name after a place in it. */
static GBytes *
without(GBytes *svg, const char *after, const char *element, guint nth)
{
  g_autofree char *text = g_strndup(g_bytes_get_data(svg, NULL), g_bytes_get_size(svg));
  g_autofree char *open = g_strdup_printf("<%s ", element);
  char *at = strstr(text, after);
  assert_non_null(at);
  for (guint i = 0; i <= nth; i++) {
    at = strstr(at + 1, open);
    assert_non_null(at);
  }
  char *end = strchr(at, '\n');
  g_autoptr(GString) left = g_string_new_len(text, at - text);
  g_string_append(left, end);
  return g_bytes_new(left->str, left->len);
}

/* The tolerance is no blindfold: whatever is missing is seen, by both readers of the SVG. */
static void
test_a_missing_shape_is_seen(void **state)
{
  static const struct {
    const char *after, *element;
    guint nth;
  } parts[] = {{"id=\"device-T1\"", "path", 0},
               {"id=\"device-T1\"", "text", 2},
               {"id=\"device-FU1\"", "circle", 0},
               {"id=\"device-LD1\"", "path", 0},
               {"id=\"page-1\"", "path", 6}};
  g_autoptr(Sheet) sheet = sheet_of(&cases[0]);
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(parts); i++) {
    g_autoptr(GBytes) less = without(svg, parts[i].after, parts[i].element, parts[i].nth);
    for (guint r = 0; r < 2; r++) {
      double mean = 0, most = 0;
      compare_with(sheet, &renderers[r], less, &mean, &most);
      print_message("%s %s missing, %s: %.3f\n", parts[i].after, parts[i].element,
                    renderers[r].name, most);
      assert_true(most > renderers[r].tolerance);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_renderers_agree),
      cmocka_unit_test(test_a_missing_shape_is_seen),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
