/* SPDX-License-Identifier: MIT */
/* Numbering of unknowns, the pattern in compressed columns, and the values. The stamps are walked
 * twice by the same code: first to record rows and columns, afterwards only to add values into
 * the slots found then, so that new values cost no search. */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

/* ---- numbering ------------------------------------------------------------------------------ */

static bool
live_node(const Topology *t, guint node)
{
  return t->live[t->island_of_net[t->net_of_node[node]]];
}

static int *
row_array(guint n)
{
  int *rows = g_new(int, MAX(n, 1));
  memset(rows, -1, MAX(n, 1) * sizeof *rows);
  return rows;
}

static bool
wants_branch(const Impedance *impedance)
{
  return view_impedance_is_small(impedance) && !view_impedance_is_tie(impedance);
}

static void
number_unknowns(Equations *e, const CircuitView *view, const Topology *t)
{
  int n = 0;
  e->net_row = row_array(t->n_nets);
  e->core_row = row_array(view->n_cores);
  e->source_row = row_array(view->n_sources);
  e->segment_row = row_array(view->n_segments);
  e->impedance_row = row_array(view->n_impedances);
  e->load_row = row_array(view->n_loads);
  for (guint i = 0; i < t->n_nets; i++) {
    guint island = t->island_of_net[i];
    if (t->live[island] && t->reference[island] != i)
      e->net_row[i] = n++;
  }
  for (guint i = 0; i < view->n_segments; i++)
    if (live_node(t, view->segments[i].a)) {
      if (e->core_row[view->segments[i].core] < 0)
        e->core_row[view->segments[i].core] = n++;
      e->segment_row[i] = n++;
    }
  for (guint i = 0; i < view->n_sources; i++)
    if (!t->source_out[i] && live_node(t, view->sources[i].a))
      e->source_row[i] = n++;
  for (guint i = 0; i < view->n_impedances; i++)
    if (wants_branch(&view->impedances[i]) && live_node(t, view->impedances[i].a))
      e->impedance_row[i] = n++;
  for (guint i = 0; i < view->n_couplings; i++) {
    guint pair[2] = {view->couplings[i].first, view->couplings[i].second};
    for (int k = 0; k < 2; k++) {
      const Impedance *impedance = &view->impedances[pair[k]];
      if (e->impedance_row[pair[k]] < 0 && live_node(t, impedance->a) &&
          view_impedance_conducts(impedance) && !view_impedance_is_tie(impedance))
        e->impedance_row[pair[k]] = n++;
    }
  }
  for (guint i = 0; i < view->n_loads; i++)
    if (view_load_conducts(view, i) && view_load_is_stiff(view, i) &&
        live_node(t, view->loads[i].a)) {
      e->load_row[i] = n;
      n += view_load_is_port(view, i) ? 2 : 1;
    }
  e->n = n;
}

/* ---- stamps --------------------------------------------------------------------------------- */

typedef struct {
  Equations *e;
  const CircuitView *view;
  const Topology *t;
  const DiscreteState *state;
  guint k;          /* next stamp */
  int *rows, *cols; /* recording when not NULL */
  Phasor *values;
  guint capacity;
} Stamper;

static void
record(Stamper *s, int row, int col, Phasor value)
{
  if (s->k == s->capacity) {
    s->capacity = MAX(256, 2 * s->capacity);
    s->rows = g_renew(int, s->rows, s->capacity);
    s->cols = g_renew(int, s->cols, s->capacity);
    s->values = g_renew(Phasor, s->values, s->capacity);
  }
  s->rows[s->k] = row;
  s->cols[s->k] = col;
  s->values[s->k++] = value;
}

static inline void
put(Stamper *s, int row, int col, Phasor value)
{
  if (row < 0 || col < 0)
    return;
  if (s->e->slot == NULL)
    record(s, row, col, value);
  else
    s->e->fixed[s->e->slot[s->k++]] += value;
}

static inline int
row_of(const Stamper *s, guint node)
{
  return s->e->net_row[s->t->net_of_node[node]];
}

static void
put_admittance(Stamper *s, int a, int b, Phasor y)
{
  put(s, a, a, y);
  put(s, b, b, y);
  put(s, a, b, -y);
  put(s, b, a, -y);
}

static void
put_branch(Stamper *s, int a, int b, int branch)
{
  put(s, a, branch, 1);
  put(s, b, branch, -1);
  put(s, branch, a, 1);
  put(s, branch, b, -1);
}

static void
put_matrix(Stamper *s, const int *rows, Phasor (*y)[3])
{
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      put(s, rows[i], rows[j], y[i][j]);
}

static void
stamp_impedances(Stamper *s)
{
  const CircuitView *view = s->view;
  for (guint i = 0; i < view->n_impedances; i++) {
    const Impedance *impedance = &view->impedances[i];
    int a = row_of(s, impedance->a), b = row_of(s, impedance->b);
    int branch = s->e->impedance_row[i];
    if (branch >= 0) {
      put_branch(s, a, b, branch);
      put(s, branch, branch, -impedance->z);
    } else if ((a >= 0 || b >= 0) && view_impedance_conducts(impedance) &&
               !view_impedance_is_tie(impedance)) {
      put_admittance(s, a, b, 1 / impedance->z);
    }
  }
  for (guint i = 0; i < view->n_couplings; i++) {
    const Coupling *coupling = &view->couplings[i];
    int first = s->e->impedance_row[coupling->first];
    int second = s->e->impedance_row[coupling->second];
    put(s, first, second, -coupling->z);
    put(s, second, first, -coupling->z);
  }
}

static void
stamp_sources(Stamper *s)
{
  for (guint i = 0; i < s->view->n_sources; i++) {
    const Source *source = &s->view->sources[i];
    int branch = s->e->source_row[i];
    if (branch < 0)
      continue;
    int a = row_of(s, source->a), b = row_of(s, source->b);
    put(s, a, branch, -1);
    put(s, b, branch, 1);
    put(s, branch, a, 1);
    put(s, branch, b, -1);
    put(s, branch, branch, source->z);
    s->e->b[branch] = view_emf(s->view, i);
  }
}

static void
stamp_transformers(Stamper *s)
{
  for (guint i = 0; i < s->view->n_segments; i++) {
    const Segment *segment = &s->view->segments[i];
    int branch = s->e->segment_row[i], core = s->e->core_row[segment->core];
    if (branch < 0)
      continue;
    put_branch(s, row_of(s, segment->a), row_of(s, segment->b), branch);
    put(s, branch, core, -segment->turns);
    put(s, core, branch, -segment->turns);
    put(s, branch, branch, -segment->z);
  }
  for (guint i = 0; i < s->view->n_cores; i++) {
    if (s->e->core_row[i] >= 0 && !view_core_saturates(s->view, i))
      put(s, s->e->core_row[i], s->e->core_row[i], view_core_admittance(s->view, i));
  }
}

/* A stiff load has its current i as an unknown; a stiff port its own volts u as well, with the rows
 * va - vb - u = 0 and y u - i = 0. The latter is numbered like u, so the port stands there as any
 * other port stands at its terminals. */
static void
stamp_load(Stamper *s, guint i)
{
  const Load *load = &s->view->loads[i];
  int a = row_of(s, load->a), b = row_of(s, load->b), branch = s->e->load_row[i];
  bool port = view_load_is_port(s->view, i);
  if (branch >= 0) {
    put_branch(s, a, b, branch);
    put(s, branch, port ? branch + 1 : branch, port ? -1 : -1 / view_load_admittance(s->view, i));
    if (port)
      put(s, branch + 1, branch, -1);
  } else if (!port) {
    put_admittance(s, a, b, view_load_admittance(s->view, i));
  }
}

static void
stamp_loads(Stamper *s)
{
  const CircuitView *view = s->view;
  for (guint i = 0; i < view->n_loads; i++)
    if (view_load_conducts(view, i))
      stamp_load(s, i);
  for (guint i = 0; i < view->n_coils; i++)
    if (view_coil_conducts(view, i))
      put_admittance(s, row_of(s, view->coils[i].a), row_of(s, view->coils[i].b),
                     view_coil_admittance(view, i, s->state->pulled_in[i]));
  for (guint i = 0; i < view->n_motors; i++)
    if (view_motor_conducts(view, i)) {
      const Motor *motor = &view->motors[i];
      int rows[3] = {row_of(s, motor->a), row_of(s, motor->b), row_of(s, motor->c)};
      Phasor y[3][3];
      view_motor_matrix(motor, s->state->backwards[i], y);
      put_matrix(s, rows, y);
    }
  for (guint i = 0; i < view->n_deltas; i++) {
    const DeltaLoad *delta = &view->deltas[i];
    int rows[3] = {row_of(s, delta->a), row_of(s, delta->b), row_of(s, delta->c)};
    Phasor y[3][3];
    view_delta_matrix(delta, !s->t->grounded[s->t->island_of_net[s->t->net_of_node[delta->a]]], y);
    put_matrix(s, rows, y);
  }
}

/* ---- ports: stamped last, with value 0, so that newton can add them to a copy ------------------
 */

static void
collect_ports(Equations *e, const CircuitView *view, const Topology *t)
{
  guint n = 0;
  for (guint i = 0; i < view->n_loads; i++)
    n += view_load_is_port(view, i);
  e->ports = g_renew(Port, e->ports, MAX(n + view->n_cores, 1));
  e->n_ports = 0;
  for (guint i = 0; n > 0 && i < view->n_loads; i++) {
    const Load *load = &view->loads[i];
    if (!view_load_is_port(view, i) || !view_load_conducts(view, i) || !live_node(t, load->a))
      continue;
    Port *port = &e->ports[e->n_ports++];
    bool stiff = e->load_row[i] >= 0;
    *port = (Port){.index = i,
                   .plus = stiff ? e->load_row[i] + 1 : e->net_row[t->net_of_node[load->a]],
                   .minus = stiff ? -1 : e->net_row[t->net_of_node[load->b]]};
    port_from_load(port, load);
  }
  for (guint i = 0; i < view->n_cores; i++)
    if (view_core_saturates(view, i) && e->core_row[i] >= 0) {
      Port *port = &e->ports[e->n_ports++];
      *port = (Port){.index = i, .plus = e->core_row[i], .minus = -1};
      port_from_core(port, &view->cores[i]);
    }
}

static void
stamp_ports(Stamper *s)
{
  for (guint i = 0; i < s->e->n_ports; i++) {
    Port *port = &s->e->ports[i];
    port->first_stamp = s->k;
    put_admittance(s, port->plus, port->minus, 0);
  }
}

static void
stamp_all(Stamper *s)
{
  stamp_impedances(s);
  stamp_sources(s);
  stamp_transformers(s);
  stamp_loads(s);
  stamp_ports(s);
}

/* ---- compressed columns --------------------------------------------------------------------- */

/* Counting sort by column; a marker per row finds repeated entries. */
static void
compress(Equations *e, const Stamper *s)
{
  int n = e->n;
  e->n_stamps = s->k;
  int *start = g_new0(int, (gsize)n + 2);
  int *order = g_new(int, MAX(s->k, 1));
  int *place = g_new(int, MAX(n, 1));
  e->slot = g_new(int, MAX(s->k, 1));
  e->ap = g_new(int, (gsize)n + 1);
  e->ai = g_new(int, MAX(s->k, 1));
  for (guint k = 0; k < s->k; k++)
    start[s->cols[k] + 1]++;
  for (int j = 0; j < n; j++)
    start[j + 1] += start[j];
  for (guint k = 0; k < s->k; k++)
    order[start[s->cols[k]]++] = (int)k;
  memset(place, -1, (size_t)n * sizeof *place);
  int entries = 0, next = 0;
  for (int j = 0; j < n; j++) {
    e->ap[j] = entries;
    for (; next < start[j]; next++) {
      int row = s->rows[order[next]];
      if (place[row] < e->ap[j]) {
        place[row] = entries;
        e->ai[entries++] = row;
      }
      e->slot[order[next]] = place[row];
    }
  }
  e->ap[n] = entries;
  g_free(start);
  g_free(order);
  g_free(place);
  e->fixed = g_new0(Phasor, MAX(entries, 1));
  e->ax = g_new(Phasor, MAX(entries, 1));
  for (guint k = 0; k < s->k; k++)
    e->fixed[e->slot[k]] += s->values[k];
}

void
equations_build(Equations *e, const CircuitView *view, const Topology *topology,
                const DiscreteState *state)
{
  equations_clear(e);
  number_unknowns(e, view, topology);
  collect_ports(e, view, topology);
  e->b = g_new0(Phasor, MAX(e->n, 1));
  Stamper s = {.e = e, .view = view, .t = topology, .state = state};
  stamp_all(&s);
  compress(e, &s);
  g_free(s.rows);
  g_free(s.cols);
  g_free(s.values);
}

void
equations_refill(Equations *e, const CircuitView *view, const Topology *topology,
                 const DiscreteState *state)
{
  memset(e->fixed, 0, (size_t)e->ap[e->n] * sizeof *e->fixed);
  collect_ports(e, view, topology);
  Stamper s = {.e = e, .view = view, .t = topology, .state = state};
  stamp_all(&s);
  g_assert(s.k == e->n_stamps);
}

void
equations_set_ports(Equations *e, const Phasor *y)
{
  memcpy(e->ax, e->fixed, (size_t)e->ap[e->n] * sizeof *e->ax);
  for (guint i = 0; i < e->n_ports; i++) {
    const Port *port = &e->ports[i];
    const int *slot = &e->slot[port->first_stamp];
    if (port->plus >= 0)
      e->ax[*slot++] += y[i];
    if (port->minus >= 0)
      e->ax[*slot++] += y[i];
    if (port->plus >= 0 && port->minus >= 0) {
      e->ax[*slot++] -= y[i];
      e->ax[*slot] -= y[i];
    }
  }
}

void
equations_clear(Equations *e)
{
  g_free(e->net_row);
  g_free(e->core_row);
  g_free(e->source_row);
  g_free(e->segment_row);
  g_free(e->impedance_row);
  g_free(e->load_row);
  g_free(e->slot);
  g_free(e->ap);
  g_free(e->ai);
  g_free(e->fixed);
  g_free(e->ax);
  g_free(e->b);
  g_free(e->ports);
  *e = (Equations){0};
}

Phasor
equations_port_volts(const Port *port, const Phasor *x)
{
  return (port->plus >= 0 ? x[port->plus] : 0) - (port->minus >= 0 ? x[port->minus] : 0);
}

/* ---- residual ------------------------------------------------------------------------------- */

static inline double
size_of(Phasor z)
{
  return fabs(creal(z)) + fabs(cimag(z)); /* within sqrt 2 of |z| and far cheaper */
}

void
equations_subtract(const Equations *e, const Phasor *b, const Phasor *x, Phasor *residual)
{
  memcpy(residual, b, (size_t)e->n * sizeof *residual);
  for (int j = 0; j < e->n; j++)
    for (int p = e->ap[j]; p < e->ap[j + 1]; p++)
      residual[e->ai[p]] -= e->ax[p] * x[j];
}

double
equations_residual(const Equations *e, const Phasor *b, const Phasor *x, Phasor *residual)
{
  int n = e->n;
  double *allowed = g_new(double, MAX(n, 1));
  double top = 0, worst = 0;
  for (int i = 0; i < n; i++) {
    double size = size_of(x[i]);
    residual[i] = b[i];
    allowed[i] = size_of(b[i]);
    top = size > top ? size : top;
  }
  /* Rows that are all but dead hold only rounding: judge them beside the largest unknown. */
  double guard = 1e-9 * top;
  for (int j = 0; j < n; j++) {
    Phasor xj = x[j];
    double size = size_of(xj) + guard;
    for (int p = e->ap[j]; p < e->ap[j + 1]; p++) {
      residual[e->ai[p]] -= e->ax[p] * xj;
      allowed[e->ai[p]] += size_of(e->ax[p]) * size;
    }
  }
  for (int i = 0; i < n; i++) {
    double error = size_of(residual[i]);
    if (error > worst * allowed[i])
      worst = error / allowed[i];
    else if (isnan(error) || isnan(allowed[i]))
      worst = INFINITY;
  }
  g_free(allowed);
  return worst;
}
