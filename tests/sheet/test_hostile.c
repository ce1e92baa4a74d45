/* SPDX-License-Identifier: MIT */
/* Texts that would be markup, formulas, escape sequences or would turn the writing round stay text
 * in every export, in whatever field of a document they stand, and nothing leaves the paper. */
#include "sheet_fixture.h"

#include <gio/gio.h>
#include <libxml/parser.h>
#include <libxml/xpath.h>

/* Each as long as any field takes; together they hold what is tried. */
static const char *const hostile[] = {
    "<script>alert(1)</script>", "]]>&amp;&lt;\"'<!--",
    "</text><a href='x'>y</a>",  "\342\200\256evil\342\201\246&#x202e;",
    "=cmd|'/c calc'!A0",         "<span size='999'>&</span>",
    "%s%n%d ${x} `id`",
};

static void
apply(Document *document, Change *take_change)
{
  g_autoptr(GError) error = NULL;
  if (take_change != NULL && !document_apply(document, take_change, &error))
    fail_msg("%s", error->message);
}

/* As much of a text as the field takes. */
static char *
fitted(const FieldSpec *field, const char *text)
{
  const glong most = field->maximum > 0 ? (glong)field->maximum : 200;
  return g_utf8_substring(text, 0, MIN(g_utf8_strlen(text, -1), most));
}

/* Sets one field of text; those that refuse it (a colour has to be one) stay as they are. */
static bool
set_one(Document *document, const FieldSpec *field, const char *text,
        Change *(*edit)(const Document *, const char *, gpointer, GError **), gpointer data)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *value = fitted(field, text);

  if (field->type != FIELD_TEXT)
    return false;
  g_autofree gpointer *context = g_new(gpointer, 2);
  context[0] = (gpointer)(guintptr)field->name;
  context[1] = data;
  Change *change = edit(document, value, context, &error);
  apply(document, change);
  return change != NULL;
}

static Change *
set_sheet(const Document *document, const char *value, gpointer data, GError **error)
{
  gpointer *context = data;
  return edit_set_sheet_field(document, context[1] != NULL, context[0], value, error);
}

static Change *
set_device(const Document *document, const char *value, gpointer data, GError **error)
{
  gpointer *context = data;
  return edit_set_field(document, context[1], context[0], value, error);
}

static Change *
set_conductor(const Document *document, const char *value, gpointer data, GError **error)
{
  gpointer *context = data;
  return edit_set_conductor_field(document, GPOINTER_TO_UINT(context[1]), context[0], value, error);
}

/* Every field of text of the document, its devices and conductors; returns how many took it. */
static guint
poison(Document *document, const char *text)
{
  guint taken = 0;

  for (int f = 0; f < SHEET_FIELD_COUNT; f++)
    taken += set_one(document, &sheet_data_fields[f], text, set_sheet, NULL);
  for (int f = 0; f < EQUIPMENT_FIELD_COUNT; f++)
    taken += set_one(document, &equipment_fields[f], text, set_sheet, (gpointer) "equipment");
  for (guint d = 0; d < document_device_count(document); d++) {
    const PartKind *kind = document_device(document, d)->kind;
    g_autofree char *id = g_strdup(document_device(document, d)->id);
    for (guint f = 0; f < kind->n_fields; f++)
      taken += set_one(document, &kind->fields[f], text, set_device, id);
  }
  for (guint c = 0; c < document_conductor_count(document); c++)
    for (int f = 0; f < CONDUCTOR_FIELD_COUNT; f++)
      taken += set_one(document, &conductor_fields[f], text, set_conductor,
                       GUINT_TO_POINTER(document_conductor(document, c)->key));
  return taken;
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

/* Only elements and attributes of ours, nothing that runs or reaches out, no control characters. */
static void
check_svg(const Sheet *sheet)
{
  static const char *const none[] = {"//*[local-name()='script']",
                                     "//*[local-name()='a'][not(starts-with(@*, '#'))]",
                                     "//*[local-name()='image']",
                                     "//*[local-name()='foreignObject']",
                                     "//*[local-name()='span']",
                                     "//@*[starts-with(name(), 'on')]",
                                     "//comment()"};
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) svg = sheet_export(sheet, SHEET_SVG, 0, &error);
  if (svg == NULL)
    fail_msg("%s", error->message);
  gsize size = 0;
  const char *data = g_bytes_get_data(svg, &size);
  xmlDocPtr doc = xmlReadMemory(data, (int)size, "sheet.svg", NULL, XML_PARSE_NONET);
  assert_non_null(doc);
  for (guint i = 0; i < G_N_ELEMENTS(none); i++)
    if (count_nodes(doc, none[i]) != 0)
      fail_msg("%s finds %d", none[i], count_nodes(doc, none[i]));
  xmlXPathContextPtr context = xmlXPathNewContext(doc);
  xmlXPathObjectPtr texts =
      xmlXPathEval((const xmlChar *)"//*[local-name()='text' or local-name()='title' or "
                                    "local-name()='desc']",
                   context);
  for (int i = 0; i < texts->nodesetval->nodeNr; i++) {
    xmlChar *content = xmlNodeGetContent(texts->nodesetval->nodeTab[i]);
    assert_null(strstr((const char *)content, "\xe2\x80\xae"));
    assert_null(strstr((const char *)content, "\xe2\x81\xa6"));
    xmlFree(content);
  }
  xmlXPathFreeObject(texts);
  xmlXPathFreeContext(context);
  xmlFreeDoc(doc);
}

/* What is drawn stays on the paper and off other texts. */
static void
check_record(const Sheet *sheet, const char *what)
{
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  double width = 0, height = 0;

  sheet_page_size(sheet, 0, &width, &height);
  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind != RECORD_GROUP && !rect_is_empty(item->bounds) &&
        !rect_holds((Rect){2.9, 2.9, width - 5.8, height - 5.8}, item->bounds))
      fail_msg("%s: page %u: \"%s\" leaves the paper: %.1f %.1f %.1f %.1f", what, item->page + 1,
               item->text != NULL ? item->text : "a line", item->bounds.x, item->bounds.y,
               item->bounds.width, item->bounds.height);
  }
}

static void
check_pdf(const Sheet *sheet)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) pdf = sheet_export(sheet, SHEET_PDF, 0, &error);
  if (pdf == NULL)
    fail_msg("%s", error->message);
  gsize size = 0;
  const char *data = g_bytes_get_data(pdf, &size);
  for (gsize i = 0; i + 11 < size; i++) {
    assert_false(memcmp(data + i, "/JavaScript", 11) == 0);
    assert_false(memcmp(data + i, "/Launch", 7) == 0);
  }
}

static void
test_every_field(void **state)
{
  static const char *const papers[] = {"letter", "a3", "label-4x6"};
  (void)state;

  for (guint h = 0; h < G_N_ELEMENTS(hostile); h++) {
    g_autoptr(Document) document = fixture_pump();
    const guint taken = poison(document, hostile[h]);
    if (taken <= 25)
      fail_msg("%s: only %u fields took it", hostile[h], taken);
    for (guint p = 0; p < G_N_ELEMENTS(papers); p++) {
      g_autofree char *what = g_strdup_printf("%s on %s", hostile[h], papers[p]);
      g_autoptr(Sheet) sheet = fixture_sheet(document, papers[p], PALETTE_LIGHT);
      check_svg(sheet);
      check_pdf(sheet);
      check_record(sheet, what);
      if (h == 0)
        assert_true(fixture_says(sheet, "<script>alert(1)</script>"));
    }
  }
}

/* Control characters and 10 000 letters are refused at the door, with a sentence. */
static void
test_refused(void **state)
{
  static const char *const controls[] = {"a\x1b[31mb", "a\x07", "a\302\2332J", "a\x7f"};
  g_autoptr(Document) document = fixture_pump();
  g_autofree char *endless = g_strnfill(10000, 'W');
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(controls); i++) {
    g_autoptr(GError) error = NULL;
    assert_null(edit_set_sheet_field(document, false, "title", controls[i], &error));
    assert_non_null(error);
    for (const char *c = error->message; *c != '\0'; c++)
      assert_true((guchar)*c >= 0x20 && *c != 0x7f);
  }
  g_autoptr(GError) error = NULL;
  assert_null(edit_set_sheet_field(document, false, "title", endless, &error));
  assert_non_null(error);
  assert_true(strlen(error->message) < 1000);
  assert_int_equal(poison(document, "W"), poison(document, "W"));
}

/* The longest names everywhere: they wrap, and are not cut off, where the paper has the room. */
static void
test_longest(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autofree char *words = g_strnfill(200, 'W');
  (void)state;

  for (guint i = 9; i < 200; i += 10)
    words[i] = ' ';
  words[199] = 'W'; /* no blank at the end */
  poison(document, words);
  g_autoptr(Sheet) sheet = fixture_sheet(document, "tabloid", PALETTE_LIGHT);
  check_svg(sheet);
  check_record(sheet, "the longest names");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_field),
      cmocka_unit_test(test_refused),
      cmocka_unit_test(test_longest),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
