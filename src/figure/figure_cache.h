/* SPDX-License-Identifier: MIT */
/* Routes, boxes and label places of a document, kept from one drawing to the next.
 *
 * Devices and conductors are values that never change, so their pointers tell what is new: an
 * update recomputes only what an edit can have influenced. The result is always the one a cache
 * made from nothing would have (tests hold it to that), so canvas and sheet agree.
 * Belongs to one thread. Holds references to devices and conductors. */
#pragma once

#include "diagram/document.h"
#include "figure/figure.h"

G_BEGIN_DECLS

FigureCache *figure_cache_new(void);
void figure_cache_free(FigureCache *cache);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(FigureCache, figure_cache_free)

/* Brings the cache in step with the document. Cheap when little has changed: a comparison of
 * pointers, and work for the changed surroundings. */
void figure_cache_update(FigureCache *cache, const Document *document);

/* All of the following know only what the last update saw, and answer NULL or an empty box for
 * anything else. Arrays are borrowed until the next update. */
const GArray *figure_cache_route(const FigureCache *cache, const Conductor *conductor);
Rect figure_cache_symbol_box(const FigureCache *cache, const Device *device);
Rect figure_cache_device_bounds(const FigureCache *cache, const Device *device); /* with labels */
Rect figure_cache_conductor_bounds(const FigureCache *cache, const Conductor *conductor);
Rect figure_cache_bounds(const FigureCache *cache); /* everything */

/* Its index in the document, without a walk; G_MAXUINT: not there. */
guint figure_cache_conductor_index(const FigureCache *cache, const Conductor *conductor);
/* What is drawn inside or across window, in document order: for culling and for picking. Appends
 * borrowed pointers (const Device *, const Conductor *). */
void figure_cache_devices_in(const FigureCache *cache, Rect window, GPtrArray *out);
void figure_cache_conductors_in(const FigureCache *cache, Rect window, GPtrArray *out);

/* An orthogonal route for a rubber band, like figure_route_points. New array of Point. */
GArray *figure_cache_route_points(const FigureCache *cache, Point from, int from_side, Point to,
                                  int to_side);

G_END_DECLS
