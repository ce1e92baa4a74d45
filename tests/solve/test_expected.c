/* SPDX-License-Identifier: MIT */
#include "bench.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include "study.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* A pump panel on a measured 480Y/277: disconnect, two fuses, 480 V lead landed, 240 V lead capped,
 * 208 V lead forgotten, secondary grounded, one load. */
static Document *
pump_panel(void)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {"486 V", "484 V", "485 V", "281 V", "280 V", "280 V"};
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_add(document, "DISC1", "disconnect", "poles", "2", NULL);
  bench_add(document, "FU1", "fuse", NULL);
  bench_add(document, "FU2", "fuse", NULL);
  bench_transformer(document, "T1", "250 VA", "H1 primary 0 V", "H2 primary 208 V",
                    "H3 primary 240 V", "H4 primary 480 V", "X1 secondary 0 V",
                    "X2 secondary 120 V", NULL);
  bench_set(document, "T1", "regulation", "6 %");
  bench_add(document, "CAP1", "cap", NULL);
  bench_add(document, "GRD1", "ground", NULL);
  bench_add(document, "LD1", "load", "accepts", "110..125 V", "power", "90 VA", "behaviour",
            "constant-power", "power-factor", "0.9", NULL);
  bench_land(document, "S1.L1", "DISC1.L1");
  bench_land(document, "S1.L2", "DISC1.L2");
  bench_land(document, "DISC1.T1", "FU1.1");
  bench_land(document, "DISC1.T2", "FU2.1");
  bench_land(document, "FU1.2", "T1.H4");
  bench_land(document, "FU2.2", "T1.H1");
  bench_land(document, "T1.H3", "CAP1.1");
  bench_land(document, "T1.X1", "GRD1.1");
  bench_land_sized(document, "T1.X2", "LD1.1", "14 AWG", "30 ft");
  bench_land_sized(document, "T1.X1", "LD1.2", "14 AWG", "30 ft");
  return document;
}

static void
lists_every_probe_once(void **state)
{
  (void)state;
  g_autoptr(Document) document = pump_panel();
  Study it = study_new(document, false, NULL);
  bench_near(study_find(&it, "S1.L1", "S1.L2")->volts, 486, 1e-6);
  bench_near(study_find(&it, "S1.L1", "GND")->volts, 281, 2);
  const ExpectedReading *capped = study_find(&it, "T1.H3", "GND");
  assert_string_equal(capped->purpose, "capped lead to ground");
  assert_int_equal(capped->state, READING_LIVE);
  assert_true(capped->volts > 100);
  assert_string_equal(study_find(&it, "T1.H2", "GND")->purpose, "loose lead to ground");
  for (guint i = 0; i < it.readings->len; i++) {
    const ExpectedReading *one = &g_array_index(it.readings, ExpectedReading, i);
    assert_true(one->low <= one->volts && one->volts <= one->high);
    assert_true(isfinite(one->low) && isfinite(one->high) && isfinite(one->degrees));
    assert_true(one->purpose != NULL && one->a != one->b && !one->locked_out);
    for (guint k = 0; k < i; k++) {
      const ExpectedReading *other = &g_array_index(it.readings, ExpectedReading, k);
      assert_false((one->a == other->a && one->b == other->b) ||
                   (one->a == other->b && one->b == other->a));
    }
  }
  study_clear(&it);
}

/* The range of the supply is exactly 0.95 to 1.05 of it; the secondary's goes from the low supply
 * loaded to the high supply open. */
static void
ranges_come_from_corners(void **state)
{
  (void)state;
  g_autoptr(Document) document = pump_panel();
  /* Nameplates as they are: their tolerance has a test of its own. */
  ExpectedVariation exact_nameplates = {
      .supply_low = 0.95, .supply_high = 1.05, .loads_may_be_off = true};
  Study it = study_new(document, false, &exact_nameplates);
  const ExpectedReading *supply = study_find(&it, "S1.L1", "S1.L2");
  bench_near(supply->low, 0.95 * 486, 1e-6);
  bench_near(supply->high, 1.05 * 486, 1e-6);
  double low = 0, high = 0;
  for (int off = 0; off < 2; off++) {
    g_autoptr(Circuit) corner = circuit_build(
        document, &(CircuitOptions){.supply_scale = off ? 1.05 : 0.95, .loads_off = off == 1});
    g_autoptr(Solution) solution = solution_new(corner, NULL);
    assert_non_null(solution);
    *(off ? &high : &low) = bench_volts(solution, "T1.X2", "T1.X1");
  }
  const ExpectedReading *secondary = study_find(&it, "T1.X2", "T1.X1");
  bench_near(secondary->low, low, 1e-9);
  bench_near(secondary->high, high, 1e-9);
  assert_true(secondary->low < secondary->volts && secondary->volts < secondary->high);
  study_clear(&it);
  ExpectedVariation none = {.supply_low = 1, .supply_high = 1, .loads_may_be_off = false};
  Study fixed = study_new(document, false, &none);
  const ExpectedReading *exact = study_find(&fixed, "T1.X2", "T1.X1");
  bench_near(exact->low, exact->volts, 1e-9);
  bench_near(exact->high, exact->volts, 1e-9);
  study_clear(&fixed);
}

/* A random draw inside the stated variations may not leave the range. */
static void
ranges_hold_inside(void **state)
{
  (void)state;
  g_autoptr(Document) document = pump_panel();
  bench_add(document, "LT1", "lamp", "power", "15 VA", NULL);
  bench_land(document, "T1.X2", "LT1.1");
  bench_land(document, "GRD1.1", "LT1.2");
  Study it = study_new(document, false, NULL);
  uint64_t dice = 99;
  for (int round = 0; round < 60; round++) {
    dice = dice * 6364136223846793005u + 1442695040888963407u;
    double share = (double)(dice >> 40) / (double)(1u << 24);
    g_autoptr(Circuit) circuit =
        circuit_build(document, &(CircuitOptions){.supply_scale = 0.95 + 0.1 * share});
    for (guint i = 0; i < circuit->loads->len; i++)
      if (dice & (1u << i))
        circuit_item(circuit->loads, Load, i)->power *= share;
    g_autoptr(Solution) solution = solution_new(circuit, NULL);
    assert_non_null(solution);
    for (guint i = 0; i < it.readings->len; i++) {
      const ExpectedReading *r = &g_array_index(it.readings, ExpectedReading, i);
      Reading here = solution_reading(solution, r->a, r->b);
      if (here.state != READING_LIVE)
        continue;
      if (cabs(here.volts) < r->low - 1e-6 || cabs(here.volts) > r->high + 1e-6)
        fail_msg("%s to %s: %.4f V outside %.4f..%.4f V", r->a_name, r->b_name, cabs(here.volts),
                 r->low, r->high);
    }
  }
  study_clear(&it);
}

/* Textbook: 100 W and 200 W lamps of 120 V on a 240 V supply whose neutral is lost stand at 160 and
 * 80 V. Either lamp off takes the other's volts away, and the range has to say so. */
static void
single_loads_belong_to_the_range(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  const char *readings[6] = {"240 V", NULL, NULL, "120 V", "120 V", NULL};
  bench_supply(document, "S1", "1-phase-3-wire", readings);
  bench_add(document, "A", "heater", "rated-volts", "120 V", "power", "100 W", NULL);
  bench_add(document, "B", "heater", "rated-volts", "120 V", "power", "200 W", NULL);
  bench_add(document, "SP1", "splice", NULL);
  bench_land(document, "S1.L1", "A.1");
  bench_land(document, "S1.L2", "B.1");
  bench_land(document, "A.2", "SP1.1");
  bench_land(document, "B.2", "SP1.1");
  bench_land(document, "SP1.1", "S1.N");
  ExpectedVariation variation = {1, 1, true};
  Study sound = study_new(document, false, &variation);
  bench_near(study_find(&sound, "A.1", "A.2")->high, 120, 1e-6);
  study_clear(&sound);
  bench_break(document, "SP1.1");
  Study lost = study_new(document, false, &variation);
  const ExpectedReading *a = study_find(&lost, "A.1", "A.2");
  bench_near(a->volts, 160, 1e-6);
  bench_near(a->high, 240, 1e-6); /* B on alone leaves A's open terminals between the lines */
  bench_near(a->low, 0, 1e-6);
  study_clear(&lost);
}

/* Eight heaters on both halves of 120/240 V over a thin shared neutral: any set of them on. The
 * worst cases have one half on and the other off, which no single-load corner is. */
static void
many_loads_share_a_neutral(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  const char *readings[6] = {"240 V", NULL, NULL, "120 V", "120 V", NULL};
  bench_supply(document, "S1", "1-phase-3-wire", readings);
  bench_add(document, "TB1", "terminal-strip", "positions", "3", NULL);
  bench_land_sized(document, "S1.L1", "TB1.1A", "12 AWG", "80 ft");
  bench_land_sized(document, "S1.N", "TB1.2A", "14 AWG", "80 ft");
  bench_land_sized(document, "S1.L2", "TB1.3A", "12 AWG", "80 ft");
  for (int i = 0; i < 8; i++) {
    g_autofree char *id = g_strdup_printf("HTR%d", i + 1);
    g_autofree char *one = g_strconcat(id, ".1", NULL), *two = g_strconcat(id, ".2", NULL);
    bench_add(document, id, "heater", "rated-volts", "120 V", "power", i % 3 ? "150 W" : "260 W",
              NULL);
    bench_land(document, one, i < 4 ? "TB1.1B" : "TB1.3B");
    bench_land(document, two, "TB1.2B");
  }
  ExpectedVariation variation = {1, 1, true};
  Study it = study_new(document, false, &variation);
  double widest = 0;
  for (guint mask = 0; mask < 256; mask++) {
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    for (guint i = 0; i < 8; i++)
      if (mask & (1u << i))
        circuit_item(circuit->loads, Load, i)->power = 0;
    g_autoptr(Solution) solution = solution_new(circuit, NULL);
    assert_non_null(solution);
    for (guint i = 0; i < it.readings->len; i++) {
      const ExpectedReading *r = &g_array_index(it.readings, ExpectedReading, i);
      Reading here = solution_reading(solution, r->a, r->b);
      if (here.state != READING_LIVE)
        continue;
      double beyond = fmax(r->low - cabs(here.volts), cabs(here.volts) - r->high);
      if (beyond > 0.05) /* second order of drops of some 3 %: a display digit */
        fail_msg("%s to %s: %.4f V outside %.4f..%.4f V", r->a_name, r->b_name, cabs(here.volts),
                 r->low, r->high);
      widest = fmax(widest, r->high - r->low);
    }
  }
  assert_true(widest > 2 && widest < 20);
  study_clear(&it);
}

static void
locked_out_is_dead(void **state)
{
  (void)state;
  g_autoptr(Document) document = pump_panel();
  Study it = study_new(document, true, NULL);
  const ExpectedReading *secondary = study_find(&it, "T1.X2", "T1.X1");
  assert_int_equal(secondary->state, READING_DEAD);
  assert_true(secondary->locked_out);
  bench_near(secondary->volts, 0, 0);
  bench_near(secondary->low, 0, 0);
  bench_near(secondary->high, 0, 0);
  /* The line side stays live: a lockout does not reach upstream. */
  assert_int_equal(study_find(&it, "S1.L1", "S1.L2")->state, READING_LIVE);
  study_clear(&it);
}

static void
a_single_pair(void **state)
{
  (void)state;
  g_autoptr(Document) document = pump_panel();
  Study it = study_new(document, false, NULL);
  ExpectedReading reading;
  GError *error = NULL;
  guint a = bench_node(it.circuit, "T1.X2"), b = bench_node(it.circuit, "T1.X1");
  assert_true(expected_reading_between(it.circuit, it.solution, a, b, NULL, &reading, &error));
  const ExpectedReading *listed = study_find(&it, "T1.X2", "T1.X1");
  bench_near(reading.low, listed->low, 1e-9);
  bench_near(reading.high, listed->high, 1e-9);
  assert_string_equal(reading.a_name, "T1.X2");
  expected_reading_clear(&reading);
  assert_false(expected_reading_between(it.circuit, it.solution, 9999, b, NULL, &reading, &error));
  assert_non_null(error);
  g_error_free(error);
  study_clear(&it);
}

/* Pinned pairs come first, once, and keep the purpose that says more. */
static void
test_points_come_first(void **state)
{
  (void)state;
  g_autoptr(Document) document = pump_panel();
  const Landing x2 = {(char *)"T1", (char *)"X2"}, h3 = {(char *)"T1", (char *)"H3"};
  const Landing fuse = {(char *)"FU1", (char *)"2"}, load = {(char *)"LD1", (char *)"1"};
  const Landing earth = {NULL, (char *)"GND"};
  assert_true(document_apply(document, edit_pin(document, &fuse, &x2, NULL, NULL), NULL));
  assert_true(document_apply(document, edit_pin(document, &h3, &earth, NULL, NULL), NULL));
  assert_true(document_apply(document, edit_set_measured(document, &load, &earth, "118 V", NULL,
                                                         NULL), NULL));
  for (int locked = 0; locked < 2; locked++) {
    Study it = study_new(document, locked, NULL);
    const ExpectedReading *first = &g_array_index(it.readings, ExpectedReading, 0);
    assert_string_equal(first->point, "TP1");
    assert_string_equal(first->a_name, "FU1.2");
    assert_string_equal(first->b_name, "T1.X2");
    assert_string_equal(first->purpose, "test point");
    assert_string_equal(first[1].point, "TP2");
    assert_string_equal(first[1].purpose, "capped lead to ground");
    for (guint i = 2; i < it.readings->len; i++) {
      assert_null(first[i].point);
      assert_false(first[i].a == first[1].a && first[i].b == first[1].b);
    }
    study_clear(&it);
  }
}

static void
an_unmeasured_supply_predicts_nothing(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  const char *readings[6] = {NULL};
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  Study it = study_new(document, false, NULL);
  assert_true(it.readings->len > 0);
  for (guint i = 0; i < it.readings->len; i++)
    assert_int_not_equal(g_array_index(it.readings, ExpectedReading, i).state, READING_LIVE);
  study_clear(&it);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(lists_every_probe_once),
      cmocka_unit_test(ranges_come_from_corners),
      cmocka_unit_test(ranges_hold_inside),
      cmocka_unit_test(single_loads_belong_to_the_range),
      cmocka_unit_test(many_loads_share_a_neutral),
      cmocka_unit_test(locked_out_is_dead),
      cmocka_unit_test(a_single_pair),
      cmocka_unit_test(test_points_come_first),
      cmocka_unit_test(an_unmeasured_supply_predicts_nothing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
