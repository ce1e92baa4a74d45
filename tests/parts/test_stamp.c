/* SPDX-License-Identifier: MIT */
/* What each kind adds to a circuit, against the definitions of the quantities on a nameplate:
 * S = P / pf, Z = V^2 / S, X = 1 / (2 pi f C), balanced three-phase admittance I / (V / sqrt 3).
 * Sources: textbook definitions; nominal voltages of ANSI C84.1. */
#include "bench.h"
#include "random_device.h"

#include <setjmp.h>
#include <stddef.h>

#include <cmocka.h>

static void
assert_near(double got, double want, double relative)
{
  if (!(fabs(got - want) <= relative * fabs(want)))
    fail_msg("%.12g instead of %.12g", got, want);
}

/* ---------------------------------------------------------------------------------- supply --- */

static void
test_supply_measured(void **state)
{
  (void)state;
  Device *supply = bench_device("supply", "S1", "fault-current", "10 kA", "x-over-r", "4.9", NULL);
  bench_reading(supply, "L1 L2", "486 V");
  bench_reading(supply, "L2 L3", "486 V");
  bench_reading(supply, "L3 L1", "486 V");
  bench_reading(supply, "L1 GND", "280.6 V");
  bench_reading(supply, "L3 GND", "280.6 V");
  g_autoptr(Circuit) circuit = bench_circuit_of(supply, NULL);
  assert_int_equal(circuit->supplies->len, 1);
  const CircuitSupply *record = circuit_item(circuit->supplies, CircuitSupply, 0);
  assert_int_equal(record->system.class_, SYSTEM_WYE_GROUNDED);
  assert_int_equal(record->system.readings_given, 5);
  assert_int_equal(record->line_nodes[2], circuit_node(circuit, 0, 2));
  assert_int_equal(record->neutral_node, circuit_node(circuit, 0, 3));
  assert_near(cabs(record->system.line_phasor[0] - record->system.line_phasor[1]), 486, 1e-3);
  assert_near(record->fault_amps, 10000, 1e-12);
  assert_int_equal(circuit->sources->len, 3);
  const Source *source = circuit_item(circuit->sources, Source, 0);
  /* 486 V / (sqrt 3 x 10 kA); X/R 4.9 */
  assert_near(cabs(source->z), 486 / (sqrt(3) * 10000), 2e-3);
  assert_near(cimag(source->z) / creal(source->z), 4.9, 1e-9);
}

static void
test_supply_nominal_until_measured(void **state)
{
  (void)state;
  Device *supply = bench_device("supply", "S1", "system", "480Y/277", NULL);
  g_autoptr(Circuit) nominal = bench_circuit_of(supply, NULL);
  const CircuitSupply *record = circuit_item(nominal->supplies, CircuitSupply, 0);
  assert_near(cabs(record->system.line_phasor[0] - record->system.line_phasor[1]), 480, 2e-3);
  assert_near(cabs(record->system.line_phasor[0]), 277, 2e-3);

  supply = bench_device("supply", "S1", "system", "480Y/277", NULL);
  bench_reading(supply, "L1 L2", "208 V");
  bench_reading(supply, "L2 L3", "208 V");
  bench_reading(supply, "L3 L1", "208 V");
  bench_reading(supply, "L1 GND", "120 V");
  bench_reading(supply, "L2 GND", "120 V");
  g_autoptr(Circuit) measured = bench_circuit_of(supply, NULL);
  record = circuit_item(measured->supplies, CircuitSupply, 0);
  assert_near(cabs(record->system.line_phasor[0] - record->system.line_phasor[1]), 208, 2e-3);
}

static void
test_supply_high_leg_nominal(void **state)
{
  (void)state;
  g_autoptr(Circuit) circuit = bench_circuit_of(
      bench_device("supply", "S1", "system", "240-high-leg", "lines", "3-phase-4-wire", NULL),
      NULL);
  const CircuitSupply *record = circuit_item(circuit->supplies, CircuitSupply, 0);
  assert_int_equal(record->system.class_, SYSTEM_DELTA_HIGH_LEG);
  assert_int_equal(record->system.special_line, 1);
  /* Height of the triangle over the grounded middle: 240 sin 60 = 207.8 V. */
  assert_near(cabs(record->system.line_phasor[1]), 207.8, 2e-3);
}

static void
test_supply_line_and_neutral(void **state)
{
  (void)state;
  Device *supply =
      bench_device("supply", "S1", "lines", "1-phase-line-neutral", "system", "120", NULL);
  assert_int_equal(device_terminal_count(supply), 3);
  g_autoptr(Circuit) circuit = bench_circuit_of(supply, NULL);
  const CircuitSupply *record = circuit_item(circuit->supplies, CircuitSupply, 0);
  assert_int_equal(record->line_nodes[1], G_MAXUINT);
  assert_int_equal(record->neutral_node, circuit_node(circuit, 0, 1));
  assert_int_equal(circuit->sources->len, 1);
  assert_near(cabs(circuit_item(circuit->sources, Source, 0)->emf), 120, 1e-9);
}

static void
test_supply_refuses_strange_pairs(void **state)
{
  (void)state;
  g_autoptr(Device) supply = bench_device("supply", "S1", NULL);
  assert_true(device_set_row(supply, 0, "between", "L1 X9", NULL));
  g_autoptr(GError) error = NULL;
  assert_false(device_derive(supply, &error));
  assert_non_null(strstr(error->message, "L1 X9"));
}

/* ----------------------------------------------------------------------------- transformer --- */

static void
test_transformer_chain(void **state)
{
  (void)state;
  g_autoptr(Circuit) circuit =
      bench_circuit_of(bench_device("transformer", "T1", "rating", "100 VA", NULL), NULL);
  assert_int_equal(circuit->cores->len, 1);
  /* 0-208-240-480 and 0-24: three stretches and one. */
  assert_int_equal(circuit->segments->len, 4);
  double primary = 0;
  for (guint i = 0; i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    primary += segment->secondary ? 0 : segment->turns;
  }
  assert_near(primary, 480, 1e-9);
  assert_near(circuit_item(circuit->cores, Core, 0)->rating, 100, 1e-12);
}

/* Flux goes as volts over frequency: on 50 Hz a core rated 60 Hz has 60/50 the flux; the turns of
 * the model carry that ratio. */
static void
test_transformer_frequency(void **state)
{
  (void)state;
  static const struct {
    const char *rated, *applied;
    double ratio;
  } cases[] = {{"60 Hz", "60 Hz", 1}, {"60 Hz", "50 Hz", 50.0 / 60}, {"50..60 Hz", "50 Hz", 1}};
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    bench_add(document, bench_device("supply", "S1", "frequency", cases[i].applied, NULL));
    bench_add(document, bench_device("transformer", "T1", "frequency", cases[i].rated, NULL));
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    double primary = 0;
    for (guint k = 0; k < circuit->segments->len; k++) {
      const Segment *segment = circuit_item(circuit->segments, Segment, k);
      primary += segment->secondary ? 0 : segment->turns;
    }
    assert_near(primary, 480 * cases[i].ratio, 1e-9);
  }
}

static void
test_transformer_names(void **state)
{
  (void)state;
  g_autoptr(Device) device = bench_device("transformer", "T1", NULL);
  device_add_row(device);
  assert_true(device_derive(device, NULL));
  assert_int_equal(device_terminal_index(device, "H5"), 6); /* H1 to H4 are taken */
  assert_true(device_set_row(device, 6, "name", "X2", NULL));
  g_autoptr(GError) error = NULL;
  assert_false(device_derive(device, &error));
  assert_non_null(strstr(error->message, "X2"));
  g_clear_error(&error);
  assert_true(device_set_row(device, 6, "name", "FRAME", NULL));
  assert_false(device_derive(device, &error));
}

static void
test_transformer_mounting(void **state)
{
  (void)state;
  g_autoptr(Device) leads = bench_device("transformer", "T1", NULL);
  g_autoptr(Device) screws = bench_device("transformer", "T1", "mounting", "screw-terminals", NULL);
  assert_true(device_terminal(leads, 0)->flying);
  assert_false(device_terminal(screws, 0)->flying);
  assert_int_equal(device_terminal(leads, 6)->role, TERMINAL_FRAME);
  assert_false(device_terminal(leads, 6)->flying);
}

/* ----------------------------------------------------------------------------------- loads --- */

static void
test_load_power_forms(void **state)
{
  (void)state;
  static const struct {
    const char *field, *value, *pf;
    double watts, vars;
  } cases[] = {
      {"power", "100 VA", "0.8", 80, 60},
      {"watts", "80 W", "0.8", 80, 60},
      {"amperes", "2 A", "0.6", 144, 192}, /* at the middle of 110..130 V: 240 VA */
  };
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(Circuit) circuit = bench_circuit_of(
        bench_device("load", "LD1", "accepts", "110..130 V", cases[i].field, cases[i].value,
                     "power-factor", cases[i].pf, "behaviour", "constant-power", NULL),
        NULL);
    const Load *load = circuit_item(circuit->loads, Load, 0);
    assert_near(creal(load->power), cases[i].watts, 1e-9);
    assert_near(cimag(load->power), cases[i].vars, 1e-9);
    assert_near(load->rated_volts, 120, 1e-12);
    assert_near(load->accepts_low, 110, 1e-12);
    assert_near(load->accepts_high, 130, 1e-12);
    assert_int_equal(load->behaviour, LOAD_CONSTANT_POWER);
  }
}

static void
test_load_one_power_only(void **state)
{
  (void)state;
  g_autoptr(Device) load = bench_device("load", "LD1", "watts", "40 W", NULL);
  assert_true(device_set(load, "amperes", "1 A", NULL));
  g_autoptr(GError) error = NULL;
  assert_false(device_derive(load, &error));
  assert_non_null(strstr(error->message, "LD1"));
}

static void
test_heater_and_lamp(void **state)
{
  (void)state;
  g_autoptr(Circuit) heater =
      bench_circuit_of(bench_device("heater", "HTR1", "accepts", "208..240 V", "rated-volts",
                                    "240 V", "power", "500 W", NULL),
                       NULL);
  const Load *load = circuit_item(heater->loads, Load, 0);
  assert_int_equal(load->behaviour, LOAD_CONSTANT_IMPEDANCE);
  assert_near(load->rated_volts, 240, 1e-12);
  assert_near(creal(load->power), 500, 1e-12);
  g_autoptr(Circuit) lamp =
      bench_circuit_of(bench_device("lamp", "LT1", "power", "40 VA", NULL), NULL);
  assert_near(creal(circuit_item(lamp->loads, Load, 0)->power), 40, 1e-12);
}

static void
test_motor(void **state)
{
  (void)state;
  g_autoptr(Circuit) running = bench_circuit_of(
      bench_device("motor", "M1", "phases", "3-phase", "accepts", "460 V", "full-load", "10 A",
                   "locked-rotor", "60 A", "power-factor", "0.8", NULL),
      NULL);
  const Motor *motor = circuit_item(running->motors, Motor, 0);
  assert_near(cabs(motor->y_positive), 10 / (460 / sqrt(3)), 1e-9);
  assert_near(creal(motor->y_positive) / cabs(motor->y_positive), 0.8, 1e-9);
  assert_true(cimag(motor->y_positive) < 0); /* lagging */
  assert_near(cabs(motor->y_negative), 60 / (460 / sqrt(3)), 1e-9);

  g_autoptr(Circuit) locked = bench_circuit_of(
      bench_device("motor", "M1", "accepts", "120 V", "full-load", "2 A", "state", "locked", NULL),
      NULL);
  const Load *load = circuit_item(locked->loads, Load, 0);
  assert_near(cabs(load->power), 6 * 2 * 120, 1e-9);
  assert_int_equal(load->behaviour, LOAD_CONSTANT_IMPEDANCE);
}

static void
test_capacitor(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_add(document, bench_device("supply", "S1", "frequency", "50 Hz", NULL));
  bench_add(document,
            bench_device("capacitor", "C1", "capacitance", "10 uF", "bleeder", "15 kohm", NULL));
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit->impedances->len, 2);
  const Impedance *capacitor = circuit_item(circuit->impedances, Impedance, 0);
  assert_near(cimag(capacitor->z), -318.3099, 1e-6); /* 1 / (2 pi 50 10e-6) */
  assert_int_equal(capacitor->role, IMPEDANCE_CAPACITOR);
  assert_near(creal(circuit_item(circuit->impedances, Impedance, 1)->z), 15000, 1e-12);
}

static void
test_receptacle_empty(void **state)
{
  (void)state;
  g_autoptr(Circuit) empty = bench_circuit_of(bench_device("receptacle", "REC1", NULL), NULL);
  assert_int_equal(empty->loads->len, 0);
  g_autoptr(Circuit) used = bench_circuit_of(
      bench_device("receptacle", "REC1", "configuration", "6-20", "power", "600 VA", NULL), NULL);
  assert_near(circuit_item(used->loads, Load, 0)->rated_volts, 240, 1e-12);
}

/* --------------------------------------------------------------------- switches and contacts ---
 */

static void
check_join(const char *kind, const char *field, const char *value, bool locked_out, bool closed)
{
  CircuitOptions options = {.locked_out = locked_out};
  g_autoptr(Circuit) circuit =
      bench_circuit_of(bench_device(kind, "D1", field, value, NULL), &options);
  for (guint i = 0; i < circuit->joins->len; i++)
    if (circuit_item(circuit->joins, Join, i)->closed != closed)
      fail_msg("%s %s=%s locked out %d: pole %u", kind, field, value, locked_out, i);
  assert_true(circuit->joins->len > 0);
}

static void
test_states(void **state)
{
  (void)state;
  check_join("fuse", "blown", "no", false, true);
  check_join("fuse", "blown", "yes", false, false);
  check_join("disconnect", "closed", "yes", false, true);
  check_join("disconnect", "closed", "no", false, false);
  check_join("disconnect", "closed", "yes", true, false);
  check_join("disconnect", "lockable", "no", true, true);
  check_join("breaker", "closed", "yes", true, false);
  check_join("breaker", "closed", "no", false, false);
  check_join("switch", "actuated", "no", false, false);
  check_join("switch", "actuated", "yes", false, true);
  check_join("switch", "form", "normally-closed", false, true);
  check_join("switch", "form", "normally-closed", true, true);
  check_join("contact", "form", "normally-closed", false, true);
  check_join("terminal-strip", "positions", "32", true, true);
}

static void
test_breaker_ratings(void **state)
{
  (void)state;
  g_autoptr(Circuit) circuit = bench_circuit_of(
      bench_device("breaker", "CB1", "poles", "3", "volts", "480 V", "volts-to-ground", "277 V",
                   "interrupting", "14 kA", "rating", "20 A", NULL),
      NULL);
  assert_int_equal(circuit->joins->len, 3);
  for (guint i = 0; i < 3; i++) {
    const Join *pole = circuit_item(circuit->joins, Join, i);
    assert_near(pole->rated_volts, 480, 1e-12);
    assert_near(pole->rated_volts_to_ground, 277, 1e-12);
    assert_near(pole->interrupting_amps, 14000, 1e-12);
    assert_near(pole->rated_amps, 20, 1e-12);
    assert_int_equal(pole->gang, circuit_item(circuit->joins, Join, 0)->gang);
    assert_int_equal(pole->owner.part, i);
  }
  g_autoptr(Device) wrong = bench_device("breaker", "CB1", NULL);
  assert_true(device_set(wrong, "volts-to-ground", "600 V", NULL));
  assert_false(device_derive(wrong, NULL));
}

static void
test_relay_contacts(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_add(document, bench_device("relay", "R1", "designation", "CR1", NULL));
  bench_add(document,
            bench_device("contact", "K1", "coil", "CR1", "form", "normally-closed", NULL));
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit->coils->len, 1);
  const Coil *coil = circuit_item(circuit->coils, Coil, 0);
  assert_near(coil->pick_up, 0.85 * 24, 1e-12);
  assert_near(coil->drop_out, 0.5 * 24, 1e-12);
  assert_near(cabs(coil->sealed_va), 4, 1e-12);
  assert_near(cabs(coil->inrush_va), 8, 1e-12);
  /* C1-NO1 and C1-NC1 of the relay, then the lone contact. */
  static const bool closed[] = {false, true, true};
  assert_int_equal(circuit->joins->len, 3);
  for (guint i = 0; i < 3; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    assert_int_equal(join->coil, 0);
    assert_int_equal(join->closed, closed[i]);
  }
}

static void
test_earth(void **state)
{
  (void)state;
  g_autoptr(Circuit) circuit = bench_circuit_of(bench_device("ground", "GRD1", NULL), NULL);
  assert_int_equal(circuit->joins->len, 1); /* one bond: two would look like two paths */
  assert_int_equal(circuit_item(circuit->joins, Join, 0)->b, 0);
  assert_int_equal(circuit_item(circuit->joins, Join, 0)->role, JOIN_BOND);
}

/* --------------------------------------------------------------------------------- anything --- */

static bool
finite_phasor(Phasor value)
{
  return isfinite(creal(value)) && isfinite(cimag(value));
}

static void
test_random_stamps(void **state)
{
  (void)state;
  PartCatalog catalog = parts_catalog();
  GRand *rand = g_rand_new_with_seed(450);
  for (guint round = 0; round < 100; round++)
    for (guint i = 0; catalog[i]; i++) {
      Device *device = random_device(rand, catalog[i], "A1");
      if (!device_derive(device, NULL)) {
        device_unref(device);
        continue;
      }
      g_autoptr(Circuit) circuit = bench_circuit_of(device, NULL);
      for (guint k = 0; k < circuit->impedances->len; k++)
        assert_true(finite_phasor(circuit_item(circuit->impedances, Impedance, k)->z));
      for (guint k = 0; k < circuit->loads->len; k++)
        assert_true(finite_phasor(circuit_item(circuit->loads, Load, k)->power));
      for (guint k = 0; k < circuit->sources->len; k++)
        assert_true(finite_phasor(circuit_item(circuit->sources, Source, k)->emf));
      for (guint k = 0; k < circuit->segments->len; k++)
        assert_true(circuit_item(circuit->segments, Segment, k)->turns > 0);
    }
  g_rand_free(rand);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_supply_measured),
      cmocka_unit_test(test_supply_nominal_until_measured),
      cmocka_unit_test(test_supply_high_leg_nominal),
      cmocka_unit_test(test_supply_line_and_neutral),
      cmocka_unit_test(test_supply_refuses_strange_pairs),
      cmocka_unit_test(test_transformer_chain),
      cmocka_unit_test(test_transformer_frequency),
      cmocka_unit_test(test_transformer_names),
      cmocka_unit_test(test_transformer_mounting),
      cmocka_unit_test(test_load_power_forms),
      cmocka_unit_test(test_load_one_power_only),
      cmocka_unit_test(test_heater_and_lamp),
      cmocka_unit_test(test_motor),
      cmocka_unit_test(test_capacitor),
      cmocka_unit_test(test_receptacle_empty),
      cmocka_unit_test(test_states),
      cmocka_unit_test(test_breaker_ratings),
      cmocka_unit_test(test_relay_contacts),
      cmocka_unit_test(test_earth),
      cmocka_unit_test(test_random_stamps),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
