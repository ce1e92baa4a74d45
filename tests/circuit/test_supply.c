/* SPDX-License-Identifier: MIT */
/* Supplies from readings. Figures of published readings are copied here with their source. */
#include "circuit/supply.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define GONE ((double)NAN)

static SupplySystem
three(double ab, double bc, double ca, double a, double b, double c)
{
  return supply_derive(
      &(SupplyReadings){.line = {ab, bc, ca}, .ground = {a, b, c}, .phases = 3, .neutral = true});
}

static SupplySystem
three_wire(double ab, double bc, double ca, double a, double b, double c)
{
  return supply_derive(&(SupplyReadings){.line = {ab, bc, ca}, .ground = {a, b, c}, .phases = 3});
}

static SupplySystem
one(double ab, double a, double b)
{
  return supply_derive(&(SupplyReadings){
      .line = {ab, GONE, GONE}, .ground = {a, b, GONE}, .phases = 1, .neutral = true});
}

static void
near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.9g is not within %g of %.9g", value, tolerance, expected);
}

/* The phasors must read back as the readings they came from. */
static void
reads_back(const SupplySystem *s, const double line[3], const double ground[3], double share)
{
  double mean = (line[0] + line[1] + line[2]) / 3;
  for (int i = 0; i < 3; i++) {
    near(cabs(s->line_phasor[i] - s->line_phasor[(i + 1) % 3]), line[i], 1e-9 * mean);
    if (s->grounded)
      near(cabs(s->line_phasor[i]), ground[i], share * mean);
  }
}

/* ------------------------------------------------------------------------------------ examples */

typedef struct {
  double line[3], ground[3];
  SupplyClass class_;
  int special;
  double nominal, nominal_ground, worst_residual;
  const char *name;
} Example;

/* Nominal systems: ANSI C84.1, IEC 60038 (400Y/230); readings as a meter with half a per cent of
 * error shows them (invented). */
static const Example examples[] = {
    {{499, 497, 496},
     {285, 287, 286},
     SYSTEM_WYE_GROUNDED,
     -1,
     480,
     277,
     0.0045,
     "480Y/277 V, 3-phase, grounded wye"},
    {{209, 208, 207},
     {120, 121, 120},
     SYSTEM_WYE_GROUNDED,
     -1,
     208,
     120,
     0.0025,
     "208Y/120 V, 3-phase, grounded wye"},
    {{602, 598, 600},
     {346, 348, 347},
     SYSTEM_WYE_GROUNDED,
     -1,
     600,
     347,
     0.0025,
     "600Y/347 V, 3-phase, grounded wye"},
    {{402, 399, 401},
     {231, 230, 232},
     SYSTEM_WYE_GROUNDED,
     -1,
     400,
     230,
     0.005,
     "400Y/230 V, 3-phase, grounded wye"},
    {{482, 480, 479},
     {481, 1, 480},
     SYSTEM_DELTA_CORNER_GROUNDED,
     1,
     480,
     480,
     0.003,
     "480 V, 3-phase delta, L2 grounded"},
    {{240, 241, 239},
     {0, 240, 239},
     SYSTEM_DELTA_CORNER_GROUNDED,
     0,
     240,
     240,
     0.003,
     "240 V, 3-phase delta, L1 grounded"},
    {{240, 241, 239},
     {239, 241, 2},
     SYSTEM_DELTA_CORNER_GROUNDED,
     2,
     240,
     240,
     0.006,
     "240 V, 3-phase delta, L3 grounded"},
    {{241, 240, 239},
     {120, 208, 121},
     SYSTEM_DELTA_HIGH_LEG,
     1,
     240,
     120,
     0.009,
     "240/120 V, 3-phase delta, high leg L2"},
    {{240, 240, 240},
     {208, 120, 120},
     SYSTEM_DELTA_HIGH_LEG,
     0,
     240,
     120,
     0.002,
     "240/120 V, 3-phase delta, high leg L1"},
    {{238, 240, 241},
     {120, 119, 207},
     SYSTEM_DELTA_HIGH_LEG,
     2,
     240,
     120,
     0.009,
     "240/120 V, 3-phase delta, high leg L3"},
};

static void
names_systems(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
    const Example *e = &examples[i];
    SupplySystem s =
        three(e->line[0], e->line[1], e->line[2], e->ground[0], e->ground[1], e->ground[2]);
    assert_int_equal(s.class_, e->class_);
    assert_int_equal(s.special_line, e->special);
    assert_string_equal(s.name, e->name);
    near(s.nominal_line, e->nominal, 0);
    near(s.nominal_ground, e->nominal_ground, 0);
    assert_true(s.residual <= e->worst_residual);
    assert_true(s.grounded);
    assert_false(s.lost_phase);
    assert_int_equal(s.readings_given, 6);
    assert_string_equal(s.problem, "");
    reads_back(&s, e->line, e->ground, 2 * e->worst_residual);
  }
}

/* Published readings of a meter on common systems (a maker-neutral training text and a textbook
 * chapter on service types): 240 V delta ungrounded, corner grounded, high leg; 480Y/277; 208Y/120.
 * The 138.6 V follow from equal stray capacitance. */
static void
published_meter_signatures(void **state)
{
  (void)state;
  SupplySystem s = three_wire(240, 240, 240, 138.6, 138.6, 138.6);
  assert_int_equal(s.class_, SYSTEM_UNGROUNDED);
  assert_true(s.ambiguous);
  assert_false(s.grounded);
  assert_non_null(strstr(s.ambiguity, "low-impedance meter"));
  assert_int_equal(three(240, 240, 240, 240, 0, 240).class_, SYSTEM_DELTA_CORNER_GROUNDED);
  assert_int_equal(three(240, 240, 240, 120, 208, 120).class_, SYSTEM_DELTA_HIGH_LEG);
  assert_int_equal(three(480, 480, 480, 277, 277, 277).class_, SYSTEM_WYE_GROUNDED);
  assert_int_equal(three(208, 208, 208, 120, 120, 120).class_, SYSTEM_WYE_GROUNDED);
}

/* NEMA MG 1 14.36 example (V01) and two unit makers' service examples (V03 printed 2.5 from
 * rounded steps, V06 1.8 with the average rounded first): exact values. */
static void
published_unbalance(void **state)
{
  (void)state;
  static const struct {
    double v[3], per_cent, sequence; /* sequence: V2/V1 in per cent, 0: not published */
  } rows[] = {
      {{460, 467, 450}, 1.9608, 2.1465}, {{203, 210, 212}, 2.5600, 0},
      {{220, 216, 213}, 1.6949, 0},      {{462, 463, 455}, 1.0870, 1.0914},
      {{224, 231, 226}, 1.7621, 1.8400}, {{452, 464, 455}, 1.5317, 1.5828},
      {{235, 236, 230}, 1.5692, 1.5831},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    const double *v = rows[i].v;
    near(100 * supply_nema_unbalance(v[0], v[1], v[2]), rows[i].per_cent, 5e-5);
    SupplySystem s = three(v[0], v[1], v[2], GONE, GONE, GONE);
    near(100 * s.unbalance, rows[i].per_cent, 5e-5);
    if (rows[i].sequence > 0)
      near(100 * s.negative_sequence, rows[i].sequence, 5e-5);
    /* The same number from magnitudes alone (textbook formula). */
    double squares = 0, fourth = 0;
    for (int k = 0; k < 3; k++) {
      squares += v[k] * v[k];
      fourth += v[k] * v[k] * v[k] * v[k];
    }
    double root = sqrt(3 - 6 * fourth / (squares * squares));
    near(s.negative_sequence, sqrt((1 - root) / (1 + root)), 1e-9);
  }
  assert_true(isnan(supply_nema_unbalance(0, 0, 0)));
}

static void
one_phase_systems(void **state)
{
  (void)state;
  SupplySystem s = one(241, 120, 121);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_3W);
  assert_string_equal(s.name, "120/240 V, 1-phase, 3-wire");
  near(cabs(s.line_phasor[0] - s.line_phasor[1]), 241, 1e-9);
  near(cabs(s.line_phasor[0]), 120, 0.5);
  s = one(208, 120, 120);
  assert_int_equal(s.class_, SYSTEM_TWO_LINES_OF_WYE);
  assert_string_equal(s.name, "208 V, 1-phase, two lines of 208Y/120 V");
  near(cabs(s.line_phasor[0]), 120, 1e-9);
  near(cabs(s.line_phasor[1]), 120, 1e-9);
  near(s.nominal_ground, 120, 0);
  s = one(120, 120, 0);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_2W);
  assert_int_equal(s.special_line, 1);
  assert_string_equal(s.name, "120 V, 1-phase, 2-wire");
  s = one(277, 0.4, 276);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_2W);
  assert_int_equal(s.special_line, 0);
  near(cabs(s.line_phasor[0]), 0, 0);
  s = one(GONE, 121, 0);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_2W);
  near(cabs(s.line_phasor[0]), 121, 1e-9);
  s = one(240, 70, 95);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_UNGROUNDED);
  assert_true(s.ambiguous);
  s = one(240, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_UNGROUNDED);
  assert_non_null(strstr(s.ambiguity, "L1 to ground"));
  s = one(240, 120, GONE);
  assert_int_equal(s.class_, SYSTEM_ONE_PHASE_3W);
  s = one(2, 120, 121);
  assert_true(s.lost_phase);
  s = one(240, 300, 10);
  assert_int_equal(s.class_, SYSTEM_IMPOSSIBLE);
  assert_non_null(strstr(s.problem, "300 V"));
  s = one(GONE, 120, 120);
  assert_int_equal(s.class_, SYSTEM_UNKNOWN);
  assert_non_null(strstr(s.ambiguity, "L1 to L2"));
}

static void
refuses_the_impossible(void **state)
{
  (void)state;
  SupplySystem s = three(480, 200, 200, GONE, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_IMPOSSIBLE);
  assert_non_null(strstr(s.problem, "480 V"));
  assert_false(supply_is_known(&s));
  s = three(480, 481, 479, 277, 900, 277);
  assert_int_equal(s.class_, SYSTEM_IMPOSSIBLE);
  assert_non_null(strstr(s.problem, "900 V"));
  s = three(0, 0, 0, 0, 0, 0);
  assert_int_equal(s.class_, SYSTEM_UNKNOWN);
  s = three(GONE, GONE, GONE, GONE, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_UNKNOWN);
  assert_int_equal(s.readings_given, 0);
  assert_true(s.ambiguous);
  s = three(-5, -1, (double)INFINITY, GONE, -2, GONE);
  assert_int_equal(s.readings_given, 0);
}

static void
says_what_cannot_be_told(void **state)
{
  (void)state;
  /* Stray readings that fit no grounded system. */
  SupplySystem s = three_wire(480, 481, 479, 210, 310, 350);
  assert_int_equal(s.class_, SYSTEM_UNGROUNDED);
  assert_non_null(strstr(s.ambiguity, "low-impedance"));
  s = three_wire(480, 481, 479, 90, 110, 60);
  assert_int_equal(s.class_, SYSTEM_UNGROUNDED);
  /* A three-wire 480 V wye reads like an ungrounded delta; with a neutral drawn it does not. */
  s = three_wire(480, 480, 480, 277, 277, 277);
  assert_int_equal(s.class_, SYSTEM_WYE_GROUNDED);
  assert_true(s.ambiguous);
  assert_non_null(strstr(s.ambiguity, "ungrounded delta"));
  assert_false(three(480, 480, 480, 277, 277, 277).ambiguous);
  assert_false(three_wire(208, 208, 208, 120, 120, 120).ambiguous);
  /* The user knows better than the meter. */
  s = supply_derive(&(SupplyReadings){
      .line = {480, 480, 480}, .ground = {277, 277, 277}, .phases = 3, .stated_ungrounded = true});
  assert_int_equal(s.class_, SYSTEM_UNGROUNDED);
  assert_false(s.ambiguous);
  /* A grounded corner may be a fault. */
  assert_non_null(strstr(three(480, 480, 480, 480, 0, 480).ambiguity, "ground fault on L2"));
}

static void
lives_with_missing_readings(void **state)
{
  (void)state;
  SupplySystem s = three(480, 481, 479, GONE, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_UNGROUNDED);
  assert_true(s.ambiguous);
  near(cabs(s.line_phasor[0] - s.line_phasor[1]), 480, 1e-9);
  s = three(480, 481, 479, 277, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_WYE_GROUNDED);
  assert_non_null(strstr(s.ambiguity, "L2 to ground"));
  s = three(480, GONE, 479, 277, 278, 276);
  assert_int_equal(s.class_, SYSTEM_WYE_GROUNDED);
  assert_true(isnan(s.unbalance)); /* a solved reading would magnify the meter's error */
  assert_non_null(strstr(s.ambiguity, "L2 to L3"));
  s = three(GONE, GONE, GONE, 277, 278, 276);
  assert_int_equal(s.class_, SYSTEM_WYE_GROUNDED);
  near(s.nominal_line, 480, 0);
  assert_true(s.ambiguous);
  s = three(GONE, GONE, GONE, 120, 208, 121);
  assert_int_equal(s.class_, SYSTEM_DELTA_HIGH_LEG);
  s = three(GONE, GONE, GONE, 120, 120, GONE);
  assert_int_equal(s.class_, SYSTEM_UNKNOWN); /* 208Y/120 and a 240 V high leg both fit */
  /* One line at 120 V on 240 V: the high leg is one of the other two. */
  s = three(240, 240, 240, 120, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_UNGROUNDED);
  assert_true(s.ambiguous);
  s = three(240, 240, 240, 120, GONE, 120);
  assert_int_equal(s.class_, SYSTEM_DELTA_HIGH_LEG);
  assert_int_equal(s.special_line, 1);
  s = three(480, 480, 480, GONE, 0, GONE);
  assert_int_equal(s.class_, SYSTEM_DELTA_CORNER_GROUNDED);
  s = three(480, 277, GONE, GONE, GONE, GONE);
  assert_int_equal(s.class_, SYSTEM_UNKNOWN);
  assert_non_null(strstr(s.ambiguity, "L3 to L1"));
}

/* Every subset of six good readings: never a wrong class, never a phasor that is no number, and
 * always a sentence when something is missing. */
static void
any_reading_missing(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof examples / sizeof *examples; i++)
    for (unsigned mask = 0; mask < 64; mask++) {
      double v[6];
      for (int k = 0; k < 6; k++)
        v[k] = !(mask & (1u << k)) ? GONE : k < 3 ? examples[i].line[k] : examples[i].ground[k - 3];
      SupplySystem s = three(v[0], v[1], v[2], v[3], v[4], v[5]);
      assert_int_not_equal(s.class_, SYSTEM_IMPOSSIBLE);
      assert_int_equal(s.readings_given, __builtin_popcount(mask));
      if (s.grounded) {
        assert_int_equal(s.class_, examples[i].class_);
        assert_int_equal(s.special_line, examples[i].special);
      }
      if (mask != 63)
        assert_true(s.ambiguous && s.ambiguity[0] != '\0');
      for (int k = 0; k < 3; k++)
        assert_true(isfinite(creal(s.line_phasor[k])) && isfinite(cimag(s.line_phasor[k])));
    }
}

static void
finds_a_lost_phase(void **state)
{
  (void)state;
  /* L3 open and fed back through a balanced load: it stands half way between L1 and L2. */
  SupplySystem s = three(480, 240, 240, 277, 277, 139);
  assert_true(s.lost_phase);
  assert_int_equal(s.lost_line, 2);
  assert_int_equal(s.class_, SYSTEM_WYE_GROUNDED);
  assert_string_equal(s.name, "480Y/277 V, 3-phase, grounded wye, L3 lost");
  /* L1 dead. */
  s = three(277, 480, 277, 0, 277, 277);
  assert_true(s.lost_phase);
  assert_int_equal(s.lost_line, 0);
  assert_int_equal(s.class_, SYSTEM_WYE_GROUNDED);
  /* L2 and L3 tied, or one of them fed back through the other. */
  s = three(480, 0, 480, 277, 277, 277);
  assert_true(s.lost_phase);
  assert_true(s.ambiguous);
  /* Textbook: open winding of a 208Y/120 source with a balanced load reads 208, 104, 104. */
  s = three(208, 104, 104, GONE, GONE, GONE);
  assert_true(s.lost_phase);
  assert_int_equal(s.lost_line, 2);
  assert_false(three(462, 463, 455, 266, 267, 264).lost_phase);
}

static void
rotation_mirrors(void **state)
{
  (void)state;
  SupplyReadings r = {.line = {499, 497, 496}, .ground = {285, 287, 286}, .phases = 3};
  SupplySystem abc = supply_derive(&r);
  r.reverse_rotation = true;
  SupplySystem cba = supply_derive(&r);
  near(abc.residual, cba.residual, 1e-9);
  near(abc.negative_sequence, cba.negative_sequence, 1e-9);
  near(100 * abc.residual, 0.23, 0.005); /* 0.40 % of the volts to ground */
  near(100 * abc.unbalance, 0.34, 0.005);
  near(100 * abc.negative_sequence, 0.355, 0.0005);
  for (int i = 0; i < 3; i++) {
    near(creal(abc.line_phasor[i]), creal(cba.line_phasor[i]), 1e-5);
    near(cimag(abc.line_phasor[i]), -cimag(cba.line_phasor[i]), 1e-5);
  }
  near(carg(abc.line_phasor[0]), 0, 0.02);
  near(carg(abc.line_phasor[1]), -2 * G_PI / 3, 0.02);
  near(carg(abc.line_phasor[2]), 2 * G_PI / 3, 0.02);
}

/* ------------------------------------------------------------------- thousands of noisy systems */

typedef struct {
  uint64_t state;
} Dice;

static double
roll(Dice *dice) /* -1..1 */
{
  dice->state = dice->state * 6364136223846793005u + 1442695040888963407u;
  return (double)(int64_t)(dice->state >> 11) / (double)(1ull << 52) - 1;
}

/* True phasors of a system with two per cent of unbalance, then a meter with half a per cent. */
static void
noisy_readings(Dice *dice, const Example *system, double line[3], double ground[3])
{
  double base[3];
  double complex p[3], earth = 0;
  for (int i = 0; i < 3; i++) {
    base[i] = system->nominal / sqrt(3) * (1 + 0.01 * roll(dice));
    double angle = -2 * G_PI / 3 * i + 0.005 * roll(dice);
    p[i] = base[i] * CMPLX(cos(angle), sin(angle));
  }
  int s = system->special;
  if (system->class_ == SYSTEM_DELTA_CORNER_GROUNDED)
    earth = p[s];
  if (system->class_ == SYSTEM_DELTA_HIGH_LEG)
    earth = (p[(s + 1) % 3] + p[(s + 2) % 3]) / 2;
  for (int i = 0; i < 3; i++) {
    line[i] = cabs(p[i] - p[(i + 1) % 3]) * (1 + 0.005 * roll(dice));
    ground[i] = cabs(p[i] - earth) * (1 + 0.005 * roll(dice));
  }
}

static void
thousands_of_noisy_systems(void **state)
{
  (void)state;
  Dice dice = {20261125};
  double worst = 0;
  for (int round = 0; round < 1500; round++)
    for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
      double line[3], ground[3];
      noisy_readings(&dice, &examples[i], line, ground);
      SupplySystem s = three(line[0], line[1], line[2], ground[0], ground[1], ground[2]);
      if (s.class_ != examples[i].class_ || s.special_line != examples[i].special ||
          fabs(s.nominal_line - examples[i].nominal) > 0)
        fail_msg("%g %g %g, %g %g %g became %s", line[0], line[1], line[2], ground[0], ground[1],
                 ground[2], s.name);
      worst = fmax(worst, s.residual);
    }
  print_message("largest residual of 15000 systems: %.3f %%\n", 100 * worst);
  assert_true(worst < 0.012);
}

/* Random numbers as readings: any answer, but no number that is none and no text cut off. */
static void
nonsense_is_survived(void **state)
{
  (void)state;
  Dice dice = {7};
  for (int i = 0; i < 20000; i++) {
    SupplyReadings r = {.phases = roll(&dice) < 0 ? 1 : 3, .neutral = roll(&dice) < 0};
    for (int k = 0; k < 3; k++) {
      r.line[k] = roll(&dice) < -0.7 ? GONE : pow(10, 4 * roll(&dice));
      r.ground[k] = roll(&dice) < -0.7 ? GONE : roll(&dice) < -0.8 ? 0 : pow(10, 4 * roll(&dice));
    }
    SupplySystem s = supply_derive(&r);
    for (int k = 0; k < 3; k++)
      assert_true(isfinite(creal(s.line_phasor[k])) && isfinite(cimag(s.line_phasor[k])));
    assert_true(isfinite(s.residual));
    assert_true(strlen(s.name) < sizeof s.name - 1);
    assert_true(strlen(s.ambiguity) < sizeof s.ambiguity - 1);
    assert_true(strlen(s.problem) < sizeof s.problem - 1);
    assert_int_equal(s.class_ == SYSTEM_IMPOSSIBLE, s.problem[0] != '\0');
    assert_int_equal(s.ambiguous, s.ambiguity[0] != '\0');
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(names_systems),
      cmocka_unit_test(published_meter_signatures),
      cmocka_unit_test(published_unbalance),
      cmocka_unit_test(one_phase_systems),
      cmocka_unit_test(refuses_the_impossible),
      cmocka_unit_test(says_what_cannot_be_told),
      cmocka_unit_test(lives_with_missing_readings),
      cmocka_unit_test(any_reading_missing),
      cmocka_unit_test(finds_a_lost_phase),
      cmocka_unit_test(rotation_mirrors),
      cmocka_unit_test(thousands_of_noisy_systems),
      cmocka_unit_test(nonsense_is_survived),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
