/* SPDX-License-Identifier: MIT */
/* Checks against published figures, through the whole pipeline: documents in, findings out. */
#include "../tables/table_csv.h"
#include "edit_script.h"

#include "checks/check.h"
#include "tables/standard_ratings.h"

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

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_primary_fuse_chart),
      cmocka_unit_test(test_tap_ranges),
      cmocka_unit_test(test_ideal_ratios),
      cmocka_unit_test(test_unbalance),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
