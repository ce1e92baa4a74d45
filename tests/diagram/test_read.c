/* SPDX-License-Identifier: MIT */
/* Files as people and programs write them, good and hostile. */
#include "diagram/document_file.h"
#include "small_catalog.h"

#define HEAD                                                                                       \
  "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"                                                   \
  "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">\n"
#define DOC(body) HEAD body "</doorsheet>\n" /* the body starts on line 3 */
#define BANK "<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\"><lead name=\"X1\"/></device>\n"
#define LOAD "<device id=\"LD1\" kind=\"every\" x=\"0\" y=\"0\" power=\"90 W\"/>\n"

static Document *
read_text(const char *text, GError **error)
{
  return document_read_memory(text, strlen(text), "test.doorsheet", small_catalog, error);
}

static char *
dump(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  return g_strndup(data, size);
}

static Document *
must_read(const char *text)
{
  g_autoptr(GError) error = NULL;
  Document *document = read_text(text, &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

/* Everything at once, in the writer's own form. */
static const char full[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" title=\"Condensate pump &amp; \xc2\xbd "
    "hp\" "
    "sheet=\"E-104\" revision=\"A\" author=\"R. Field\" date=\"2026-11-25\" paper=\"a4\" "
    "orientation=\"portrait\" symbols=\"iec\" code-edition=\"2020\" units=\"metric\" "
    "language=\"en-es\">\n"
    "  <equipment tag=\"MAU-2\" location=\"Greenhouse roof\" model=\"none\" note=\"&lt;new&gt;&#10;"
    "second line\"/>\n"
    "  <device id=\"T1\" kind=\"bank\" x=\"90\" y=\"-42.5\" turn=\"270\" mirror=\"yes\" "
    "designation=\"T-A\" rating=\"1.5 kVA\">\n"
    "    <lead name=\"H1\" winding=\"primary\" volts=\"0 V\"/>\n"
    "    <lead name=\"X1\" winding=\"secondary\"/>\n"
    "  </device>\n"
    "  <device id=\"CR1\" kind=\"contact\" x=\"0\" y=\"0.001\" coil=\"T-A\" across=\"T1.H1 "
    "GND\"/>\n"
    "  <device id=\"LD1\" kind=\"every\" x=\"160\" y=\"40\" label=\"Roof\" plug=\"P-1\" "
    "power=\"90 W\" accepts=\"110..125 V\" state=\"off\" sealed=\"no\" poles=\"2\" "
    "sense=\"L1 T1\" ratio=\"4.9\" size=\"1/0 AWG\"/>\n"
    "  <conductor from=\"T1.X1\" to=\"LD1.L2\" number=\"101\" colour=\"white/blue\" gauge=\"14 "
    "AWG\" "
    "material=\"aluminium\" length=\"6 ft\" insulation=\"600 V\" temperature=\"90 C\" "
    "wiring=\"factory\" condition=\"loose\" note=\"tight?\" via=\"40,30 40,-60.5\"/>\n"
    "  <conductor from=\"T1.X1\" to=\"CR1.1\"/>\n"
    "  <as-measured between=\"T1.H1 T1.X1\" value=\"118 V\" date=\"2026-11-25\" note=\"load "
    "on\"/>\n"
    "  <as-measured between=\"GND T1.X1\" value=\"1.2 kV\"/>\n"
    "  <as-measured between=\"GND T1.X1\" value=\"0 V\" ohms=\"12.5 kohm\" "
    "state=\"locked-out\" point=\"TP1\"/>\n"
    "  <as-measured between=\"GND T1.H1\" point=\"TP2\"/>\n"
    "</doorsheet>\n";

static void
test_full_round_trip(void **state)
{
  (void)state;
  g_autoptr(Document) document = must_read(full);
  g_autofree char *written = dump(document);
  assert_string_equal(written, full);
  assert_false(document_can_undo(document) || document_modified(document));
  const SheetData *sheet = document_sheet(document);
  assert_string_equal(sheet->values[SHEET_TITLE].text, "Condensate pump & \xc2\xbd hp");
  assert_string_equal(sheet->equipment[EQUIPMENT_NOTE].text, "<new>\nsecond line");
  const Device *bank = document_find_device(document, "T1");
  assert_int_equal(bank->placement.turns, 3);
  assert_true(bank->placement.mirrored && bank->placement.at.y == -42.5);
  assert_int_equal(device_row_count(bank), 2); /* the file's rows, not the kind's first ones */
  assert_true(device_number(bank, 1, 0) == 1500.0);
  const Conductor *conductor = document_conductor(document, 0);
  assert_int_equal(conductor->via->len, 2);
  assert_true(g_array_index(conductor->via, Point, 1).y == -60.5);
  assert_null(document_measured(document, 1)->a.device);
  assert_int_equal(measured_state(document_measured(document, 1)), MEASURED_ENERGIZED);
  assert_int_equal(measured_state(document_measured(document, 2)), MEASURED_LOCKED_OUT);
  assert_string_equal(measured_point(document_measured(document, 2)), "TP1");
  assert_null(measured_point(document_measured(document, 0)));
  assert_int_equal(document_landings(document, "T1", "X1"), 2);
  g_autoptr(Document) again = must_read(written);
  assert_true(document_equal(document, again));
}

/* Kind about form: order, white space, spellings, single quotes, comments, line ends, prefixes. */
static void
test_kind_about_form(void **state)
{
  (void)state;
  g_autoptr(Document) document = must_read(
      "\xef\xbb\xbf<?xml version='1.0'?>\r\n<!-- by hand -->\r\n"
      "<d:doorsheet xmlns:d='urn:doorsheet:1' version='1'>\r\n"
      "<d:as-measured value='118.0 volts' between='  T1.X1\tGND '/>\r\n"
      "<d:conductor gauge='14awg' to=' T1.X1 ' from='LD1.L1' via='  1.0,2\n3,4 '></d:conductor>\r\n"
      "<?editor keep?><d:device power='0.09 kW' y='+4.50' x=' 1e1 ' kind='every' id='LD1'\r\n"
      "  mirror='no' turn='0' accepts=' 110 .. 125 V '/>\r\n"
      "<d:device id='T1' kind='bank' x='0' y='0'><d:lead name='X1'/></d:device>\r\n"
      "<d:equipment tag='A'/>\r\n</d:doorsheet>\r\n<!-- the end -->");
  g_autofree char *written = dump(document);
  assert_string_equal(
      written, HEAD "  <equipment tag=\"A\"/>\n"
                    "  <device id=\"LD1\" kind=\"every\" x=\"10\" y=\"4.5\" power=\"0.09 kW\" "
                    "accepts=\"110..125 V\"/>\n"
                    "  <device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\">\n"
                    "    <lead name=\"X1\"/>\n"
                    "  </device>\n"
                    "  <conductor from=\"LD1.L1\" to=\"T1.X1\" gauge=\"14 AWG\" via=\"1,2 3,4\"/>\n"
                    "  <as-measured between=\"T1.X1 GND\" value=\"118 V\"/>\n"
                    "</doorsheet>\n");
}

static void
test_empty_sheet(void **state)
{
  (void)state;
  g_autoptr(Document) document = must_read("<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\"/>");
  assert_int_equal(document_device_count(document), 0);
  g_autofree char *written = dump(document);
  assert_string_equal(written, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                               "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\"/>\n");
}

#define SVG_HEAD                                                                                   \
  "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "         \
  "width=\"10mm\">\n<title>A &amp; B</title>\n<metadata>\n"

static void
test_svg(void **state)
{
  (void)state;
  const char *inner = strchr(full, '\n') + 1; /* without the declaration */
  g_autofree char *svg =
      g_strconcat(SVG_HEAD "<rdf xmlns=\"urn:x\">words</rdf>\n", inner,
                  "</metadata>\n<g><text>loose <tspan>text</tspan></text></g>\n</svg>\n", NULL);
  g_autoptr(Document) document = must_read(svg);
  g_autofree char *written = dump(document);
  assert_string_equal(written, full);

  g_autoptr(GError) error = NULL;
  assert_null(read_text(SVG_HEAD "</metadata><doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\"/>"
                                 "</svg>",
                        &error)); /* outside the metadata it is somebody's drawing */
  assert_non_null(strstr(error->message, "carries no diagram"));
  g_clear_error(&error);
  assert_null(read_text(SVG_HEAD "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">\n" LOAD
                                 "<conductor from=\"LD1.L1\" to=\"LD1.L9\"/></doorsheet>\n"
                                 "</metadata></svg>",
                        &error)); /* lines are those of the picture's file */
  assert_non_null(strstr(error->message, "test.doorsheet:7: conductor LD1.L1-LD1.L9"));
}

typedef struct {
  const char *text;
  int line; /* 0: none is told */
  FileErrorCode code;
  const char *words; /* each, split by '|' */
} Case;

static const Case cases[] = {
    /* not a diagram at all */
    {"", 1, FILE_ERROR_XML, "empty"},
    {"hello", 1, FILE_ERROR_XML, "not well-formed"},
    {"\xff\xfe<\0", 1, FILE_ERROR_XML, "UTF-16"},
    {"<html><body/></html>", 1, FILE_ERROR_FORMAT, "starts with <html>|xmlns=\"urn:doorsheet:1\""},
    {"<doorsheet version=\"1\"/>", 1, FILE_ERROR_FORMAT, "xmlns=\"urn:doorsheet:1\""},
    {"<!-- a\n\n --><doorsheet xmlns=\"urn:doorsheet:7\" version=\"7\"/>", 3, FILE_ERROR_NEWER,
     "newer Doorsheet|update"},
    {"<doorsheet xmlns=\"urn:doorsheet:1\"\n version=\"2\" shiny=\"yes\"/>", 2, FILE_ERROR_NEWER,
     "newer Doorsheet|format 2|update"},
    {"<doorsheet xmlns=\"urn:doorsheet:1\" version=\"x\"/>", 1, FILE_ERROR_FORMAT,
     "\"x\" is not a version|version=\"1\""},
    {"<doorsheet xmlns=\"urn:doorsheet:1\" version=\"0\"/>", 1, FILE_ERROR_FORMAT, "version=\"1\""},
    {"<doorsheet xmlns=\"urn:doorsheet:1\"/>", 1, FILE_ERROR_FORMAT, "has no version"},
    {"<svg xmlns=\"http://www.w3.org/2000/svg\"/>", 1, FILE_ERROR_FORMAT, "carries no diagram"},
    /* not XML */
    {HEAD "<device id=\"T1\"", 3, FILE_ERROR_XML, "not well-formed"},
    {HEAD BANK, 4, FILE_ERROR_XML, "not well-formed|doorsheet line 2"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\">\n"), 4, FILE_ERROR_XML, "mismatch"},
    {DOC("<device id=\"T1\" id=\"T2\"/>\n"), 3, FILE_ERROR_XML, "redefined"},
    {DOC("<device id=T1/>\n"), 3, FILE_ERROR_XML, "not well-formed"},
    {DOC(BANK) "<more/>", 5, FILE_ERROR_XML, "Extra content"},
    {DOC("&unknown;\n"), 3, FILE_ERROR_XML, "unknown"},
    {DOC("\n<device id=\"&unknown;\"/>\n"), 4, FILE_ERROR_XML, "unknown"},
    {DOC("<a:device/>\n"), 3, FILE_ERROR_XML, "Namespace prefix a"},
    {DOC("<device id=\"a\x01\"/>\n"), 3, FILE_ERROR_XML, "invalid"},
    {DOC("<device id=\"&#0;\"/>\n"), 3, FILE_ERROR_XML, "xmlParseCharRef"},
    {DOC("<device id=\"\xc3\x28\"/>\n"), 3, FILE_ERROR_XML, "byte 0xc3 is not UTF-8"},
    {"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>\n<doorsheet xmlns=\"urn:doorsheet:1\" "
     "version=\"1\"/>",
     1, FILE_ERROR_XML, "encoding is \"ISO-8859-1\"|UTF-8"},
    {"<?xml version=\"1.0\" encoding=\"no-such\"?>\n<doorsheet xmlns=\"urn:doorsheet:1\" "
     "version=\"1\"/>",
     1, FILE_ERROR_XML, "no-such"},
    /* entities and other people's files */
    {"<!DOCTYPE doorsheet>\n<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\"/>", 1,
     FILE_ERROR_XML, "document type"},
    {"<!DOCTYPE d [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;\"><!ENTITY c "
     "\"&b;&b;&b;&b;&b;&b;&b;\">]>\n<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" "
     "title=\"&c;\"/>",
     1, FILE_ERROR_XML, "document type"},
    {"<?xml version=\"1.0\"?>\n<!DOCTYPE d SYSTEM \"file:///etc/passwd\" [<!ENTITY x SYSTEM "
     "\"file:///etc/passwd\">]>\n<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" "
     "title=\"&x;\"/>",
     2, FILE_ERROR_XML, "document type"},
    {"<!DOCTYPE d [<!ENTITY % p SYSTEM \"http://127.0.0.1:9/x\"> %p;]>\n<d/>", 1, FILE_ERROR_XML,
     "document type"},
    {"<svg xmlns=\"http://www.w3.org/2000/svg\"><metadata><doorsheet xmlns=\"urn:doorsheet:9\" "
     "version=\"9\"/></metadata></svg>",
     1, FILE_ERROR_NEWER, "newer"},
    /* elements */
    {DOC("<devise/>\n"), 3, FILE_ERROR_FORMAT, "no element <devise>|did you mean <device>"},
    {DOC("<zebra/>\n"), 3, FILE_ERROR_FORMAT,
     "<equipment>, <device>, <conductor>, <as-measured>, <exercise> or <expected-fault>"},
    {DOC("\n\n<x:y xmlns:x=\"urn:x\"/>\n"), 5, FILE_ERROR_FORMAT, "<y> is of a foreign namespace"},
    {DOC("loose words\n"), 3, FILE_ERROR_FORMAT, "loose text \"loose words\"|note="},
    {DOC(LOAD "\n\n<![CDATA[x]]>\n"), 6, FILE_ERROR_FORMAT, "loose text \"x\""},
    {DOC("<equipment tag=\"a\"/>\n<equipment tag=\"b\"/>\n"), 4, FILE_ERROR_MEANING, "second"},
    {DOC("<exercise number=\"1\"/>\n<exercise/>\n"), 4, FILE_ERROR_MEANING, "second"},
    {DOC("\n<expected-fault fault=\"f\" at=\"\"/>\n"), 4, FILE_ERROR_VALUE, "place|T1.H3"},
    {DOC("<equipment><device/></equipment>\n"), 3, FILE_ERROR_FORMAT,
     "<device> lies inside "
     "<equipment>"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\">\n<led name=\"X1\"/></device>\n"), 4,
     FILE_ERROR_FORMAT, "T1|holds no <led>|expected <lead>"},
    {DOC("<device id=\"CR1\" kind=\"contact\" x=\"0\" y=\"0\">\n<lead/></device>\n"), 4,
     FILE_ERROR_FORMAT, "CR1|holds no <lead>"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\"><lead name=\"X1\">\n<lead/></lead>"
         "</device>\n"),
     4, FILE_ERROR_FORMAT, "<lead> lies inside <lead>"},
    {DOC("<doorsheet version=\"1\"/>\n"), 3, FILE_ERROR_FORMAT, "no element <doorsheet>"},
    /* attributes */
    {"<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" titel=\"x\"/>", 1, FILE_ERROR_FORMAT,
     "<doorsheet> has no attribute \"titel\"|did you mean \"title\"|column 48"},
    {"<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\"\n   paper=\"a5\"/>", 2, FILE_ERROR_VALUE,
     "paper|\"a5\" is not a choice|letter, legal, tabloid, a4, a3, label-4x6|column 4"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" zzz=\"1\"/>\n"), 3, FILE_ERROR_FORMAT,
     "T1 has no attribute \"zzz\"|id, kind, x, y, turn, mirror, designation, rating"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\"\n raitng=\"1 VA\"/>\n"), 4,
     FILE_ERROR_FORMAT, "did you mean \"rating\""},
    {DOC("<device xml:lang=\"en\" id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\"/>\n"), 3,
     FILE_ERROR_FORMAT, "attribute \"lang\" of a foreign namespace"},
    {DOC("<device kind=\"bank\" x=\"0\" y=\"0\"/>\n"), 3, FILE_ERROR_FORMAT, "has no id|id=\"T1\""},
    {DOC("<device id=\"T1\" x=\"0\" y=\"0\"/>\n"), 3, FILE_ERROR_FORMAT, "has no kind"},
    {DOC("<device id=\"T1\" kind=\"bank\" y=\"0\"/>\n"), 3, FILE_ERROR_FORMAT, "has no x"},
    {DOC("<device id=\"LD1\" kind=\"every\" x=\"0\" y=\"0\"/>\n"), 3, FILE_ERROR_FORMAT,
     "LD1 has no power|The nameplate says it"},
    {DOC("<device id=\"T1\" kind=\"bnak\" x=\"0\" y=\"0\"/>\n"), 3, FILE_ERROR_FORMAT,
     "no kind of device \"bnak\"|did you mean \"bank\""},
    {DOC("<device id=\"T1\" kind=\"widget\" x=\"0\" y=\"0\"/>\n"), 3, FILE_ERROR_FORMAT,
     "bank, contact, every, joint, outline"},
    {DOC("<device id=\"T 1\" kind=\"bank\" x=\"0\" y=\"0\"/>\n"), 3, FILE_ERROR_VALUE,
     "\"T 1\" is not a name"},
    /* values */
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"nan\" y=\"0\"/>\n"), 3, FILE_ERROR_VALUE,
     "T1, x: \"nan\"|millimetres"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"1e999\"/>\n"), 3, FILE_ERROR_VALUE,
     "T1, y: \"1e999\""},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"99999\"/>\n"), 3, FILE_ERROR_VALUE,
     "-10000 to 10000"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" turn=\"45\"/>\n"), 3, FILE_ERROR_VALUE,
     "T1, turn|0, 90, 180 or 270"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" mirror=\"maybe\"/>\n"), 3,
     FILE_ERROR_VALUE, "T1, mirror|yes or no"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" rating=\"25 q\"/>\n"), 3,
     FILE_ERROR_VALUE, "T1, rating: \"25 q\" cannot be read|from 1 VA to 1000000 VA|\"250 VA\""},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" rating=\"NaN VA\"/>\n"), 3,
     FILE_ERROR_VALUE, "T1, rating: \"NaN VA\" cannot be read"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" rating=\"1e999 VA\"/>\n"), 3,
     FILE_ERROR_VALUE, "\"1e999 VA\" cannot be read"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" rating=\"0 VA\"/>\n"), 3,
     FILE_ERROR_VALUE, "outside what is permitted"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\">\n<lead name=\"X1\"/>\n<lead name=\"X2\""
         " volts=\"24\"/></device>\n"),
     5, FILE_ERROR_VALUE, "T1, lead 2, volts: \"24\" cannot be read"},
    /* meaning */
    {DOC(BANK "\n" BANK), 5, FILE_ERROR_MEANING, "already a device \"T1\" at line 3"},
    {DOC("\n<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\">\n<lead name=\"X1\"/>\n"
         "<lead name=\"X1\"/>\n</device>\n"),
     4, FILE_ERROR_MEANING, "two terminals named \"X1\""},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\"><lead/></device>\n"), 3,
     FILE_ERROR_MEANING, "terminal 1 has no proper name"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\" rating=\"13 VA\"/>\n"), 3,
     FILE_ERROR_MEANING, "made by nobody"},
    {DOC("<device id=\"T1\" kind=\"bank\" x=\"0\" y=\"0\">\n<lead/><lead/><lead/><lead/><lead/>"
         "<lead/><lead/><lead/>\n<lead/></device>\n"),
     5, FILE_ERROR_FORMAT, "more than 8 of <lead>"},
    /* landings */
    {DOC(BANK "<conductor from=\"T1.X1\" number=\"7\"\n   to=\"T1.X9\"/>\n"), 5, FILE_ERROR_MEANING,
     "conductor 7 lands on T1.X9|T1 has no terminal \"X9\"; it has X1|column 4"},
    {DOC("<conductor from=\"T2.X1\" to=\"T1.X1\"/>\n" BANK), 3, FILE_ERROR_MEANING,
     "there is no device \"T2\"; did you mean \"T1\"?"},
    {DOC(BANK "<conductor from=\"T1.X1\" to=\"T1.X1\"/>\n"), 4, FILE_ERROR_MEANING,
     "same terminal"},
    {DOC(BANK "<conductor from=\"T1\" to=\"T1.X1\"/>\n"), 4, FILE_ERROR_VALUE,
     "from is \"T1\"|\"T1.X1\""},
    {DOC(BANK "<conductor from=\"T1.X.1\" to=\"T1.X1\"/>\n"), 4, FILE_ERROR_VALUE, "from is"},
    {DOC(BANK "<conductor from=\"T1.X1\"/>\n"), 4, FILE_ERROR_FORMAT, "has no to"},
    {DOC(BANK "<conductor from=\"T1.X1\" to=\"T1.X2\" color=\"red\"/>\n"), 4, FILE_ERROR_FORMAT,
     "\"color\"|did you mean \"colour\""},
    {DOC(BANK "<conductor from=\"T1.X1\" to=\"T1.X2\" gauge=\"14\"/>\n"), 4, FILE_ERROR_VALUE,
     "<conductor>, gauge: \"14\" cannot be read|\"14 AWG\""},
    {DOC(BANK "<conductor from=\"T1.X1\" to=\"T1.X2\" via=\"1,2 3\"/>\n"), 4, FILE_ERROR_VALUE,
     "\"3\" is no bend|\"40,30 40,60\""},
    {DOC(BANK "<conductor from=\"T1.X1\" to=\"T1.X2\" via=\"1,2,3\"/>\n"), 4, FILE_ERROR_VALUE,
     "no bend"},
    {DOC(BANK "<conductor from=\"T1.X1\" to=\"T1.X2\" via=\"inf,0\"/>\n"), 4, FILE_ERROR_VALUE,
     "no bend"},
    {DOC(BANK "<as-measured between=\"T1.X1 T1.X7\" value=\"1 V\"/>\n"), 4, FILE_ERROR_MEANING,
     "measured reading lands on T1.X7|it has X1"},
    {DOC(BANK "<as-measured between=\"X1 X3\" value=\"1 V\"/>\n"), 4, FILE_ERROR_VALUE,
     "\"X1 X3\" does not name two points|\"T1.X1 T1.X3\""},
    {DOC(BANK "<as-measured between=\"GND GND\" value=\"1 V\"/>\n"), 4, FILE_ERROR_VALUE,
     "two different"},
    {DOC(BANK "<as-measured between=\"T1.X1 GND\"/>\n"), 4, FILE_ERROR_FORMAT,
     "has no value|value=\"118 V\""},
    {DOC(BANK "<as-measured between=\"T1.X1 GND\" ohms=\"1 ohm\"/>\n"), 4, FILE_ERROR_VALUE,
     "only a circuit that is locked out"},
    {DOC(BANK "<as-measured between=\"T1.X1 GND\" value=\"1 V\" state=\"live\"/>\n"), 4,
     FILE_ERROR_VALUE, "energized"},
};

static void
assert_complaint(const Case *c, const char *data, gsize size)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document =
      document_read_memory(data, size, "test.doorsheet", small_catalog, &error);
  if (document != NULL)
    fail_msg("accepted: %.200s", c->text);
  assert_int_equal(error->domain, FILE_ERROR);
  g_autofree char *start =
      c->line > 0 ? g_strdup_printf("test.doorsheet:%d: ", c->line) : g_strdup("test.doorsheet: ");
  if (!g_str_has_prefix(error->message, start))
    fail_msg("\"%s\" does not start with \"%s\" (%.300s)", error->message, start, c->text);
  g_auto(GStrv) words = g_strsplit(c->words, "|", -1);
  for (guint i = 0; words[i] != NULL; i++)
    if (strstr(error->message, words[i]) == NULL)
      fail_msg("\"%s\" does not say \"%s\"", error->message, words[i]);
  if (error->code != (gint)c->code)
    fail_msg("\"%s\" has code %d, expected %d", error->message, error->code, (gint)c->code);
  assert_true(g_utf8_validate(error->message, -1, NULL) && strchr(error->message, '\n') == NULL);
}

static void
test_hostile_table(void **state)
{
  (void)state;
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++)
    assert_complaint(&cases[i], cases[i].text, strlen(cases[i].text));
}

/* Hostile by size: made here, not stored. */
static void
test_hostile_sizes(void **state)
{
  (void)state;
  g_autoptr(GString) text = g_string_new(HEAD);
  for (int i = 0; i < 10000; i++)
    g_string_append(text, "<device>\n");
  Case deep = {"10 000 deep", 3, FILE_ERROR_FORMAT, "has no id"};
  assert_complaint(&deep, text->str, text->len);

  g_string_assign(text, "<svg xmlns=\"http://www.w3.org/2000/svg\">\n");
  for (int i = 0; i < 10000; i++)
    g_string_append(text, "<g>\n");
  Case svg = {"10 000 deep in a picture", 65, FILE_ERROR_XML, "more than 64 deep"};
  assert_complaint(&svg, text->str, text->len);

  g_autofree char *huge = g_malloc(100u * 1024 * 1024);
  memset(huge, 'x', 100u * 1024 * 1024);
  memcpy(huge, HEAD, strlen(HEAD));
  Case large = {"100 MB of text", 0, FILE_ERROR_OPEN, "larger than 64 MiB"};
  assert_complaint(&large, huge, 100u * 1024 * 1024);
  Case loose = {"60 MB of text", 3, FILE_ERROR_FORMAT, "loose text"};
  assert_complaint(&loose, huge, 60u * 1024 * 1024);
  memcpy(huge + strlen(HEAD), "<equipment note=\"", 17);
  memcpy(huge + 60u * 1024 * 1024 - 17, "\"/></doorsheet>\n\n", 17);
  Case note = {"60 MB in one attribute", 3, FILE_ERROR_VALUE, "equipment|note|characters long"};
  assert_complaint(&note, huge, 60u * 1024 * 1024);

  g_string_assign(text, HEAD "<device");
  for (int i = 0; i < 200; i++)
    g_string_append_printf(text, " a%d=\"\"", i);
  g_string_append(text, "/></doorsheet>");
  Case wide = {"200 attributes", 3, FILE_ERROR_FORMAT, "200 attributes"};
  assert_complaint(&wide, text->str, text->len);

  g_string_assign(text, HEAD "<equipment/>\n");
  g_string_append_c(text, '\0');
  g_string_append(text, "</doorsheet>");
  Case nul = {"NUL byte", 4, FILE_ERROR_XML, "NUL byte"};
  assert_complaint(&nul, text->str, text->len);
}

static void
test_counts(void **state)
{
  (void)state;
  g_autoptr(GString) text = g_string_new(HEAD);
  for (guint i = 0; i <= DOCUMENT_MAX_DEVICES; i++)
    g_string_append_printf(text, "<device id=\"B%u\" kind=\"outline\" x=\"0\" y=\"0\"/>\n", i);
  g_string_append(text, "</doorsheet>");
  Case many = {"many devices", DOCUMENT_MAX_DEVICES + 3, FILE_ERROR_FORMAT,
               "more than 50000 devices|several sheets"};
  assert_complaint(&many, text->str, text->len);

  g_string_assign(text, HEAD BANK LOAD);
  for (guint i = 0; i <= DOCUMENT_MAX_CONDUCTORS; i++)
    g_string_append(text, "<conductor from=\"T1.X1\" to=\"LD1.L1\"/>\n");
  g_string_append(text, "</doorsheet>");
  Case wires = {"many conductors", DOCUMENT_MAX_CONDUCTORS + 5, FILE_ERROR_FORMAT,
                "more than 100000 conductors"};
  assert_complaint(&wires, text->str, text->len);

  g_string_assign(text, HEAD "<conductor from=\"T1.X1\" to=\"T1.X2\" via=\"");
  for (guint i = 0; i <= DOCUMENT_MAX_BENDS; i++)
    g_string_append(text, "1,2 ");
  g_string_append(text, "\"/></doorsheet>");
  Case bends = {"many bends", 3, FILE_ERROR_VALUE, "more than 200 bends"};
  assert_complaint(&bends, text->str, text->len);
}

/* Cut anywhere, a file is never half a diagram. */
static void
test_truncated(void **state)
{
  (void)state;
  gsize whole = strlen(full);
  for (gsize size = 0; size < whole - 1; size++) { /* without the last line end it is whole */
    g_autoptr(GError) error = NULL;
    g_autoptr(Document) document = document_read_memory(full, size, "cut", small_catalog, &error);
    if (document != NULL)
      fail_msg("accepted after %zu bytes", size);
    assert_true(g_str_has_prefix(error->message, "cut:"));
  }
}

/* Lines stay right far into a file (the parser's own line numbers stop at 65 535 in its tree). */
static void
test_far_lines(void **state)
{
  (void)state;
  g_autoptr(GString) text = g_string_new(HEAD BANK);
  for (int i = 0; i < 70000; i++)
    g_string_append_c(text, '\n');
  gsize before = text->len;
  g_string_append(text, "<conductor from=\"T1.X1\" to=\"T1.X9\"/>\n</doorsheet>");
  Case late = {"late landing", 70004, FILE_ERROR_MEANING, "T1 has no terminal"};
  assert_complaint(&late, text->str, text->len);
  g_string_truncate(text, before);
  g_string_append(text, "<devise/></doorsheet>");
  Case element = {"late element", 70004, FILE_ERROR_FORMAT, "did you mean <device>"};
  assert_complaint(&element, text->str, text->len);
}

static void
assert_open_error(const char *path, const char *words)
{
  g_autoptr(GError) error = NULL;
  assert_null(document_read(path, small_catalog, &error));
  assert_true(g_error_matches(error, FILE_ERROR, FILE_ERROR_OPEN));
  assert_true(g_str_has_prefix(error->message, path));
  if (strstr(error->message, words) == NULL)
    fail_msg("\"%s\" does not say \"%s\"", error->message, words);
}

static void
test_open(void **state)
{
  (void)state;
  assert_open_error("/nowhere/at/all.doorsheet", "cannot be opened");
  assert_open_error("/", "is a folder");
  assert_open_error("/dev/zero", "larger than 64 MiB"); /* endless, and still an answer */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_full_round_trip), cmocka_unit_test(test_kind_about_form),
      cmocka_unit_test(test_empty_sheet),     cmocka_unit_test(test_svg),
      cmocka_unit_test(test_hostile_table),   cmocka_unit_test(test_hostile_sizes),
      cmocka_unit_test(test_counts),          cmocka_unit_test(test_truncated),
      cmocka_unit_test(test_far_lines),       cmocka_unit_test(test_open),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
