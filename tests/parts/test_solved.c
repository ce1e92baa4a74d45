/* SPDX-License-Identifier: MIT */
/* The kinds together, solved. Volts follow from the turns ratio and the nameplate's regulation by
 * definition: rated volts at rated load, the stated rise without load. */
#include "bench.h"
#include "random_device.h"
#include "solve/solution.h"

#include <setjmp.h>
#include <stddef.h>

#include <cmocka.h>

static guint
node(const Circuit *circuit, const char *device, const char *terminal)
{
  Landing landing = {(char *)(guintptr)device, (char *)(guintptr)terminal};
  guint at = circuit_node_of_landing(circuit, &landing);
  assert_int_not_equal(at, G_MAXUINT);
  return at;
}

static double
volts(const Solution *solution, const char *a_device, const char *a, const char *b_device,
      const char *b)
{
  Reading reading = solution_reading(solution, node(solution->circuit, a_device, a),
                                     node(solution->circuit, b_device, b));
  assert_int_equal(reading.state, READING_LIVE);
  return cabs(reading.volts);
}

static void
assert_near(double got, double want, double relative)
{
  if (!(fabs(got - want) <= relative * fabs(want)))
    fail_msg("%.9g instead of %.9g", got, want);
}

static Device *
supply_480(void)
{
  Device *supply = bench_device("supply", "S1", "system", "480Y/277", NULL);
  return supply;
}

/* 480 V on the 480 V lead, a resistive load of the whole rating: the secondary has rated volts;
 * without it the secondary stands at the stated no-load rise. */
static void
check_transformer(const char *watts, double want)
{
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_add(document, supply_480());
  bench_add(document, bench_device("transformer", "T1", "rating", "100 VA", "regulation", "8 %",
                                   "no-load-rise", "8 %", NULL));
  bench_land(document, "S1", "L1", "T1", "H4");
  bench_land(document, "S1", "L2", "T1", "H1");
  if (watts) {
    bench_add(document, bench_device("heater", "HTR1", "accepts", "24 V", "power", watts, NULL));
    bench_land(document, "T1", "X2", "HTR1", "1");
    bench_land(document, "T1", "X1", "HTR1", "2");
  }
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(GError) error = NULL;
  g_autoptr(Solution) solution = solution_new(circuit, &error);
  if (!solution)
    fail_msg("%s", error->message);
  assert_true(solution->trust.trusted);
  assert_near(volts(solution, "T1", "X2", "T1", "X1"), want, 2e-3);
  /* Unused leads stand at their share of the turns. */
  assert_near(volts(solution, "T1", "H3", "T1", "H1"), 240, 0.05);
  assert_int_equal(solution_to_earth(solution, node(circuit, "T1", "X2")).state, READING_FLOATING);
}

static void
test_transformer_rated(void **state)
{
  (void)state;
  check_transformer("100 W", 24);
}

static void
test_transformer_open(void **state)
{
  (void)state;
  check_transformer(NULL, 24 * 1.08);
}

/* A relay that seals in through its own contact is worked by volts on its coil; without them its
 * changeover contact stays on NC. */
static void
check_relay(const char *coil_volts, bool pulled_in)
{
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_add(document,
            bench_device("supply", "S1", "lines", "1-phase-line-neutral", "system", "120", NULL));
  bench_add(document, bench_device("relay", "CR1", "coil-volts", coil_volts, NULL));
  bench_add(document, bench_device("lamp", "LT1", NULL));
  bench_land(document, "S1", "L1", "CR1", "A1");
  bench_land(document, "S1", "N", "CR1", "A2");
  bench_land(document, "S1", "L1", "CR1", "C1");
  bench_land(document, "CR1", "NO1", "LT1", "1");
  bench_land(document, "S1", "N", "LT1", "2");
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solution_new(circuit, NULL);
  assert_non_null(solution);
  assert_int_equal(solution->coils[0].pulled_in, pulled_in);
  Reading lamp = solution_reading(solution, node(circuit, "LT1", "1"), node(circuit, "LT1", "2"));
  assert_near(cabs(lamp.volts) + 1, (pulled_in ? 120 : 0) + 1, 1e-6);
}

static void
test_relay(void **state)
{
  (void)state;
  check_relay("120 V", true);
  check_relay("240 V", false); /* 120 V is 50 % of it, below pick-up */
}

/* A three-phase motor on balanced rated volts draws its full-load amperes (definition). */
static void
test_motor_running(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_add(document, supply_480());
  bench_add(document, bench_device("motor", "M1", "phases", "3-phase", "accepts", "480 V",
                                   "full-load", "7.6 A", NULL));
  bench_land(document, "S1", "L1", "M1", "T1");
  bench_land(document, "S1", "L2", "M1", "T2");
  bench_land(document, "S1", "L3", "M1", "T3");
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solution_new(circuit, NULL);
  assert_non_null(solution);
  for (guint i = 0; i < 3; i++)
    assert_near(cabs(solution->motor_amps[i]), 7.6, 5e-3);
}

/* Random devices, randomly wired: a trusted solution or a refusal with a reason, never a number
 * that is none. */
static void
land_at_random(GRand *rand, Document *document)
{
  guint n = document_device_count(document);
  for (guint i = 0; i < 2 * n; i++) {
    const Device *a = document_device(document, (guint)g_rand_int_range(rand, 0, (gint32)n));
    const Device *b = document_device(document, (guint)g_rand_int_range(rand, 0, (gint32)n));
    guint na = device_terminal_count(a), nb = device_terminal_count(b);
    if (na == 0 || nb == 0 || a == b)
      continue;
    bench_land(document, a->id,
               device_terminal(a, (guint)g_rand_int_range(rand, 0, (gint32)na))->name, b->id,
               device_terminal(b, (guint)g_rand_int_range(rand, 0, (gint32)nb))->name);
  }
}

static Document *
random_document(GRand *rand)
{
  PartCatalog catalog = parts_catalog();
  Document *document = document_new(catalog);
  bench_add(document, supply_480());
  for (guint i = 0; catalog[i]; i++) {
    g_autofree char *id = document_free_id(document, catalog[i]->designation);
    Device *device = random_device(rand, catalog[i], id);
    if (device_derive(device, NULL))
      bench_add(document, device);
    else
      device_unref(device);
  }
  land_at_random(rand, document);
  return document;
}

static void
test_random_wiring(void **state)
{
  (void)state;
  GRand *rand = g_rand_new_with_seed(17);
  guint solved = 0, rounds = 150;
  for (guint round = 0; round < rounds; round++) {
    g_autoptr(Document) document = random_document(rand);
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    g_autoptr(GError) error = NULL;
    g_autoptr(Solution) solution = solution_new(circuit, &error);
    if (!solution) {
      assert_non_null(error);
      assert_true(strlen(error->message) > 10);
      continue;
    }
    solved++;
    assert_true(solution->trust.trusted);
    for (guint i = 1; i < circuit->n_nodes; i++) {
      Reading reading = solution_to_earth(solution, i);
      assert_true(isfinite(creal(reading.volts)) && isfinite(cimag(reading.volts)));
    }
  }
  g_rand_free(rand);
  print_message("%u of %u random wirings solved\n", solved, rounds);
  assert_true(solved > rounds * 9 / 10);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_transformer_rated),
      cmocka_unit_test(test_transformer_open),
      cmocka_unit_test(test_relay),
      cmocka_unit_test(test_motor_running),
      cmocka_unit_test(test_random_wiring),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
