/* SPDX-License-Identifier: MIT */
/* What a person types into a field, made into what a file holds: "115 v" is "115 V", "480" in a
 * field of volts is "480 V", "#14" is "14 AWG", "35 MFD" is "35 uF", "110 to 125" is "110..125 V".
 * Nothing depends on the locale. A comma is never passed over: "1,5" is 1.5, "1,234.5" is 1234.5,
 * and "1,500", which is 1.5 to some and 1500 to others, is refused with both ways to write it. */
#pragma once

#include "diagram/field.h"

G_BEGIN_DECLS

/* New text to give to value_set_text, which judges it; "" for nothing typed. NULL with
 * FIELD_ERROR when what was typed could mean two things. */
char *typed_text(const FieldSpec *field, const char *typed, GError **error);

G_END_DECLS
