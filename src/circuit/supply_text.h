/* SPDX-License-Identifier: MIT */
/* Names, nominal voltages and sentences about a derived supply. Private to the circuit layer. */
#pragma once

#include "circuit/supply.h"

G_BEGIN_DECLS

/* Fills nominal_line, nominal_ground and name from class, special line and measured volts. */
void supply_name(SupplySystem *system, double line_volts);
/* 240 V with the wye pattern is no standard grounded system (ANSI C84.1, IEC 60038 list none). */
bool supply_wye_is_standard(double line_volts);

void supply_set_problem(SupplySystem *system, const char *format, ...) G_GNUC_PRINTF(2, 3);
/* Sets ambiguous too. */
void supply_set_ambiguity(SupplySystem *system, const char *format, ...) G_GNUC_PRINTF(2, 3);

G_END_DECLS
