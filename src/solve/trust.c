/* SPDX-License-Identifier: MIT */
/* The evidence for a solution, from its public numbers alone: does the power that sources give
 * equal the power that is used, and do the currents at every net add up to nothing. */
#include "solve/internal.h"

#include "base/language.h"

#include <float.h>
#include <math.h>

#define BACKWARD_LIMIT 1e-9
#define BALANCE_LIMIT 1e-6
#define GUARD 1e-6 /* ampere, volt-ampere: below it a dead circuit's rounding would be judged */

typedef struct {
  const CircuitView *view;
  const Solution *solution;
  Phasor *sums;    /* per net: current leaving into branches */
  double *largest; /* per net */
  double *noise;   /* per net: what rounding may leave there, ampere */
  Phasor given, used;
  double traffic; /* sum of all |volt-amperes| given */
  double noise2;  /* square of the power that rounding may leave */
} Ledger;

static double
size_of(Phasor z)
{
  return fabs(creal(z)) + fabs(cimag(z));
}

static void
flow(Ledger *l, guint node, Phasor amps)
{
  guint net = l->solution->net_of_node[node];
  double size = size_of(amps);
  l->sums[net] += amps;
  if (size > l->largest[net])
    l->largest[net] = size;
}

static Phasor
volts_of(const Ledger *l, guint node)
{
  return l->solution->net_volts[l->solution->net_of_node[node]];
}

/* Volts are known to their last bit at best, and through a small impedance that bit is a current:
 * in a stiff supply that feeds nothing it is all there is. A balance off by no more than that is
 * just within its limit. */
static void
rounding(Ledger *l, guint a, guint b, double extra_volts, double siemens)
{
  double volts = size_of(volts_of(l, a)) + size_of(volts_of(l, b)) + extra_volts;
  double noise = isfinite(siemens) ? 4 * DBL_EPSILON * volts * siemens : 0;
  l->noise[l->solution->net_of_node[a]] += noise;
  l->noise[l->solution->net_of_node[b]] += noise;
  l->noise2 += noise * volts * noise * volts;
}

/* A branch from a to b that uses what it takes in. */
static void
branch(Ledger *l, guint a, guint b, Phasor amps, double siemens)
{
  rounding(l, a, b, 0, siemens);
  flow(l, a, amps);
  flow(l, b, -amps);
  l->used += (volts_of(l, a) - volts_of(l, b)) * conj(amps);
}

static void
account_sources(Ledger *l)
{
  const CircuitView *view = l->view;
  for (guint i = 0; i < view->n_sources; i++) {
    const Source *source = &view->sources[i];
    Phasor amps = l->solution->source_amps[i];
    if (l->solution->source_bad[i])
      continue;
    Phasor power = view_emf(view, i) * conj(amps);
    rounding(l, source->a, source->b, size_of(view_emf(view, i)), 1 / cabs(source->z));
    flow(l, source->a, -amps);
    flow(l, source->b, amps);
    l->given += power;
    l->traffic += cabs(power);
    l->used += source->z * (creal(amps) * creal(amps) + cimag(amps) * cimag(amps));
  }
}

static Phasor
core_admittance(const CircuitView *view, guint core, double flux)
{
  if (!view_core_saturates(view, core))
    return view_core_admittance(view, core);
  Port port = {0};
  Phasor y, slope;
  port_from_core(&port, &view->cores[core]);
  port_admittance(&port, flux, 1, &y, &slope);
  return y;
}

static void
account_transformers(Ledger *l)
{
  const CircuitView *view = l->view;
  for (guint i = 0; i < view->n_segments; i++) {
    const Segment *segment = &view->segments[i];
    Phasor amps = l->solution->segment_amps[i];
    rounding(l, segment->a, segment->b,
             segment->turns * size_of(l->solution->core_flux[segment->core]), 1 / cabs(segment->z));
    flow(l, segment->a, amps);
    flow(l, segment->b, -amps);
    l->used += segment->z * (creal(amps) * creal(amps) + cimag(amps) * cimag(amps));
  }
  for (guint i = 0; i < view->n_cores; i++) {
    double flux = cabs(l->solution->core_flux[i]);
    l->used += flux * flux * conj(core_admittance(view, i, flux));
  }
}

static void
three(Ledger *l, guint a, guint b, guint c, const Phasor *amps)
{
  guint nodes[3] = {a, b, c};
  for (int k = 0; k < 3; k++) {
    flow(l, nodes[k], amps[k]);
    l->used += volts_of(l, nodes[k]) * conj(amps[k]);
  }
}

/* What does not cancel returns through earth: see view_delta_matrix. */
static void
account_delta(Ledger *l, const DeltaLoad *delta, const Phasor *amps)
{
  three(l, delta->a, delta->b, delta->c, amps);
  guint island = l->solution->island_of_net[l->solution->net_of_node[delta->a]];
  if (g_array_index(l->solution->islands, Island, island).grounded)
    flow(l, 0, -(amps[0] + amps[1] + amps[2]));
}

static void
account_users(Ledger *l)
{
  const CircuitView *view = l->view;
  const Solution *s = l->solution;
  for (guint i = 0; i < view->n_impedances; i++)
    if (!view_impedance_is_tie(&view->impedances[i]))
      branch(l, view->impedances[i].a, view->impedances[i].b, s->impedance_amps[i],
             1 / cabs(view->impedances[i].z));
  for (guint i = 0; i < view->n_loads; i++)
    branch(l, view->loads[i].a, view->loads[i].b, s->load_amps[i],
           size_of(view_load_admittance(view, i)));
  for (guint i = 0; i < view->n_coils; i++)
    branch(l, view->coils[i].a, view->coils[i].b, s->coil_amps[i],
           size_of(view_coil_admittance(view, i, false)));
  for (guint i = 0; i < view->n_motors; i++)
    three(l, view->motors[i].a, view->motors[i].b, view->motors[i].c, &s->motor_amps[3 * i]);
  for (guint i = 0; i < view->n_deltas; i++)
    account_delta(l, &view->deltas[i], &s->delta_amps[3 * i]);
}

void
trust_measure(const CircuitView *view, Solution *solution)
{
  gsize n = MAX(solution->n_nets, 1);
  Ledger l = {.view = view, .solution = solution};
  l.sums = g_new0(Phasor, n);
  l.largest = g_new0(double, 2 * n);
  l.noise = l.largest + n;
  account_sources(&l);
  account_transformers(&l);
  account_users(&l);
  solution->trust.power_balance =
      cabs(l.given - l.used) / (l.traffic + GUARD + sqrt(l.noise2) / BALANCE_LIMIT);
  solution->trust.current_balance = 0;
  for (guint i = 0; i < solution->n_nets; i++) {
    double part = size_of(l.sums[i]) / (l.largest[i] + GUARD + l.noise[i] / BALANCE_LIMIT);
    if (!(part <= solution->trust.current_balance)) /* not a number counts as worst */
      solution->trust.current_balance = part;
  }
  g_free(l.sums);
  g_free(l.largest);
}

bool
trust_judge(Trust *trust, GError **error)
{
  trust->trusted = trust->backward_error <= BACKWARD_LIMIT &&
                   trust->power_balance <= BALANCE_LIMIT && trust->current_balance <= BALANCE_LIMIT;
  if (trust->trusted)
    return true;
  const double values[] = {trust->backward_error, BACKWARD_LIMIT, trust->power_balance,
                           trust->current_balance, BALANCE_LIMIT};
  char texts[G_N_ELEMENTS(values)][G_ASCII_DTOSTR_BUF_SIZE];
  for (guint i = 0; i < G_N_ELEMENTS(values); i++)
    g_ascii_formatd(texts[i], G_ASCII_DTOSTR_BUF_SIZE, i == 1 || i == 4 ? "%.0e" : "%.1e",
                    values[i]);
  g_set_error(error, SOLVE_ERROR, SOLVE_ERROR_UNTRUSTED,
              _("The circuit was solved, but not well enough to show a reading: backward error "
                "%s (at most %s), power balance %s and current balance %s (at most %s). "
                "Look for impedances or ratings of wildly different size."),
              texts[0], texts[1], texts[2], texts[3], texts[4]);
  return false;
}
