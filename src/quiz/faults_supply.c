/* SPDX-License-Identifier: MIT */
/* Faults of the supply: what the meter was misread as, and what really is wrong upstream. */
#include "quiz/site.h"

#include "tables/nominal_systems.h"

#include <math.h>

static const CircuitSupply *
supply_of(const FaultSite *site)
{
  const GArray *supplies = site->scene->sound->circuit->supplies;
  for (guint i = 0; i < supplies->len; i++)
    if (circuit_item(supplies, CircuitSupply, i)->device == site->device_index)
      return circuit_item(supplies, CircuitSupply, i);
  return NULL;
}

static bool
measured_supply(const FaultSite *site)
{
  const CircuitSupply *supply = supply_of(site);
  return supply != NULL && supply->system.readings_given > 0 && supply->system.nominal_line > 0;
}

static double
reading(const FaultSite *site, guint row)
{
  const PartKind *kind = site->device->kind;
  int field = field_index(kind->row_fields, kind->n_row_fields, site->fault->field);
  return field < 0 ? (double)NAN : device_row_number(site->device, row, (guint)field, NAN);
}

/* Line to line, by the order of the rows: three for three phases, one for one. */
static guint
line_rows(const FaultSite *site)
{
  const CircuitSupply *supply = supply_of(site);
  return supply == NULL ? 0 : supply->line_nodes[2] != SITE_NONE ? 3 : 1;
}

/* Enough others were read to show that one is wrong; with one phase the others may be stray. */
static bool
reading_can_be_wrong(const FaultSite *site)
{
  guint lines = line_rows(site), given = 0;
  if (!measured_supply(site) || lines != 3 || site->second >= lines)
    return false;
  for (guint row = 0; row < device_row_count(site->device); row++)
    given += supply_reading_given(reading(site, row));
  return given >= 3;
}

/* One of three readings between lines, with nothing to ground that would contradict it. */
static bool
line_reading(const FaultSite *site)
{
  return measured_supply(site) && line_rows(site) == 3 && site->second < 3;
}

/* Six readings of a system that is grounded in its middle. */
static bool
full_wye(const FaultSite *site)
{
  const CircuitSupply *supply = supply_of(site);
  return supply != NULL && supply->system.class_ == SYSTEM_WYE_GROUNDED &&
         supply->system.readings_given == 6;
}

/* Nothing lies on its neutral, so that the fourth wire may be left out; at volts at which deltas
 * are as common. */
static bool
wye_without_neutral(const FaultSite *site)
{
  const CircuitSupply *supply = supply_of(site);
  return full_wye(site) && supply->neutral_node != SITE_NONE &&
         supply->system.nominal_line >= 480 &&
         site->scene->survey->landings[supply->neutral_node] == 0;
}

/* Still the same system by name, and outside what is utilized. */
static bool
shift_is_off_nominal(const FaultSite *site)
{
  const CircuitSupply *supply = supply_of(site);
  if (!measured_supply(site))
    return false;
  double nominal = supply->system.nominal_line;
  double moved = reading(site, 0);
  if (isnan(moved))
    for (guint row = 0; row < device_row_count(site->device) && isnan(moved); row++)
      moved = reading(site, row);
  /* A supply of one line and its neutral is named by the volts to ground. */
  return fabs(moved / nominal - 1) < 0.1 &&
         nominal_volts_nearest(moved * site->fault->factor) == nominal;
}

const Fault faults_supply[] = {
    {.name = "reading-misread",
     .title = N_("One supply reading was written down three times as high"),
     .symptom = N_("The readings on the sheet do not look like any supply."),
     .check = "readings-impossible",
     .also = "load-not-fed secondary-not-grounded pole-not-opened primary-unprotected",
     .why = N_("without a supply that can exist nothing on the sheet has volts"),
     .topic = FAULT_SUPPLY,
     .level = FAULT_EASY,
     .edit = FAULT_ROW_SCALE,
     .where = reading_can_be_wrong,
     .field = "value",
     .factor = 3},
    {.name = "supply-unmeasured",
     .title = N_("The supply was never measured"),
     .symptom = N_("The sheet shows a supply without volts."),
     .check = "supply-not-measured",
     .also = "load-not-fed secondary-not-grounded pole-not-opened primary-unprotected",
     .why = N_("without readings nothing on the sheet has volts"),
     .topic = FAULT_SUPPLY,
     .level = FAULT_EASY,
     .edit = FAULT_ROWS_CLEAR,
     .where = measured_supply,
     .field = "value"},
    {.name = "fourth-wire-unseen",
     .title =
         N_("The supply is drawn with three wires; readings alone cannot tell a wye from a delta"),
     .symptom = N_("The drawing and the panel do not agree on the number of wires."),
     .check = "readings-ambiguous",
     .topic = FAULT_SUPPLY,
     .level = FAULT_HARD,
     .edit = FAULT_FIELD,
     .where = wye_without_neutral,
     .field = "lines",
     .value = "3-phase-3-wire"},
    {.name = "line-lost-upstream",
     .title = N_("One line of the supply is lost and hangs on another"),
     .symptom = N_("Motors hum and do not start; some circuits are dead."),
     .check = "phase-missing",
     .also = "single-phased",
     .why = N_("what stands between the two tied lines has no volts"),
     .topic = FAULT_SUPPLY,
     .level = FAULT_MEDIUM,
     .edit = FAULT_LINE_TIED,
     .where = full_wye,
     .field = "value"},
    {.name = "supply-unbalanced",
     .title = N_("One line-to-line reading stands 8 % high"),
     .symptom = N_("Motors run hot although the load is as always."),
     .check = "supply-unbalance",
     .also = "tap-too-low device-voltage-exceeded load-overvoltage",
     .why = N_("the mean rises with it, and what hangs on that pair of lines gets its volts"),
     .topic = FAULT_SUPPLY,
     .level = FAULT_MEDIUM,
     .edit = FAULT_ROW_SCALE,
     .where = line_reading,
     .field = "value",
     .factor = 1.08},
    {.name = "supply-low",
     .title = N_("The supply stands 13 % low"),
     .symptom = N_("Relays chatter or drop out, lamps are dim."),
     .check = "supply-off-nominal",
     .also = "tap-too-high load-undervoltage coil-will-not-pull-in",
     .why = N_("every transformer passes the low volts on"),
     .topic = FAULT_SUPPLY,
     .level = FAULT_MEDIUM,
     .edit = FAULT_ROWS_SCALE,
     .where = shift_is_off_nominal,
     .field = "value",
     .factor = 0.87},
    {.name = "supply-high",
     .title = N_("The supply stands 9 % high"),
     .symptom = N_("Lamps burn out often; transformers hum and run hot."),
     .check = "supply-off-nominal",
     .also = "tap-too-low device-voltage-exceeded load-overvoltage",
     .why = N_("every transformer passes the high volts on, and plain resistance then draws "
               "more"),
     .topic = FAULT_SUPPLY,
     .level = FAULT_MEDIUM,
     .edit = FAULT_ROWS_SCALE,
     .where = shift_is_off_nominal,
     .field = "value",
     .factor = 1.09},
    {0},
};
