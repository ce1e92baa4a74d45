/* SPDX-License-Identifier: MIT */
/* Common supply systems and the volts a meter shows on each pair of conductors.
 *
 * Source: ANSI C84.1, NFPA 70 (220.5, 250.20, 250.26, 110.15) for North America; IEC 60038 for
 * 400Y/230. The exact volts follow from the geometry of the system. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef enum {
  GROUNDING_NEUTRAL,  /* solidly grounded neutral */
  GROUNDING_MIDPOINT, /* midpoint of one delta winding */
  GROUNDING_CORNER,   /* one phase */
  GROUNDING_ONE_SIDE, /* one side of a control secondary */
  GROUNDING_NONE
} SystemGrounding;

typedef struct {
  const char *system; /* "480Y/277" */
  int phases, wires;
  SystemGrounding grounding;
  const char *pair;      /* "A-B", "A-N", "A-G", "L1-L2", "X1-X2" */
  double nominal, exact; /* volts; -1: not fixed (an ungrounded system to ground) */
} NominalPair;
const NominalPair *nominal_pairs(guint *n);

/* NULL: no such system or pair. */
const NominalPair *nominal_pair_find(const char *system, const char *pair);
/* Largest fixed voltage to ground of a system; -1 when it has none (ungrounded). */
double nominal_system_to_ground(const char *system);
/* The standard nominal line-to-line (or one-phase) volts nearest to a measured figure, by ratio;
 * 0 when none is within 12 %. */
double nominal_volts_near(double volts);
/* The nearest however far; 0 when volts is no voltage. */
double nominal_volts_nearest(double volts);

G_END_DECLS
