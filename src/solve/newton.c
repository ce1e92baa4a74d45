/* SPDX-License-Identifier: MIT */
/* Newton's method for elements that depend on |v|. J(v) = y(|v|) v is not analytic, so its
 * differential has a part with the conjugate: dJ = alpha dv + beta conj(dv), with
 * alpha = y + |v| y'/2 and beta = (|v| y'/2)(v/|v|)^2 (Wirtinger calculus). The alpha part goes
 * into the factored complex matrix; the conjugate part is solved for by GMRES in the small space
 * of port voltages. Dropping it makes the iteration cycle near a saturation knee. */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

#define CONVERGED 1e-13
#define GOOD 1e-11 /* accepted when nothing improves it further */
#define STEPS_MOST 40
#define SLIDES_MOST 1000

typedef struct {
  Equations *e;
  KluSolver *klu;
  NewtonReport *report;
  double blend;                               /* 0: reference impedances, 1: the real laws */
  Phasor *y, *alpha, *beta, *d0, *d;          /* per port */
  Phasor *x, *trial, *residual, *step, *work; /* per unknown */
} Newton;

static void
newton_start(Newton *w, Equations *e, KluSolver *klu, Phasor *x, NewtonReport *report)
{
  guint m = MAX(e->n_ports, 1);
  gsize n = (gsize)MAX(e->n, 1);
  *w = (Newton){.e = e, .klu = klu, .x = x, .report = report, .blend = 1};
  w->y = g_new(Phasor, 5 * (gsize)m);
  w->alpha = w->y + m;
  w->beta = w->alpha + m;
  w->d0 = w->beta + m;
  w->d = w->d0 + m;
  w->trial = g_new(Phasor, 4 * n);
  w->residual = w->trial + n;
  w->step = w->residual + n;
  w->work = w->step + n;
}

static void
newton_end(Newton *w)
{
  g_free(w->y);
  g_free(w->trial);
}

/* Residual of the true equations at x: that of the linear ones with each port at its own chord.
 * Leaves ax at the chord admittances. */
static double
measure(Newton *w, const Phasor *x, Phasor *residual)
{
  Phasor slope;
  for (guint i = 0; i < w->e->n_ports; i++) {
    const Port *port = &w->e->ports[i];
    port_admittance(port, cabs(equations_port_volts(port, x)), w->blend, &w->y[i], &slope);
  }
  equations_set_ports(w->e, w->y);
  return equations_residual(w->e, w->e->b, x, residual);
}

static void
differentiate(Newton *w)
{
  for (guint i = 0; i < w->e->n_ports; i++) {
    const Port *port = &w->e->ports[i];
    Phasor v = equations_port_volts(port, w->x), slope;
    double volts = cabs(v);
    port_admittance(port, volts, w->blend, &w->y[i], &slope);
    Phasor half = volts * slope / 2;
    w->alpha[i] = w->y[i] + half;
    w->beta[i] = volts > 0 ? half * (v / volts) * (v / volts) : 0;
  }
}

/* work = A^-1 P (beta conj(scale in)). */
static void
conjugate_response(Newton *w, const Phasor *in)
{
  memset(w->work, 0, (size_t)w->e->n * sizeof *w->work);
  for (guint i = 0; i < w->e->n_ports; i++) {
    const Port *port = &w->e->ports[i];
    Phasor amps = w->beta[i] * conj(in[i] * port->reference);
    if (port->plus >= 0)
      w->work[port->plus] += amps;
    if (port->minus >= 0)
      w->work[port->minus] -= amps;
  }
  klu_solver_solve(w->klu, w->work);
}

static void
apply(void *data, const Phasor *in, Phasor *out)
{
  Newton *w = data;
  conjugate_response(w, in);
  for (guint i = 0; i < w->e->n_ports; i++)
    out[i] = equations_port_volts(&w->e->ports[i], w->work) / w->e->ports[i].reference;
}

/* The full Newton step from the residual at x, into w->step. */
static bool
find_step(Newton *w, double error)
{
  differentiate(w);
  equations_set_ports(w->e, w->alpha);
  if (!klu_solver_factor(w->klu, w->e))
    return false;
  memcpy(w->step, w->residual, (size_t)w->e->n * sizeof *w->step);
  klu_solver_solve(w->klu, w->step);
  bool conjugates = false;
  for (guint i = 0; i < w->e->n_ports; i++) {
    w->d0[i] = equations_port_volts(&w->e->ports[i], w->step) / w->e->ports[i].reference;
    conjugates |= w->beta[i] != 0;
  }
  if (!conjugates)
    return true;
  double tolerance = fmax(1e-10, fmin(1e-3, error));
  w->report->krylov += gmres_solve(w->e->n_ports, w->d0, w->d, tolerance, apply, w);
  conjugate_response(w, w->d);
  for (int i = 0; i < w->e->n; i++)
    w->step[i] -= w->work[i];
  return true;
}

/* Shortens the step until the error falls. Returns the new error, or the old one when none did. */
static double
search(Newton *w, double error)
{
  for (double length = 1; length > 1e-3; length /= 2) {
    for (int i = 0; i < w->e->n; i++)
      w->trial[i] = w->x[i] + length * w->step[i];
    double after = measure(w, w->trial, w->work);
    if (after < error * (1 - 1e-4 * length)) {
      memcpy(w->x, w->trial, (size_t)w->e->n * sizeof *w->x);
      memcpy(w->residual, w->work, (size_t)w->e->n * sizeof *w->residual);
      return after;
    }
  }
  return error;
}

static bool
iterate(Newton *w)
{
  double error = measure(w, w->x, w->residual);
  bool fresh = false;
  for (int k = 0; k < STEPS_MOST && error > CONVERGED; k++) {
    w->report->iterations++;
    if (!find_step(w, error))
      return false;
    double after = search(w, error);
    if (!(after < error)) {
      if (fresh || error <= GOOD)
        break;
      klu_solver_forget(w->klu); /* the old pivots may be what spoils the step */
    }
    fresh = !(after < error);
    error = after;
  }
  w->report->backward_error = error;
  return error <= GOOD;
}

/* Solves with the chord admittances in w->y. */
static bool
solve_chord(Newton *w)
{
  equations_set_ports(w->e, w->y);
  if (!klu_solver_factor(w->klu, w->e))
    return false;
  memcpy(w->x, w->e->b, (size_t)w->e->n * sizeof *w->x);
  klu_solver_solve(w->klu, w->x);
  return true;
}

/* From a copy, so that a failure leaves the path where it was. */
static bool
try_newton(Newton *w, Phasor *kept)
{
  gsize bytes = (gsize)w->e->n * sizeof *w->x;
  memcpy(kept, w->x, bytes);
  if (iterate(w))
    return true;
  memcpy(w->x, kept, bytes);
  return false;
}

/* From the reference impedances to the real laws in steps that adapt to what converges. Leaves x at
 * the last point of the path when it ends before the real laws. */
static bool
homotopy(Newton *w)
{
  gsize bytes = (gsize)w->e->n * sizeof *w->x;
  Phasor *kept = g_malloc(MAX(bytes, 1));
  double reached = 0, step = 0.25;
  w->report->homotopies++;
  memcpy(kept, w->x, bytes);
  while (reached < 1 && step > 1e-3) {
    w->blend = fmin(1, reached + step);
    if (iterate(w)) {
      reached = w->blend;
      step *= 2;
      memcpy(kept, w->x, bytes);
    } else {
      step /= 4;
      memcpy(w->x, kept, bytes);
    }
  }
  g_free(kept);
  w->blend = 1;
  return reached >= 1;
}

/* One step of a port's memory towards its volts. The share grows while the volts keep going one
 * way, since just past a fold they creep, and shrinks when they swing, since laws are steep. */
static void
follow(double *memory, double *share, double *last, double volts)
{
  double gap = volts - *memory;
  *share = gap * *last >= 0 ? fmin(*share * 1.25, 30) : fmax(*share * 0.4, 0.01);
  *last = gap;
  *memory = fmin(fmax(*memory + *share * gap, 0.6 * *memory), 1.6 * *memory + 1e-9);
}

/* Past a fold: the solution the path came along on does not exist any further, as when a load asks
 * for more than its supply can carry. What the volts then do in time does: each port answers to a
 * memory of its volts that follows them step by step, and they slide to where the laws and their
 * windows let them rest. */
static bool
slide(Newton *w)
{
  guint m = w->e->n_ports;
  Phasor slope;
  double *memory = g_new0(double, 3 * (gsize)MAX(m, 1)), *share = memory + m, *last = share + m;
  Phasor *kept = g_new(Phasor, MAX(w->e->n, 1));
  bool settled = false;
  for (guint i = 0; i < m; i++) {
    memory[i] = cabs(equations_port_volts(&w->e->ports[i], w->x));
    share[i] = 0.2;
  }
  for (int k = 1; k <= SLIDES_MOST && !settled; k++) {
    for (guint i = 0; i < m; i++)
      port_admittance(&w->e->ports[i], memory[i], 1, &w->y[i], &slope);
    if (!solve_chord(w))
      break;
    for (guint i = 0; i < m; i++)
      follow(&memory[i], &share[i], &last[i], cabs(equations_port_volts(&w->e->ports[i], w->x)));
    if (k % 10 == 0)
      settled = try_newton(w, kept);
  }
  g_free(memory);
  g_free(kept);
  return settled;
}

/* With every port at its reference impedance. */
static bool
solve_linear(Newton *w)
{
  Phasor slope;
  for (guint i = 0; i < w->e->n_ports; i++)
    port_admittance(&w->e->ports[i], 0, 0, &w->y[i], &slope);
  equations_set_ports(w->e, w->y);
  if (!klu_solver_factor(w->klu, w->e))
    return false;
  w->report->backward_error = klu_solver_refined(w->klu, w->e, w->x);
  return isfinite(w->report->backward_error);
}

bool
newton_solve(Equations *e, KluSolver *klu, Phasor *x, NewtonReport *report)
{
  Newton w;
  newton_start(&w, e, klu, x, report);
  *report = (NewtonReport){0};
  bool solved = solve_linear(&w);
  if (solved && e->n_ports > 0 && !iterate(&w)) {
    w.blend = 0;
    solved = solve_linear(&w) && (homotopy(&w) || slide(&w));
    report->unsettled = !solved;
  }
  newton_end(&w);
  return solved;
}
