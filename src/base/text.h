/* SPDX-License-Identifier: MIT */
/* Small text helpers that the upper layers share. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

/* The entry of names (NULL-terminated) nearest to word by edit distance, or NULL when none is near
 * enough to be what was meant (more than a third of its letters differ). Borrowed from names. */
const char *text_nearest(const char *word, const char *const *names);

/* Names of devices and terminals: a letter or digit first, then letters, digits, '-', '_', '/' or
 * '+', at most 32 bytes, ASCII. A '.' or ' ' is never part of a name. */
bool text_is_name(const char *text);

/* Valid UTF-8 with control characters, bidirectional overrides and non-characters replaced by
 * U+FFFD and cut after max_chars characters (an ellipsis marks the cut). New string. */
char *text_clean(const char *text, guint max_chars);

/* What goes to a terminal: the same characters but line feeds and tabs become U+FFFD in place, so
 * that no name steers it. */
void text_disarm(GString *text);

/* JSON string with quotes, appended; characters that steer or turn round are escaped. */
void text_append_json(GString *out, const char *text);

/* "T1.H2" -> device "T1" and terminal "H2", both new. false when there is not exactly one dot or
 * a part is not a name. */
bool text_split_terminal(const char *text, char **device, char **terminal);

G_END_DECLS
