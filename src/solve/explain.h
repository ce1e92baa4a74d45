/* SPDX-License-Identifier: MIT */
/* Where a reading comes from: a path through the circuit from one point to the other with the volts
 * of every step, each worked out from the branch's own law (current times impedance, turns times
 * flux, electromotive force) and not from the difference of two node voltages. By Kirchhoff's
 * voltage law the steps add up to the reading along any path; that they do is the proof.
 *
 * The path keeps to wiring, windings and supplies as far as it can and crosses a load only where
 * nothing else leads on. Points that nothing joins get notes instead: what is open between them, or
 * that a part is grounded nowhere. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef enum {
  EXPLAIN_JOIN,
  EXPLAIN_IMPEDANCE,
  EXPLAIN_SOURCE,
  EXPLAIN_SEGMENT,
  EXPLAIN_LOAD,
  EXPLAIN_COIL,
  EXPLAIN_MOTOR,
  EXPLAIN_DELTA
} ExplainBranch;

typedef struct {
  ExplainBranch branch;
  guint index;    /* in the circuit's array of that branch */
  guint from, to; /* nodes, in the direction of the path */
  Phasor drop;    /* volts of `from` above `to` = driving + lost */
  Phasor driving; /* electromotive force, or turns times flux; 0 elsewhere */
  Phasor lost;    /* current times impedance; the whole of a load's or a motor's volts */
  Phasor amps;    /* from `from` to `to` inside the branch */
  char *text;     /* "T1.X2 - T1.X1: winding T1, 125.6 V induced at 1.012 of rated flux, ..." */
} ExplainStep;

/* Owns everything in it. */
typedef struct {
  char *a_name, *b_name;
  Reading reading;
  GArray *steps;    /* of ExplainStep, from a to b; empty: nothing joins them, or one net */
  Phasor sum;       /* of the drops */
  double misfit;    /* |sum - reading|, V; 0 where there is no path */
  GPtrArray *notes; /* of char *: fluxes of the cores passed, what is open, what floats */
  Trust trust;
} Explanation;

/* circuit: the one that was solved. NULL with error when a point is not in the circuit. */
Explanation *solution_explain(const Circuit *circuit, const Solution *solution, guint a, guint b,
                              GError **error);
void explanation_free(Explanation *explanation);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Explanation, explanation_free)

/* Several lines, each ending in a newline; new string. */
char *explanation_text(const Explanation *explanation);

G_END_DECLS
