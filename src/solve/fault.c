/* SPDX-License-Identifier: MIT */
#include "solve/fault.h"

#include "solve/internal.h"

#include <math.h>
#include <string.h>

/* Below it only rounding is left of an ideal source's impedance: 480 V would drive 5e11 A. */
#define IDEAL_OHMS 1e-9

struct FaultStudy {
  SolveSession session;
  Phasor *x;     /* for the impedance solutions */
  guint *parent; /* per unknown: union-find of what hangs together; NULL until asked for */
};

static void
copy_state(DiscreteState *state, const CircuitView *view, const Solution *before)
{
  for (guint i = 0; i < view->n_coils; i++)
    state->pulled_in[i] = before->coils[i].pulled_in;
  for (guint i = 0; i < view->n_motors; i++)
    state->backwards[i] = before->motor_backwards[i];
}

FaultStudy *
fault_study_new(const Circuit *circuit, const Solution *before, GError **error)
{
  g_autoptr(Solution) own = NULL;
  if (before == NULL) {
    own = solution_new(circuit, error);
    if (own == NULL)
      return NULL;
    before = own;
  }
  FaultStudy *study = g_new0(FaultStudy, 1);
  session_init(&study->session);
  session_start(&study->session, circuit, true, false);
  DiscreteState state;
  discrete_state_init(&state, &study->session.view, NULL);
  copy_state(&state, &study->session.view, before);
  bool solved = session_solve_state(&study->session, &state, error);
  discrete_state_clear(&state);
  if (!solved) {
    fault_study_free(study);
    return NULL;
  }
  study->x = g_new(Phasor, MAX(study->session.equations.n, 1));
  return study;
}

void
fault_study_free(FaultStudy *study)
{
  if (study == NULL)
    return;
  session_clear(&study->session);
  g_free(study->x);
  g_free(study->parent);
  g_free(study);
}

/* The unknowns of two nodes, -1 for earth; false where there is no impedance between them. */
static bool
rows_of(const FaultStudy *study, FaultPair pair, int rows[2])
{
  const Topology *t = &study->session.topology;
  guint net_a = t->net_of_node[pair.a], net_b = t->net_of_node[pair.b];
  if (net_a == net_b || t->island_of_net[net_a] != t->island_of_net[net_b])
    return false;
  rows[0] = study->session.equations.net_row[net_a];
  rows[1] = study->session.equations.net_row[net_b];
  return true;
}

/* Which unknowns have equations in common: an ampere sent through one network does not change a
 * volt in another. */
static void
find_networks(FaultStudy *study)
{
  const Equations *e = &study->session.equations;
  study->parent = g_new(guint, MAX(e->n, 1));
  for (int i = 0; i < e->n; i++)
    study->parent[i] = (guint)i;
  for (int j = 0; j < e->n; j++)
    for (int p = e->ap[j]; p < e->ap[j + 1]; p++)
      union_join(study->parent, (guint)j, (guint)e->ai[p]);
}

/* The round of each pair: its number among those of its network. Returns how many rounds. */
static guint
deal_rounds(FaultStudy *study, const FaultPair *pairs, guint n, guint *round)
{
  int rows[2];
  guint most = 0;
  for (guint i = 0; i < n; i++) /* the two ends of a pair are never solved apart */
    if (rows_of(study, pairs[i], rows) && rows[0] >= 0 && rows[1] >= 0)
      union_join(study->parent, (guint)rows[0], (guint)rows[1]);
  g_autofree guint *used = g_new0(guint, MAX(study->session.equations.n, 1));
  for (guint i = 0; i < n; i++) {
    round[i] = G_MAXUINT;
    if (!rows_of(study, pairs[i], rows) || MAX(rows[0], rows[1]) < 0)
      continue;
    round[i] = used[union_find(study->parent, (guint)MAX(rows[0], rows[1]))]++;
    most = MAX(most, round[i] + 1);
  }
  return most;
}

static void
solve_round(FaultStudy *study, const FaultPair *pairs, guint n, const guint *round, guint now,
            Phasor *ohms)
{
  Equations *e = &study->session.equations;
  int rows[2];
  memset(e->b, 0, (gsize)e->n * sizeof *e->b);
  for (guint i = 0; i < n; i++)
    for (int k = 0; k < 2 && round[i] == now && rows_of(study, pairs[i], rows); k++)
      if (rows[k] >= 0)
        e->b[rows[k]] = k == 0 ? 1 : -1;
  klu_solver_refined(&study->session.klu, e, study->x);
  for (guint i = 0; i < n; i++)
    if (round[i] == now && rows_of(study, pairs[i], rows))
      ohms[i] = (rows[0] >= 0 ? study->x[rows[0]] : 0) - (rows[1] >= 0 ? study->x[rows[1]] : 0);
}

void
fault_study_impedances(FaultStudy *study, const FaultPair *pairs, guint n, Phasor *ohms)
{
  Equations *e = &study->session.equations;
  Phasor *kept = e->b;
  e->b = g_new0(Phasor, MAX(e->n, 1));
  if (study->parent == NULL)
    find_networks(study);
  g_autofree guint *round = g_new(guint, MAX(n, 1));
  guint rounds = deal_rounds(study, pairs, n, round);
  for (guint i = 0; i < n; i++)
    ohms[i] = 0;
  for (guint now = 0; now < rounds; now++)
    solve_round(study, pairs, n, round, now, ohms);
  g_free(e->b);
  e->b = kept;
}

Phasor
fault_study_impedance(FaultStudy *study, guint a, guint b)
{
  const FaultPair pair = {a, b};
  Phasor ohms;
  fault_study_impedances(study, &pair, 1, &ohms);
  return ohms;
}

Phasor
fault_study_volts(const FaultStudy *study, guint a, guint b)
{
  return session_volts(&study->session, a, b);
}

double
fault_study_amps(FaultStudy *study, guint a, guint b)
{
  const Topology *t = &study->session.topology;
  guint n = study->session.view.n_nodes;
  if (a >= n || b >= n)
    return NAN;
  guint net_a = t->net_of_node[a], net_b = t->net_of_node[b];
  if (net_a == net_b)
    return 0;
  guint island = t->island_of_net[net_a];
  if (t->island_of_net[net_b] != island)
    return NAN;
  if (!t->live[island])
    return 0;
  double volts =
      cabs(session_net_volts(&study->session, net_a) - session_net_volts(&study->session, net_b));
  double ohms = cabs(fault_study_impedance(study, a, b));
  if (ohms > IDEAL_OHMS)
    return volts / ohms;
  return volts > 1e-6 ? HUGE_VAL : 0.0;
}

double
solution_fault_amps(const Circuit *circuit, guint a, guint b)
{
  FaultStudy *study = fault_study_new(circuit, NULL, NULL);
  double amps = NAN;
  if (study != NULL)
    amps = fault_study_amps(study, a, b);
  fault_study_free(study);
  return amps;
}
