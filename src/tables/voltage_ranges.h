/* SPDX-License-Identifier: MIT */
/* Ranges of supply voltage, of equipment nameplates, transformer taps and coils.
 *
 * Source: ANSI C84.1 Table 1, 2006 and later (service and utilization, ranges A and B; from
 * MEMORY, cross-checked against a state's service rule and published equipment ranges); COMAR
 * 20.50.07.02 (service); NEMA MG 1 12.44 (motors); NEMA ICS 2 and IEC 60947-4-1 (coils, MEMORY);
 * published equipment installation data (nameplates, taps). */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef struct {
  const char *item;  /* "C84.1 480Y/277" */
  const char *pair;  /* "LL", "LN", "coil" */
  double nominal;    /* -1: not stated */
  const char *kind;  /* "service", "utilization", "nameplate", "coil", "control", "tap" */
  const char *range; /* "A", "B", "operating limit" */
  double low, high;  /* volts; -1: not stated */
} VoltageRange;
const VoltageRange *voltage_ranges(guint *n);

/* First row that fits; NULL arguments match anything. nominal within 1 V. NULL: none. */
const VoltageRange *voltage_range_find(const char *kind, const char *range, const char *pair,
                                       double nominal);
/* Supply volts a transformer lead suits: the published tap range where there is one (208 V, 240 V),
 * else 90..110 % of its marking (common practice). */
typedef struct {
  double low, high;
  bool published;
} TapRange;
TapRange tap_range(double lead_volts);

#define COIL_PICK_UP 0.85      /* must pull in at or above, per unit; NEMA ICS 2, from memory */
#define COIL_MOST 1.10         /* may stay on up to */
#define COIL_DROP_OUT_LOW 0.20 /* must let go between; IEC 60947-4-1, from memory */
#define COIL_DROP_OUT_HIGH 0.75

G_END_DECLS
