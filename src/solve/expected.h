/* SPDX-License-Identifier: MIT */
/* Expected readings: what a meter should show between named points, with the range it may show
 * over stated variations. Points come from each kind's probes and from capped leads.
 *
 * The range is the least and the most volts over solved corners, the drawing itself included:
 *   supply at its low and its high scale. With loads that keep their impedance every voltage is
 *   proportional to the supply, so the two ends bound all between; constant-power loads bend that
 *   line but do not turn it (their current falls as the volts rise).
 *   loads: up to 4 loads and motors, every combination of on and off; up to 16, all on, all off
 *   (coils too), each one off by itself, and the sum of what the single ones move a reading up or
 *   down (exact to first order: the network is linear in the load currents); beyond that all on
 *   and all off, which bound every reading where the drops of all loads add up, but not the shift
 *   of a shared neutral.
 *   nameplates: the ratio and the impedance of each transformer moved to its tolerance by itself,
 *   at both ends of the supply, loads on and off. What each moves a reading is added up and widens
 *   the range on both sides: a first-order bound, with compounding allowed for. More than 8 cores
 *   are moved together, which bounds what stands behind one of them but not the difference of two.
 *   A transformer that is dead as drawn is not moved.
 * Coils begin each corner as the drawing left them: a relay that is in stays in until it drops
 * out. A corner where the points have no fixed voltage to each other does not count. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct {
  double supply_low, supply_high; /* scale of the measured supply: 0.95 and 1.05 by default */
  bool loads_may_be_off;          /* a load may be off: no-load volts belong to the range */
  /* Per unit, of the turns ratio: 0.015 by default (common practice for small units, no source;
   * standards for power transformers allow 0.005). 0: as on the nameplate. */
  double ratio_tolerance;
  /* Per unit, of the winding impedance and with it the regulation: 0.1 by default (what standards
   * for dry-type power transformers allow; from memory). */
  double impedance_tolerance;
} ExpectedVariation;
extern const ExpectedVariation expected_variation_default;

typedef struct {
  guint a, b;            /* nodes; b 0: earth */
  char *a_name, *b_name; /* "T1.X1", "GND" */
  const char *purpose;   /* static */
  const char *point;     /* "TP1" of a pair pinned to the sheet; static; NULL: none */
  ReadingState state;
  double volts, degrees;
  double low, high; /* volts, over the corners; equal to volts when dead in all of them */
  bool locked_out;
  bool saturated; /* volts come from a saturated core: good for one digit */
} ExpectedReading;
void expected_reading_clear(ExpectedReading *reading);

/* Array of ExpectedReading with clear function. circuit: energized or locked out. First
 * the sheet's test points in their order; then the order follows power: by device order, then the
 * kind's probes, then the device's leads that are capped or land nowhere, to earth (they may be
 * live). The same two nodes are listed once. NULL with error if a
 * corner cannot be solved. variation NULL: the default. */
GArray *expected_readings(const Circuit *circuit, const Solution *solution,
                          const ExpectedVariation *variation, GError **error);
/* One pair of nodes. */
bool expected_reading_between(const Circuit *circuit, const Solution *solution, guint a, guint b,
                              const ExpectedVariation *variation, ExpectedReading *out,
                              GError **error);

/* "118.4 V", "about 50 V" behind a saturated core, "0 V" below what counts as a reading,
 * "dead", "floating". New string. */
#define EXPECTED_ZERO_VOLTS 0.05
char *expected_reading_text(const ExpectedReading *reading, int digits);
/* "112.5..126.3 V"; "core saturated"; "" where there is no range. New string. */
char *expected_reading_range_text(const ExpectedReading *reading, int digits);

G_END_DECLS
