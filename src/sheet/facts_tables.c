/* SPDX-License-Identifier: MIT */
/* The sheet's tables: wires, expected readings, parts, findings. */
#include "sheet/facts.h"

#include "base/language.h"
#include "tables/colours.h"

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

double *
facts_conductor_amps(const Inspection *inspection)
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
    return g_strdup(_("not solved"));
  if (isinf(amps))
    return g_strdup(_("short circuit"));
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

static char *
size_text(const Conductor *conductor, Units units)
{
  const Value *size = &conductor->values[CONDUCTOR_GAUGE];
  return size->has_value ? units_size(size->low, units) : g_strdup("");
}

static char *
wiring_text(const Conductor *conductor)
{
  g_autofree char *word = field_text(conductor, CONDUCTOR_WIRING);
  return g_strdup(_(word));
}

Table *
facts_wires_table(const Inspection *inspection, Units units)
{
  static const TableColumn columns[] = {{.title = N_("Wire")},
                                        {.title = N_("Colour")},
                                        {.title = N_("Size")},
                                        {.title = N_("Length"), .numeric = true},
                                        {.title = N_("From")},
                                        {.title = N_("To")},
                                        {.title = N_("Wiring")},
                                        {.title = N_("To ground"), .numeric = true},
                                        {.title = N_("Amperes"), .numeric = true}};
  const Document *document = inspection->document;
  const guint n = document_conductor_count(document);
  g_autofree double *amps = facts_conductor_amps(inspection);

  if (n == 0)
    return NULL;
  Table *table = table_new(g_strdup(_("Wire schedule")), NULL, columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < n; i++) {
    const Conductor *conductor = document_conductor(document, i);
    const guint node = circuit_node_of_landing(inspection->circuit, &conductor->from);
    Reading reading = {.state = READING_UNDEFINED};
    if (inspection->solution != NULL && node != G_MAXUINT)
      reading = solution_to_earth(inspection->solution, node);
    table_add(table, field_text(conductor, CONDUCTOR_NUMBER),
              wire_colour_text(conductor_text(conductor, CONDUCTOR_COLOUR)),
              size_text(conductor, units),
              units_length(&conductor->values[CONDUCTOR_LENGTH], units),
              landing_text(&conductor->from), landing_text(&conductor->to), wiring_text(conductor),
              facts_volts(inspection, reading), amps_text(amps[i]));
  }
  return table;
}

char *
facts_readings_entered(const Device *device)
{
  const PartKind *kind = device->kind;
  const int between = field_index(kind->row_fields, kind->n_row_fields, "between");
  const int value = field_index(kind->row_fields, kind->n_row_fields, "value");
  GString *text = g_string_new(NULL);

  for (guint i = 0; between >= 0 && value >= 0 && i < device_row_count(device); i++) {
    const Value *row = device_row(device, i);
    if (!row[value].has_value)
      continue;
    g_autofree char *volts = value_dup_text(&row[value], &kind->row_fields[value]);
    g_autofree char *pair =
        g_strdelimit(g_strdup(device_row_text(device, i, (guint)between)), " ", '-');
    g_string_append_printf(text, "%s%s %s", text->len > 0 ? ", " : "", pair, volts);
  }
  return g_string_free(text, FALSE);
}

static char *
supply_readings(const Device *device)
{
  g_autofree char *entered = facts_readings_entered(device);
  return g_strdup(*entered != '\0' ? entered : _("not measured"));
}

static char *
unbalance_text(const SupplySystem *system)
{
  if (isnan(system->unbalance))
    return g_strdup("-");
  return quantity_display(100 * system->unbalance, UNIT_PERCENT, 2);
}

Table *
facts_supply_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {{.title = N_("Supply")},
                                        {.title = N_("System")},
                                        {.title = N_("Measured")},
                                        {.title = N_("Unbalance"), .numeric = true}};
  const GArray *supplies = inspection->circuit->supplies;

  if (supplies->len == 0)
    return NULL;
  Table *table = table_new(g_strdup(_("Supply")), NULL, columns, G_N_ELEMENTS(columns));
  for (guint i = 0; i < supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, i);
    const Device *device = document_device(inspection->document, supply->device);
    table_add(table, g_strdup(device_designation(device)), g_strdup(supply->system.name),
              supply_readings(device), unbalance_text(&supply->system));
  }
  return table;
}

/* What a technician has noted between two points by their names, in this state. NULL: nothing. */
static const Measured *
find_measured(const Document *document, const char *a, const char *b, MeasuredState state)
{
  const char *const names[] = {a, b};
  Landing ends[2] = {{NULL, NULL}, {NULL, NULL}};

  for (guint i = 0; i < 2; i++) {
    const char *dot = strrchr(names[i], '.');
    g_autofree char *device = dot != NULL ? g_strndup(names[i], (gsize)(dot - names[i])) : NULL;
    ends[i] = landing_make(device, dot != NULL ? dot + 1 : names[i]);
  }
  const Measured *found = document_find_measured(document, &ends[0], &ends[1], state);
  landing_clear(&ends[0]);
  landing_clear(&ends[1]);
  return found;
}

/* "118 V (25 Nov 2026)"; "" when nothing was entered in volts. New string. */
static char *
measured_text(const Measured *measured)
{
  if (measured == NULL || !measured->values[MEASURED_VALUE].has_value)
    return g_strdup("");
  g_autofree char *value =
      value_dup_text(&measured->values[MEASURED_VALUE], &measured_fields[MEASURED_VALUE]);
  const char *date = measured->values[MEASURED_DATE].text;
  if (date == NULL || date[0] == '\0')
    return g_steal_pointer(&value);
  g_autofree char *day = language_date(date);
  return g_strdup_printf("%s (%s)", value, day);
}

/* The value a meter should show, as text. New string. */
static char *
expected_text(const ExpectedReading *reading, int digits)
{
  if (reading->state == READING_LIVE && reading->high >= EXPECTED_ZERO_VOLTS)
    return expected_reading_text(reading, digits);
  if (reading->state == READING_LIVE || reading->state == READING_DEAD)
    return g_strdup("0 V");
  return g_strdup(reading_state_word(reading->state));
}

/* What a reading is, and what the technician wrote beside it. New string. */
static char *
purpose_text(const ExpectedReading *reading, const Measured *measured)
{
  const char *note = measured != NULL ? measured->values[MEASURED_NOTE].text : NULL;

  if (note == NULL || note[0] == '\0')
    return g_strdup(reading->purpose);
  return g_strdup_printf(_("%s; noted: %s"), reading->purpose, note);
}

static void
add_reading(Table *table, const Inspection *inspection, const ExpectedReading *reading)
{
  const bool live = reading->state == READING_LIVE;
  const int digits = reading->volts < 100 ? 3 : 4;
  const Measured *measured =
      find_measured(inspection->document, reading->a_name, reading->b_name,
                    reading->locked_out ? MEASURED_LOCKED_OUT : MEASURED_ENERGIZED);

  table_add(
      table,
      reading->point != NULL
          ? g_strdup_printf(_("%s: %s to %s"), reading->point, reading->a_name, reading->b_name)
          : g_strdup_printf(_("%s to %s"), reading->a_name, reading->b_name),
      expected_text(reading, digits),
      live ? expected_reading_range_text(reading, digits) : g_strdup(""), measured_text(measured),
      NULL, purpose_text(reading, measured));
}

static bool
is_listed(const GArray *readings, guint a, guint b)
{
  for (guint i = 0; i < readings->len; i++) {
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    if ((reading->a == a && reading->b == b) || (reading->a == b && reading->b == a))
      return true;
  }
  return false;
}

/* What was measured, energized, between points that are not listed of themselves: no value a
 * technician has noted is left off the sheet. */
static void
add_others_measured(Table *table, const Inspection *inspection, const GArray *readings)
{
  const Document *document = inspection->document;

  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    const guint a = circuit_node_of_landing(inspection->circuit, &measured->a);
    const guint b = circuit_node_of_landing(inspection->circuit, &measured->b);
    ExpectedReading reading = {0};
    if (!measured->values[MEASURED_VALUE].has_value || a == G_MAXUINT || b == G_MAXUINT ||
        measured_state(measured) != MEASURED_ENERGIZED || is_listed(readings, a, b) ||
        !expected_reading_between(inspection->circuit, inspection->solution, a, b,
                                  &expected_variation_default, &reading, NULL))
      continue;
    reading.purpose = _("measured besides");
    add_reading(table, inspection, &reading);
    expected_reading_clear(&reading);
  }
}

/* On a label stand the readings that tell whether the added circuit is right: at transformers and
 * at what they feed. Behind a contactor the terminals of what it feeds stand for its own. */
static bool
in_brief(const Inspection *inspection, const ExpectedReading *reading)
{
  const NodePlace *place = &inspection->circuit->places[reading->a];

  if (place->device == G_MAXUINT)
    return false;
  const Device *device = document_device(inspection->document, place->device);
  switch (device->kind->role) {
  case ROLE_COIL:
    return device_terminal(device, place->terminal)->role != TERMINAL_LOAD_SIDE;
  case ROLE_TRANSFORMER:
  case ROLE_LOAD:
  case ROLE_MOTOR:
  case ROLE_RECEPTACLE:
    return true;
  default:
    return false;
  }
}

static char *
readings_note(void)
{
  const ExpectedVariation *variation = &expected_variation_default;
  g_autofree char *ratio = number_fixed(100 * variation->ratio_tolerance, 1);

  if (variation->loads_may_be_off)
    return g_strdup_printf(
        _("Alternating volts. The range covers the measured supply from %.0f %% lower "
          "to %.0f %% higher, loads on or off, and transformer ratios %s %% off their "
          "nameplates. Outside it: lock out and find out why."),
        100 * (1 - variation->supply_low), 100 * (variation->supply_high - 1), ratio);
  return g_strdup_printf(
      _("Alternating volts. The range covers the measured supply from %.0f %% lower "
        "to %.0f %% higher, and transformer ratios %s %% off their nameplates. Outside it: "
        "lock out and find out why."),
      100 * (1 - variation->supply_low), 100 * (variation->supply_high - 1), ratio);
}

Table *
facts_readings_table(const Inspection *inspection, bool brief)
{
  static const TableColumn columns[] = {{.title = N_("Between")},
                                        {.title = N_("Expected"), .numeric = true},
                                        {.title = N_("Range"), .numeric = true},
                                        {.title = N_("As found"), .blank = 20},
                                        {.title = N_("As left"), .blank = 20},
                                        {.title = N_("What it is")}};
  g_autoptr(GArray) readings = NULL;

  if (inspection->solution == NULL)
    return NULL;
  readings = expected_readings(inspection->circuit, inspection->solution,
                               &expected_variation_default, NULL);
  if (readings == NULL || readings->len == 0)
    return NULL;
  Table *table =
      table_new(g_strdup(brief ? _("Readings, energized") : _("Expected readings, energized")),
                brief ? NULL : readings_note(), columns, brief ? 3 : G_N_ELEMENTS(columns));
  for (guint i = 0; i < readings->len; i++) {
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    if (!brief || in_brief(inspection, reading))
      add_reading(table, inspection, reading);
  }
  if (!brief)
    add_others_measured(table, inspection, readings);
  return table_unless_empty(table);
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
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (device->kind == kind)
      g_ptr_array_add(names, (gpointer)(guintptr)device_designation(device));
  }
  if (names->len > 0)
    table_add(table, facts_join_names(names), g_strdup(_(kind->title)), NULL,
              g_strdup_printf("%u", names->len));
}

Table *
facts_parts_table(const Inspection *inspection, Units units)
{
  static const TableColumn columns[] = {{.title = N_("Mark")},
                                        {.title = N_("Part")},
                                        {.title = N_("Rating")},
                                        {.title = N_("Number"), .numeric = true}};
  const Document *document = inspection->document;
  Table *table = table_new(g_strdup(_("Parts")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (is_end(device->kind->role) || device->kind->role == ROLE_OUTLINE)
      continue;
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    table_add(table, g_strdup(device_designation(device)), g_strdup(_(device->kind->title)),
              units_rating(rating, units), g_strdup("1"));
  }
  PartCatalog catalog = document_catalog(document);
  for (guint k = 0; catalog[k] != NULL; k++)
    if (is_end(catalog[k]->role))
      add_ends(table, document, catalog[k]);
  return table_unless_empty(table);
}

Table *
facts_findings_table(const Inspection *inspection, bool brief)
{
  static const TableColumn columns[] = {{.title = N_("Signal")},
                                        {.title = N_("At")},
                                        {.title = N_("Finding")},
                                        {.title = N_("Remedy")}};
  const GPtrArray *findings = inspection->findings;

  if (findings->len == 0)
    return NULL;
  g_autofree char *counts = facts_finding_counts(inspection);
  Table *table = table_new(g_strdup_printf(_("Findings: %s"), counts), NULL, columns,
                           brief ? 3 : G_N_ELEMENTS(columns));
  for (guint i = 0; i < findings->len; i++) {
    const Finding *finding = findings->pdata[i];
    GString *places = g_string_new(NULL);
    for (guint p = 0; p < finding->places->len; p++)
      g_string_append_printf(places, "%s%s", p > 0 ? ", " : "",
                             (const char *)finding->places->pdata[p]);
    table_add(table, g_strdup(signal_word(finding->signal)), g_string_free(places, FALSE),
              brief ? g_strdup(finding->title)
                    : g_strdup_printf("%s. %s", finding->title, finding->message),
              g_strdup(finding->remedy));
  }
  return table;
}
