/* SPDX-License-Identifier: MIT */
/* GMRES over the real numbers: conjugation is linear there, and over the complex numbers not. */
#include "solve/internal.h"

#include <math.h>
#include <string.h>

#define KRYLOV_MOST 120

typedef struct {
  guint n, capacity;
  Phasor *basis;                          /* capacity + 1 vectors */
  double h[KRYLOV_MOST + 1][KRYLOV_MOST]; /* upper triangle after rotations */
  double cosine[KRYLOV_MOST], sine[KRYLOV_MOST], rhs[KRYLOV_MOST + 1];
} Gmres;

static double
dot(guint n, const Phasor *u, const Phasor *w)
{
  double sum = 0;
  for (guint i = 0; i < n; i++)
    sum += creal(u[i]) * creal(w[i]) + cimag(u[i]) * cimag(w[i]);
  return sum;
}

static Phasor *
vector(Gmres *g, guint k)
{
  if (k >= g->capacity) {
    g->capacity = MIN(KRYLOV_MOST + 1, MAX(8, 2 * g->capacity));
    g->basis = g_renew(Phasor, g->basis, (gsize)g->capacity * g->n);
  }
  return g->basis + (gsize)k * g->n;
}

/* Makes w orthogonal to the first k + 1 vectors, twice for safety; its length goes to h[k+1][k]. */
static void
orthogonalize(Gmres *g, guint k, Phasor *w)
{
  for (guint i = 0; i <= k; i++)
    g->h[i][k] = 0;
  for (int pass = 0; pass < 2; pass++)
    for (guint i = 0; i <= k; i++) {
      const Phasor *v = g->basis + (gsize)i * g->n;
      double share = dot(g->n, v, w);
      g->h[i][k] += share;
      for (guint j = 0; j < g->n; j++)
        w[j] -= share * v[j];
    }
  g->h[k + 1][k] = sqrt(dot(g->n, w, w));
}

static void
rotate(Gmres *g, guint k)
{
  for (guint i = 0; i < k; i++) {
    double upper = g->h[i][k], lower = g->h[i + 1][k];
    g->h[i][k] = g->cosine[i] * upper + g->sine[i] * lower;
    g->h[i + 1][k] = g->cosine[i] * lower - g->sine[i] * upper;
  }
  double length = hypot(g->h[k][k], g->h[k + 1][k]);
  g->cosine[k] = length > 0 ? g->h[k][k] / length : 1;
  g->sine[k] = length > 0 ? g->h[k + 1][k] / length : 0;
  g->h[k][k] = length;
  g->rhs[k + 1] = -g->sine[k] * g->rhs[k];
  g->rhs[k] *= g->cosine[k];
}

static void
combine(Gmres *g, guint steps, Phasor *d)
{
  for (guint k = steps; k-- > 0;) {
    for (guint j = k + 1; j < steps; j++)
      g->rhs[k] -= g->h[k][j] * g->rhs[j];
    g->rhs[k] = g->h[k][k] > 0 ? g->rhs[k] / g->h[k][k] : 0;
  }
  memset(d, 0, g->n * sizeof *d);
  for (guint k = 0; k < steps; k++)
    for (guint j = 0; j < g->n; j++)
      d[j] += g->rhs[k] * g->basis[(gsize)k * g->n + j];
}

guint
gmres_solve(guint n, const Phasor *d0, Phasor *d, double tolerance, GmresApply apply, void *data)
{
  double start = sqrt(dot(n, d0, d0));
  memset(d, 0, n * sizeof *d);
  if (!(start > 0))
    return 0;
  Gmres *g = g_new(Gmres, 1);
  g->n = n;
  g->capacity = 0;
  g->basis = NULL;
  g->rhs[0] = start;
  Phasor *w = vector(g, 0);
  for (guint j = 0; j < n; j++)
    w[j] = d0[j] / start;
  guint k = 0;
  while (k < KRYLOV_MOST && k < 2 * n) {
    w = vector(g, k + 1);
    const Phasor *v = g->basis + (gsize)k * n;
    apply(data, v, w);
    for (guint j = 0; j < n; j++)
      w[j] += v[j];
    orthogonalize(g, k, w);
    double length = g->h[k + 1][k];
    for (guint j = 0; length > 0 && j < n; j++)
      w[j] /= length;
    rotate(g, k++);
    if (fabs(g->rhs[k]) <= tolerance * start || !(length > 0))
      break;
  }
  combine(g, k, d);
  g_free(g->basis);
  g_free(g);
  return k;
}
