/* SPDX-License-Identifier: MIT */
#include "solve/saturation.h"

#include "base/language.h"

#include "solve/internal.h"
#include <math.h>

#define VOLTS_SHARE 0.05
#define AMPS_SHARE 0.2

struct Saturation {
  Circuit circuit; /* a shallow copy; cores and joins are its own */
  GArray *cores, *joins;
  Solution *straight;
};

static double
beyond_knee(const Circuit *circuit, const Solution *solution, guint core)
{
  const Core *c = circuit_item(circuit->cores, Core, core);
  if (c->knee <= 0 || c->saturated_susceptance <= 0)
    return 0;
  return cabs(solution->core_flux[core]) / c->knee - 1;
}

static bool
any_beyond(const Circuit *circuit, const Solution *solution)
{
  for (guint i = 0; i < circuit->cores->len; i++)
    if (beyond_knee(circuit, solution, i) > 0)
      return true;
  return false;
}

Saturation *
saturation_new(const Circuit *circuit, const Solution *solution)
{
  if (!any_beyond(circuit, solution))
    return NULL;
  Saturation *saturation = g_new0(Saturation, 1);
  saturation->circuit = *circuit;
  saturation->circuit.cores = saturation->cores = g_array_copy(circuit->cores);
  saturation->circuit.joins = saturation->joins = g_array_copy(circuit->joins);
  for (guint i = 0; i < saturation->cores->len; i++)
    circuit_item(saturation->cores, Core, i)->knee = 0;
  /* Contacts stay where they are: the question is the iron's, not the relays'. */
  for (guint i = 0; i < saturation->joins->len; i++) {
    Join *join = circuit_item(saturation->joins, Join, i);
    join->closed = solution->join_closed[i];
    join->coil = -1;
  }
  saturation->straight = solution_new_warm(&saturation->circuit, solution, NULL);
  if (saturation->straight != NULL)
    return saturation;
  saturation_free(saturation);
  return NULL;
}

void
saturation_free(Saturation *saturation)
{
  if (saturation == NULL)
    return;
  solution_free(saturation->straight);
  g_array_unref(saturation->cores);
  g_array_unref(saturation->joins);
  g_free(saturation);
}

const Solution *
saturation_straight(const Saturation *saturation)
{
  return saturation != NULL ? saturation->straight : NULL;
}

bool
saturation_decides(Reading here, const Solution *straight, guint a, guint b)
{
  double other = cabs(solution_reading(straight, a, b).volts), volts = cabs(here.volts);
  return fabs(volts - other) > VOLTS_SHARE * MAX(volts, other) &&
         MAX(volts, other) > SOLVE_ZERO_VOLTS;
}

bool
saturation_decides_amps(Phasor here, Phasor straight)
{
  return cabs(here - straight) > AMPS_SHARE * MAX(cabs(here), cabs(straight));
}

char *
saturation_culprit(const Circuit *circuit, const Solution *solution, double *times_rated)
{
  guint worst = G_MAXUINT;
  double most = 0;
  for (guint i = 0; i < circuit->cores->len; i++)
    if (beyond_knee(circuit, solution, i) > most) {
      most = beyond_knee(circuit, solution, i);
      worst = i;
    }
  *times_rated = 0;
  if (worst == G_MAXUINT)
    return NULL;
  for (guint i = 0; i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    if (segment->core == worst && segment->rated_amps > 0)
      *times_rated = MAX(*times_rated, cabs(solution->segment_amps[i]) / segment->rated_amps);
  }
  return circuit_owner_name(circuit, circuit_item(circuit->cores, Core, worst)->owner);
}

char *
saturation_text(double value, Unit unit)
{
  int digits = unit == UNIT_VOLT ? 2 : 1;
  if (value > 0 && isfinite(value)) {
    double step = pow(10, floor(log10(value)) - (digits - 1));
    value = round(value / step) * step;
  }
  g_autofree char *text = quantity_display(value, unit, digits);
  return g_strdup_printf(_("about %s"), text);
}
