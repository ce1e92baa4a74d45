/* SPDX-License-Identifier: MIT */
#include "pen/pen_svg.h"
#include "torture.h"

#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <libxml/xpathInternals.h>

static GByteArray *
make_svg(Palette palette, const char *metadata)
{
  GByteArray *bytes = g_byte_array_new();
  g_autoptr(Pen) pen = pen_svg_new(bytes, palette, "Door <sheet>", "Add-on & unit", metadata);
  g_autoptr(GError) error = NULL;
  draw_torture(pen);
  pen_begin_page(pen, 80, 50, "Second");
  draw_shapes(pen);
  pen_end_page(pen);
  if (!pen_finish(pen, &error))
    fail_msg("%s", error->message);
  return bytes;
}

static xmlDocPtr
parse(const GByteArray *bytes)
{
  xmlDocPtr document =
      xmlReadMemory((const char *)bytes->data, (int)bytes->len, "svg", NULL, XML_PARSE_NONET);
  assert_non_null(document);
  return document;
}

/* Number of nodes, or text of the first when text is not NULL. */
static int
count(xmlDocPtr document, const char *path, char **text)
{
  xmlXPathContextPtr context = xmlXPathNewContext(document);
  xmlXPathRegisterNs(context, (const xmlChar *)"s", (const xmlChar *)"http://www.w3.org/2000/svg");
  xmlXPathRegisterNs(context, (const xmlChar *)"d", (const xmlChar *)"urn:doorsheet:1");
  xmlXPathObjectPtr result = xmlXPathEvalExpression((const xmlChar *)path, context);
  assert_non_null(result);
  int n = result->nodesetval != NULL ? result->nodesetval->nodeNr : 0;
  if (text != NULL && n > 0) {
    xmlChar *content = xmlNodeGetContent(result->nodesetval->nodeTab[0]);
    *text = g_strdup((const char *)content);
    xmlFree(content);
  }
  xmlXPathFreeObject(result);
  xmlXPathFreeContext(context);
  return n;
}

static void
structure(void **state)
{
  (void)state;
  g_autoptr(GByteArray) bytes = make_svg(PALETTE_LIGHT, NULL);
  xmlDocPtr document = parse(bytes);
  g_autofree char *width = NULL, *height = NULL, *box = NULL, *title = NULL, *desc = NULL;
  count(document, "/s:svg/@width", &width);
  count(document, "/s:svg/@height", &height);
  count(document, "/s:svg/@viewBox", &box);
  assert_string_equal(width, "100mm");
  assert_string_equal(height, "140mm");
  assert_string_equal(box, "0 0 100 140");
  count(document, "/s:svg/s:title", &title);
  assert_string_equal(title, "Door <sheet>");
  count(document, "//s:g[@id='device-T1-2']/s:desc", &desc);
  assert_string_equal(desc, "250 VA <&>");
  assert_int_equal(count(document, "//s:g[@id='device-T1']", NULL), 1);
  assert_int_equal(count(document, "//s:g[@id='device-T1-3']", NULL), 1);
  assert_int_equal(count(document, "//s:g[@id='g-1_bad_id___']", NULL), 1);
  assert_int_equal(count(document, "//s:g[starts-with(@id, 'page-')]", NULL), 2);
  xmlFreeDoc(document);
}

static void
real_text(void **state)
{
  (void)state;
  g_autoptr(GByteArray) bytes = make_svg(PALETTE_LIGHT, NULL);
  xmlDocPtr document = parse(bytes);
  g_autofree char *first = NULL, *space = NULL;
  count(document, "(//s:text)[1]", &first);
  assert_string_equal(first, MARKUP);
  count(document, "//s:text[contains(., 'two  spaces')]/@xml:space", &space);
  assert_string_equal(space, "preserve");
  assert_int_equal(count(document, "//s:text[@text-anchor='end']", NULL), 1);
  assert_int_equal(count(document, "//s:text[starts-with(@transform, 'rotate(270')]", NULL), 3);
  for (guint i = 0; i < bytes->len; i++)
    assert_true(bytes->data[i] >= 0x20 || bytes->data[i] == '\n');
  assert_null(g_strstr_len((const char *)bytes->data, bytes->len, "\xe2\x80\xae"));
  xmlFreeDoc(document);
}

static void
metadata_survives(void **state)
{
  (void)state;
  g_autoptr(GByteArray) bytes =
      make_svg(PALETTE_LIGHT,
               "<?xml version=\"1.0\"?>\n<doorsheet xmlns=\"urn:doorsheet:1\" title=\"&lt;a&gt; "
               "\xc3\xbc\"><device id=\"T1\"/></doorsheet>\n");
  xmlDocPtr document = parse(bytes);
  g_autofree char *title = NULL;
  assert_int_equal(count(document, "/s:svg/s:metadata/d:doorsheet/d:device[@id='T1']", NULL), 1);
  count(document, "/s:svg/s:metadata/d:doorsheet/@title", &title);
  assert_string_equal(title, "<a> \xc3\xbc");
  xmlFreeDoc(document);
}

static void
bad_metadata_is_refused(void **state)
{
  (void)state;
  static const char *const bad[] = {"", "<a>", "</metadata><script/>", "<a/><b/>",
                                    "<!DOCTYPE a [<!ENTITY x \"y\">]><a>&x;</a>"};
  for (guint i = 0; i < G_N_ELEMENTS(bad); i++) {
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    g_autoptr(Pen) pen = pen_svg_new(bytes, PALETTE_LIGHT, NULL, NULL, bad[i]);
    g_autoptr(GError) error = NULL;
    pen_begin_page(pen, 10, 10, NULL);
    pen_end_page(pen);
    assert_false(pen_finish(pen, &error));
    assert_true(g_error_matches(error, PEN_ERROR, PEN_ERROR_METADATA));
    assert_int_equal(bytes->len, 0);
  }
}

static void
same_drawing_same_bytes(void **state)
{
  (void)state;
  for (int palette = 0; palette < PALETTE_COUNT; palette++) {
    g_autoptr(GByteArray) one = make_svg((Palette)palette, "<a/>");
    g_autoptr(GByteArray) two = make_svg((Palette)palette, "<a/>");
    assert_int_equal(one->len, two->len);
    assert_memory_equal(one->data, two->data, one->len);
  }
}

static void
a_page_is_needed(void **state)
{
  (void)state;
  for (int drawn = 0; drawn < 2; drawn++) {
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    g_autoptr(Pen) pen = pen_svg_new(bytes, PALETTE_LIGHT, NULL, NULL, NULL);
    if (drawn)
      pen_line(pen, (Point){0, 0}, (Point){1, 1}, &plain);
    assert_false(pen_finish(pen, NULL));
    assert_int_equal(bytes->len, 0);
  }
}

/* --- against cairo: the SVG drawn by librsvg must look like the PNG --- */

static void
draw_comparable(Pen *pen)
{
  pen_begin_page(pen, 100, 90, "Compare");
  draw_shapes(pen);
  pen_text(pen, (Point){10, 10}, "Feed H3 and H4 at 480 V", &(TextStyle){.height = 3});
  pen_text(pen, (Point){95, 60}, "upwards", &(TextStyle){.height = 2.5, .turns = 3, .bold = true});
  pen_end_page(pen);
}

static double
darkness(cairo_surface_t *surface, int x0, int y0, int size)
{
  const unsigned char *data = cairo_image_surface_get_data(surface);
  int stride = cairo_image_surface_get_stride(surface);
  double sum = 0;
  for (int y = y0; y < y0 + size; y++)
    for (int x = x0; x < x0 + size; x++) {
      const unsigned char *pixel = data + y * stride + x * 4;
      sum += (255 * 3 - pixel[0] - pixel[1] - pixel[2]) / (255.0 * 3);
    }
  return sum / (size * size);
}

static void
looks_like_cairo(void **state)
{
  (void)state;
  g_autofree char *program = g_find_program_in_path("rsvg-convert");
  if (program == NULL)
    skip();
  g_autofree char *folder = g_dir_make_tmp("pen-XXXXXX", NULL);
  g_autofree char *svg = g_build_filename(folder, "a.svg", NULL);
  g_autofree char *drawn = g_build_filename(folder, "a.png", NULL);
  g_autofree char *reference = g_build_filename(folder, "b.png", NULL);
  g_autoptr(GByteArray) svg_bytes = g_byte_array_new();
  g_autoptr(GByteArray) png_bytes = g_byte_array_new();
  g_autoptr(Pen) one = pen_svg_new(svg_bytes, PALETTE_LIGHT, "t", NULL, NULL);
  draw_comparable(one);
  assert_true(pen_finish(one, NULL));
  g_autoptr(Pen) two = pen_png_new(png_bytes, PALETTE_LIGHT, 8);
  draw_comparable(two);
  assert_true(pen_finish(two, NULL));
  g_file_set_contents(svg, (const char *)svg_bytes->data, svg_bytes->len, NULL);
  g_file_set_contents(reference, (const char *)png_bytes->data, png_bytes->len, NULL);
  char *arguments[] = {program,
                       (char *)(gintptr) "-w",
                       (char *)(gintptr) "800",
                       (char *)(gintptr) "-h",
                       (char *)(gintptr) "720",
                       (char *)(gintptr) "-o",
                       drawn,
                       svg,
                       NULL};
  int status = 1;
  assert_true(g_spawn_sync(NULL, arguments, NULL, 0, NULL, NULL, NULL, NULL, &status, NULL));
  assert_int_equal(status, 0);
  cairo_surface_t *a = cairo_image_surface_create_from_png(drawn);
  cairo_surface_t *b = cairo_image_surface_create_from_png(reference);
  assert_int_equal(cairo_image_surface_get_width(a), 800);
  assert_int_equal(cairo_image_surface_get_width(b), 800);
  double worst = 0, ink = 0;
  for (int y = 0; y < 720; y += 16)
    for (int x = 0; x < 800; x += 16) {
      worst = MAX(worst, fabs(darkness(a, x, y, 16) - darkness(b, x, y, 16)));
      ink += darkness(b, x, y, 16);
    }
  /* Squares of 2 mm: another antialiasing moves a few hundredths of the ink, a missing or shifted
   * line or letter a quarter. */
  assert_true(ink > 20);
  if (worst > 0.08)
    fail_msg("the darkest difference of a square is %.3f", worst);
  cairo_surface_destroy(a);
  cairo_surface_destroy(b);
  g_remove(svg);
  g_remove(drawn);
  g_remove(reference);
  g_rmdir(folder);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(structure),
      cmocka_unit_test(real_text),
      cmocka_unit_test(metadata_survives),
      cmocka_unit_test(bad_metadata_is_refused),
      cmocka_unit_test(same_drawing_same_bytes),
      cmocka_unit_test(a_page_is_needed),
      cmocka_unit_test(looks_like_cairo),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
