/* SPDX-License-Identifier: MIT */
/* A small catalog and short ways to build documents, so that the circuit layer is tested without
 * the real parts: box (two joined terminals, lockable), coil, contact, earth. */
#pragma once

#include "circuit/stamp.h"

G_BEGIN_DECLS

extern const PartKind *const kit_catalog[];

/* A new document with these devices: "id kind", a space between, NULL ends. */
Document *kit_document(const char *first, ...) G_GNUC_NULL_TERMINATED;
/* Lands a conductor "A.1" to "B.2"; then fields as pairs of name and text, NULL ends. */
void kit_land(Document *document, const char *from, const char *to, ...) G_GNUC_NULL_TERMINATED;
void kit_set(Document *document, const char *id, const char *field, const char *text);
void kit_near(double value, double expected, double tolerance);

G_END_DECLS
