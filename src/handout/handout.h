/* SPDX-License-Identifier: MIT */
/* Writes a dealt set into a folder:
 *
 *   student/version-01.svg, .pdf    the student sheet
 *   student/version-01.doorsheet    the exercise for the screen
 *   key/version-01.pdf              the answer key
 *   grading.csv                     a row for each fault of each version
 *   fairness.txt                    the proof of each version, and what was not dealt and why
 *
 * The same set and options give the same bytes. Nothing that is there already is written over
 * unless told to; every file is written whole or not at all. */
#pragma once

#include "quiz/deal.h"
#include "sheet/sheet.h"

G_BEGIN_DECLS

#define HANDOUT_ERROR (handout_error_quark())
GQuark handout_error_quark(void);
typedef enum { HANDOUT_ERROR_EXISTS /* a file of that name is there */ } HandoutErrorCode;

typedef struct {
  SheetOptions sheet; /* of student sheets and keys alike */
  const char *lesson; /* title of the exercise; NULL: the master's */
  bool replace;       /* write over what is there */
} HandoutOptions;

/* done of total versions are written; called on the calling thread. */
typedef void (*HandoutProgress)(guint done, guint total, gpointer data);

/* evidence: what the set was dealt from. False with an error that names the file. progress and
 * cancellable are nullable; a cancelled set leaves the versions written so far. */
bool handout_write(const Deal *deal, const Evidence *evidence, const char *folder,
                   const HandoutOptions *options, HandoutProgress progress, gpointer data,
                   GCancellable *cancellable, GError **error);

/* RFC 4180, a heading line, CRLF. Columns: version, set, fault, name, place, equally-right,
 * symptom, difficulty, measurements, steps, points, answer, marks; the last two are blank. New
 * string. */
char *grading_csv(const Deal *deal);
/* The proof of every version, then what was drawn and not dealt, for people. New string. */
char *grading_fairness(const Deal *deal, const Evidence *evidence);
/* Points of one rightly named fault; partial ones are the grader's. */
#define GRADING_POINTS 10

G_END_DECLS
