/* SPDX-License-Identifier: MIT */
/* The RELAX NG schema, generated from the tables (conductor, sheet and every kind of a catalog),
 * and enforced while reading. Each catalog's schema is compiled once and kept: catalogs are static,
 * and a compiled schema is only read afterwards, also by several threads. */
#include "diagram/document_file.h"

#include "base/language.h"
#include "diagram/file_reader.h"

#include "base/text.h"

#include <libxml/relaxng.h>
#include <string.h>

#define PATTERN_START "<data type=\"string\"><param name=\"pattern\">"
#define PATTERN_END "</param></data>"
#define PREFIX "(k|M|m|u|\xc2\xb5|\xce\xbc)?"
#define NUMBER "[+\\-]?([0-9]+(\\.[0-9]*)?|\\.[0-9]+)([eE][+\\-]?[0-9]+)?"
#define NAME "[A-Za-z0-9][A-Za-z0-9\\-_/+]{0,31}"
#define TERMINAL NAME "(\\." NAME ")?"

/* How each unit may be spelled (base/quantity reads the same spellings; a test compares). */
static const char *const unit_patterns[UNIT_COUNT] = {
    [UNIT_NONE] = "",
    [UNIT_VOLT] = PREFIX "(V|volts?)",
    [UNIT_AMPERE] = PREFIX "(A|amps?)",
    [UNIT_VOLT_AMPERE] = PREFIX "VA",
    [UNIT_WATT] = PREFIX "(W|watts?)",
    [UNIT_VAR] = PREFIX "var",
    [UNIT_OHM] = PREFIX "(ohms?|\xe2\x84\xa6|\xce\xa9)",
    [UNIT_SIEMENS] = PREFIX "S",
    [UNIT_FARAD] = PREFIX "F",
    [UNIT_HENRY] = PREFIX "H",
    [UNIT_HERTZ] = PREFIX "(Hz|hertz)",
    [UNIT_HORSEPOWER] = "(hp|HP)",
    [UNIT_FOOT] = "(ft|feet|foot)",
    [UNIT_METRE] = PREFIX "m",
    [UNIT_INCH] = "(in|inch)",
    [UNIT_MILLIMETRE] = "mm",
    [UNIT_AWG] = "(AWG|awg)",
    [UNIT_KCMIL] = "(kcmil|MCM)",
    [UNIT_SQUARE_MM] = "(mm2|mm\xc2\xb2)",
    [UNIT_PERCENT] = "(%|percent)",
    [UNIT_DEGREE] = "(deg|\xc2\xb0)",
    [UNIT_CELSIUS] = "(C|\xc2\xb0"
                     "C|degC)",
    [UNIT_SECOND] = PREFIX "s",
};

static void
append_unit(GString *out, Unit unit)
{
  const char *separator = "";
  g_string_append(out, "(");
  for (Unit u = UNIT_NONE; u < UNIT_COUNT; u++) {
    if (!unit_same_dimension(u, unit))
      continue;
    g_string_append_printf(out, "%s%s", separator, unit_patterns[u]);
    separator = "|";
  }
  g_string_append(out, ")");
}

static void
append_pattern(GString *out, const char *pattern)
{
  g_autofree char *escaped = g_markup_escape_text(pattern, -1);
  g_string_append_printf(out, PATTERN_START "%s" PATTERN_END, escaped);
}

static void
append_quantity(GString *out, const FieldSpec *field)
{
  g_autoptr(GString) pattern = g_string_new("\\s*");
  g_autoptr(GString) unit = g_string_new(NULL);
  append_unit(unit, field->unit);
  if (field->type == FIELD_RANGE)
    g_string_append_printf(pattern, "(" NUMBER "\\s*%s?\\s*\\.\\.\\s*)?", unit->str);
  if (unit_same_dimension(field->unit, UNIT_AWG))
    g_string_append(pattern, "([1-4]/0|" NUMBER ")");
  else
    g_string_append(pattern, NUMBER);
  if (field->unit != UNIT_NONE)
    g_string_append_printf(pattern, "\\s*%s", unit->str);
  g_string_append(pattern, "\\s*");
  append_pattern(out, pattern->str);
}

static void
append_words(GString *out, const char *const *words)
{
  g_string_append(out, "<choice>");
  for (; *words != NULL; words++) {
    g_autofree char *escaped = g_markup_escape_text(*words, -1);
    g_string_append_printf(out, "<value>%s</value>", escaped);
  }
  g_string_append(out, "</choice>");
}

static void
append_integer(GString *out, const FieldSpec *field)
{
  if (field->minimum == 0.0 && field->maximum == 0.0) {
    g_string_append(out, "<data type=\"integer\"/>");
    return;
  }
  g_string_append_printf(out,
                         "<data type=\"integer\"><param name=\"minInclusive\">%" G_GINT64_FORMAT
                         "</param><param name=\"maxInclusive\">%" G_GINT64_FORMAT "</param></data>",
                         (gint64)field->minimum, (gint64)field->maximum);
}

static void
append_type(GString *out, const FieldSpec *field)
{
  static const char *const flags[] = {"no", "yes", NULL};
  switch (field->type) {
  case FIELD_TEXT: {
    int length = field->maximum > 0.0 ? (int)field->maximum : 200;
    g_string_append_printf(out, "<data type=\"string\"><param name=\"maxLength\">%d</param></data>",
                           length);
    break;
  }
  case FIELD_NAME:
    append_pattern(out, NAME);
    break;
  case FIELD_QUANTITY:
  case FIELD_RANGE:
    append_quantity(out, field);
    break;
  case FIELD_CHOICE:
    append_words(out, field->choices);
    break;
  case FIELD_BOOLEAN:
    append_words(out, flags);
    break;
  case FIELD_INTEGER:
    append_integer(out, field);
    break;
  case FIELD_TERMINALS:
    append_pattern(out, "\\s*" TERMINAL "\\s+" TERMINAL "\\s*");
    break;
  }
}

static void
append_fields(GString *out, const FieldSpec *fields, guint n, int depth)
{
  for (guint i = 0; i < n; i++) {
    g_string_append_printf(out, "%*s%s<attribute name=\"%s\">", depth * 2, "",
                           fields[i].required ? "" : "<optional>", fields[i].name);
    append_type(out, &fields[i]);
    g_string_append_printf(out, "</attribute>%s\n", fields[i].required ? "" : "</optional>");
  }
}

static void
append_attribute(GString *out, const char *name, const char *pattern, bool optional)
{
  g_string_append_printf(out, "      %s<attribute name=\"%s\">", optional ? "<optional>" : "",
                         name);
  append_pattern(out, pattern);
  g_string_append_printf(out, "</attribute>%s\n", optional ? "</optional>" : "");
}

static void
append_kind(GString *out, const PartKind *kind)
{
  g_autofree char *title = g_markup_escape_text(kind->title, -1);
  g_string_append_printf(out, "  <!-- %s -->\n  <define name=\"kind.%s\">\n", title, kind->name);
  g_string_append_printf(out, "    <attribute name=\"kind\"><value>%s</value></attribute>\n",
                         kind->name);
  append_fields(out, kind->fields, kind->n_fields, 2);
  if (kind->row_name != NULL) {
    g_string_append_printf(out, "    <zeroOrMore><element name=\"%s\">\n", kind->row_name);
    append_fields(out, kind->row_fields, kind->n_row_fields, 3);
    if (kind->n_row_fields == 0)
      g_string_append(out, "      <empty/>\n");
    g_string_append(out, "    </element></zeroOrMore>\n");
  }
  g_string_append(out, "  </define>\n");
}

static void
append_device(GString *out, PartCatalog catalog)
{
  g_string_append(out, "  <define name=\"device\">\n    <element name=\"" FILE_DEVICE "\">\n");
  append_attribute(out, "id", NAME, false);
  append_attribute(out, "x", "\\s*" NUMBER "\\s*", false);
  append_attribute(out, "y", "\\s*" NUMBER "\\s*", false);
  g_string_append(out, "      <optional><attribute name=\"turn\"><choice><value>0</value><value>90"
                       "</value><value>180</value><value>270</value></choice></attribute>"
                       "</optional>\n      <optional><attribute name=\"mirror\"><choice><value>no"
                       "</value><value>yes</value></choice></attribute></optional>\n");
  g_string_append(out, *catalog != NULL ? "      <choice>\n" : "      <notAllowed/>\n");
  for (PartCatalog kind = catalog; *kind != NULL; kind++)
    g_string_append_printf(out, "        <ref name=\"kind.%s\"/>\n", (*kind)->name);
  if (*catalog != NULL)
    g_string_append(out, "      </choice>\n");
  g_string_append(out, "    </element>\n  </define>\n");
}

static void
append_measured_field(GString *out, MeasuredField field, bool required)
{
  FieldSpec spec = measured_fields[field];
  spec.required = required;
  append_fields(out, &spec, 1, 4);
}

/* Volts, a test point's number, or ohms, which are read locked out; or several of them. */
static void
append_measured(GString *out)
{
  g_string_append(out, "      <choice><group>\n");
  append_measured_field(out, MEASURED_VALUE, true);
  append_measured_field(out, MEASURED_POINT, false);
  append_measured_field(out, MEASURED_STATE, false);
  g_string_append(out, "      </group><group>\n");
  append_measured_field(out, MEASURED_POINT, true);
  append_measured_field(out, MEASURED_STATE, false);
  g_string_append(out, "      </group><group>\n");
  append_measured_field(out, MEASURED_OHMS, true);
  append_measured_field(out, MEASURED_VALUE, false);
  append_measured_field(out, MEASURED_POINT, false);
  g_string_append(out, "        <attribute name=\"state\"><value>locked-out</value></attribute>\n"
                       "      </group></choice>\n");
  append_fields(out, &measured_fields[MEASURED_DATE], 2, 3);
}

static void
append_rest(GString *out)
{
  g_string_append(out,
                  "  <define name=\"conductor\">\n    <element name=\"" FILE_CONDUCTOR "\">\n");
  append_attribute(out, "from", "\\s*" NAME "\\." NAME "\\s*", false);
  append_attribute(out, "to", "\\s*" NAME "\\." NAME "\\s*", false);
  append_attribute(out, "via", "\\s*(" NUMBER "," NUMBER "(\\s+" NUMBER "," NUMBER ")*)?\\s*",
                   true);
  append_fields(out, conductor_fields, CONDUCTOR_FIELD_COUNT, 3);
  g_string_append(out, "      <empty/>\n    </element>\n  </define>\n");
  g_string_append(out,
                  "  <define name=\"as-measured\">\n    <element name=\"" FILE_MEASURED "\">\n");
  append_attribute(out, "between", "\\s*" TERMINAL "\\s+" TERMINAL "\\s*", false);
  append_measured(out);
  g_string_append(out, "      <empty/>\n    </element>\n  </define>\n");
  g_string_append(out,
                  "  <define name=\"equipment\">\n    <element name=\"" FILE_EQUIPMENT "\">\n");
  append_fields(out, equipment_fields, EQUIPMENT_FIELD_COUNT, 3);
  g_string_append(out, "      <empty/>\n    </element>\n  </define>\n");
  g_string_append(out, "  <define name=\"exercise\">\n    <element name=\"" FILE_EXERCISE "\">\n");
  append_fields(out, exercise_fields, EXERCISE_FIELD_COUNT, 3);
  g_string_append(out, "      <empty/>\n    </element>\n  </define>\n");
  g_string_append(out,
                  "  <define name=\"expected-fault\">\n    <element name=\"" FILE_INTENDED "\">\n");
  append_fields(out, intended_fields, INTENDED_FIELD_COUNT, 3);
  g_string_append(out, "      <empty/>\n    </element>\n  </define>\n");
}

char *
document_schema(PartCatalog catalog)
{
  GString *out = g_string_new(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<!-- A Doorsheet diagram. Generated from the program's tables; do not edit. -->\n"
      "<grammar xmlns=\"http://relaxng.org/ns/structure/1.0\" ns=\"" DOCUMENT_NAMESPACE "\"\n"
      "         datatypeLibrary=\"http://www.w3.org/2001/XMLSchema-datatypes\">\n"
      "  <start><ref name=\"doorsheet\"/></start>\n"
      "  <define name=\"doorsheet\">\n    <element name=\"" FILE_ROOT "\">\n");
  g_string_append_printf(out, "      <attribute name=\"version\"><value>%d</value></attribute>\n",
                         DOCUMENT_VERSION);
  append_fields(out, sheet_data_fields, SHEET_FIELD_COUNT, 3);
  /* One <equipment> and one <exercise> anywhere among the others. An <interleave> would say it more
   * plainly, but libxml2's time for one grows faster than the list (20 000 devices: 1.1 s against
   * 0.5 s). */
  g_string_append(out, "      <ref name=\"content\"/>\n"
                       "      <optional><choice>\n"
                       "        <group><ref name=\"equipment\"/><ref name=\"content\"/><optional>"
                       "<ref name=\"exercise\"/><ref name=\"content\"/></optional></group>\n"
                       "        <group><ref name=\"exercise\"/><ref name=\"content\"/><optional>"
                       "<ref name=\"equipment\"/><ref name=\"content\"/></optional></group>\n"
                       "      </choice></optional>\n"
                       "    </element>\n  </define>\n"
                       "  <define name=\"content\">\n    <zeroOrMore><choice>\n"
                       "      <ref name=\"device\"/><ref name=\"conductor\"/>"
                       "<ref name=\"as-measured\"/><ref name=\"expected-fault\"/>\n"
                       "    </choice></zeroOrMore>\n  </define>\n");
  append_device(out, catalog);
  append_rest(out);
  for (PartCatalog kind = catalog; *kind != NULL; kind++)
    append_kind(out, *kind);
  g_string_append(out, "</grammar>\n");
  return g_string_free(out, FALSE);
}

/* --- enforcing it --- */

/* libxml2 compiles a pattern anew at every use: that took longer than the window and its first
 * frame together for a sheet of twenty devices, and five times the rest of reading for a large
 * one. While reading, the schema is therefore enforced for the structure; the form of every value
 * was judged before, from the same tables the patterns come from (a test compares the two). */

/* The schema with any text where a pattern was. New string. */
static char *
without_patterns(const char *schema)
{
  GString *out = g_string_new(NULL);
  for (const char *start; (start = strstr(schema, PATTERN_START)) != NULL;) {
    const char *end = strstr(start, PATTERN_END);
    g_string_append_len(out, schema, start - schema);
    g_string_append(out, "<text/>");
    schema = end + strlen(PATTERN_END);
  }
  g_string_append(out, schema);
  return g_string_free(out, FALSE);
}

static void
on_compile_error(void *data, xmlErrorPtr problem)
{
  (void)data;
  g_critical("the generated schema is wrong: %s", problem->message);
}

static xmlRelaxNGPtr
compile(PartCatalog catalog)
{
  g_autofree char *whole = document_schema(catalog);
  g_autofree char *text = without_patterns(whole);
  xmlRelaxNGParserCtxtPtr parser = xmlRelaxNGNewMemParserCtxt(text, (int)strlen(text));
  if (parser == NULL)
    return NULL;
  xmlRelaxNGSetParserStructuredErrors(parser, (xmlStructuredErrorFunc)on_compile_error, NULL);
  xmlRelaxNGPtr schema = xmlRelaxNGParse(parser);
  xmlRelaxNGFreeParserCtxt(parser);
  return schema;
}

static xmlRelaxNGPtr
schema_of(PartCatalog catalog)
{
  static GMutex lock;
  static GHashTable *schemas;
  g_mutex_lock(&lock);
  if (schemas == NULL)
    schemas = g_hash_table_new(NULL, NULL);
  gpointer key = (gpointer)(guintptr)catalog;
  xmlRelaxNGPtr schema = g_hash_table_lookup(schemas, key);
  if (schema == NULL) {
    schema = compile(catalog);
    g_hash_table_insert(schemas, key, schema);
  }
  g_mutex_unlock(&lock);
  return schema;
}

static void
on_invalid(void *data, xmlErrorPtr problem)
{
  Reader *reader = data;
  if (reader->error != NULL)
    return;
  g_autofree char *valid =
      g_utf8_make_valid(problem->message != NULL ? problem->message : "not valid", -1);
  g_autofree char *shown = text_clean(g_strstrip(valid), 200);
  const xmlNode *node = problem->node;
  while (node != NULL && node->type != XML_ELEMENT_NODE)
    node = node->parent;
  gsize offset = node != NULL ? GPOINTER_TO_SIZE(node->_private) : 0;
  reader_fail(reader, FILE_ERROR_FORMAT, offset, NULL,
              _("the schema of the format refuses this: %s"), shown);
}

void
reader_check_schema(Reader *reader)
{
  xmlRelaxNGPtr schema = schema_of(reader->catalog);
  xmlRelaxNGValidCtxtPtr context = schema != NULL ? xmlRelaxNGNewValidCtxt(schema) : NULL;
  if (context == NULL) {
    reader_fail(reader, FILE_ERROR_FORMAT, 0, NULL,
                _("the schema of the format cannot be used; this is a fault of the program"));
    return;
  }
  xmlRelaxNGSetValidStructuredErrors(context, (xmlStructuredErrorFunc)on_invalid, reader);
  int result = xmlRelaxNGValidateDoc(context, reader->tree);
  if (result != 0 && reader->error == NULL)
    reader_fail(reader, FILE_ERROR_FORMAT, 0, NULL,
                _("the schema of the format refuses this file"));
  xmlRelaxNGFreeValidCtxt(context);
}
