/* SPDX-License-Identifier: MIT */
/* A supply system from what a meter read: three line-to-line and three line-to-ground volts, any
 * of which may be missing. Derives the phasors, names the system and says how well the readings
 * fit together. Sources: law of cosines for the triangle; NEMA MG 1-14.36 for unbalance; nominal
 * voltages of ANSI C84.1 and IEC 60038. */
#pragma once

#include <complex.h>
#undef I
#include <glib.h>
#include <stdbool.h>

/* The C library offers CMPLX to one compiler only; the builtin is the same in both. */
#ifndef CMPLX
#define CMPLX(x, y) __builtin_complex((double)(x), (double)(y))
#endif

G_BEGIN_DECLS

typedef enum {
  SYSTEM_UNKNOWN,          /* not enough readings */
  SYSTEM_ONE_PHASE_2W,     /* a line and a grounded line: 120 V */
  SYSTEM_ONE_PHASE_3W,     /* 120/240 V with the midpoint grounded */
  SYSTEM_TWO_LINES_OF_WYE, /* 208 V, each 120 V to ground */
  SYSTEM_ONE_PHASE_UNGROUNDED,
  SYSTEM_WYE_GROUNDED,
  SYSTEM_DELTA_CORNER_GROUNDED,
  SYSTEM_DELTA_HIGH_LEG,
  SYSTEM_UNGROUNDED,       /* three-phase, no fixed voltage to ground */
  SYSTEM_IMPOSSIBLE
} SupplyClass;

/* Readings in volts; NAN or <= -1: missing. Order: L1-L2, L2-L3, L3-L1, L1-G, L2-G, L3-G.
 * One-phase: only L1-L2, L1-G, L2-G. */
typedef struct {
  double line[3];          /* line to line: L1-L2, L2-L3, L3-L1 */
  double ground[3];        /* line to ground */
  int phases;              /* 1 or 3, as drawn */
  bool neutral;            /* the supply as drawn has a neutral */
  bool reverse_rotation;   /* CBA */
  bool stated_ungrounded;  /* the user says so: readings to ground are then stray */
} SupplyReadings;

typedef struct {
  SupplyClass class_;
  double nominal_line;     /* 480 for 480Y/277; 0: none near */
  double nominal_ground;   /* 277; 0: not defined */
  double complex line_phasor[3]; /* of L1, L2, L3 to the reference (earth when grounded) */
  double complex neutral_phasor; /* where a neutral stands when there is one */
  bool grounded;           /* phasors are referred to earth */
  int special_line;        /* index of the grounded corner or of the high leg; -1 */
  double residual;         /* rms misfit of the readings, per unit of mean line-line */
  double unbalance;        /* NEMA, per unit; NAN when it cannot be told */
  double negative_sequence;/* |V2|/|V1|; NAN */
  bool lost_phase;         /* two lines tied or one lost */
  int lost_line;           /* index of the line that feeds nothing; -1: none */
  bool ambiguous;          /* cannot be told apart; ambiguity says what to measure next */
  char name[96];           /* "480Y/277 V, 3-phase, grounded wye" */
  char problem[480];       /* reason when impossible, else "" */
  char ambiguity[480];     /* what cannot be told and what to measure next, else "" */
  guint readings_given;    /* how many of the six */
} SupplySystem;

/* Readings count as open-circuit volts. All three line-to-line readings are kept exactly (law of
 * cosines) and earth is put where the line-to-ground readings fit best; a missing reading is taken
 * from the system the others name. No system is named from readings that fit several: then the
 * lines are known to each other and class_ is one of the ungrounded ones, with ambiguous set.
 * UNKNOWN and IMPOSSIBLE have no phasors. V12 stands at 30 degrees (-30 for reverse rotation) for
 * three phases, so that L1 of a wye is at 0; at 0 degrees for one phase. */
SupplySystem supply_derive(const SupplyReadings *readings);
/* Unbalance of three line-to-line readings per NEMA MG 1, per unit. */
double supply_nema_unbalance(double ab, double bc, double ca);
const char *supply_class_title(SupplyClass class_);
/* Whether the phasors can feed a circuit. */
bool supply_is_known(const SupplySystem *system);
/* A reading that was given: a number from 0 up. */
bool supply_reading_given(double volts);

G_END_DECLS
