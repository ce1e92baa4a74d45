/* SPDX-License-Identifier: MIT */
/* The solved corners that a range of readings comes from; private to the expected readings. Each is
 * the circuit itself with other options, loads switched off or nameplates moved. */
#pragma once

#include "solve/expected.h"
#include "solve/solve_session.h"

G_BEGIN_DECLS

/* Cores up to which each is moved by itself; more are moved together. */
#define CORNERS_SINGLE_CORES 8u

typedef enum {
  CORNER_WHOLE,  /* what may stand by itself */
  CORNER_SINGLE, /* one load off: what several move adds up */
  CORNER_SWING   /* a nameplate moved to its tolerance: adds to all the rest, up and down */
} CornerKind;

typedef struct {
  Circuit circuit; /* a shallow copy with arrays of its own where they differ */
  GArray *own_loads, *own_motors, *own_segments;
  Solution *solution;
  CornerKind kind;
  guint base;    /* of SINGLE and SWING: the corner they are compared with */
  bool switched; /* of SWING: a relay stands otherwise than in the base, so it counts by itself */
} Corner;

typedef struct {
  const Circuit *circuit;
  const Solution *solution; /* the drawing itself */
  ExpectedVariation variation;
  SolveSession *session;
  GPtrArray *corners; /* of Corner */
} Corners;

bool corners_solve(Corners *corners, const Circuit *circuit, const Solution *solution,
                   const ExpectedVariation *variation, GError **error);
void corners_clear(Corners *corners); /* also after a failure */
/* Widens low..high by every corner. */
void corners_range(const Corners *corners, guint a, guint b, double *low, double *high);

G_END_DECLS
