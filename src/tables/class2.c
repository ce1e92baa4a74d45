/* SPDX-License-Identifier: MIT */
#include "tables/class2.h"

/* READ: 30 V, 100 VA, 8 A, 5 mA and the 350 VA at 15 V; every other figure from MEMORY. */
/* clang-format off: one row a line */
static const Class2Row rows[] = {
    {true, 0, 20, 0, 8.0, 0, -5.0, 5.0},         {true, 20, 30, 0, 8.0, 0, 100, -100},
    {true, 30, 150, 0, 0.005, 0, -0.005, 0.005}, {false, 0, 15, 350, -1000, 5.0, -5.0, 5.0},
    {false, 15, 20, 250, -1000, 5.0, -5.0, 5.0}, {false, 20, 30, 250, -1000, -100, 100, -100},
};
/* clang-format on */

const Class2Row *
class2_rows(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

bool
class2_limit(bool inherently_limited, double volts, Class2Limit *limit)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    const Class2Row *row = &rows[i];
    if (row->inherently_limited != inherently_limited || !(volts > row->over_volts) ||
        volts > row->to_volts)
      continue;
    *limit = (Class2Limit){
        .max_va = row->max_va,
        .max_amps = row->max_amps < 0 ? -row->max_amps / volts : row->max_amps,
        .max_device_amps =
            row->max_device_amps < 0 ? -row->max_device_amps / volts : row->max_device_amps,
        .nameplate_va = row->nameplate_va < 0 ? -row->nameplate_va * volts : row->nameplate_va,
        .nameplate_amps =
            row->nameplate_amps < 0 ? -row->nameplate_amps / volts : row->nameplate_amps,
    };
    return true;
  }
  return false;
}
