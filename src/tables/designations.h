/* SPDX-License-Identifier: MIT */
/* Letters that name devices on machine and control diagrams, and marks of transformer terminals.
 *
 * Source: JIC electrical standard list (1967), later an annex of NFPA 79; trade usage beside it;
 * IEC 81346-2:2009; IEEE C57.12.70 for terminals. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef enum { LETTERS_MACHINE, LETTERS_TRADE, LETTERS_IEC } LetterSet;
typedef struct {
  LetterSet set;
  const char *letters; /* "FU" */
  const char *meaning; /* "fuse" */
} DesignationRow;
const DesignationRow *designation_rows(guint *n);

/* Meaning of the letters a designation begins with ("FU3" -> "fuse"), in one set; NULL: none. */
const char *designation_meaning(LetterSet set, const char *designation);

G_END_DECLS
