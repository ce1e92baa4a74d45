/* SPDX-License-Identifier: MIT */
#include "solve/internal.h"

#include "base/language.h"

#include <string.h>

void
session_init(SolveSession *session)
{
  *session = (SolveSession){0};
  klu_solver_init(&session->klu);
}

void
session_clear(SolveSession *session)
{
  topology_clear(&session->topology);
  equations_clear(&session->equations);
  klu_solver_clear(&session->klu);
  g_free(session->x);
  if (session->key != NULL)
    g_array_unref(session->key);
}

SolveSession *
solve_session_new(void)
{
  SolveSession *session = g_new(SolveSession, 1);
  session_init(session);
  return session;
}

void
solve_session_free(SolveSession *session)
{
  if (session == NULL)
    return;
  session_clear(session);
  g_free(session);
}

guint
solve_session_rebuilds(const SolveSession *session)
{
  return session->rebuilds;
}

guint
solve_session_reuses(const SolveSession *session)
{
  return session->refills;
}

/* ---- the key: everything the pattern depends on, values only by their class -------------------
 */

static void
key_add(GArray *key, guint a, guint b, guint class_)
{
  guint words[3] = {a, b, class_};
  g_array_append_vals(key, words, 3);
}

/* Class bit 4 of the item that comes next in the key, or of the same item in the old one: has it a
 * current of its own among the unknowns? A value near the limit keeps what it had: crossing it by a
 * little costs no digits, a new pattern costs the whole reuse. */
#define OWN_ROW 4U
static guint
own_row(const GArray *key, const GArray *old, double siemens)
{
  double limit = 1 / BRANCH_OHMS;
  if (old != NULL)
    limit *= g_array_index(old, guint, key->len + 2) & OWN_ROW ? 0.1 : 10;
  return siemens > limit ? OWN_ROW : 0;
}

static guint
impedance_class(const GArray *key, const GArray *old, const Impedance *impedance)
{
  if (view_impedance_is_tie(impedance))
    return 0;
  if (!view_impedance_conducts(impedance))
    return 1;
  return 2 + own_row(key, old, 1 / cabs(impedance->z));
}

static void
key_linear(GArray *key, const CircuitView *view, const GArray *old)
{
  for (guint i = 0; i < view->n_joins; i++)
    key_add(key, view->joins[i].a, view->joins[i].b, 0);
  for (guint i = 0; i < view->n_impedances; i++)
    key_add(key, view->impedances[i].a, view->impedances[i].b,
            impedance_class(key, old, &view->impedances[i]));
  for (guint i = 0; i < view->n_sources; i++) {
    const Source *source = &view->sources[i];
    key_add(key, source->a, source->b, (source->z == 0 ? 1U : 0U) + (source->emf == 0 ? 2U : 0U));
  }
  for (guint i = 0; i < view->n_cores; i++)
    key_add(key, 0, 0, view_core_saturates(view, i));
  for (guint i = 0; i < view->n_segments; i++)
    key_add(key, view->segments[i].a, view->segments[i].b, view->segments[i].core);
  for (guint i = 0; i < view->n_couplings; i++)
    key_add(key, view->couplings[i].first, view->couplings[i].second, 0);
}

static void
key_loads(GArray *key, const CircuitView *view, const GArray *old)
{
  for (guint i = 0; i < view->n_loads; i++)
    key_add(key, view->loads[i].a, view->loads[i].b,
            (view_load_conducts(view, i) ? 1U : 0U) + (view_load_is_port(view, i) ? 2U : 0U) +
                own_row(key, old, view_load_stiffness(view, i)));
  for (guint i = 0; i < view->n_coils; i++)
    key_add(key, view->coils[i].a, view->coils[i].b, view_coil_conducts(view, i));
  for (guint i = 0; i < view->n_motors; i++) {
    key_add(key, view->motors[i].a, view->motors[i].b, view->motors[i].c);
    key_add(key, 0, 0, view_motor_conducts(view, i));
  }
  for (guint i = 0; i < view->n_deltas; i++)
    key_add(key, view->deltas[i].a, view->deltas[i].b, view->deltas[i].c);
}

static void
key_counts(GArray *key, const CircuitView *view)
{
  key_add(key, view->n_nodes, view->n_joins, view->n_impedances);
  key_add(key, view->n_sources, view->n_cores, view->n_segments);
  key_add(key, view->n_couplings, view->n_loads, view->n_coils);
  key_add(key, view->n_motors, view->n_deltas, view->linear);
}

static bool
same_key(const GArray *a, const GArray *b, guint length)
{
  return a->len >= length && b->len >= length &&
         memcmp(a->data, b->data, length * sizeof(guint)) == 0;
}

/* old: key of the pattern at hand, or NULL. */
static GArray *
key_of(const CircuitView *view, const GArray *old)
{
  guint items = view->n_joins + view->n_impedances + view->n_sources + view->n_cores +
                view->n_segments + view->n_couplings + view->n_loads + view->n_coils +
                2 * view->n_motors + view->n_deltas;
  GArray *key = g_array_sized_new(FALSE, FALSE, sizeof(guint), 3 * items + 16);
  key_counts(key, view);
  if (old != NULL && !same_key(key, old, key->len)) /* with other counts items lie elsewhere */
    old = NULL;
  key_linear(key, view, old);
  key_loads(key, view, old);
  return key;
}

/* A source that closes a loop of ideal ones is judged by its volts: not by the pattern alone. */
static bool
volts_matter(const SolveSession *session)
{
  for (guint i = 0; i < session->view.n_sources; i++)
    if (session->topology.source_out[i])
      return true;
  return false;
}

void
session_start(SolveSession *session, const Circuit *circuit, bool linear, bool reuse)
{
  CircuitView view = view_of(circuit, linear);
  GArray *old = g_steal_pointer(&session->key);
  bool same = false;
  if (reuse && session->built && old != NULL && !volts_matter(session)) {
    session->key = key_of(&view, old);
    same = session->key->len == old->len && same_key(session->key, old, old->len);
  }
  if (reuse && !same) { /* the pattern to come is classed by the limits themselves */
    g_clear_pointer(&session->key, g_array_unref);
    session->key = key_of(&view, NULL);
  }
  session->built = same;
  session->view = view;
  g_clear_pointer(&old, g_array_unref);
}

/* ---- one state --------------------------------------------------------------------------------
 */

static bool
prepare(SolveSession *session, const DiscreteState *state)
{
  const CircuitView *view = &session->view;
  bool *closed = g_new(bool, MAX(view->n_joins, 1));
  topology_joins(view, state->pulled_in, closed);
  bool same = session->built &&
              memcmp(closed, session->topology.closed, view->n_joins * sizeof *closed) == 0;
  bool ready = true;
  if (same) {
    equations_refill(&session->equations, view, &session->topology, state);
    session->refills++;
  } else {
    session->built = false;
    topology_build(&session->topology, view, closed);
    equations_build(&session->equations, view, &session->topology, state);
    session->x = g_renew(Phasor, session->x, MAX(session->equations.n, 1));
    ready = klu_solver_analyze(&session->klu, &session->equations);
    session->built = ready;
    session->rebuilds++;
  }
  g_free(closed);
  return ready;
}

/* A core without any magnetizing branch whose windings carry nothing has no definite flux. Only
 * when the equations turn out singular do such cores get one, far below anything measurable. */
static bool
solve_with_excitation(SolveSession *session, const DiscreteState *state)
{
  bool any = false;
  for (guint i = 0; i < session->view.n_cores; i++)
    any |= view_core_admittance(&session->view, i) == 0;
  if (!any)
    return false;
  session->view.least_excitation = 1e-9;
  session->built = false;
  return prepare(session, state) &&
         newton_solve(&session->equations, &session->klu, session->x, &session->report);
}

bool
session_solve_state(SolveSession *session, const DiscreteState *state, GError **error)
{
  if (!prepare(session, state)) {
    g_set_error_literal(error, SOLVE_ERROR, SOLVE_ERROR_MEMORY,
                        _("There is not enough memory to solve this circuit; close other programs "
                          "or split the diagram."));
    return false;
  }
  if (newton_solve(&session->equations, &session->klu, session->x, &session->report) ||
      solve_with_excitation(session, state))
    return true;
  session->built = false;
  if (session->report.unsettled) {
    g_set_error_literal(
        error, SOLVE_ERROR, SOLVE_ERROR_UNTRUSTED,
        _("The loads and cores of this circuit did not settle on one voltage, so no "
          "reading is shown. Look for a load far too large for what feeds it."));
    return false;
  }
  g_set_error_literal(error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
                      _("The circuit has no single solution: two ideal parts fight each other or "
                        "one winding has no impedance. Give the supply its available fault current "
                        "and the transformer its regulation or impedance."));
  return false;
}

Phasor
session_net_volts(const SolveSession *session, guint net)
{
  int row = session->equations.net_row[net];
  return row < 0 ? 0 : session->x[row];
}

Phasor
session_volts(const SolveSession *session, guint a, guint b)
{
  const Topology *t = &session->topology;
  a = t->net_of_node[a];
  b = t->net_of_node[b];
  if (t->island_of_net[a] != t->island_of_net[b])
    return 0;
  return session_net_volts(session, a) - session_net_volts(session, b);
}

Solution *
solve_session_solve(SolveSession *session, const Circuit *circuit, const Solution *before,
                    GError **error)
{
  session_start(session, circuit, false, true);
  return session_finish(session, before, error);
}

/* Settles coils and contacts, then says what the solution means. */
Solution *
session_finish(SolveSession *session, const Solution *before, GError **error)
{
  DiscreteState state;
  discrete_state_init(&state, &session->view, before);
  CoilState *coils = g_new0(CoilState, MAX(session->view.n_coils, 1));
  Solution *solution = NULL;
  guint rounds = 0;
  if (coils_settle(session, &state, coils, &rounds, error)) {
    solution = solution_alloc(&session->view, &session->topology);
    g_free(solution->coils);
    solution->coils = g_steal_pointer(&coils);
    solution->rounds = rounds;
    currents_fill(session, &state, solution);
    joints_fill(&session->view, &session->topology, solution);
    solution->trust.backward_error = session->report.backward_error;
    solution->trust.iterations = session->report.iterations;
    trust_measure(&session->view, solution);
    if (!trust_judge(&solution->trust, error)) {
      solution_free(solution);
      solution = NULL;
    }
  }
  g_free(coils);
  discrete_state_clear(&state);
  return solution;
}
