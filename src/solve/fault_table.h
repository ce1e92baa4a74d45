/* SPDX-License-Identifier: MIT */
/* Available fault current at every live terminal of a sheet: bolted shorts, one at a time, through
 * the impedance of supply, transformers and conductors. What fault.h assumes holds here too; the
 * supply's zero-sequence impedance is taken as equal to its positive one, so figures to ground at
 * the supply are approximate. A transformer counts by its nameplate impedance, without the
 * tolerance that may make the true current a tenth higher. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct {
  guint node;
  char *name;       /* "T1.X2" */
  char *across;     /* the terminal of the same device that line_line is to, "T1.X1"; NULL: none */
  bool secondary;   /* no supply conducts to it: a transformer alone feeds it */
  double volts;     /* between the two points of line_line, or to ground, before the fault */
  double line_line; /* ampere to another terminal of the device, the largest; NAN: none */
  double three_phase; /* largest line current with three lines together; NAN: not three lines */
  double line_ground; /* NAN: not grounded */
  double x_over_r;    /* of line_line, or of line_ground; NAN: unlimited or without resistance */
} FaultRow;

/* Array of FaultRow in device order with a clear function: terminals that are live and stand away
 * from ground. solution: of the same circuit, for the state of its contacts. INFINITY where nothing
 * limits the current: the supply's own fault current is not stated. One solution a pair of nets.
 * NULL with error when the circuit cannot be solved. */
GArray *fault_table_new(const Circuit *circuit, const Solution *solution, GError **error);

G_END_DECLS
