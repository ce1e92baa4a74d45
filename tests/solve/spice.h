/* SPDX-License-Identifier: MIT */
/* The same circuit handed to an independent general-purpose simulator library, as a person would
 * write it down: resistors, inductors and capacitors in series, 0 V sources for closed joints,
 * controlled sources for windings and sequence impedances. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct {
  Phasor *volts;        /* n_nodes: to ground; where an island floats, to its lowest node */
  Phasor *source_amps;  /* out of a */
  Phasor *segment_amps; /* into a */
  Phasor *join_amps;    /* a to b; only where join_known */
  bool *join_known;     /* closed, and no loop of joints */
} SpiceResult;
void spice_result_init(SpiceResult *result, const Circuit *circuit);
void spice_result_clear(SpiceResult *result);

/* Solves a linear circuit (loads count as impedances, cores do not saturate) in the states the
 * solution found for coils and motors. False on failure. */
bool spice_solve(const Circuit *circuit, const Solution *solution, SpiceResult *result);
/* Seconds the last call spent parsing and running. */
double spice_seconds(void);

G_END_DECLS
