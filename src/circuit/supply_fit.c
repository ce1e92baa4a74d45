/* SPDX-License-Identifier: MIT */
#include "circuit/supply_fit.h"

#include <math.h>

#define WYE 0.57735026918962576 /* 1 / sqrt 3 */
#define HIGH 0.86602540378443865

const SupplyPattern supply_patterns[SUPPLY_PATTERN_COUNT] = {
    {SYSTEM_WYE_GROUNDED, -1, {WYE, WYE, WYE}},   {SYSTEM_DELTA_CORNER_GROUNDED, 0, {0, 1, 1}},
    {SYSTEM_DELTA_CORNER_GROUNDED, 1, {1, 0, 1}}, {SYSTEM_DELTA_CORNER_GROUNDED, 2, {1, 1, 0}},
    {SYSTEM_DELTA_HIGH_LEG, 0, {HIGH, 0.5, 0.5}}, {SYSTEM_DELTA_HIGH_LEG, 1, {0.5, HIGH, 0.5}},
    {SYSTEM_DELTA_HIGH_LEG, 2, {0.5, 0.5, HIGH}},
};

double
supply_pattern_distance(const SupplyPattern *pattern, const double ground[3], double line_volts,
                        guint mask)
{
  double sum = 0;
  int n = 0;
  for (int i = 0; i < 3; i++)
    if ((mask & (1u << i)) && supply_reading_given(ground[i])) {
      double off = ground[i] / line_volts - pattern->ground[i];
      sum += off * off;
      n++;
    }
  return n > 0 ? sqrt(sum / n) : (double)NAN;
}

guint
supply_pattern_matches(const double ground[3], double line_volts, guint mask)
{
  guint matches = 0;
  for (guint i = 0; i < SUPPLY_PATTERN_COUNT; i++)
    if (supply_pattern_distance(&supply_patterns[i], ground, line_volts, mask) <
        SUPPLY_PATTERN_TOLERANCE)
      matches |= 1u << i;
  return matches;
}

static double complex
at_angle(double length, double radians)
{
  return CMPLX(length * cos(radians), length * sin(radians));
}

void
supply_triangle(const double line[3], bool reverse, double complex corners[3])
{
  double ab = line[0], bc = line[1], ca = line[2];
  double cosine = ab > 0 && ca > 0 ? (ab * ab + ca * ca - bc * bc) / (2 * ab * ca) : 1;
  double at_l1 = acos(MIN(MAX(cosine, -1), 1));
  double turn = reverse ? -1 : 1;
  corners[0] = 0;
  corners[1] = at_angle(ab, turn * 210 * G_PI / 180);
  corners[2] = at_angle(ca, turn * (210 * G_PI / 180 - at_l1));
}

static double
weighted_squares(const double complex corners[3], const double ground[3], const double weight[3],
                 double complex g)
{
  double sum = 0;
  for (int i = 0; i < 3; i++) {
    double r = weight[i] * (cabs(corners[i] - g) - ground[i]);
    sum += r * r;
  }
  return sum;
}

/* One damped Gauss-Newton step; the normal equations are two by two. */
static double complex
damped_step(const double complex corners[3], const double ground[3], const double weight[3],
            double complex g, double damping)
{
  double xx = 0, xy = 0, yy = 0, bx = 0, by = 0;
  for (int i = 0; i < 3; i++) {
    double complex away = g - corners[i];
    double distance = cabs(away);
    if (distance < 1e-12)
      continue; /* no direction on the kink; the other readings decide */
    double ux = weight[i] * creal(away) / distance, uy = weight[i] * cimag(away) / distance;
    double r = weight[i] * (distance - ground[i]);
    xx += ux * ux;
    xy += ux * uy;
    yy += uy * uy;
    bx -= ux * r;
    by -= uy * r;
  }
  xx *= 1 + damping;
  yy *= 1 + damping;
  double det = xx * yy - xy * xy;
  if (det < 1e-18 * (xx + yy) * (xx + yy)) {
    xx += 1e-6 * (xx + yy);
    yy += 1e-6 * (xx + yy);
    det = xx * yy - xy * xy;
  }
  if (det <= 0)
    return 0;
  return CMPLX((bx * yy - by * xy) / det, (by * xx - bx * xy) / det);
}

static double
descend(const double complex corners[3], const double ground[3], const double weight[3],
        double complex *g)
{
  double damping = 1e-3, best = weighted_squares(corners, ground, weight, *g);
  for (int i = 0; i < 100 && damping < 1e9; i++) {
    double complex step = damped_step(corners, ground, weight, *g, damping);
    double squares = weighted_squares(corners, ground, weight, *g + step);
    if (squares >= best) {
      damping *= 10;
      continue;
    }
    bool done = best - squares < 1e-15 * best;
    *g += step;
    best = squares;
    damping = MAX(damping / 10, 1e-9);
    if (done)
      break;
  }
  return best;
}

double complex
supply_ground_point(const double complex corners[3], const double ground[3], double line_volts)
{
  double weight[3];
  for (int i = 0; i < 3; i++)
    weight[i] = 1 / MAX(ground[i], 0.05 * line_volts);
  double complex starts[7] = {(corners[0] + corners[1] + corners[2]) / 3};
  for (int i = 0; i < 3; i++) {
    starts[1 + i] = corners[i];
    starts[4 + i] = (corners[i] + corners[(i + 1) % 3]) / 2;
  }
  double complex best = starts[0];
  double least = INFINITY;
  for (int i = 0; i < 7; i++) {
    /* Off the corner, where a distance of zero has no direction. */
    double complex g = starts[i] + CMPLX(0.013, 0.017) * line_volts;
    double squares = descend(corners, ground, weight, &g);
    if (squares < least) {
      least = squares;
      best = g;
    }
  }
  return best;
}

double
supply_ground_misfit(const double complex corners[3], double complex earth, const double ground[3],
                     double line_volts)
{
  double sum = 0;
  int n = 0;
  for (int i = 0; i < 3; i++)
    if (supply_reading_given(ground[i])) {
      double off = (cabs(corners[i] - earth) - ground[i]) / line_volts;
      sum += off * off;
      n++;
    }
  return n > 0 ? sqrt(sum / n) : 0;
}
