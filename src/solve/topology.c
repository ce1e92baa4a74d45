/* SPDX-License-Identifier: MIT */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

#define NONE G_MAXUINT

/* Numbers the sets in order of their lowest member; returns how many. Changes nothing in parent. */
static guint
number_sets(guint *parent, guint n, guint *number)
{
  guint count = 0;
  for (guint i = 0; i < n; i++) {
    guint root = union_find(parent, i);
    number[i] = root == i ? count++ : number[root];
  }
  return count;
}

void
topology_joins(const CircuitView *view, const bool *pulled_in, bool *closed)
{
  bool locked = view->circuit->options.locked_out;
  for (guint i = 0; i < view->n_joins; i++) {
    const Join *join = &view->joins[i];
    bool worked = join->coil >= 0 && (guint)join->coil < view->n_coils && pulled_in[join->coil];
    closed[i] = (join->closed != worked) && !(locked && join->lockable);
  }
}

static void
merge_nodes(Topology *t, const CircuitView *view)
{
  guint *parent = union_singletons(view->n_nodes);
  for (guint i = 0; i < view->n_joins; i++)
    if (t->closed[i])
      union_join(parent, view->joins[i].a, view->joins[i].b);
  for (guint i = 0; i < view->n_impedances; i++)
    if (view_impedance_is_tie(&view->impedances[i]))
      union_join(parent, view->impedances[i].a, view->impedances[i].b);
  t->net_of_node = g_new(guint, MAX(view->n_nodes, 1));
  t->n_nets = number_sets(parent, view->n_nodes, t->net_of_node);
  g_free(parent);
}

/* Root of a net in the forest of ideal sources, with the volts of the net above its root. */
static guint
find_potential(guint *parent, Phasor *above, guint net)
{
  guint root = net;
  Phasor total = 0;
  while (parent[root] != root) {
    total += above[root];
    root = parent[root];
  }
  while (parent[net] != root && net != root) {
    guint up = parent[net];
    Phasor rest = total - above[net];
    above[net] = total;
    parent[net] = root;
    total = rest;
    net = up;
  }
  return root;
}

/* A loop of ideal sources has no solution unless its volts add up to zero, and then no definite
 * current. The source that closes a loop is left out; it is bad when the volts do not add up. */
static void
leave_out_sources(Topology *t, const CircuitView *view)
{
  t->source_out = g_new0(bool, MAX(view->n_sources, 1));
  t->source_bad = g_new0(bool, MAX(view->n_sources, 1));
  t->n_bad_sources = 0;
  guint *parent = NULL;
  Phasor *above = NULL;
  for (guint i = 0; i < view->n_sources; i++) {
    const Source *source = &view->sources[i];
    if (source->z != 0)
      continue;
    if (parent == NULL) {
      parent = union_singletons(t->n_nets);
      above = g_new0(Phasor, MAX(t->n_nets, 1));
    }
    guint a = t->net_of_node[source->a], b = t->net_of_node[source->b];
    guint root_a = find_potential(parent, above, a), root_b = find_potential(parent, above, b);
    Phasor volts_a = a == root_a ? 0 : above[a], volts_b = b == root_b ? 0 : above[b];
    Phasor emf = view_emf(view, i);
    if (root_a == root_b) {
      double size = cabs(emf) + cabs(volts_a) + cabs(volts_b);
      t->source_out[i] = true;
      t->source_bad[i] = cabs(volts_a - volts_b - emf) > 1e-9 * size;
      t->n_bad_sources += t->source_bad[i];
    } else {
      parent[root_a] = root_b;
      above[root_a] = volts_b + emf - volts_a;
    }
  }
  g_free(parent);
  g_free(above);
}

static void
join_conductors(const Topology *t, const CircuitView *view, guint *parent)
{
  const guint *net = t->net_of_node;
  for (guint i = 0; i < view->n_impedances; i++)
    if (view_impedance_conducts(&view->impedances[i]))
      union_join(parent, net[view->impedances[i].a], net[view->impedances[i].b]);
  for (guint i = 0; i < view->n_sources; i++)
    if (!t->source_out[i])
      union_join(parent, net[view->sources[i].a], net[view->sources[i].b]);
  for (guint i = 0; i < view->n_segments; i++)
    union_join(parent, net[view->segments[i].a], net[view->segments[i].b]);
  for (guint i = 0; i < view->n_loads; i++)
    if (view_load_conducts(view, i))
      union_join(parent, net[view->loads[i].a], net[view->loads[i].b]);
  for (guint i = 0; i < view->n_coils; i++)
    if (view_coil_conducts(view, i))
      union_join(parent, net[view->coils[i].a], net[view->coils[i].b]);
  for (guint i = 0; i < view->n_motors; i++)
    if (view_motor_conducts(view, i)) {
      union_join(parent, net[view->motors[i].a], net[view->motors[i].b]);
      union_join(parent, net[view->motors[i].b], net[view->motors[i].c]);
    }
  for (guint i = 0; i < view->n_deltas; i++) {
    union_join(parent, net[view->deltas[i].a], net[view->deltas[i].b]);
    union_join(parent, net[view->deltas[i].b], net[view->deltas[i].c]);
  }
}

/* Live: some electromotive force reaches the island, through the flux of a core too. */
static void
mark_live(Topology *t, const CircuitView *view)
{
  guint *parent = union_singletons(t->n_islands);
  guint *first = g_new(guint, MAX(view->n_cores, 1));
  bool *fed = g_new0(bool, MAX(t->n_islands, 1));
  for (guint i = 0; i < view->n_cores; i++)
    first[i] = NONE;
  for (guint i = 0; i < view->n_segments; i++) {
    const Segment *segment = &view->segments[i];
    guint island = t->island_of_net[t->net_of_node[segment->a]];
    if (first[segment->core] == NONE)
      first[segment->core] = island;
    else
      union_join(parent, first[segment->core], island);
  }
  for (guint i = 0; i < view->n_sources; i++)
    if (!t->source_out[i] && view_emf(view, i) != 0)
      fed[union_find(parent, t->island_of_net[t->net_of_node[view->sources[i].a]])] = true;
  t->live = g_new0(bool, MAX(t->n_islands, 1));
  for (guint i = 0; i < t->n_islands; i++)
    t->live[i] = fed[union_find(parent, i)];
  g_free(parent);
  g_free(first);
  g_free(fed);
}

static void
choose_references(Topology *t, const CircuitView *view)
{
  t->reference = g_new(guint, MAX(t->n_islands, 1));
  t->grounded = g_new0(bool, MAX(t->n_islands, 1));
  for (guint i = 0; i < t->n_islands; i++)
    t->reference[i] = NONE;
  if (t->n_nets > 0) {
    t->grounded[t->island_of_net[0]] = true;
    t->reference[t->island_of_net[0]] = 0;
  }
  for (guint i = 0; i < view->n_sources; i++) {
    guint net = t->net_of_node[view->sources[i].b];
    guint island = t->island_of_net[net];
    if (!t->source_out[i] && t->reference[island] == NONE)
      t->reference[island] = net;
  }
  for (guint net = 0; net < t->n_nets; net++)
    if (t->reference[t->island_of_net[net]] == NONE)
      t->reference[t->island_of_net[net]] = net;
}

void
topology_build(Topology *t, const CircuitView *view, const bool *closed)
{
  topology_clear(t);
  t->closed = g_new(bool, MAX(view->n_joins, 1));
  if (view->n_joins > 0)
    memcpy(t->closed, closed, view->n_joins * sizeof *closed);
  merge_nodes(t, view);
  leave_out_sources(t, view);
  guint *parent = union_singletons(t->n_nets);
  join_conductors(t, view, parent);
  t->island_of_net = g_new(guint, MAX(t->n_nets, 1));
  t->n_islands = number_sets(parent, t->n_nets, t->island_of_net);
  g_free(parent);
  mark_live(t, view);
  choose_references(t, view);
}

void
topology_clear(Topology *t)
{
  g_free(t->net_of_node);
  g_free(t->island_of_net);
  g_free(t->reference);
  g_free(t->live);
  g_free(t->grounded);
  g_free(t->closed);
  g_free(t->source_out);
  g_free(t->source_bad);
  *t = (Topology){0};
}
