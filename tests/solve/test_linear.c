/* SPDX-License-Identifier: MIT */
/* Linear circuits whose answers are known in closed form: Ohm, Kirchhoff, Thevenin. */
#include "rig.h"
#include "solve/fault.h"
#include "solve/internal.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static Solution *
solve(const Circuit *circuit)
{
  g_autoptr(GError) error = NULL;
  Solution *solution = solution_new(circuit, &error);
  assert_null(error);
  assert_non_null(solution);
  assert_true(solution->trust.trusted);
  return solution;
}

static void
assert_phasor(Phasor value, Phasor expected, double tolerance)
{
  if (!(cabs(value - expected) <= tolerance))
    fail_msg("%.15g%+.15gj, expected %.15g%+.15gj", creal(value), cimag(value), creal(expected),
             cimag(expected));
}

static void
test_divider(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 120, 0);
  guint first = rig_impedance(c, 1, 2, 3);
  rig_impedance(c, 2, 0, CMPLX(0, 4));
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->impedance_amps[first], 120 / CMPLX(3, 4), 1e-12);
  assert_phasor(solution_to_earth(s, 2).volts, 120 * CMPLX(0, 4) / CMPLX(3, 4), 1e-12);
  assert_phasor(s->source_amps[0], 120 / CMPLX(3, 4), 1e-12);
  assert_int_equal(solution_to_earth(s, 2).state, READING_LIVE);
}

/* Two loads of very different size behind milliohms: the currents keep their digits. */
static void
test_small_impedance_keeps_digits(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(4);
  rig_source(c, 1, 0, 480, 0);
  guint lead = rig_impedance(c, 1, 2, 1e-6);
  rig_impedance(c, 2, 0, 48e6);
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->impedance_amps[lead], 480 / (48e6 + 1e-6), 1e-18);
}

static void
test_empty_and_dead(void **state)
{
  (void)state;
  g_autoptr(Circuit) empty = circuit_new_bare(1);
  g_autoptr(Solution) nothing = solve(empty);
  assert_int_equal(solution_to_earth(nothing, 0).state, READING_DEAD);
  g_autoptr(Circuit) c = circuit_new_bare(4);
  rig_impedance(c, 1, 2, 5);
  g_autoptr(Solution) s = solve(c);
  assert_int_equal(solution_reading(s, 1, 2).state, READING_DEAD);
  assert_int_equal(solution_reading(s, 1, 3).state, READING_DEAD);
  assert_int_equal(solution_reading(s, 1, 99).state, READING_UNDEFINED);
}

/* 240 to 24 V, the secondary not bonded, then bonded: its own volts stay. */
static Circuit *
transformer(bool bonded)
{
  Circuit *c = circuit_new_bare(6);
  rig_source(c, 1, 0, 240, 0.05);
  guint core = rig_core(c, 2, 8);
  rig_segment(c, core, 1, 0, 240, CMPLX(6, 3));
  rig_segment(c, core, 2, 3, 25, CMPLX(0.1, 0.05));
  rig_impedance(c, 2, 3, 10);
  rig_impedance(c, 4, 5, 1); /* dead and alone */
  rig_join(c, 3, 0, bonded);
  return c;
}

static void
test_floating_secondary(void **state)
{
  (void)state;
  g_autoptr(Circuit) open = transformer(false);
  g_autoptr(Circuit) bonded = transformer(true);
  g_autoptr(Solution) floats = solve(open);
  g_autoptr(Solution) fixed = solve(bonded);
  assert_int_equal(solution_reading(floats, 2, 3).state, READING_LIVE);
  assert_int_equal(solution_to_earth(floats, 2).state, READING_FLOATING);
  assert_phasor(solution_to_earth(floats, 2).volts, 0, 0);
  assert_int_equal(solution_reading(floats, 2, 4).state, READING_UNDEFINED);
  assert_int_equal(solution_to_earth(floats, 4).state, READING_DEAD);
  assert_int_equal(solution_reading(floats, 1, 4).state, READING_UNDEFINED);
  assert_int_equal(solution_to_earth(fixed, 2).state, READING_LIVE);
  assert_phasor(solution_reading(floats, 2, 3).volts, solution_reading(fixed, 2, 3).volts,
                240 * 1e-13);
  assert_phasor(fixed->join_amps[0], 0, 1e-9);
}

/* A 480 V supply of 5000 A available, shorted: exactly that flows, through the joint too. */
static void
test_shorted_source(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 480, 480.0 / 5000);
  guint join = rig_join(c, 1, 0, true);
  rig_impedance(c, 2, 0, 10);
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->source_amps[0], 5000, 1e-9);
  assert_phasor(s->join_amps[join], 5000, 1e-9);
  assert_int_equal(s->n_bad_sources, 0);
}

static void
test_shorted_ideal_source(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(6);
  guint bad = rig_source(c, 1, 0, 480, 0);
  rig_join(c, 1, 2, true);
  rig_join(c, 2, 0, true);
  guint side = rig_join(c, 2, 5, true);
  rig_source(c, 3, 0, 120, 0);
  rig_impedance(c, 3, 4, 2);
  guint load = rig_impedance(c, 4, 0, 10);
  rig_impedance(c, 5, 0, 10);
  g_autoptr(Solution) s = solve(c);
  assert_int_equal(s->n_bad_sources, 1);
  assert_true(s->source_bad[bad]);
  assert_true(isinf(creal(s->source_amps[bad])));
  assert_true(isinf(creal(s->join_amps[0])) && isinf(creal(s->join_amps[1])));
  assert_phasor(s->join_amps[side], 0, 1e-12);
  assert_phasor(s->impedance_amps[load], 10, 1e-12);
  assert_phasor(solution_to_earth(s, 1).volts, 0, 1e-12);
}

static void
test_loops_of_ideal_sources(void **state)
{
  (void)state;
  g_autoptr(Circuit) fight = circuit_new_bare(4);
  rig_source(fight, 1, 0, 120, 0);
  rig_source(fight, 2, 1, 120, 0);
  guint last = rig_source(fight, 2, 0, 208, 0);
  rig_impedance(fight, 2, 0, 10);
  g_autoptr(Solution) s = solve(fight);
  assert_int_equal(s->n_bad_sources, 1);
  assert_true(s->source_bad[last]);
  assert_phasor(solution_to_earth(s, 2).volts, 240, 1e-10);
  /* The same loop with volts that agree is no fault. */
  circuit_item(fight->sources, Source, last)->emf = 240;
  g_autoptr(Solution) agrees = solve(fight);
  assert_int_equal(agrees->n_bad_sources, 0);
  assert_phasor(solution_to_earth(agrees, 2).volts, 240, 1e-10);
}

/* Joints: a chain tells each current; a loop is split evenly and says so; a spur stays exact. */
static void
test_joint_currents(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(7);
  rig_source(c, 1, 0, 100, 1);
  guint chain = rig_join(c, 1, 2, true);
  guint first = rig_join(c, 2, 3, true), second = rig_join(c, 3, 2, true);
  guint spur = rig_join(c, 4, 3, true);
  guint open = rig_join(c, 1, 4, false);
  rig_impedance(c, 4, 0, 9);
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->join_amps[chain], 10, 1e-12);
  assert_phasor(s->join_amps[first], 5, 1e-12);
  assert_phasor(s->join_amps[second], -5, 1e-12);
  assert_phasor(s->join_amps[spur], -10, 1e-12);
  assert_phasor(s->join_amps[open], 0, 0);
  assert_true(s->join_split_assumed[first] && s->join_split_assumed[second]);
  assert_false(s->join_split_assumed[chain] || s->join_split_assumed[spur]);
}

/* A triangle of equal joints carries two thirds directly and one third around. */
static void
test_joint_triangle(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(4);
  rig_source(c, 1, 0, 30, 0);
  guint direct = rig_join(c, 1, 3, true);
  guint around = rig_join(c, 1, 2, true);
  rig_join(c, 2, 3, true);
  rig_impedance(c, 3, 0, 10);
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->join_amps[direct], 2, 1e-12);
  assert_phasor(s->join_amps[around], 1, 1e-12);
}

static void
test_zero_ohm_impedance(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 10, 0);
  guint wire = rig_impedance(c, 1, 2, 0);
  rig_impedance(c, 2, 0, 5);
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->impedance_amps[wire], 2, 1e-13);
  assert_true(solution_same_net(s, 1, 2));
}

static void
test_locked_out_and_loads_off(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 120, 1);
  guint disconnect = rig_join(c, 1, 2, true);
  circuit_item(c->joins, Join, disconnect)->lockable = true;
  rig_load(c, 2, 0, LOAD_CONSTANT_IMPEDANCE, 1440, 120, 0, 0);
  g_autoptr(Solution) on = solve(c);
  assert_phasor(on->load_amps[0], 120.0 / 11, 1e-12);
  c->options.locked_out = true;
  g_autoptr(Solution) locked = solve(c);
  assert_false(locked->join_closed[disconnect]);
  assert_int_equal(solution_to_earth(locked, 2).state, READING_DEAD);
  c->options = (CircuitOptions){.loads_off = true, .supply_scale = 1.05};
  g_autoptr(Solution) off = solve(c);
  assert_phasor(solution_to_earth(off, 2).volts, 126, 1e-12);
  assert_phasor(off->load_amps[0], 0, 0);
}

/* Coupled conductors: two wires in opposition see the difference, 2 (z - zm). */
static void
test_coupled_conductors(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(4);
  rig_source(c, 1, 0, 100, 0);
  guint out = rig_impedance(c, 1, 2, CMPLX(3, 4));
  guint back = rig_impedance(c, 0, 3, CMPLX(3, 4));
  rig_impedance(c, 2, 3, 10);
  Coupling coupling = {.first = out, .second = back, .z = CMPLX(1, 2)};
  g_array_append_val(c->couplings, coupling);
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->impedance_amps[out], 100 / (10 + 2 * CMPLX(2, 2)), 1e-12);
  assert_phasor(s->impedance_amps[back], -s->impedance_amps[out], 1e-12);
}

/* Cores without a magnetizing branch: ideal ratios; a winding nothing closes has no definite flux
 * and still gets an answer without current. */
static void
test_core_without_excitation(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(6);
  rig_source(c, 1, 0, 120, 0);
  guint core = rig_core(c, 0, 0);
  rig_segment(c, core, 1, 0, 120, 0);
  rig_segment(c, core, 2, 0, 24, 0);
  rig_impedance(c, 2, 0, 6);
  guint lonely = rig_core(c, 0, 0);
  guint open = rig_segment(c, lonely, 1, 3, 120, CMPLX(1, 1));
  rig_segment(c, lonely, 4, 5, 24, CMPLX(0.1, 0.1));
  g_autoptr(Solution) s = solve(c);
  assert_phasor(s->segment_amps[1], -4, 1e-12);
  assert_phasor(s->source_amps[0], 0.8, 1e-10);
  assert_phasor(s->segment_amps[open], 0, 1e-9);
  assert_true(isfinite(cabs(s->core_flux[lonely])));
}

/* Heaters whose other end is open: the last bits of their volts are all the current there is. No
 * reason to refuse the readings, and a wrong milliampere there is still noticed. */
static void
test_unloaded_supply_is_trusted(void **state)
{
  (void)state;
  for (int k = 0; k < 300; k++) {
    g_autoptr(Circuit) c = circuit_new_bare(6);
    Phasor z = CMPLX(0.003, 0.01) * (1 + k % 7);
    rig_source(c, 1, 2, rig_polar(480 + k * 0.37, 30 + k), z);
    rig_source(c, 2, 3, rig_polar(480 + k * 0.21, k - 90.0), z);
    for (guint i = 0; i < 2; i++) {
      rig_impedance(c, 1 + i, 4 + i, CMPLX(1.1 + k * 0.01, 0.3));
    }
    g_autoptr(Solution) s = solve(c);
    CircuitView view = view_of(c, false);
    s->source_amps[0] += 0.001;
    trust_measure(&view, s);
    assert_false(trust_judge(&s->trust, NULL));
  }
}

/* NAN in, no NAN out: refused with a reason. */
static void
test_untrusted_is_refused(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 120, 1);
  rig_impedance(c, 1, 0, 10);
  g_autoptr(Solution) s = solve(c);
  CircuitView view = view_of(c, false);
  g_autoptr(GError) error = NULL;
  s->source_amps[0] *= 1 + 1e-5;
  trust_measure(&view, s);
  assert_false(trust_judge(&s->trust, &error));
  assert_true(g_error_matches(error, SOLVE_ERROR, SOLVE_ERROR_UNTRUSTED));
  assert_false(s->trust.trusted);
  g_clear_error(&error);
  circuit_item(c->sources, Source, 0)->emf = NAN;
  assert_null(solution_new(c, &error));
  assert_non_null(error);
}

static void
test_fault_current_equals_solved_short(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = transformer(true);
  double amps = solution_fault_amps(c, 2, 3);
  guint join = rig_join(c, 2, 3, true);
  g_autoptr(Solution) s = solve(c);
  assert_true(fabs(cabs(s->join_amps[join]) - amps) < 1e-9 * amps);
  g_autoptr(Circuit) open = transformer(false);
  assert_true(isnan(solution_fault_amps(open, 1, 2)));
  assert_true(solution_fault_amps(open, 4, 5) == 0);
  assert_true(solution_fault_amps(open, 3, 3) == 0);
  circuit_item(open->sources, Source, 0)->z = 0;
  assert_true(isinf(solution_fault_amps(open, 1, 0)));
}

/* Motor at 3 % low on one phase, and with one line lost while it runs. The figures are those of
 * the sequence model worked by hand: running admittance y1, locked-rotor admittance y2. */
static void
test_motor(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(7);
  double volts = 480 / sqrt(3);
  Phasor y1 = rig_polar(10 / volts, -31.8), y2 = rig_polar(60 / volts, -70);
  guint joins[3];
  for (guint k = 0; k < 3; k++) {
    rig_source(c, 1 + k, 0, rig_polar(volts, -120.0 * k), 0);
    joins[k] = rig_join(c, 1 + k, 4 + k, true);
  }
  rig_motor(c, 4, 5, 6, y1, y2);
  g_autoptr(Solution) s = solve(c);
  for (int k = 0; k < 3; k++)
    assert_phasor(s->motor_amps[k], rig_polar(10, -31.8 - 120 * k), 1e-10);
  assert_false(s->motor_backwards[0]);
  /* Line 3 lost: V1 = -V2 a2... the series of y1 and y2 across two lines. */
  circuit_item(c->joins, Join, joins[2])->closed = false;
  g_autoptr(Solution) lost = solve(c);
  Phasor line = rig_polar(volts, 0) - rig_polar(volts, -120);
  assert_phasor(lost->motor_amps[0], line * y1 * y2 / (y1 + y2), 1e-10);
  assert_phasor(lost->motor_amps[2], 0, 1e-12);
  assert_int_equal(solution_to_earth(lost, 6).state, READING_LIVE);
  /* Two lines swapped: it turns the other way at the same current. */
  g_autoptr(Circuit) swapped = circuit_new_bare(4);
  for (guint k = 0; k < 3; k++)
    rig_source(swapped, 1 + k, 0, rig_polar(volts, 120.0 * k), 0);
  rig_motor(swapped, 1, 2, 3, y1, y2);
  g_autoptr(Solution) back = solve(swapped);
  assert_true(back->motor_backwards[0]);
  assert_true(fabs(cabs(back->motor_amps[1]) - 10) < 1e-10);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_divider),
      cmocka_unit_test(test_small_impedance_keeps_digits),
      cmocka_unit_test(test_empty_and_dead),
      cmocka_unit_test(test_floating_secondary),
      cmocka_unit_test(test_shorted_source),
      cmocka_unit_test(test_shorted_ideal_source),
      cmocka_unit_test(test_loops_of_ideal_sources),
      cmocka_unit_test(test_joint_currents),
      cmocka_unit_test(test_joint_triangle),
      cmocka_unit_test(test_zero_ohm_impedance),
      cmocka_unit_test(test_locked_out_and_loads_off),
      cmocka_unit_test(test_coupled_conductors),
      cmocka_unit_test(test_core_without_excitation),
      cmocka_unit_test(test_unloaded_supply_is_trusted),
      cmocka_unit_test(test_untrusted_is_refused),
      cmocka_unit_test(test_fault_current_equals_solved_short),
      cmocka_unit_test(test_motor),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
