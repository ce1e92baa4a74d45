/* SPDX-License-Identifier: MIT */
/* What the unknowns mean: volts of nets and the current of every branch. Currents of sources,
 * segments and small impedances come from their own unknowns: (E - v)/Z would cancel. */
#include "solve/internal.h"

#include <math.h>

static Phasor
unknown(const SolveSession *session, int row)
{
  return row < 0 ? 0 : session->x[row];
}

static void
fill_volts(const SolveSession *session, Solution *solution)
{
  for (guint i = 0; i < solution->n_nets; i++)
    solution->net_volts[i] = session_net_volts(session, i);
  for (guint i = 0; i < session->view.n_cores; i++)
    solution->core_flux[i] = unknown(session, session->equations.core_row[i]);
}

static void
fill_branches(const SolveSession *session, Solution *solution)
{
  const CircuitView *view = &session->view;
  const Equations *e = &session->equations;
  for (guint i = 0; i < view->n_impedances; i++) {
    const Impedance *impedance = &view->impedances[i];
    if (e->impedance_row[i] >= 0)
      solution->impedance_amps[i] = session->x[e->impedance_row[i]];
    else if (!view_impedance_is_tie(impedance) && view_impedance_conducts(impedance))
      solution->impedance_amps[i] =
          session_volts(session, impedance->a, impedance->b) / impedance->z;
  }
  for (guint i = 0; i < view->n_sources; i++) {
    solution->source_bad[i] = session->topology.source_bad[i];
    solution->source_amps[i] =
        solution->source_bad[i] ? (Phasor)HUGE_VAL : unknown(session, e->source_row[i]);
  }
  solution->n_bad_sources = session->topology.n_bad_sources;
  for (guint i = 0; i < view->n_segments; i++)
    solution->segment_amps[i] = unknown(session, e->segment_row[i]);
}

static void
fill_load(const SolveSession *session, guint i, Solution *solution)
{
  const CircuitView *view = &session->view;
  const Load *load = &view->loads[i];
  if (!view_load_conducts(view, i))
    return;
  Phasor volts = session_volts(session, load->a, load->b);
  Phasor y = view_load_admittance(view, i);
  if (view_load_is_port(view, i)) {
    Port port = {0};
    Phasor slope;
    port_from_load(&port, load);
    port_admittance(&port, cabs(volts), 1, &y, &slope);
    solution->load_outside[i] = volts != 0 && (cabs(volts) < port.low || cabs(volts) > port.high);
  }
  int branch = session->equations.load_row[i];
  solution->load_amps[i] = branch >= 0 ? session->x[branch] : y * volts;
}

static void
fill_three(const SolveSession *session, const guint *nodes, Phasor (*y)[3], Phasor *amps)
{
  /* Rows sum to zero, so volts to the first node serve as well as volts to the reference. */
  Phasor volts[3] = {0, session_volts(session, nodes[1], nodes[0]),
                     session_volts(session, nodes[2], nodes[0])};
  for (int i = 0; i < 3; i++)
    amps[i] = y[i][0] * volts[0] + y[i][1] * volts[1] + y[i][2] * volts[2];
}

static void
fill_users(const SolveSession *session, const DiscreteState *state, Solution *solution)
{
  const CircuitView *view = &session->view;
  Phasor y[3][3];
  for (guint i = 0; i < view->n_loads; i++)
    fill_load(session, i, solution);
  for (guint i = 0; i < view->n_coils; i++)
    if (view_coil_conducts(view, i))
      solution->coil_amps[i] = view_coil_admittance(view, i, state->pulled_in[i]) *
                               session_volts(session, view->coils[i].a, view->coils[i].b);
  for (guint i = 0; i < view->n_motors; i++)
    if (view_motor_conducts(view, i)) {
      const Motor *motor = &view->motors[i];
      view_motor_matrix(motor, state->backwards[i], y);
      fill_three(session, (guint[]){motor->a, motor->b, motor->c}, y, &solution->motor_amps[3 * i]);
      solution->motor_backwards[i] = state->backwards[i];
    }
  for (guint i = 0; i < view->n_deltas; i++) {
    const DeltaLoad *delta = &view->deltas[i];
    const Topology *t = &session->topology;
    view_delta_matrix(delta, !t->grounded[t->island_of_net[t->net_of_node[delta->a]]], y);
    fill_three(session, (guint[]){delta->a, delta->b, delta->c}, y, &solution->delta_amps[3 * i]);
  }
}

/* A source may reach an island on paper only: one pole open, a winding on a core nothing drives.
 * An island without a source of its own in which every net stands at the same volts is dead. */
static void
find_unfed_islands(const SolveSession *session, Solution *solution)
{
  const Topology *t = &session->topology;
  bool *fed = g_new0(bool, MAX(t->n_islands, 1));
  for (guint i = 0; i < session->view.n_sources; i++)
    if (!t->source_out[i] && view_emf(&session->view, i) != 0)
      fed[t->island_of_net[t->net_of_node[session->view.sources[i].a]]] = true;
  for (guint i = 0; i < solution->n_nets; i++)
    fed[t->island_of_net[i]] |= fabs(creal(solution->net_volts[i])) > SOLVE_ZERO_VOLTS ||
                                fabs(cimag(solution->net_volts[i])) > SOLVE_ZERO_VOLTS;
  for (guint i = 0; i < t->n_islands; i++)
    g_array_index(solution->islands, Island, i).live = t->live[i] && fed[i];
  g_free(fed);
}

void
currents_fill(const SolveSession *session, const DiscreteState *state, Solution *solution)
{
  fill_volts(session, solution);
  find_unfed_islands(session, solution);
  fill_branches(session, solution);
  fill_users(session, state, solution);
}
