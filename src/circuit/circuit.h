/* SPDX-License-Identifier: MIT */
/* The circuit a document describes: terminals and branches as plain arrays, each remembering the
 * device and terminals it came from. Made once by circuit_build and then const: solving never
 * changes it. Root-mean-square phasors, volts, amperes, ohms, volt-amperes; angles in radians.
 *
 * Node 0 is earth. Every device terminal is a node of its own; zero-ohm connections are Join
 * branches that the solver merges (no tiny resistors). Index = position in the array. */
#pragma once

#include "circuit/supply.h"
#include "diagram/document.h"
#include <complex.h>
#undef I /* clashes with current fields; use _Complex_I */

G_BEGIN_DECLS

typedef double complex Phasor;

/* Where a branch came from: device index in the document, or conductor index. */
typedef enum { OWNER_DEVICE, OWNER_CONDUCTOR } OwnerKind;
typedef struct {
  OwnerKind kind;
  guint index;
  guint part;      /* pole, phase, segment or contact within the owner, from 0 */
} Owner;

/* A node is a device terminal; node 0 (earth) has device G_MAXUINT, as has every node of a bare
 * circuit. */
typedef struct {
  guint device;
  guint terminal;
} NodePlace;

typedef enum {
  JOIN_CONDUCTOR, JOIN_SPLICE, JOIN_BOND, /* bond: a ground lug, an earth terminal, to node 0 */
  JOIN_DISCONNECT, JOIN_BREAKER, JOIN_FUSE, JOIN_CONTACT, JOIN_SWITCH, JOIN_INTERNAL
} JoinRole;

/* A connection without impedance that may be open. */
typedef struct {
  guint a, b;
  JoinRole role;
  bool closed;         /* as drawn; a contact worked by a coil: its de-energized state */
  int coil;            /* coil index that works it, or -1 */
  bool lockable;       /* opened by locking out */
  double rated_amps;   /* 0: unknown */
  double rated_volts;  /* 0: unknown; for a slash rating the higher figure */
  double rated_volts_to_ground; /* slash rating's lower figure; 0: straight rating */
  double interrupting_amps;     /* 0: unknown */
  guint gang;          /* poles with the same gang of one owner open together */
  Owner owner;
} Join;

/* A constant impedance: a conductor of known size and length, a heater, a resistive load. */
typedef enum { IMPEDANCE_CONDUCTOR, IMPEDANCE_LOAD, IMPEDANCE_CAPACITOR, IMPEDANCE_OTHER }
ImpedanceRole;
typedef struct {
  guint a, b;
  Phasor z;
  ImpedanceRole role;
  Owner owner;
} Impedance;

/* An electromotive force from b to a behind an impedance (z may be 0). */
typedef struct {
  guint a, b;
  Phasor emf, z;
  Owner owner;
} Source;

typedef enum { LOAD_CONSTANT_IMPEDANCE, LOAD_CONSTANT_POWER, LOAD_CONSTANT_CURRENT } LoadBehaviour;

/* A load from its nameplate. Constant power or current holds within [v_low, v_high]; outside it
 * the load behaves as the impedance it has at that end, so that a solution always exists. */
typedef struct {
  guint a, b;
  LoadBehaviour behaviour;
  Phasor power;            /* VA at rated volts: W + j var */
  double rated_volts;
  double accepts_low, accepts_high; /* nameplate range; checks use it; 0: not stated */
  double v_low, v_high;    /* window of the behaviour */
  Owner owner;
} Load;

/* Core of a transformer: one flux unknown. Per unit of rated flux. */
typedef struct {
  double rating;           /* VA */
  double excitation_conductance;  /* g, VA: no-load loss at rated flux */
  double excitation_susceptance;  /* b0, VA: magnetizing at rated flux, > 0 */
  double knee;             /* per-unit flux where saturation begins; 0: never saturates */
  double saturated_susceptance;   /* extra VA per unit flux above the knee */
  Owner owner;
} Core;

/* One stretch of a winding between neighbouring taps. */
typedef struct {
  guint a, b;              /* a is the end with more volts from the common */
  guint core;
  double turns;            /* volts of the stretch at rated flux, > 0 */
  Phasor z;                /* its share of winding impedance */
  bool secondary;
  double rated_volts;      /* nameplate volts of lead a less lead b */
  double rated_amps;       /* rating / winding volts; 0: unknown */
  Owner owner;             /* part: row of lead a */
} Segment;

/* Operating coil of a relay or contactor. Admittances at rated volts. */
typedef struct {
  guint a, b;
  double rated_volts;
  Phasor sealed_va, inrush_va;
  double pick_up, drop_out; /* volts */
  Owner owner;
} Coil;

/* Three-terminal motor, by sequence admittance (siemens). A one-phase motor is a Load. */
typedef struct {
  guint a, b, c;
  Phasor y_positive, y_negative;
  double rated_volts, rated_amps;
  Owner owner;
} Motor;

/* Capacitance to earth that only a high-impedance meter notices; not part of the main solution. */
typedef struct {
  guint a, b;
  double farads;
  Owner owner;
} Stray;

/* Two impedances of one line that share a magnetic field: the current of each drops z volts per
 * ampere along the other, with a to b the reference direction of both. */
typedef struct {
  guint first, second;     /* indices of impedances */
  Phasor z;
} Coupling;

/* Three-terminal element given by its line currents: into a, b and c as the matrix times the
 * voltages ab, bc and ca (siemens). Any delta- or wye-connected apparatus known from outside. */
typedef struct {
  guint a, b, c;
  Phasor y[3][3];
  Owner owner;
} DeltaLoad;

/* A supply as derived from its readings; see supply.h. */
typedef struct {
  guint device;            /* index in the document */
  SupplySystem system;
  guint line_nodes[3];     /* node of L1, L2, L3; G_MAXUINT where there is none */
  guint neutral_node;      /* G_MAXUINT where there is none */
  double fault_amps;       /* stated; 0: unknown (an ideal source) */
  double frequency;
} CircuitSupply;

/* Building opens the lockable joins; the other two are read when the circuit is solved, so that
 * the arrays hold what was measured and rated and a corner study is a shallow copy with other
 * options. */
typedef struct {
  bool locked_out;     /* lockable joins open; everything else as drawn */
  double supply_scale; /* 1: as measured; corner studies scale all EMFs; 0 means 1 */
  bool loads_off;      /* loads, motors and coils draw nothing (no-load readings) */
} CircuitOptions;

/* A contact that waits for its coil until all devices are stamped. Private to the circuit layer. */
typedef struct {
  guint join;
  char *designation;
} ContactLink;

typedef struct Circuit {
  CircuitOptions options;
  const Document *document;    /* snapshot owned by the circuit */
  guint n_nodes;               /* with node 0 */
  NodePlace *places;           /* n_nodes */
  guint *first_node;           /* per device: node of its terminal 0 */
  GArray *joins, *impedances, *sources, *loads, *cores, *segments, *coils, *motors, *strays;
  GArray *supplies;            /* of CircuitSupply */
  /* What building noticed about nameplates and coils (Finding *). How well the supply's readings
   * fit is not repeated here: supplies[].system says it and the checks report it. */
  GPtrArray *findings;
  GArray *contact_links;       /* of ContactLink; empty once built */
  GArray *couplings;           /* of Coupling; NULL counts as empty */
  GArray *deltas;              /* of DeltaLoad; NULL counts as empty */
} Circuit;

/* options NULL: energized as drawn. Never fails on a document the reader or an edit accepts. */
Circuit *circuit_build(const Document *document, const CircuitOptions *options);
void circuit_free(Circuit *circuit);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Circuit, circuit_free)

guint circuit_node(const Circuit *circuit, guint device, guint terminal);
/* Node of a landing; device NULL or "GND" means earth. G_MAXUINT: not there. */
guint circuit_node_of_landing(const Circuit *circuit, const Landing *landing);
/* "T1.H2", or "GND" for earth. New string. */
char *circuit_node_name(const Circuit *circuit, guint node);
/* "T1", "conductor 101". New string. */
char *circuit_owner_name(const Circuit *circuit, Owner owner);

#define circuit_item(array, Type, index) (&g_array_index((array), Type, (index)))

/* An empty circuit without document, for tests and network readers that fill the arrays through
 * stamp.h; nodes 1..n_nodes-1 have no place. */
Circuit *circuit_new_bare(guint n_nodes);

G_END_DECLS
