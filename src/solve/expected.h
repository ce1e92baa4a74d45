/* SPDX-License-Identifier: MIT */
/* Expected readings: what a meter should show between named points, with the range it may show
 * over stated variations. Points come from each kind's probes and from capped leads. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct {
  double supply_low, supply_high; /* scale of the measured supply: 0.95 and 1.05 by default */
  bool loads_may_be_off;          /* a load may be off: no-load volts belong to the range */
} ExpectedVariation;
extern const ExpectedVariation expected_variation_default;

typedef struct {
  guint a, b;          /* nodes; b 0: earth */
  char *a_name, *b_name; /* "T1.X1", "GND" */
  const char *purpose; /* static */
  ReadingState state;
  double volts, degrees;
  double low, high;    /* volts, over the corners; equal to volts when dead */
  bool locked_out;
} ExpectedReading;
void expected_reading_clear(ExpectedReading *reading);

/* Array of ExpectedReading with clear function. circuit: energized or locked out. Order follows
 * power: by device order, then the kind's probes. NULL with error if a corner cannot be solved. */
GArray *expected_readings(const Circuit *circuit, const Solution *solution,
                          const ExpectedVariation *variation, GError **error);
/* One pair of nodes. */
bool expected_reading_between(const Circuit *circuit, const Solution *solution, guint a, guint b,
                              const ExpectedVariation *variation, ExpectedReading *out,
                              GError **error);

G_END_DECLS
