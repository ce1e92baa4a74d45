/* SPDX-License-Identifier: MIT */
#include "circuit/supply_fit.h"

#include "base/language.h"
#include "circuit/supply_phase.h"
#include "circuit/supply_text.h"

#include <math.h>

#define ALL_LINES 7u
/* How much nearer the chosen pattern lies than the next, of line-to-line volts: half the distance
 * between a wye's 0.577 and a high leg's 0.5. */
#define CLEAR_MARGIN 0.0385
/* NEMA unbalance above which a phase is lost rather than low: a single-phased motor still holds
 * its open line within about a fifth (common practice, no source). */
#define LOST_UNBALANCE 0.25

static const char *const pair_names[3] = {N_("L1 to L2"), N_("L2 to L3"), N_("L3 to L1")};

/* What is known while the answer is being worked out. */
typedef struct {
  const SupplyReadings *readings;
  double line[3], ground[3]; /* missing ones filled in as they become known */
  guint lines_given, grounds_given;
  double volts; /* mean of the line-to-line readings */
} Work;

static int
largest(const double values[3])
{
  int at = 0;
  for (int i = 1; i < 3; i++)
    if (values[i] > values[at])
      at = i;
  return at;
}

static const char *
first_missing(const double values[3], const char *const names[3])
{
  for (int i = 0; i < 3; i++)
    if (!supply_reading_given(values[i]))
      return _(names[i]);
  return _(names[0]);
}

/* --------------------------------------------------------------------------------- phasors out */

static void
place(SupplySystem *system, const Work *work, const double complex corners[3],
      double complex reference)
{
  for (int i = 0; i < 3; i++)
    system->line_phasor[i] = corners[i] - reference;
  if (work->lines_given < 3)
    return;
  double complex a =
      CMPLX(-0.5, work->readings->reverse_rotation ? -0.86602540378443865 : 0.86602540378443865);
  double complex ab = corners[0] - corners[1], bc = corners[1] - corners[2],
                 ca = corners[2] - corners[0];
  double positive = cabs(ab + a * bc + a * a * ca), negative = cabs(ab + a * a * bc + a * ca);
  system->unbalance = supply_nema_unbalance(work->line[0], work->line[1], work->line[2]);
  system->negative_sequence = positive > 0 ? negative / positive : (double)NAN;
}

static void
set_ungrounded(SupplySystem *system, const Work *work)
{
  double complex corners[3];
  supply_triangle(work->line, work->readings->reverse_rotation, corners);
  system->class_ = SYSTEM_UNGROUNDED;
  system->special_line = -1;
  system->grounded = false;
  place(system, work, corners, (corners[0] + corners[1] + corners[2]) / 3);
}

/* False when no point is as far from the lines as the readings say. */
static bool
set_grounded(SupplySystem *system, Work *work, const SupplyPattern *pattern, double volts)
{
  double complex corners[3];
  supply_triangle(work->line, work->readings->reverse_rotation, corners);
  double ground[3];
  for (int i = 0; i < 3; i++)
    ground[i] =
        supply_reading_given(work->ground[i]) ? work->ground[i] : pattern->ground[i] * volts;
  double complex earth = supply_ground_point(corners, ground, work->volts);
  if (pattern->class_ == SYSTEM_DELTA_CORNER_GROUNDED)
    earth = corners[pattern->special];
  system->residual = supply_ground_misfit(corners, earth, work->ground, work->volts);
  if (system->residual > SUPPLY_GROUND_TOLERANCE)
    return false;
  system->class_ = pattern->class_;
  system->special_line = pattern->special;
  system->grounded = true;
  place(system, work, corners, earth);
  return true;
}

/* -------------------------------------------------------------------------------- impossibility */

static bool
impossible(SupplySystem *system, const Work *work)
{
  if (work->lines_given == 3) {
    int at = largest(work->line);
    double others = work->line[0] + work->line[1] + work->line[2] - work->line[at];
    if (work->line[at] > (1 + SUPPLY_TRIANGLE_TOLERANCE) * others) {
      system->class_ = SYSTEM_IMPOSSIBLE;
      supply_set_problem(
          system,
          _("%s reads %.0f V, more than the other two line-to-line readings together "
            "(%.0f V): three lines cannot stand so. Measure all three again."),
          _(pair_names[at]), work->line[at], others);
      return true;
    }
  }
  double most = 0;
  for (int i = 0; i < 3; i++)
    most = fmax(most, work->readings->line[i]);
  if (work->lines_given > 0)
    for (int i = 0; i < 3; i++)
      if (work->ground[i] > 1.15 * most) {
        system->class_ = SYSTEM_IMPOSSIBLE;
        supply_set_problem(system,
                           _("L%d reads %.0f V to ground, but no two lines are more than %.0f V "
                             "apart: no standard supply does so. Measure L%d to ground again."),
                           i + 1, work->ground[i], most, i + 1);
        return true;
      }
  return false;
}

/* ----------------------------------------------------------------------------------- lost phase */

/* The pair with the largest reading is taken as sound, the third line as lost. */
static bool
find_lost_line(SupplySystem *system, const Work *work)
{
  if (work->lines_given < 3)
    return false;
  int at = largest(work->line);
  double others = work->line[0] + work->line[1] + work->line[2] - work->line[at];
  bool flat = work->line[at] >= (1 - SUPPLY_TRIANGLE_TOLERANCE) * others;
  double unbalance = supply_nema_unbalance(work->line[0], work->line[1], work->line[2]);
  if (!flat && unbalance < LOST_UNBALANCE)
    return false;
  system->lost_phase = true;
  system->lost_line = (at + 2) % 3; /* pair 0 is L1-L2: the third is L3 */
  return true;
}

static void
explain_lost(SupplySystem *system, const Work *work)
{
  int lost = system->lost_line;
  supply_set_ambiguity(system,
                       _("L%d stands where no phase is: its fuse is blown, a line is open, or two "
                         "lines are tied. %s reads %.0f V. Measure again on the line side and with "
                         "motors disconnected, which feed a lost line back."),
                       lost + 1, _(pair_names[(lost + 1) % 3]), work->line[(lost + 1) % 3]);
}

static void
derive_lost(SupplySystem *system, Work *work)
{
  int pair = (system->lost_line + 1) % 3; /* opposite the lost line */
  double volts = work->line[pair];
  guint mask = ALL_LINES & ~(1u << system->lost_line);
  bool grounded = false;
  for (guint i = 0; i < SUPPLY_PATTERN_COUNT && !grounded; i++)
    if (!work->readings->stated_ungrounded &&
        (supply_pattern_matches(work->ground, volts, mask) & (1u << i)) &&
        supply_patterns[i].special != system->lost_line)
      grounded = set_grounded(system, work, &supply_patterns[i], volts);
  if (!grounded)
    set_ungrounded(system, work);
  explain_lost(system, work);
  supply_name(system, volts);
}

/* -------------------------------------------------------------------------------------- grounds */

static void
explain_grounded(SupplySystem *system, const Work *work)
{
  static const char *const to_ground[3] = {N_("L1 to ground"), N_("L2 to ground"),
                                           N_("L3 to ground")};
  int special = system->special_line + 1;
  if (work->lines_given < 3)
    supply_set_ambiguity(system,
                         _("A line-to-line reading is missing; it is taken as the mean of the "
                           "others. Measure %s."),
                         first_missing(work->readings->line, pair_names));
  else if (system->class_ == SYSTEM_DELTA_CORNER_GROUNDED)
    supply_set_ambiguity(system,
                         _("L%d grounded on purpose and an ungrounded delta with a ground fault on "
                           "L%d read alike. Find the bond at the source, or ask for a ground-fault "
                           "check, before relying on it."),
                         special, special);
  else if (system->class_ == SYSTEM_WYE_GROUNDED && !work->readings->neutral &&
           system->nominal_line >= 480)
    supply_set_ambiguity(system,
                         _("Without a neutral these readings also fit an ungrounded delta seen "
                           "through stray capacitance. Measure each line to ground with a "
                           "low-impedance meter: stray volts collapse."));
  else if (work->grounds_given < 3)
    supply_set_ambiguity(system, _("Not every line is measured to ground. Measure %s too."),
                         first_missing(work->readings->ground, to_ground));
}

static void
explain_ungrounded(SupplySystem *system, const Work *work, guint matches)
{
  if (work->readings->stated_ungrounded)
    return;
  if (work->grounds_given == 0)
    supply_set_ambiguity(system, _("Grounding is not measured. Measure each line to ground."));
  else if (matches != 0 && work->grounds_given < 3)
    supply_set_ambiguity(system, _("These readings to ground fit more than one system. Measure the "
                                   "other lines to ground."));
  else if (matches != 0)
    supply_set_ambiguity(system,
                         _("%.0f V with every line near %.0f V to ground is no standard "
                           "grounded wye: most likely an ungrounded delta seen through stray "
                           "capacitance. Confirm with a low-impedance meter."),
                         work->volts, work->ground[0]);
  else
    supply_set_ambiguity(system,
                         _("The readings to ground fit no grounded system: they are likely "
                           "stray. Measure with a low-impedance meter and treat every line as "
                           "live to ground."));
}

/* Pattern the readings single out: the nearest, unless another lies almost as near. */
static const SupplyPattern *
choose(const Work *work, guint matches)
{
  int best = -1;
  double least = INFINITY, next = INFINITY;
  for (guint i = 0; i < SUPPLY_PATTERN_COUNT; i++) {
    if (!(matches & (1u << i)))
      continue;
    double distance =
        supply_pattern_distance(&supply_patterns[i], work->ground, work->volts, ALL_LINES);
    if (distance < least) {
      next = least;
      least = distance;
      best = (int)i;
    } else {
      next = fmin(next, distance);
    }
  }
  return best >= 0 && next - least > CLEAR_MARGIN ? &supply_patterns[best] : NULL;
}

static void
derive_sound(SupplySystem *system, Work *work)
{
  guint matches = work->readings->stated_ungrounded
                      ? 0
                      : supply_pattern_matches(work->ground, work->volts, ALL_LINES);
  const SupplyPattern *pattern = choose(work, matches);
  if (pattern != NULL && pattern->class_ == SYSTEM_WYE_GROUNDED && !work->readings->neutral &&
      !supply_wye_is_standard(work->volts))
    pattern = NULL;
  if (pattern != NULL && set_grounded(system, work, pattern, work->volts)) {
    supply_name(system, work->volts);
    explain_grounded(system, work);
  } else {
    set_ungrounded(system, work);
    explain_ungrounded(system, work, matches);
    supply_name(system, work->volts);
  }
}

/* ------------------------------------------------------------------------------ missing readings
 */

/* Line-to-line volts from readings to ground alone, if they follow a pattern. */
static double
volts_from_ground(const Work *work)
{
  double best = NAN, least = SUPPLY_PATTERN_TOLERANCE / 2;
  if (work->grounds_given < 3)
    return NAN;
  for (guint i = 0; i < SUPPLY_PATTERN_COUNT; i++) {
    const double *pattern = supply_patterns[i].ground;
    double over = 0, under = 0;
    for (int k = 0; k < 3; k++) {
      over += work->ground[k] * pattern[k];
      under += pattern[k] * pattern[k];
    }
    double distance = supply_pattern_distance(&supply_patterns[i], work->ground, over / under, 7);
    if (distance < least) {
      least = distance;
      best = over / under;
    }
  }
  return best;
}

/* Fills missing line-to-line readings with the mean of the others; false when that is no answer. */
static bool
fill_lines(SupplySystem *system, Work *work)
{
  double sum = 0, low = INFINITY, high = 0;
  for (int i = 0; i < 3; i++)
    if (supply_reading_given(work->line[i])) {
      sum += work->line[i];
      low = MIN(low, work->line[i]);
      high = MAX(high, work->line[i]);
    }
  work->volts = work->lines_given > 0 ? sum / work->lines_given : volts_from_ground(work);
  const char *missing = first_missing(work->line, pair_names);
  if (work->lines_given == 0 && !isfinite(work->volts)) {
    supply_set_ambiguity(system, _("Volts to ground alone do not tell how the lines stand to each "
                                   "other. Measure L1 to L2, L2 to L3 and L3 to L1."));
    return false;
  }
  if (work->lines_given < 3 && (work->volts < 1 || (work->lines_given == 2 && low < 0.9 * high))) {
    supply_set_ambiguity(system,
                         _("The line-to-line readings differ so much that the missing one "
                           "cannot be told. Measure %s."),
                         missing);
    return false;
  }
  for (int i = 0; i < 3; i++)
    if (!supply_reading_given(work->line[i]))
      work->line[i] = work->volts;
  return true;
}

void
supply_three_phase(SupplySystem *system, const SupplyReadings *readings)
{
  Work work = {.readings = readings};
  for (int i = 0; i < 3; i++) {
    work.line[i] = readings->line[i];
    work.ground[i] = readings->ground[i];
    work.lines_given += (guint)supply_reading_given(work.line[i]);
    work.grounds_given += (guint)supply_reading_given(work.ground[i]);
  }
  if (impossible(system, &work)) {
    supply_name(system, 0);
    return;
  }
  if (!fill_lines(system, &work))
    return;
  if (!(work.volts >= 1)) {
    supply_set_ambiguity(system,
                         _("The lines read 0 V to each other. Measure again with the supply "
                           "on; all three lines may be one phase."));
    return;
  }
  if (find_lost_line(system, &work))
    derive_lost(system, &work);
  else
    derive_sound(system, &work);
}
