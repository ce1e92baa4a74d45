/* SPDX-License-Identifier: MIT */
#include "checks/wire.h"

#include "base/language.h"

#include "tables/ampacity.h"

#include <math.h>

/* 310.15(C)(1)(b): nipples of at most 24 in need no factor. */
#define NIPPLE_METRES (24 * 0.0254)

/* Air of an enclosure that differs from the sheet's. */
typedef struct {
  Rect box;
  double celsius;
} Air;

static void
note_airs(Survey *survey)
{
  const Document *document = survey->context->document;
  const Value *sheet = &document_sheet(document)->values[SHEET_AMBIENT];
  survey->ambient = sheet->has_value ? quantity_in(sheet->low, UNIT_CELSIUS) : 30;
  survey->airs = g_array_new(FALSE, FALSE, sizeof(Air));
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    const Value *air =
        device->kind->role == ROLE_OUTLINE ? device_value_named(device, "ambient") : NULL;
    if (air == NULL || !air->has_value)
      continue;
    Air one = {survey_outline_box(device), quantity_in(air->low, UNIT_CELSIUS)};
    g_array_append_val(survey->airs, one);
  }
}

bool
wire_carries_nothing(const Survey *survey, guint index)
{
  const Conductor *conductor = document_conductor(survey->context->document, index);
  const Landing *landings[2] = {&conductor->from, &conductor->to};
  for (int i = 0; i < 2; i++) {
    guint node = circuit_node_of_landing(survey->context->circuit, landings[i]);
    const Terminal *terminal = survey_terminal(survey, node);
    if (node >= survey->n_nodes || survey->capped[survey->nets[NET_METAL][node]] ||
        (terminal != NULL &&
         (terminal->role == TERMINAL_FRAME || terminal->role == TERMINAL_EARTH)))
      return true;
  }
  return false;
}

/* Class 2 conductors warm nothing: their sources are limited. */
static bool
warms(const Survey *survey, guint index)
{
  const Conductor *conductor = document_conductor(survey->context->document, index);
  guint node = circuit_node_of_landing(survey->context->circuit, &conductor->from);
  return !wire_carries_nothing(survey, index) && !survey_class2(survey, node);
}

void
survey_raceways(Survey *survey)
{
  const Document *document = survey->context->document;
  guint n = document_conductor_count(document);
  g_autoptr(GHashTable) counts = g_hash_table_new(g_str_hash, g_str_equal);
  note_airs(survey);
  survey->bundled = g_new(guint, MAX(n, 1));
  for (guint i = 0; i < n; i++) {
    const char *raceway = conductor_text(document_conductor(document, i), CONDUCTOR_RACEWAY);
    if (*raceway == '\0' || !warms(survey, i))
      continue;
    guint count = GPOINTER_TO_UINT(g_hash_table_lookup(counts, raceway));
    g_hash_table_insert(counts, (gpointer)raceway, GUINT_TO_POINTER(count + 1));
  }
  for (guint i = 0; i < n; i++) {
    const Conductor *conductor = document_conductor(document, i);
    const char *raceway = conductor_text(conductor, CONDUCTOR_RACEWAY);
    const Value *stated = &conductor->values[CONDUCTOR_BUNDLED];
    survey->bundled[i] = MAX(GPOINTER_TO_UINT(g_hash_table_lookup(counts, raceway)), 1);
    if (stated->has_value)
      survey->bundled[i] = (guint)quantity_value(stated->low);
  }
}

static double
air_at(const Survey *survey, const Conductor *conductor)
{
  double hottest = survey->ambient;
  bool own[2] = {false, false}; /* each end lies in an enclosure that states its air */
  const Landing *landings[2] = {&conductor->from, &conductor->to};
  double inside = -INFINITY;
  for (guint a = 0; a < survey->airs->len; a++) {
    const Air *air = &g_array_index(survey->airs, Air, a);
    for (int i = 0; i < 2; i++) {
      const Device *device = document_find_device(survey->context->document, landings[i]->device);
      if (device == NULL || !rect_contains(air->box, device->placement.at))
        continue;
      own[i] = true;
      inside = fmax(inside, air->celsius);
    }
  }
  return own[0] && own[1] ? inside : fmax(hottest, inside);
}

/* The lower temperature of the terminals at both ends; by_size: amperes of the 60 C column, when
 * nothing tells what the circuit is rated for. */
static double
terminal_celsius(const Survey *survey, const Wire *wire, double by_size)
{
  double device = survey->device_amps[wire->node];
  double circuit = device < SURVEY_UNKNOWN_RATING ? device : by_size;
  double unmarked = ampacity_terminal_celsius(circuit), lowest = INFINITY;
  const Landing *landings[2] = {&wire->conductor->from, &wire->conductor->to};
  for (int i = 0; i < 2; i++) {
    const Device *end = document_find_device(survey->context->document, landings[i]->device);
    double marked =
        end != NULL ? device_number_named(end, "terminal-temperature", NAN) : (double)NAN;
    lowest = fmin(lowest, isnan(marked) ? unmarked : marked);
  }
  return lowest;
}

static void
work_out(const Survey *survey, Wire *wire)
{
  double by_size = ampacity_amps(wire->size, wire->metal, 60);
  wire->terminal_celsius = terminal_celsius(survey, wire, by_size);
  double celsius =
      isnan(wire->insulation_celsius) ? wire->terminal_celsius : wire->insulation_celsius;
  wire->base = ampacity_amps(wire->size, wire->metal, celsius);
  wire->air_factor = ampacity_ambient_factor(wire->ambient, celsius);
  wire->bundle_factor = ampacity_bundle_factor(wire->bundled);
  const Value *length = &wire->conductor->values[CONDUCTOR_LENGTH];
  if (length->has_value && quantity_in(length->low, UNIT_METRE) <= NIPPLE_METRES * 1.0001)
    wire->bundle_factor = 1;
  wire->terminal_amps = ampacity_amps(wire->size, wire->metal, wire->terminal_celsius);
  double there = wire->base * wire->air_factor * wire->bundle_factor;
  /* fmin would hide a size without a figure. */
  wire->ampacity =
      isnan(there) || isnan(wire->terminal_amps) ? (double)NAN : fmin(there, wire->terminal_amps);
}

bool
wire_at(const Survey *survey, guint index, Wire *wire)
{
  const CheckContext *context = survey->context;
  *wire = (Wire){.index = index, .conductor = document_conductor(context->document, index)};
  const Value *values = wire->conductor->values;
  wire->node = circuit_node_of_landing(context->circuit, &wire->conductor->from);
  wire->ampacity = wire->insulation_celsius = NAN;
  if (wire->node >= survey->n_nodes)
    return false;
  wire->name = survey_conductor_name(survey, index);
  wire->size = values[CONDUCTOR_GAUGE].low;
  wire->metal = values[CONDUCTOR_MATERIAL].choice == 1 ? METAL_ALUMINIUM : METAL_COPPER;
  if (values[CONDUCTOR_TEMPERATURE].has_value)
    wire->insulation_celsius = quantity_in(values[CONDUCTOR_TEMPERATURE].low, UNIT_CELSIUS);
  wire->ambient = air_at(survey, wire->conductor);
  wire->bundled = survey->bundled[index];
  if (values[CONDUCTOR_GAUGE].has_value)
    work_out(survey, wire);
  return true;
}

double
wire_ampacity(const Survey *survey, guint index)
{
  Wire wire;
  return wire_at(survey, index, &wire) ? wire.ampacity : (double)NAN;
}

double
wire_device_limit(const Survey *survey, const Wire *wire)
{
  /* 18 and 16 AWG have their limit from 240.4(D) alone. */
  double small = ampacity_small_conductor_limit(wire->size, wire->metal);
  if (small < 15)
    return small;
  int guard = survey->guard[wire->node];
  bool breaker = guard >= 0 &&
                 circuit_item(survey->context->circuit->joins, Join, guard)->role == JOIN_BREAKER;
  double up = wire->ampacity <= 800 ? standard_rating_up(wire->ampacity, survey->edition,
                                                         breaker ? RATING_BREAKER : RATING_FUSE)
                                    : wire->ampacity;
  return fmin(isnan(up) ? wire->ampacity : up, small);
}

bool
wire_size_for(const Survey *survey, const Wire *wire, double amps, double device, Quantity *size)
{
  guint n;
  const AmpacityRow *rows = ampacity_rows(&n);
  for (guint i = 0; i < n; i++) {
    Wire other = *wire;
    other.size = rows[i].size;
    work_out(survey, &other);
    if (!(other.ampacity >= amps) || device > wire_device_limit(survey, &other) * 1.0001)
      continue;
    *size = other.size;
    return true;
  }
  return false;
}

const char *
wire_explain(const Survey *survey, const Wire *wire)
{
  double celsius =
      isnan(wire->insulation_celsius) ? wire->terminal_celsius : wire->insulation_celsius;
  bool by_terminals = wire->terminal_amps < wire->base * wire->air_factor * wire->bundle_factor;
  bool fixture = wire->metal == METAL_COPPER && celsius < 90 &&
                 !isnan(ampacity_fixture_wire(wire->size)) && wire->base < 15;
  g_autoptr(GString) text = g_string_new(NULL);
  g_string_append_printf(
      text, _("%s at %s"), fixture ? _("Table 402.5") : _("Table 310.16"),
      survey_show(survey, by_terminals ? wire->terminal_celsius : celsius, UNIT_CELSIUS));
  if (by_terminals && celsius > wire->terminal_celsius)
    g_string_append(text, _(" as its terminals allow"));
  if (!by_terminals && (wire->air_factor != 1 || wire->bundle_factor != 1))
    g_string_append_printf(text, ", %s", AMPS(wire->base));
  if (!by_terminals && wire->air_factor != 1)
    g_string_append_printf(text, _(", times %s for air of %s"),
                           survey_show(survey, wire->air_factor, UNIT_NONE),
                           survey_show(survey, wire->ambient, UNIT_CELSIUS));
  if (!by_terminals && wire->bundle_factor != 1)
    g_string_append_printf(text, _(", times %s for %u conductors together"),
                           survey_show(survey, wire->bundle_factor, UNIT_NONE), wire->bundled);
  return survey_keep(survey, g_string_free(g_steal_pointer(&text), FALSE));
}
