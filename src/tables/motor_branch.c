/* SPDX-License-Identifier: MIT */
#include "tables/motor_branch.h"

#include <math.h>

/* Table 430.52(C)(1), one-phase and squirrel-cage motors. 430.52 READ (a guide), the figures by
 * kind of device from MEMORY. */
static const double percents[MOTOR_DEVICE_COUNT] = {
    [MOTOR_FUSE] = 300, [MOTOR_FUSE_TIME_DELAY] = 175, [MOTOR_BREAKER] = 250};

double
motor_conductor_amps(double largest, double rest)
{
  return 1.25 * largest + rest;
}

double
motor_device_percent(MotorDevice device)
{
  return percents[device];
}

double
motor_device_largest(double largest, double rest, MotorDevice device, CodeEdition edition)
{
  double amps = percents[device] / 100 * largest + rest;
  double up =
      standard_rating_up(amps, edition, device == MOTOR_BREAKER ? RATING_BREAKER : RATING_FUSE);
  return isnan(up) ? amps : up;
}

double
motor_compressor_device_largest(double largest, double rest, CodeEdition edition)
{
  double down = standard_rating_down(2.25 * largest + rest, edition, RATING_BREAKER);
  return fmax(isnan(down) ? 0 : down, 15);
}
