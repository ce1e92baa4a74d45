/* SPDX-License-Identifier: MIT */
/* SVG, PDF and PNG of a sheet: well-formed, the same texts in each, the diagram inside the SVG, and
 * the same bytes for the same date. */
#include "sheet_fixture.h"

#include <gio/gio.h>
#include <libxml/parser.h>
#include <libxml/valid.h>
#include <libxml/xpath.h>
#include <math.h>

static GBytes *export(const Sheet *sheet, SheetFormat format)
{
  g_autoptr(GError) error = NULL;
  GBytes *bytes = sheet_export(sheet, format, 0, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  return bytes;
}

static void
add_words(GHashTable *words, const char *text)
{
  g_autoptr(GString) plain = g_string_new(text);
  g_string_replace(plain, "\u00a0", " ", 0);
  g_auto(GStrv) split = g_strsplit_set(plain->str, " \t\n\f\r", -1);
  for (guint i = 0; split[i] != NULL; i++)
    if (split[i][0] != '\0')
      g_hash_table_insert(
          words, g_strdup(split[i]),
          GUINT_TO_POINTER(GPOINTER_TO_UINT(g_hash_table_lookup(words, split[i])) + 1));
}

static void
collect_texts(const xmlNode *node, GHashTable *words)
{
  for (; node != NULL; node = node->next) {
    if (node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, "text") == 0) {
      xmlChar *content = xmlNodeGetContent((xmlNode *)(guintptr)node);
      add_words(words, (const char *)content);
      xmlFree(content);
      continue;
    }
    collect_texts(node->children, words);
  }
}

static xmlDocPtr
parse_svg(GBytes *svg)
{
  gsize size = 0;
  const char *data = g_bytes_get_data(svg, &size);
  xmlDocPtr doc = xmlReadMemory(data, (int)size, "sheet.svg", NULL, XML_PARSE_NONET);
  assert_non_null(doc);
  return doc;
}

static GHashTable *
svg_words(GBytes *svg)
{
  GHashTable *words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  xmlDocPtr doc = parse_svg(svg);
  collect_texts(xmlDocGetRootElement(doc), words);
  xmlFreeDoc(doc);
  return words;
}

static GHashTable *
pdf_words(GBytes *pdf)
{
  GHashTable *words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) text = NULL;
  g_autoptr(GSubprocess) process =
      g_subprocess_new(G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error,
                       "pdftotext", "-raw", "-enc", "UTF-8", "-", "-", NULL);
  if (process == NULL)
    fail_msg("%s", error->message);
  if (!g_subprocess_communicate(process, pdf, NULL, &text, NULL, &error))
    fail_msg("%s", error->message);
  assert_true(g_subprocess_get_successful(process));
  gsize size = 0;
  const char *data = g_bytes_get_data(text, &size);
  g_autofree char *string = g_strndup(data, size);
  add_words(words, string);
  return words;
}

static void
assert_words_in(GHashTable *words, GHashTable *others, const char *what)
{
  GHashTableIter iter;
  gpointer word = NULL;

  g_hash_table_iter_init(&iter, words);
  while (g_hash_table_iter_next(&iter, &word, NULL))
    if (g_hash_table_lookup(others, word) != g_hash_table_lookup(words, word))
      fail_msg("%s: \"%s\" %u and %u times", what, (const char *)word,
               GPOINTER_TO_UINT(g_hash_table_lookup(words, word)),
               GPOINTER_TO_UINT(g_hash_table_lookup(others, word)));
}

/* What a PNG and the printer get: the same calls as the record. */
static GHashTable *
record_words(const Sheet *sheet)
{
  GHashTable *words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);

  for (guint i = 0; i < items->len; i++)
    if (g_array_index(items, RecordItem, i).kind == RECORD_TEXT)
      add_words(words, g_array_index(items, RecordItem, i).text);
  return words;
}

static void
check_same_texts(const Document *document, const char *paper, const char *path)
{
  g_autoptr(Sheet) sheet = fixture_sheet(document, paper, PALETTE_LIGHT);
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  g_autoptr(GBytes) pdf = export(sheet, SHEET_PDF);
  g_autoptr(GHashTable) in_svg = svg_words(svg);
  g_autoptr(GHashTable) in_pdf = pdf_words(pdf);
  g_autoptr(GHashTable) in_record = record_words(sheet);
  g_autofree char *what = g_strdup_printf("%s on %s, in the SVG and in ", path, paper);
  g_autofree char *other = g_strconcat(what, "the PDF", NULL);
  g_autofree char *drawn = g_strconcat(what, "what is drawn", NULL);

  assert_true(g_hash_table_size(in_svg) > 60);
  assert_int_equal(g_hash_table_size(in_svg), g_hash_table_size(in_pdf));
  assert_int_equal(g_hash_table_size(in_svg), g_hash_table_size(in_record));
  assert_words_in(in_svg, in_record, drawn);
  assert_words_in(in_svg, in_pdf, other);
}

/* Every word as often in one as in the other. */
static void
test_same_texts_everywhere(void **state)
{
  static const char *const papers[] = {"letter", "a3", "label-4x6"};
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    for (guint p = 0; p < G_N_ELEMENTS(papers); p++)
      check_same_texts(document, papers[p], paths->pdata[i]);
  }
}

static void
test_svg_opens_as_the_diagram(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autoptr(Sheet) sheet = fixture_sheet(document, NULL, PALETTE_MONO);
    g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
    g_autoptr(GError) error = NULL;
    gsize size = 0;
    const char *data = g_bytes_get_data(svg, &size);
    g_autoptr(Document) again =
        document_read_memory(data, size, "sheet.svg", parts_catalog(), &error);
    if (again == NULL)
      fail_msg("%s", error->message);
    assert_true(document_equal(document, again));
  }
}

static int
count_nodes(xmlDocPtr doc, const char *xpath)
{
  xmlXPathContextPtr context = xmlXPathNewContext(doc);
  xmlXPathObjectPtr result = xmlXPathEval((const xmlChar *)xpath, context);
  const int count = result->nodesetval != NULL ? result->nodesetval->nodeNr : 0;
  xmlXPathFreeObject(result);
  xmlXPathFreeContext(context);
  return count;
}

static void
test_svg_describes_every_device(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  xmlDocPtr doc = parse_svg(svg);
  (void)state;

  for (guint i = 0; i < document_device_count(document); i++) {
    g_autofree char *xpath = g_strdup_printf(
        "//*[local-name()='g'][@id='device-%s'][*[local-name()='title']][*[local-name()='desc']]",
        document_device(document, i)->id);
    if (count_nodes(doc, xpath) != 1)
      fail_msg("%s finds %d groups", xpath, count_nodes(doc, xpath));
  }
  assert_int_equal(
      count_nodes(doc, "//*[@id='device-T1']/*[local-name()='desc'][contains(., '250 VA') and "
                       "contains(., 'H2: capped (WC1)')]"),
      1);
  assert_int_equal(
      count_nodes(doc, "//*[@id='diagram']/*[local-name()='desc'][contains(., 'T1: ')]"), 1);
  xmlFreeDoc(doc);
}

/* Where Debian's w3c-sgml-lib puts the document type of SVG 1.1, second edition. */
#define SVG_DTD "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"

static void
take_contents(xmlNodePtr node, const char *name)
{
  for (; node != NULL; node = node->next) {
    take_contents(node->children, name);
    if (node->type == XML_ELEMENT_NODE && strcmp((const char *)node->name, name) == 0) {
      xmlNodePtr children = node->children;
      node->children = node->last = NULL;
      xmlFreeNodeList(children);
    }
  }
}

static void keep_complaint(void *data, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void
keep_complaint(void *data, const char *format, ...)
{
  va_list list;
  va_start(list, format);
  g_string_append_vprintf(data, format, list);
  va_end(list);
}

static void
check_valid(const Document *document, const char *paper, xmlDtdPtr dtd)
{
  g_autoptr(Sheet) sheet = fixture_sheet(document, paper, PALETTE_LIGHT);
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  g_autoptr(GString) complaints = g_string_new(NULL);
  xmlDocPtr doc = parse_svg(svg);
  xmlValidCtxtPtr context = xmlNewValidCtxt();

  /* A document type cannot say what the specification does (21.2): that metadata may hold elements
   * of any other name space. */
  take_contents(xmlDocGetRootElement(doc), "metadata");
  context->userData = complaints;
  context->error = context->warning = keep_complaint;
  if (xmlValidateDtd(context, doc, dtd) != 1)
    fail_msg("%s: %.1000s", paper, complaints->str);
  xmlFreeValidCtxt(context);
  xmlFreeDoc(doc);
}

static void
test_svg_is_valid(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  xmlDtdPtr dtd =
      g_file_test(SVG_DTD, G_FILE_TEST_EXISTS) ? xmlParseDTD(NULL, (const xmlChar *)SVG_DTD) : NULL;
  (void)state;

  if (dtd == NULL)
    skip();
  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autoptr(GError) error = NULL;
    Change *change = edit_set_id(document, document_device(document, 0)->id, "0/A+b_c-d", &error);
    if (change == NULL || !document_apply(document, change, &error))
      fail_msg("%s", error->message);
    check_valid(document, "letter", dtd);
    check_valid(document, "label-4x6", dtd);
  }
  xmlFreeDtd(dtd);
}

/* Pointing at a device shows its landings and volts: a browser shows the title. */
static void
test_hover_shows_details(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  g_autofree char *text = g_strndup(g_bytes_get_data(svg, NULL), g_bytes_get_size(svg));
  const char *group = strstr(text, "id=\"device-T1\"");
  (void)state;

  assert_non_null(group);
  const char *title = strstr(group, "<title>"), *end = strstr(group, "</title>");
  g_autofree char *shown = g_strndup(title, (gsize)(end - title));
  assert_true(g_str_has_prefix(shown, "<title>T1: Transformer"));
  assert_non_null(strstr(shown, "capped (WC1)"));
  assert_non_null(strstr(shown, "to ground"));
  assert_null(strstr(text, "<script"));
  assert_non_null(strstr(text, "@page{size:279.4mm 215.9mm;margin:0}"));
}

static void
test_same_bytes(void **state)
{
  static const SheetFormat formats[] = {SHEET_SVG, SHEET_PDF, SHEET_PNG};
  g_autoptr(Document) document = fixture_pump();
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(formats); i++) {
    g_autoptr(Sheet) first = fixture_sheet(document, "letter", PALETTE_LIGHT);
    g_autoptr(Sheet) second = fixture_sheet(document, "letter", PALETTE_LIGHT);
    g_autoptr(GBytes) a = export(first, formats[i]);
    g_autoptr(GBytes) b = export(second, formats[i]);
    assert_true(g_bytes_equal(a, b));
  }
}

static void
test_png(void **state)
{
  static const guint8 signature[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'};
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(GBytes) png = export(sheet, SHEET_PNG);
  g_autoptr(GError) error = NULL;
  gsize size = 0;
  const guint8 *data = g_bytes_get_data(png, &size);
  (void)state;

  assert_true(size > 10000);
  assert_memory_equal(data, signature, sizeof signature);
  /* IHDR: width and height, big-endian: 279.4 mm and 215.9 mm a page at 8 pixels a millimetre. */
  const guint width = (guint)data[18] << 8 | data[19], height = (guint)data[22] << 8 | data[23];
  assert_int_equal(width, 2236);
  assert_int_equal(height, 1728 * sheet_page_count(sheet));
  assert_null(sheet_export(sheet, SHEET_PNG, 1000, &error));
  assert_non_null(error);
}

static guint32
read_number(const guint8 *at)
{
  return (guint32)at[0] << 24 | (guint32)at[1] << 16 | (guint32)at[2] << 8 | at[3];
}

/* The check sum of ISO/IEC 15948, annex D, bit by bit: not the library's that the export uses. */
static guint32
check_sum(const guint8 *data, gsize size)
{
  guint32 sum = 0xffffffffu;

  for (gsize i = 0; i < size; i++) {
    sum ^= data[i];
    for (int bit = 0; bit < 8; bit++)
      sum = (sum & 1) != 0 ? 0xedb88320u ^ sum >> 1 : sum >> 1;
  }
  return ~sum;
}

/* Printed at the size it says, a page of the picture is as large as the paper: pixels are paper
 * times dots an inch, and pHYs says how many go to a metre. Every chunk's check sum is right. */
static void
test_png_resolution(void **state)
{
  static const struct {
    const char *paper;
    double dots, wide, high; /* mm, as the diagram lies: landscape, the label upright */
  } rows[] = {{"letter", 300, 279.4, 215.9},
              {"letter", 0, 279.4, 215.9},
              {"a4", 150, 297, 210},
              {"a3", 96, 420, 297},
              {"tabloid", 72, 431.8, 279.4}};
  g_autoptr(Document) document = fixture_pump();
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(rows); i++) {
    const double per_mm = rows[i].dots > 0 ? rows[i].dots / 25.4 : 8;
    g_autoptr(GError) error = NULL;
    g_autoptr(Sheet) sheet = fixture_sheet(document, rows[i].paper, PALETTE_LIGHT);
    g_autoptr(GBytes) png = sheet_export(sheet, SHEET_PNG, rows[i].dots / 25.4, &error);
    if (png == NULL)
      fail_msg("%s", error->message);
    gsize size = 0;
    const guint8 *data = g_bytes_get_data(png, &size);
    guint8 physical[9] = {0};
    guint physicals = 0, pictures = 0;
    assert_int_equal(read_number(data + 16), (guint)ceil(rows[i].wide * per_mm));
    assert_int_equal(read_number(data + 20),
                     (guint)ceil(rows[i].high * per_mm) * sheet_page_count(sheet));
    for (gsize at = 8; at + 12 <= size; at += read_number(data + at) + 12) {
      const guint32 length = read_number(data + at);
      assert_true(at + 12 + length <= size);
      assert_int_equal(read_number(data + at + 8 + length), check_sum(data + at + 4, length + 4));
      if (memcmp(data + at + 4, "pHYs", 4) == 0) {
        assert_int_equal(pictures, 0); /* it has to come before */
        assert_int_equal(length, sizeof physical);
        memcpy(physical, data + at + 8, sizeof physical);
        physicals++;
      } else if (memcmp(data + at + 4, "IDAT", 4) == 0)
        pictures++;
    }
    assert_int_equal(physicals, 1);
    assert_true(pictures > 0);
    assert_int_equal(read_number(physical), (guint)lround(per_mm * 1000));
    assert_int_equal(read_number(physical + 4), read_number(physical));
    assert_int_equal(physical[8], 1);
  }
}

static char *
run_tool(GBytes *input, const char *const *argv, gsize *size)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) out = NULL;
  g_autoptr(GSubprocess) process = g_subprocess_newv(
      argv, G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE, &error);
  if (process == NULL)
    fail_msg("%s", error->message);
  if (!g_subprocess_communicate(process, input, NULL, &out, NULL, &error))
    fail_msg("%s", error->message);
  assert_true(g_subprocess_get_successful(process));
  gsize length = 0;
  const char *data = g_bytes_get_data(out, &length);
  if (size != NULL)
    *size = length;
  char *copy = g_malloc(length + 1);
  memcpy(copy, data, length);
  copy[length] = '\0';
  return copy;
}

static void
test_pdf_properties(void **state)
{
  static const char *const info_words[] = {"pdfinfo", "-", NULL};
  static const char *const font_words[] = {"pdffonts", "-", NULL};
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(GBytes) pdf = export(sheet, SHEET_PDF);
  g_autofree char *info = run_tool(pdf, info_words, NULL);
  g_autofree char *fonts = run_tool(pdf, font_words, NULL);
  (void)state;

  assert_non_null(strstr(info, "MAU-2, Condensate pump add-on, sheet E-104"));
  assert_non_null(strstr(info, "R. Okafor"));
  assert_non_null(strstr(info, "not an approval"));
  const char *count = strstr(info, "Pages:");
  assert_non_null(count);
  assert_int_equal(g_ascii_strtoull(count + strlen("Pages:"), NULL, 10), sheet_page_count(sheet));
  /* Columns emb and sub of every font read "yes yes"; two lines are the heading. */
  g_auto(GStrv) lines = g_strsplit(g_strchomp(fonts), "\n", -1);
  assert_true(g_strv_length(lines) > 2);
  for (guint i = 2; lines[i] != NULL; i++)
    assert_non_null(strstr(lines[i], " yes yes "));
}

static guint
count_in(const char *data, gsize size, const char *word)
{
  const gsize length = strlen(word);
  guint found = 0;
  for (gsize i = 0; i + length <= size; i++)
    found += memcmp(data + i, word, length) == 0;
  return found;
}

/* A bookmark for each sheet, and each reference of a diagram in parts leads to the page it names.
 */
static void
test_bookmarks_and_links(void **state)
{
  g_autofree char *path = fixture_path("samples/pump-208.doorsheet");
  g_autoptr(Document) document = fixture_read(path);
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(Pen) record = fixture_record(sheet);
  guint references = 0;
  (void)state;

  for (guint i = 0; i < pen_record_items(record)->len; i++) {
    const RecordItem *item = &g_array_index(pen_record_items(record), RecordItem, i);
    references += item->kind == RECORD_TEXT && strstr(item->text, " to ") != NULL &&
                  strchr(item->text, '/') != NULL && strlen(item->text) < 16;
  }
  assert_true(references >= 4);
  g_autoptr(GBytes) pdf = export(sheet, SHEET_PDF);
  gsize size = 0;
  const char *data = g_bytes_get_data(pdf, &size);
  assert_int_equal(count_in(data, size, "/Subtype /Link"), references);
  assert_int_equal(count_in(data, size, "/Type /Outlines"), 1);
  for (guint i = 0; i < sheet_page_count(sheet); i++) {
    g_autofree char *title =
        g_strdup_printf("/Title (E-105, page %u of %u)", i + 1, sheet_page_count(sheet));
    assert_int_equal(count_in(data, size, title), 1);
  }
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  xmlDocPtr doc = parse_svg(svg);
  assert_int_equal(count_nodes(doc, "//*[local-name()='a'][*[local-name()='text']]"), references);
  assert_int_equal(count_nodes(doc, "//*[local-name()='a'][substring(@*, 2) = //@id]"), references);
  assert_int_equal(count_nodes(doc, "//*[@id='page-2']//*[local-name()='a'][@*='#page-3']"),
                   count_nodes(doc, "//*[@id='page-3']//*[local-name()='a'][@*='#page-2']"));
  xmlFreeDoc(doc);
}

static void
test_format_names(void **state)
{
  SheetFormat format = SHEET_SVG;
  (void)state;

  assert_true(sheet_format_from_name("door.PDF", &format));
  assert_int_equal(format, SHEET_PDF);
  assert_true(sheet_format_from_name("a.b.png", &format));
  assert_int_equal(format, SHEET_PNG);
  assert_false(sheet_format_from_name("door.txt", &format));
  assert_false(sheet_format_from_name("pdf", &format));
}

/* Markup, quotes, control characters and direction overrides in a user's text stay text. */
static void
test_hostile_texts_stay_text(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_sheet_field(document, true, "location",
                                        "</text><script>x</script>&amp;\"'\xe2\x80\xae", &error);
  (void)state;

  assert_non_null(change);
  assert_true(document_apply(document, change, &error));
  g_autoptr(Sheet) sheet = fixture_sheet(document, "letter", PALETTE_LIGHT);
  g_autoptr(GBytes) svg = export(sheet, SHEET_SVG);
  xmlDocPtr doc = parse_svg(svg);
  assert_int_equal(count_nodes(doc, "//*[local-name()='script']"), 0);
  xmlFreeDoc(doc);
  assert_true(fixture_says(sheet, "<script>x</script>"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_same_texts_everywhere),
      cmocka_unit_test(test_svg_opens_as_the_diagram),
      cmocka_unit_test(test_svg_describes_every_device),
      cmocka_unit_test(test_svg_is_valid),
      cmocka_unit_test(test_hover_shows_details),
      cmocka_unit_test(test_same_bytes),
      cmocka_unit_test(test_png),
      cmocka_unit_test(test_png_resolution),
      cmocka_unit_test(test_pdf_properties),
      cmocka_unit_test(test_bookmarks_and_links),
      cmocka_unit_test(test_format_names),
      cmocka_unit_test(test_hostile_texts_stay_text),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
