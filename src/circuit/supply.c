/* SPDX-License-Identifier: MIT */
#include "circuit/supply_phase.h"

#include "base/language.h"
#include "circuit/supply_text.h"

#include <math.h>

bool
supply_reading_given(double volts)
{
  return isfinite(volts) && volts > -1;
}

bool
supply_is_known(const SupplySystem *system)
{
  return system->class_ != SYSTEM_UNKNOWN && system->class_ != SYSTEM_IMPOSSIBLE;
}

double
supply_nema_unbalance(double ab, double bc, double ca)
{
  double mean = (ab + bc + ca) / 3;
  if (!(mean > 0))
    return NAN;
  return MAX(fabs(ab - mean), MAX(fabs(bc - mean), fabs(ca - mean))) / mean;
}

static double
clean(double volts)
{
  return supply_reading_given(volts) ? MAX(volts, 0) : (double)NAN;
}

/* A supply that was switched off tells nothing about itself. */
static bool
all_zero(const SupplyReadings *readings)
{
  for (int i = 0; i < 3; i++)
    if (readings->line[i] >= 1 || readings->ground[i] >= 1)
      return false;
  return true;
}

SupplySystem
supply_derive(const SupplyReadings *given)
{
  SupplySystem system = {.class_ = SYSTEM_UNKNOWN,
                         .special_line = -1,
                         .lost_line = -1,
                         .unbalance = NAN,
                         .negative_sequence = NAN};
  SupplyReadings readings = *given;
  int lines = readings.phases == 1 ? 1 : 3, grounds = readings.phases == 1 ? 2 : 3;
  for (int i = 0; i < 3; i++) {
    readings.line[i] = i < lines ? clean(given->line[i]) : (double)NAN;
    readings.ground[i] = i < grounds ? clean(given->ground[i]) : (double)NAN;
    system.readings_given += (guint)supply_reading_given(readings.line[i]);
    system.readings_given += (guint)supply_reading_given(readings.ground[i]);
  }
  supply_name(&system, 0);
  if (system.readings_given == 0) {
    supply_set_ambiguity(&system,
                         _("No reading yet. Measure line to line, then each line to ground."));
    return system;
  }
  if (all_zero(&readings)) {
    supply_set_ambiguity(&system,
                         _("Every reading is 0 V: the supply was off, or the meter's leads "
                           "were open. Prove the meter on a known source and measure again."));
    return system;
  }
  if (readings.phases == 1)
    supply_one_phase(&system, &readings);
  else
    supply_three_phase(&system, &readings);
  return system;
}
