/* SPDX-License-Identifier: MIT */
/* What was measured, held beside what was expected. */
#pragma once

#include "solve/expected.h"
#include "solve/meter.h"

G_BEGIN_DECLS

typedef enum {
  VERDICT_NONE, /* nothing to hold it against */
  VERDICT_AGREES,
  VERDICT_DIFFERS
} Verdict;

/* A digital meter shows up to about a volt on dead conductors and rounds its last digit (common
 * practice, no source): so much outside the expected range is no difference. */
#define VERDICT_VOLTS 1.0
#define VERDICT_SHARE 0.01

/* *words gets "agrees", "12.3 V too low", "not expected: dead"; new string. */
Verdict verdict_of_volts(const ExpectedReading *expected, double volts, char **words);

/* Ohms are expected from nameplates: contact, lead and meter add some, and a cold lamp has a tenth
 * of what it has lit. So only what no tolerance explains is a difference: open where there should
 * be a path, a path where there should be none, and, of the rest, more than three times off and
 * more than an ohm (common practice, no source). */
Verdict verdict_of_ohms(const MeterReading *expected, double ohms, char **words);

G_END_DECLS
