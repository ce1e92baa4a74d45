/* SPDX-License-Identifier: MIT */
/* Motors, heaters, lamps and other loads by their nameplates, drawn as documents. Expected figures
 * follow from symmetrical components worked here on their own and from Ohm's law. */
#include "bench.h"
#include "parts/catalog.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

typedef struct {
  Circuit *circuit;
  Solution *solution;
} Case;

static Case
solve(const Document *document)
{
  GError *error = NULL;
  Case it = {.circuit = circuit_build(document, NULL)};
  it.solution = solution_new(it.circuit, &error);
  if (it.solution == NULL)
    fail_msg("%s", error->message);
  return it;
}

static void
case_clear(Case *it)
{
  solution_free(it->solution);
  circuit_free(it->circuit);
}

static Phasor
polar(double size, double degrees)
{
  return size * cexp(CMPLX(0, degrees * G_PI / 180));
}

/* 480 V motor of 10 A, 60 A locked, power factor 0.8, on a wye of the given readings; locked rotor
 * power factor 0.4 as the part assumes. */
static Document *
motor_on(const char *const readings[6], const char *const order[3])
{
  Document *document = document_new(parts_catalog());
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_add(document, "FU1", "fuse", NULL);
  bench_add(document, "M1", "motor", "phases", "3-phase", "accepts", "480 V", "full-load", "10 A",
            "locked-rotor", "60 A", "power-factor", "0.8", NULL);
  bench_land(document, "S1.L1", order[0]);
  bench_land(document, "S1.L2", order[1]);
  bench_land(document, "S1.L3", "FU1.1");
  bench_land(document, "FU1.2", order[2]);
  return document;
}

static const char *const balanced[6] = {"480 V",     "480 V",     "480 V",
                                        "277.128 V", "277.128 V", "277.128 V"};
static const char *const straight[3] = {"M1.T1", "M1.T2", "M1.T3"};
#define RUNNING_Z (480 / sqrt(3) / polar(10, -36.8698976))
#define LOCKED_Z (480 / sqrt(3) / polar(60, -66.4218215))

static void
running_and_locked(void **state)
{
  (void)state;
  g_autoptr(Document) document = motor_on(balanced, straight);
  Case run = solve(document);
  for (int i = 0; i < 3; i++)
    bench_near(cabs(run.solution->motor_amps[i]), 10, 1e-4);
  assert_false(run.solution->motor_backwards[0]);
  Phasor power = 0; /* 3 V I cos phi: 6.65 kW of 8.31 kVA */
  for (int i = 0; i < 3; i++)
    power += solution_to_earth(run.solution, bench_node(run.circuit, straight[i])).volts *
             conj(run.solution->motor_amps[i]);
  bench_near(creal(power) / cabs(power), 0.8, 1e-6);
  bench_near(cabs(power), sqrt(3) * 480 * 10, 0.1);
  case_clear(&run);
  bench_set(document, "M1", "state", "locked");
  Case locked = solve(document);
  for (int i = 0; i < 3; i++)
    bench_near(cabs(locked.solution->motor_amps[i]), 60, 1e-3);
  case_clear(&locked);
}

/* A running motor that loses a line stays between the other two as Z1 + Z2 in series, and holds the
 * open line up: Vc = a V1 + a^2 V2 of what the two sequences leave. */
static void
single_phased(void **state)
{
  (void)state;
  g_autoptr(Document) document = motor_on(balanced, straight);
  bench_set(document, "FU1", "blown", "yes");
  Case it = solve(document);
  double amps = 480 / cabs(RUNNING_Z + LOCKED_Z);
  bench_near(cabs(it.solution->motor_amps[0]), amps, 0.01);
  bench_near(cabs(it.solution->motor_amps[1]), amps, 0.01);
  bench_near(cabs(it.solution->motor_amps[2]), 0, 1e-6);
  assert_true(amps > 1.4 * 10 && amps < 1.8 * 10); /* the trade's "about 1.7 times" */
  /* Line a carries I, b carries -I: I1 = I (1 - a) / 3, I2 = I (1 - a^2) / 3, star at 0 between. */
  const Phasor a = polar(1, 120);
  Phasor v_ab = 480 * polar(1, 30), i = v_ab / (RUNNING_Z + LOCKED_Z);
  Phasor v1 = RUNNING_Z * i * (1 - a) / 3, v2 = LOCKED_Z * i * (1 - a * a) / 3;
  Phasor v_a = v1 + v2, v_c = a * v1 + a * a * v2;
  Phasor open = polar(480 / sqrt(3), 0) - v_a + v_c; /* from L1 to the motor's third terminal */
  Reading third = solution_to_earth(it.solution, bench_node(it.circuit, "M1.T3"));
  bench_near(cabs(third.volts), cabs(open), 0.02);
  /* So near to a sound line that a meter to ground hardly tells; across the fuse it does. */
  assert_true(cabs(open) > 0.6 * 277 && cabs(open) < 277);
  bench_near(bench_volts(it.solution, "FU1.1", "FU1.2"), cabs(polar(480 / sqrt(3), 120) - open),
             0.02);
  case_clear(&it);
}

/* One line-to-line reading low: the negative sequence meets the locked-rotor impedance, so that
 * current is unbalanced several times as much as voltage (NEMA MG 1 14.36: some 6 to 10 times). */
static void
unbalanced_volts_unbalance_amps_more(void **state)
{
  (void)state;
  const char *readings[6] = {"475 V", "480 V", "485 V", NULL, NULL, NULL};
  g_autoptr(Document) document = motor_on(readings, straight);
  bench_set(document, "S1", "grounding", "ungrounded");
  Case it = solve(document);
  double ab = 475, bc = 480, ca = 485;
  /* The triangle by the law of cosines, its sequences, and each through its own admittance. */
  double cosine = (ab * ab + ca * ca - bc * bc) / (2 * ab * ca);
  const Phasor a = polar(1, 120);
  Phasor v_ab = ab, v_ca = -ca * CMPLX(cosine, -sqrt(1 - cosine * cosine));
  Phasor v_bc = -v_ab - v_ca;
  Phasor positive = (v_ab + a * v_bc + a * a * v_ca) / 3;
  Phasor negative = (v_ab + a * a * v_bc + a * v_ca) / 3;
  if (cabs(negative) > cabs(positive)) {
    Phasor swap = positive;
    positive = negative;
    negative = swap;
  }
  double ratio = cabs(negative) / cabs(positive);
  double i1 = cabs(positive / sqrt(3) / RUNNING_Z), i2 = cabs(negative / sqrt(3) / LOCKED_Z);
  double amps[3], mean = 0, worst = 0, square = 0;
  for (int k = 0; k < 3; k++) {
    amps[k] = cabs(it.solution->motor_amps[k]);
    mean += amps[k] / 3;
    square += amps[k] * amps[k] / 3;
  }
  for (int k = 0; k < 3; k++)
    worst = fmax(worst, fabs(amps[k] - mean) / mean);
  /* The mean square of three line currents is the sum of the sequences' squares. */
  bench_near(sqrt(square), hypot(i1, i2), 1e-3);
  bench_near(i2 / i1, 6 * ratio, 1e-4); /* locked over running current */
  double unbalance = circuit_item(it.circuit->supplies, CircuitSupply, 0)->system.unbalance;
  bench_near(unbalance, 5 / 480.0, 1e-6);
  print_message("%.2f %% of volts, %.2f %% of amperes\n", 100 * unbalance, 100 * worst);
  assert_true(worst / unbalance > 4 && worst / unbalance < 10);
  case_clear(&it);
}

/* Two lines exchanged, or the supply's rotation the other way: the motor turns backwards and draws
 * its usual current; both at once, and it turns right. */
static void
rotation(void **state)
{
  (void)state;
  static const char *const crossed[3] = {"M1.T2", "M1.T1", "M1.T3"};
  for (int swapped = 0; swapped < 2; swapped++)
    for (int reverse = 0; reverse < 2; reverse++) {
      g_autoptr(Document) document = motor_on(balanced, swapped ? crossed : straight);
      bench_set(document, "S1", "rotation", reverse ? "cba" : "abc");
      Case it = solve(document);
      assert_int_equal(it.solution->motor_backwards[0], swapped != reverse);
      for (int i = 0; i < 3; i++)
        bench_near(cabs(it.solution->motor_amps[i]), 10, 1e-4);
      case_clear(&it);
    }
}

static Document *
one_phase(const char *line)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {line, NULL, NULL, line, "0 V", NULL};
  bench_supply(document, "S1", "1-phase-2-wire", readings);
  return document;
}

static void
land_both(Document *document, const char *one, const char *two)
{
  bench_land(document, "S1.L1", one);
  bench_land(document, "S1.L2", two);
}

/* A running one-phase motor keeps its power, so it draws more on low volts; a locked one is an
 * impedance and draws less. */
static void
one_phase_motor(void **state)
{
  (void)state;
  static const char *const lines[] = {"115 V", "103.5 V"};
  for (int low = 0; low < 2; low++)
    for (int locked = 0; locked < 2; locked++) {
      g_autoptr(Document) document = one_phase(lines[low]);
      bench_add(document, "M1", "motor", "accepts", "110..120 V", "full-load", "4 A",
                "locked-rotor", "20 A", "state", locked ? "locked" : "running", NULL);
      land_both(document, "M1.T1", "M1.T2");
      Case it = solve(document);
      double volts = low ? 0.9 : 1;
      bench_near(cabs(it.solution->load_amps[0]), locked ? 20 * volts : 4 / volts, 1e-6);
      case_clear(&it);
    }
}

/* A heater's watts go with the square of the volts: 240 V, 1000 W on 208 V gives 751 W. */
static void
heater_on_other_volts(void **state)
{
  (void)state;
  g_autoptr(Document) document = one_phase("208 V");
  bench_add(document, "HTR1", "heater", "rated-volts", "240 V", "power", "1000 W", NULL);
  land_both(document, "HTR1.1", "HTR1.2");
  Case it = solve(document);
  bench_near(208 * cabs(it.solution->load_amps[0]), 1000 * 208.0 * 208 / (240 * 240), 1e-6);
  case_clear(&it);
}

/* Two elements of 120 V, 500 W: in parallel on 120 V and in series on 240 V the same 1000 W; in
 * series on 120 V a quarter. */
static void
dual_voltage_elements(void **state)
{
  (void)state;
  static const struct {
    const char *line;
    bool series;
    double watts;
  } rows[] = {{"120 V", false, 1000}, {"240 V", true, 1000}, {"120 V", true, 250}};
  for (int i = 0; i < 3; i++) {
    g_autoptr(Document) document = one_phase(rows[i].line);
    bench_add(document, "HTR1", "heater", "rated-volts", "120 V", "power", "500 W", NULL);
    bench_add(document, "HTR2", "heater", "rated-volts", "120 V", "power", "500 W", NULL);
    bench_land(document, "S1.L1", "HTR1.1");
    bench_land(document, "S1.L2", "HTR2.2");
    if (rows[i].series) {
      bench_land(document, "HTR1.2", "HTR2.1");
    } else {
      bench_land(document, "HTR1.1", "HTR2.1");
      bench_land(document, "HTR2.2", "HTR1.2");
    }
    Case it = solve(document);
    double watts = 0;
    for (guint k = 0; k < 2; k++) {
      const Load *load = circuit_item(it.circuit->loads, Load, k);
      watts += creal(solution_reading(it.solution, load->a, load->b).volts *
                     conj(it.solution->load_amps[k]));
    }
    bench_near(watts, rows[i].watts, 1e-6);
    case_clear(&it);
  }
}

/* A wide-range electronic load keeps its 60 VA from 120 to 277 V; one made for 24 V at constant
 * current keeps its amperes; below its window either is an impedance and says so. */
static void
electronic_loads(void **state)
{
  (void)state;
  static const struct {
    const char *line, *accepts, *behaviour;
    double amps;
    bool outside;
  } rows[] = {{"120 V", "120..277 V", "constant-power", 60 / 120.0, false},
              {"277 V", "120..277 V", "constant-power", 60 / 277.0, false},
              {"60 V", "120..277 V", "constant-power", 60 / 96.0 * 60 / 96, true},
              {"22 V", "24 V", "constant-current", 2.5, false},
              {"26 V", "24 V", "constant-current", 2.5, false},
              {"9.6 V", "24 V", "constant-current", 1.25, true}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    g_autoptr(Document) document = one_phase(rows[i].line);
    bench_add(document, "LD1", "load", "accepts", rows[i].accepts, "power", "60 VA", "behaviour",
              rows[i].behaviour, "power-factor", "0.9", NULL);
    land_both(document, "LD1.1", "LD1.2");
    Case it = solve(document);
    bench_near(cabs(it.solution->load_amps[0]), rows[i].amps, 1e-6);
    assert_int_equal(it.solution->load_outside[0], rows[i].outside);
    case_clear(&it);
  }
}

/* A 120 V, 60 VA and a 120 V, 30 VA lamp in series on 240 V: 80 and 160 V. */
static void
lamps_in_series(void **state)
{
  (void)state;
  g_autoptr(Document) document = one_phase("240 V");
  bench_add(document, "LT1", "lamp", "accepts", "120 V", "power", "60 VA", NULL);
  bench_add(document, "LT2", "lamp", "accepts", "120 V", "power", "30 VA", NULL);
  bench_land(document, "S1.L1", "LT1.1");
  bench_land(document, "LT1.2", "LT2.1");
  bench_land(document, "S1.L2", "LT2.2");
  Case it = solve(document);
  bench_near(bench_volts(it.solution, "LT1.1", "LT1.2"), 80, 1e-6);
  bench_near(bench_volts(it.solution, "LT2.1", "LT2.2"), 160, 1e-6);
  case_clear(&it);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(running_and_locked),
      cmocka_unit_test(single_phased),
      cmocka_unit_test(unbalanced_volts_unbalance_amps_more),
      cmocka_unit_test(rotation),
      cmocka_unit_test(one_phase_motor),
      cmocka_unit_test(heater_on_other_volts),
      cmocka_unit_test(dual_voltage_elements),
      cmocka_unit_test(electronic_loads),
      cmocka_unit_test(lamps_in_series),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
