/* SPDX-License-Identifier: MIT */
/* The sheet in feet and AWG or in metres and mm². Factors: 1 ft = 0.3048 m, exactly, and
 * t/°F = 1.8 t/°C + 32, exactly (NIST SP 811, appendix B); a circular mil is the area of a circle
 * of 0.001 in = 0.0254 mm (same source); AWG diameters by ASTM B258: 0.127 mm * 92^((36-n)/39). */
#include "sheet_fixture.h"

#include "sheet/facts.h"
#include "sheet/units.h"
#include <math.h>

static Quantity
quantity(const char *text, Unit unit)
{
  Quantity q;
  g_autoptr(GError) error = NULL;
  if (!quantity_parse(text, unit, &q, &error))
    fail_msg("%s", error->message);
  return q;
}

static void
assert_near(double found, double expected)
{
  if (!(fabs(found - expected) <= 1e-12 * fabs(expected)))
    fail_msg("%.15g is not %.15g", found, expected);
}

static void
test_factors(void **state)
{
  (void)state;
  assert_near(quantity_in(quantity("1 ft", UNIT_FOOT), UNIT_METRE), 0.3048);
  assert_near(quantity_in(quantity("1 m", UNIT_METRE), UNIT_FOOT), 1 / 0.3048);
  assert_near(quantity_in(quantity("250 kcmil", UNIT_KCMIL), UNIT_SQUARE_MM),
              250e3 * G_PI / 4 * 0.0254 * 0.0254);
  for (int n = -3; n <= 20; n++) {
    const double diameter = 0.127 * pow(92, (36.0 - n) / 39);
    assert_near(quantity_in(quantity_make(n, UNIT_AWG), UNIT_SQUARE_MM),
                G_PI / 4 * diameter * diameter);
  }
}

static void
check(char *take_found, const char *expected)
{
  g_autofree char *found = take_found;
  assert_string_equal(found, expected);
}

/* ASTM B258 area of 14 AWG: 2.08 mm²; of 10 AWG: 5.26 mm²; of 4/0: 107 mm². */
static void
test_sizes_stay_what_they_are(void **state)
{
  (void)state;
  check(units_size(quantity("14 AWG", UNIT_AWG), UNITS_METRIC), "14 AWG (2.08 mm²)");
  check(units_size(quantity("10 AWG", UNIT_AWG), UNITS_METRIC), "10 AWG (5.26 mm²)");
  check(units_size(quantity("4/0 AWG", UNIT_AWG), UNITS_METRIC), "4/0 AWG (107 mm²)");
  check(units_size(quantity("14 AWG", UNIT_AWG), UNITS_IMPERIAL), "14 AWG");
  check(units_size(quantity("250 kcmil", UNIT_KCMIL), UNITS_IMPERIAL), "250 kcmil");
  check(units_size(quantity("2.5 mm2", UNIT_SQUARE_MM), UNITS_METRIC), "2.5 mm²");
  check(units_size(quantity("2.5 mm2", UNIT_SQUARE_MM), UNITS_IMPERIAL), "2.5 mm² (4.93 kcmil)");
}

static void
test_lengths_and_temperatures(void **state)
{
  Value value = {.has_value = true, .low = quantity("6 ft", UNIT_FOOT)};
  (void)state;

  check(units_length(&value, UNITS_IMPERIAL), "6 ft");
  check(units_length(&value, UNITS_METRIC), "1.83 m");
  value.low = quantity("2.5 m", UNIT_METRE);
  check(units_length(&value, UNITS_METRIC), "2.5 m");
  check(units_length(&value, UNITS_IMPERIAL), "8.20 ft");
  value.has_value = false;
  check(units_length(&value, UNITS_METRIC), "");
  check(units_rating("closes on rise at 30 C", UNITS_METRIC), "closes on rise at 30 °C");
  check(units_rating("opens at -40 C, 5 A", UNITS_IMPERIAL), "opens at -40 °F (-40 °C), 5 A");
  check(units_rating("22 C", UNITS_IMPERIAL), "71.6 °F (22 °C)");
  check(units_rating("1.25 A 600 V CC, 24 VA Class 2", UNITS_IMPERIAL),
        "1.25 A 600 V CC, 24 VA Class 2");
  assert_null(units_rating(NULL, UNITS_METRIC));
}

/* The field of the sheet and the option both reach every table; the file's digest stays. */
static void
test_sheet_in_metric(void **state)
{
  g_autofree char *path = fixture_path("samples/pump-208.doorsheet");
  g_autoptr(Document) document = fixture_read(path);
  g_autoptr(Inspection) inspection = inspection_new(document);
  const SheetOptions options = {.paper = "a3", .units = "metric", .date = "2026-11-25"};
  g_autofree char *digest = facts_digest(document);
  g_autoptr(GError) error = NULL;
  g_autoptr(Sheet) asked = sheet_compose(inspection, &options, &error);
  g_autoptr(Sheet) plain = fixture_sheet(document, "a3", PALETTE_LIGHT);
  (void)state;

  assert_non_null(asked);
  assert_true(fixture_says(plain, "6 ft") && !fixture_says(plain, "mm²"));
  assert_true(fixture_says(asked, "1.83 m") && fixture_says(asked, "14 AWG (2.08 mm²)"));
  assert_true(fixture_says(asked, "14 AWG (2.08 mm²) copper"));
  assert_true(!fixture_says(asked, "6 ft") && fixture_says(asked, digest));
  Change *change = edit_set_sheet_field(document, false, "units", "metric", &error);
  assert_true(document_apply(document, change, &error));
  g_autoptr(Sheet) set = fixture_sheet(document, "a3", PALETTE_LIGHT);
  assert_true(fixture_says(set, "1.83 m") && fixture_says(set, "14 AWG (2.08 mm²)"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_factors),
      cmocka_unit_test(test_sizes_stay_what_they_are),
      cmocka_unit_test(test_lengths_and_temperatures),
      cmocka_unit_test(test_sheet_in_metric),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
