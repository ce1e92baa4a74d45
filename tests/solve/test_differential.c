/* SPDX-License-Identifier: MIT */
/* The solver against an independent simulator library on random networks. DOORSHEET_SEED repeats
 * a run, DOORSHEET_NETWORKS sets how many (1000). */
#include "random_network.h"
#include "solve/internal.h"
#include "spice.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

typedef struct {
  double volts, amps; /* largest differences, of the network's largest */
  guint devices, floating, live, dead, nodes;
} Worst;

/* Ours to the island's lowest node, as the library has it. */
static double
compare_volts(const Circuit *c, const Solution *s, const Phasor *theirs, Worst *worst)
{
  Phasor *base = g_new0(Phasor, MAX(s->islands->len, 1));
  bool *seen = g_new0(bool, MAX(s->islands->len, 1));
  double largest = 0, difference = 0;
  for (guint i = 0; i < c->n_nodes; i++) {
    guint net = s->net_of_node[i], island = s->island_of_net[net];
    bool grounded = g_array_index(s->islands, Island, island).grounded;
    if (!seen[island])
      base[island] = grounded ? 0 : s->net_volts[net];
    seen[island] = true;
    Phasor ours = s->net_volts[net] - base[island];
    largest = fmax(largest, cabs(theirs[i]));
    difference = fmax(difference, cabs(ours - theirs[i]));
  }
  for (guint i = 0; i < s->islands->len; i++) {
    const Island *island = &g_array_index(s->islands, Island, i);
    worst->floating += !island->grounded;
    worst->live += island->live;
    worst->dead += !island->live;
  }
  worst->nodes += c->n_nodes;
  g_free(base);
  g_free(seen);
  return largest > 0 ? difference / largest : difference;
}

static void
compare_current(Phasor ours, Phasor theirs, double *largest, double *difference)
{
  *largest = fmax(*largest, cabs(theirs));
  *difference = fmax(*difference, cabs(ours - theirs));
}

/* Currents of sources, windings and joints. */
static double
compare_amps(const Circuit *c, const Solution *s, const SpiceResult *theirs)
{
  double largest = 1e-3, difference = 0; /* an unloaded network's currents are rounding */
  for (guint i = 0; i < c->sources->len; i++)
    compare_current(s->source_amps[i], theirs->source_amps[i], &largest, &difference);
  for (guint i = 0; i < c->segments->len; i++)
    compare_current(s->segment_amps[i], theirs->segment_amps[i], &largest, &difference);
  for (guint i = 0; i < c->joins->len; i++)
    if (theirs->join_known[i] && !s->join_split_assumed[i])
      compare_current(s->join_amps[i], theirs->join_amps[i], &largest, &difference);
  return difference / largest;
}

static void
compare_network(GRand *random, guint number, Worst *worst)
{
  /* Mostly the size of a door sheet, some larger. */
  RandomOptions options = {.devices = number % 50 == 0 ? 300 : 10 + (number * 7) % 90};
  g_autoptr(Circuit) c = random_network(random, &options);
  g_autoptr(GError) error = NULL;
  g_autoptr(Solution) s = solution_new(c, &error);
  if (s == NULL)
    fail_msg("network %u refused: %s", number, error->message);
  SpiceResult theirs;
  spice_result_init(&theirs, c);
  assert_true(spice_solve(c, s, &theirs));
  double apart = compare_volts(c, s, theirs.volts, worst);
  double apart_amps = compare_amps(c, s, &theirs);
  spice_result_clear(&theirs);
  if (!(apart < 1e-6))
    fail_msg("network %u: volts differ by %.2e of the largest", number, apart);
  if (!(apart_amps < 1e-6))
    fail_msg("network %u: currents differ by %.2e of the largest", number, apart_amps);
  worst->volts = fmax(worst->volts, apart);
  worst->amps = fmax(worst->amps, apart_amps);
  worst->devices += random_device_count(c);
}

static void
test_random_networks(void **state)
{
  (void)state;
  const char *given = g_getenv("DOORSHEET_NETWORKS");
  guint count = given != NULL ? (guint)g_ascii_strtoull(given, NULL, 10) : 1000;
  g_autoptr(GRand) random = g_rand_new_with_seed(random_seed());
  Worst worst = {0};
  for (guint i = 0; i < count; i++)
    compare_network(random, i, &worst);
  printf("%u networks, %u devices, %u nodes, %u islands live, %u dead, %u floating\n"
         "largest difference: volts %.2e, amperes %.2e (of each network's largest)\n",
         count, worst.devices, worst.nodes, worst.live, worst.dead, worst.floating, worst.volts,
         worst.amps);
  assert_true(worst.floating > count / 4);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_random_networks)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
