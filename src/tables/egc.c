/* SPDX-License-Identifier: MIT */
#include "tables/egc.h"

#include <math.h>

#define AWG(n)                                                                                     \
  {                                                                                                \
    .value = (n), .unit = UNIT_AWG                                                                 \
  }
#define KCMIL(n)                                                                                   \
  {                                                                                                \
    .value = (n), .unit = UNIT_KCMIL                                                               \
  }

/* Copper READ (three reprints, identical); aluminium from MEMORY. */
/* clang-format off: one row a line */
static const GroundingRow rows[] = {
    {15, AWG(14), AWG(12)},          {20, AWG(12), AWG(10)},
    {60, AWG(10), AWG(8)},           {100, AWG(8), AWG(6)},
    {200, AWG(6), AWG(4)},           {300, AWG(4), AWG(2)},
    {400, AWG(3), AWG(1)},           {500, AWG(2), AWG(0)},
    {600, AWG(1), AWG(-1)},          {800, AWG(0), AWG(-2)},
    {1000, AWG(-1), AWG(-3)},        {1200, AWG(-2), KCMIL(250)},
    {1600, AWG(-3), KCMIL(350)},     {2000, KCMIL(250), KCMIL(400)},
    {2500, KCMIL(350), KCMIL(600)},  {3000, KCMIL(400), KCMIL(600)},
    {4000, KCMIL(500), KCMIL(750)},  {5000, KCMIL(700), KCMIL(1250)},
    {6000, KCMIL(800), KCMIL(1250)},
};
/* clang-format on */

const GroundingRow *
egc_rows(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

bool
egc_size(double device_amps, Metal metal, Quantity *size)
{
  if (!(device_amps > 0))
    return false;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (device_amps <= rows[i].device_amps) {
      *size = metal == METAL_ALUMINIUM ? rows[i].aluminium : rows[i].copper;
      return true;
    }
  return false;
}

double
egc_upsized_area(Quantity table_size, Quantity needed, Quantity used)
{
  double ratio = quantity_in(used, UNIT_SQUARE_MM) / quantity_in(needed, UNIT_SQUARE_MM);
  return quantity_in(table_size, UNIT_SQUARE_MM) * fmax(ratio, 1.0);
}
