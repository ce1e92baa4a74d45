/* SPDX-License-Identifier: MIT */
#include "solve/expected.h"

#include "solve/solve_session.h"
#include <math.h>

#define ALL_COMBINATIONS 4u /* loads up to which every combination is solved */
#define SINGLE_LOADS 16u    /* ...and up to which each is switched off by itself */

const ExpectedVariation expected_variation_default = {
    .supply_low = 0.95, .supply_high = 1.05, .loads_may_be_off = true};

void
expected_reading_clear(ExpectedReading *reading)
{
  g_clear_pointer(&reading->a_name, g_free);
  g_clear_pointer(&reading->b_name, g_free);
}

/* ------------------------------------------------------------------------------------ corners */

/* A shallow copy of the circuit with other options and, for single loads, arrays of its own. */
typedef struct {
  Circuit circuit;
  GArray *own_loads, *own_motors;
  Solution *solution;
  bool single; /* one load off; the corner with all on lies at `all_on` */
  guint all_on;
} Corner;

static void
corner_free(gpointer data)
{
  Corner *corner = data;
  solution_free(corner->solution);
  g_clear_pointer(&corner->own_loads, g_array_unref);
  g_clear_pointer(&corner->own_motors, g_array_unref);
  g_free(corner);
}

typedef struct {
  const Circuit *circuit;
  const Solution *solution; /* the drawing itself */
  SolveSession *session;
  GPtrArray *corners; /* of Corner */
} Corners;

static void
corners_clear(Corners *corners)
{
  g_ptr_array_unref(corners->corners);
  solve_session_free(corners->session);
}

/* Loads first, then motors; a bit set in off_mask opens that one. */
static void
switch_off(Corner *corner, guint off_mask)
{
  corner->own_loads = g_array_copy(corner->circuit.loads);
  corner->own_motors = g_array_copy(corner->circuit.motors);
  guint n_loads = corner->own_loads->len;
  for (guint i = 0; i < n_loads + corner->own_motors->len; i++) {
    if (!(off_mask & (1u << i)))
      continue;
    if (i < n_loads) {
      circuit_item(corner->own_loads, Load, i)->power = 0;
    } else {
      Motor *motor = circuit_item(corner->own_motors, Motor, i - n_loads);
      motor->y_positive = motor->y_negative = 0;
    }
  }
  corner->circuit.loads = corner->own_loads;
  corner->circuit.motors = corner->own_motors;
}

static bool
add_corner(Corners *corners, double scale, bool all_off, guint off_mask, GError **error)
{
  Corner *corner = g_new0(Corner, 1);
  corner->circuit = *corners->circuit;
  g_ptr_array_add(corners->corners, corner);
  double nominal = corners->circuit->options.supply_scale;
  corner->circuit.options.supply_scale = (nominal > 0 ? nominal : 1) * scale;
  corner->circuit.options.loads_off = all_off || corners->circuit->options.loads_off;
  if (off_mask != 0)
    switch_off(corner, off_mask);
  corner->solution =
      solve_session_solve(corners->session, &corner->circuit, corners->solution, error);
  if (corner->solution != NULL)
    return true;
  g_prefix_error(error, "The range of readings cannot be worked out with the supply at %.0f %%%s: ",
                 100 * scale, all_off ? " and all loads off" : "");
  return false;
}

static bool
add_load_corners(Corners *corners, double scale, GError **error)
{
  guint n = corners->circuit->loads->len + corners->circuit->motors->len;
  guint all_on = corners->corners->len - 1; /* added just before */
  if (!add_corner(corners, scale, true, 0, error))
    return false;
  if (n <= ALL_COMBINATIONS) {
    for (guint mask = 1; mask < 1u << n; mask++)
      if (!add_corner(corners, scale, false, mask, error))
        return false;
  } else if (n <= SINGLE_LOADS) {
    for (guint i = 0; i < n; i++) {
      if (!add_corner(corners, scale, false, 1u << i, error))
        return false;
      Corner *corner = g_ptr_array_index(corners->corners, corners->corners->len - 1);
      corner->single = true;
      corner->all_on = all_on;
    }
  }
  return true;
}

static double
sane_scale(double scale)
{
  return isfinite(scale) && scale > 0 ? scale : 1;
}

static bool
corners_solve(Corners *corners, const Circuit *circuit, const Solution *solution,
              const ExpectedVariation *variation, GError **error)
{
  if (variation == NULL)
    variation = &expected_variation_default;
  *corners = (Corners){.circuit = circuit,
                       .solution = solution,
                       .session = solve_session_new(),
                       .corners = g_ptr_array_new_with_free_func(corner_free)};
  double low = sane_scale(variation->supply_low), high = sane_scale(variation->supply_high);
  double scales[2] = {MIN(low, high), MAX(low, high)};
  for (int i = 0; i < (scales[0] < scales[1] ? 2 : 1); i++) {
    if (!add_corner(corners, scales[i], false, 0, error))
      return false;
    if (variation->loads_may_be_off && !add_load_corners(corners, scales[i], error))
      return false;
  }
  return true;
}

/* ----------------------------------------------------------------------------------- readings */

static bool
corner_volts(const Corners *corners, guint index, guint a, guint b, double *volts)
{
  const Corner *corner = g_ptr_array_index(corners->corners, index);
  Reading reading = solution_reading(corner->solution, a, b);
  *volts = cabs(reading.volts);
  return reading.state == READING_LIVE || reading.state == READING_DEAD;
}

/* The corners themselves, then what several single loads off at once may add up to. */
static void
widen_range(const Corners *corners, guint a, guint b, ExpectedReading *out)
{
  double rise = 0, fall = 0, volts = 0, all_on = 0;
  for (guint i = 0; i < corners->corners->len; i++) {
    const Corner *corner = g_ptr_array_index(corners->corners, i);
    if (!corner->single)
      rise = fall = 0; /* a corner of the next supply scale */
    if (!corner_volts(corners, i, a, b, &volts))
      continue;
    out->low = MIN(out->low, volts);
    out->high = MAX(out->high, volts);
    if (!corner->single || !corner_volts(corners, corner->all_on, a, b, &all_on))
      continue;
    rise += MAX(volts - all_on, 0);
    fall += MAX(all_on - volts, 0);
    out->low = MIN(out->low, MAX(all_on - fall, 0));
    out->high = MAX(out->high, all_on + rise);
  }
}

static void
fill_reading(const Corners *corners, guint a, guint b, const char *purpose, ExpectedReading *out)
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
    widen_range(corners, a, b, out);
}

/* How a flying lead ends. */
typedef enum { LEAD_LANDED, LEAD_OPEN, LEAD_CAPPED } LeadEnd;

typedef struct {
  const Corners *corners;
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

/* The same pair again only takes over a lead's purpose, which says more than a probe's. */
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
    if (lead)
      g_array_index(lister->readings, ExpectedReading, listed - 1).purpose = purpose;
    return;
  }
  ExpectedReading reading;
  fill_reading(lister->corners, a, b, purpose, &reading);
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
                end == LEAD_CAPPED ? "capped lead to ground" : "loose lead to ground", true);
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
  Lister lister = {.corners = &corners,
                   .readings = readings,
                   .seen = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL)};
  count_landings(&lister);
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
    g_set_error(error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
                "One of the two points is not in the circuit; name two terminals, such as T1.X1.");
    return false;
  }
  Corners corners;
  bool solved = corners_solve(&corners, circuit, solution, variation, error);
  if (solved)
    fill_reading(&corners, a, b, "between two points", out);
  corners_clear(&corners);
  return solved;
}
