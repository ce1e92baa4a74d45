/* SPDX-License-Identifier: MIT */
/* KLU for complex equations. Settings measured best for these matrices: no scaling and a pivot
 * threshold of 0.001 with one refinement always; where that is not enough, KLU's own careful
 * settings and more refinement. C99 double complex is KLU's interleaved layout. */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

#define FAST_ENOUGH 1e-12 /* backward error that calls for careful settings */

void
klu_solver_init(KluSolver *klu)
{
  *klu = (KluSolver){0};
  klu_defaults(&klu->common);
  klu->common.scale = -1;
  klu->common.tol = 0.001;
}

static void
drop_numeric(KluSolver *klu)
{
  if (klu->numeric != NULL)
    klu_z_free_numeric(&klu->numeric, &klu->common);
}

void
klu_solver_forget(KluSolver *klu)
{
  drop_numeric(klu);
}

static void
be_careful(KluSolver *klu, bool careful)
{
  klu->careful = careful;
  klu->common.scale = careful ? 1 : -1;
  klu->common.tol = careful ? 0.1 : 0.001;
}

bool
klu_solver_analyze(KluSolver *klu, Equations *equations)
{
  drop_numeric(klu);
  if (klu->symbolic != NULL)
    klu_free_symbolic(&klu->symbolic, &klu->common);
  be_careful(klu, false);
  klu->n = equations->n;
  klu->work = g_renew(Phasor, klu->work, MAX(2 * klu->n, 1));
  if (klu->n == 0)
    return true;
  klu->symbolic = klu_analyze(klu->n, equations->ap, equations->ai, &klu->common);
  return klu->symbolic != NULL;
}

bool
klu_solver_factor(KluSolver *klu, Equations *equations)
{
  if (klu->n == 0)
    return true;
  double *values = (double *)(void *)equations->ax;
  if (klu->numeric != NULL) {
    if (klu_z_refactor(equations->ap, equations->ai, values, klu->symbolic, klu->numeric,
                       &klu->common) &&
        klu->common.status == KLU_OK)
      return true;
    drop_numeric(klu);
  }
  klu->numeric = klu_z_factor(equations->ap, equations->ai, values, klu->symbolic, &klu->common);
  if (klu->numeric != NULL && klu->common.status == KLU_OK)
    return true;
  drop_numeric(klu);
  return false;
}

void
klu_solver_solve(KluSolver *klu, Phasor *b)
{
  if (klu->n > 0)
    klu_z_solve(klu->symbolic, klu->numeric, klu->n, 1, (double *)(void *)b, &klu->common);
}

static void
refine(KluSolver *klu, Equations *equations, Phasor *x)
{
  equations_subtract(equations, equations->b, x, klu->work);
  klu_solver_solve(klu, klu->work);
  for (int i = 0; i < klu->n; i++)
    x[i] += klu->work[i];
}

static double
solve_refined(KluSolver *klu, Equations *equations, Phasor *x, int refinements)
{
  memcpy(x, equations->b, (size_t)klu->n * sizeof *x);
  klu_solver_solve(klu, x);
  for (int i = 0; i < refinements; i++)
    refine(klu, equations, x);
  double error = equations_residual(equations, equations->b, x, klu->work);
  return isfinite(error) ? error : HUGE_VAL;
}

double
klu_solver_refined(KluSolver *klu, Equations *equations, Phasor *x)
{
  if (klu->n == 0)
    return 0;
  double error = solve_refined(klu, equations, x, klu->careful ? 3 : 1);
  if (error <= FAST_ENOUGH)
    return error;
  /* Old pivots that no longer fit, or a matrix the fast settings cannot handle. */
  drop_numeric(klu);
  be_careful(klu, true);
  if (!klu_solver_factor(klu, equations))
    return INFINITY;
  return solve_refined(klu, equations, x, 3);
}

void
klu_solver_clear(KluSolver *klu)
{
  drop_numeric(klu);
  if (klu->symbolic != NULL)
    klu_free_symbolic(&klu->symbolic, &klu->common);
  g_free(klu->work);
  klu->work = NULL;
}
