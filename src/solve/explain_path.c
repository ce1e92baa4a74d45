/* SPDX-License-Identifier: MIT */
#include "solve/explain_path.h"

#include <math.h>

/* Costs only rank the ways: wiring before windings before loads, and nothing open unless needed. */
enum { COST_WIRE = 1, COST_MAGNETIC = 2, COST_ACTIVE = 3, COST_LOAD = 60, COST_OPEN = 100000 };

static void
add(PathMap *map, ExplainBranch branch, guint index, guint a, guint b, guint cost)
{
  PathEdge edge = {.branch = branch, .index = index, .a = a, .b = b, .cost = cost};
  g_array_append_val(map->edges, edge);
}

static void
add_three(PathMap *map, ExplainBranch branch, guint index, guint a, guint b, guint c)
{
  add(map, branch, index, a, b, COST_LOAD);
  add(map, branch, index, b, c, COST_LOAD);
  add(map, branch, index, c, a, COST_LOAD);
}

static void
collect_wiring(PathMap *map, const CircuitView *view, const Solution *solution, bool reach)
{
  for (guint i = 0; i < view->n_joins; i++) {
    bool open = !solution->join_closed[i];
    if (open && !reach)
      continue;
    add(map, EXPLAIN_JOIN, i, view->joins[i].a, view->joins[i].b, open ? COST_OPEN : COST_WIRE);
    g_array_index(map->edges, PathEdge, map->edges->len - 1).open = open;
  }
  for (guint i = 0; i < view->n_impedances; i++) {
    const Impedance *impedance = &view->impedances[i];
    bool wire = impedance->role == IMPEDANCE_CONDUCTOR || view_impedance_is_tie(impedance);
    if (view_impedance_conducts(impedance))
      add(map, EXPLAIN_IMPEDANCE, i, impedance->a, impedance->b, wire ? COST_WIRE : COST_LOAD);
  }
}

static void
collect_active(PathMap *map, const CircuitView *view, const Solution *solution, bool reach)
{
  for (guint i = 0; i < view->n_sources; i++)
    if (!solution->source_bad[i])
      add(map, EXPLAIN_SOURCE, i, view->sources[i].a, view->sources[i].b, COST_ACTIVE);
  guint *first = g_new0(guint, MAX(view->n_cores, 1));
  for (guint i = 0; i < view->n_segments; i++) {
    const Segment *segment = &view->segments[i];
    add(map, EXPLAIN_SEGMENT, i, segment->a, segment->b, COST_ACTIVE);
    if (!reach)
      continue;
    if (first[segment->core] == 0) {
      first[segment->core] = segment->a;
      continue;
    }
    add(map, EXPLAIN_SEGMENT, i, segment->a, first[segment->core], COST_MAGNETIC);
    g_array_index(map->edges, PathEdge, map->edges->len - 1).magnetic = true;
  }
  g_free(first);
}

static void
collect_loads(PathMap *map, const CircuitView *view)
{
  for (guint i = 0; i < view->n_loads; i++)
    if (view_load_conducts(view, i))
      add(map, EXPLAIN_LOAD, i, view->loads[i].a, view->loads[i].b, COST_LOAD);
  for (guint i = 0; i < view->n_coils; i++)
    if (view_coil_conducts(view, i))
      add(map, EXPLAIN_COIL, i, view->coils[i].a, view->coils[i].b, COST_LOAD);
  for (guint i = 0; i < view->n_motors; i++)
    if (view_motor_conducts(view, i))
      add_three(map, EXPLAIN_MOTOR, i, view->motors[i].a, view->motors[i].b, view->motors[i].c);
  for (guint i = 0; i < view->n_deltas; i++)
    add_three(map, EXPLAIN_DELTA, i, view->deltas[i].a, view->deltas[i].b, view->deltas[i].c);
}

static void
link_nodes(PathMap *map)
{
  map->start = g_new0(guint, (gsize)map->n_nodes + 2);
  map->links = g_new(guint, 2 * (gsize)MAX(map->edges->len, 1));
  const PathEdge *edges = (const PathEdge *)(const void *)map->edges->data;
  for (guint i = 0; i < map->edges->len; i++) {
    map->start[edges[i].a + 2]++;
    map->start[edges[i].b + 2]++;
  }
  for (guint i = 2; i < map->n_nodes + 2; i++)
    map->start[i] += map->start[i - 1];
  for (guint i = 0; i < map->edges->len; i++) {
    map->links[map->start[edges[i].a + 1]++] = i;
    map->links[map->start[edges[i].b + 1]++] = i;
  }
}

void
path_map_build(PathMap *map, const CircuitView *view, const Solution *solution, bool reach)
{
  *map = (PathMap){.edges = g_array_new(FALSE, FALSE, sizeof(PathEdge)), .n_nodes = view->n_nodes};
  collect_wiring(map, view, solution, reach);
  collect_active(map, view, solution, reach);
  collect_loads(map, view);
  link_nodes(map);
}

void
path_map_clear(PathMap *map)
{
  g_array_unref(map->edges);
  g_free(map->start);
  g_free(map->links);
}

/* ------------------------------------------------------------------------------- shortest way */

typedef struct {
  guint cost, node;
} Reached;

/* A binary heap with the least cost first. */
static void
heap_push(GArray *heap, Reached item)
{
  g_array_append_val(heap, item);
  guint at = heap->len - 1;
  while (at > 0) {
    Reached *here = &g_array_index(heap, Reached, at);
    Reached *up = &g_array_index(heap, Reached, (at - 1) / 2);
    if (up->cost <= here->cost)
      break;
    Reached swap = *here;
    *here = *up;
    *up = swap;
    at = (at - 1) / 2;
  }
}

static Reached
heap_pop(GArray *heap)
{
  Reached top = g_array_index(heap, Reached, 0);
  Reached last = g_array_index(heap, Reached, heap->len - 1);
  g_array_set_size(heap, heap->len - 1);
  guint at = 0;
  while (2 * at + 1 < heap->len) {
    guint child = 2 * at + 1;
    if (child + 1 < heap->len &&
        g_array_index(heap, Reached, child + 1).cost < g_array_index(heap, Reached, child).cost)
      child++;
    if (g_array_index(heap, Reached, child).cost >= last.cost)
      break;
    g_array_index(heap, Reached, at) = g_array_index(heap, Reached, child);
    at = child;
  }
  if (heap->len > 0)
    g_array_index(heap, Reached, at) = last;
  return top;
}

/* Leaves the edge that reached each node in `by`; returns the goal found or G_MAXUINT. */
static guint
search(const PathMap *map, guint a, const bool *goal, const bool *blocked, guint *by, guint *cost)
{
  g_autoptr(GArray) heap = g_array_new(FALSE, FALSE, sizeof(Reached));
  for (guint i = 0; i < map->n_nodes; i++)
    cost[i] = G_MAXUINT;
  cost[a] = 0;
  heap_push(heap, (Reached){0, a});
  while (heap->len > 0) {
    Reached here = heap_pop(heap);
    if (here.cost > cost[here.node])
      continue;
    if (goal[here.node])
      return here.node;
    if (blocked != NULL && blocked[here.node] && here.node != a)
      continue;
    for (guint k = map->start[here.node]; k < map->start[here.node + 1]; k++) {
      const PathEdge *edge = &g_array_index(map->edges, PathEdge, map->links[k]);
      guint next = edge->a == here.node ? edge->b : edge->a;
      if (here.cost + edge->cost >= cost[next])
        continue;
      cost[next] = here.cost + edge->cost;
      by[next] = map->links[k];
      heap_push(heap, (Reached){cost[next], next});
    }
  }
  return G_MAXUINT;
}

GArray *
explain_path_find(const PathMap *map, guint a, const bool *goal, const bool *blocked)
{
  g_autofree guint *by = g_new0(guint, MAX(map->n_nodes, 1));
  g_autofree guint *cost = g_new(guint, MAX(map->n_nodes, 1));
  guint node = search(map, a, goal, blocked, by, cost);
  if (node == G_MAXUINT)
    return NULL;
  GArray *path = g_array_new(FALSE, FALSE, sizeof(guint));
  while (node != a) {
    g_array_prepend_val(path, by[node]);
    const PathEdge *edge = &g_array_index(map->edges, PathEdge, by[node]);
    node = edge->a == node ? edge->b : edge->a;
  }
  return path;
}
