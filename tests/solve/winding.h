/* SPDX-License-Identifier: MIT */
/* Short ways to draw transformers and look at their windings, for the tests of connections. */
#pragma once

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

static inline Case
solve(const Document *document)
{
  GError *error = NULL;
  Case it = {.circuit = circuit_build(document, NULL)};
  it.solution = solution_new(it.circuit, &error);
  if (it.solution == NULL)
    fail_msg("%s", error->message);
  assert_true(it.solution->trust.trusted);
  return it;
}

static inline void
case_clear(Case *it)
{
  solution_free(it->solution);
  circuit_free(it->circuit);
}

static inline double
volts(const Case *it, const char *a, const char *b)
{
  Reading r =
      solution_reading(it->solution, bench_node(it->circuit, a), bench_node(it->circuit, b));
  assert_true(r.state == READING_LIVE || r.state == READING_DEAD); /* dead: they stand at earth */
  return cabs(r.volts);
}

static inline double
degrees(const Case *it, const char *a, const char *b)
{
  Reading r =
      solution_reading(it->solution, bench_node(it->circuit, a), bench_node(it->circuit, b));
  assert_int_equal(r.state, READING_LIVE);
  return carg(r.volts) * 180 / G_PI;
}

/* How far the angle of one pair leads another's, -180..180. */
static inline double
leads_by(const Case *it, const char *a, const char *b, const char *c, const char *d)
{
  return remainder(degrees(it, a, b) - degrees(it, c, d), 360);
}

/* Amperes of the winding stretch whose upper lead is `name`. */
static inline double
winding_amps(const Case *it, const char *name)
{
  guint node = bench_node(it->circuit, name);
  for (guint i = 0; i < it->circuit->segments->len; i++)
    if (circuit_item(it->circuit->segments, Segment, i)->a == node)
      return cabs(it->solution->segment_amps[i]);
  fail_msg("no winding ends at %s", name);
  return 0;
}

static inline double
winding_rated(const Case *it, const char *name)
{
  guint node = bench_node(it->circuit, name);
  for (guint i = 0; i < it->circuit->segments->len; i++)
    if (circuit_item(it->circuit->segments, Segment, i)->a == node)
      return circuit_item(it->circuit->segments, Segment, i)->rated_amps;
  return 0;
}

/* Ratio as marked, impedance as stated, hardly any exciting current. */
static inline void
plain(Document *document, const char *id, const char *impedance, const char *x_over_r)
{
  bench_set(document, id, "impedance", impedance);
  bench_set(document, id, "x-over-r", x_over_r);
  bench_set(document, id, "no-load-rise", "0 %");
  bench_set(document, id, "no-load-current", "0.01 %");
}

static inline Document *
one_phase(const char *line)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {line, NULL, NULL, line, "0 V", NULL};
  bench_supply(document, "S1", "1-phase-2-wire", readings);
  bench_add(document, "GRD1", "ground", NULL);
  return document;
}

static inline void
heater(Document *document, const char *id, const char *rated, const char *watts, const char *a,
       const char *b)
{
  g_autofree char *one = g_strconcat(id, ".1", NULL), *two = g_strconcat(id, ".2", NULL);
  bench_add(document, id, "heater", "rated-volts", rated, "power", watts, NULL);
  bench_land(document, a, one);
  bench_land(document, b, two);
}

/* |1 / (1 + z)|: rated load at power factor 1 behind a per-unit impedance. */
static inline double
behind(double impedance, double x_over_r)
{
  double r = impedance / hypot(1, x_over_r);
  return 1 / hypot(1 + r, x_over_r * r);
}
