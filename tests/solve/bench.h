/* SPDX-License-Identifier: MIT */
/* Documents of real parts, put together in a few lines for the tests of readings and meter. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

/* Adds a device; then pairs of field and text, NULL ends. */
void bench_add(Document *document, const char *id, const char *kind, ...) G_GNUC_NULL_TERMINATED;
void bench_set(Document *document, const char *id, const char *field, const char *text);
/* A measured supply; six readings as text ("480 V") or NULL, as in SupplyReadings. */
void bench_supply(Document *document, const char *id, const char *lines,
                  const char *const readings[6]);
/* A transformer with "H1 primary 0 V", ... leads, NULL ends; fields by bench_set. */
void bench_transformer(Document *document, const char *id, const char *rating,
                       ...) G_GNUC_NULL_TERMINATED;
void bench_land(Document *document, const char *from, const char *to);
/* Same with a size and a length. */
void bench_land_sized(Document *document, const char *from, const char *to, const char *gauge,
                      const char *length);
void bench_break(Document *document, const char *from); /* the conductor that starts there */

/* Node of "T1.H2" or "GND". */
guint bench_node(const Circuit *circuit, const char *name);
/* Live volts between two points; fails the test when they do not stand to each other. */
double bench_volts(const Solution *solution, const char *a, const char *b);
void bench_near(double value, double expected, double tolerance);

G_END_DECLS
