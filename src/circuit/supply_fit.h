/* SPDX-License-Identifier: MIT */
/* Geometry of supply readings: triangle of the lines, point of earth, patterns of grounding.
 * Private to the circuit layer. Volts in, volts out. */
#pragma once

#include "circuit/supply.h"

G_BEGIN_DECLS

#define SUPPLY_PATTERN_TOLERANCE 0.08 /* of mean line-to-line volts */
#define SUPPLY_GROUND_TOLERANCE 0.06
#define SUPPLY_TRIANGLE_TOLERANCE 0.02 /* meter error allowed before a triangle is impossible */

/* Volts of each line to earth over line-to-line volts. */
typedef struct {
  SupplyClass class_;
  int special; /* grounded corner or high leg; -1 */
  double ground[3];
} SupplyPattern;
#define SUPPLY_PATTERN_COUNT 7
extern const SupplyPattern supply_patterns[SUPPLY_PATTERN_COUNT];

/* Root-mean-square distance of the given readings from the pattern, over line_volts. Only lines
 * whose bit is set in mask count; NAN when none of them was read. */
double supply_pattern_distance(const SupplyPattern *pattern, const double ground[3],
                               double line_volts, guint mask);
/* Bit set of the patterns within tolerance. */
guint supply_pattern_matches(const double ground[3], double line_volts, guint mask);

/* Corners of the triangle; V12 at 30 degrees, or -30 when reversed. */
void supply_triangle(const double line[3], bool reverse, double complex corners[3]);

/* The point whose distances to the corners come nearest to the three given ones, by damped
 * Gauss-Newton from seven starts. Least squares of (|P - G| - d) / max(d, 5 % of line_volts). */
double complex supply_ground_point(const double complex corners[3], const double ground[3],
                                   double line_volts);
/* Rms misfit of the readings that were given, over line_volts. */
double supply_ground_misfit(const double complex corners[3], double complex earth,
                            const double ground[3], double line_volts);

G_END_DECLS
