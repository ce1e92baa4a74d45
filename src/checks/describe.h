/* SPDX-License-Identifier: MIT */
/* What differs between two states of a document, in lines a technician reads: what a remedy did. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

/* Array of char *, one line each: "T1: rating 75 VA -> 100 VA", "WC2 placed (Wire cap)",
 * "conductor 105: now from T1.H3". before and after: the same document at two times (conductors
 * keep their keys). Owned by the caller. */
GPtrArray *describe_difference(const Document *before, const Document *after);

G_END_DECLS
