/* SPDX-License-Identifier: MIT */
/* Three one-phase transformers as a bank, drawn as documents and solved. Expected figures are the
 * geometry of wye and delta, Ohm's law in per unit, and the known capability of an open delta. */
#include "winding.h"

/* --- three units as a bank ---------------------------------------------------------------------
 */

typedef enum { WYE, DELTA } Star;

static const char *const lines[3] = {"S1.L1", "S1.L2", "S1.L3"};

/* Units T1..Tn of 10 kVA between 480Y/277 and a terminal strip: lines on 1A..3A, star point on 4A.
 */
static Document *
bank(Star primary, Star secondary, const char *secondary_volts, int units)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {"480 V", "480 V", "480 V", "277.128 V", "277.128 V", "277.128 V"};
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_add(document, "TB1", "terminal-strip", "positions", "4", NULL);
  static const char *const out[3] = {"TB1.1A", "TB1.2A", "TB1.3A"};
  for (int i = 0; i < units; i++) {
    g_autofree char *id = g_strdup_printf("T%d", i + 1);
    g_autofree char *high = g_strdup_printf("X2 secondary %s", secondary_volts);
    bench_transformer(document, id, "10000 VA", "H1 primary 0 V",
                      primary == WYE ? "H2 primary 277.128 V" : "H2 primary 480 V",
                      "X1 secondary 0 V", high, NULL);
    plain(document, id, "2 %", "1");
    g_autofree char *h1 = g_strconcat(id, ".H1", NULL), *h2 = g_strconcat(id, ".H2", NULL);
    g_autofree char *x1 = g_strconcat(id, ".X1", NULL), *x2 = g_strconcat(id, ".X2", NULL);
    bench_land(document, lines[i], h2);
    bench_land(document, primary == WYE ? "S1.N" : lines[(i + 1) % 3], h1);
    bench_land(document, out[i], x2);
    bench_land(document, secondary == WYE ? "TB1.4A" : out[(i + 1) % 3], x1);
  }
  bench_add(document, "GRD1", "ground", NULL);
  return document;
}

/* Three equal heaters between the lines. */
static void
load_delta(Document *document, const char *rated, const char *watts)
{
  heater(document, "HTR1", rated, watts, "TB1.1B", "TB1.2B");
  heater(document, "HTR2", rated, watts, "TB1.2B", "TB1.3B");
  heater(document, "HTR3", rated, watts, "TB1.3B", "TB1.1B");
}

static void
check_lines(const Case *it, double want, double tolerance)
{
  bench_near(volts(it, "TB1.1B", "TB1.2B"), want, tolerance);
  bench_near(volts(it, "TB1.2B", "TB1.3B"), want, tolerance);
  bench_near(volts(it, "TB1.3B", "TB1.1B"), want, tolerance);
}

/* 120 V to the star point, 208 V between lines, in phase with the primary. */
static void
wye_wye(void **state)
{
  (void)state;
  g_autoptr(Document) document = bank(WYE, WYE, "120 V", 3);
  bench_land(document, "TB1.4B", "GRD1.1");
  Case it = solve(document);
  check_lines(&it, 120 * sqrt(3), 0.02);
  bench_near(volts(&it, "TB1.1B", "GND"), 120, 0.01);
  bench_near(leads_by(&it, "TB1.1B", "TB1.4B", "S1.L1", "S1.N"), 0, 0.01);
  case_clear(&it);
}

/* Each secondary follows the line-to-line volts of its primary, 30 degrees ahead of the line. */
static void
delta_wye(void **state)
{
  (void)state;
  g_autoptr(Document) document = bank(DELTA, WYE, "120 V", 3);
  bench_land(document, "TB1.4B", "GRD1.1");
  Case it = solve(document);
  check_lines(&it, 120 * sqrt(3), 0.02);
  bench_near(leads_by(&it, "TB1.1B", "TB1.4B", "S1.L1", "S1.N"), 30, 0.01);
  bench_near(leads_by(&it, "TB1.1B", "TB1.2B", "S1.L1", "S1.L2"), 30, 0.01);
  case_clear(&it);
  /* 30 kVA on it: each unit carries a third, and the primary line current is sqrt 3 of a winding's.
   */
  load_delta(document, "207.85 V", "10000 W");
  Case full = solve(document);
  double want = behind(0.02, 1);
  check_lines(&full, 120 * sqrt(3) * want, 0.3);
  bench_near(winding_amps(&full, "T1.X2") / winding_rated(&full, "T1.X2"), want, 0.002);
  double line = 0;
  for (guint i = 0; i < full.circuit->sources->len; i++)
    line = fmax(line, cabs(full.solution->source_amps[i]));
  bench_near(line, sqrt(3) * winding_amps(&full, "T1.H2"), 0.01);
  case_clear(&full);
}

static void
delta_delta(void **state)
{
  (void)state;
  g_autoptr(Document) document = bank(DELTA, DELTA, "240 V", 3);
  bench_land(document, "TB1.1B", "GRD1.1");
  Case open = solve(document);
  check_lines(&open, 240, 0.02);
  bench_near(leads_by(&open, "TB1.2B", "TB1.3B", "S1.L2", "S1.L3"), 0, 0.01);
  bench_near(winding_amps(&open, "T1.X2"), 0, 0.01); /* nothing circulates in a sound delta */
  case_clear(&open);
  load_delta(document, "240 V", "10000 W");
  Case full = solve(document);
  check_lines(&full, 240 * behind(0.02, 1), 0.05);
  bench_near(winding_amps(&full, "T1.X2") / winding_rated(&full, "T1.X2"), behind(0.02, 1), 0.002);
  case_clear(&full);
}

/* With one unit gone the other two still give three phases; the line current is the winding's, so
 * they are full at sqrt 3 times one rating: 86.6 % of the two, 57.7 % of the three. */
static void
open_delta(void **state)
{
  (void)state;
  g_autoptr(Document) document = bank(DELTA, DELTA, "240 V", 2);
  bench_land(document, "TB1.1B", "GRD1.1");
  Case open = solve(document);
  check_lines(&open, 240, 0.02);
  case_clear(&open);
  g_autofree char *third = g_strdup_printf("%.3f W", sqrt(3) * 10000 / 3);
  load_delta(document, "240 V", third);
  Case it = solve(document);
  bench_near(winding_amps(&it, "T1.X2") / winding_rated(&it, "T1.X2"), 1, 0.03);
  bench_near(winding_amps(&it, "T2.X2") / winding_rated(&it, "T2.X2"), 1, 0.03);
  double kva = 0;
  for (guint i = 0; i < it.circuit->loads->len; i++) {
    const Load *load = circuit_item(it.circuit->loads, Load, i);
    kva += cabs(it.solution->load_amps[i]) *
           cabs(solution_reading(it.solution, load->a, load->b).volts) / 1000;
  }
  bench_near(kva / 20, 0.866, 0.03);
  case_clear(&it);
}

/* Before the last corner of a delta is closed the meter tells: next to nothing when the polarities
 * are right, twice the volts when one unit is turned round. */
static void
a_delta_before_it_is_closed(void **state)
{
  (void)state;
  for (int wrong = 0; wrong < 2; wrong++) {
    g_autoptr(Document) document = bank(DELTA, DELTA, "240 V", 2);
    bench_land(document, "TB1.1B", "GRD1.1");
    bench_transformer(document, "T3", "10000 VA", "H1 primary 0 V", "H2 primary 480 V",
                      "X1 secondary 0 V", "X2 secondary 240 V", NULL);
    plain(document, "T3", "2 %", "1");
    bench_land(document, "S1.L3", wrong ? "T3.H1" : "T3.H2");
    bench_land(document, "S1.L1", wrong ? "T3.H2" : "T3.H1");
    bench_land(document, "TB1.3A", "T3.X2"); /* X1 is left open: it would land on TB1.1A */
    Case it = solve(document);
    bench_near(volts(&it, "T3.X1", "TB1.1A"), wrong ? 480 : 0, 0.05);
    case_clear(&it);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(wye_wye),
      cmocka_unit_test(delta_wye),
      cmocka_unit_test(delta_delta),
      cmocka_unit_test(open_delta),
      cmocka_unit_test(a_delta_before_it_is_closed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
