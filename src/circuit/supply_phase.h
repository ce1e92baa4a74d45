/* SPDX-License-Identifier: MIT */
/* Deriving one and three phases; private to the circuit layer. Readings arrive cleaned: given
 * ones finite and >= 0, missing ones NAN. */
#pragma once

#include "circuit/supply.h"

G_BEGIN_DECLS

void supply_one_phase(SupplySystem *system, const SupplyReadings *readings);
void supply_three_phase(SupplySystem *system, const SupplyReadings *readings);

G_END_DECLS
