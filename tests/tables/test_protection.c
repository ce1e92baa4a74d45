/* SPDX-License-Identifier: MIT */
/* Standard ratings, Table 450.3(B), grounding conductors, class 2 limits. */
#include "table_csv.h"
#include "tables/class2.h"
#include "tables/egc.h"
#include "tables/motor_branch.h"
#include "tables/transformer_protection.h"

static RatingUse
use_of(const char *text)
{
  if (strcmp(text, "fuse_only") == 0)
    return RATING_FUSE_ONLY;
  return strcmp(text, "fuse_and_breaker") == 0 ? RATING_FUSE_AND_BREAKER : RATING_NONE;
}

static void
test_standard_rows(void **state)
{
  (void)state;
  Csv csv = csv_read("standard_ocpd_ratings.csv");
  guint n;
  const StandardRating *rows = standard_ratings(&n);
  assert_int_equal(n, csv.rows->len);
  for (guint i = 0; i < n; i++) {
    assert_close(rows[i].amps, csv_number(&csv, i, "rating_a", NAN), 0);
    assert_string_equal(rows[i].label, csv_text(&csv, i, "label"));
    assert_int_equal(rows[i].use[CODE_EDITION_2020], use_of(csv_text(&csv, i, "nec2020")));
    assert_int_equal(rows[i].use[CODE_EDITION_2023], use_of(csv_text(&csv, i, "nec2023")));
    assert_int_equal(rows[i].small_fuse, strcmp(csv_text(&csv, i, "trade_small_fuse"), "yes") == 0);
    if (i > 0)
      assert_true(rows[i].amps > rows[i - 1].amps);
  }
  csv_clear(&csv);
}

static void
test_standard_steps(void **state)
{
  (void)state;
  /* 10 A is a breaker rating from 2023 on. */
  assert_close(standard_rating_up(8, CODE_EDITION_2023, RATING_BREAKER), 10, 0);
  assert_close(standard_rating_up(8, CODE_EDITION_2020, RATING_BREAKER), 15, 0);
  assert_close(standard_rating_up(8, CODE_EDITION_2020, RATING_FUSE), 10, 0);
  assert_close(standard_rating_down(601, CODE_EDITION_2023, RATING_BREAKER), 600, 0);
  assert_close(standard_rating_down(601, CODE_EDITION_2023, RATING_FUSE), 601, 0);
  assert_true(isnan(standard_rating_up(6001, CODE_EDITION_2023, RATING_FUSE)));
  assert_true(isnan(standard_rating_down(0.9, CODE_EDITION_2023, RATING_FUSE)));
  assert_true(standard_rating_is(15, CODE_EDITION_2023, RATING_BREAKER));
  assert_false(standard_rating_is(17.5, CODE_EDITION_2023, RATING_FUSE));
  assert_close(fuse_rating_down(1.25), 1.25, 0);
  assert_close(fuse_rating_down(3 * 0.4), 1.125, 0);
  assert_close(fuse_rating_up(1.26), 1.4, 0);
  assert_int_equal(code_edition_parse("2020"), CODE_EDITION_2020);
  assert_int_equal(code_edition_parse(NULL), CODE_EDITION_2023);
}

/* Published chart of primary fuses: 300 %, in brackets 500 % (motor control), always down. The
 * chart prints 1-1/8 A as 1.13. */
static void
test_primary_fuse_chart(void **state)
{
  (void)state;
  Csv csv = csv_read("primary_fuses.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    double amps = transformer_rated_amps(csv_number(&csv, i, "VA", NAN),
                                         csv_number(&csv, i, "primary_V", NAN), 1);
    assert_close(amps, csv_number(&csv, i, "primary_A", NAN), 6e-5);
    double plain =
        transformer_protection_rating(PROTECT_PRIMARY_ONLY, amps, CODE_EDITION_2023, RATING_FUSE);
    assert_close(plain, csv_number(&csv, i, "fuse_A", NAN), 0.006);
    double motor =
        transformer_protection_rating(PROTECT_MOTOR_CONTROL, amps, CODE_EDITION_2023, RATING_FUSE);
    assert_close(motor, csv_number(&csv, i, "fuse_A_alternative_in_brackets", NAN), 0.006);
  }
  csv_clear(&csv);
}

static void
test_limit_rows(void **state)
{
  (void)state;
  static const struct {
    const char *name, *side;
    ProtectionMethod method;
  } methods[] = {
      {"primary_only", "primary", PROTECT_PRIMARY_ONLY},
      {"primary_and_secondary", "primary", PROTECT_PRIMARY_OF_BOTH},
      {"primary_and_secondary", "secondary", PROTECT_SECONDARY_OF_BOTH},
      {"motor_control_transformer", "primary", PROTECT_MOTOR_CONTROL},
  };
  Csv csv = csv_read("transformer_ocpd_limits.csv");
  guint seen = 0;
  for (guint i = 0; i < csv.rows->len; i++) {
    if (*csv_text(&csv, i, "percent") == '\0')
      continue; /* rows that refer to another clause */
    double low = csv_number(&csv, i, "i_min_a", 0), high = csv_number(&csv, i, "i_max_a", INFINITY);
    double percent = csv_number(&csv, i, "percent", NAN);
    const ProtectionRow *row = NULL;
    for (gsize m = 0; m < G_N_ELEMENTS(methods); m++)
      if (strcmp(methods[m].name, csv_text(&csv, i, "method")) == 0 &&
          strcmp(methods[m].side, csv_text(&csv, i, "side")) == 0)
        row = transformer_protection_row(methods[m].method, fmax(low, 0.5));
    if (strcmp(csv_text(&csv, i, "method"), "coordinated_thermal") == 0)
      row = transformer_protection_row(
          percent > 500 ? PROTECT_COORDINATED_6 : PROTECT_COORDINATED_10, 5);
    assert_non_null(row);
    assert_string_equal(row->id, csv_text(&csv, i, "id"));
    assert_close(row->percent, percent, 0);
    assert_close(row->min_amps, low, 0);
    assert_true(row->max_amps == high);
    assert_int_equal(row->round_up, strcmp(csv_text(&csv, i, "round_up"), "yes") == 0);
    assert_non_null(
        strstr(row->clause, row->method == PROTECT_MOTOR_CONTROL ? "430.72(C)" : "450.3(B)"));
    seen++;
  }
  guint n;
  transformer_protection_rows(&n);
  assert_int_equal(seen, n);
  csv_clear(&csv);
}

/* Worked examples from electrical training pages, ours recomputed. */
static void
test_worked_examples(void **state)
{
  (void)state;
  /* T01: 75 kVA three-phase 480 V, primary only: 90.2 A, 112.8 A, next size up 125 A. */
  double amps = transformer_rated_amps(75e3, 480, 3);
  assert_close(amps, 90.211, 1e-3);
  assert_close(transformer_protection_limit(PROTECT_PRIMARY_ONLY, amps), 112.764, 1e-3);
  assert_close(
      transformer_protection_largest(PROTECT_PRIMARY_ONLY, amps, CODE_EDITION_2020, RATING_BREAKER),
      125, 0);
  /* T02: the same, 208Y/120 with secondary device: 225 A down; 260.2 A up to 300 A. */
  assert_close(transformer_protection_limit(PROTECT_PRIMARY_OF_BOTH, amps), 225.527, 1e-3);
  assert_close(transformer_protection_rating(PROTECT_PRIMARY_OF_BOTH, amps, CODE_EDITION_2020,
                                             RATING_BREAKER),
               225, 0);
  double secondary = transformer_rated_amps(75e3, 208, 3);
  assert_close(secondary, 208.179, 1e-3);
  assert_close(transformer_protection_largest(PROTECT_SECONDARY_OF_BOTH, secondary,
                                              CODE_EDITION_2020, RATING_BREAKER),
               300, 0);
  /* T03: 112.5 kVA, 480 V: 135.3 A. */
  assert_close(transformer_rated_amps(112.5e3, 480, 3), 135.316, 1e-3);
  /* T05: 350 VA, 480 V, motor control: 3.6 A. */
  assert_close(
      transformer_protection_limit(PROTECT_MOTOR_CONTROL, transformer_rated_amps(350, 480, 1)),
      3.6458, 1e-4);
  /* No motor control row from 2 A up. */
  assert_null(transformer_protection_row(PROTECT_MOTOR_CONTROL, 2));
  assert_true(isnan(transformer_protection_limit(PROTECT_MOTOR_CONTROL, 2)));
  /* T07: secondary conductors protected by the primary device, 120 to 24 V. */
  const double ampacity[] = {6, 8, 20, 25, 30, 40}, largest[] = {1.2, 1.6, 4, 5, 6, 8};
  for (int i = 0; i < 6; i++)
    assert_close(transformer_secondary_by_primary(ampacity[i], 120, 24), largest[i], 1e-12);
}

static Quantity
conductor_size(const char *text)
{
  g_autofree char *written =
      g_strdup_printf("%s %s", text, g_ascii_strtod(text, NULL) >= 250 ? "kcmil" : "AWG");
  Quantity q;
  assert_true(quantity_parse(written, UNIT_AWG, &q, NULL));
  return q;
}

static void
test_grounding_conductor(void **state)
{
  (void)state;
  Csv csv = csv_read("equipment_grounding_conductor.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    double amps = csv_number(&csv, i, "ocpd_not_over_a", NAN);
    Quantity size, expected = conductor_size(csv_text(&csv, i, "cu_awg_kcmil"));
    assert_true(egc_size(amps, METAL_COPPER, &size));
    assert_true(quantity_equal(size, expected));
    /* One ampere more needs the next row. */
    Quantity above;
    if (egc_size(amps + 1, METAL_COPPER, &above))
      assert_true(quantity_in(above, UNIT_SQUARE_MM) > quantity_in(size, UNIT_SQUARE_MM));
    else
      assert_int_equal(i, csv.rows->len - 1);
  }
  csv_clear(&csv);
  Quantity none;
  assert_false(egc_size(0, METAL_COPPER, &none));
  assert_false(egc_size(NAN, METAL_COPPER, &none));
  /* EG1: 60 A device, conductors raised from 6 to 4 AWG: factor 1.59 on 10 AWG, about 8 AWG. */
  double area = egc_upsized_area(quantity_make(10, UNIT_AWG), quantity_make(6, UNIT_AWG),
                                 quantity_make(4, UNIT_AWG));
  double ten = quantity_in(quantity_make(10, UNIT_AWG), UNIT_SQUARE_MM);
  assert_close(area / ten, 1.5907, 2e-3);
}

/* "8.0", "1000/V", "5.0*V" or empty at a voltage. */
static double
figure(const char *text, double volts)
{
  if (*text == '\0')
    return 0;
  char *end = NULL;
  double number = g_ascii_strtod(text, &end);
  if (strcmp(end, "/V") == 0)
    return number / volts;
  return strcmp(end, "*V") == 0 ? number * volts : number;
}

static void
test_class2(void **state)
{
  (void)state;
  Csv csv = csv_read("class2_limits.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    bool inherently = strcmp(csv_text(&csv, i, "type"), "inherently_limited") == 0;
    double low = csv_number(&csv, i, "v_over", NAN), high = csv_number(&csv, i, "v_to", NAN);
    const double at[] = {low + 0.01, (low + high) / 2, high};
    for (int k = 0; k < 3; k++) {
      Class2Limit limit;
      assert_true(class2_limit(inherently, at[k], &limit));
      assert_close(limit.max_va, figure(csv_text(&csv, i, "va_max"), at[k]), 1e-9);
      assert_close(limit.max_amps, figure(csv_text(&csv, i, "i_max_a"), at[k]), 1e-9);
      assert_close(limit.max_device_amps, figure(csv_text(&csv, i, "ocpd_max_a"), at[k]), 1e-9);
      assert_close(limit.nameplate_va, figure(csv_text(&csv, i, "nameplate_va"), at[k]), 1e-9);
      assert_close(limit.nameplate_amps, figure(csv_text(&csv, i, "nameplate_a"), at[k]), 1e-9);
    }
  }
  csv_clear(&csv);
  Class2Limit limit;
  assert_false(class2_limit(false, 31, &limit)); /* not inherently limited ends at 30 V */
  assert_false(class2_limit(true, 151, &limit));
  assert_false(class2_limit(true, 0, &limit));
}

/* Outdoor units as published in a data table: minimum circuit ampacity and maximum device from the
 * compressor's and the fan's amperes (worked examples MC01, MC02, MC07 to MC10). */
static void
test_motor_branch(void **state)
{
  static const struct {
    double compressor, fan, ampacity, device;
  } units[] = {{14.1, 1.45, 19.1, 30}, {12.8, 0.80, 16.8, 25}, {26.4, 1.45, 34.5, 60},
               {16.0, 1.45, 21.5, 35}, {7.8, 0.80, 10.6, 15},  {5.6, 0.80, 7.8, 15}};
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(units); i++) {
    assert_close(motor_conductor_amps(units[i].compressor, units[i].fan), units[i].ampacity,
                 0.0501);
    for (int edition = CODE_EDITION_2020; edition <= CODE_EDITION_2023; edition++)
      assert_close(
          motor_compressor_device_largest(units[i].compressor, units[i].fan, (CodeEdition)edition),
          units[i].device, 0);
  }
  /* Table 430.52(C)(1), from memory: 10 A motor, next standard rating up. */
  assert_close(motor_device_largest(10, 0, MOTOR_BREAKER, CODE_EDITION_2023), 25, 0);
  assert_close(motor_device_largest(10, 0, MOTOR_FUSE_TIME_DELAY, CODE_EDITION_2023), 20, 0);
  assert_close(motor_device_largest(10, 0, MOTOR_FUSE, CODE_EDITION_2023), 30, 0);
  /* A 3 A motor: 7.5 A; breakers begin at 10 A in 2023 and at 15 A in 2020. */
  assert_close(motor_device_largest(3, 0, MOTOR_BREAKER, CODE_EDITION_2023), 10, 0);
  assert_close(motor_device_largest(3, 0, MOTOR_BREAKER, CODE_EDITION_2020), 15, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_motor_branch),        cmocka_unit_test(test_standard_rows),
      cmocka_unit_test(test_standard_steps),      cmocka_unit_test(test_primary_fuse_chart),
      cmocka_unit_test(test_limit_rows),          cmocka_unit_test(test_worked_examples),
      cmocka_unit_test(test_grounding_conductor), cmocka_unit_test(test_class2),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
