/* SPDX-License-Identifier: MIT */
#include "tables/ampacity.h"

#include <math.h>

#define AWG(n)                                                                                     \
  {                                                                                                \
    .value = (n), .unit = UNIT_AWG                                                                 \
  }
#define KCMIL(n)                                                                                   \
  {                                                                                                \
    .value = (n), .unit = UNIT_KCMIL                                                               \
  }

/* Copper 14 AWG..4/0 READ (two independent reprints headed 2023, identical); 18 AWG READ (a
 * quotation of the table), 16 AWG, sizes above 4/0 and every aluminium figure from MEMORY. */
/* clang-format off: one row a line */
static const AmpacityRow rows[] = {
    {AWG(18), {0, 0, 14}, {0, 0, 0}},
    {AWG(16), {0, 0, 18}, {0, 0, 0}},
    {AWG(14), {15, 20, 25}, {0, 0, 0}},
    {AWG(12), {20, 25, 30}, {15, 20, 25}},
    {AWG(10), {30, 35, 40}, {25, 30, 35}},
    {AWG(8), {40, 50, 55}, {35, 40, 45}},
    {AWG(6), {55, 65, 75}, {40, 50, 55}},
    {AWG(4), {70, 85, 95}, {55, 65, 75}},
    {AWG(3), {85, 100, 115}, {65, 75, 85}},
    {AWG(2), {95, 115, 130}, {75, 90, 100}},
    {AWG(1), {110, 130, 145}, {85, 100, 115}},
    {AWG(0), {125, 150, 170}, {100, 120, 135}},
    {AWG(-1), {145, 175, 195}, {115, 135, 150}},
    {AWG(-2), {165, 200, 225}, {130, 155, 175}},
    {AWG(-3), {195, 230, 260}, {150, 180, 205}},
    {KCMIL(250), {215, 255, 290}, {170, 205, 230}},
    {KCMIL(300), {240, 285, 320}, {195, 230, 260}},
    {KCMIL(350), {260, 310, 350}, {210, 250, 280}},
    {KCMIL(400), {280, 335, 380}, {225, 270, 305}},
    {KCMIL(500), {320, 380, 430}, {260, 310, 350}},
};

/* Table 310.15(B)(1), upper end of each ambient range in C. READ (two reprints). */
static const struct {
  double ambient, factor[3];
} ambient_rows[] = {
    {10, {1.29, 1.20, 1.15}}, {15, {1.22, 1.15, 1.12}}, {20, {1.15, 1.11, 1.08}},
    {25, {1.08, 1.05, 1.04}}, {30, {1.00, 1.00, 1.00}}, {35, {0.91, 0.94, 0.96}},
    {40, {0.82, 0.88, 0.91}}, {45, {0.71, 0.82, 0.87}}, {50, {0.58, 0.75, 0.82}},
    {55, {0.41, 0.67, 0.76}}, {60, {0, 0.58, 0.71}},    {65, {0, 0.47, 0.65}},
    {70, {0, 0.33, 0.58}},    {75, {0, 0, 0.50}},       {80, {0, 0, 0.41}},
    {85, {0, 0, 0.29}},
};

/* Table 310.15(C)(1), upper end of each range of conductors. READ. */
static const struct {
  guint conductors;
  double factor;
} bundle_rows[] = {
    {3, 1.00}, {6, 0.80}, {9, 0.70}, {20, 0.50}, {30, 0.45}, {40, 0.40}, {G_MAXUINT, 0.35},
};

/* Table 402.5: 18 and 16 AWG READ, the rest from MEMORY. 240.4(D), copper: READ; aluminium 12 AWG
 * 15 A and 10 AWG 25 A from MEMORY. */
static const struct {
  int gauge;
  double fixture, device_copper, device_aluminium;
} small_rows[] = {
    {18, 6, 7, 0}, {16, 8, 10, 0}, {14, 17, 15, 0}, {12, 23, 20, 15}, {10, 28, 30, 25},
};
/* clang-format on */

const AmpacityRow *
ampacity_rows(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

static int
column(double celsius)
{
  if (celsius >= 90)
    return 2;
  if (celsius >= 75)
    return 1;
  return celsius >= 60 ? 0 : -1;
}

static double
area_of(Quantity size)
{
  return unit_same_dimension(size.unit, UNIT_AWG) ? quantity_in(size, UNIT_SQUARE_MM) : (double)NAN;
}

double
ampacity_fixture_wire(Quantity size)
{
  if (size.unit == UNIT_AWG)
    for (gsize i = 0; i < G_N_ELEMENTS(small_rows); i++)
      if (fabs(quantity_value(size) - small_rows[i].gauge) < 1e-9)
        return small_rows[i].fixture;
  return NAN;
}

double
ampacity_amps(Quantity size, Metal metal, double celsius)
{
  int c = column(celsius);
  double area = area_of(size);
  if (c < 0 || !(area > 0))
    return NAN;
  double amps = NAN;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    /* A thousandth covers the rounding of metric and circular-mil areas. */
    if (area_of(rows[i].size) > area * 1.001)
      break;
    double here = metal == METAL_ALUMINIUM ? rows[i].aluminium[c] : rows[i].copper[c];
    if (here <= 0 && metal == METAL_COPPER)
      here = ampacity_fixture_wire(rows[i].size);
    if (here > 0)
      amps = here;
  }
  return amps;
}

double
ampacity_ambient_factor(double ambient, double celsius)
{
  int c = column(celsius);
  if (c < 0)
    return 0;
  for (gsize i = 0; i < G_N_ELEMENTS(ambient_rows); i++)
    if (ambient <= ambient_rows[i].ambient)
      return ambient_rows[i].factor[c];
  return 0;
}

double
ampacity_bundle_factor(guint conductors)
{
  gsize i = 0;
  while (conductors > bundle_rows[i].conductors)
    i++;
  return bundle_rows[i].factor;
}

double
ampacity_small_conductor_limit(Quantity size, Metal metal)
{
  double area = area_of(size);
  const gsize last = G_N_ELEMENTS(small_rows) - 1;
  Quantity largest = AWG(small_rows[last].gauge);
  if (!(area > 0) || area > area_of(largest) * 1.001)
    return INFINITY;
  double limit = INFINITY;
  /* A size between two rows takes the smaller row; one below the table the smallest row. */
  for (gsize i = 0; i <= last; i++) {
    Quantity row = AWG(small_rows[i].gauge);
    double here =
        metal == METAL_ALUMINIUM ? small_rows[i].device_aluminium : small_rows[i].device_copper;
    if (here > 0 && (isinf(limit) || area_of(row) <= area * 1.001))
      limit = here;
  }
  return limit;
}

double
ampacity_terminal_celsius(double amps)
{
  return amps <= 100 ? 60 : 75;
}

bool
ampacity_size_for(double amps, double device_amps, Metal metal, double celsius, Quantity *size)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    double here = ampacity_amps(rows[i].size, metal, celsius);
    if (!(here >= amps) || device_amps > ampacity_small_conductor_limit(rows[i].size, metal))
      continue;
    *size = rows[i].size;
    return true;
  }
  return false;
}
