/* SPDX-License-Identifier: MIT */
/* Conductor resistance and reactance.
 *
 * Source: NFPA 70 Chapter 9 Table 8 (direct-current resistance at 75 C, stranded, uncoated copper)
 * and Table 9 (reactance in PVC conduit, 60 Hz). Other temperatures by note 2 of Table 8
 * (0.00323 per kelvin for copper, 0.00330 for aluminium). Sizes between or beyond the rows by
 * area from the neighbouring row's resistivity. */
#pragma once

#include "base/quantity.h"

G_BEGIN_DECLS

typedef enum { METAL_COPPER, METAL_ALUMINIUM } Metal;

/* Ohms for each metre of one conductor at a conductor temperature. NAN when size is no conductor
 * size. */
double conductor_ohms_per_metre(Quantity size, Metal metal, double celsius);
/* Inductive reactance, ohms for each metre at frequency (Hz). Sizes without a published row
 * (18 and 16 AWG) take the smallest row's. */
double conductor_reactance_per_metre(Quantity size, double frequency);

G_END_DECLS
