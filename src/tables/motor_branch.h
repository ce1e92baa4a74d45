/* SPDX-License-Identifier: MIT */
/* Conductors and protection of motor branch circuits.
 *
 * Source: NFPA 70 430.22 and 430.24 (conductors: 125 % of the largest motor and the rest), Table
 * 430.52(C)(1) with its Exception 1 (one motor: per cent of its amperes by kind of device, next
 * standard rating up), 440.33 and 440.22 (hermetic compressors: at most 225 % and the rest, down to
 * a standard rating). 2020 and 2023 agree; amperes by nameplate. */
#pragma once

#include "tables/standard_ratings.h"

G_BEGIN_DECLS

typedef enum { MOTOR_FUSE, MOTOR_FUSE_TIME_DELAY, MOTOR_BREAKER, MOTOR_DEVICE_COUNT } MotorDevice;

/* Amperes the conductors have to carry; rest: all other loads of the circuit. */
double motor_conductor_amps(double largest, double rest);
/* 300, 175, 250. */
double motor_device_percent(MotorDevice device);
/* The largest fuse or inverse-time breaker ahead of a motor and whatever else it feeds. */
double motor_device_largest(double largest, double rest, MotorDevice device, CodeEdition edition);
/* The same for equipment with a hermetic compressor: what its nameplate calls the maximum device,
 * 15 A at least. */
double motor_compressor_device_largest(double largest, double rest, CodeEdition edition);

G_END_DECLS
