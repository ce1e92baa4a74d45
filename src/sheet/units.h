/* SPDX-License-Identifier: MIT */
/* Lengths, conductor sizes and temperatures in the units a sheet is read in. What somebody wrote is
 * never lost: a size stays the standard size it is, with its area in the other system beside it. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

typedef enum { UNITS_IMPERIAL, UNITS_METRIC } Units; /* as the choices of SHEET_UNITS */

/* "6 ft", "1.83 m"; as written where it is in the wanted unit. "" for a value that is missing. New
 * string. */
char *units_length(const Value *value, Units units);
/* "14 AWG" or "14 AWG (2.08 mm²)"; "2.5 mm²" or "2.5 mm² (4.93 kcmil)". New string. */
char *units_size(Quantity size, Units units);
/* A text with every temperature, "30 C", made "30 °C" or "86 °F (30 °C)". New string; NULL for
 * NULL. */
char *units_rating(const char *text, Units units);

G_END_DECLS
