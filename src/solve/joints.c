/* SPDX-License-Identifier: MIT */
/* Currents of joints. Joints have no ohms, so the equations merged their ends; what each carries
 * follows from what the devices take at every node. In a tree of joints that is a sum from the
 * leaves to the root. Where joints form a loop the circuit does not determine the split: then
 * joints of equal resistance are assumed (least sum of squares, by conjugate gradients over the
 * loop currents) and the joints of the loop are marked. */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

#define NONE G_MAXUINT

typedef struct {
  guint a, b;
  Phasor *amps;  /* where the answer goes */
  bool *assumed; /* NULL for an impedance of zero ohm */
} Tie;

typedef struct {
  guint n_nodes, n_ties, n_chords;
  Tie *ties;
  guint *start, *edges;  /* ties at each node */
  guint *order, n_order; /* nodes, parents before children */
  guint *parent, *up;    /* per node: parent node and the tie to it; NONE at a root */
  guint *depth;
  guint *chords;   /* ties outside the tree */
  Phasor *inject;  /* per node: what devices send into it */
  Phasor *through; /* per node: current to its parent (work space) */
} Joints;

static void
collect_ties(Joints *j, const CircuitView *view, const Topology *t, Solution *solution)
{
  j->ties = g_new(Tie, MAX((gsize)view->n_joins + view->n_impedances, 1));
  for (guint i = 0; i < view->n_joins; i++)
    if (t->closed[i] && view->joins[i].a != view->joins[i].b)
      j->ties[j->n_ties++] = (Tie){.a = view->joins[i].a,
                                   .b = view->joins[i].b,
                                   .amps = &solution->join_amps[i],
                                   .assumed = &solution->join_split_assumed[i]};
  for (guint i = 0; i < view->n_impedances; i++) {
    const Impedance *impedance = &view->impedances[i];
    if (view_impedance_is_tie(impedance) && impedance->a != impedance->b)
      j->ties[j->n_ties++] =
          (Tie){.a = impedance->a, .b = impedance->b, .amps = &solution->impedance_amps[i]};
  }
}

static void
collect_edges(Joints *j)
{
  j->start = g_new0(guint, (gsize)j->n_nodes + 2);
  j->edges = g_new(guint, 2 * (gsize)MAX(j->n_ties, 1));
  guint *next = j->start + 1;
  for (guint i = 0; i < j->n_ties; i++) {
    next[j->ties[i].a]++;
    next[j->ties[i].b]++;
  }
  guint sum = 0;
  for (guint i = 0; i < j->n_nodes; i++) {
    guint count = next[i];
    next[i] = sum;
    sum += count;
  }
  for (guint i = 0; i < j->n_ties; i++) {
    j->edges[next[j->ties[i].a]++] = i;
    j->edges[next[j->ties[i].b]++] = i;
  }
  /* next[i] now ends node i, which is where start[i + 1] points. */
}

static void
visit(Joints *j, guint root, bool *seen, bool *in_tree)
{
  guint head = j->n_order;
  j->order[j->n_order++] = root;
  seen[root] = true;
  j->parent[root] = j->up[root] = NONE;
  j->depth[root] = 0;
  while (head < j->n_order) {
    guint node = j->order[head++];
    for (guint k = j->start[node]; k < j->start[node + 1]; k++) {
      const Tie *tie = &j->ties[j->edges[k]];
      guint other = tie->a == node ? tie->b : tie->a;
      if (seen[other])
        continue;
      seen[other] = true;
      in_tree[j->edges[k]] = true;
      j->parent[other] = node;
      j->up[other] = j->edges[k];
      j->depth[other] = j->depth[node] + 1;
      j->order[j->n_order++] = other;
    }
  }
}

static void
grow_trees(Joints *j)
{
  bool *seen = g_new0(bool, MAX(j->n_nodes, 1));
  bool *in_tree = g_new0(bool, MAX(j->n_ties, 1));
  j->order = g_new(guint, 4 * (gsize)j->n_nodes + 1);
  j->parent = j->order + j->n_nodes;
  j->up = j->parent + j->n_nodes;
  j->depth = j->up + j->n_nodes;
  for (guint i = 0; i < j->n_nodes; i++)
    if (!seen[i] && j->start[i] < j->start[i + 1])
      visit(j, i, seen, in_tree);
  j->chords = g_new(guint, MAX(j->n_ties, 1));
  for (guint i = 0; i < j->n_ties; i++)
    if (!in_tree[i])
      j->chords[j->n_chords++] = i;
  g_free(seen);
  g_free(in_tree);
}

static void
collect_injections(Joints *j, const CircuitView *view, const Solution *s)
{
  Phasor *in = j->inject;
  for (guint i = 0; i < view->n_impedances; i++)
    if (!view_impedance_is_tie(&view->impedances[i])) {
      in[view->impedances[i].a] -= s->impedance_amps[i];
      in[view->impedances[i].b] += s->impedance_amps[i];
    }
  for (guint i = 0; i < view->n_sources; i++)
    if (!s->source_bad[i]) {
      in[view->sources[i].a] += s->source_amps[i];
      in[view->sources[i].b] -= s->source_amps[i];
    }
  for (guint i = 0; i < view->n_segments; i++) {
    in[view->segments[i].a] -= s->segment_amps[i];
    in[view->segments[i].b] += s->segment_amps[i];
  }
  for (guint i = 0; i < view->n_loads; i++) {
    in[view->loads[i].a] -= s->load_amps[i];
    in[view->loads[i].b] += s->load_amps[i];
  }
  for (guint i = 0; i < view->n_coils; i++) {
    in[view->coils[i].a] -= s->coil_amps[i];
    in[view->coils[i].b] += s->coil_amps[i];
  }
  for (guint i = 0; i < view->n_motors; i++) {
    in[view->motors[i].a] -= s->motor_amps[3 * i];
    in[view->motors[i].b] -= s->motor_amps[3 * i + 1];
    in[view->motors[i].c] -= s->motor_amps[3 * i + 2];
  }
  for (guint i = 0; i < view->n_deltas; i++) {
    in[view->deltas[i].a] -= s->delta_amps[3 * i];
    in[view->deltas[i].b] -= s->delta_amps[3 * i + 1];
    in[view->deltas[i].c] -= s->delta_amps[3 * i + 2];
  }
}

/* Current of every node to its parent when devices send `inject` and chords carry `loop`. */
static void
sum_to_roots(Joints *j, const Phasor *inject, const Phasor *loop)
{
  if (inject != NULL)
    memcpy(j->through, inject, j->n_nodes * sizeof *inject);
  else
    memset(j->through, 0, j->n_nodes * sizeof *j->through);
  for (guint k = 0; loop != NULL && k < j->n_chords; k++) {
    j->through[j->ties[j->chords[k]].a] -= loop[k];
    j->through[j->ties[j->chords[k]].b] += loop[k];
  }
  for (guint k = j->n_order; k-- > 0;) {
    guint node = j->order[k];
    if (j->parent[node] != NONE)
      j->through[j->parent[node]] += j->through[node];
  }
}

/* What one ohm in every joint would leave as volts around each chord's loop. */
static void
loop_volts(Joints *j, const Phasor *loop, Phasor *potential, Phasor *volts)
{
  for (guint k = 0; k < j->n_order; k++) {
    guint node = j->order[k];
    potential[node] = j->parent[node] == NONE ? 0 : potential[j->parent[node]] + j->through[node];
  }
  for (guint k = 0; k < j->n_chords; k++) {
    const Tie *chord = &j->ties[j->chords[k]];
    volts[k] = (loop != NULL ? loop[k] : 0) - (potential[chord->a] - potential[chord->b]);
  }
}

static double
norm2(guint n, const Phasor *z)
{
  double sum = 0;
  for (guint i = 0; i < n; i++)
    sum += creal(z[i]) * creal(z[i]) + cimag(z[i]) * cimag(z[i]);
  return sum;
}

/* Chord currents of the equal-resistance split. The operator is real, symmetric and positive. */
static void
split_loops(Joints *j, Phasor *loop)
{
  guint m = j->n_chords;
  Phasor *r = g_new0(Phasor, 3 * (gsize)m + j->n_nodes);
  Phasor *p = r + m, *ap = p + m, *potential = ap + m;
  memset(loop, 0, m * sizeof *loop);
  sum_to_roots(j, j->inject, NULL);
  loop_volts(j, NULL, potential, r);
  for (guint k = 0; k < m; k++)
    p[k] = r[k] = -r[k];
  double now = norm2(m, r), start = now;
  for (guint step = 0; step < 2 * m + 20 && now > 1e-30 * start; step++) {
    sum_to_roots(j, NULL, p);
    loop_volts(j, p, potential, ap);
    double curvature = 0;
    for (guint k = 0; k < m; k++)
      curvature += creal(p[k]) * creal(ap[k]) + cimag(p[k]) * cimag(ap[k]);
    if (!(curvature > 0))
      break;
    double length = now / curvature;
    for (guint k = 0; k < m; k++) {
      loop[k] += length * p[k];
      r[k] -= length * ap[k];
    }
    double next = norm2(m, r);
    for (guint k = 0; k < m; k++)
      p[k] = r[k] + next / now * p[k];
    now = next;
  }
  g_free(r);
}

/* Marks the joints of every loop: the tree path between a chord's ends. Marked stretches are
 * skipped through `skip`, so the walk is nearly linear in all. */
static void
mark_loops(Joints *j)
{
  guint *skip = g_new(guint, MAX(j->n_nodes, 1));
  for (guint i = 0; i < j->n_nodes; i++)
    skip[i] = i;
  for (guint k = 0; k < j->n_chords; k++) {
    const Tie *chord = &j->ties[j->chords[k]];
    guint a = union_find(skip, chord->a), b = union_find(skip, chord->b);
    if (chord->assumed != NULL)
      *chord->assumed = true;
    while (a != b) {
      if (j->depth[a] < j->depth[b]) {
        guint swap = a;
        a = b;
        b = swap;
      }
      if (j->ties[j->up[a]].assumed != NULL)
        *j->ties[j->up[a]].assumed = true;
      skip[a] = j->parent[a];
      a = union_find(skip, a);
    }
  }
  g_free(skip);
}

static void
write_amps(Joints *j, const Phasor *loop)
{
  for (guint k = 0; k < j->n_order; k++) {
    guint node = j->order[k];
    if (j->parent[node] == NONE)
      continue;
    const Tie *tie = &j->ties[j->up[node]];
    *tie->amps = tie->a == node ? j->through[node] : -j->through[node];
  }
  for (guint k = 0; k < j->n_chords; k++)
    *j->ties[j->chords[k]].amps = loop[k];
}

/* An ideal source in a dead short drives a current without limit through the joints between its
 * ends. */
static void
mark_dead_shorts(Joints *j, const CircuitView *view, const Topology *t)
{
  for (guint i = 0; i < view->n_sources; i++) {
    guint a = view->sources[i].a, b = view->sources[i].b;
    if (!t->source_bad[i] || t->net_of_node[a] != t->net_of_node[b])
      continue;
    while (a != b) {
      guint *deeper = j->depth[a] >= j->depth[b] ? &a : &b;
      *j->ties[j->up[*deeper]].amps = INFINITY;
      *deeper = j->parent[*deeper];
    }
  }
}

void
joints_fill(const CircuitView *view, const Topology *t, Solution *solution)
{
  Joints j = {.n_nodes = view->n_nodes};
  if (view->n_joins > 0)
    memcpy(solution->join_closed, t->closed, view->n_joins * sizeof *t->closed);
  collect_ties(&j, view, t, solution);
  if (j.n_ties > 0) {
    collect_edges(&j);
    grow_trees(&j);
    j.inject = g_new0(Phasor, 2 * (gsize)j.n_nodes);
    j.through = j.inject + j.n_nodes;
    collect_injections(&j, view, solution);
    Phasor *loop = g_new0(Phasor, MAX(j.n_chords, 1));
    if (j.n_chords > 0) {
      split_loops(&j, loop);
      mark_loops(&j);
    }
    sum_to_roots(&j, j.inject, loop);
    write_amps(&j, loop);
    if (t->n_bad_sources > 0)
      mark_dead_shorts(&j, view, t);
    g_free(loop);
    g_free(j.inject);
    g_free(j.start);
    g_free(j.edges);
    g_free(j.order);
    g_free(j.chords);
  }
  g_free(j.ties);
}
