/* SPDX-License-Identifier: MIT */
/* The answer key of one version: the faulty diagram with each fault marked by its number, what was
 * done and where, what is found, which readings show it, the measuring path, the remedy with its
 * source, and the proof that the version is fair. It is not for students. */
#pragma once

#include "quiz/deal.h"
#include "sheet/sheet.h"
#include "sheet/table.h"

G_BEGIN_DECLS

/* What the tables of a key are made from; everything borrowed. */
typedef struct {
  const DealtVersion *version;
  const Evidence *evidence;
  const Inspection *sound, *faulty; /* faulty: of the exercise */
} KeyFacts;

/* exercise: what deal_exercise_document gave for the version. */
Sheet *key_sheet_compose(const DealtVersion *version, const Evidence *evidence,
                         const Document *exercise, const SheetOptions *options, GError **error);

/* At most so many readings are listed for a fault; how many more there are is said. */
#define KEY_MOST_READINGS 8

Table *key_faults_table(const KeyFacts *facts);
Table *key_findings_table(const KeyFacts *facts); /* NULL: nothing new is found */
Table *key_readings_table(const KeyFacts *facts); /* NULL: no reading shows any of them */
Table *key_proof_table(const KeyFacts *facts);
/* The shortest measuring path: of char *, owned; may be empty. */
GPtrArray *key_path_steps(const KeyFacts *facts);
/* Where a place of a finding or fault lies on the sheet: "T1.H2", "T1", "conductor 101", or the
 * first of several such names. false when it names nothing there. */
bool key_place_point(const Document *document, const char *place, Point *at);

G_END_DECLS
