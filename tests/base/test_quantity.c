/* SPDX-License-Identifier: MIT */
#include "base/quantity.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  const char *text;
  Unit want;
  double value; /* in want, without prefix */
  const char *canonical;
} Accepted;

static const Accepted accepted[] = {
    {"480 V", UNIT_VOLT, 480, "480 V"},
    {" 480V ", UNIT_VOLT, 480, "480 V"},
    {"10 kA", UNIT_AMPERE, 10000, "10 kA"},
    {"10kA", UNIT_AMPERE, 10000, "10 kA"},
    {"-3.5 V", UNIT_VOLT, -3.5, "-3.5 V"},
    {".5 A", UNIT_AMPERE, 0.5, "0.5 A"},
    {"1e3 W", UNIT_WATT, 1000, "1000 W"},
    {"30 \xc2\xb5"
     "F",
     UNIT_FARAD, 30e-6, "30 uF"},
    {"30 uF", UNIT_FARAD, 30e-6, "30 uF"},
    {"12 \xce\xa9", UNIT_OHM, 12, "12 ohm"},
    {"1.5 Mohm", UNIT_OHM, 1.5e6, "1.5 Mohm"},
    {"5%", UNIT_PERCENT, 5, "5 %"},
    {"4.9", UNIT_NONE, 4.9, "4.9"},
    {"12 ft", UNIT_METRE, 3.6576, "12 ft"},
    {"6 in", UNIT_FOOT, 0.5, "6 in"},
    {"40 mm", UNIT_METRE, 0.04, "40 mm"},
    {"2 hp", UNIT_WATT, 1491.3997431645, "2 hp"},
    {"14 AWG", UNIT_AWG, 14, "14 AWG"},
    {"1/0 AWG", UNIT_AWG, 0, "1/0 AWG"},
    {"4/0 AWG", UNIT_AWG, -3, "4/0 AWG"},
    {"0 AWG", UNIT_AWG, 0, "1/0 AWG"},
    {"250 kcmil", UNIT_KCMIL, 250, "250 kcmil"},
    {"2.5 mm2", UNIT_SQUARE_MM, 2.5, "2.5 mm2"},
    {"75 \xc2\xb0"
     "C",
     UNIT_CELSIUS, 75, "75 C"},
};

static void
reads_what_people_write(void **state)
{
  (void)state;
  for (guint i = 0; i < G_N_ELEMENTS(accepted); i++) {
    const Accepted *a = &accepted[i];
    g_autoptr(GError) error = NULL;
    Quantity q, again;
    if (!quantity_parse(a->text, a->want, &q, &error))
      fail_msg("%s: %s", a->text, error->message);
    double got = quantity_in(q, a->want);
    if (fabs(got - a->value) > 1e-12 * fabs(a->value))
      fail_msg("%s: %.17g instead of %.17g", a->text, got, a->value);
    g_autofree char *text = quantity_format(q);
    assert_string_equal(text, a->canonical);
    assert_true(quantity_parse(text, a->want, &again, NULL));
    assert_true(quantity_equal(q, again));
  }
}

static void
refuses_what_is_no_quantity(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    Unit want;
    QuantityErrorCode code;
  } refused[] = {
      {"", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"nan V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"inf V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"1e999 V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"1e308 kV", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"0x10 V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"480", UNIT_VOLT, QUANTITY_ERROR_UNIT},
      {"480 A", UNIT_VOLT, QUANTITY_ERROR_UNIT},
      {"480 Vx", UNIT_VOLT, QUANTITY_ERROR_UNIT},
      {"1,5 V", UNIT_VOLT, QUANTITY_ERROR_UNIT},
      {"4.9 V", UNIT_NONE, QUANTITY_ERROR_UNIT},
      {"5/0 AWG", UNIT_AWG, QUANTITY_ERROR_UNIT},
      {"14.5 AWG", UNIT_AWG, QUANTITY_ERROR_NUMBER},
      {"99 AWG", UNIT_AWG, QUANTITY_ERROR_NUMBER},
      {"k5 V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
      {"\xff\xfe V", UNIT_VOLT, QUANTITY_ERROR_NUMBER},
  };
  for (guint i = 0; i < G_N_ELEMENTS(refused); i++) {
    g_autoptr(GError) error = NULL;
    Quantity q;
    if (quantity_parse(refused[i].text, refused[i].want, &q, &error))
      fail_msg("%s was read", refused[i].text);
    if (!g_error_matches(error, QUANTITY_ERROR, (gint)refused[i].code))
      fail_msg("%s: %s", refused[i].text, error->message);
    assert_non_null(strstr(error->message, "write it like"));
    assert_true(g_utf8_validate(error->message, -1, NULL));
  }
}

static void
reads_ranges(void **state)
{
  (void)state;
  static const struct {
    const char *text, *canonical;
    double low, high;
  } ranges[] = {
      {"110..125 V", "110..125 V", 110, 125},
      {"110V..125V", "110..125 V", 110, 125},
      {"24 V", "24 V", 24, 24},
      {"0.5..1 kV", "0.5..1 kV", 500, 1000},
      {"500 V..1 kV", "500 V..1 kV", 500, 1000},
      {"1.5..2.5 V", "1.5..2.5 V", 1.5, 2.5},
  };
  for (guint i = 0; i < G_N_ELEMENTS(ranges); i++) {
    QuantityRange range;
    g_autoptr(GError) error = NULL;
    if (!quantity_range_parse(ranges[i].text, UNIT_VOLT, &range, &error))
      fail_msg("%s: %s", ranges[i].text, error->message);
    assert_true(quantity_value(range.low) == ranges[i].low);
    assert_true(quantity_value(range.high) == ranges[i].high);
    g_autofree char *text = quantity_range_format(range);
    assert_string_equal(text, ranges[i].canonical);
  }
  QuantityRange range;
  g_autoptr(GError) error = NULL;
  assert_false(quantity_range_parse("125..110 V", UNIT_VOLT, &range, &error));
  assert_true(g_error_matches(error, QUANTITY_ERROR, QUANTITY_ERROR_ORDER));
  assert_false(quantity_range_parse("1...2 V", UNIT_VOLT, &range, NULL));
  assert_false(quantity_range_parse("..2 V", UNIT_VOLT, &range, NULL));
  assert_false(quantity_range_parse("1.. V", UNIT_VOLT, &range, NULL));
}

static void
shows_numbers_with_units(void **state)
{
  (void)state;
  static const struct {
    double value;
    Unit unit;
    int digits;
    const char *text;
  } shown[] = {
      {118.37, UNIT_VOLT, 4, "118.4 V"},
      {9996, UNIT_AMPERE, 3, "10.0 kA"},
      {999.96, UNIT_AMPERE, 3, "1.00 kA"},
      {0.0123, UNIT_AMPERE, 3, "12.3 mA"},
      {0.52, UNIT_AMPERE, 3, "0.520 A"},
      {1e-13, UNIT_VOLT, 4, "0 V"},
      {-1e-13, UNIT_VOLT, 4, "0 V"},
      {-12.5, UNIT_VOLT, 3, "-12.5 V"},
      {1500, UNIT_VOLT_AMPERE, 4, "1500 VA"},
      {12000, UNIT_VOLT_AMPERE, 3, "12.0 kVA"},
      {NAN, UNIT_VOLT, 4, "- V"},
      {INFINITY, UNIT_AMPERE, 3, "unlimited A"},
      {99.96, UNIT_VOLT, 3, "100 V"},
      {30e-6, UNIT_FARAD, 3, "30.0 uF"},
      {14, UNIT_AWG, 3, "14 AWG"},
      {5.26, UNIT_PERCENT, 2, "5.3 %"},
  };
  for (guint i = 0; i < G_N_ELEMENTS(shown); i++) {
    g_autofree char *text = quantity_display(shown[i].value, shown[i].unit, shown[i].digits);
    assert_string_equal(text, shown[i].text);
  }
  g_autofree char *range = quantity_display_range(117.08, 119.61, UNIT_VOLT, 4);
  assert_string_equal(range, "117.1..119.6 V");
  g_autofree char *same = quantity_display_range(24, 24.001, UNIT_VOLT, 3);
  assert_string_equal(same, "24.0 V");
}

/* ASTM B258: 14 AWG is 0.0641 in, 4/0 is 0.4600 in, 36 AWG 0.0050 in (definition). From memory:
 * 14 AWG 2.08 mm2, 1/0 AWG 53.5 mm2, as NFPA 70 Chapter 9 Table 8 also prints. */
static void
converts_conductor_sizes(void **state)
{
  (void)state;
  assert_true(fabs(quantity_in(quantity_make(14, UNIT_AWG), UNIT_SQUARE_MM) - 2.08) < 0.005);
  assert_true(fabs(quantity_in(quantity_make(0, UNIT_AWG), UNIT_SQUARE_MM) - 53.5) < 0.05);
  assert_true(fabs(quantity_in(quantity_make(250, UNIT_KCMIL), UNIT_SQUARE_MM) - 126.7) < 0.05);
  assert_true(fabs(quantity_in(quantity_make(2.08, UNIT_SQUARE_MM), UNIT_AWG) - 14) < 0.01);
  assert_true(isnan(quantity_in(quantity_make(1, UNIT_VOLT), UNIT_AMPERE)));
}

static void
round_trips_random_numbers(void **state)
{
  (void)state;
  g_autoptr(GRand) rand = g_rand_new_with_seed(20261125);
  for (int i = 0; i < 20000; i++) {
    union {
      guint64 bits;
      double value;
    } number = {.bits = ((guint64)g_rand_int(rand) << 32) | g_rand_int(rand)};
    if (!isfinite(number.value))
      continue;
    g_autofree char *text = number_format(number.value);
    assert_true(g_ascii_strtod(text, NULL) == number.value);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(reads_what_people_write),
      cmocka_unit_test(refuses_what_is_no_quantity),
      cmocka_unit_test(reads_ranges),
      cmocka_unit_test(shows_numbers_with_units),
      cmocka_unit_test(converts_conductor_sizes),
      cmocka_unit_test(round_trips_random_numbers),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
