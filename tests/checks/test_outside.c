/* SPDX-License-Identifier: MIT */
/* Checks against published figures, through the whole pipeline: documents in, findings out. */
#include "../tables/table_csv.h"
#include "edit_script.h"

#include "checks/check.h"
#include "tables/standard_ratings.h"

#include <math.h>

static G_GNUC_PRINTF(2, 3) void edit(Document *document, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *line = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  script_apply(document, line);
}

static const Finding *
find(const Inspection *inspection, const char *check)
{
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (strcmp(finding->check, check) == 0)
      return finding;
  }
  return NULL;
}

static bool
finds(const Document *document, const char *check)
{
  g_autoptr(Inspection) inspection = inspection_new(document);
  return find(inspection, check) != NULL;
}

/* The finding, which has to be there. */
static const Finding *
needed(const Inspection *inspection, const char *check)
{
  static const Finding none = {0};
  const Finding *finding = find(inspection, check);
  assert_non_null(finding);
  return finding != NULL ? finding : &none;
}

static double
fuse_above(double amps)
{
  guint n;
  const StandardRating *ratings = standard_ratings(&n);
  for (guint i = 0; i < n; i++)
    if (ratings[i].amps > amps * 1.0001)
      return ratings[i].amps;
  return NAN;
}

/* Published chart of primary fuses (300 % and less): the printed fuse passes, the next larger is
 * found, and the remedy names the printed one. */
static void
test_primary_fuse_chart(void **state)
{
  (void)state;
  Csv csv = csv_read("primary_fuses.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    g_autoptr(Document) document = script_open("tests/data/checks", "two-wire");
    const char *volts = csv_text(&csv, i, "primary_V");
    double printed = csv_number(&csv, i, "fuse_A", NAN);
    if (fabs(printed - 1.13) < 1e-9)
      printed = 1.125; /* 1-1/8 A */
    edit(document, "row S1 0 value %s V", volts);
    edit(document, "row T1 1 volts %s V", volts);
    edit(document, "set T1 rating %s VA", csv_text(&csv, i, "VA"));
    edit(document, "set FU1 rating %g A", printed);
    edit(document, "set FU2 rating %g A", printed);
    assert_false(finds(document, "primary-protection-too-large"));
    edit(document, "set FU2 rating %g A", fuse_above(printed));
    g_autoptr(Inspection) inspection = inspection_new(document);
    const char *advice = strstr(needed(inspection, "primary-protection-too-large")->remedy, "a ");
    assert_close(advice != NULL ? g_ascii_strtod(advice + 2, NULL) : (double)NAN, printed, 1e-9);
  }
  csv_clear(&csv);
}

/* Published tap ranges: quiet at both ends, found one volt beyond. */
static void
test_tap_ranges(void **state)
{
  (void)state;
  Csv csv = csv_read("tap_ranges.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    if (strcmp(csv_text(&csv, i, "kind"), "tap range") != 0)
      continue;
    double low = csv_number(&csv, i, "operating_min_V", NAN);
    double high = csv_number(&csv, i, "operating_max_V", NAN);
    const struct {
      double volts;
      bool too_low, too_high;
    } cases[] = {
        {low, false, false}, {high, false, false}, {low - 1, false, true}, {high + 1, true, false}};
    for (gsize k = 0; k < G_N_ELEMENTS(cases); k++) {
      g_autoptr(Document) document = script_open("tests/data/checks", "two-wire");
      edit(document, "row T1 1 volts %s V", csv_text(&csv, i, "nameplate_or_tap_V"));
      edit(document, "row S1 0 value %g V", cases[k].volts);
      assert_int_equal(finds(document, "tap-too-low"), cases[k].too_low);
      assert_int_equal(finds(document, "tap-too-high"), cases[k].too_high);
    }
  }
  csv_clear(&csv);
}

/* Secondary volts by ratio, as trade schools compute them; the transformer here has next to no
 * impedance and no compensation. */
static void
test_ideal_ratios(void **state)
{
  (void)state;
  Csv csv = csv_read("tap_ranges.csv");
  guint seen = 0;
  for (guint i = 0; i < csv.rows->len; i++) {
    if (strcmp(csv_text(&csv, i, "kind"), "ideal ratio") != 0)
      continue;
    g_autoptr(Document) document = script_open("tests/data/checks", "two-wire");
    edit(document, "row T1 1 volts %s V", csv_text(&csv, i, "tap_V"));
    edit(document, "row T1 3 volts %s V", csv_text(&csv, i, "rated_secondary_V"));
    edit(document, "row S1 0 value %s V", csv_text(&csv, i, "supply_V"));
    g_autoptr(Inspection) inspection = inspection_new(document);
    assert_non_null(inspection->solution);
    Landing x2 = {(char *)"T1", (char *)"X2"};
    guint node = circuit_node_of_landing(inspection->circuit, &x2);
    double volts = cabs(solution_to_earth(inspection->solution, node).volts);
    double expected = csv_number(&csv, i, "secondary_V", NAN);
    assert_close(volts, expected, 0.005 * expected);
    seen++;
  }
  assert_int_equal(seen, 5);
  csv_clear(&csv);
}

/* NEMA MG 1 14.36 and published examples: per cent to all printed digits, and what the check says
 * of a supply with those readings. */
static void
test_unbalance(void **state)
{
  (void)state;
  Csv csv = csv_read("unbalance.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    double ab = csv_number(&csv, i, "Vab", NAN), bc = csv_number(&csv, i, "Vbc", NAN);
    double ca = csv_number(&csv, i, "Vca", NAN);
    double exact = csv_number(&csv, i, "nema_percent_exact", NAN);
    assert_close(100 * supply_nema_unbalance(ab, bc, ca), exact, 6e-5);
    SupplyReadings readings = {
        .line = {ab, bc, ca}, .ground = {NAN, NAN, NAN}, .phases = 3, .stated_ungrounded = true};
    SupplySystem system = supply_derive(&readings);
    assert_close(100 * system.negative_sequence,
                 csv_number(&csv, i, "true_unbalance_V2_over_V1_percent", NAN), 6e-5);
    g_autoptr(Document) document = script_open("tests/data/checks", "delta-240");
    edit(document, "row S1 0 value %g V", ab);
    edit(document, "row S1 1 value %g V", bc);
    edit(document, "row S1 2 value %g V", ca);
    g_autoptr(Inspection) inspection = inspection_new(document);
    const Finding *finding = needed(inspection, "supply-unbalance");
    assert_int_equal(finding->signal, SIGNAL_NOTICE); /* all between 1 and 2 % */
    g_autofree char *shown = g_strdup_printf("%.2f %%", exact);
    if (strstr(finding->message, shown) == NULL)
      fail_msg("%s does not say %s", finding->message, shown);
  }
  csv_clear(&csv);
}

/* A bolted fault behind a run of conductor: line-to-neutral volts over the impedance of source and
 * one line. 14 AWG: 3.14 ohm and 0.058 ohm for 1000 ft (NFPA 70 Chapter 9 Tables 8 and 9). */
static void
test_fault_behind_conductor(void **state)
{
  (void)state;
  static const double feet[] = {0, 10, 50, 200};
  for (gsize i = 0; i < G_N_ELEMENTS(feet); i++) {
    g_autoptr(Document) document = script_open("tests/data/checks", "motor-480");
    edit(document, "delete MTR1"); /* loads lie beside the fault as impedances */
    edit(document, "set S1 x-over-r 3");
    edit(document, "set CB1 interrupting 100 A");
    if (feet[i] > 0)
      for (int line = 1; line <= 3; line++)
        edit(document, "wire L%d length %g ft", line, feet[i]);
    double volts = 481 / sqrt(3), source = volts / 10e3;
    double r = source / sqrt(10) + 3.14e-3 * feet[i];
    double x = source * 3 / sqrt(10) + 0.058e-3 * feet[i];
    double expected = volts / hypot(r, x);
    g_autoptr(Inspection) inspection = inspection_new(document);
    const Finding *finding = needed(inspection, "interrupting-rating-exceeded");
    const char *number = strstr(finding->message, "up to ");
    double shown = number != NULL ? g_ascii_strtod(number + 6, NULL) : (double)NAN;
    if (number != NULL && strstr(number, "kA;") != NULL)
      shown *= 1000;
    assert_close(shown, expected, 0.004 * expected); /* the three readings differ by 0.4 % */
    /* Just enough and just too little. */
    edit(document, "set CB1 interrupting %.0f A", 1.01 * expected);
    assert_false(finds(document, "interrupting-rating-exceeded"));
    edit(document, "set CB1 interrupting %.0f A", 0.99 * expected);
    assert_true(finds(document, "interrupting-rating-exceeded"));
  }
}

/* As SC1 (1500 kVA, 480 V, 5.75 %: rated amperes over per-unit impedance from an unlimited
 * primary), for 75 VA, 24 V and the same impedance: 3.125 A / 0.0575 = 54.35 A, by 482 V for 480 V.
 */
static void
test_fault_behind_transformer(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("tests/data/checks", "control-480");
  edit(document, "set T1 regulation");
  edit(document, "set T1 no-load-rise 0 %%");
  edit(document, "set T1 impedance 5.75 %%");
  edit(document, "set FU3 interrupting 10 A");
  g_autoptr(Inspection) inspection = inspection_new(document);
  const Finding *finding = needed(inspection, "interrupting-rating-exceeded");
  const char *number = strstr(finding->message, "up to ");
  double shown = number != NULL ? g_ascii_strtod(number + 6, NULL) : (double)NAN;
  assert_close(shown, 75 / 24.0 / 0.0575 * 482 / 480, 0.01 * 54);
}

/* 240.6(A): breakers begin at 10 A in 2023, at 15 A in 2020; the next standard rating above a
 * derated conductor (14 AWG, 25 A x 0.35 = 8.75 A) differs. Fuses of 10 A are in both. */
static void
test_editions(void **state)
{
  (void)state;
  for (int fuse = 0; fuse < 2; fuse++)
    for (int edition = 2020; edition <= 2023; edition += 3) {
      g_autoptr(Document) document = script_open("tests/data/checks", "panel-120");
      edit(document, "sheet code-edition %d", edition);
      for (int i = 1; i <= 2; i++) {
        edit(document, "wire %d temperature 90 C", i);
        edit(document, "wire %d bundled 41", i);
      }
      if (fuse) {
        edit(document, "place fuse FU9 50 60");
        edit(document, "set FU9 rating 15 A");
        edit(document, "reland 1 from FU9.2");
        edit(document, "land CB1.T1 FU9.1");
      }
      /* Behind the fuse the breaker of 15 A is as small: the device farther down decides alike. */
      g_autoptr(Inspection) inspection = inspection_new(document);
      const Finding *finding = find(inspection, "conductor-too-small");
      assert_int_equal(finding != NULL, edition == 2023);
      if (finding != NULL)
        assert_non_null(strstr(finding->remedy, "at most 10 A"));
    }
}

/* What a breaker that opens in service is to be replaced by: 125 % of 6 A is 7.5 A. */
static void
test_edition_of_advice(void **state)
{
  (void)state;
  static const char *const wanted[] = {"a breaker of 15 A", "a breaker of 10 A"};
  for (int edition = 0; edition < 2; edition++) {
    g_autoptr(Document) document = script_open("tests/data/checks", "panel-120");
    edit(document, "sheet code-edition %d", edition == 0 ? 2020 : 2023);
    edit(document, "set LT1 power 720 VA");
    edit(document, "set CB1 rating 5 A");
    g_autoptr(Inspection) inspection = inspection_new(document);
    const Finding *finding = needed(inspection, "protection-too-small");
    if (finding->remedy == NULL || strstr(finding->remedy, wanted[edition]) == NULL)
      fail_msg("%s lacks %s", finding->remedy, wanted[edition]);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_primary_fuse_chart),
      cmocka_unit_test(test_tap_ranges),
      cmocka_unit_test(test_ideal_ratios),
      cmocka_unit_test(test_unbalance),
      cmocka_unit_test(test_fault_behind_conductor),
      cmocka_unit_test(test_fault_behind_transformer),
      cmocka_unit_test(test_editions),
      cmocka_unit_test(test_edition_of_advice),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
