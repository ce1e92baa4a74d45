/* SPDX-License-Identifier: MIT */
/* Reading .po files, and the words only one of the two languages has. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef struct {
  char *id, *plural; /* as written between the quotes, lines joined; plural NULL: one form */
  char *text[2];     /* "" where there is none; [1] NULL without plural */
  bool fuzzy;
} PoEntry;

/* Of PoEntry *, without the header. NULL with a message on stderr when it cannot be read. */
GPtrArray *po_read(const char *path);
const PoEntry *po_find(const GPtrArray *entries, const char *id);
/* What stands between the quotes as text: "\n" is a line end. New. */
char *po_unescape(const char *written);

/* Every word of three letters and more that English texts of the catalogue have and Spanish ones do
 * not: who finds it in a Spanish sheet or window has found English. Keys in lower case. */
GHashTable *po_english_words(const GPtrArray *entries);
/* Adds the words of a text in lower case: what a user wrote stays as it is in every language. */
void po_add_words(GHashTable *words, const char *text);
/* The first word of the text that is in `english` and not in `own` (nullable); NULL: none. New. */
char *po_find_english(const char *text, GHashTable *english, GHashTable *own);

G_END_DECLS
