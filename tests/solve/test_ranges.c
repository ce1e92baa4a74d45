/* SPDX-License-Identifier: MIT */
/* Expected ranges over everything that may vary at once: supply, loads, and what a nameplate leaves
 * open. A random draw inside the stated variations may not leave the range. */
#include "bench.h"
#include "parts/catalog.h"
#include "solve/meter.h"
#include "study.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void
add_supply(Document *document, const char *volts)
{
  const char *readings[6] = {volts, NULL, NULL, volts, "0 V", NULL};
  bench_supply(document, "S1", "1-phase-2-wire", readings);
  bench_add(document, "GRD1", "ground", NULL);
}

/* 480 to 120 V, then 120 to 24 V behind it, each with a load, and a heater before both. */
static Document *
two_in_a_row(void)
{
  Document *document = document_new(parts_catalog());
  add_supply(document, "480 V");
  bench_transformer(document, "T1", "500 VA", "H1 primary 0 V", "H2 primary 480 V",
                    "X1 secondary 0 V", "X2 secondary 120 V", NULL);
  bench_transformer(document, "T2", "75 VA", "H1 primary 0 V", "H2 primary 120 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_add(document, "HTR1", "heater", "rated-volts", "120 V", "power", "200 W", NULL);
  bench_add(document, "LD1", "load", "accepts", "20..28 V", "power", "40 VA", "behaviour",
            "constant-power", "power-factor", "0.9", NULL);
  bench_land_sized(document, "S1.L1", "T1.H2", "14 AWG", "50 ft");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.X1", "GRD1.1");
  bench_land_sized(document, "T1.X2", "HTR1.1", "14 AWG", "40 ft");
  bench_land(document, "HTR1.2", "T1.X1");
  bench_land(document, "HTR1.1", "T2.H2");
  bench_land(document, "HTR1.2", "T2.H1");
  bench_land(document, "T2.X1", "GRD1.1");
  bench_land_sized(document, "T2.X2", "LD1.1", "18 AWG", "60 ft");
  bench_land_sized(document, "T2.X1", "LD1.2", "18 AWG", "60 ft");
  return document;
}

/* Two units whose secondaries are in series against each other: only the difference is left, and
 * the tolerance of each counts in full. */
static Document *
two_opposed(void)
{
  Document *document = document_new(parts_catalog());
  add_supply(document, "240 V");
  static const char *const ids[] = {"T1", "T2"};
  for (int i = 0; i < 2; i++) {
    g_autofree char *h1 = g_strconcat(ids[i], ".H1", NULL), *h2 = g_strconcat(ids[i], ".H2", NULL);
    bench_transformer(document, ids[i], i ? "300 VA" : "500 VA", "H1 primary 0 V",
                      "H2 primary 240 V", "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    bench_land(document, "S1.L1", h2);
    bench_land(document, "S1.L2", h1);
  }
  bench_land(document, "T1.X1", "T2.X1");
  bench_land(document, "T2.X2", "GRD1.1");
  bench_add(document, "HTR1", "heater", "rated-volts", "24 V", "power", "60 W", NULL);
  bench_land(document, "T1.X2", "HTR1.1");
  bench_land(document, "HTR1.2", "T1.X1");
  return document;
}

static Document *
one_with_motor(void)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {"482 V", "479 V", "485 V", "278 V", "277 V", "279 V"};
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_set(document, "S1", "fault-current", "400 A");
  bench_add(document, "GRD1", "ground", NULL);
  bench_add(document, "TB1", "terminal-strip", "positions", "3", NULL);
  bench_add(document, "M1", "motor", "phases", "3-phase", "accepts", "460..480 V", "full-load",
            "5 A", NULL);
  bench_transformer(document, "T1", "150 VA", "H1 primary 0 V", "H2 primary 480 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  static const char *const poles[][3] = {
      {"S1.L1", "TB1.1A", "M1.T1"}, {"S1.L2", "TB1.2A", "M1.T2"}, {"S1.L3", "TB1.3A", "M1.T3"}};
  for (int i = 0; i < 3; i++) {
    bench_land_sized(document, poles[i][0], poles[i][1], "12 AWG", "60 ft");
    bench_land(document, poles[i][1], poles[i][2]);
  }
  bench_land(document, "TB1.1B", "T1.H2");
  bench_land(document, "TB1.2B", "T1.H1");
  bench_land(document, "T1.X1", "GRD1.1");
  bench_add(document, "LT1", "lamp", "accepts", "24 V", "power", "50 VA", NULL);
  bench_land(document, "T1.X2", "LT1.1");
  bench_land(document, "T1.X1", "LT1.2");
  return document;
}

/* --- random draws ----------------------------------------------------------------------------- */

/* -1..1, the ends every other time: that is where a range breaks. */
static double
draw(GRand *rand)
{
  if (g_rand_boolean(rand))
    return g_rand_boolean(rand) ? 1 : -1;
  return g_rand_double_range(rand, -1, 1);
}

static Circuit *
drawn_circuit(GRand *rand, const Document *document, const ExpectedVariation *v)
{
  double scale = draw(rand) > 0 ? v->supply_high : v->supply_low;
  if (g_rand_boolean(rand))
    scale = g_rand_double_range(rand, v->supply_low, v->supply_high);
  Circuit *circuit = circuit_build(document, &(CircuitOptions){.supply_scale = scale});
  for (guint i = 0; i < circuit->loads->len; i++)
    circuit_item(circuit->loads, Load, i)->power *= (1 + draw(rand)) / 2;
  for (guint i = 0; i < circuit->motors->len; i++)
    if (g_rand_boolean(rand)) {
      Motor *motor = circuit_item(circuit->motors, Motor, i);
      motor->y_positive = motor->y_negative = 0;
    }
  for (guint core = 0; core < circuit->cores->len; core++) {
    double ratio = 1 + draw(rand) * v->ratio_tolerance;
    double impedance = 1 + draw(rand) * v->impedance_tolerance;
    for (guint i = 0; i < circuit->segments->len; i++) {
      Segment *segment = circuit_item(circuit->segments, Segment, i);
      if (segment->core != core)
        continue;
      segment->turns *= segment->secondary ? ratio : 1;
      segment->z *= impedance;
    }
  }
  return circuit;
}

static void
hold(Document *take_document, const char *title, guint rounds)
{
  g_autoptr(Document) document = take_document;
  const ExpectedVariation *v = &expected_variation_default;
  Study it = study_new(document, false, v);
  GRand *rand = g_rand_new_with_seed(20);
  double nearest = HUGE_VAL;
  for (guint round = 0; round < rounds; round++) {
    g_autoptr(Circuit) circuit = drawn_circuit(rand, document, v);
    g_autoptr(Solution) solution = study_solve(circuit);
    for (guint i = 0; i < it.readings->len; i++) {
      const ExpectedReading *r = &g_array_index(it.readings, ExpectedReading, i);
      Reading here = solution_reading(solution, r->a, r->b);
      if (here.state != READING_LIVE || r->state != READING_LIVE)
        continue;
      double volts = cabs(here.volts);
      if (volts < r->low - 1e-6 || volts > r->high + 1e-6)
        fail_msg("%s: %s to %s: %.4f V outside %.4f..%.4f V", title, r->a_name, r->b_name, volts,
                 r->low, r->high);
      if (r->high - r->low > 0.1)
        nearest = MIN(nearest, MIN(volts - r->low, r->high - volts) / (r->high - r->low));
    }
  }
  g_rand_free(rand);
  print_message("%s: %u draws inside; nearest to an end %.2f %% of the range\n", title, rounds,
                100 * nearest);
  study_clear(&it);
}

static void
draws_stay_inside(void **state)
{
  (void)state;
  hold(two_in_a_row(), "two transformers in a row", 1500);
  hold(two_opposed(), "two secondaries opposed", 1500);
  hold(one_with_motor(), "a motor and a control transformer", 1500);
}

/* --- closed forms ----------------------------------------------------------------------------- */

/* A bound: never inside the closed form, and outside it by no more than `slack`. */
static void
assert_covers(double low, double high, double want_low, double want_high, double slack)
{
  if (low > want_low + 1e-9 || high < want_high - 1e-9)
    fail_msg("%.4f..%.4f V does not hold %.4f..%.4f V", low, high, want_low, want_high);
  bench_near(low, want_low, slack);
  bench_near(high, want_high, slack);
}

/* An open secondary is proportional to the supply and to the ratio. The exciting current's drop
 * through the primary counts as well: some hundredths of a volt. */
static void
an_open_secondary(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  add_supply(document, "240 V");
  bench_transformer(document, "T1", "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_set(document, "T1", "no-load-rise", "10 %");
  bench_land(document, "S1.L1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  Study it = study_new(document, false, NULL);
  const ExpectedReading *r = study_find(&it, "T1.X2", "T1.X1");
  assert_covers(r->low, r->high, 26.4 * 0.95 * 0.985, 26.4 * 1.05 * 1.015, 0.11);
  /* The supply has no nameplate. */
  bench_near(study_find(&it, "S1.L1", "S1.L2")->low, 0.95 * 240, 1e-6);
  bench_near(study_find(&it, "S1.L1", "S1.L2")->high, 1.05 * 240, 1e-6);
  study_clear(&it);
}

/* Opposed secondaries leave the difference: 0 V as drawn, but each ratio may be 1.5 % off, so up to
 * 3 % of 24 V at a supply 5 % high. */
static void
opposed_secondaries_keep_a_rest(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  add_supply(document, "240 V");
  static const char *const ids[] = {"T1", "T2"};
  for (int i = 0; i < 2; i++) {
    g_autofree char *h1 = g_strconcat(ids[i], ".H1", NULL), *h2 = g_strconcat(ids[i], ".H2", NULL);
    bench_transformer(document, ids[i], "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                      "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    bench_set(document, ids[i], "no-load-rise", "0 %");
    bench_land(document, "S1.L1", h2);
    bench_land(document, "S1.L2", h1);
  }
  bench_land(document, "T1.X1", "T2.X1");
  bench_land(document, "T2.X2", "GRD1.1");
  Study it = study_new(document, false, NULL);
  const ExpectedReading *r = study_find(&it, "T1.X2", "GND");
  bench_near(r->volts, 0, 1e-6);
  assert_covers(r->low, r->high, 0, 2 * 0.015 * 24 * 1.05, 0.1);
  g_autofree char *text = expected_reading_text(r, 4);
  assert_string_equal(text, "0 V");
  study_clear(&it);
}

/* A relay that just holds with the supply low and lets go when the nameplate is off as well: 0 V
 * belongs to the range of what it feeds, and no sum of jumps goes beyond the supply. */
static void
a_relay_that_lets_go(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  add_supply(document, "120 V");
  bench_transformer(document, "T1", "75 VA", "H1 primary 0 V", "H2 primary 120 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_set(document, "T1", "no-load-rise", "6 %");
  bench_add(document, "CR1", "relay", "coil-volts", "25.2 V", "sealed", "4 VA", "inrush", "4 VA",
            "pick-up", "99 %", "drop-out", "95 %", NULL);
  bench_add(document, "LT1", "lamp", "accepts", "120 V", "power", "40 VA", NULL);
  bench_land(document, "S1.L1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.X2", "CR1.A1");
  bench_land(document, "T1.X1", "CR1.A2");
  bench_land(document, "T1.X1", "GRD1.1");
  bench_land(document, "S1.L1", "CR1.C1");
  bench_land(document, "CR1.NO1", "LT1.1");
  bench_land(document, "LT1.2", "S1.L2");
  Study it = study_new(document, false, NULL);
  assert_true(it.solution->coils[0].pulled_in);
  const ExpectedReading *lamp = study_find(&it, "LT1.1", "LT1.2");
  bench_near(lamp->volts, 120, 1e-6);
  ExpectedVariation exact = {.supply_low = 0.95, .supply_high = 1.05};
  Study holds = study_new(document, false, &exact);
  bench_near(study_find(&holds, "LT1.1", "LT1.2")->low, 114, 1e-6);
  study_clear(&holds);
  bench_near(lamp->low, 0, 1e-9);
  bench_near(lamp->high, 126, 0.01);
  study_clear(&it);
}

/* Twelve units are moved together; each open secondary still has its full range. */
static void
many_transformers(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  add_supply(document, "240 V");
  for (int i = 1; i <= 12; i++) {
    g_autofree char *id = g_strdup_printf("T%d", i);
    g_autofree char *h1 = g_strconcat(id, ".H1", NULL), *h2 = g_strconcat(id, ".H2", NULL);
    bench_transformer(document, id, "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                      "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    bench_set(document, id, "no-load-rise", "10 %");
    bench_land(document, "S1.L1", h2);
    bench_land(document, "S1.L2", h1);
  }
  Study it = study_new(document, false, NULL);
  const ExpectedReading *r = study_find(&it, "T7.X2", "T7.X1");
  assert_covers(r->low, r->high, 26.4 * 0.95 * 0.985, 26.4 * 1.05 * 1.015, 0.11);
  study_clear(&it);
}

/* --- what is shown ----------------------------------------------------------------------------
 */

/* 480 V on the 208 V lead: volts behind a saturated core get one digit, the primary current none.
 * On the right lead every digit is shown. */
static void
a_saturated_core_shows_no_false_digits(void **state)
{
  (void)state;
  for (int wrong = 0; wrong < 2; wrong++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    add_supply(document, "480 V");
    bench_transformer(document, "T1", "100 VA", "H1 primary 0 V", "H2 primary 208 V",
                      "H4 primary 480 V", "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    bench_set(document, "T1", "regulation", "7 %");
    bench_set(document, "T1", "x-over-r", "0.5");
    bench_land(document, "S1.L1", wrong ? "T1.H2" : "T1.H4");
    bench_land(document, "S1.L2", "T1.H1");
    bench_land(document, "T1.X1", "GRD1.1");
    Study it = study_new(document, false, NULL);
    const ExpectedReading *r = study_find(&it, "T1.X2", "T1.X1");
    assert_int_equal(r->saturated, wrong);
    g_autofree char *text = expected_reading_text(r, 4);
    g_autofree char *range = expected_reading_range_text(r, 4);
    assert_string_equal(text, wrong ? "about 55 V" : "25.68 V");
    if (wrong)
      assert_string_equal(range, "core saturated");
    assert_false(study_find(&it, "S1.L1", "S1.L2")->saturated); /* a stiff supply stands whatever */
    MeterReading amps, volts;
    Owner lead = {.kind = OWNER_CONDUCTOR, .index = 0};
    assert_true(meter_amps(it.circuit, it.solution, lead, &amps, NULL));
    g_autofree char *shown = meter_reading_text(&amps);
    assert_int_equal(amps.state, wrong ? METER_SATURATED : METER_READS);
    if (wrong) {
      assert_string_equal(shown, "many times rated");
      assert_non_null(strstr(amps.note, "T1 is saturated"));
      assert_non_null(strstr(amps.note, "many times its rated"));
    }
    guint x1 = bench_node(it.circuit, "T1.X1"), x2 = bench_node(it.circuit, "T1.X2");
    assert_true(meter_volts(it.circuit, it.solution, x2, x1, METER_HIGH_IMPEDANCE, &volts, NULL));
    g_autofree char *digits = meter_reading_text(&volts);
    assert_string_equal(digits, wrong ? "about 55 V" : "25.68 V");
    study_clear(&it);
  }
}

/* The grounded end of a secondary stands at millivolts: that reads 0 V. */
static void
millivolts_read_zero(void **state)
{
  (void)state;
  g_autoptr(Document) document = two_in_a_row();
  bench_add(document, "GRD2", "ground", NULL);
  Study it = study_new(document, false, NULL);
  for (guint i = 0; i < it.readings->len; i++) {
    const ExpectedReading *r = &g_array_index(it.readings, ExpectedReading, i);
    g_autofree char *text = expected_reading_text(r, 4);
    g_autofree char *range = expected_reading_range_text(r, 4);
    assert_null(strstr(text, "mV"));
    if (r->high >= EXPECTED_ZERO_VOLTS || (r->state != READING_LIVE && r->state != READING_DEAD))
      continue;
    assert_string_equal(text, r->state == READING_DEAD ? "dead" : "0 V");
    assert_string_equal(range, "");
  }
  study_clear(&it);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(draws_stay_inside),
      cmocka_unit_test(an_open_secondary),
      cmocka_unit_test(opposed_secondaries_keep_a_rest),
      cmocka_unit_test(a_relay_that_lets_go),
      cmocka_unit_test(many_transformers),
      cmocka_unit_test(a_saturated_core_shows_no_false_digits),
      cmocka_unit_test(millivolts_read_zero),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
