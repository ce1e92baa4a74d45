/* SPDX-License-Identifier: MIT */
/* The on-screen meter: volts between two points, amperes in a conductor, ohms between two points
 * of a circuit that is locked out. It shows what a real meter would show, ghost volts included,
 * and says when a reading means nothing. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef enum {
  METER_READS,     /* value is the reading */
  METER_GHOST,     /* value comes through stray capacitance: it collapses under any load */
  METER_DRIFTS,    /* no fixed voltage and nothing that couples: the display wanders */
  METER_OPEN,      /* ohms: above the meter's range, "OL" */
  METER_OVERRANGE, /* amperes without limit: a dead short of an ideal source */
  METER_REFUSED,   /* ohms on a live circuit: never done */
  METER_SATURATED  /* a saturated core decides it: value is good for one digit, and 0 where even
                    * that would be a guess ("many times rated") */
} MeterState;

typedef struct {
  MeterState state;
  Unit unit;
  double value;   /* volts, amperes or ohms; 0 unless READS, GHOST, SATURATED; never NAN */
  double degrees; /* volts and amperes */
  char note[200]; /* what to know about this reading; "" when there is nothing */
} MeterReading;

/* Input resistance, ohms (common practice, no source): digital meters, and the low-impedance
 * range or solenoid testers that load a ghost away. */
#define METER_HIGH_OHMS 10e6
#define METER_LOW_OHMS 3e3
/* Above this an ohmmeter shows OL. */
#define METER_OPEN_OHMS 40e6

typedef enum { METER_HIGH_IMPEDANCE, METER_LOW_IMPEDANCE } MeterInput;

/* circuit: the one that was solved. Points that stand to each other read as solution_reading;
 * others are solved again with the stray capacitances and the meter's own resistance. */
bool meter_volts(const Circuit *circuit, const Solution *solution, guint a, guint b,
                 MeterInput input, MeterReading *out, GError **error);

/* A clamp round one conductor, counted from its first landing to its second; or round the lead of
 * any other branch with this owner. A broken conductor reads 0. */
bool meter_amps(const Circuit *circuit, const Solution *solution, Owner owner, MeterReading *out,
                GError **error);

/* Direct-current resistance through closed joins, conductors, windings (the resistive part of
 * each segment) and loads, with the contacts as the solution left them. Refused while either
 * point stands away from earth by more than 1 V or belongs to a live island that floats.
 * Assumptions, said in the note when a load is part of the reading:
 *   constant-impedance load, coil: the resistive part of V^2 / S* (a cold lamp reads less);
 *   constant-power and constant-current load: an electronic input, open to an ohmmeter;
 *   motor: half the resistance of its negative-sequence (locked rotor) impedance in each leg of a
 *   star (from memory: rotor and stator share it about equally);
 *   capacitor: open once charged. */
bool meter_ohms(const Circuit *circuit, const Solution *solution, guint a, guint b,
                MeterReading *out, GError **error);

/* "118.4 V", "OL", "12.3 mA", "- V", "about 50 V", "many times rated". New string. */
char *meter_reading_text(const MeterReading *reading);

/* "reads", "ghost", "drifts", "open", "overrange", "refused", "saturated". */
const char *meter_state_word(MeterState state);

G_END_DECLS
