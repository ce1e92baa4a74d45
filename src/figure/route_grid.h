/* SPDX-License-Identifier: MIT */
/* The search itself, apart from what a route looks like at its ends. Used by route.c only. */
#pragma once

#include "figure/route.h"

G_BEGIN_DECLS

/* From a to b inside window, setting out on the side of task->from and coming in against the side
 * of task->to. New array of Point (every node passed), or NULL when there is no way or the work got
 * too much. Adds to seen. */
GArray *route_grid_search(const RouteTask *task, Rect window, Point a, Point b, RouteSeen *seen);

G_END_DECLS
