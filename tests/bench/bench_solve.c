/* SPDX-License-Identifier: MIT */
/* Times of the solver at 20 to 20 000 devices, each the least of several runs in this process:
 *   rebuild   from a circuit's arrays to a Solution with currents, balances and verdict
 *   bare KLU  order, factor and solve of the very same matrix, nothing else; and without ordering
 *   edit      a rebuild's result after values changed, with a session
 *   library   an independent simulator library, parsing and one frequency
 * Exits 1 when a ratio misses its target. */
#include "random_network.h"
#include "solve/internal.h"
#ifdef HAVE_SPICE
#include "spice.h"
#endif

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SEED 20261
#define LIBRARY_MOST 2000

static double
now(void)
{
  return (double)g_get_monotonic_time();
}

/* Other programs on the machine only ever add time, so the least of several runs is the program's
 * own; a median here told more about the neighbours. */
static double
least(const double *times, int n)
{
  double best = times[0];
  for (int i = 1; i < n; i++)
    best = fmin(best, times[i]);
  return best;
}

/* Short ones are repeated inside one measurement, since the clock counts microseconds. */
typedef struct {
  guint devices;
  int runs, inner;
} Size;

static double
time_rebuild(const Circuit *c, int inner)
{
  double start = now();
  for (int k = 0; k < inner; k++)
    solution_free(solution_new(c, NULL));
  return (now() - start) / inner;
}

typedef struct {
  double order, factor, solve, refactor;
} Bare;

/* KLU alone on the matrix of a session that has solved the circuit. */
static Bare
time_bare(SolveSession *session, Phasor *x, int inner)
{
  Equations *e = &session->equations;
  Bare bare = {0};
  for (int k = 0; k < inner; k++) {
    KluSolver klu;
    klu_solver_init(&klu);
    double t0 = now();
    klu.symbolic = klu_analyze(e->n, e->ap, e->ai, &klu.common);
    klu.n = e->n;
    double t1 = now();
    klu_solver_factor(&klu, e);
    double t2 = now();
    memcpy(x, e->b, (size_t)e->n * sizeof *x);
    klu_solver_solve(&klu, x);
    double t3 = now();
    klu_solver_factor(&klu, e);
    double t4 = now();
    klu_solver_clear(&klu);
    bare.order += (t1 - t0) / inner;
    bare.factor += (t2 - t1) / inner;
    bare.solve += (t3 - t2) / inner;
    bare.refactor += (t4 - t3) / inner;
  }
  return bare;
}

static void
change_values(Circuit *c, double factor)
{
  for (guint i = 0; i < c->sources->len; i++)
    circuit_item(c->sources, Source, i)->emf *= factor;
  for (guint i = 0; i < c->loads->len; i++)
    circuit_item(c->loads, Load, i)->power *= factor;
}

static double
time_edits(SolveSession *session, Circuit *c, int inner, bool reuse)
{
  static bool up; /* there and back, or many runs would add up to another circuit */
  double start = now();
  for (int k = 0; k < inner; k++) {
    up = !up;
    change_values(c, up ? 1.01 : 1 / 1.01);
    if (!reuse)
      session->built = false;
    solution_free(solve_session_solve(session, c, NULL, NULL));
  }
  return (now() - start) / inner;
}

static double
time_library(const Circuit *c)
{
#ifdef HAVE_SPICE
  g_autoptr(Solution) s = solution_new(c, NULL);
  SpiceResult result;
  spice_result_init(&result, c);
  double seconds = spice_solve(c, s, &result) ? spice_seconds() : nan("");
  spice_result_clear(&result);
  return seconds * 1e6;
#else
  (void)c;
  return nan("");
#endif
}

static Circuit *
network(guint devices, bool nonlinear, bool plain)
{
  g_autoptr(GRand) random = g_rand_new_with_seed(SEED + devices);
  RandomOptions options = {.devices = devices, .nonlinear = nonlinear, .plain = plain};
  return random_network(random, &options);
}

/* Everything is measured in turn within each run, so that a busy spell meets both sides of a
 * ratio. */
static bool
bench_linear(const Size *size, double *rebuild_time, double *library_time)
{
  g_autoptr(Circuit) c = network(size->devices, false, true);
  g_autoptr(SolveSession) session = solve_session_new();
  solution_free(solve_session_solve(session, c, NULL, NULL));
  g_autofree Phasor *x = g_new(Phasor, MAX(session->equations.n, 1));
  double rebuild[64] = {0}, order[64] = {0}, factor[64] = {0}, solve[64] = {0};
  double refactor[64] = {0}, edit[64] = {0}, anew[64] = {0};
  int n = size->runs;
  for (int run = 0; run < n; run++) {
    rebuild[run] = time_rebuild(c, size->inner);
    Bare bare = time_bare(session, x, size->inner);
    edit[run] = time_edits(session, c, size->inner, true);
    anew[run] = time_edits(session, c, size->inner, false);
    order[run] = bare.order;
    factor[run] = bare.factor;
    solve[run] = bare.solve;
    refactor[run] = bare.refactor;
  }
  double unordered = least(factor, n) + least(solve, n), ordered = least(order, n) + unordered;
  double library = size->devices <= LIBRARY_MOST ? time_library(c) : nan("");
  double whole = least(rebuild, n), gain = least(anew, n) / least(edit, n);
  *rebuild_time = whole;
  *library_time = library;
  printf("%6u devices, %6d unknowns, %7d entries: rebuild %9.1f us; bare KLU order %.1f + factor "
         "%.1f + solve %.1f us (refactor %.1f)\n",
         random_device_count(c), session->equations.n, session->equations.ap[session->equations.n],
         whole, least(order, n), least(factor, n), least(solve, n), least(refactor, n));
  printf("       rebuild / bare with ordering %.2f, / bare without ordering %.2f; edit %.1f us, "
         "rebuild / edit %.1f; library %.0f us = %.0f x rebuild\n",
         whole / ordered, whole / unordered, least(edit, n), gain, library, library / whole);
  return (size->devices < 200 || whole / ordered <= 3) && (size->devices != 2000 || gain >= 4);
}

static bool
bench_nonlinear(const Size *size)
{
  g_autoptr(Circuit) c = network(size->devices, true, false);
  g_autoptr(SolveSession) session = solve_session_new();
  solution_free(solve_session_solve(session, c, NULL, NULL));
  double times[64] = {0};
  for (int run = 0; run < size->runs; run++)
    times[run] = time_rebuild(c, size->inner);
  double time = least(times, size->runs);
  printf("%6u devices, nonlinear, %u ports, coils and motors: %.2f ms (%u iterations, %u Krylov, "
         "%u rounds of pattern)\n",
         random_device_count(c), session->equations.n_ports, time / 1000,
         session->report.iterations, session->report.krylov, session->rebuilds + session->refills);
  return size->devices != 2000 || time < 20000;
}

/* bench-solve [MOST]: sizes up to MOST devices, 20 000 normally. The library is left out above
 * LIBRARY_MOST: it takes minutes there. */
int
main(int argc, char **argv)
{
  const Size sizes[] = {{20, 30, 200}, {200, 30, 40}, {2000, 30, 4}, {20000, 15, 1}};
  guint most = argc > 1 ? (guint)strtoul(argv[1], NULL, 10) : 20000;
  double rebuild[4] = {0}, library[4] = {0};
  bool good = true;
  int n = 0;
  for (; n < 4 && sizes[n].devices <= most; n++)
    good &= bench_linear(&sizes[n], &rebuild[n], &library[n]);
  if (n > 2)
    printf("growth exponent from 200 devices: rebuild %.2f to %u devices, library %.2f to 2000\n",
           log(rebuild[n - 1] / rebuild[1]) / log(sizes[n - 1].devices / 200.0),
           sizes[n - 1].devices, log(library[2] / library[1]) / log(10));
  for (int i = 0; i < n; i++)
    good &= bench_nonlinear(&sizes[i]);
  printf("%s\n", good ? "all targets met" : "A TARGET IS MISSED");
  return good ? 0 : 1;
}
