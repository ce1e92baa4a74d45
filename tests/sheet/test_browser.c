/* SPDX-License-Identifier: MIT */
/* The SVG in a browser (Chromium, headless): what the pointer meets on a device, on a conductor and
 * on bare paper, and what comes out of its printer. The script that asks is in a page of the test's
 * own; the SVG has none. */
#include "sheet_fixture.h"

#include "figure/figure.h"
#include "sheet/sheet_private.h"
#include <gio/gio.h>
#include <math.h>

static char *folder; /* of this run */

static int
setup(void **state)
{
  (void)state;
  folder = g_dir_make_tmp("doorsheet-XXXXXX", NULL);
  return folder != NULL ? 0 : -1;
}

static char *
run(const char *const *argv)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *out = NULL;
  g_autoptr(GSubprocess) process = g_subprocess_newv(
      argv, G_SUBPROCESS_FLAGS_STDOUT_PIPE | G_SUBPROCESS_FLAGS_STDERR_SILENCE, &error);
  if (process == NULL || !g_subprocess_communicate_utf8(process, NULL, NULL, &out, NULL, &error))
    fail_msg("%s", error->message);
  assert_true(g_subprocess_get_successful(process));
  return g_steal_pointer(&out);
}

static int
teardown(void **state)
{
  const char *const words[] = {"rm", "-rf", folder, NULL};
  (void)state;
  g_free(run(words));
  g_clear_pointer(&folder, g_free);
  return 0;
}

static char *
browser(const char *what, const char *uri)
{
  g_autofree char *home = g_strdup_printf("--user-data-dir=%s/home", folder);
  const char *const words[] = {"chromium",
                               "--headless",
                               "--no-sandbox",
                               "--disable-gpu",
                               "--window-size=2000,1300",
                               home,
                               what,
                               uri,
                               NULL};
  return run(words);
}

static char *
svg_of(const Sheet *sheet)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) bytes = sheet_export(sheet, SHEET_SVG, 0, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  return g_strndup(g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
}

static char *
put(const char *name, const char *text)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  assert_true(g_file_set_contents(path, text, -1, NULL));
  return g_filename_to_uri(path, NULL, NULL);
}

/* Asks for the group with a title that lies under each point given in millimetres, and where its
 * title stands among its children. */
static const char page_end[] =
    "<pre id='out'></pre><script>\n"
    "var lines = [];\n"
    "points.forEach(function (p) {\n"
    "  window.scrollTo(0, p[1] * 96 / 25.4 - 200);\n"
    "  var x = p[0] * 96 / 25.4, y = p[1] * 96 / 25.4 - window.scrollY;\n"
    "  var e = document.elementFromPoint(x, y), g = e;\n"
    "  while (g && !(g.tagName === 'g' && g.firstElementChild &&\n"
    "                g.firstElementChild.tagName === 'title')) g = g.parentElement;\n"
    "  lines.push(p[2] + '=' + (g ? g.id + '=' + g.firstElementChild.textContent.slice(0, 60)\n"
    "                             : 'none'));\n"
    "});\n"
    "document.getElementById('out').textContent = lines.join('\\n');\n"
    "</script></body></html>\n";

static void
add_point(GString *script, const Sheet *sheet, Point canvas, const char *name)
{
  g_string_append_printf(script, "[%.3f,%.3f,'%s'],",
                         sheet->figure_offset.x + sheet->figure_scale * canvas.x,
                         sheet->figure_offset.y + sheet->figure_scale * canvas.y, name);
}

static void
expect(const char *dump, const char *name, const char *group, const char *title)
{
  g_autofree char *line = g_strdup_printf("%s=%s=%s", name, group, title);
  if (strstr(dump, line) == NULL)
    fail_msg("the pointer at %s does not meet \"%s\": %.90s", name, line,
             strstr(strstr(dump, "<pre"), name));
}

/* The whole body of every device answers with its title, not only its lines; a conductor answers a
 * millimetre beside its line; the paper is the page. */
static void
test_pointer(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "a3", PALETTE_LIGHT);
  g_autofree char *svg = svg_of(sheet);
  g_autoptr(GString) page = g_string_new("<!DOCTYPE html><html><body style='margin:0'>");
  guint asked = 0;
  (void)state;

  assert_true(sheet->has_figure && sheet->tiling == NULL);
  g_string_append(page, strstr(svg, "<svg"));
  g_string_append(page, "<script>var points = [");
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    const Rect b = figure_device_bounds(device);
    if (device->kind->role == ROLE_OUTLINE)
      continue;
    for (guint k = 0; k < 5; k++) { /* the middle and towards the corners */
      const double x = b.x + b.width * (k == 0 ? 0.5 : k % 2 == 1 ? 0.1 : 0.9);
      const double y = b.y + b.height * (k == 0 ? 0.5 : k < 3 ? 0.1 : 0.9);
      g_autofree char *name = g_strdup_printf("%s#%u", device->id, k);
      add_point(page, sheet, (Point){x, y}, name);
      asked++;
    }
  }
  const Conductor *conductor = document_conductor(document, 0);
  g_autoptr(GArray) route = figure_route(document, conductor);
  const Point a = g_array_index(route, Point, 0), z = g_array_index(route, Point, 1);
  const bool level = fabs(a.y - z.y) < 0.01;
  add_point(page, sheet,
            (Point){(a.x + z.x) / 2 + (level ? 0 : 1), (a.y + z.y) / 2 + (level ? 1 : 0)},
            "beside");
  g_string_append(page, "[13,13,'paper']];</script>");
  g_string_append(page, page_end);
  g_autofree char *uri = put("pointer.html", page->str);
  g_autofree char *dump = browser("--dump-dom", uri);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    g_autofree char *group = g_strconcat("device-", device->id, NULL);
    g_autofree char *title =
        g_strdup_printf("%s: %s", device_designation(device), device->kind->title);
    for (guint k = 0; device->kind->role != ROLE_OUTLINE && k < 5; k++) {
      g_autofree char *name = g_strdup_printf("%s#%u", device->id, k);
      expect(dump, name, group, title);
    }
  }
  g_autofree char *group =
      g_strdup_printf("conductor-%s.%s-%s.%s", conductor->from.device, conductor->from.terminal,
                      conductor->to.device, conductor->to.terminal);
  expect(dump, "beside", group, "conductor");
  assert_non_null(strstr(dump, "paper=page-1="));
  assert_true(asked > 40);
}

/* A width or height in points from "Page size: 792 x 612 pts". */
static void
assert_page_size(const char *info, double width, double height)
{
  const char *size = strstr(info, "Page size:");
  char *end = NULL;

  assert_non_null(size);
  const double wide = g_ascii_strtod(size + strlen("Page size:"), &end);
  const double high = g_ascii_strtod(strstr(end, "x ") + 2, NULL);
  assert_true(fabs(wide - width * 72 / 25.4) < 1 && fabs(high - height * 72 / 25.4) < 1);
}

/* Each page of the sheet is one page of paper of the right size, and holds its own words only. */
static void
check_printed(const Sheet *sheet)
{
  g_autofree char *svg = svg_of(sheet);
  g_autofree char *uri = put("print.svg", svg);
  g_autofree char *pdf = g_build_filename(folder, "print.pdf", NULL);
  g_autofree char *print = g_strconcat("--print-to-pdf=", pdf, NULL);
  const char *const info_words[] = {"pdfinfo", pdf, NULL};
  double width = 0, height = 0;

  sheet_page_size(sheet, 0, &width, &height);
  g_free(browser(print, uri));
  g_autofree char *info = run(info_words);
  assert_page_size(info, width, height);
  const char *count = strstr(info, "Pages:");
  assert_non_null(count);
  assert_int_equal(g_ascii_strtoull(count + strlen("Pages:"), NULL, 10), sheet_page_count(sheet));
  for (guint page = 1; page <= sheet_page_count(sheet); page++) {
    g_autofree char *number = g_strdup_printf("%u", page);
    g_autofree char *own = g_strdup_printf("%u of %u", page, sheet_page_count(sheet));
    const char *const words[] = {"pdftotext", "-layout", "-f", number, "-l",
                                 number,      pdf,       "-",  NULL};
    g_autofree char *text = run(words);
    if (strstr(text, own) == NULL)
      fail_msg("printed page %u does not say \"%s\"", page, own);
    assert_non_null(strstr(text, "not an approval"));
  }
}

static void
test_print(void **state)
{
  static const char *const papers[] = {"letter", "a3"};
  g_autoptr(Document) document = fixture_pump();
  (void)state;

  for (guint p = 0; p < G_N_ELEMENTS(papers); p++) {
    g_autoptr(Sheet) sheet = fixture_sheet(document, papers[p], PALETTE_LIGHT);
    check_printed(sheet);
  }
}

/* What helps the pointer is not on paper. */
static void
test_hints_are_not_printed(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "a3", PALETTE_LIGHT);
  g_autofree char *svg = svg_of(sheet);
  g_autoptr(GString) loud = g_string_new(svg), rule = g_string_new("class=\"hit\"");
  (void)state;

  assert_non_null(strstr(svg, "@media print{.hit{display:none}}"));
  assert_null(strstr(svg, "<script"));
  /* Made visible by force, they are still gone from the printer's page, which stays the same. */
  g_string_replace(loud, rule->str, "class=\"hit\" stroke=\"#ff00ff\"", 0);
  for (guint i = 0; i < 2; i++) {
    g_autofree char *uri = put("hints.svg", i == 0 ? svg : loud->str);
    g_autofree char *pdf = g_strdup_printf("%s/hints-%u.pdf", folder, i);
    g_autofree char *print = g_strconcat("--print-to-pdf=", pdf, NULL);
    g_autofree char *stem = g_strdup_printf("%s/hints-%u", folder, i);
    const char *const words[] = {"pdftoppm", "-r", "60", "-f", "1", "-singlefile", pdf, stem, NULL};
    g_free(browser(print, uri));
    g_free(run(words));
  }
  g_autofree char *first = g_strconcat(folder, "/hints-0.ppm", NULL);
  g_autofree char *second = g_strconcat(folder, "/hints-1.ppm", NULL);
  const char *const same[] = {"cmp", first, second, NULL};
  g_free(run(same));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_pointer),
      cmocka_unit_test(test_print),
      cmocka_unit_test(test_hints_are_not_printed),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
