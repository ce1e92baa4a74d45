/* SPDX-License-Identifier: MIT */
/* A diagram that is too large for one page is cut into parts at the places where least is cut:
 * through a device only when it is larger than a page, seldom through a text. Each part has a page;
 * a conductor that goes on elsewhere ends with a reference, "103 to 3/B1": wire 103 goes on on page
 * 3 in zone B1. */
#pragma once

#include "diagram/document.h"
#include "pen/pen.h"
#include "sheet/frame.h"

G_BEGIN_DECLS

typedef struct Tiling Tiling;

/* bounds: of the figure. NULL when the parts would be more than `most`. */
Tiling *tiling_new(const Document *document, Rect bounds, const Frame *frame, double scale,
                   guint most);
void tiling_free(Tiling *tiling);

guint tiling_count(const Tiling *tiling); /* parts with something in them: pages */
/* The window of a part in canvas millimetres, and where canvas point 0, 0 lies on its page. */
Rect tiling_window(const Tiling *tiling, guint part);
Point tiling_offset(const Tiling *tiling, guint part);
/* The part that draws the device; outlines and devices that are split are drawn by each part they
 * reach into. */
guint tiling_part_of_device(const Tiling *tiling, const Device *device);
bool tiling_splits(const Tiling *tiling, const Device *device);
/* Designations of a part's devices, in document order. New string. */
char *tiling_devices(const Tiling *tiling, const Document *document, guint part);
/* Draws the references of a part; first_page: page number (from 1) of part 0. texts: of Rect, in
 * page millimetres: where the part has texts of its own, which the line of a cut spares and
 * references stand behind. */
void tiling_draw_references(const Tiling *tiling, guint part, const Frame *frame, guint first_page,
                            const GArray *texts, Pen *pen);
/* Every reference of a part as its text. Of char *, owned. */
GPtrArray *tiling_references(const Tiling *tiling, guint part, const Frame *frame,
                             guint first_page);

G_END_DECLS
