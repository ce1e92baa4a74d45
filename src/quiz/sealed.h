/* SPDX-License-Identifier: MIT */
/* The sound diagram an exercise was dealt from, sealed into the exercise, so that it can be graded
 * against it where no instructor's files are: on the student's screen and from a result file alone.
 *
 * What the seal is: the master's text, enciphered with a key made from the digest of its set and a
 * constant of this program (HMAC-SHA-256 in counter mode), with a check sum, in base 64. All
 * versions of a set carry the same letters, so that comparing versions says nothing, and reading
 * the file says nothing. It is no proof against an expert: whoever reads this source can open it,
 * just as they could compare the faulty diagram with the rules of the trade. */
#pragma once

#include "diagram/document_file.h"

G_BEGIN_DECLS

/* set: digest of the set. NULL when the master is too large for a sealed copy (SEALED_MOST bytes):
 * such an exercise is graded by its findings. New string. */
char *sealed_close(const Document *master, const char *set);
#define SEALED_MOST 700000

/* The master of an exercise; NULL: it carries none, or one that does not open. New document. */
Document *sealed_open(const Document *exercise);

G_END_DECLS
