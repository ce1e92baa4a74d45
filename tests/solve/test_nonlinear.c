/* SPDX-License-Identifier: MIT */
/* Constant-power and constant-current loads and saturating cores: closed forms, quadrature, and
 * integration in time of the same flux/current curve. */
#include "circuit/stamp.h"
#include "random_network.h"
#include "rig.h"
#include "solve/internal.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

static Solution *
solve(const Circuit *circuit)
{
  g_autoptr(GError) error = NULL;
  Solution *solution = solution_new(circuit, &error);
  if (solution == NULL)
    fail_msg("%s", error->message);
  return solution;
}

static void
assert_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.12g, expected %.12g within %g", value, expected, tolerance);
}

/* 1 kW at 120 V behind 1 ohm: v^2 - 120 v + 1000 = 0, the upper root. */
static void
test_constant_power(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 120, 0);
  rig_impedance(c, 1, 2, 1);
  rig_load(c, 2, 0, LOAD_CONSTANT_POWER, 1000, 120, 60, 140);
  g_autoptr(Solution) s = solve(c);
  assert_near(cabs(solution_to_earth(s, 2).volts), 60 + sqrt(3600 - 1000), 1e-10);
  assert_false(s->load_outside[0]);
  assert_true(s->trust.iterations > 0);
}

/* 5 kW behind 2 ohm at 120 V has no constant-power solution (at most 1800 W can be had): below
 * 60 V it is the impedance it has there, 60^2/5000 = 0.72 ohm, so it stands at 120 x 0.72/2.72. */
static void
test_collapse(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 120, 0);
  rig_impedance(c, 1, 2, 2);
  rig_load(c, 2, 0, LOAD_CONSTANT_POWER, 5000, 120, 60, 140);
  g_autoptr(Solution) s = solve(c);
  assert_near(cabs(solution_to_earth(s, 2).volts), 120 * 0.72 / 2.72, 1e-10);
  assert_near(cabs(solution_to_earth(s, 2).volts), 31.76, 0.005);
  assert_true(s->load_outside[0]);
}

static void
test_constant_current(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(3);
  rig_source(c, 1, 0, 120, 0);
  rig_impedance(c, 1, 2, 1.5);
  rig_load(c, 2, 0, LOAD_CONSTANT_CURRENT, 1200 * CMPLX(0.8, 0.6), 120, 60, 140);
  g_autoptr(Solution) s = solve(c);
  assert_near(cabs(s->load_amps[0]), 10, 1e-10);
  Phasor power = solution_to_earth(s, 2).volts * conj(s->load_amps[0]);
  assert_near(creal(power) / cabs(power), 0.8, 1e-12);
  /* Above its window it is the impedance it has at the edge, 140 V / 10 A. */
  circuit_item(c->sources, Source, 0)->emf = 240;
  g_autoptr(Solution) high = solve(c);
  assert_true(high->load_outside[0]);
  assert_near(cabs(solution_to_earth(high, 2).volts / high->load_amps[0]), 140.0 / 10, 1e-10);
}

/* The describing function is the fundamental of the current that sinusoidal flux draws. */
static void
test_saturation_law(void **state)
{
  (void)state;
  const Core core = {.excitation_susceptance = 3, .knee = 1.2, .saturated_susceptance = 500};
  Port port = {0};
  port_from_core(&port, &core);
  for (double flux = 0.55; flux < 3; flux += 0.1) {
    const int n = 200000;
    double sum = 0;
    for (int i = 0; i < n; i++) {
      double t = 2 * G_PI * (i + 0.5) / n, now = flux * sin(t);
      double amps = 3 * now + 500 * copysign(fmax(0, fabs(now) - 1.2), now);
      sum += amps * sin(t) * 2 / n;
    }
    Phasor y, slope, more, ignored;
    port_admittance(&port, flux, 1, &y, &slope);
    port_admittance(&port, flux + 1e-6, 1, &more, &ignored);
    assert_near(-cimag(y) * flux, sum, 1e-7 * sum);
    assert_near(cimag(more - y) / 1e-6, cimag(slope), 2e-3 * fabs(cimag(slope)) + 1e-3);
  }
}

/* Amplitude of the flux's fundamental from the differential equation of source, resistance,
 * leakage and core in time, steady state, by Runge-Kutta. Frequency 1, per unit of peak. */
static double
flux_in_time(double volts, double r, double x, double b0, double db, double knee)
{
  const int steps = 4000, cycles = 40;
  double h = 2 * G_PI / steps, flux = 0, sine = 0, cosine = 0;
  for (int i = 0; i < steps * cycles; i++) {
    double k[4], at = flux;
    for (int stage = 0; stage < 4; stage++) {
      double t = h * i + (stage == 0 ? 0 : stage == 3 ? h : h / 2);
      double beyond = fmax(0, fabs(at) - knee);
      double amps = b0 * at + db * copysign(beyond, at), slope = b0 + (beyond > 0 ? db : 0);
      k[stage] = (volts * cos(t) - r * amps) / (1 + x * slope);
      at = flux + (stage == 2 ? h : h / 2) * k[stage];
    }
    flux += h * (k[0] + 2 * k[1] + 2 * k[2] + k[3]) / 6;
    if (i >= steps * (cycles - 1)) {
      sine += flux * sin(h * (i + 1)) * 2 / steps;
      cosine += flux * cos(h * (i + 1)) * 2 / steps;
    }
  }
  return hypot(sine, cosine);
}

static void
test_saturation_against_time(void **state)
{
  (void)state;
  const double x = 0.05, r = 0.06, b0 = 0.08;
  for (double volts = 1.0; volts < 2.5; volts += 0.35) {
    double db = 1 / 0.1 - b0;
    g_autoptr(Circuit) c = circuit_new_bare(2);
    rig_source(c, 1, 0, volts, 0);
    guint core = rig_core(c, 0, b0);
    circuit_item(c->cores, Core, core)->knee = 1.2;
    circuit_item(c->cores, Core, core)->saturated_susceptance = db;
    rig_segment(c, core, 1, 0, 1, CMPLX(r, x));
    g_autoptr(Solution) s = solve(c);
    double timed = flux_in_time(volts, r, x, b0, db, 1.2);
    printf("%.2f pu: flux %.5f, in time %.5f\n", volts, cabs(s->core_flux[0]), timed);
    assert_near(cabs(s->core_flux[0]), timed, 0.01 * timed);
  }
}

/* ---- the 100 VA transformer 208/240/480 to 24/120 V, 7 % regulation ----------------------------
 */

enum { H1 = 1, H2, H3, H4, X1, X2, X3, NODES };

static Circuit *
control_transformer(double volts, guint lead)
{
  Circuit *c = circuit_new_bare(NODES);
  Stamp stamp = {.circuit = c};
  const StampLead leads[] = {
      {.terminal = H1, .volts = 0, .row = 0},
      {.terminal = H2, .volts = 208, .row = 1},
      {.terminal = H3, .volts = 240, .row = 2},
      {.terminal = H4, .volts = 480, .row = 3},
      {.terminal = X1, .winding = 1, .secondary = true, .volts = 0, .row = 4},
      {.terminal = X2, .winding = 1, .secondary = true, .volts = 24, .row = 5},
      {.terminal = X3, .winding = 1, .secondary = true, .volts = 120, .row = 6}};
  const StampTransformer nameplate = {.rating = 100,
                                      .frequency_ratio = 1,
                                      .regulation = 0.07,
                                      .impedance = -1,
                                      .no_load_rise = -1,
                                      .leads = leads,
                                      .n_leads = G_N_ELEMENTS(leads)};
  stamp_transformer(&stamp, &nameplate);
  if (lead != 0)
    rig_source(c, lead, H1, volts, 0);
  return c;
}

static void
test_every_tap_alike(void **state)
{
  (void)state;
  const struct {
    guint lead;
    double volts;
  } taps[] = {{H2, 208}, {H3, 240}, {H4, 480}};
  for (gsize i = 0; i < G_N_ELEMENTS(taps); i++) {
    g_autoptr(Circuit) c = control_transformer(taps[i].volts, taps[i].lead);
    g_autoptr(Solution) open = solve(c);
    assert_near(cabs(solution_reading(open, X2, X1).volts), 25.680, 0.01);
    assert_near(cabs(solution_reading(open, H2, H1).volts), 208, 0.003 * 208);
    assert_near(cabs(solution_reading(open, H3, H1).volts), 240, 0.003 * 240);
    assert_near(cabs(solution_reading(open, H4, H1).volts), 480, 0.003 * 480);
    rig_load(c, X2, X1, LOAD_CONSTANT_IMPEDANCE, 100, 24, 0, 0);
    g_autoptr(Solution) full = solve(c);
    assert_near(cabs(solution_reading(full, X2, X1).volts), 24, 0.03);
  }
}

/* Fed backwards it gives less than its nameplate: about 447 V open. */
static void
test_reverse_feed(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_transformer(0, 0);
  rig_source(c, X2, X1, 24, 0);
  g_autoptr(Solution) open = solve(c);
  assert_near(cabs(solution_reading(open, H4, H1).volts), 446.7, 2);
  rig_load(c, H4, H1, LOAD_CONSTANT_IMPEDANCE, 100, 480, 0, 0);
  g_autoptr(Solution) full = solve(c);
  assert_near(cabs(solution_reading(full, H4, H1).volts), 420.5, 5);
}

/* 480 V on the 208 V lead: deep in saturation, many times rated current. The digits depend on data
 * no nameplate carries; the order of size does not. */
static void
test_wrong_tap(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_transformer(480, H2);
  g_autoptr(Solution) s = solve(c);
  double amps = cabs(s->source_amps[0]), rated = 100.0 / 208;
  printf("480 V on the 208 V lead: flux %.3f, %.2f A = %.1f x rated, 24 V lead %.1f V, 480 V lead "
         "%.0f V\n",
         cabs(s->core_flux[0]), amps, amps / rated, cabs(solution_reading(s, X2, X1).volts),
         cabs(solution_reading(s, H4, H1).volts));
  assert_near(cabs(s->core_flux[0]), 2.1, 0.25);
  assert_true(amps > 5 * rated && amps < 40 * rated);
  assert_near(cabs(solution_reading(s, X2, X1).volts), 54, 6);
  assert_near(cabs(solution_reading(s, H4, H1).volts), 1046, 100);
}

/* ---- many --------------------------------------------------------------------------------------
 */

static void
test_random_transformers(void **state)
{
  (void)state;
  g_autoptr(GRand) random = g_rand_new_with_seed(random_seed());
  guint most = 0, all = 0;
  for (guint k = 0; k < 3000; k++) {
    g_autoptr(Circuit) c = circuit_new_bare(4);
    rig_source(c, 1, 0, g_rand_double_range(random, 0.2, 4) * 120,
               g_rand_double_range(random, 0, 2));
    guint core =
        rig_core(c, g_rand_double_range(random, 0.1, 5), g_rand_double_range(random, 0.5, 20));
    circuit_item(c->cores, Core, core)->knee = g_rand_double_range(random, 1.05, 1.4);
    circuit_item(c->cores, Core, core)->saturated_susceptance =
        100 / exp(g_rand_double_range(random, log(0.004), log(0.5)));
    rig_segment(c, core, 1, 0, 120, CMPLX(g_rand_double_range(random, 0.5, 8), 2));
    rig_segment(c, core, 2, 3, 24, CMPLX(g_rand_double_range(random, 0.01, 0.4), 0.1));
    rig_impedance(c, 2, 3, exp(g_rand_double_range(random, log(1e-3), log(1e3))));
    if (k % 3 == 0)
      rig_load(c, 2, 3, LOAD_CONSTANT_POWER, 60, 24, 18, 30);
    g_autoptr(Solution) s = solve(c);
    most = MAX(most, s->trust.iterations);
    all += s->trust.iterations;
  }
  printf("3000 transformers, %.2f iterations on average, at most %u\n", all / 3000.0, most);
}

static void
test_random_networks(void **state)
{
  (void)state;
  g_autoptr(GRand) random = g_rand_new_with_seed(random_seed());
  guint homotopies = 0, iterations = 0, ports = 0;
  gint64 start = g_get_monotonic_time();
  for (guint k = 0; k < 2000; k++) {
    RandomOptions options = {.devices = 10 + (k * 13) % 110, .nonlinear = true};
    g_autoptr(Circuit) c = random_network(random, &options);
    g_autoptr(GError) error = NULL;
    g_autoptr(SolveSession) session = solve_session_new();
    g_autoptr(Solution) s = solve_session_solve(session, c, NULL, &error);
    if (s == NULL)
      fail_msg("network %u: %s", k, error->message);
    homotopies += session->report.homotopies;
    iterations += session->report.iterations;
    ports += session->equations.n_ports;
  }
  printf("2000 networks, %u ports, %.2f iterations on average, %u homotopies, %.2f ms each with "
         "making them\n",
         ports, iterations / 2000.0, homotopies,
         (double)(g_get_monotonic_time() - start) * 1e-3 / 2000);
  assert_true(ports > 10000);
  /* Without the conjugate part of the differential many would need the detour. */
  assert_true(homotopies <= 15 && iterations < 2000 * 4);
}

/* Loads far beyond what feeds them, able to draw full power down to 2 % of their volts: most stand
 * past the nose of their curve, where the solution near rated volts is gone. */
static void
test_overloaded_networks(void **state)
{
  (void)state;
  g_autoptr(GRand) random = g_rand_new_with_seed(random_seed());
  guint homotopies = 0, outside = 0, loads = 0, failed = 0;
  for (guint k = 0; k < 600; k++) {
    RandomOptions options = {
        .devices = 10 + (k * 13) % 110, .nonlinear = true, .overload = k % 2 == 0 ? 10 : 100};
    g_autoptr(Circuit) c = random_network(random, &options);
    g_autoptr(GError) error = NULL;
    g_autoptr(SolveSession) session = solve_session_new();
    g_autoptr(Solution) s = solve_session_solve(session, c, NULL, &error);
    if (s == NULL) {
      printf("network %u: %s\n", k, error->message);
      failed++;
      continue;
    }
    homotopies += session->report.homotopies;
    loads += c->loads->len;
    for (guint i = 0; i < c->loads->len; i++)
      outside += s->load_outside[i];
  }
  printf("600 networks, %u loads, %u outside their window, %u homotopies\n", loads, outside,
         homotopies);
  assert_int_equal(failed, 0);
  assert_true(outside > loads / 20);
}

/* Three loads on an open bank at 1.0 to 10 times what it can carry: past the fold. */
static void
test_past_the_fold(void **state)
{
  (void)state;
  for (double times = 0.5; times < 20; times *= 1.3) {
    g_autoptr(Circuit) c = circuit_new_bare(4);
    rig_source(c, 1, 0, 4160, CMPLX(0.5, 2));
    rig_source(c, 2, 1, rig_polar(4160, -120), CMPLX(0.5, 2));
    rig_impedance(c, 2, 3, CMPLX(0.2, 0.7));
    rig_load(c, 1, 0, LOAD_CONSTANT_POWER, 2.4e6 * times, 4160, 42, 0);
    rig_load(c, 3, 1, LOAD_CONSTANT_POWER, 1.8e6 * times * CMPLX(0.9, 0.4), 4160, 42, 0);
    rig_load(c, 3, 0, LOAD_CONSTANT_POWER, 1.2e6 * times * CMPLX(0.9, 0.4), 4160, 42, 0);
    g_autoptr(Solution) s = solve(c);
    assert_true(s->trust.trusted);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_constant_power),
      cmocka_unit_test(test_collapse),
      cmocka_unit_test(test_constant_current),
      cmocka_unit_test(test_saturation_law),
      cmocka_unit_test(test_saturation_against_time),
      cmocka_unit_test(test_every_tap_alike),
      cmocka_unit_test(test_reverse_feed),
      cmocka_unit_test(test_wrong_tap),
      cmocka_unit_test(test_random_transformers),
      cmocka_unit_test(test_random_networks),
      cmocka_unit_test(test_overloaded_networks),
      cmocka_unit_test(test_past_the_fold),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
