/* SPDX-License-Identifier: MIT */
/* Ampacity, nominal systems, voltage ranges, colours and designations against their files. */
#include "table_csv.h"
#include "tables/ampacity.h"
#include "tables/colours.h"
#include "tables/designations.h"
#include "tables/nominal_systems.h"
#include "tables/voltage_ranges.h"

static Quantity
size_of(const char *key)
{
  g_autofree char *written = g_strdup_printf("%s AWG", key);
  Quantity q;
  assert_true(quantity_parse(written, UNIT_AWG, &q, NULL));
  return q;
}

/* Upper end of "<=10", "11-15", "41+". */
static double
upper(const char *key)
{
  const char *dash = strchr(key, '-');
  if (g_str_has_prefix(key, "<="))
    return g_ascii_strtod(key + 2, NULL);
  return g_ascii_strtod(dash != NULL ? dash + 1 : key, NULL);
}

static void
test_ampacity_rows(void **state)
{
  (void)state;
  static const char *const columns[] = {"cu_60c", "cu_75c", "cu_90c"};
  const double celsius[] = {60, 75, 90};
  Csv csv = csv_read("conductor_ampacity.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    const char *table = csv_text(&csv, i, "table"), *key = csv_text(&csv, i, "key");
    for (int c = 0; c < 3; c++) {
      double value = csv_number(&csv, i, columns[c], -1);
      if (strcmp(table, "310.16") == 0 && value >= 0)
        assert_close(ampacity_amps(size_of(key), METAL_COPPER, celsius[c]), value, 0);
      else if (strcmp(table, "310.15(B)(1)") == 0)
        assert_close(ampacity_ambient_factor(upper(key), celsius[c]), fmax(value, 0), 0);
      else if (strcmp(table, "310.15(C)(1)") == 0)
        assert_close(ampacity_bundle_factor((guint)upper(key)), value, 0);
      else if (strcmp(table, "402.5") == 0 && c == 0)
        assert_close(ampacity_fixture_wire(size_of(key)), value, 0);
    }
    if (strcmp(table, "240.4(D)") == 0)
      assert_close(ampacity_small_conductor_limit(size_of(key), METAL_COPPER),
                   csv_number(&csv, i, "ocpd_max_a", NAN), 0);
  }
  csv_clear(&csv);
}

static void
test_ampacity_rules(void **state)
{
  (void)state;
  Quantity twelve = quantity_make(12, UNIT_AWG);
  /* DR1 (ampacity page): 12 AWG, 75 C column, 40 C ambient: 22 A. */
  assert_close(ampacity_amps(twelve, METAL_COPPER, 75) * ampacity_ambient_factor(40, 75), 22, 1e-9);
  assert_close(ampacity_ambient_factor(10.5, 60), 1.22, 0);
  assert_close(ampacity_ambient_factor(86, 90), 0, 0);
  assert_close(ampacity_ambient_factor(56, 60), 0, 0);
  assert_close(ampacity_bundle_factor(4), 0.8, 0);
  assert_close(ampacity_bundle_factor(100), 0.35, 0);
  /* Table 402.5 stands in for 18 and 16 AWG below 90 C. */
  assert_close(ampacity_amps(quantity_make(18, UNIT_AWG), METAL_COPPER, 75), 6, 0);
  assert_true(isnan(ampacity_amps(quantity_make(22, UNIT_AWG), METAL_COPPER, 75)));
  assert_true(isnan(ampacity_amps(twelve, METAL_COPPER, 40)));
  assert_true(isnan(ampacity_amps(quantity_make(12, UNIT_VOLT), METAL_COPPER, 75)));
  assert_true(isinf(ampacity_small_conductor_limit(quantity_make(8, UNIT_AWG), METAL_COPPER)));
  assert_close(ampacity_small_conductor_limit(quantity_make(2.5, UNIT_SQUARE_MM), METAL_COPPER), 15,
               0);
  assert_close(ampacity_terminal_celsius(100), 60, 0);
  assert_close(ampacity_terminal_celsius(101), 75, 0);
  Quantity size;
  /* 240.4(D) makes a 30 A device ask for 10 AWG even for a light load. */
  assert_true(ampacity_size_for(2, 30, METAL_COPPER, 75, &size));
  assert_close(quantity_value(size), 10, 0);
  assert_true(ampacity_size_for(16, 0, METAL_COPPER, 60, &size));
  assert_close(quantity_value(size), 12, 0);
  assert_false(ampacity_size_for(1e4, 0, METAL_COPPER, 75, &size));
  /* Smaller insulation temperature never carries more; aluminium never more than copper. */
  guint n;
  const AmpacityRow *rows = ampacity_rows(&n);
  for (guint i = 0; i < n; i++)
    for (int c = 0; c < 3; c++) {
      assert_true(rows[i].aluminium[c] < rows[i].copper[c] || rows[i].copper[c] == 0);
      if (c > 0)
        assert_true(rows[i].copper[c] > rows[i].copper[c - 1] || rows[i].copper[c] == 0);
      if (i > 0)
        assert_true(rows[i].copper[c] >= rows[i - 1].copper[c]);
    }
}

static void
test_nominal_systems(void **state)
{
  (void)state;
  Csv csv = csv_read("nominal_systems.csv");
  guint n;
  const NominalPair *rows = nominal_pairs(&n);
  assert_int_equal(n, csv.rows->len);
  for (guint i = 0; i < n; i++) {
    const NominalPair *row =
        nominal_pair_find(csv_text(&csv, i, "system"), csv_text(&csv, i, "pair"));
    assert_ptr_equal(row, &rows[i]);
    assert_close(row->nominal, csv_number(&csv, i, "nominal_v", -1), 0);
    assert_close(row->exact, csv_number(&csv, i, "exact_v", -1), 0);
    assert_close(row->phases, csv_number(&csv, i, "phases", -1), 0);
    assert_close(row->wires, csv_number(&csv, i, "wires", -1), 0);
    assert_int_equal(row->grounding == GROUNDING_NONE,
                     strcmp(csv_text(&csv, i, "grounding"), "none") == 0);
  }
  csv_clear(&csv);
  /* 250.20(A)(1): which supplies exceed 150 V to ground. */
  assert_close(nominal_system_to_ground("208Y/120"), 120, 0.1);
  assert_close(nominal_system_to_ground("480Y/277"), 277, 0.1);
  assert_close(nominal_system_to_ground("240/120 delta high leg"), 207.8, 0.1);
  assert_close(nominal_system_to_ground("480 delta ungrounded"), -1, 0);
  assert_close(nominal_volts_near(486), 480, 0);
  assert_close(nominal_volts_near(229), 240, 0);
  assert_close(nominal_volts_near(213), 208, 0);
  assert_close(nominal_volts_near(55), 0, 0);
  assert_close(nominal_volts_nearest(102), 120, 0);
  assert_close(nominal_volts_nearest(1e4), 600, 0);
  assert_close(nominal_volts_nearest(0), 0, 0);
  assert_close(nominal_volts_near(NAN), 0, 0);
}

static void
test_voltage_ranges(void **state)
{
  (void)state;
  Csv csv = csv_read("voltage_ranges.csv");
  guint n;
  const VoltageRange *rows = voltage_ranges(&n);
  assert_int_equal(n, csv.rows->len + 2); /* and the two tap rows */
  for (guint i = 0; i < csv.rows->len; i++) {
    assert_string_equal(rows[i].item, csv_text(&csv, i, "item"));
    assert_string_equal(rows[i].kind, csv_text(&csv, i, "kind"));
    assert_string_equal(rows[i].range, csv_text(&csv, i, "range"));
    assert_string_equal(rows[i].pair, csv_text(&csv, i, "pair"));
    assert_close(rows[i].nominal, csv_number(&csv, i, "nominal_v", -1), 0);
    assert_close(rows[i].low, csv_number(&csv, i, "min_v", -1), 0);
    assert_close(rows[i].high, csv_number(&csv, i, "max_v", -1), 0);
  }
  csv_clear(&csv);
  const VoltageRange *b = voltage_range_find("utilization", "B", "LL", 480);
  assert_non_null(b);
  assert_close(b->low, 416, 0);
  assert_null(voltage_range_find("utilization", "B", "LL", 333));
}

/* Published transformer tap ranges and equipment ranges. */
static void
test_tap_ranges(void **state)
{
  (void)state;
  Csv csv = csv_read("tap_ranges.csv");
  guint seen = 0;
  for (guint i = 0; i < csv.rows->len; i++) {
    if (strcmp(csv_text(&csv, i, "kind"), "tap range") != 0)
      continue;
    TapRange range = tap_range(csv_number(&csv, i, "nameplate_or_tap_V", NAN));
    assert_true(range.published);
    assert_close(range.low, csv_number(&csv, i, "operating_min_V", NAN), 0);
    assert_close(range.high, csv_number(&csv, i, "operating_max_V", NAN), 0);
    seen++;
  }
  assert_int_equal(seen, 2);
  csv_clear(&csv);
  TapRange other = tap_range(480);
  assert_false(other.published);
  assert_close(other.low, 432, 1e-9);
  assert_close(other.high, 528, 1e-9);
}

static void
test_colours(void **state)
{
  (void)state;
  Csv csv = csv_read("colour_letters.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    WireColour name = wire_colour_parse(csv_text(&csv, i, "colour"));
    WireColour code = wire_colour_parse(csv_text(&csv, i, "code"));
    assert_int_not_equal(name.base, COLOUR_UNKNOWN);
    assert_int_equal(name.base, code.base);
    assert_int_equal(name.tracer, code.tracer);
    if (name.tracer == COLOUR_UNKNOWN)
      assert_string_equal(colour_iec_code(name.base), csv_text(&csv, i, "code"));
  }
  csv_clear(&csv);
  csv = csv_read("colour_rules.csv");
  guint n;
  colour_rules(&n);
  assert_int_equal(n, csv.rows->len);
  for (guint i = 0; i < n; i++) {
    const ColourRule *rule = colour_rule_find(csv_text(&csv, i, "set"), csv_text(&csv, i, "role"));
    assert_non_null(rule);
    assert_string_equal(rule->colours, csv_text(&csv, i, "colours"));
    assert_string_equal(rule->clause, csv_text(&csv, i, "clause"));
    static const char *const strengths[] = {"required", "standard", "practice"};
    assert_string_equal(strengths[rule->strength], csv_text(&csv, i, "strength"));
  }
  csv_clear(&csv);
  assert_true(wire_colour_is_grounding(wire_colour_parse("green/yellow")));
  assert_true(wire_colour_is_grounding(wire_colour_parse("Bare")));
  assert_false(wire_colour_is_grounding(wire_colour_parse("green/white")));
  assert_true(wire_colour_is_grounded(wire_colour_parse("gray")));
  assert_true(wire_colour_is_grounded(wire_colour_parse("white/blue")));
  assert_false(wire_colour_is_grounded(wire_colour_parse("blue/white")));
  assert_int_equal(wire_colour_parse(NULL).base, COLOUR_UNKNOWN);
  assert_int_equal(wire_colour_parse("plaid").base, COLOUR_UNKNOWN);
}

static void
test_designations(void **state)
{
  (void)state;
  Csv csv = csv_read("device_designations.csv");
  guint n;
  const DesignationRow *rows = designation_rows(&n);
  assert_int_equal(n, csv.rows->len);
  for (guint i = 0; i < n; i++) {
    g_autofree char *numbered = g_strdup_printf("%s12", csv_text(&csv, i, "letters"));
    assert_string_equal(rows[i].letters, csv_text(&csv, i, "letters"));
    assert_string_equal(designation_meaning(rows[i].set, numbered), csv_text(&csv, i, "meaning"));
  }
  csv_clear(&csv);
  assert_null(designation_meaning(LETTERS_MACHINE, "ZZ1"));
  assert_null(designation_meaning(LETTERS_MACHINE, ""));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_ampacity_rows),   cmocka_unit_test(test_ampacity_rules),
      cmocka_unit_test(test_nominal_systems), cmocka_unit_test(test_voltage_ranges),
      cmocka_unit_test(test_tap_ranges),      cmocka_unit_test(test_colours),
      cmocka_unit_test(test_designations),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
