/* SPDX-License-Identifier: MIT */
/* What an energized diagram shows beside the volts in figures: heavier lines for higher potentials,
 * and which parts are dead, so that the canvas can let them fade. */
#include "figure/figure_draw.h"

#include <complex.h>
#include <math.h>

/* Below this nothing flows (common practice, no source): leakage of the solution's own rounding is
 * many powers of ten smaller. */
#define FLOWS_AMPS 0.001

struct FigurePower {
  const Solution *solution; /* borrowed */
  guint n_conductors;
  double *amps; /* by conductor */
  bool *busy;   /* by net: a conductor that carries current ends on it */
};

/* By eye: each step is seen without measuring, and the heaviest still leaves room between lines on
 * neighbouring grid points. 30 V is where class 2 circuits end (NFPA 70 chapter 9 table 11,
 * from memory); 150 V and 300 V to ground are where rules of the same change. */
double
figure_weight(const Reading *reading)
{
  if (reading->state != READING_LIVE)
    return 1;
  double volts = cabs(reading->volts);
  return volts <= 30 ? 1 : volts <= 150 ? 1.25 : volts <= 300 ? 1.5 : 1.75;
}

static void
note_flow(FigurePower *power, const Owner *owner, Phasor amps, guint a, guint b)
{
  if (owner->kind != OWNER_CONDUCTOR || owner->index >= power->n_conductors)
    return;
  double size = cabs(amps); /* infinite in a dead short: that flows too */
  if (!(size >= FLOWS_AMPS))
    return;
  power->amps[owner->index] = MAX(power->amps[owner->index], size);
  power->busy[power->solution->net_of_node[a]] = true;
  power->busy[power->solution->net_of_node[b]] = true;
}

FigurePower *
figure_power_new(const Document *document, const Solution *solution)
{
  FigurePower *power = g_new0(FigurePower, 1);
  power->solution = solution;
  power->n_conductors = document_conductor_count(document);
  power->amps = g_new0(double, power->n_conductors + 1);
  power->busy = g_new0(bool, solution->n_nets + 1);
  const Circuit *circuit = solution->circuit;
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = &g_array_index(circuit->joins, Join, i);
    note_flow(power, &join->owner, solution->join_amps[i], join->a, join->b);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = &g_array_index(circuit->impedances, Impedance, i);
    note_flow(power, &impedance->owner, solution->impedance_amps[i], impedance->a, impedance->b);
  }
  return power;
}

void
figure_power_free(FigurePower *power)
{
  if (power == NULL)
    return;
  g_free(power->amps);
  g_free(power->busy);
  g_free(power);
}

static bool
node_is_dead(const FigurePower *power, guint node)
{
  Reading reading;
  return node < power->solution->circuit->n_nodes &&
         !figure_reading_to_earth(power->solution, node, &reading);
}

bool
figure_power_is_dead_conductor(const FigurePower *power, const Document *document, guint index)
{
  if (index >= power->n_conductors || power->amps[index] > 0)
    return false;
  const Conductor *conductor = document_conductor(document, index);
  const Circuit *circuit = power->solution->circuit;
  return node_is_dead(power, circuit_node_of_landing(circuit, &conductor->from)) &&
         node_is_dead(power, circuit_node_of_landing(circuit, &conductor->to));
}

bool
figure_power_is_dead_device(const FigurePower *power, const Document *document, guint index)
{
  const Device *device = document_device(document, index);
  guint n = device_terminal_count(device);
  for (guint t = 0; t < n; t++) {
    guint node = circuit_node(power->solution->circuit, index, t);
    if (!node_is_dead(power, node) || power->busy[power->solution->net_of_node[node]])
      return false;
  }
  return n > 0; /* an outline is neither live nor dead */
}
