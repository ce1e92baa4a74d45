/* SPDX-License-Identifier: MIT */
#include "random_network.h"

#include "rig.h"

#include <math.h>
#include <stdio.h>

/* Two nodes something can be fed from, and three. */
typedef struct {
  guint a, b;
  double volts;
  bool limited; /* a transformer stands before it: it may be shorted */
} Feed;
typedef struct {
  guint line[3];
  double volts; /* line to line */
} Triple;

typedef struct {
  Circuit *circuit;
  GRand *random;
  const RandomOptions *options;
  GArray *feeds, *triples;
  guint devices;
} Maker;

static guint
new_node(Maker *m)
{
  return m->circuit->n_nodes++;
}

static double
between(Maker *m, double low, double high)
{
  return g_rand_double_range(m->random, low, high);
}

/* Even in the logarithm. */
static double
spread(Maker *m, double low, double high)
{
  return exp(between(m, log(low), log(high)));
}

static bool
chance(Maker *m, double share)
{
  return g_rand_double(m->random) < share;
}

static void
offer(Maker *m, guint a, guint b, double volts, bool limited)
{
  Feed feed = {.a = a, .b = b, .volts = volts, .limited = limited};
  g_array_append_val(m->feeds, feed);
}

static void
offer_three(Maker *m, guint a, guint b, guint c, double volts)
{
  Triple triple = {.line = {a, b, c}, .volts = volts};
  g_array_append_val(m->triples, triple);
}

/* Mostly something recent, so that circuits grow long rather than into one star. */
static Feed
some_feed(Maker *m)
{
  guint n = m->feeds->len, back = MIN(n, 25);
  gint lowest = chance(m, 0.1) ? 0 : (gint)(n - back);
  guint at = (guint)g_rand_int_range(m->random, lowest, (gint)n);
  return g_array_index(m->feeds, Feed, at);
}

static Phasor
supply_ohms(Maker *m, double volts)
{
  double z = volts / spread(m, 500, 30000), ratio = between(m, 0.5, 8);
  double r = z / sqrt(1 + ratio * ratio);
  return CMPLX(r, r * ratio);
}

/* ---- supplies -------------------------------------------------------------------------------- */

static void
add_one_phase(Maker *m, bool three_wire)
{
  double volts = three_wire ? 240 : 120;
  guint hot = new_node(m);
  Phasor z = supply_ohms(m, volts);
  rig_source(m->circuit, hot, 0, rig_polar(120 * between(m, 0.95, 1.05), 0), z);
  offer(m, hot, 0, 120, false);
  m->devices++;
  if (three_wire) {
    guint other = new_node(m);
    rig_source(m->circuit, other, 0, rig_polar(120 * between(m, 0.95, 1.05), 180), z);
    offer(m, other, 0, 120, false);
    offer(m, hot, other, 240, false);
    m->devices++;
  }
}

static void
add_wye(Maker *m, double line_volts, bool reverse)
{
  guint line[3];
  Phasor z = supply_ohms(m, line_volts);
  for (guint k = 0; k < 3; k++) {
    line[k] = new_node(m);
    double degrees = (reverse ? 120.0 : -120.0) * k + between(m, -1, 1);
    rig_source(m->circuit, line[k], 0,
               rig_polar(line_volts / sqrt(3) * between(m, 0.98, 1.02), degrees), z);
    offer(m, line[k], 0, line_volts / sqrt(3), false);
    m->devices++;
  }
  offer(m, line[0], line[1], line_volts, false);
  offer(m, line[1], line[2], line_volts, false);
  offer_three(m, line[0], line[1], line[2], line_volts);
}

/* Two EMFs make a delta; `how` grounds a corner, the middle of one side, or nothing. */
static void
add_delta(Maker *m, double volts, int how)
{
  guint a = how == 0 ? 0 : new_node(m), b = new_node(m), c = new_node(m);
  Phasor z = supply_ohms(m, volts);
  if (how == 1) { /* high leg: a and c stand half the volts either side of ground */
    rig_source(m->circuit, a, 0, rig_polar(volts / 2, 0), z / 2);
    rig_source(m->circuit, 0, c, rig_polar(volts / 2, 0), z / 2);
    offer(m, a, 0, volts / 2, false);
    m->devices++;
  } else {
    rig_source(m->circuit, a, c, rig_polar(volts * between(m, 0.98, 1.02), 0), z);
  }
  rig_source(m->circuit, b, c, rig_polar(volts * between(m, 0.98, 1.02), 60), z);
  offer(m, a, b, volts, false);
  offer(m, b, c, volts, false);
  offer_three(m, a, b, c, volts);
  m->devices += 2;
}

static void
add_supply(Maker *m)
{
  static const double wye[] = {208, 400, 480, 600}, delta[] = {208, 240, 480, 600};
  switch (g_rand_int_range(m->random, 0, 6)) {
  case 0:
    add_one_phase(m, false);
    break;
  case 1:
    add_one_phase(m, true);
    break;
  case 2:
    add_delta(m, delta[g_rand_int_range(m->random, 0, 4)], 0);
    break;
  case 3:
    add_delta(m, 240, 1);
    break;
  case 4:
    add_delta(m, delta[g_rand_int_range(m->random, 0, 4)], 2);
    break;
  default:
    add_wye(m, wye[g_rand_int_range(m->random, 0, 4)], chance(m, 0.3));
  }
}

/* ---- devices --------------------------------------------------------------------------------- */

static Phasor
conductor_ohms(Maker *m)
{
  double r = spread(m, 1e-4, 0.8);
  return CMPLX(r, r * between(m, 0.01, 0.6));
}

static guint
lead_on(Maker *m, guint node)
{
  guint next = new_node(m);
  if (chance(m, 0.35))
    rig_join(m->circuit, node, next, chance(m, 0.93));
  else
    rig_impedance(m->circuit, node, next, conductor_ohms(m));
  m->devices++;
  return next;
}

static void
add_feeder(Maker *m)
{
  Feed feed = some_feed(m);
  guint a = lead_on(m, feed.a), b = feed.b;
  if (b != 0 && chance(m, 0.7))
    b = lead_on(m, b);
  offer(m, a, b, feed.volts, feed.limited);
}

static void
add_load(Maker *m)
{
  Feed feed = some_feed(m);
  Phasor power = rig_polar(spread(m, 5, 1500), between(m, 0, 60));
  LoadBehaviour behaviour = LOAD_CONSTANT_IMPEDANCE;
  double low = 0.7;
  m->devices++;
  if (m->options->overload > 0) {
    power *= m->options->overload;
    low = spread(m, 0.02, 0.7);
  }
  if (m->options->nonlinear && chance(m, 0.6))
    behaviour = chance(m, 0.6) ? LOAD_CONSTANT_POWER : LOAD_CONSTANT_CURRENT;
  if (chance(m, 0.15))
    rig_impedance(m->circuit, feed.a, feed.b, feed.volts * feed.volts / conj(power));
  else
    rig_load(m->circuit, feed.a, feed.b, behaviour, power, feed.volts, low * feed.volts,
             1.2 * feed.volts);
}

static void
add_capacitor(Maker *m)
{
  Feed feed = some_feed(m);
  rig_impedance(m->circuit, feed.a, feed.b,
                CMPLX(0.01, -feed.volts * feed.volts / spread(m, 20, 300)));
  m->devices++;
}

/* A tapped winding from a to b; the taps beyond b, when any, are left free. Returns nothing new. */
static void
add_winding(Maker *m, guint core, guint a, guint b, double volts, double va, double per_unit,
            guint taps)
{
  guint low = b;
  double from = 0;
  for (guint k = 1; k <= taps; k++) {
    double to = volts * k / taps;
    guint high = k == taps ? a : new_node(m);
    Phasor z = CMPLX(per_unit, per_unit * 0.5) * (to * to - from * from) / va;
    rig_segment(m->circuit, core, high, low, to - from, z);
    low = high;
    from = to;
  }
  if (chance(m, 0.3)) /* a tap nobody uses, above */
    rig_segment(m->circuit, core, new_node(m), a, volts * 0.15,
                CMPLX(per_unit, per_unit) * volts * volts * 0.3 / va);
}

static void
add_transformer(Maker *m)
{
  static const double secondaries[] = {12, 24, 120, 240, 480};
  Feed feed = some_feed(m);
  double va = spread(m, 40, 5000);
  guint core = rig_core(m->circuit, va * between(m, 0.005, 0.03), va * between(m, 0.02, 0.1));
  add_winding(m, core, feed.a, feed.b, feed.volts * between(m, 0.85, 1.15), va,
              between(m, 0.01, 0.03), (guint)g_rand_int_range(m->random, 1, 4));
  if (m->options->nonlinear) {
    Core *c = circuit_item(m->circuit->cores, Core, core);
    c->knee = between(m, 0.9, 1.3);
    c->saturated_susceptance = va / spread(m, 0.02, 0.4);
  }
  guint windings = chance(m, 0.3) ? 2 : 1;
  for (guint k = 0; k < windings; k++) {
    double volts = secondaries[g_rand_int_range(m->random, 0, G_N_ELEMENTS(secondaries))];
    guint a = new_node(m), b = new_node(m);
    add_winding(m, core, a, b, volts, va / windings, between(m, 0.01, 0.03),
                (guint)g_rand_int_range(m->random, 1, 3));
    if (chance(m, 0.5))
      rig_join(m->circuit, b, 0, true);
    offer(m, a, b, volts, true);
  }
  m->devices++;
}

static void
add_three_phase(Maker *m)
{
  if (m->triples->len == 0)
    return;
  Triple t =
      g_array_index(m->triples, Triple, g_rand_int_range(m->random, 0, (gint)m->triples->len));
  guint first = m->circuit->impedances->len;
  Phasor z = conductor_ohms(m);
  Triple next = {.volts = t.volts};
  for (guint k = 0; k < 3; k++) {
    next.line[k] = new_node(m);
    rig_impedance(m->circuit, t.line[k], next.line[k], z);
    for (guint j = 0; j < k; j++) {
      Coupling coupling = {
          .first = first + k, .second = first + j, .z = CMPLX(0.3 * creal(z), 0.5 * cimag(z))};
      g_array_append_val(m->circuit->couplings, coupling);
    }
  }
  g_array_append_val(m->triples, next);
  offer(m, next.line[0], next.line[1], t.volts, false);
  offer(m, next.line[2], next.line[1], t.volts, false);
  m->devices += 3;
}

static void
add_motor(Maker *m)
{
  if (m->triples->len == 0)
    return;
  Triple t =
      g_array_index(m->triples, Triple, g_rand_int_range(m->random, 0, (gint)m->triples->len));
  Phasor y = rig_polar(spread(m, 1, 20) / t.volts, -between(m, 20, 50));
  rig_motor(m->circuit, t.line[0], t.line[1], t.line[2], y, 5 * y * rig_polar(1, -30));
  m->devices++;
}

static void
add_delta_load(Maker *m)
{
  if (m->triples->len == 0)
    return;
  Triple t = g_array_index(m->triples, Triple, m->triples->len - 1);
  DeltaLoad delta = {.a = t.line[0], .b = t.line[1], .c = t.line[2]};
  for (int i = 0; i < 3; i++) {
    Phasor y = rig_polar(spread(m, 50, 2000) / (t.volts * t.volts), -between(m, 0, 50));
    delta.y[i][i] = y;
    delta.y[(i + 1) % 3][i] = -y;
  }
  g_array_append_val(m->circuit->deltas, delta);
  m->devices++;
}

static void
add_coil(Maker *m)
{
  Feed feed = some_feed(m);
  rig_coil(m->circuit, feed.a, feed.b, feed.volts, 0.8 * feed.volts, 0.5 * feed.volts,
           rig_polar(spread(m, 5, 20), 60), rig_polar(spread(m, 30, 90), 50));
  m->devices++;
}

static void
add_short(Maker *m)
{
  Feed feed = some_feed(m);
  if (feed.limited && feed.a != feed.b) {
    rig_join(m->circuit, feed.a, feed.b, true);
    m->devices++;
  }
}

static void
add_dead_part(Maker *m)
{
  guint a = new_node(m), b = new_node(m), c = new_node(m);
  rig_impedance(m->circuit, a, b, CMPLX(spread(m, 0.01, 100), 1));
  rig_join(m->circuit, b, c, chance(m, 0.5));
  m->devices += 2;
}

static void
add_splice(Maker *m)
{
  Feed feed = some_feed(m);
  guint centre = new_node(m);
  rig_join(m->circuit, feed.a, centre, true);
  for (guint k = 0; k < 2; k++) {
    guint end = new_node(m);
    rig_join(m->circuit, centre, end, true);
    offer(m, end, feed.b, feed.volts, feed.limited);
  }
  m->devices++;
}

static void
grow(Maker *m)
{
  static const struct {
    double upto;
    void (*add)(Maker *);
    bool plain;
  } actions[] = {
      {0.34, add_feeder, true},      {0.64, add_load, true},       {0.72, add_transformer, true},
      {0.80, add_three_phase, true}, {0.84, add_splice, true},     {0.88, add_capacitor, true},
      {0.91, add_dead_part, true},   {0.93, add_delta_load, true}, {0.96, add_motor, false},
      {0.985, add_coil, false},      {1.01, add_short, false}};
  double draw = g_rand_double(m->random);
  guint i = 0;
  while (draw > actions[i].upto)
    i++;
  if (actions[i].plain || !m->options->plain)
    actions[i].add(m);
}

Circuit *
random_network(GRand *random, const RandomOptions *options)
{
  Maker m = {.circuit = circuit_new_bare(1), .random = random, .options = options};
  m.feeds = g_array_new(FALSE, FALSE, sizeof(Feed));
  m.triples = g_array_new(FALSE, FALSE, sizeof(Triple));
  guint next_supply = 0;
  while (m.devices < options->devices) {
    if (m.devices >= next_supply) {
      add_supply(&m);
      next_supply = m.devices + (guint)g_rand_int_range(random, 60, 400);
    }
    grow(&m);
  }
  g_array_unref(m.feeds);
  g_array_unref(m.triples);
  return m.circuit;
}

guint32
random_seed(void)
{
  const char *given = g_getenv("DOORSHEET_SEED");
  guint32 seed =
      given != NULL ? (guint32)g_ascii_strtoull(given, NULL, 10) : (guint32)g_get_real_time();
  printf("seed %u (set DOORSHEET_SEED=%u to repeat)\n", seed, seed);
  fflush(stdout);
  return seed;
}
