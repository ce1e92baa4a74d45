/* SPDX-License-Identifier: MIT */
#include "table_csv.h"
#include "tables/conductor.h"

static Quantity
awg(const char *text)
{
  static const char *const aught[] = {"1/0", "2/0", "3/0", "4/0"};
  for (int i = 0; i < 4; i++)
    if (strcmp(text, aught[i]) == 0)
      return quantity_make(-i, UNIT_AWG);
  return quantity_make(g_ascii_strtod(text, NULL), UNIT_AWG);
}

/* NFPA 70 Chapter 9 Table 8 and 9, every row, both length units. The printed ohm/km columns are
 * rounded unevenly: half a per cent covers them. */
static void
test_published_rows(void **state)
{
  (void)state;
  Csv csv = csv_read("conductor_resistance.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    Quantity size = awg(csv_text(&csv, i, "awg"));
    double dc = conductor_ohms_per_metre(size, METAL_COPPER, 75);
    double kft = csv_number(&csv, i, "dc75_str_ohm_kft", NAN);
    assert_close(dc * 304.8, kft, 1e-9 * kft);
    double km = csv_number(&csv, i, "dc75_str_ohm_km", NAN);
    assert_close(dc * 1000, km, 5e-3 * km);
    double x = csv_number(&csv, i, "xl_pvc_al_ohm_kft", 0.058); /* 18 and 16: the smallest row's */
    assert_close(conductor_reactance_per_metre(size, 60) * 304.8, x, 1e-12);
    assert_close(conductor_reactance_per_metre(size, 50) * 304.8, x * 50 / 60, 1e-12);
  }
  csv_clear(&csv);
}

/* Table 8 note 2, and published 20 C wire tables (14 AWG 2.525 ohm/kFT solid). */
static void
test_temperature(void **state)
{
  (void)state;
  Quantity size = quantity_make(14, UNIT_AWG);
  double at75 = conductor_ohms_per_metre(size, METAL_COPPER, 75);
  assert_close(conductor_ohms_per_metre(size, METAL_COPPER, 20) / at75, 1 - 0.00323 * 55, 1e-12);
  assert_close(conductor_ohms_per_metre(size, METAL_COPPER, 20) * 304.8 * 3.07 / 3.14, 2.525,
               0.003);
  double al75 = conductor_ohms_per_metre(size, METAL_ALUMINIUM, 75);
  assert_close(conductor_ohms_per_metre(size, METAL_ALUMINIUM, 25) / al75, 1 - 0.0033 * 50, 1e-12);
  assert_true(al75 > 1.5 * at75);
}

static void
test_other_sizes(void **state)
{
  (void)state;
  /* 4/0 written in kcmil is the same conductor. */
  assert_close(conductor_ohms_per_metre(quantity_make(211.6, UNIT_KCMIL), METAL_COPPER, 75),
               conductor_ohms_per_metre(quantity_make(-3, UNIT_AWG), METAL_COPPER, 75), 1e-10);
  /* Table 8, 250 kcmil: 0.0515 ohm/kFT (from memory). */
  assert_close(conductor_ohms_per_metre(quantity_make(250, UNIT_KCMIL), METAL_COPPER, 75) * 304.8,
               0.0515, 1e-4);
  /* 2.5 mm2 lies between 14 and 12 AWG. */
  double metric = conductor_ohms_per_metre(quantity_make(2.5, UNIT_SQUARE_MM), METAL_COPPER, 75);
  assert_true(metric < 3.14 / 304.8 && metric > 1.98 / 304.8);
  assert_true(isnan(conductor_ohms_per_metre(quantity_make(14, UNIT_VOLT), METAL_COPPER, 75)));
  assert_true(isnan(conductor_ohms_per_metre(quantity_make(0, UNIT_KCMIL), METAL_COPPER, 75)));
  assert_true(isnan(conductor_reactance_per_metre(quantity_make(1, UNIT_FOOT), 60)));
}

/* Worked example (control circuit lesson): 16 AWG stranded, 100 ft one way, 4 A: 3.992 V. */
static void
test_worked_drop(void **state)
{
  (void)state;
  double ohms =
      conductor_ohms_per_metre(quantity_make(16, UNIT_AWG), METAL_COPPER, 75) * 200 * 0.3048;
  assert_close(ohms * 4, 3.992, 1e-3);
  assert_close(ohms * 4 / 24 * 100, 16.633, 1e-3);
  /* VD2, by the rule of thumb of 12.9 ohm circular mils per ft: within 0.5 % of Table 8. */
  static const struct {
    int gauge;
    double volts;
  } drops[] = {{12, 7.902}, {8, 3.1254}};
  for (gsize i = 0; i < G_N_ELEMENTS(drops); i++) {
    ohms = conductor_ohms_per_metre(quantity_make(drops[i].gauge, UNIT_AWG), METAL_COPPER, 75) *
           200 * 0.3048;
    assert_close(ohms * 20, drops[i].volts, 0.005 * drops[i].volts);
  }
  /* VD3: effective impedance of 12 AWG at power factor 0.85 from Table 9, which rounds the
   * resistance to 2.0 ohm/kFT: 1 %. */
  Quantity twelve = quantity_make(12, UNIT_AWG);
  double effective = conductor_ohms_per_metre(twelve, METAL_COPPER, 75) * 0.85 +
                     conductor_reactance_per_metre(twelve, 60) * sin(acos(0.85));
  assert_close(effective * 304.8, 1.7284, 0.01 * 1.7284);
}

/* Published 24 V distances at about 7.6 % drop, printed in steps of 5 ft and more: ours agree
 * within 10 % or 7.5 ft (20 AWG is printed long: 45 ft against our 38 ft). 20 C. */
static void
test_24_volt_distances(void **state)
{
  (void)state;
  Csv csv = csv_read("lv24_distance.csv");
  for (guint i = 0; i < csv.rows->len; i++) {
    double volts = csv_number(&csv, i, "supply_V", NAN);
    double amps = csv_number(&csv, i, "load_VA", NAN) / volts;
    Quantity size = awg(csv_text(&csv, i, "gauge"));
    double ohms = conductor_ohms_per_metre(size, METAL_COPPER, 20) * 0.3048;
    double feet = 0.076 * volts / (2 * amps * ohms);
    double printed = csv_number(&csv, i, "max_one_way_length", NAN);
    assert_close(feet, printed, fmax(0.10 * printed, 7.5));
  }
  csv_clear(&csv);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_published_rows),    cmocka_unit_test(test_temperature),
      cmocka_unit_test(test_other_sizes),       cmocka_unit_test(test_worked_drop),
      cmocka_unit_test(test_24_volt_distances),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
