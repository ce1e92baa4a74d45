/* SPDX-License-Identifier: MIT */
/* The solution of a circuit: node voltages and branch currents from the complex network equations
 * (KLU), with the evidence for trusting them. Const after solution_new. */
#pragma once

#include "circuit/circuit.h"

G_BEGIN_DECLS

#define SOLVE_ERROR (solve_error_quark())
GQuark solve_error_quark(void);
typedef enum { SOLVE_ERROR_SINGULAR, SOLVE_ERROR_MEMORY, SOLVE_ERROR_UNTRUSTED } SolveErrorCode;

typedef enum {
  READING_LIVE,     /* a voltage a meter shows */
  READING_DEAD,     /* no source reaches it: 0 V */
  READING_FLOATING, /* live but without a fixed potential to the other point */
  READING_UNDEFINED /* two separate islands: no reading can be predicted */
} ReadingState;

typedef struct {
  ReadingState state;
  Phasor volts; /* 0 unless live; never NAN */
} Reading;

typedef struct {
  double backward_error;  /* componentwise; trusted below 1e-9 */
  double power_balance;   /* |generated - used| / generated, with a 1 microvolt-ampere guard */
  double current_balance; /* worst net: |sum of currents| over the largest, guarded */
  guint iterations;       /* of the nonlinear solution */
  bool trusted;
} Trust;

/* An island: nets that conduct to one another. */
typedef struct {
  bool grounded; /* holds earth */
  bool live;     /* a source reaches it, through transformer cores too */
} Island;

typedef struct {
  guint coil;
  bool pulled_in;
  bool chatters; /* never settles */
  bool race;     /* settles differently by order */
} CoilState;

/* Owns everything it points to. Arrays parallel to the circuit's. */
typedef struct Solution {
  const Circuit *circuit; /* borrowed: keep it alive */
  guint n_nets;
  guint *net_of_node;   /* n_nodes */
  guint *island_of_net; /* n_nets */
  Phasor *net_volts;    /* to the island's reference; valid inside the island */
  GArray *islands;      /* of Island */
  bool *join_closed;    /* state after coils have settled */
  Phasor
      *join_amps; /* a to b; 0 when open; INFINITY real part in a dead short of an ideal source */
  bool *join_split_assumed; /* parallel joins: the split is assumed equal */
  Phasor *impedance_amps, *source_amps /* out of a */, *load_amps, *segment_amps, *coil_amps;
  Phasor *motor_amps; /* 3 each */
  Phasor *core_flux;  /* per unit */
  CoilState *coils;
  bool *load_outside;  /* load left the window of its behaviour */
  guint n_bad_sources; /* ideal sources shorted: left out */
  bool *source_bad;
  Trust trust;
  bool *motor_backwards; /* the negative sequence is the stronger: the motor turns the other way */
  Phasor *delta_amps;    /* 3 each, into a, b, c */
  guint rounds;          /* solutions it took until contacts and coils agreed */
} Solution;

/* Returns NULL with error when the equations cannot be solved or the result cannot be trusted. */
Solution *solution_new(const Circuit *circuit, GError **error);
/* Warm start: coils begin as they ended in `before` (may be NULL; its circuit still alive), matched
 * by the id of their device. */
Solution *solution_new_warm(const Circuit *circuit, const Solution *before, GError **error);
void solution_free(Solution *solution);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Solution, solution_free)

/* Voltage of node a to node b as a low-impedance voltmeter reads it. */
Reading solution_reading(const Solution *solution, guint a, guint b);
/* Voltage of a node to earth. */
Reading solution_to_earth(const Solution *solution, guint node);
bool solution_same_net(const Solution *solution, guint a, guint b);
const char *reading_state_word(ReadingState state); /* "live", "dead", "floating", "undefined" */
/* Largest current any source delivers or closed join carries above its rating etc. is for checks.
 */

/* Short-circuit current available between two nodes (bolted), ampere, by re-solving with the
 * short. INFINITY when an ideal source feeds it; NAN across separate islands. */
double solution_fault_amps(const Circuit *circuit, guint a, guint b);

G_END_DECLS
