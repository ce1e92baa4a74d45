/* SPDX-License-Identifier: MIT */
/* The same circuit handed to an independent general-purpose simulator library, as a person would
 * write it down: resistors, inductors and capacitors in series, 0 V sources for closed joints,
 * controlled sources for windings and sequence impedances. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

/* Solves a linear circuit (loads count as impedances, cores do not saturate) in the states the
 * solution found for coils and motors. node_volts: n_nodes, to ground; where an island floats, to
 * its lowest node. source_amps: out of a. False with a message on stderr on failure. */
bool spice_solve(const Circuit *circuit, const Solution *solution, Phasor *node_volts,
                 Phasor *source_amps);
/* Seconds the last call spent parsing and running. */
double spice_seconds(void);

G_END_DECLS
