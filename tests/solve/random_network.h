/* SPDX-License-Identifier: MIT */
/* Random circuits of the kind the program draws, for differential tests, properties and timings:
 * every supply system, feeders with milliohms, switches open and closed, splices, tapped and
 * two-winding transformers bonded or floating, loads, capacitors, motors, coils, coupled
 * conductors, shorted secondaries, and parts nothing feeds. */
#pragma once

#include "circuit/circuit.h"

G_BEGIN_DECLS

typedef struct {
  guint devices;   /* about as many */
  bool nonlinear;  /* saturation, constant power and current */
  bool plain;      /* neither motors, deltas, coils nor shorts: reciprocal and quiet */
  double overload; /* loads this many times too large, with wide windows; 0: sound ones */
} RandomOptions;

Circuit *random_network(GRand *random, const RandomOptions *options);
/* The same circuit with its nodes renumbered and the order inside each array turned round.
 * node_of: new number of every node (caller's, n_nodes). */
Circuit *random_renumbered(const Circuit *circuit, GRand *random, guint *node_of);
/* A copy sharing nothing. */
Circuit *random_copy(const Circuit *circuit);
/* DOORSHEET_SEED, or the clock; printed. */
guint32 random_seed(void);
guint random_device_count(const Circuit *circuit);

G_END_DECLS
