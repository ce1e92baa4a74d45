/* SPDX-License-Identifier: MIT */
/* What a device kind may add to a circuit. Terminals are the device's own indices;
 * STAMP_EARTH is node 0. Nothing here fails: values out of range are clamped to what is
 * physical and noted as a finding.
 *
 * A stamp without a source device (tests and network readers on a bare circuit) takes node
 * numbers where terminals stand. */
#pragma once

#include "circuit/circuit.h"

G_BEGIN_DECLS

#define STAMP_EARTH (-1)

struct Stamp {
  Circuit *circuit;
  guint device;            /* index in the document */
  const Device *source;
};

/* Generic adders; each fills owner (keeping owner.part as given) and returns the index in its
 * array, or G_MAXUINT for a terminal that is not there. stamp_join sets coil to -1 and opens a
 * lockable join of a locked-out circuit. */
guint stamp_join(Stamp *stamp, int a, int b, Join join);
guint stamp_impedance(Stamp *stamp, int a, int b, Phasor z, ImpedanceRole role, guint part);
guint stamp_load(Stamp *stamp, int a, int b, Load load);
guint stamp_coil(Stamp *stamp, int a, int b, Coil coil);
guint stamp_motor(Stamp *stamp, int a, int b, int c, Motor motor);
guint stamp_stray(Stamp *stamp, int a, int b, double farads);

/* A contact worked by the coil of the device with this designation or id (same or another
 * device). It is linked after every device has been stamped; without any such coil it stays as
 * drawn and a finding says so. NULL or "": as drawn, no finding. */
guint stamp_contact(Stamp *stamp, int a, int b, Join join, const char *coil_designation);

/* A supply. lines: terminal index of L1..L3 or INT_MIN; neutral likewise; earth: the ground lug's
 * terminal (bonded to node 0; circuit_build does it when the terminal's role is TERMINAL_EARTH).
 * Adds EMFs behind Thevenin impedances:
 *   grounded: from the neutral terminal if there is one (bonded to earth), else from earth, to
 *     each line; a grounded line is bonded to earth itself and the others rise from it;
 *   not grounded: between the lines only, so that earth is another island.
 * Z = V_LL / (sqrt 3 I) for three phases, V / I between the lines of one; r = Z / sqrt(1+(X/R)^2).
 * Zero-sequence impedance is taken as equal, so line-to-ground fault currents are approximate.
 * Unknown or impossible readings: no EMF, the supply is dead and CircuitSupply.system says why. */
typedef struct {
  int lines[3], neutral, earth;
  SupplyReadings readings;
  double frequency, fault_amps, x_over_r; /* 0: 60 Hz, ideal source, STAMP_X_OVER_R */
} StampSupply;
/* X/R when it is not stated: power factor 0.2, the test circuit of low-voltage breakers above
 * 20 kA (UL 489; from memory). */
#define STAMP_X_OVER_R 4.9
void stamp_supply(Stamp *stamp, const StampSupply *supply);

/* A transformer from its nameplate. One entry a lead; leads of one winding share `winding` (a
 * number); inside a winding the lead with the lowest volts is the common end. */
typedef struct {
  int terminal;
  guint winding;           /* from 0; windings with secondary false are primaries */
  bool secondary;
  double volts;            /* nameplate volts from the winding's common end */
  int row;
} StampLead;
typedef struct {
  double rating;           /* VA */
  double frequency_ratio;  /* applied over rated frequency, 1 normally */
  double regulation;       /* per unit at rated load, pf 1; < 0: not stated */
  double impedance;        /* per unit; < 0: not stated; regulation wins when both are given */
  double x_over_r;         /* <= 0: default by size */
  double no_load_rise;     /* per unit: open secondary volts over rated less 1; < 0: default */
  double no_load_current;  /* per unit of rated; <= 0: default by size */
  const StampLead *leads;
  guint n_leads;
} StampTransformer;
void stamp_transformer(Stamp *stamp, const StampTransformer *transformer);

G_END_DECLS
