/* SPDX-License-Identifier: MIT */
/* What uses power, a load or a coil, and the volts it gets. Private to the checks. */
#pragma once

#include "checks/survey.h"

G_BEGIN_DECLS

/* Below this share of the least accepted volts a load counts as not fed. */
#define DEAD_SHARE 0.05

typedef struct {
  guint a, b;
  double low, high; /* accepted; 0: not stated */
  double volts;
  bool coil;
  const char *id;
} Use;

guint use_count(const CheckContext *context);
/* Loads first, then coils. False when the nameplate says nothing. */
bool use_at(const Survey *survey, guint index, Use *use);
/* Whether its volts mean something: solved, no short, not dead. */
bool use_judged(const Survey *survey, const Use *use);

G_END_DECLS
