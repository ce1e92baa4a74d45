/* SPDX-License-Identifier: MIT */
/* Texts in the reader's language, through gettext. A sentence in the source is English and is its
 * own key. Names that belong to a contract (checks, kinds, fields, verbs, JSON keys, values in a
 * file) are never translated. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* The translation, or the text itself. Borrowed for ever. "" stays "". */
const char *language_text(const char *text) G_GNUC_FORMAT(1);

/* Marks a text and translates it where it stands. */
#define _(text) language_text(text)
/* Marks a text in a const table; whoever shows it says _(row->title). */
#define N_(text) (text)

G_END_DECLS
