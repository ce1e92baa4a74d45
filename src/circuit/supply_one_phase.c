/* SPDX-License-Identifier: MIT */
/* Two lines. Patterns of volts to ground over volts between the lines: (1/2, 1/2) a grounded
 * midpoint, (1, 0) a grounded line, (1/sqrt 3, 1/sqrt 3) two lines of a wye. */
#include "circuit/supply_fit.h"

#include "base/language.h"
#include "circuit/supply_phase.h"
#include "circuit/supply_text.h"

#include <math.h>

typedef struct {
  SupplyClass class_;
  int special;
  double ground[2];
} Pattern;
static const Pattern patterns[] = {
    {SYSTEM_ONE_PHASE_3W, -1, {0.5, 0.5}},
    {SYSTEM_TWO_LINES_OF_WYE, -1, {0.57735026918962576, 0.57735026918962576}},
    {SYSTEM_ONE_PHASE_2W, 1, {1, 0}},
    {SYSTEM_ONE_PHASE_2W, 0, {0, 1}},
};

/* Nearest pattern of the ground readings that were given; NULL: none within tolerance. */
static const Pattern *
nearest_pattern(const double ground[3], double volts)
{
  const Pattern *best = NULL;
  double least = SUPPLY_PATTERN_TOLERANCE;
  for (gsize p = 0; p < G_N_ELEMENTS(patterns); p++) {
    double sum = 0;
    int n = 0;
    for (int i = 0; i < 2; i++)
      if (supply_reading_given(ground[i])) {
        double off = ground[i] / volts - patterns[p].ground[i];
        sum += off * off;
        n++;
      }
    if (n > 0 && sqrt(sum / n) < least) {
      least = sqrt(sum / n);
      best = &patterns[p];
    }
  }
  return best;
}

static void
set_ungrounded(SupplySystem *system, double volts)
{
  system->class_ = SYSTEM_ONE_PHASE_UNGROUNDED;
  system->line_phasor[0] = volts / 2;
  system->line_phasor[1] = -volts / 2;
}

/* Phasors to earth with L1 - L2 on the real axis. */
static void
set_grounded(SupplySystem *system, const Pattern *pattern, const SupplyReadings *readings,
             double volts)
{
  double ground[2];
  for (int i = 0; i < 2; i++)
    ground[i] = supply_reading_given(readings->ground[i]) ? readings->ground[i]
                                                          : pattern->ground[i] * volts;
  system->class_ = pattern->class_;
  system->special_line = pattern->special;
  system->grounded = true;
  double real = (ground[0] * ground[0] - ground[1] * ground[1] + volts * volts) / (2 * volts);
  double square = ground[0] * ground[0] - real * real;
  /* A grounded midpoint or line lies on the line between the ends: what is left of the triangle
   * is the meter's error. */
  double imaginary = pattern->class_ == SYSTEM_TWO_LINES_OF_WYE && square > 0 ? sqrt(square) : 0;
  if (pattern->special >= 0)
    real = pattern->special == 0 ? 0 : volts;
  system->line_phasor[0] = CMPLX(real, imaginary);
  system->line_phasor[1] = system->line_phasor[0] - volts;
  double sum = 0;
  int n = 0;
  for (int i = 0; i < 2; i++)
    if (supply_reading_given(readings->ground[i])) {
      double off = (cabs(system->line_phasor[i]) - readings->ground[i]) / volts;
      sum += off * off;
      n++;
    }
  system->residual = n > 0 ? sqrt(sum / n) : 0;
}

/* Both lines to ground alike and nothing between them. */
static bool
same_line_twice(SupplySystem *system, const SupplyReadings *readings)
{
  double g1 = readings->ground[0], g2 = readings->ground[1], most = fmax(g1, g2);
  if (!(readings->line[0] < 0.05 * most) || fabs(g1 - g2) > 0.05 * most)
    return false;
  system->class_ = SYSTEM_ONE_PHASE_2W;
  system->grounded = system->lost_phase = true;
  system->line_phasor[0] = system->line_phasor[1] = most;
  supply_name(system, most);
  supply_set_ambiguity(system,
                       _("L1 and L2 read %.0f V to ground but %.0f V to each other: both come "
                         "from the same line, or one is lost and fed back through a load. "
                         "Measure again with all loads disconnected."),
                       most, readings->line[0]);
  return true;
}

/* Only volts to ground: one of them near zero is the grounded line. */
static double
volts_from_ground(SupplySystem *system, const SupplyReadings *readings)
{
  double g1 = readings->ground[0], g2 = readings->ground[1];
  double most = fmax(g1, g2), least = fmin(g1, g2);
  if (supply_reading_given(g1) && supply_reading_given(g2) && least < 0.08 * most)
    return most;
  supply_set_ambiguity(system, _("Volts to ground alone do not tell how the lines stand to each "
                                 "other. Measure L1 to L2."));
  return NAN;
}

static bool
impossible(SupplySystem *system, const SupplyReadings *readings, double volts)
{
  for (int i = 0; i < 2; i++)
    if (readings->ground[i] > 1.15 * volts) {
      system->class_ = SYSTEM_IMPOSSIBLE;
      supply_set_problem(system,
                         _("L%d reads %.0f V to ground but the lines only %.0f V to each other: no "
                           "such supply. Measure both again with the same meter."),
                         i + 1, readings->ground[i], volts);
      supply_name(system, volts);
      return true;
    }
  return false;
}

static void
explain_ungrounded(SupplySystem *system, const SupplyReadings *readings)
{
  bool measured =
      supply_reading_given(readings->ground[0]) || supply_reading_given(readings->ground[1]);
  if (readings->stated_ungrounded)
    return;
  if (!measured)
    supply_set_ambiguity(system,
                         _("Grounding is not measured. Measure L1 to ground and L2 to ground."));
  else
    supply_set_ambiguity(system,
                         _("The readings to ground fit no grounded system: they may be stray. "
                           "Measure each line to ground with a low-impedance meter; treat "
                           "both lines as live."));
}

void
supply_one_phase(SupplySystem *system, const SupplyReadings *readings)
{
  double volts = readings->line[0];
  if (supply_reading_given(volts)) {
    if (same_line_twice(system, readings))
      return;
    if (volts < 1) {
      supply_set_ambiguity(system, _("L1 to L2 reads 0 V: the supply was off or a line is lost. "
                                     "Measure again, each line to ground too."));
      return;
    }
    if (impossible(system, readings, volts))
      return;
  } else {
    volts = volts_from_ground(system, readings);
    if (!isfinite(volts))
      return;
  }
  const Pattern *pattern =
      readings->stated_ungrounded ? NULL : nearest_pattern(readings->ground, volts);
  if (pattern != NULL) {
    set_grounded(system, pattern, readings, volts);
  } else {
    set_ungrounded(system, volts);
    explain_ungrounded(system, readings);
  }
  supply_name(system, volts);
}
