/* SPDX-License-Identifier: MIT */
/* The sheet's tables: wires, expected readings, parts, findings. */
#include "sheet/facts.h"

#include "solve/expected.h"
#include <math.h>
#include <string.h>

static char *
landing_text(const Landing *landing)
{
  if (landing->device == NULL)
    return g_strdup("GND");
  return g_strdup_printf("%s.%s", landing->device, landing->terminal);
}

/* Amperes of every conductor; NAN where unknown. Free with g_free. */
static double *
conductor_amps(const Inspection *inspection)
{
  const Circuit *circuit = inspection->circuit;
  const guint n = document_conductor_count(inspection->document);
  double *amps = g_new(double, MAX(n, 1));

  for (guint i = 0; i < n; i++)
    amps[i] = NAN;
  if (inspection->solution == NULL)
    return amps;
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->owner.kind == OWNER_CONDUCTOR && join->owner.index < n)
      amps[join->owner.index] = cabs(inspection->solution->join_amps[i]);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->owner.kind == OWNER_CONDUCTOR && impedance->owner.index < n)
      amps[impedance->owner.index] = cabs(inspection->solution->impedance_amps[i]);
  }
  return amps;
}

static char *
amps_text(double amps)
{
  if (isnan(amps))
    return g_strdup("not solved");
  if (isinf(amps))
    return g_strdup("short circuit");
  if (amps < 0.0005)
    return g_strdup("0 A");
  return quantity_display(amps, UNIT_AMPERE, 3);
}

static char *
field_text(const Conductor *conductor, ConductorField field)
{
  const Value *value = &conductor->values[field];
  char *text = value->has_value ? value_dup_text(value, &conductor_fields[field]) : NULL;
  return text != NULL ? text : g_strdup("");
}

Table *
facts_wires_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {{.title = "Wire"},
                                        {.title = "Colour"},
                                        {.title = "Size"},
                                        {.title = "Length", .numeric = true},
                                        {.title = "From"},
                                        {.title = "To"},
                                        {.title = "Wiring"},
                                        {.title = "Volts to ground", .numeric = true},
                                        {.title = "Amperes", .numeric = true}};
  const Document *document = inspection->document;
  const guint n = document_conductor_count(document);
  g_autofree double *amps = conductor_amps(inspection);

  if (n == 0)
    return NULL;
  Table *table = table_new(g_strdup("Wire schedule"), NULL, columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < n; i++) {
    const Conductor *conductor = document_conductor(document, i);
    const guint node = circuit_node_of_landing(inspection->circuit, &conductor->from);
    Reading reading = {.state = READING_UNDEFINED};
    if (inspection->solution != NULL && node != G_MAXUINT)
      reading = solution_to_earth(inspection->solution, node);
    table_add(table, field_text(conductor, CONDUCTOR_NUMBER),
              field_text(conductor, CONDUCTOR_COLOUR), field_text(conductor, CONDUCTOR_GAUGE),
              field_text(conductor, CONDUCTOR_LENGTH), landing_text(&conductor->from),
              landing_text(&conductor->to), field_text(conductor, CONDUCTOR_WIRING),
              facts_volts(inspection, reading), amps_text(amps[i]));
  }
  return table;
}

/* The value a technician has entered for a pair of points, whichever way round; NULL: none. */
static const Measured *
find_measured(const Document *document, const char *a, const char *b)
{
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    g_autofree char *from = landing_text(&measured->a);
    g_autofree char *to = landing_text(&measured->b);
    if ((strcmp(a, from) == 0 && strcmp(b, to) == 0) ||
        (strcmp(a, to) == 0 && strcmp(b, from) == 0))
      return measured;
  }
  return NULL;
}

/* "118 V (2026-11-25)"; "" when nothing was entered. New string. */
static char *
measured_text(const Measured *measured)
{
  if (measured == NULL)
    return g_strdup("");
  g_autofree char *value =
      value_dup_text(&measured->values[MEASURED_VALUE], &measured_fields[MEASURED_VALUE]);
  const char *date = measured->values[MEASURED_DATE].text;
  if (date == NULL || date[0] == '\0')
    return g_steal_pointer(&value);
  return g_strdup_printf("%s (%s)", value, date);
}

static void
add_reading(Table *table, const Inspection *inspection, const ExpectedReading *reading)
{
  const bool live = reading->state == READING_LIVE && reading->high >= 0.05;
  const bool known = reading->state == READING_LIVE || reading->state == READING_DEAD;
  const Measured *measured = find_measured(inspection->document, reading->a_name, reading->b_name);
  const int digits = reading->volts < 100 ? 3 : 4;

  table_add(table, g_strdup_printf("%s to %s", reading->a_name, reading->b_name),
            g_strdup(reading->purpose),
            live    ? quantity_display(reading->volts, UNIT_VOLT, digits)
            : known ? g_strdup("0 V")
                    : g_strdup(reading_state_word(reading->state)),
            live ? quantity_display_range(reading->low, reading->high, UNIT_VOLT, digits)
                 : g_strdup(""),
            measured_text(measured), NULL);
}

Table *
facts_readings_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {{.title = "Between"},
                                        {.title = "What it is"},
                                        {.title = "Expected", .numeric = true},
                                        {.title = "Range", .numeric = true},
                                        {.title = "As found", .blank = 20},
                                        {.title = "As left", .blank = 20}};
  g_autoptr(GArray) readings = NULL;

  if (inspection->solution == NULL)
    return NULL;
  readings = expected_readings(inspection->circuit, inspection->solution,
                               &expected_variation_default, NULL);
  if (readings == NULL || readings->len == 0)
    return NULL;
  Table *table = table_new(
      g_strdup("Expected readings, energized"),
      g_strdup_printf("Alternating volts. The range covers the measured supply from %.0f %% lower "
                      "to %.0f %% higher%s. Outside it: lock out and find out why.",
                      100 * (1 - expected_variation_default.supply_low),
                      100 * (expected_variation_default.supply_high - 1),
                      expected_variation_default.loads_may_be_off ? ", loads on or off" : ""),
      columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < readings->len; i++)
    add_reading(table, inspection, &g_array_index(readings, ExpectedReading, i));
  return table;
}

/* Ends of conductors are listed together, by kind. */
static bool
is_end(PartRole role)
{
  return role == ROLE_CAP || role == ROLE_SPLICE || role == ROLE_GROUND || role == ROLE_TEST_POINT;
}

static void
add_ends(Table *table, const Document *document, const PartKind *kind)
{
  GString *names = g_string_new(NULL);
  guint count = 0;

  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind != kind)
      continue;
    g_string_append_printf(names, "%s%s", count > 0 ? ", " : "", device_designation(device));
    count++;
  }
  if (count > 0)
    table_add(table, g_string_free(names, FALSE), g_strdup(kind->title), g_strdup(""),
              g_strdup_printf("%u", count));
  else
    g_string_free(names, TRUE);
}

Table *
facts_parts_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {{.title = "Mark"},
                                        {.title = "Part"},
                                        {.title = "Rating"},
                                        {.title = "Number", .numeric = true}};
  const Document *document = inspection->document;
  Table *table = table_new(g_strdup("Parts"), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (is_end(device->kind->role) || device->kind->role == ROLE_OUTLINE)
      continue;
    char *rating = device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    table_add(table, g_strdup(device_designation(device)), g_strdup(device->kind->title), rating,
              g_strdup("1"));
  }
  PartCatalog catalog = document_catalog(document);
  for (guint k = 0; catalog[k] != NULL; k++)
    if (is_end(catalog[k]->role))
      add_ends(table, document, catalog[k]);
  if (table->rows->len > 0)
    return table;
  table_free(table);
  return NULL;
}

Table *
facts_findings_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {
      {.title = "Signal"}, {.title = "Finding"}, {.title = "At"}, {.title = "Remedy"}};
  const GPtrArray *findings = inspection->findings;

  if (findings->len == 0)
    return NULL;
  g_autofree char *counts = facts_finding_counts(inspection);
  Table *table =
      table_new(g_strdup_printf("Findings: %s", counts), NULL, columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < findings->len; i++) {
    const Finding *finding = findings->pdata[i];
    GString *places = g_string_new(NULL);
    for (guint p = 0; p < finding->places->len; p++)
      g_string_append_printf(places, "%s%s", p > 0 ? ", " : "",
                             (const char *)finding->places->pdata[p]);
    table_add(table, g_strdup(signal_word(finding->signal)),
              g_strdup_printf("%s. %s", finding->title, finding->message),
              g_string_free(places, FALSE), g_strdup(finding->remedy));
  }
  return table;
}
