/* SPDX-License-Identifier: MIT */
/* Appending JSON: numbers without locale, NAN and infinities as null. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

/* The shortest text that reads back to the same number. */
void json_number(GString *out, double value);
/* "key": with its colon, and a comma first unless the last character opens an object. */
void json_key(GString *out, const char *key);
void json_pair_text(GString *out, const char *key, const char *text /* NULL: null */);
void json_pair_number(GString *out, const char *key, double value);
void json_pair_bool(GString *out, const char *key, bool value);
/* A comma unless the last character opens an array. */
void json_next(GString *out);

G_END_DECLS
