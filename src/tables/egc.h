/* SPDX-License-Identifier: MIT */
/* Smallest equipment grounding conductor by the rating of the overcurrent device ahead.
 *
 * Source: NFPA 70 Table 250.122, 2020 and 2023; (A) never larger than the circuit conductors;
 * (B) larger in proportion when those are larger than needed. */
#pragma once

#include "base/quantity.h"
#include "tables/conductor.h"

G_BEGIN_DECLS

typedef struct {
  double device_amps; /* device not over */
  Quantity copper, aluminium;
} GroundingRow;
const GroundingRow *egc_rows(guint *n);

/* False above 6000 A or for a rating that is none. */
bool egc_size(double device_amps, Metal metal, Quantity *size);
/* 250.122(B): the area in mm2 when the ungrounded conductors were raised from needed to used. */
double egc_upsized_area(Quantity table_size, Quantity needed, Quantity used);

G_END_DECLS
