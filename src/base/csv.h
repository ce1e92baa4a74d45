/* SPDX-License-Identifier: MIT */
/* Comma-separated values as RFC 4180 describes them: quoted fields with commas, quotes and line
 * feeds in them, CRLF or LF. Also taken, because spreadsheets write it: a byte order mark, and
 * semicolons or tabs where the first line has no comma outside quotes.
 *
 * One bad row is one row with an error: reading goes on with the next line. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

#define CSV_MOST_ROWS 100000u
#define CSV_MOST_FIELDS 1000u        /* of a row */
#define CSV_LONGEST_FIELD (1u << 16) /* bytes */

typedef struct {
  guint line;        /* where it begins, from 1 */
  GPtrArray *fields; /* of char *, valid UTF-8; owned */
  char *error;       /* what is wrong with the row, a sentence; else NULL */
} CsvRow;

/* Rows in file order, empty lines left out; of CsvRow *, owned. NULL with error when the whole is
 * no text in UTF-8 or has too many rows. */
GPtrArray *csv_read(const char *data, gsize size, GError **error);

/* Appends a field, quoted where it has to be, with a comma before it unless it begins a line. */
void csv_append(GString *out, const char *text);
/* The same for what people have written: a spreadsheet would take a text that begins with =, +, -,
 * @, a tab or a line's end, blanks before it or not, for a formula and run it; such a text gets an
 * apostrophe. A plain number (-5) stays one. */
void csv_append_text(GString *out, const char *text);
void csv_end_row(GString *out); /* CRLF, as the RFC has it */

G_END_DECLS
