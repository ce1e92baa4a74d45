/* SPDX-License-Identifier: MIT */
/* Stray capacitance of conductors; private to the circuit layer. */
#pragma once

#include "circuit/circuit.h"

G_BEGIN_DECLS

/* Each conductor of known length to the grounded metal round it, and between conductors that land
 * on the same device: they arrive in one raceway or cable and lie beside each other for the
 * shorter one's length. Half of what lies between two conductors counts at each end they share.
 * Only a high-impedance meter notices any of it. */
void strays_of_conductors(Circuit *circuit);

G_END_DECLS
