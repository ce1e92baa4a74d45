/* SPDX-License-Identifier: MIT */
/* What a conductor may carry where it runs: size, metal, insulation, the air round it, its company
 * in the raceway, and the terminals at its ends. Private to the checks.
 *
 * Source: NFPA 70 310.16, 310.15(B)(1) (air), 310.15(C)(1) (more than three conductors that carry
 * current in a raceway or cable; not in nipples of 24 in or less), 110.14(C)(1) (terminals),
 * 240.4(B) and (D) (the device ahead), 240.4(G) (motors have their own rules), 402.5 (18 and 16
 * AWG). */
#pragma once

#include "checks/survey.h"

G_BEGIN_DECLS

typedef struct {
  guint index;
  const Conductor *conductor;
  const char *name;
  guint node; /* one end */
  Quantity size;
  Metal metal;
  double insulation_celsius; /* as stated; NAN: as the terminals allow */
  double terminal_celsius;   /* the lower of both ends */
  double ambient;            /* hottest air on its way, C */
  guint bundled;             /* conductors that carry current in its raceway; 1: alone */
  double base;               /* amperes of the table for the insulation */
  double air_factor, bundle_factor;
  double terminal_amps; /* amperes of the column the terminals allow */
  double ampacity;      /* the smaller of base with factors and terminal_amps; NAN: size unknown */
} Wire;

/* False when the conductor lands on nothing. */
bool wire_at(const Survey *survey, guint index, Wire *wire);
/* Only the ampacity; NAN. */
double wire_ampacity(const Survey *survey, guint index);
/* Largest device that may stand ahead, 240.4(B) and (D); not for motors and class 2. */
double wire_device_limit(const Survey *survey, const Wire *wire);
/* Smallest size that carries amps there and may stand behind a device (0: none). */
bool wire_size_for(const Survey *survey, const Wire *wire, double amps, double device,
                   Quantity *size);
/* How the ampacity comes about: "20 A of Table 310.16 (60 C) x 0.82 for air of 40 C". Lives as
 * long as the survey. */
const char *wire_explain(const Survey *survey, const Wire *wire);
/* Whether the conductor is known to be a grounding conductor or to end in a cap. */
bool wire_carries_nothing(const Survey *survey, guint index);

/* By conductor: how many in its raceway carry current, class 2 conductors aside; 1 when no raceway
 * is named. Part of survey_new. */
void survey_raceways(Survey *survey);

G_END_DECLS
