/* SPDX-License-Identifier: MIT */
/* The cheapest way through a solved circuit, private to the explanation of readings. */
#pragma once

#include "solve/explain.h"
#include "solve/internal.h"

G_BEGIN_DECLS

typedef struct {
  ExplainBranch branch;
  guint index, a, b;
  guint cost;
  bool open;     /* an open joint */
  bool magnetic; /* not a conductor: two windings of one core */
} PathEdge;

typedef struct {
  GArray *edges; /* of PathEdge */
  guint *start;  /* per node: first place in `links`; n_nodes + 1 */
  guint *links;  /* edge indices */
  guint n_nodes;
} PathMap;

/* reach: also through open joints and from winding to winding of a core, to find what cuts a dead
 * point off. Otherwise what conducts in this solution. */
void path_map_build(PathMap *map, const CircuitView *view, const Solution *solution, bool reach);
void path_map_clear(PathMap *map);

/* Edge indices from node a to the nearest node that is marked (an array of n_nodes); NULL when
 * there is none, an empty array when a is marked itself. blocked: nodes not to pass through; may be
 * NULL. */
GArray *explain_path_find(const PathMap *map, guint a, const bool *goal, const bool *blocked);

G_END_DECLS
