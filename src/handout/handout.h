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

/* What a set need not have, together with |. */
typedef enum {
  HANDOUT_NO_SHEETS = 1 << 0,   /* student/version-01.svg, .pdf */
  HANDOUT_NO_EXERCISE = 1 << 1, /* student/version-01.doorsheet */
  HANDOUT_NO_KEY = 1 << 2,      /* key/version-01.pdf */
  HANDOUT_NO_GRADING = 1 << 3,  /* grading.csv */
  HANDOUT_NO_PROOF = 1 << 4,    /* fairness.txt */
  HANDOUT_NOTHING = (1 << 5) - 1
} HandoutLeft;

typedef struct {
  SheetOptions sheet; /* of student sheets and keys alike */
  const char *lesson; /* title of the exercise; NULL: the master's */
  bool replace;       /* write over what is there */
  guint left_out;     /* of HandoutLeft; 0: everything is written */
} HandoutOptions;

/* done of total versions are written; called on the calling thread. */
typedef void (*HandoutProgress)(guint done, guint total, gpointer data);

/* evidence: what the set was dealt from. False with an error that names the file. progress and
 * cancellable are nullable; a cancelled set leaves the versions written so far. */
bool handout_write(const Deal *deal, const Evidence *evidence, const char *folder,
                   const HandoutOptions *options, HandoutProgress progress, gpointer data,
                   GCancellable *cancellable, GError **error);

/* How far handout_deal is. */
typedef enum {
  HANDOUT_TRYING, /* every single fault of the catalogue, at every place */
  HANDOUT_DEALING,
  HANDOUT_WRITING
} HandoutStage;
typedef void (*HandoutStageProgress)(HandoutStage stage, guint done, guint total, gpointer data);

/* Everything from a sound master to a folder: the one way a set is made, from the command line and
 * in the window. Whether something would be written over is asked before anything is computed. The
 * set that was written, or NULL with the error of whatever failed. Thread-safe: the master is only
 * read. */
Deal *handout_deal(const Document *master, const DealOrder *order, const char *folder,
                   const HandoutOptions *options, HandoutStageProgress progress, gpointer data,
                   GCancellable *cancellable, GError **error);
/* False with HANDOUT_ERROR_EXISTS when a file of a set of so many versions is there already. */
bool handout_is_free(guint versions, const char *folder, const HandoutOptions *options,
                     GError **error);

/* RFC 4180, a heading line, CRLF. Columns: version, set, fault, name, place, equally-right,
 * symptom, difficulty, measurements, steps, points, answer, marks; the last two are blank. New
 * string. */
char *grading_csv(const Deal *deal);
/* The proof of every version, then what was drawn and not dealt, for people. New string. */
char *grading_fairness(const Deal *deal, const Evidence *evidence);
/* Points of one rightly named fault; partial ones are the grader's. */
#define GRADING_POINTS 10

G_END_DECLS
