/* SPDX-License-Identifier: MIT */
/* Every fault of the catalogue at every place of every sound diagram, and what each check says to
 * it. The test judges it and the manual shows it. */
#pragma once

#include "quiz/fault.h"

/* The diagrams without a finding above NOTICE: samples/ but the faulty ones, and the sound ones of
 * the tests. */
typedef struct {
  GPtrArray *names; /* "samples/pump-208.doorsheet" */
  GPtrArray *documents;
} Sheets;
/* problems gets a line for each file that cannot be read. */
Sheets sheets_open(GString *problems);
void sheets_clear(Sheets *sheets);

typedef struct {
  guint n_faults, n_checks, n_sheets;
  guint *places; /* by fault: over all sheets */
  guint *sheets; /* by fault: sheets with at least one place */
  guint *hits;   /* n_faults * n_checks: places at which the check newly finds something */
  guint tried;
} Matrix;
/* problems gets a line for each place where the fault's finding is missing, where an unlisted one
 * appears above NOTICE, or where undo does not restore the bytes. */
Matrix matrix_run(const Sheets *sheets, GString *problems);
void matrix_clear(Matrix *matrix);
guint matrix_check_count(void);

/* The manual's chapters, generated. New strings. */
char *manual_faults(const Matrix *matrix);
char *manual_checks(void);
/* Path below the source's root. New string. */
char *manual_path(const char *folder, const char *name);
