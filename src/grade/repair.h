/* SPDX-License-Identifier: MIT */
/* What a student's hands may do to an exercise, and nothing else: land, move, take off and add
 * conductors, put on and take off caps, splices and grounds, throw handles, and replace a fuse, a
 * breaker, a transformer or a conductor by another of its kind with another rating, size or colour.
 * Where a symbol lies on the paper is nobody's repair and free. Nameplates of what stays, the
 * supply, the title block and the points to measure are what the exercise says they are. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

#define REPAIR_ERROR (repair_error_quark())
GQuark repair_error_quark(void);
typedef enum { REPAIR_ERROR_NOT_HERE /* no repair: the sentence says what can be done instead */
} RepairErrorCode;

/* Whether every pair of the change is a repair. The error's sentence is for the student. */
bool repair_allows(const Change *change, GError **error);
/* The same of one device from one state to another; NULL: not there. */
bool repair_allows_device(const Device *before, const Device *after, GError **error);

/* On the shelf of an exercise: caps, splices, grounds. */
bool repair_offers(const PartKind *kind);
/* What another of its kind may have otherwise: "rating" of a fuse. False for a device that stays. */
bool repair_may_differ(const Device *device, guint field);
bool repair_conductor_may_differ(ConductorField field);

/* Everything that may differ taken over from another device of the kind: what then still differs is
 * no repair. NULL when it cannot be. New reference. */
Device *repair_dup_as(const Device *after, const Device *before);

G_END_DECLS
