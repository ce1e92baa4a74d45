/* SPDX-License-Identifier: MIT */
/* The schema is well formed RELAX NG, accepts what the program writes and refuses the rest. */
#include "diagram/document_file.h"
#include "small_catalog.h"

#include <libxml/relaxng.h>

static void
quiet(void *data, xmlErrorPtr problem)
{
  (void)data, (void)problem;
}

static xmlRelaxNGPtr
compile(PartCatalog catalog)
{
  g_autofree char *text = document_schema(catalog);
  xmlRelaxNGParserCtxtPtr parser = xmlRelaxNGNewMemParserCtxt(text, (int)strlen(text));
  xmlRelaxNGPtr schema = xmlRelaxNGParse(parser);
  xmlRelaxNGFreeParserCtxt(parser);
  if (schema == NULL)
    fail_msg("not a schema:\n%s", text);
  return schema;
}

static bool
accepts(xmlRelaxNGPtr schema, const char *text, gsize size)
{
  xmlDocPtr tree = xmlReadMemory(text, (int)size, "test", NULL, XML_PARSE_NONET);
  if (tree == NULL)
    fail_msg("not well formed: %.200s", text);
  xmlRelaxNGValidCtxtPtr context = xmlRelaxNGNewValidCtxt(schema);
  xmlRelaxNGSetValidStructuredErrors(context, (xmlStructuredErrorFunc)quiet, NULL);
  bool good = xmlRelaxNGValidateDoc(context, tree) == 0;
  xmlRelaxNGFreeValidCtxt(context);
  xmlFreeDoc(tree);
  return good;
}

#define DOC(body) "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">" body "</doorsheet>"
#define LOAD(more) DOC("<device id=\"L\" kind=\"every\" x=\"0\" y=\"0\" power=\"9 W\" " more "/>")

static const struct {
  bool good;
  const char *text;
} cases[] = {
    {true, "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\"/>"},
    {true, DOC("<equipment/>")},
    {true, DOC("<device id=\"B\" kind=\"outline\" x=\"0\" y=\"0\"/><equipment/>"
               "<device id=\"C\" kind=\"outline\" x=\"0\" y=\"0\"/>")},
    {false, DOC("<equipment/><equipment/>")},
    {true, DOC("<exercise/><device id=\"B\" kind=\"outline\" x=\"0\" y=\"0\"/><equipment/>")},
    {true, DOC("<equipment/><exercise number=\"3\" difficulty=\"hard\" faults=\"2\"/>")},
    {false, DOC("<exercise/><equipment/><exercise/>")},
    {false, DOC("<exercise number=\"0\"/>")},
    {false, DOC("<exercise difficulty=\"harder\"/>")},
    {true, DOC("<expected-fault fault=\"lead-left-open\" at=\"T1.H3, T1.H4\" note=\"n\"/>"
               "<device id=\"B\" kind=\"outline\" x=\"0\" y=\"0\"/>")},
    {false, DOC("<expected-fault fault=\"lead-left-open\"/>")},
    {false, DOC("<expected-fault at=\"T1.H3\"/>")},
    {false, "<doorsheet xmlns=\"urn:doorsheet:1\"/>"},
    {false, "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"2\"/>"},
    {false, "<doorsheet xmlns=\"urn:doorsheet:2\" version=\"1\"/>"},
    {false, "<doorsheet version=\"1\"/>"},
    {false, "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" paper=\"a5\"/>"},
    {false, "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\" titel=\"x\"/>"},
    {false, DOC("words")},
    {false, DOC("<other/>")},
    {true, LOAD("")},
    {false, DOC("<device id=\"L\" kind=\"every\" x=\"0\" y=\"0\"/>")}, /* power is required */
    {false, DOC("<device id=\"L\" kind=\"evry\" x=\"0\" y=\"0\" power=\"9 W\"/>")},
    {false, DOC("<device kind=\"outline\" x=\"0\" y=\"0\"/>")},
    {false, DOC("<device id=\"a b\" kind=\"outline\" x=\"0\" y=\"0\"/>")},
    {false, DOC("<device id=\"B\" kind=\"outline\" x=\"nan\" y=\"0\"/>")},
    {false, DOC("<device id=\"B\" kind=\"outline\" x=\"0\" y=\"0\" turn=\"45\"/>")},
    {true, DOC("<device id=\"B\" kind=\"outline\" x=\"-1e3\" y=\"+.5\" turn=\"90\" "
               "mirror=\"no\"/>")},
    {true, LOAD("label=\"twelve chars\"")},
    {false, LOAD("label=\"thirteen chars\"")},
    {false, LOAD("accepts=\"110..125 A\"")},
    {true, LOAD("accepts=\" 110 .. 125 V\"")},
    {true, LOAD("accepts=\"110 V..0.125 kV\"")},
    {false, LOAD("accepts=\"110-125 V\"")},
    {true, LOAD("poles=\"3\"")},
    {false, LOAD("poles=\"4\"")},
    {false, LOAD("poles=\"1.5\"")},
    {true, LOAD("sense=\"L1 T1\"")},
    {true, LOAD("sense=\"T1.X1 GND\"")},
    {false, LOAD("sense=\"L1\"")},
    {true, LOAD("size=\"1/0 AWG\"")},
    {true, LOAD("size=\"2.5 mm2\"")},
    {false, LOAD("size=\"5/0 AWG\"")},
    {true, LOAD("ratio=\"4.9\"")},
    {false, LOAD("ratio=\"4.9 V\"")},
    {false, LOAD("sealed=\"true\"")},
    {true, DOC("<device id=\"T\" kind=\"bank\" x=\"0\" y=\"0\"><lead name=\"X1\"/><lead/>"
               "</device>")},
    {false, DOC("<device id=\"T\" kind=\"bank\" x=\"0\" y=\"0\"><tap name=\"X1\"/></device>")},
    {false, DOC("<device id=\"T\" kind=\"contact\" x=\"0\" y=\"0\"><lead/></device>")},
    {false, DOC("<conductor from=\"T1.X1\"/>")},
    {false, DOC("<conductor from=\"T1.X1\" to=\"T1\"/>")},
    {true, DOC("<conductor from=\"T1.X1\" to=\"T1.X2\" via=\"1,2 3.5,-4\"/>")},
    {false, DOC("<conductor from=\"T1.X1\" to=\"T1.X2\" via=\"1,2 3\"/>")},
    {false, DOC("<conductor from=\"T1.X1\" to=\"T1.X2\" color=\"red\"/>")},
    {true, DOC("<as-measured between=\"T1.X1 GND\" value=\"118 V\"/>")},
    {false, DOC("<as-measured between=\"T1.X1 GND\"/>")},
    {false, DOC("<as-measured between=\"T1.X1 GND\" state=\"locked-out\" note=\"cold\"/>")},
    {true, DOC("<as-measured between=\"T1.X1 GND\" value=\"0 V\" state=\"locked-out\"/>")},
    {true, DOC("<as-measured between=\"T1.X1 GND\" ohms=\"12 ohm\" state=\"locked-out\"/>")},
    {true, DOC("<as-measured between=\"T1.X1 GND\" ohms=\"1.2 kohm\" value=\"0 V\" "
               "point=\"TP2\" state=\"locked-out\" date=\"2026-11-25\"/>")},
    {false, DOC("<as-measured between=\"T1.X1 GND\" ohms=\"12 ohm\"/>")},
    {false, DOC("<as-measured between=\"T1.X1 GND\" ohms=\"12 ohm\" state=\"energized\"/>")},
    {true, DOC("<as-measured between=\"T1.X1 GND\" point=\"TP1\"/>")},
    {true, DOC("<as-measured between=\"T1.X1 GND\" point=\"TP1\" value=\"118 V\"/>")},
    {false, DOC("<as-measured between=\"T1.X1 GND\" point=\"T P\"/>")},
};

static void
test_accepts_and_refuses(void **state)
{
  (void)state;
  xmlRelaxNGPtr schema = compile(small_catalog);
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++)
    if (accepts(schema, cases[i].text, strlen(cases[i].text)) != cases[i].good)
      fail_msg("%s: %s", cases[i].good ? "refused" : "accepted", cases[i].text);
  xmlRelaxNGFree(schema);
}

static void
test_well_formed_and_stable(void **state)
{
  (void)state;
  g_autofree char *first = document_schema(small_catalog);
  g_autofree char *second = document_schema(small_catalog);
  assert_string_equal(first, second);
  xmlDocPtr tree = xmlReadMemory(first, (int)strlen(first), "schema", NULL, XML_PARSE_NONET);
  assert_non_null(tree);
  xmlFreeDoc(tree);
  static const PartKind *const nothing[] = {NULL};
  xmlRelaxNGPtr schema = compile(nothing);
  assert_true(accepts(schema, cases[0].text, strlen(cases[0].text)));
  assert_false(accepts(schema, LOAD(""), strlen(LOAD(""))));
  xmlRelaxNGFree(schema);
}

/* Every spelling of a unit that the reader takes, the schema takes too. */
static const struct {
  Unit unit;
  const char *texts[10];
} spellings[] = {
    {UNIT_NONE, {"4.9", " -1 ", "+.5e-3", "7.", NULL}},
    {UNIT_VOLT, {"480 V", "24volts", "1 volt", "12.47 kV", "3 mV", "4 uV", "1 MV", NULL}},
    {UNIT_AMPERE,
     {"10 kA", "1 amp", "2 amps", "5 mA",
      "5 \xc2\xb5"
      "A",
      "5 \xce\xbc"
      "A",
      NULL}},
    {UNIT_VOLT_AMPERE, {"250 VA", "1.5 kVA", NULL}},
    {UNIT_WATT, {"90 W", "1 watt", "2 watts", "1.5 kW", "0.5 hp", "2 HP", NULL}},
    {UNIT_VAR, {"40 var", "1 kvar", NULL}},
    {UNIT_OHM, {"12 ohm", "3 ohms", "1 k\xe2\x84\xa6", "2 \xce\xa9", "4 Mohm", NULL}},
    {UNIT_SIEMENS, {"0.5 S", "3 mS", NULL}},
    {UNIT_FARAD, {"30 uF", "1 F", NULL}},
    {UNIT_HENRY, {"20 mH", NULL}},
    {UNIT_HERTZ, {"60 Hz", "50 hertz", "1 kHz", NULL}},
    {UNIT_HORSEPOWER, {"0.5 hp", "300 W", NULL}},
    {UNIT_FOOT, {"12 ft", "1 foot", "3 feet", "6 in", "1 inch", "3.6 m", "40 mm", "1 km", NULL}},
    {UNIT_AWG,
     {"14 AWG", "1/0 AWG", "4/0awg", "250 kcmil", "300 MCM", "2.5 mm2", "4 mm\xc2\xb2", NULL}},
    {UNIT_PERCENT, {"5 %", "5%", "3 percent", NULL}},
    {UNIT_DEGREE, {"120 deg", "30\xc2\xb0", NULL}},
    {UNIT_CELSIUS,
     {"75 C",
      "60 \xc2\xb0"
      "C",
      "90 degC", NULL}},
    {UNIT_SECOND, {"0.5 s", "20 ms", NULL}},
};

static void
test_spellings(void **state)
{
  (void)state;
  for (guint i = 0; i < G_N_ELEMENTS(spellings); i++) {
    FieldSpec field = {
        .name = "q", .title = "Q", .help = "Q", .type = FIELD_QUANTITY, .unit = spellings[i].unit};
    PartKind kind = {
        .name = "k", .title = "K", .designation = "K", .fields = &field, .n_fields = 1};
    const PartKind *const catalog[] = {&kind, NULL};
    xmlRelaxNGPtr schema = compile(catalog);
    for (guint j = 0; spellings[i].texts[j] != NULL; j++) {
      Quantity quantity;
      g_autoptr(GError) error = NULL;
      if (!quantity_parse(spellings[i].texts[j], field.unit, &quantity, &error))
        fail_msg("the reader refuses \"%s\": %s", spellings[i].texts[j], error->message);
      g_autofree char *canonical = quantity_format(quantity);
      const char *texts[] = {spellings[i].texts[j], canonical};
      for (guint k = 0; k < 2; k++) {
        g_autofree char *text = g_strdup_printf(
            DOC("<device id=\"K1\" kind=\"k\" x=\"0\" y=\"0\" q=\"%s\"/>"), texts[k]);
        if (!accepts(schema, text, strlen(text)))
          fail_msg("the schema refuses \"%s\"", texts[k]);
      }
    }
    g_autofree char *wrong = g_strdup_printf(
        DOC("<device id=\"K1\" kind=\"k\" x=\"0\" y=\"0\" q=\"5 %s\"/>"), "furlong");
    assert_false(accepts(schema, wrong, strlen(wrong)));
    xmlRelaxNGFree(schema);
  }
}

/* What is written is valid, for every text the fields accept. */
static void
test_written_is_valid(void **state)
{
  (void)state;
  static const char *const texts[][2] = {
      {"label", "<&>\"'"},      {"label", "a\nb"},   {"plug", "X-1/2+3_4"}, {"power", "0.5 hp"},
      {"accepts", "1..1000 V"}, {"state", "locked"}, {"sealed", "no"},      {"poles", "2"},
      {"sense", "LD1.L1 GND"},  {"ratio", "1e-300"}, {"ratio", "1e300"},    {"size", "2/0 AWG"},
      {"size", "2.5 mm2"},      {"ratio", "-0.1"},   {"accepts", "0.5 kV"},
  };
  xmlRelaxNGPtr schema = compile(small_catalog);
  for (guint i = 0; i < G_N_ELEMENTS(texts); i++) {
    g_autoptr(GError) error = NULL;
    g_autoptr(Device) device = small_device(&every_kind, "LD1", 0.1, -1e4);
    if (!device_set(device, texts[i][0], texts[i][1], &error))
      fail_msg("%s", error->message);
    g_autoptr(Document) document = document_new(small_catalog);
    Change *change = change_new("Add");
    change_device(change, NULL, device);
    assert_true(document_apply(document, change, NULL));
    g_autoptr(GBytes) bytes = document_write_memory(document);
    gsize size;
    const char *data = g_bytes_get_data(bytes, &size);
    if (!accepts(schema, data, size))
      fail_msg("refused: %.*s", (int)size, data);
    g_autoptr(Document) read = document_read_memory(data, size, "x", small_catalog, &error);
    if (read == NULL)
      fail_msg("%s", error->message);
    assert_true(document_equal(document, read));
  }
  xmlRelaxNGFree(schema);
}

/* A large file is held to the structure alone and must read the same as a small one. */
static void
test_large_file(void **state)
{
  (void)state;
  g_autoptr(GString) text = g_string_new("<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">\n");
  for (guint i = 0; i < 3000; i++)
    g_string_append_printf(text,
                           "<device id=\"L%u\" kind=\"every\" x=\"0\" y=\"0\" power=\"9 W\" "
                           "accepts=\"110..125 V\" size=\"14 AWG\"/>\n",
                           i);
  g_string_append(text, "</doorsheet>\n");
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document =
      document_read_memory(text->str, text->len, "large", small_catalog, &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  assert_int_equal(document_device_count(document), 3000);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_well_formed_and_stable),
      cmocka_unit_test(test_accepts_and_refuses),
      cmocka_unit_test(test_spellings),
      cmocka_unit_test(test_written_is_valid),
      cmocka_unit_test(test_large_file),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
