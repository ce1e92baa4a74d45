/* SPDX-License-Identifier: MIT */
/* Ampacity of conductors and the limits that go with it.
 *
 * Source: NFPA 70 Table 310.16 (310.15(B)(16) in 2011..2017), Table 310.15(B)(1) for ambient
 * temperature, Table 310.15(C)(1) for conductors bundled, Table 402.5 for fixture wire, 240.4(D)
 * for small conductors; 2020 and 2023. Local code and the equipment's marking go first. */
#pragma once

#include "base/quantity.h"
#include "tables/conductor.h"

G_BEGIN_DECLS

/* A row of Table 310.16, amperes by insulation temperature; 0 where the table is empty. */
typedef struct {
  Quantity size;
  double copper[3], aluminium[3]; /* 60, 75 and 90 C */
} AmpacityRow;
const AmpacityRow *ampacity_rows(guint *n); /* smallest first */

/* Amperes of a size at an insulation (or terminal) temperature: the column not above celsius.
 * 18 and 16 AWG copper have no 60 and 75 C figures: they take Table 402.5 there. A size between
 * two rows takes the smaller row. NAN: below 18 AWG, no conductor size, or below 60 C. */
double ampacity_amps(Quantity size, Metal metal, double celsius);
/* Table 402.5, copper fixture wire; NAN without a row. */
double ampacity_fixture_wire(Quantity size);
/* Table 310.15(B)(1): factor on a 30 C base, 0 where the insulation may not be used at all. */
double ampacity_ambient_factor(double ambient, double celsius);
/* Table 310.15(C)(1): factor for conductors that carry current in one raceway or cable. */
double ampacity_bundle_factor(guint conductors);
/* 240.4(D): largest device on a small conductor, INFINITY where the clause sets none. */
double ampacity_small_conductor_limit(Quantity size, Metal metal);
/* 110.14(C): temperature column that terminals allow by the circuit's amperes. */
double ampacity_terminal_celsius(double amps);
/* Smallest size that carries amps and may stand behind a device of device_amps (0: none). False
 * when none of the table does. */
bool ampacity_size_for(double amps, double device_amps, Metal metal, double celsius,
                       Quantity *size);

G_END_DECLS
