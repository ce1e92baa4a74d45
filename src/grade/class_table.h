/* SPDX-License-Identifier: MIT */
/* Batch grading: every result file of a folder (result_file.h) becomes a row of a class table, and
 * every fault that was dealt a row of statistics. One bad file never stops the others: files that
 * cannot be read, that are no results or that were edited are listed with the reason and counted
 * in nothing; so are results of another quiz than the master's.
 *
 * Points are given again here by physics (score.h), with the best reference there is: the master
 * when the caller has it, else the one sealed into the exercise, else a sound diagram to which some student of the same exercise mended
 * it, else the findings of the exercise alone. The points the student saw stand beside.
 *
 * A copy of a file is counted once. A student who hands in two attempts at one exercise has two
 * rows, and both count: which of them stands is the instructor's to say. */
#pragma once

#include "grade/result_file.h"
#include "grade/score.h"

G_BEGIN_DECLS

typedef struct {
  char *file; /* name without the folder */
  Result *result;
  Score *score; /* given again */
} ClassRow;

typedef struct {
  char *file;
  char *why; /* a sentence */
} ClassReject;

/* One fault over the whole class. */
typedef struct {
  char *fault;     /* name in the catalogue, or of the finding where no reference is known */
  char *title;     /* translated */
  guint dealt;     /* in how many results it was to be found */
  guint named;     /* ... named rightly, place and fault */
  guint mended;    /* ... gone from the diagram handed in */
  double readings; /* median number of readings taken */
  guint errors;    /* safety errors of those students, over all results */
} ClassFault;

typedef struct {
  GPtrArray *rows;    /* of ClassRow *, by student, then exercise, then file */
  GPtrArray *rejects; /* of ClassReject *, by file */
  GPtrArray *faults;  /* of ClassFault *, by name */
} ClassTable;
void class_table_free(ClassTable *table);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(ClassTable, class_table_free)

/* Grades the result files (*.doorsheet-result) of a folder, not of folders in it. Files with other
 * names are rejected as foreign unless they are exercises, sheets or pictures of the set
 * (.doorsheet, .svg, .pdf, .csv, .txt), which are passed over. master: the sound diagram the set
 * was dealt from; nullable. NULL with error only when the folder cannot be listed. */
ClassTable *class_table_new(const char *folder, PartCatalog catalog, const Document *master,
                            GError **error);

/* RFC 4180, a heading line, CRLF; numbers with a point in every locale. Columns: file, student,
 * exercise, set, points, points-seen, found, mended, readings, shortest, safety-errors, then one
 * column for each kind of safety error. Rejected files follow with the reason in the column
 * "note". New string. */
char *class_table_csv(const ClassTable *table);
/* Fault statistics as CSV: fault, title, dealt, named, mended, median-readings, safety-errors. */
char *class_table_faults_csv(const ClassTable *table);
/* Both and the rejected files as text for people, in columns. New string. */
char *class_table_text(const ClassTable *table);

/* For the command line in one call: grades the folder, writes class.csv and faults.csv into it and
 * gives the text to print. *rejected (nullable) gets how many files did not count. */
char *class_table_grade_folder(const char *folder, PartCatalog catalog, const Document *master,
                               guint *rejected, GError **error);

G_END_DECLS
