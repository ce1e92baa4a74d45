/* SPDX-License-Identifier: MIT */
#include "spice.h"

#include <math.h>
#include <ngspice/sharedspice.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  const Circuit *circuit;
  const Solution *solution;
  SpiceResult *result;
  GPtrArray *deck; /* lines, owned */
  guint next;      /* auxiliary nodes and names */
} Deck;

static SpiceResult *results;
static const Circuit *results_of;
static guint results_seen;
static double last_seconds;

static void line(Deck *d, const char *format, ...) G_GNUC_PRINTF(2, 3);
static void
line(Deck *d, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_ptr_array_add(d->deck, g_strdup_vprintf(format, arguments));
  va_end(arguments);
}

/* "n5", "0", or "x7" for an auxiliary node. */
static const char *
node(guint index)
{
  static char names[8][16];
  static guint turn;
  char *name = names[turn++ % 8];
  if (index == 0)
    return "0";
  g_snprintf(name, sizeof names[0], "n%u", index);
  return name;
}

/* R and L or C in series between two named nodes; the angular frequency is 1. */
static void
series(Deck *d, const char *from, const char *to, Phasor z)
{
  double r = creal(z), x = cimag(z);
  guint k = d->next++;
  char middle[16];
  g_snprintf(middle, sizeof middle, "m%u", k);
  const char *turn = x != 0 ? middle : to;
  if (r != 0)
    line(d, "r%u %s %s %.17g", k, from, turn, r);
  else
    turn = from;
  if (x > 0)
    line(d, "l%u %s %s %.17g", k, turn, to, x);
  else if (x < 0)
    line(d, "c%u %s %s %.17g", k, turn, to, -1 / x);
  else if (r == 0)
    line(d, "vz%u %s %s 0", k, from, to);
}

/* ---- elements -------------------------------------------------------------------------------- */

/* A chain of auxiliary nodes: sense, R-L, one controlled source a partner. Resistive coupling is
 * a current-controlled voltage; inductive coupling a pair of mutual inductors written the same way
 * through an auxiliary inductor would hide signs, so the voltage across a unit inductor that
 * carries the partner's current is used. */
static bool
is_coupled(const Circuit *c, guint impedance)
{
  for (guint i = 0; i < c->couplings->len; i++) {
    const Coupling *k = circuit_item(c->couplings, Coupling, i);
    if (k->first == impedance || k->second == impedance)
      return true;
  }
  return false;
}

static void
coupled_impedance(Deck *d, guint index)
{
  const Circuit *c = d->circuit;
  const Impedance *z = circuit_item(c->impedances, Impedance, index);
  char from[24], to[24];
  guint step = 0;
  line(d, "vi%u %s ci%u_0 0", index, node(z->a), index);
  /* j times the current of this conductor, for its partners: into 1 henry */
  line(d, "fj%u 0 cj%u vi%u 1", index, index, index);
  line(d, "lj%u cj%u 0 1", index, index);
  for (guint i = 0; i < c->couplings->len; i++) {
    const Coupling *k = circuit_item(c->couplings, Coupling, i);
    if (k->first != index && k->second != index)
      continue;
    guint partner = k->first == index ? k->second : k->first;
    g_snprintf(from, sizeof from, "ci%u_%u", index, step);
    line(d, "hr%u_%u %s ci%u_%u vi%u %.17g", index, i, from, index, step + 1, partner, creal(k->z));
    line(d, "ex%u_%u ci%u_%u ci%u_%u cj%u 0 %.17g", index, i, index, step + 1, index, step + 2,
         partner, cimag(k->z));
    step += 2;
  }
  g_snprintf(to, sizeof to, "ci%u_%u", index, step);
  series(d, to, node(z->b), z->z);
}

static void
impedances(Deck *d)
{
  for (guint i = 0; i < d->circuit->impedances->len; i++) {
    const Impedance *z = circuit_item(d->circuit->impedances, Impedance, i);
    if (is_coupled(d->circuit, i))
      coupled_impedance(d, i);
    else if (z->a != z->b)
      series(d, node(z->a), node(z->b), z->z);
  }
}

static guint
root_of(guint *parent, guint i)
{
  while (parent[i] != i)
    i = parent[i] = parent[parent[i]];
  return i;
}

/* A joint that closes a loop of joints is left out: its current is nobody's business. */
static void
joins(Deck *d)
{
  guint *parent = g_new(guint, d->circuit->n_nodes);
  for (guint i = 0; i < d->circuit->n_nodes; i++)
    parent[i] = i;
  for (guint i = 0; i < d->circuit->joins->len; i++) {
    const Join *join = circuit_item(d->circuit->joins, Join, i);
    guint a = root_of(parent, join->a), b = root_of(parent, join->b);
    if (!d->solution->join_closed[i] || a == b)
      continue;
    parent[a] = b;
    d->result->join_known[i] = true;
    line(d, "vj%u %s %s 0", i, node(join->a), node(join->b));
  }
  g_free(parent);
}

static void
sources(Deck *d)
{
  for (guint i = 0; i < d->circuit->sources->len; i++) {
    const Source *s = circuit_item(d->circuit->sources, Source, i);
    char inner[16];
    g_snprintf(inner, sizeof inner, "s%u", i);
    line(d, "vs%u %s %s dc 0 ac %.17g %.17g", i, s->z != 0 ? inner : node(s->a), node(s->b),
         cabs(s->emf), carg(s->emf) * 180 / G_PI);
    if (s->z != 0)
      series(d, inner, node(s->a), s->z);
  }
}

static void
transformers(Deck *d)
{
  for (guint i = 0; i < d->circuit->segments->len; i++) {
    const Segment *s = circuit_item(d->circuit->segments, Segment, i);
    char inner[16];
    g_snprintf(inner, sizeof inner, "wb%u", i);
    line(d, "vw%u %s wa%u 0", i, node(s->a), i);
    line(d, "ew%u wa%u %s e%u 0 %.17g", i, i, inner, s->core, s->turns);
    line(d, "fw%u 0 e%u vw%u %.17g", i, s->core, i, s->turns);
    series(d, inner, node(s->b), s->z);
  }
  for (guint i = 0; i < d->circuit->cores->len; i++) {
    const Core *core = circuit_item(d->circuit->cores, Core, i);
    line(d, "re%u e%u 0 %.17g", i, i, 1 / core->excitation_conductance);
    line(d, "le%u e%u 0 %.17g", i, i, 1 / core->excitation_susceptance);
  }
}

static void
loads(Deck *d)
{
  const Circuit *c = d->circuit;
  for (guint i = 0; i < c->loads->len; i++) {
    const Load *load = circuit_item(c->loads, Load, i);
    if (load->a != load->b)
      series(d, node(load->a), node(load->b),
             load->rated_volts * load->rated_volts / conj(load->power));
  }
  for (guint i = 0; i < c->coils->len; i++) {
    const Coil *coil = circuit_item(c->coils, Coil, i);
    Phasor power = d->solution->coils[i].pulled_in ? coil->sealed_va : coil->inrush_va;
    if (coil->a != coil->b)
      series(d, node(coil->a), node(coil->b), coil->rated_volts * coil->rated_volts / conj(power));
  }
}

/* Currents into terminals 0 and 1 (out of 2) by two control voltages to terminal 2. */
static void
three_terminals(Deck *d, const guint *nodes, Phasor (*y)[2])
{
  guint k = d->next++;
  char common[16];
  g_strlcpy(common, node(nodes[2]), sizeof common);
  for (int j = 0; j < 2; j++) {
    line(d, "gq%u_%d 0 q%u_%d %s %s 1", k, j, k, j, node(nodes[j]), common);
    line(d, "lq%u_%d q%u_%d 0 1", k, j, k, j);
  }
  for (int i = 0; i < 2; i++)
    for (int j = 0; j < 2; j++) {
      line(d, "gr%u_%d%d %s %s %s %s %.17g", k, i, j, node(nodes[i]), common, node(nodes[j]),
           common, creal(y[i][j]));
      line(d, "gi%u_%d%d %s %s q%u_%d 0 %.17g", k, i, j, node(nodes[i]), common, k, j,
           cimag(y[i][j]));
    }
}

static void
motors(Deck *d)
{
  const Circuit *c = d->circuit;
  const Phasor turn = CMPLX(-0.5, sqrt(3) / 2);
  for (guint i = 0; i < c->motors->len; i++) {
    const Motor *m = circuit_item(c->motors, Motor, i);
    bool back = d->solution->motor_backwards[i];
    Phasor y1 = back ? m->y_negative : m->y_positive, y2 = back ? m->y_positive : m->y_negative;
    /* I = y1 V1 + y2 V2 at a and y1 a2 V1 + y2 a V2 at b, V1 = (Va + a Vb)/3, V2 = (Va + a2 Vb)/3
     * with volts to c: 3 V1 lacks a2 Vc and 3 V2 lacks a Vc, both 0. */
    Phasor y[2][2] = {{(y1 + y2) / 3, (y1 * turn + y2 * conj(turn)) / 3},
                      {(y1 * conj(turn) + y2 * turn) / 3, (y1 + y2) / 3}};
    three_terminals(d, (guint[]){m->a, m->b, m->c}, y);
  }
  for (guint i = 0; i < c->deltas->len; i++) {
    const DeltaLoad *t = circuit_item(c->deltas, DeltaLoad, i);
    Phasor y[2][2];
    for (int k = 0; k < 2; k++) { /* Vab = Va - Vb, Vbc = Vb, Vca = -Va, to c */
      y[k][0] = t->y[k][0] - t->y[k][2];
      y[k][1] = t->y[k][1] - t->y[k][0];
    }
    three_terminals(d, (guint[]){t->a, t->b, t->c}, y);
  }
}

static void
references(Deck *d)
{
  const Solution *s = d->solution;
  bool *done = g_new0(bool, MAX(s->islands->len, 1));
  for (guint i = 0; i < d->circuit->n_nodes; i++) {
    guint island = s->island_of_net[s->net_of_node[i]];
    if (!done[island] && !g_array_index(s->islands, Island, island).grounded)
      line(d, "rref%u %s 0 1", island, node(i));
    done[island] = true;
  }
  g_free(done);
}

/* ---- the library ------------------------------------------------------------------------------
 */

static int
on_text(char *text, int id, void *data)
{
  (void)id;
  (void)data;
  if (strstr(text, "rror") != NULL || strstr(text, "singular") != NULL)
    fprintf(stderr, "%s\n", text);
  return 0;
}

static int
on_status(char *text, int id, void *data)
{
  (void)text;
  (void)id;
  (void)data;
  return 0;
}

static int
on_exit_request(int status, NG_BOOL now, NG_BOOL quit, int id, void *data)
{
  (void)now;
  (void)quit;
  (void)id;
  (void)data;
  fprintf(stderr, "the simulator library asked to exit with %d\n", status);
  return 0;
}

/* "vs12#branch": the current through a voltage source, from its first node inside to its second. */
static void
take_branch(const char *name, Phasor amps)
{
  unsigned index;
  char kind;
  if (sscanf(name, "v%c%u#branch", &kind, &index) != 2)
    return;
  if (kind == 's' && index < results_of->sources->len)
    results->source_amps[index] = -amps;
  else if (kind == 'w' && index < results_of->segments->len)
    results->segment_amps[index] = amps;
  else if (kind == 'j' && index < results_of->joins->len)
    results->join_amps[index] = amps;
}

static int
on_data(pvecvaluesall values, int count, int id, void *data)
{
  (void)count;
  (void)id;
  (void)data;
  for (int i = 0; i < values->veccount; i++) {
    const char *name = values->vecsa[i]->name;
    Phasor value = CMPLX(values->vecsa[i]->creal, values->vecsa[i]->cimag);
    unsigned index;
    char rest[16] = "";
    if (g_ascii_strncasecmp(name, "v(", 2) == 0)
      name += 2;
    if (sscanf(name, "n%u%8s", &index, rest) >= 1 && (*rest == '\0' || *rest == ')') &&
        index < results_of->n_nodes) {
      results->volts[index] = value;
      results_seen++;
    } else {
      take_branch(name, value);
    }
  }
  return 0;
}

/* Without it the library sends no data either. */
static int
on_names(pvecinfoall names, int id, void *data)
{
  (void)names;
  (void)id;
  (void)data;
  return 0;
}

static void
start_library(void)
{
  static bool started;
  if (!started)
    ngSpice_Init(on_text, on_status, on_exit_request, on_data, on_names, NULL, NULL);
  started = true;
}

static void
command(const char *text)
{
  char copy[64];
  g_strlcpy(copy, text, sizeof copy);
  ngSpice_Command(copy);
}

void
spice_result_init(SpiceResult *result, const Circuit *circuit)
{
  result->volts = g_new0(Phasor, circuit->n_nodes);
  result->source_amps = g_new0(Phasor, circuit->sources->len + 1);
  result->segment_amps = g_new0(Phasor, circuit->segments->len + 1);
  result->join_amps = g_new0(Phasor, circuit->joins->len + 1);
  result->join_known = g_new0(bool, circuit->joins->len + 1);
}

void
spice_result_clear(SpiceResult *result)
{
  g_free(result->volts);
  g_free(result->source_amps);
  g_free(result->segment_amps);
  g_free(result->join_amps);
  g_free(result->join_known);
}

bool
spice_solve(const Circuit *circuit, const Solution *solution, SpiceResult *result)
{
  Deck d = {.circuit = circuit, .solution = solution, .result = result};
  d.deck = g_ptr_array_new_with_free_func(g_free);
  line(&d, "differential test");
  line(&d, ".options noopac");
  impedances(&d);
  joins(&d);
  sources(&d);
  transformers(&d);
  loads(&d);
  motors(&d);
  references(&d);
  line(&d, ".ac lin 1 %.17g %.17g", 1 / (2 * G_PI), 1 / (2 * G_PI));
  line(&d, ".end");
  g_ptr_array_add(d.deck, NULL);
  results = result;
  results_of = circuit;
  results_seen = 0;
  start_library();
  gint64 begin = g_get_monotonic_time();
  ngSpice_Circ((char **)d.deck->pdata);
  command("run");
  last_seconds = (double)(g_get_monotonic_time() - begin) * 1e-6;
  command("destroy all");
  command("remcirc");
  g_ptr_array_unref(d.deck);
  return results_seen > 0 || circuit->n_nodes <= 1;
}

double
spice_seconds(void)
{
  return last_seconds;
}
