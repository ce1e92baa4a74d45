/* SPDX-License-Identifier: MIT */
#include "solve/internal.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

/* What an island stands at counts as earth's own potential below this: a grounding conductor
 * carries millivolts, not volts. */
#define EARTHY_VOLTS 0.5

G_DEFINE_QUARK(doorsheet - solve - error - quark, solve_error)

Solution *
solution_alloc(const CircuitView *view, const Topology *t)
{
  Solution *s = g_new0(Solution, 1);
  s->circuit = view->circuit;
  s->n_nets = t->n_nets;
  s->net_of_node = g_memdup2(t->net_of_node, view->n_nodes * sizeof *t->net_of_node);
  s->island_of_net = g_memdup2(t->island_of_net, t->n_nets * sizeof *t->island_of_net);
  s->net_volts = g_new0(Phasor, MAX(t->n_nets, 1));
  s->islands = g_array_sized_new(FALSE, FALSE, sizeof(Island), t->n_islands);
  for (guint i = 0; i < t->n_islands; i++) {
    Island island = {.grounded = t->grounded[i], .live = t->live[i]};
    g_array_append_val(s->islands, island);
  }
  s->join_closed = g_new0(bool, MAX(view->n_joins, 1));
  s->join_amps = g_new0(Phasor, MAX(view->n_joins, 1));
  s->join_split_assumed = g_new0(bool, MAX(view->n_joins, 1));
  s->impedance_amps = g_new0(Phasor, MAX(view->n_impedances, 1));
  s->source_amps = g_new0(Phasor, MAX(view->n_sources, 1));
  s->load_amps = g_new0(Phasor, MAX(view->n_loads, 1));
  s->segment_amps = g_new0(Phasor, MAX(view->n_segments, 1));
  s->coil_amps = g_new0(Phasor, MAX(view->n_coils, 1));
  s->motor_amps = g_new0(Phasor, 3 * (gsize)MAX(view->n_motors, 1));
  s->core_flux = g_new0(Phasor, MAX(view->n_cores, 1));
  s->coils = g_new0(CoilState, MAX(view->n_coils, 1));
  s->load_outside = g_new0(bool, MAX(view->n_loads, 1));
  s->source_bad = g_new0(bool, MAX(view->n_sources, 1));
  s->motor_backwards = g_new0(bool, MAX(view->n_motors, 1));
  s->delta_amps = g_new0(Phasor, 3 * (gsize)MAX(view->n_deltas, 1));
  return s;
}

void
solution_free(Solution *s)
{
  if (s == NULL)
    return;
  g_array_unref(s->islands);
  gpointer owned[] = {
      s->net_of_node,        s->island_of_net,   s->net_volts,   s->join_closed, s->join_amps,
      s->join_split_assumed, s->impedance_amps,  s->source_amps, s->load_amps,   s->segment_amps,
      s->coil_amps,          s->motor_amps,      s->core_flux,   s->coils,       s->load_outside,
      s->source_bad,         s->motor_backwards, s->delta_amps};
  for (gsize i = 0; i < G_N_ELEMENTS(owned); i++)
    g_free(owned[i]);
  g_free(s);
}

Solution *
solution_new_warm(const Circuit *circuit, const Solution *before, GError **error)
{
  SolveSession session;
  session_init(&session);
  session_start(&session, circuit, false, false);
  Solution *solution = session_finish(&session, before, error);
  session_clear(&session);
  return solution;
}

Solution *
solution_new(const Circuit *circuit, GError **error)
{
  return solution_new_warm(circuit, NULL, error);
}

/* ---- readings -------------------------------------------------------------------------------- */

static const Island *
island_of(const Solution *s, guint node)
{
  return &g_array_index(s->islands, Island, s->island_of_net[s->net_of_node[node]]);
}

/* At or near earth's potential: the other point of a reading against something dead. */
static bool
earthy(const Solution *s, guint node)
{
  return island_of(s, node)->grounded && cabs(s->net_volts[s->net_of_node[node]]) < EARTHY_VOLTS;
}

/* The load side of an open switch hangs on earth through its load: no source reaches it. */
static bool
at_earth(const Solution *s, guint net)
{
  return g_array_index(s->islands, Island, s->island_of_net[net]).grounded &&
         cabs(s->net_volts[net]) < SOLVE_ZERO_VOLTS;
}

static ReadingState
state_across_islands(const Solution *s, guint a, guint b)
{
  const Island *first = island_of(s, a), *second = island_of(s, b);
  bool dead_a = !first->live || earthy(s, a), dead_b = !second->live || earthy(s, b);
  if (dead_a && dead_b)
    return READING_DEAD;
  bool floats = (first->live && !first->grounded) || (second->live && !second->grounded);
  return floats && (first->grounded || second->grounded) ? READING_FLOATING : READING_UNDEFINED;
}

Reading
solution_reading(const Solution *s, guint a, guint b)
{
  Reading reading = {.state = READING_UNDEFINED};
  guint n = s->circuit->n_nodes;
  if (a >= n || b >= n)
    return reading;
  guint net_a = s->net_of_node[a], net_b = s->net_of_node[b];
  if (s->island_of_net[net_a] != s->island_of_net[net_b]) {
    reading.state = state_across_islands(s, a, b);
  } else {
    bool live = island_of(s, a)->live && !(at_earth(s, net_a) && at_earth(s, net_b));
    reading.state = live ? READING_LIVE : READING_DEAD;
    reading.volts = live ? s->net_volts[net_a] - s->net_volts[net_b] : 0;
  }
  return reading;
}

Reading
solution_to_earth(const Solution *s, guint node)
{
  return solution_reading(s, node, 0);
}

bool
solution_same_net(const Solution *s, guint a, guint b)
{
  guint n = s->circuit->n_nodes;
  return a < n && b < n && s->net_of_node[a] == s->net_of_node[b];
}

const char *
reading_state_word(ReadingState state)
{
  static const char *const words[] = {[READING_LIVE] = N_("live"),
                                      [READING_DEAD] = N_("dead"),
                                      [READING_FLOATING] = N_("floating"),
                                      [READING_UNDEFINED] = N_("undefined")};
  return (guint)state < G_N_ELEMENTS(words) ? _(words[state]) : _(words[READING_UNDEFINED]);
}
