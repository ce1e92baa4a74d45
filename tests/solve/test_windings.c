/* SPDX-License-Identifier: MIT */
/* One transformer in every connection of the trade, drawn as a document and solved. Expected
 * figures are closed forms worked beside each case: turns ratio and Ohm's law in per unit. */
#include "winding.h"

/* --- split windings --------------------------------------------------------------------------- */

/* 1 kVA, 480 V to two halves of 120 V. */
static Document *
split_secondary(void)
{
  Document *document = one_phase("480 V");
  bench_transformer(document, "T1", "1000 VA", "H1 primary 0 V", "H2 primary 480 V",
                    "X1 secondary 0 V", "X2 secondary 120 V", "X3 secondary-2 0 V",
                    "X4 secondary-2 120 V", NULL);
  plain(document, "T1", "5 %", "1");
  bench_land(document, "S1.L1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.X1", "GRD1.1");
  return document;
}

static void
secondaries_in_series_and_parallel(void **state)
{
  (void)state;
  double want = behind(0.05, 1);
  g_autoptr(Document) series = split_secondary();
  bench_land(series, "T1.X2", "T1.X3");
  Case open = solve(series);
  bench_near(volts(&open, "T1.X4", "T1.X1"), 240, 0.02);
  bench_near(volts(&open, "T1.X2", "T1.X1"), 120, 0.01);
  case_clear(&open);
  heater(series, "HTR1", "240 V", "1000 W", "T1.X4", "T1.X1");
  Case it = solve(series);
  bench_near(volts(&it, "HTR1.1", "HTR1.2"), 240 * want, 0.05);
  bench_near(winding_amps(&it, "T1.X2"), 1000 / 240.0 * want, 0.005);
  bench_near(winding_amps(&it, "T1.X2") / winding_rated(&it, "T1.X2"), want, 1e-3);
  case_clear(&it);
  g_autoptr(Document) parallel = split_secondary();
  bench_land(parallel, "T1.X1", "T1.X3");
  bench_land(parallel, "T1.X2", "T1.X4");
  heater(parallel, "HTR1", "120 V", "1000 W", "T1.X2", "T1.X1");
  Case both = solve(parallel);
  bench_near(volts(&both, "HTR1.1", "HTR1.2"), 120 * want, 0.03);
  bench_near(winding_amps(&both, "T1.X2"), 1000 / 240.0 * want, 0.005); /* half each */
  bench_near(winding_amps(&both, "T1.X4"), 1000 / 240.0 * want, 0.005);
  case_clear(&both);
}

/* Turned round in series the halves cancel; turned round in parallel they are a short of the whole
 * secondary: rated current over per-unit impedance, twenty times rated. */
static void
secondaries_with_wrong_polarity(void **state)
{
  (void)state;
  g_autoptr(Document) series = split_secondary();
  bench_land(series, "T1.X2", "T1.X4");
  Case it = solve(series);
  bench_near(volts(&it, "T1.X3", "T1.X1"), 0, 1e-6);
  bench_near(volts(&it, "T1.X2", "T1.X1"), 120, 0.01);
  case_clear(&it);
  g_autoptr(Document) parallel = split_secondary();
  bench_land(parallel, "T1.X1", "T1.X4");
  bench_land(parallel, "T1.X2", "T1.X3");
  Case ring = solve(parallel);
  double times = winding_amps(&ring, "T1.X2") / winding_rated(&ring, "T1.X2");
  bench_near(times, 1 / 0.05, 0.05);
  bench_near(winding_amps(&ring, "T1.X4"), winding_amps(&ring, "T1.X2"), 1e-6);
  bench_near(winding_amps(&ring, "T1.H2") / winding_rated(&ring, "T1.H2"), 1 / 0.05, 0.05);
  case_clear(&ring);
}

static Document *
split_primary(const char *line)
{
  Document *document = one_phase(line);
  bench_transformer(document, "T1", "1000 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "H3 primary-2 0 V", "H4 primary-2 240 V", "X1 secondary 0 V",
                    "X2 secondary 24 V", NULL);
  plain(document, "T1", "5 %", "1");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.X1", "GRD1.1");
  heater(document, "HTR1", "24 V", "1000 W", "T1.X2", "T1.X1");
  return document;
}

/* H2-H3 joined for 480 V, H1-H3 and H2-H4 for 240 V: the load sees the same. */
static void
dual_voltage_primaries(void **state)
{
  (void)state;
  double want = 24 * behind(0.05, 1);
  g_autoptr(Document) series = split_primary("480 V");
  bench_land(series, "T1.H2", "T1.H3");
  bench_land(series, "S1.L1", "T1.H4");
  Case it = solve(series);
  bench_near(volts(&it, "T1.X2", "T1.X1"), want, 0.01);
  bench_near(volts(&it, "T1.H2", "T1.H1"), 240, 1e-6); /* the midpoint stands half way */
  case_clear(&it);
  g_autoptr(Document) parallel = split_primary("240 V");
  bench_land(parallel, "T1.H1", "T1.H3");
  bench_land(parallel, "T1.H2", "T1.H4");
  bench_land(parallel, "S1.L1", "T1.H2");
  Case both = solve(parallel);
  bench_near(volts(&both, "T1.X2", "T1.X1"), want, 0.01);
  bench_near(winding_amps(&both, "T1.H2"), winding_amps(&both, "T1.H4"), 1e-6);
  case_clear(&both);
  g_autoptr(Document) left = split_primary("240 V"); /* in series, on 240 V: half the volts */
  bench_land(left, "T1.H2", "T1.H3");
  bench_land(left, "S1.L1", "T1.H4");
  Case half = solve(left);
  bench_near(volts(&half, "T1.X2", "T1.X1"), want / 2, 0.005);
  case_clear(&half);
}

/* In parallel with one half turned round the supply feeds a short through both. */
static void
dual_primaries_turned_round(void **state)
{
  (void)state;
  g_autoptr(Document) document = split_primary("240 V");
  bench_land(document, "T1.H1", "T1.H4");
  bench_land(document, "T1.H2", "T1.H3");
  bench_land(document, "S1.L1", "T1.H2");
  Case it = solve(document);
  bench_near(volts(&it, "T1.X2", "T1.X1"), 0, 0.01);
  /* No flux, so each half is its winding impedance alone: half of 5 % at half the rating. */
  bench_near(winding_amps(&it, "T1.H2") / winding_rated(&it, "T1.H2"), 1 / 0.025, 0.01);
  case_clear(&it);
}

/* --- one winding used twice --------------------------------------------------------------------
 */

/* A tapped winding alone: 240 V across it, a load at the 120 V tap. The line carries half of the
 * load's current and the lower part the other half, backwards. */
static void
tapped_autotransformer(void **state)
{
  (void)state;
  g_autoptr(Document) document = one_phase("240 V");
  bench_transformer(document, "T1", "1000 VA", "H1 primary 0 V", "H2 primary 120 V",
                    "H3 primary 240 V", NULL);
  plain(document, "T1", "2 %", "1");
  bench_land(document, "S1.L1", "T1.H3");
  bench_land(document, "S1.L2", "T1.H1");
  heater(document, "HTR1", "120 V", "1000 W", "T1.H2", "T1.H1");
  Case it = solve(document);
  double load = cabs(it.solution->load_amps[0]);
  bench_near(volts(&it, "T1.H2", "T1.H1"), 120, 1.5);
  bench_near(cabs(it.solution->source_amps[0]), load / 2, 0.005 * load);
  bench_near(winding_amps(&it, "T1.H2"), load / 2, 0.005 * load);
  case_clear(&it);
}

/* 240 V to 24 V, 1 kVA, the secondary in series with the line. */
static Document *
buck_boost(const char *line, const char *out, const char *in)
{
  Document *document = one_phase(line);
  bench_transformer(document, "T1", "1000 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  plain(document, "T1", "3 %", "1");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.H2", in);
  bench_land(document, "S1.L1", "T1.H2");
  heater(document, "HTR1", "228.8 V", "1 W", out, "T1.H1");
  return document;
}

/* 208 V boosted by 24/240 of it: 228.8 V; turned round 187.2 V. */
static void
boost_and_its_wrong_polarity(void **state)
{
  (void)state;
  g_autoptr(Document) aiding = buck_boost("208 V", "T1.X2", "T1.X1");
  Case boost = solve(aiding);
  bench_near(volts(&boost, "HTR1.1", "HTR1.2"), 208 * 1.1, 0.02);
  case_clear(&boost);
  g_autoptr(Document) opposing = buck_boost("208 V", "T1.X1", "T1.X2");
  Case less = solve(opposing);
  bench_near(volts(&less, "HTR1.1", "HTR1.2"), 208 * 0.9, 0.02);
  case_clear(&less);
}

/* The same unit fed across both windings bucks 240 V to 240 / 1.1 = 218.2 V. */
static void
buck_by_feeding_both(void **state)
{
  (void)state;
  g_autoptr(Document) document = one_phase("240 V");
  bench_transformer(document, "T1", "1000 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  plain(document, "T1", "3 %", "1");
  bench_land(document, "S1.L1", "T1.X2");
  bench_land(document, "T1.X1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  Case it = solve(document);
  bench_near(volts(&it, "T1.H2", "T1.H1"), 240 / 1.1, 0.02);
  case_clear(&it);
}

/* A 1 kVA unit carries a far larger load: the series winding's 41.67 A at 228.8 V, 9.5 kVA. */
static void
boost_carries_more_than_its_rating(void **state)
{
  (void)state;
  g_autoptr(Document) document = buck_boost("208 V", "T1.X2", "T1.X1");
  bench_set(document, "HTR1", "power", "9533 W");
  Case it = solve(document);
  double times = winding_amps(&it, "T1.X2") / winding_rated(&it, "T1.X2");
  bench_near(times, 1, 0.01);
  bench_near(winding_amps(&it, "T1.H2") / winding_rated(&it, "T1.H2"), times, 0.01);
  bench_near(cabs(it.solution->source_amps[0]), 41.67 * 1.1, 0.5);
  case_clear(&it);
}

/* Published (Lessons In Electric Circuits vol. II ch. 9): 120 V and a 30 V secondary in series
 * aiding read 150 V across the pair. */
static void
published_boost(void **state)
{
  (void)state;
  g_autoptr(Document) document = one_phase("120 V");
  bench_transformer(document, "T1", "500 VA", "H1 primary 0 V", "H2 primary 120 V",
                    "X1 secondary 0 V", "X2 secondary 30 V", NULL);
  plain(document, "T1", "2 %", "1");
  bench_land(document, "S1.L1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.H2", "T1.X1");
  Case it = solve(document);
  bench_near(volts(&it, "T1.X2", "T1.H1"), 150, 0.01);
  case_clear(&it);
}

/* --- two secondaries, frequency, nameplate ---------------------------------------------------- */

/* 100 VA with a 24 V and a 120 V secondary, half of the rating on each. Per unit with resistance r
 * alone, half of it in the primary: (1 - e) / (r/2) = 2 e / (2 + r/2), and each load sees
 * 2 e / (2 + r/2). */
static void
two_loaded_secondaries(void **state)
{
  (void)state;
  g_autoptr(Document) document = one_phase("240 V");
  bench_transformer(document, "T1", "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", "Y1 secondary-2 0 V",
                    "Y2 secondary-2 120 V", NULL);
  plain(document, "T1", "8 %", "0.01");
  bench_land(document, "S1.L1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  bench_land(document, "T1.X1", "GRD1.1");
  bench_land(document, "T1.Y1", "GRD1.1");
  heater(document, "HTR1", "24 V", "50 W", "T1.X2", "T1.X1");
  Case one = solve(document);
  double r = 0.08;
  /* The other one has no load yet: it shows the drop in the primary alone. */
  double e = (2 + r / 2) / (2 + r);
  bench_near(volts(&one, "T1.Y2", "T1.Y1"), 120 * e, 0.02);
  bench_near(volts(&one, "T1.X2", "T1.X1"), 24 * 2 / (2 + r), 0.005);
  case_clear(&one);
  heater(document, "HTR2", "120 V", "50 W", "T1.Y2", "T1.Y1");
  Case both = solve(document);
  double share = 2 / (2 + r / 2), flux = 1 / (1 + share * r / 2);
  bench_near(volts(&both, "T1.X2", "T1.X1"), 24 * share * flux, 0.005);
  bench_near(volts(&both, "T1.Y2", "T1.Y1"), 120 * share * flux, 0.025);
  bench_near(winding_amps(&both, "T1.H2"), 100 / 240.0 * share * flux, 1e-3);
  case_clear(&both);
}

/* Flux goes with volts over hertz. A 60 Hz unit on 50 Hz has a fifth more of it, so a supply 5 %
 * high already takes it past its knee; one that says 50..60 Hz has not. */
static void
fifty_hertz_raises_flux(void **state)
{
  (void)state;
  static const struct {
    const char *line, *supply, *nameplate;
    double flux;
  } rows[] = {{"240 V", "60 Hz", "60 Hz", 1},
              {"240 V", "50 Hz", "60 Hz", 1.2},
              {"240 V", "50 Hz", "50..60 Hz", 1},
              {"216 V", "50 Hz", "60 Hz", 1.08}};
  double amps[4];
  for (int i = 0; i < 4; i++) {
    g_autoptr(Document) document = one_phase(rows[i].line);
    bench_set(document, "S1", "frequency", rows[i].supply);
    bench_transformer(document, "T1", "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                      "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    plain(document, "T1", "5 %", "0.5");
    bench_set(document, "T1", "frequency", rows[i].nameplate);
    bench_land(document, "S1.L1", "T1.H2");
    bench_land(document, "S1.L2", "T1.H1");
    Case it = solve(document);
    bench_near(cabs(it.solution->core_flux[0]), rows[i].flux, 0.002);
    /* The ratio does not change. */
    bench_near(volts(&it, "T1.X2", "T1.X1") / volts(&it, "T1.H2", "T1.H1"), 0.1, 1e-4);
    amps[i] = cabs(it.solution->segment_amps[0]);
    case_clear(&it);
  }
  /* Exciting current in proportion to flux below the knee. */
  bench_near(amps[1] / amps[0], 1.2 * 50 / 60, 0.2);
  g_autoptr(Document) high = one_phase("252 V");
  bench_set(high, "S1", "frequency", "50 Hz");
  bench_transformer(high, "T1", "100 VA", "H1 primary 0 V", "H2 primary 240 V", "X1 secondary 0 V",
                    "X2 secondary 24 V", NULL);
  plain(high, "T1", "5 %", "0.5");
  bench_land(high, "S1.L1", "T1.H2");
  bench_land(high, "S1.L2", "T1.H1");
  Case it = solve(high);
  assert_true(cabs(it.solution->core_flux[0]) > 1.2);
  assert_true(cabs(it.solution->segment_amps[0]) > 20 * amps[1]);
  case_clear(&it);
}

/* Regulation and %Z are two ways to state one thing: r from r^2 (1+q^2) + 2 r + 1 - (1+reg)^2 = 0,
 * %Z on rated volts r sqrt(1+q^2) / (1+reg)^2 of the open volts. Either nameplate gives the same
 * unit. */
static void
regulation_and_impedance_agree(void **state)
{
  (void)state;
  double q = 0.5, regulation = 0.06, a = 1 + q * q;
  double r = (-1 + sqrt(1 - a * (1 - (1 + regulation) * (1 + regulation)))) / a;
  double z = r * sqrt(a) / ((1 + regulation) * (1 + regulation));
  for (int by_impedance = 0; by_impedance < 2; by_impedance++) {
    g_autoptr(Document) document = one_phase("240 V");
    bench_transformer(document, "T1", "100 VA", "H1 primary 0 V", "H2 primary 240 V",
                      "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    g_autofree char *text = g_strdup_printf("%.6f %%", 100 * (by_impedance ? z : regulation));
    bench_set(document, "T1", by_impedance ? "impedance" : "regulation", text);
    bench_set(document, "T1", "x-over-r", "0.5");
    bench_set(document, "T1", "no-load-current", "0.01 %");
    bench_land(document, "S1.L1", "T1.H2");
    bench_land(document, "S1.L2", "T1.H1");
    Case open = solve(document);
    bench_near(volts(&open, "T1.X2", "T1.X1"), 24 * 1.06, 0.002);
    case_clear(&open);
    heater(document, "HTR1", "24 V", "100 W", "T1.X2", "T1.X1");
    Case full = solve(document);
    bench_near(volts(&full, "T1.X2", "T1.X1"), 24, 0.002);
    case_clear(&full);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(secondaries_in_series_and_parallel),
      cmocka_unit_test(secondaries_with_wrong_polarity),
      cmocka_unit_test(dual_voltage_primaries),
      cmocka_unit_test(dual_primaries_turned_round),
      cmocka_unit_test(tapped_autotransformer),
      cmocka_unit_test(boost_and_its_wrong_polarity),
      cmocka_unit_test(buck_by_feeding_both),
      cmocka_unit_test(boost_carries_more_than_its_rating),
      cmocka_unit_test(published_boost),
      cmocka_unit_test(two_loaded_secondaries),
      cmocka_unit_test(fifty_hertz_raises_flux),
      cmocka_unit_test(regulation_and_impedance_agree),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
