/* SPDX-License-Identifier: MIT */
/* Texts in the reader's language, from gettext catalogues. A sentence in the source is English and
 * is its own key. Names that belong to a contract (checks, kinds, fields, verbs, JSON keys, values
 * in a file) are never translated, and numbers keep their decimal point in every language: a comma
 * could be read as a thousands mark on a panel door.
 *
 * Catalogues are made by gettext's tools (ui/po) but read here rather than by the C library: that
 * one knows a single language for the whole process, finds it only where a locale of it has been
 * generated, never under LC_ALL=C, and changes it through the environment, which threads must not
 * do. A sheet has the language of its document while the window has its user's, cautions may stand
 * in two languages side by side, and fleets compose on several threads. The catalogues are inside
 * the program, so nothing depends on where it is installed. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

/* The languages there are: "en", "es". `code` is borrowed for ever; n < language_count(). */
guint language_count(void);
const char *language_code(guint n);
/* The language's name in that language: "Español". */
const char *language_name(guint n);
/* Whether there is such a language. NULL is none. */
bool language_known(const char *code);
/* The first language of the user's environment (LANGUAGE, LC_ALL, LC_MESSAGES, LANG) that there
 * is, whether or not the C library has a locale for it; "en" where none is. */
const char *language_of_user(void);

/* What _() speaks where a thread has chosen nothing; "en" until said. Call it before threads are
 * started. An unknown code changes nothing. */
void language_set_default(const char *code);
/* What _() speaks on this thread from now on; NULL: the default again. Returns what was chosen
 * before (NULL: nothing), to be given back: choices nest like parentheses. An unknown code changes
 * nothing. */
const char *language_choose(const char *code);
/* What _() speaks on this thread now: never NULL. */
const char *language_now(void);

/* The translation, or the text itself. Borrowed for ever. "" stays "", NULL stays NULL. */
const char *language_text(const char *text) G_GNUC_FORMAT(1);
/* The same in that language, whatever is chosen. */
const char *language_text_in(const char *code, const char *text) G_GNUC_FORMAT(2);
/* The form for `count` things; `one` is the key: language_plural("%u page", "%u pages", n). English
 * and Spanish both have one form for 1 and another for everything else. */
const char *language_plural(const char *one, const char *many, gulong count) G_GNUC_FORMAT(1)
    G_GNUC_FORMAT(2);

/* A day written year first, "2026-11-25", as people write it here: "25 Nov 2026". The month stands
 * in letters, because 03/04 is another day on the other side of a border. Text that is no such day
 * comes back as it is. New string. */
char *language_date(const char *text);
/* "A", "A and B", "A, B and C"; "" for none. New string. */
char *language_list(const char *const *texts, guint n);
/* A sentence that comes from a table, with texts in its places "%s" (or "%1$s", "%2$s" in any
 * order, as a translation may want it; at most nine). Ends with NULL. Everything else, "%%" too,
 * stays as it is written. New string. */
char *language_fill(const char *sentence, ...) G_GNUC_NULL_TERMINATED;

/* Marks a text and translates it where it stands. */
#define _(text) language_text(text)
/* Marks a text in a const table; whoever shows it says _(row->title). */
#define N_(text) (text)

G_END_DECLS
