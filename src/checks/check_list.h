/* SPDX-License-Identifier: MIT */
/* The functions behind checks_table, by topic file. Private to the checks. */
#pragma once

#include "checks/check.h"

G_BEGIN_DECLS

#define CHECK_RUN(name) void check_##name(const Check *check, CheckContext *context);
/* check_supply.c */
CHECK_RUN(readings_impossible)
CHECK_RUN(readings_ambiguous)
CHECK_RUN(supply_not_measured)
CHECK_RUN(supply_unbalance)
CHECK_RUN(supply_off_nominal)
CHECK_RUN(phase_missing)
/* check_tap.c */
CHECK_RUN(tap_too_low)
CHECK_RUN(tap_too_high)
CHECK_RUN(better_lead)
/* check_leads.c */
CHECK_RUN(primary_lead_missing)
CHECK_RUN(fed_from_secondary)
CHECK_RUN(leads_joined)
CHECK_RUN(lead_not_capped)
CHECK_RUN(caps_joined)
CHECK_RUN(secondaries_opposed)
/* check_transformer.c */
CHECK_RUN(transformer_overloaded)
CHECK_RUN(winding_overloaded)
/* check_class2.c */
CHECK_RUN(class2_limit)
CHECK_RUN(class2_mixed)
/* check_load.c */
CHECK_RUN(load_overvoltage)
CHECK_RUN(load_undervoltage)
CHECK_RUN(load_not_fed)
/* check_drop.c */
CHECK_RUN(voltage_drop)
/* check_control.c */
CHECK_RUN(coil_will_not_pull_in)
CHECK_RUN(coil_chatter)
CHECK_RUN(contact_overloaded)
CHECK_RUN(single_phased)
CHECK_RUN(rotation_wrong)
/* check_protection.c */
CHECK_RUN(primary_unprotected)
CHECK_RUN(primary_protection_too_large)
CHECK_RUN(secondary_unprotected)
CHECK_RUN(secondary_protection_too_large)
CHECK_RUN(protection_too_small)
/* check_device.c */
CHECK_RUN(fault_current_unknown)
CHECK_RUN(interrupting_rating_exceeded)
CHECK_RUN(device_voltage_exceeded)
/* check_disconnect.c */
CHECK_RUN(pole_not_opened)
CHECK_RUN(no_disconnect)
CHECK_RUN(opens_grounded_conductor)
/* check_conductor.c */
CHECK_RUN(conductor_too_small)
CHECK_RUN(insulation_voltage)
CHECK_RUN(terminal_crowded)
CHECK_RUN(landing_loose)
/* check_colour.c */
CHECK_RUN(colour_misused)
/* check_number.c */
CHECK_RUN(wire_number_missing)
CHECK_RUN(wire_number_conflict)
CHECK_RUN(designation_duplicate)
CHECK_RUN(device_outside_sheet)
/* check_grounding.c */
CHECK_RUN(secondary_not_grounded)
CHECK_RUN(grounded_twice)
CHECK_RUN(frame_not_grounded)
CHECK_RUN(ground_carries_current)
CHECK_RUN(ground_conductor_too_small)
CHECK_RUN(line_to_ground)
/* check_wiring.c. What building the circuit notices by itself is listed here and reported from
 * there: nothing to run. */
CHECK_RUN(noted_while_building)
CHECK_RUN(not_solved)
CHECK_RUN(short_circuit)
#undef CHECK_RUN

G_END_DECLS
