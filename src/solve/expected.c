/* SPDX-License-Identifier: MIT */
#include "solve/expected.h"

#include "base/language.h"

#include "solve/corners.h"
#include "solve/saturation.h"
#include <math.h>

const ExpectedVariation expected_variation_default = {.supply_low = 0.95,
                                                      .supply_high = 1.05,
                                                      .loads_may_be_off = true,
                                                      .ratio_tolerance = 0.015,
                                                      .impedance_tolerance = 0.1};

void
expected_reading_clear(ExpectedReading *reading)
{
  g_clear_pointer(&reading->a_name, g_free);
  g_clear_pointer(&reading->b_name, g_free);
}

/* ----------------------------------------------------------------------------------- readings */

static void
fill_reading(const Corners *corners, const Solution *straight, guint a, guint b,
             const char *purpose, ExpectedReading *out)
{
  Reading here = solution_reading(corners->solution, a, b);
  bool shown = here.state == READING_LIVE || here.state == READING_DEAD;
  *out = (ExpectedReading){.a = a,
                           .b = b,
                           .a_name = circuit_node_name(corners->circuit, a),
                           .b_name = circuit_node_name(corners->circuit, b),
                           .purpose = purpose,
                           .state = here.state,
                           .volts = shown ? cabs(here.volts) : 0,
                           .degrees = shown ? carg(here.volts) * 180 / G_PI : 0,
                           .locked_out = corners->circuit->options.locked_out};
  out->low = out->high = out->volts;
  if (shown)
    corners_range(corners, a, b, &out->low, &out->high);
  out->saturated = shown && straight != NULL && saturation_decides(here, straight, a, b);
}

/* How a flying lead ends. */
typedef enum { LEAD_LANDED, LEAD_OPEN, LEAD_CAPPED } LeadEnd;

typedef struct {
  const Corners *corners;
  const Solution *straight; /* without saturation; NULL when nothing saturates */
  GArray *readings;
  GHashTable *seen; /* pair of nodes -> index of its reading plus one */
  guint8 *landings; /* per node: conductors landed, at most 255 */
  guint8 *capped;   /* per node: a conductor joins it to a cap */
} Lister;

static bool
is_cap(const Circuit *circuit, guint node)
{
  guint device = circuit->places[node].device;
  return device != G_MAXUINT && document_device(circuit->document, device)->kind->role == ROLE_CAP;
}

static void
count_landings(Lister *lister)
{
  const Circuit *circuit = lister->corners->circuit;
  lister->landings = g_new0(guint8, circuit->n_nodes);
  lister->capped = g_new0(guint8, circuit->n_nodes);
  for (guint i = 0; i < document_conductor_count(circuit->document); i++) {
    const Conductor *conductor = document_conductor(circuit->document, i);
    guint ends[2] = {circuit_node_of_landing(circuit, &conductor->from),
                     circuit_node_of_landing(circuit, &conductor->to)};
    if (ends[0] == G_MAXUINT || ends[1] == G_MAXUINT)
      continue;
    for (int k = 0; k < 2; k++) {
      lister->landings[ends[k]] = (guint8)MIN(lister->landings[ends[k]] + 1, 255);
      if (is_cap(circuit, ends[1 - k]))
        lister->capped[ends[k]] = 1;
    }
  }
}

static LeadEnd
lead_end(const Lister *lister, const Terminal *terminal, guint node)
{
  if (!terminal->flying)
    return LEAD_LANDED;
  if (lister->landings[node] == 0)
    return LEAD_OPEN;
  return lister->capped[node] ? LEAD_CAPPED : LEAD_LANDED;
}

static const char pinned[] = N_("test point");

/* The same pair again only takes over a lead's purpose, which says more than a probe's, and any
 * that says more than that it was pinned. */
static void
list_pair(Lister *lister, guint a, guint b, const char *purpose, bool lead)
{
  if (a == 0) {
    a = b;
    b = 0;
  }
  if (a == b)
    return;
  guint64 key = (guint64)MIN(a, b) << 32 | MAX(a, b);
  guint listed = GPOINTER_TO_UINT(g_hash_table_lookup(lister->seen, &key));
  if (listed > 0) {
    ExpectedReading *before = &g_array_index(lister->readings, ExpectedReading, listed - 1);
    if (lead || before->purpose == pinned)
      before->purpose = purpose;
    return;
  }
  ExpectedReading reading;
  fill_reading(lister->corners, lister->straight, a, b, purpose, &reading);
  g_array_append_val(lister->readings, reading);
  g_hash_table_insert(lister->seen, g_memdup2(&key, sizeof key),
                      GUINT_TO_POINTER(lister->readings->len));
}

static guint
probe_node(const Circuit *circuit, guint device, int terminal)
{
  return terminal == PROBE_EARTH ? 0 : circuit_node(circuit, device, (guint)terminal);
}

static void
list_device(Lister *lister, guint index, GArray *probes)
{
  const Circuit *circuit = lister->corners->circuit;
  const Device *device = document_device(circuit->document, index);
  g_array_set_size(probes, 0);
  if (device->kind->probes != NULL)
    device->kind->probes(device, probes);
  for (guint i = 0; i < probes->len; i++) {
    const Probe *probe = &g_array_index(probes, Probe, i);
    guint a = probe_node(circuit, index, probe->a), b = probe_node(circuit, index, probe->b);
    if (a != G_MAXUINT && b != G_MAXUINT)
      list_pair(lister, a, b, probe->purpose, false);
  }
  for (guint i = 0; i < device_terminal_count(device); i++) {
    guint node = circuit_node(circuit, index, i);
    LeadEnd end = lead_end(lister, device_terminal(device, i), node);
    if (end != LEAD_LANDED)
      list_pair(lister, node, 0,
                end == LEAD_CAPPED ? _("capped lead to ground") : _("loose lead to ground"), true);
  }
}

static void
list_points(Lister *lister)
{
  const Circuit *circuit = lister->corners->circuit;
  for (guint i = 0; i < document_measured_count(circuit->document); i++) {
    const Measured *measured = document_measured(circuit->document, i);
    guint a = circuit_node_of_landing(circuit, &measured->a);
    guint b = circuit_node_of_landing(circuit, &measured->b);
    guint before = lister->readings->len;
    if (measured_point(measured) == NULL || a == G_MAXUINT || b == G_MAXUINT)
      continue;
    list_pair(lister, a, b, pinned, false);
    if (lister->readings->len > before)
      g_array_index(lister->readings, ExpectedReading, before).point =
          g_intern_string(measured_point(measured));
  }
}

GArray *
expected_readings(const Circuit *circuit, const Solution *solution,
                  const ExpectedVariation *variation, GError **error)
{
  GArray *readings = g_array_new(FALSE, TRUE, sizeof(ExpectedReading));
  g_array_set_clear_func(readings, (GDestroyNotify)expected_reading_clear);
  if (circuit->document == NULL)
    return readings;
  Corners corners;
  if (!corners_solve(&corners, circuit, solution, variation, error)) {
    corners_clear(&corners);
    g_array_unref(readings);
    return NULL;
  }
  g_autoptr(Saturation) saturation = saturation_new(circuit, solution);
  Lister lister = {.corners = &corners,
                   .straight = saturation_straight(saturation),
                   .readings = readings,
                   .seen = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL)};
  count_landings(&lister);
  list_points(&lister);
  g_autoptr(GArray) probes = g_array_new(FALSE, TRUE, sizeof(Probe));
  for (guint device = 0; device < document_device_count(circuit->document); device++)
    list_device(&lister, device, probes);
  g_free(lister.landings);
  g_free(lister.capped);
  g_hash_table_unref(lister.seen);
  corners_clear(&corners);
  return readings;
}

bool
expected_reading_between(const Circuit *circuit, const Solution *solution, guint a, guint b,
                         const ExpectedVariation *variation, ExpectedReading *out, GError **error)
{
  if (a >= circuit->n_nodes || b >= circuit->n_nodes) {
    g_set_error(
        error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
        _("One of the two points is not in the circuit; name two terminals, such as T1.X1."));
    return false;
  }
  Corners corners;
  bool solved = corners_solve(&corners, circuit, solution, variation, error);
  if (solved) {
    g_autoptr(Saturation) saturation = saturation_new(circuit, solution);
    fill_reading(&corners, saturation_straight(saturation), a, b, _("between two points"), out);
  }
  corners_clear(&corners);
  return solved;
}

char *
expected_reading_text(const ExpectedReading *reading, int digits)
{
  if (reading->state != READING_LIVE && reading->state != READING_DEAD)
    return g_strdup(reading_state_word(reading->state));
  if (reading->high < EXPECTED_ZERO_VOLTS)
    return g_strdup(reading->state == READING_DEAD ? reading_state_word(READING_DEAD) : "0 V");
  if (reading->saturated)
    return saturation_text(reading->volts, UNIT_VOLT);
  return quantity_display(reading->volts, UNIT_VOLT, digits);
}

char *
expected_reading_range_text(const ExpectedReading *reading, int digits)
{
  if (reading->state != READING_LIVE && reading->state != READING_DEAD)
    return g_strdup("");
  if (reading->high < EXPECTED_ZERO_VOLTS)
    return g_strdup("");
  if (reading->saturated)
    return g_strdup(_("core saturated"));
  return quantity_display_range(reading->low, reading->high, UNIT_VOLT, digits);
}
