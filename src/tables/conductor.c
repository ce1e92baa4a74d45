/* SPDX-License-Identifier: MIT */
#include "tables/conductor.h"

#include <math.h>

/* One row a size. dc75: direct-current ohms per 1000 ft at 75 C, stranded, uncoated; reactance:
 * ohms to neutral per 1000 ft in PVC conduit at 60 Hz, 0 where Table 9 has no row.
 *
 * NFPA 70 Chapter 9 Table 8 and Table 9, unchanged 2008..2023. Copper resistance and reactance
 * READ (ohm/kFT columns of open reprints of both tables); areas in circular mils READ; the
 * aluminium column is from MEMORY. 18 and 16 AWG have no Table 9 row. */
typedef struct {
  int gauge; /* 1/0 is 0, 4/0 is -3 */
  double circular_mils;
  double copper_dc75;
  double aluminium_dc75;
  double reactance;
} ConductorRow;

/* clang-format off: one row a line */
static const ConductorRow rows[] = {
    {18, 1620, 7.95, 13.1, 0},          {16, 2580, 4.99, 8.21, 0},
    {14, 4110, 3.14, 5.17, 0.058},      {12, 6530, 1.98, 3.25, 0.054},
    {10, 10380, 1.24, 2.04, 0.050},     {8, 16510, 0.778, 1.28, 0.052},
    {6, 26240, 0.491, 0.808, 0.051},    {4, 41740, 0.308, 0.508, 0.048},
    {3, 52620, 0.245, 0.403, 0.047},    {2, 66360, 0.194, 0.319, 0.045},
    {1, 83690, 0.154, 0.253, 0.046},    {0, 105600, 0.122, 0.201, 0.044},
    {-1, 133100, 0.0967, 0.159, 0.043}, {-2, 167800, 0.0766, 0.126, 0.042},
    {-3, 211600, 0.0608, 0.100, 0.041},
};
/* clang-format on */

#define FEET_PER_METRE (1.0 / 0.3048)
#define SQUARE_MM_PER_CIRCULAR_MIL 5.067074790975e-4

/* Circular mils of a size; NAN when it is none. Sizes with a row take the row's printed area, so
 * that 4/0 AWG and 211.6 kcmil are one size. */
static double
circular_mils(Quantity size)
{
  if (!unit_same_dimension(size.unit, UNIT_AWG))
    return NAN;
  if (size.unit == UNIT_AWG)
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
      if (fabs(quantity_value(size) - rows[i].gauge) < 1e-9)
        return rows[i].circular_mils;
  double area = quantity_in(size, UNIT_SQUARE_MM) / SQUARE_MM_PER_CIRCULAR_MIL;
  return isfinite(area) && area > 0 ? area : (double)NAN;
}

/* The row nearest in area, by ratio. */
static const ConductorRow *
nearest_row(double area)
{
  const ConductorRow *best = &rows[0];
  for (gsize i = 1; i < G_N_ELEMENTS(rows); i++)
    if (fabs(log(area / rows[i].circular_mils)) < fabs(log(area / best->circular_mils)))
      best = &rows[i];
  return best;
}

double
conductor_ohms_per_metre(Quantity size, Metal metal, double celsius)
{
  double area = circular_mils(size);
  if (isnan(area))
    return NAN;
  const ConductorRow *row = nearest_row(area);
  double at75 = metal == METAL_ALUMINIUM ? row->aluminium_dc75 : row->copper_dc75;
  /* Exact at the row; elsewhere the row's ohm-circular-mils over the size's own area. */
  at75 *= row->circular_mils / area;
  double coefficient = metal == METAL_ALUMINIUM ? 0.00330 : 0.00323; /* Table 8 note 2 */
  /* The straight line would reach zero ohms near -235 C; no conductor is asked for there. */
  double factor = 1.0 + coefficient * (CLAMP(celsius, -60.0, 400.0) - 75.0);
  return at75 * factor / 1000.0 * FEET_PER_METRE;
}

double
conductor_reactance_per_metre(Quantity size, double frequency)
{
  double area = circular_mils(size);
  if (isnan(area))
    return NAN;
  const ConductorRow *row = nearest_row(area);
  if (row->reactance <= 0)
    row = &rows[2]; /* 14 AWG, the smallest with a Table 9 row */
  return row->reactance / 1000.0 * FEET_PER_METRE * (frequency / 60.0);
}
