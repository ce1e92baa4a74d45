/* SPDX-License-Identifier: MIT */
#include "tables/nominal_systems.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

/* Grounded wye, one-phase and corner-grounded rows READ, high leg READ (two reports); ungrounded
 * deltas and control secondaries from MEMORY. */
#define NEUTRAL GROUNDING_NEUTRAL
#define MIDPOINT GROUNDING_MIDPOINT
#define CORNER GROUNDING_CORNER
#define ONE_SIDE GROUNDING_ONE_SIDE
#define NONE GROUNDING_NONE
/* clang-format off: one row a line */
static const NominalPair rows[] = {
    {"120/240 1ph 3W", 1, 3, NEUTRAL, "L1-L2", 240, 240.0},
    {"120/240 1ph 3W", 1, 3, NEUTRAL, "L1-N", 120, 120.0},
    {"120/240 1ph 3W", 1, 3, NEUTRAL, "L2-N", 120, 120.0},
    {"120/240 1ph 3W", 1, 3, NEUTRAL, "L1-G", 120, 120.0},
    {"120/240 1ph 3W", 1, 3, NEUTRAL, "L2-G", 120, 120.0},
    {"120/240 1ph 3W", 1, 3, NEUTRAL, "N-G", 0, 0.0},
    {"120 1ph 2W", 1, 2, NEUTRAL, "L-N", 120, 120.0},
    {"120 1ph 2W", 1, 2, NEUTRAL, "L-G", 120, 120.0},
    {"120 1ph 2W", 1, 2, NEUTRAL, "N-G", 0, 0.0},
    {"208Y/120", 3, 4, NEUTRAL, "A-B", 208, 207.8},
    {"208Y/120", 3, 4, NEUTRAL, "B-C", 208, 207.8},
    {"208Y/120", 3, 4, NEUTRAL, "C-A", 208, 207.8},
    {"208Y/120", 3, 4, NEUTRAL, "A-N", 120, 120.0},
    {"208Y/120", 3, 4, NEUTRAL, "B-N", 120, 120.0},
    {"208Y/120", 3, 4, NEUTRAL, "C-N", 120, 120.0},
    {"208Y/120", 3, 4, NEUTRAL, "A-G", 120, 120.0},
    {"208Y/120", 3, 4, NEUTRAL, "B-G", 120, 120.0},
    {"208Y/120", 3, 4, NEUTRAL, "C-G", 120, 120.0},
    {"208Y/120", 3, 4, NEUTRAL, "N-G", 0, 0.0},
    {"480Y/277", 3, 4, NEUTRAL, "A-B", 480, 479.8},
    {"480Y/277", 3, 4, NEUTRAL, "B-C", 480, 479.8},
    {"480Y/277", 3, 4, NEUTRAL, "C-A", 480, 479.8},
    {"480Y/277", 3, 4, NEUTRAL, "A-N", 277, 277.0},
    {"480Y/277", 3, 4, NEUTRAL, "B-N", 277, 277.0},
    {"480Y/277", 3, 4, NEUTRAL, "C-N", 277, 277.0},
    {"480Y/277", 3, 4, NEUTRAL, "A-G", 277, 277.0},
    {"480Y/277", 3, 4, NEUTRAL, "B-G", 277, 277.0},
    {"480Y/277", 3, 4, NEUTRAL, "C-G", 277, 277.0},
    {"480Y/277", 3, 4, NEUTRAL, "N-G", 0, 0.0},
    {"600Y/347", 3, 4, NEUTRAL, "A-B", 600, 601.0},
    {"600Y/347", 3, 4, NEUTRAL, "B-C", 600, 601.0},
    {"600Y/347", 3, 4, NEUTRAL, "C-A", 600, 601.0},
    {"600Y/347", 3, 4, NEUTRAL, "A-N", 347, 347.0},
    {"600Y/347", 3, 4, NEUTRAL, "B-N", 347, 347.0},
    {"600Y/347", 3, 4, NEUTRAL, "C-N", 347, 347.0},
    {"600Y/347", 3, 4, NEUTRAL, "A-G", 347, 347.0},
    {"600Y/347", 3, 4, NEUTRAL, "B-G", 347, 347.0},
    {"600Y/347", 3, 4, NEUTRAL, "C-G", 347, 347.0},
    {"600Y/347", 3, 4, NEUTRAL, "N-G", 0, 0.0},
    {"400Y/230", 3, 4, NEUTRAL, "A-B", 400, 398.4},
    {"400Y/230", 3, 4, NEUTRAL, "B-C", 400, 398.4},
    {"400Y/230", 3, 4, NEUTRAL, "C-A", 400, 398.4},
    {"400Y/230", 3, 4, NEUTRAL, "A-N", 230, 230.0},
    {"400Y/230", 3, 4, NEUTRAL, "B-N", 230, 230.0},
    {"400Y/230", 3, 4, NEUTRAL, "C-N", 230, 230.0},
    {"400Y/230", 3, 4, NEUTRAL, "A-G", 230, 230.0},
    {"400Y/230", 3, 4, NEUTRAL, "B-G", 230, 230.0},
    {"400Y/230", 3, 4, NEUTRAL, "C-G", 230, 230.0},
    {"400Y/230", 3, 4, NEUTRAL, "N-G", 0, 0.0},
    {"415Y/240", 3, 4, NEUTRAL, "A-B", 415, 415.7},
    {"415Y/240", 3, 4, NEUTRAL, "B-C", 415, 415.7},
    {"415Y/240", 3, 4, NEUTRAL, "C-A", 415, 415.7},
    {"415Y/240", 3, 4, NEUTRAL, "A-N", 240, 240.0},
    {"415Y/240", 3, 4, NEUTRAL, "B-N", 240, 240.0},
    {"415Y/240", 3, 4, NEUTRAL, "C-N", 240, 240.0},
    {"415Y/240", 3, 4, NEUTRAL, "A-G", 240, 240.0},
    {"415Y/240", 3, 4, NEUTRAL, "B-G", 240, 240.0},
    {"415Y/240", 3, 4, NEUTRAL, "C-G", 240, 240.0},
    {"415Y/240", 3, 4, NEUTRAL, "N-G", 0, 0.0},
    {N_("208 1ph from 208Y/120"), 1, 3, NEUTRAL, "L1-L2", 208, 207.8},
    {N_("208 1ph from 208Y/120"), 1, 3, NEUTRAL, "L1-N", 120, 120.0},
    {N_("208 1ph from 208Y/120"), 1, 3, NEUTRAL, "L2-N", 120, 120.0},
    {N_("277 1ph from 480Y/277"), 1, 2, NEUTRAL, "L-N", 277, 277.0},
    {N_("277 1ph from 480Y/277"), 1, 2, NEUTRAL, "L-G", 277, 277.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "A-B", 240, 240.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "B-C", 240, 240.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "C-A", 240, 240.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "A-N", 120, 120.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "C-N", 120, 120.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "B-N", 208, 207.8},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "A-G", 120, 120.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "C-G", 120, 120.0},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "B-G", 208, 207.8},
    {N_("240/120 delta high leg"), 3, 4, MIDPOINT, "N-G", 0, 0.0},
    {N_("240 delta ungrounded"), 3, 3, NONE, "A-B", 240, 240.0},
    {N_("240 delta ungrounded"), 3, 3, NONE, "B-C", 240, 240.0},
    {N_("240 delta ungrounded"), 3, 3, NONE, "C-A", 240, 240.0},
    {N_("240 delta ungrounded"), 3, 3, NONE, "A-G", -1, -1},
    {N_("240 delta ungrounded"), 3, 3, NONE, "B-G", -1, -1},
    {N_("240 delta ungrounded"), 3, 3, NONE, "C-G", -1, -1},
    {N_("480 delta ungrounded"), 3, 3, NONE, "A-B", 480, 480.0},
    {N_("480 delta ungrounded"), 3, 3, NONE, "B-C", 480, 480.0},
    {N_("480 delta ungrounded"), 3, 3, NONE, "C-A", 480, 480.0},
    {N_("480 delta ungrounded"), 3, 3, NONE, "A-G", -1, -1},
    {N_("480 delta ungrounded"), 3, 3, NONE, "B-G", -1, -1},
    {N_("480 delta ungrounded"), 3, 3, NONE, "C-G", -1, -1},
    {N_("600 delta ungrounded"), 3, 3, NONE, "A-B", 600, 600.0},
    {N_("600 delta ungrounded"), 3, 3, NONE, "B-C", 600, 600.0},
    {N_("600 delta ungrounded"), 3, 3, NONE, "C-A", 600, 600.0},
    {N_("600 delta ungrounded"), 3, 3, NONE, "A-G", -1, -1},
    {N_("600 delta ungrounded"), 3, 3, NONE, "B-G", -1, -1},
    {N_("600 delta ungrounded"), 3, 3, NONE, "C-G", -1, -1},
    {N_("240 delta corner grounded"), 3, 3, CORNER, "A-B", 240, 240.0},
    {N_("240 delta corner grounded"), 3, 3, CORNER, "B-C", 240, 240.0},
    {N_("240 delta corner grounded"), 3, 3, CORNER, "C-A", 240, 240.0},
    {N_("240 delta corner grounded"), 3, 3, CORNER, "A-G", 240, 240.0},
    {N_("240 delta corner grounded"), 3, 3, CORNER, "B-G", 0, 0.0},
    {N_("240 delta corner grounded"), 3, 3, CORNER, "C-G", 240, 240.0},
    {N_("480 delta corner grounded"), 3, 3, CORNER, "A-B", 480, 480.0},
    {N_("480 delta corner grounded"), 3, 3, CORNER, "B-C", 480, 480.0},
    {N_("480 delta corner grounded"), 3, 3, CORNER, "C-A", 480, 480.0},
    {N_("480 delta corner grounded"), 3, 3, CORNER, "A-G", 480, 480.0},
    {N_("480 delta corner grounded"), 3, 3, CORNER, "B-G", 0, 0.0},
    {N_("480 delta corner grounded"), 3, 3, CORNER, "C-G", 480, 480.0},
    {N_("24 control secondary"), 1, 2, ONE_SIDE, "X1-X2", 24, 24.0},
    {N_("24 control secondary"), 1, 2, ONE_SIDE, "X1-G", 24, 24.0},
    {N_("24 control secondary"), 1, 2, ONE_SIDE, "X2-G", 0, 0.0},
    {N_("24 control secondary floating"), 1, 2, NONE, "X1-X2", 24, 24.0},
    {N_("24 control secondary floating"), 1, 2, NONE, "X1-G", -1, -1},
    {N_("24 control secondary floating"), 1, 2, NONE, "X2-G", -1, -1},
    {N_("120 control secondary"), 1, 2, ONE_SIDE, "X1-X2", 120, 120.0},
    {N_("120 control secondary"), 1, 2, ONE_SIDE, "X1-G", 120, 120.0},
    {N_("120 control secondary"), 1, 2, ONE_SIDE, "X2-G", 0, 0.0},
};

/* Line-to-line and one-phase nominal volts of the systems above. */
static const double nominal_volts[] = {
    24, 120, 208, 240, 277, 347, 400, 415, 480, 600,
};
/* clang-format on */

const NominalPair *
nominal_pairs(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

const NominalPair *
nominal_pair_find(const char *system, const char *pair)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (strcmp(rows[i].system, system) == 0 && strcmp(rows[i].pair, pair) == 0)
      return &rows[i];
  return NULL;
}

double
nominal_system_to_ground(const char *system)
{
  double most = -1;
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (strcmp(rows[i].system, system) == 0 && g_str_has_suffix(rows[i].pair, "-G"))
      most = fmax(most, rows[i].exact);
  return most;
}

double
nominal_volts_nearest(double volts)
{
  double best = 0, distance = INFINITY;
  if (!(volts > 0) || isinf(volts))
    return 0;
  for (gsize i = 0; i < G_N_ELEMENTS(nominal_volts); i++) {
    double here = fabs(log(volts / nominal_volts[i]));
    if (here < distance) {
      distance = here;
      best = nominal_volts[i];
    }
  }
  return best;
}

double
nominal_volts_near(double volts)
{
  double nearest = nominal_volts_nearest(volts);
  return nearest > 0 && fabs(log(volts / nearest)) <= log(1.12) ? nearest : 0;
}
