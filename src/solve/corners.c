/* SPDX-License-Identifier: MIT */
#include "solve/corners.h"

#include "base/language.h"

#include <math.h>

#define ALL_COMBINATIONS 4u /* loads up to which every combination is solved */
#define SINGLE_LOADS 16u    /* ...and up to which each is switched off by itself */

static void
corner_free(gpointer data)
{
  Corner *corner = data;
  solution_free(corner->solution);
  g_clear_pointer(&corner->own_loads, g_array_unref);
  g_clear_pointer(&corner->own_motors, g_array_unref);
  g_clear_pointer(&corner->own_segments, g_array_unref);
  g_free(corner);
}

void
corners_clear(Corners *corners)
{
  g_ptr_array_unref(corners->corners);
  solve_session_free(corners->session);
}

/* Loads first, then motors; a bit set in off_mask opens that one. */
static void
switch_off(Corner *corner, guint off_mask)
{
  corner->own_loads = g_array_copy(corner->circuit.loads);
  corner->own_motors = g_array_copy(corner->circuit.motors);
  guint n_loads = corner->own_loads->len;
  for (guint i = 0; i < n_loads + corner->own_motors->len; i++) {
    if (!(off_mask & (1u << i)))
      continue;
    if (i < n_loads) {
      circuit_item(corner->own_loads, Load, i)->power = 0;
    } else {
      Motor *motor = circuit_item(corner->own_motors, Motor, i - n_loads);
      motor->y_positive = motor->y_negative = 0;
    }
  }
  corner->circuit.loads = corner->own_loads;
  corner->circuit.motors = corner->own_motors;
}

/* What is moved: the turns of the secondaries, or the impedance of all windings, of one core or of
 * every core (G_MAXUINT). */
typedef struct {
  guint core;
  double turns, impedance; /* factors */
} Move;

static void
move_nameplate(Corner *corner, Move move)
{
  corner->own_segments = g_array_copy(corner->circuit.segments);
  for (guint i = 0; i < corner->own_segments->len; i++) {
    Segment *segment = circuit_item(corner->own_segments, Segment, i);
    if (move.core != G_MAXUINT && segment->core != move.core)
      continue;
    if (segment->secondary)
      segment->turns *= move.turns;
    segment->z *= move.impedance;
  }
  corner->circuit.segments = corner->own_segments;
}

/* Appends an unsolved corner. */
static Corner *
new_corner(Corners *corners, double scale, bool all_off)
{
  Corner *corner = g_new0(Corner, 1);
  corner->circuit = *corners->circuit;
  g_ptr_array_add(corners->corners, corner);
  double nominal = corners->circuit->options.supply_scale;
  corner->circuit.options.supply_scale = (nominal > 0 ? nominal : 1) * scale;
  corner->circuit.options.loads_off = all_off || corners->circuit->options.loads_off;
  return corner;
}

static bool
solve_corner(Corners *corners, Corner *corner, double scale, GError **error)
{
  corner->solution =
      solve_session_solve(corners->session, &corner->circuit, corners->solution, error);
  if (corner->solution != NULL)
    return true;
  g_prefix_error(error,
                 corner->circuit.options.loads_off
                     ? _("The range of readings cannot be worked out with the supply at %.0f %% "
                         "and all loads off: ")
                     : _("The range of readings cannot be worked out with the supply at %.0f %%: "),
                 100 * scale);
  return false;
}

static bool
add_whole(Corners *corners, double scale, bool all_off, guint off_mask, GError **error)
{
  Corner *corner = new_corner(corners, scale, all_off);
  if (off_mask != 0)
    switch_off(corner, off_mask);
  return solve_corner(corners, corner, scale, error);
}

static bool
add_swing(Corners *corners, double scale, guint base, Move move, GError **error)
{
  const Corner *from = g_ptr_array_index(corners->corners, base);
  Corner *corner = new_corner(corners, scale, from->circuit.options.loads_off);
  corner->kind = CORNER_SWING;
  corner->base = base;
  move_nameplate(corner, move);
  if (!solve_corner(corners, corner, scale, error))
    return false;
  for (guint i = 0; i < corner->circuit.joins->len; i++)
    corner->switched |= corner->solution->join_closed[i] != from->solution->join_closed[i];
  return true;
}

static bool
core_is_fed(const Corners *corners, guint core)
{
  return core == G_MAXUINT || cabs(corners->solution->core_flux[core]) > 1e-6;
}

/* Down at the low end of the supply, up at its high end, so that a relay that would drop out there
 * does. With the loads off no current shows a winding's impedance. */
static bool
add_swings(Corners *corners, double scale, int direction, guint on, guint off, GError **error)
{
  guint n = corners->circuit->cores->len;
  double ratio = corners->variation.ratio_tolerance;
  double impedance = corners->variation.impedance_tolerance;
  bool together = n > CORNERS_SINGLE_CORES;
  for (guint k = 0; k < (together ? 1 : n); k++) {
    guint core = together ? G_MAXUINT : k;
    if (!core_is_fed(corners, core))
      continue;
    Move turns = {core, 1 + direction * ratio, 1}, loss = {core, 1, 1 - direction * impedance};
    if (ratio > 0 && (!add_swing(corners, scale, on, turns, error) ||
                      (off != on && !add_swing(corners, scale, off, turns, error))))
      return false;
    if (impedance > 0 && !add_swing(corners, scale, on, loss, error))
      return false;
  }
  return true;
}

static bool
add_load_corners(Corners *corners, double scale, guint all_on, GError **error)
{
  guint n = corners->circuit->loads->len + corners->circuit->motors->len;
  if (!add_whole(corners, scale, true, 0, error))
    return false;
  if (n <= ALL_COMBINATIONS) {
    for (guint mask = 1; mask < 1u << n; mask++)
      if (!add_whole(corners, scale, false, mask, error))
        return false;
  } else if (n <= SINGLE_LOADS) {
    for (guint i = 0; i < n; i++) {
      if (!add_whole(corners, scale, false, 1u << i, error))
        return false;
      Corner *corner = g_ptr_array_index(corners->corners, corners->corners->len - 1);
      corner->kind = CORNER_SINGLE;
      corner->base = all_on;
    }
  }
  return true;
}

static double
sane_scale(double scale)
{
  return isfinite(scale) && scale > 0 ? scale : 1;
}

static double
sane_tolerance(double tolerance)
{
  return isfinite(tolerance) ? CLAMP(tolerance, 0, 0.5) : 0;
}

static bool
add_end(Corners *corners, double scale, int direction, GError **error)
{
  guint on = corners->corners->len, off = on;
  if (!add_whole(corners, scale, false, 0, error))
    return false;
  if (corners->variation.loads_may_be_off) {
    off = on + 1;
    if (!add_load_corners(corners, scale, on, error))
      return false;
  }
  return add_swings(corners, scale, direction, on, off, error);
}

bool
corners_solve(Corners *corners, const Circuit *circuit, const Solution *solution,
              const ExpectedVariation *variation, GError **error)
{
  *corners = (Corners){.circuit = circuit,
                       .solution = solution,
                       .variation = variation != NULL ? *variation : expected_variation_default,
                       .session = solve_session_new(),
                       .corners = g_ptr_array_new_with_free_func(corner_free)};
  ExpectedVariation *v = &corners->variation;
  v->ratio_tolerance = sane_tolerance(v->ratio_tolerance);
  v->impedance_tolerance = sane_tolerance(v->impedance_tolerance);
  double low = sane_scale(v->supply_low), high = sane_scale(v->supply_high);
  if (!add_end(corners, MIN(low, high), -1, error))
    return false;
  return low == high || add_end(corners, MAX(low, high), 1, error);
}

/* ------------------------------------------------------------------------------------- ranges */

static bool
corner_volts(const Corners *corners, guint index, guint a, guint b, double *volts)
{
  const Corner *corner = g_ptr_array_index(corners->corners, index);
  Reading reading = solution_reading(corner->solution, a, b);
  *volts = cabs(reading.volts);
  return reading.state == READING_LIVE || reading.state == READING_DEAD;
}

/* How far a corner's reading lies from that of its base: volts, or the length of the phasor between
 * them, which no other angle can exceed. NAN where either has no fixed voltage. */
static double
moved_by(const Corners *corners, guint index, guint a, guint b, double *distance)
{
  const Corner *corner = g_ptr_array_index(corners->corners, index);
  const Corner *base = g_ptr_array_index(corners->corners, corner->base);
  double volts = 0, from = 0;
  if (!corner_volts(corners, index, a, b, &volts) ||
      !corner_volts(corners, corner->base, a, b, &from))
    return NAN;
  *distance = cabs(solution_reading(corner->solution, a, b).volts -
                   solution_reading(base->solution, a, b).volts);
  return volts - from;
}

/* The corners themselves, then what several single loads off at once may add up to. */
static void
range_of_loads(const Corners *corners, guint a, guint b, double *low, double *high)
{
  double rise = 0, fall = 0, volts = 0, distance = 0;
  for (guint i = 0; i < corners->corners->len; i++) {
    const Corner *corner = g_ptr_array_index(corners->corners, i);
    if (corner->kind != CORNER_SINGLE)
      rise = fall = 0; /* a corner of the next supply scale */
    if (!corner_volts(corners, i, a, b, &volts))
      continue;
    if (corner->kind == CORNER_SWING && !corner->switched)
      continue;
    *low = MIN(*low, volts);
    *high = MAX(*high, volts);
    double move =
        corner->kind == CORNER_SINGLE ? moved_by(corners, i, a, b, &distance) : (double)NAN;
    if (isnan(move))
      continue;
    rise += MAX(move, 0);
    fall += MAX(-move, 0);
    *low = MIN(*low, MAX(volts - move - fall, 0));
    *high = MAX(*high, volts - move + rise);
  }
}

/* Sum over the moved nameplates of what each moves the reading, the most at any end of the supply
 * and with loads on or off. */
static double
swing_of_nameplates(const Corners *corners, guint a, guint b)
{
  double most = 0, distance = 0;
  guint n = corners->corners->len, moved = 0;
  g_autofree double *sums = g_new0(double, n);
  g_autofree guint *counts = g_new0(guint, n);
  for (guint i = 0; i < n; i++) {
    const Corner *corner = g_ptr_array_index(corners->corners, i);
    if (corner->kind != CORNER_SWING)
      continue;
    if (!corner->switched && !isnan(moved_by(corners, i, a, b, &distance)))
      sums[corner->base] += distance;
    most = MAX(most, sums[corner->base]);
    moved = MAX(moved, ++counts[corner->base]);
  }
  /* One transformer behind another compounds. */
  return most * (1 + moved * corners->variation.ratio_tolerance);
}

void
corners_range(const Corners *corners, guint a, guint b, double *low, double *high)
{
  range_of_loads(corners, a, b, low, high);
  double swing = swing_of_nameplates(corners, a, b);
  *low = MAX(*low - swing, 0);
  *high += swing;
}
