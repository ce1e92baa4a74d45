/* SPDX-License-Identifier: MIT */
#include "solve/fault.h"

#include "solve/internal.h"

#include <math.h>
#include <string.h>

/* Below it only rounding is left of an ideal source's impedance: 480 V would drive 5e11 A. */
#define IDEAL_OHMS 1e-9

struct FaultStudy {
  SolveSession session;
  Phasor *x; /* for the impedance solutions */
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
  g_free(study);
}

Phasor
fault_study_impedance(FaultStudy *study, guint a, guint b)
{
  SolveSession *session = &study->session;
  Equations *e = &session->equations;
  const Topology *t = &session->topology;
  guint net_a = t->net_of_node[a], net_b = t->net_of_node[b];
  if (net_a == net_b || t->island_of_net[net_a] != t->island_of_net[net_b])
    return 0;
  int row_a = e->net_row[net_a], row_b = e->net_row[net_b];
  Phasor *kept = e->b;
  e->b = g_new0(Phasor, MAX(e->n, 1));
  if (row_a >= 0)
    e->b[row_a] = 1;
  if (row_b >= 0)
    e->b[row_b] = -1;
  klu_solver_refined(&session->klu, e, study->x);
  g_free(e->b);
  e->b = kept;
  return (row_a >= 0 ? study->x[row_a] : 0) - (row_b >= 0 ? study->x[row_b] : 0);
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
