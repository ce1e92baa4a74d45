/* SPDX-License-Identifier: MIT */
/* The strongest way from each terminal back to its source: a maximum spanning forest over the
 * wiring, weighted by the protection in each join. On a tree of that forest the smallest device on
 * the way is as large as on any other way, so it is the protection one can count on (bottleneck
 * property of maximum spanning trees). Near-linear: one sort, one union-find, one walk. */
#include "checks/survey.h"

#include "base/union_find.h"

#include <math.h>

typedef struct {
  guint a, b;
  int join;    /* -1: a conductor's impedance */
  double amps; /* INFINITY: no protection */
} Edge;

static bool
is_protection(const Join *join)
{
  return join->role == JOIN_FUSE || join->role == JOIN_BREAKER;
}

static gint
edge_compare(gconstpointer a, gconstpointer b)
{
  const Edge *one = a, *two = b;
  if (one->amps != two->amps)
    return one->amps < two->amps ? 1 : -1;
  return one->join - two->join; /* a stable order */
}

/* A secondary with a lead on a supply line (buck or boost): power passes through it from there,
 * and what protects that line protects it. */
static bool
is_series(const Survey *survey, const Winding *winding)
{
  for (guint k = 0; k < winding->leads->len; k++) {
    guint node = survey_lead(winding, k)->node;
    if (winding->secondary && survey->landings[node] > 0 &&
        (survey_feed(survey, node) & FEED_LINE) && !survey->cores[winding->core].fed_backwards)
      return true;
  }
  return false;
}

static void
add_series_edges(const Survey *survey, GArray *edges)
{
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    for (guint k = 1; k < winding->leads->len && is_series(survey, winding); k++) {
      Edge edge = {.a = survey_lead(winding, k - 1)->node,
                   .b = survey_lead(winding, k)->node,
                   .join = -1,
                   .amps = INFINITY};
      g_array_append_val(edges, edge);
    }
  }
}

static GArray *
edges_of(const Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  GArray *edges = g_array_new(FALSE, FALSE, sizeof(Edge));
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    bool wire =
        join->role == JOIN_CONDUCTOR || join->role == JOIN_SPLICE || join->role == JOIN_INTERNAL;
    /* Earth connects everything and protects nothing; it is no way to a source. */
    if (join->role == JOIN_BOND || join->a == 0 || join->b == 0 ||
        (wire && !survey_join_is_metal(survey->context->document, join)))
      continue;
    double amps = INFINITY;
    if (is_protection(join))
      amps = join->rated_amps > 0 ? join->rated_amps : SURVEY_UNKNOWN_RATING;
    Edge edge = {.a = join->a, .b = join->b, .join = (int)i, .amps = amps};
    g_array_append_val(edges, edge);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    Edge edge = {.a = impedance->a, .b = impedance->b, .join = -1, .amps = INFINITY};
    if (impedance->role == IMPEDANCE_CONDUCTOR && edge.a != 0 && edge.b != 0)
      g_array_append_val(edges, edge);
  }
  add_series_edges(survey, edges);
  g_array_sort(edges, edge_compare);
  return edges;
}

static void
add_source(Survey *survey, guint node)
{
  if (node == 0 || node >= survey->n_nodes || survey->parent[node] != G_MAXUINT)
    return;
  survey->parent[node] = survey->root[node] = node;
  survey->device_amps[node] = INFINITY;
  survey->order[survey->n_reached++] = node;
}

static void
add_winding_sources(Survey *survey, const GArray *windings)
{
  for (guint i = 0; i < windings->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(windings, guint, i));
    for (guint k = 0; k < winding->leads->len && !is_series(survey, winding); k++)
      add_source(survey, survey_lead(winding, k)->node);
  }
}

static void
add_sources(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  for (guint i = 0; i < circuit->supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(circuit->supplies, CircuitSupply, i);
    for (int k = 0; k < 3; k++)
      add_source(survey, supply->line_nodes[k]);
    add_source(survey, supply->neutral_node);
  }
  for (guint c = 0; c < circuit->cores->len; c++) {
    if (survey->cores[c].fed || survey->cores[c].fed_backwards)
      add_winding_sources(survey, survey->cores[c].secondaries);
    if (survey->cores[c].fed_backwards)
      add_winding_sources(survey, survey->cores[c].primaries);
  }
}

/* Keeps the edges of the forest, all sources counting as one tree. */
static void
keep_forest(const Survey *survey, GArray *edges)
{
  g_autofree guint *parent = g_new(guint, survey->n_nodes);
  for (guint i = 0; i < survey->n_nodes; i++)
    parent[i] = survey->parent[i] != G_MAXUINT ? survey->order[0] : i;
  guint kept = 0;
  for (guint i = 0; i < edges->len; i++) {
    const Edge *edge = &g_array_index(edges, Edge, i);
    guint a = union_find(parent, edge->a), b = union_find(parent, edge->b);
    if (a == b)
      continue;
    parent[a] = b;
    g_array_index(edges, Edge, kept++) = *edge;
  }
  g_array_set_size(edges, kept);
}

static void
step(Survey *survey, guint from, guint to, const Edge *edge)
{
  if (survey->parent[to] != G_MAXUINT)
    return;
  survey->parent[to] = from;
  survey->root[to] = survey->root[from];
  survey->parent_join[to] = edge->join;
  bool weaker = edge->amps < survey->device_amps[from];
  survey->device_amps[to] = weaker ? edge->amps : survey->device_amps[from];
  survey->guard[to] = weaker ? edge->join : survey->guard[from];
  survey->nearest[to] = isfinite(edge->amps) ? edge->join : survey->nearest[from];
  survey->order[survey->n_reached++] = to;
}

static void
walk(Survey *survey, const GArray *edges)
{
  g_autofree guint *start = g_new0(guint, survey->n_nodes + 1);
  g_autofree guint *edge_of = g_new(guint, MAX(2 * edges->len, 1));
  for (guint i = 0; i < edges->len; i++) {
    start[g_array_index(edges, Edge, i).a + 1]++;
    start[g_array_index(edges, Edge, i).b + 1]++;
  }
  for (guint i = 0; i < survey->n_nodes; i++)
    start[i + 1] += start[i];
  g_autofree guint *at = g_memdup2(start, (survey->n_nodes + 1) * sizeof *start);
  for (guint i = 0; i < edges->len; i++) {
    edge_of[at[g_array_index(edges, Edge, i).a]++] = i;
    edge_of[at[g_array_index(edges, Edge, i).b]++] = i;
  }
  for (guint k = 0; k < survey->n_reached; k++) { /* n_reached grows */
    guint node = survey->order[k];
    for (guint i = start[node]; i < start[node + 1]; i++) {
      const Edge *edge = &g_array_index(edges, Edge, edge_of[i]);
      step(survey, node, edge->a == node ? edge->b : edge->a, edge);
    }
  }
}

static void
note_branch(Survey *survey, guint a, guint b, double volts)
{
  survey->circuit_volts[a] = fmax(survey->circuit_volts[a], volts);
  survey->circuit_volts[b] = fmax(survey->circuit_volts[b], volts);
}

static void
note_motor(Survey *survey, guint node, double amps)
{
  survey->serves_motor[node] = true;
  survey->motor_amps[node] = fmax(survey->motor_amps[node], amps);
}

/* Volts across what hangs at each terminal, then everything from the far ends back. */
static void
gather_uses(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  for (guint i = 0; i < circuit->loads->len; i++) {
    const Load *load = circuit_item(circuit->loads, Load, i);
    /* A one-phase motor is a load of constant power to the circuit. */
    if (load->owner.kind == OWNER_DEVICE && load->rated_volts > 0 &&
        document_device(survey->context->document, load->owner.index)->kind->role == ROLE_MOTOR) {
      note_motor(survey, load->a, cabs(load->power) / load->rated_volts);
      note_motor(survey, load->b, cabs(load->power) / load->rated_volts);
    }
    note_branch(survey, load->a, load->b, survey_between(survey, load->a, load->b));
  }
  for (guint i = 0; i < circuit->coils->len; i++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, i);
    note_branch(survey, coil->a, coil->b, survey_between(survey, coil->a, coil->b));
  }
  for (guint i = 0; i < circuit->motors->len; i++) {
    const Motor *motor = circuit_item(circuit->motors, Motor, i);
    double volts = fmax(survey_between(survey, motor->a, motor->b),
                        survey_between(survey, motor->b, motor->c));
    note_branch(survey, motor->a, motor->b, volts);
    note_branch(survey, motor->c, motor->c, volts);
    note_motor(survey, motor->a, motor->rated_amps);
    note_motor(survey, motor->b, motor->rated_amps);
    note_motor(survey, motor->c, motor->rated_amps);
  }
  for (guint c = 0; c < circuit->cores->len; c++)
    if (survey->cores[c].feeding >= 0) {
      const SurveyCore *core = &survey->cores[c];
      const Winding *winding = survey_winding(survey, (guint)core->feeding);
      note_branch(survey, survey_lead(winding, core->low)->node,
                  survey_lead(winding, core->high)->node, survey_pair_volts(survey, c));
    }
  for (guint k = survey->n_reached; k-- > 0;) {
    guint node = survey->order[k], parent = survey->parent[node];
    survey->circuit_volts[parent] =
        fmax(survey->circuit_volts[parent], survey->circuit_volts[node]);
    survey->serves_motor[parent] = survey->serves_motor[parent] || survey->serves_motor[node];
    survey->motor_amps[parent] = fmax(survey->motor_amps[parent], survey->motor_amps[node]);
  }
}

void
survey_paths(Survey *survey)
{
  guint n = survey->n_nodes;
  survey->order = g_new(guint, n);
  survey->parent = g_new(guint, n);
  survey->root = g_new(guint, n);
  survey->parent_join = g_new(int, n);
  survey->device_amps = g_new(double, n);
  survey->guard = g_new(int, n);
  survey->nearest = g_new(int, n);
  survey->circuit_volts = g_new0(double, n);
  survey->serves_motor = g_new0(bool, n);
  survey->motor_amps = g_new0(double, n);
  for (guint i = 0; i < n; i++) {
    survey->parent[i] = survey->root[i] = G_MAXUINT;
    survey->parent_join[i] = survey->guard[i] = survey->nearest[i] = -1;
    survey->device_amps[i] = INFINITY;
  }
  add_sources(survey);
  if (survey->n_reached > 0) {
    GArray *edges = edges_of(survey);
    keep_forest(survey, edges);
    walk(survey, edges);
    g_array_unref(edges);
  }
  gather_uses(survey);
}
