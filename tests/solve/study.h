/* SPDX-License-Identifier: MIT */
/* A document solved, with its expected readings by name, for the tests of readings and ranges. */
#pragma once

#include "solve/expected.h"

G_BEGIN_DECLS

typedef struct {
  Circuit *circuit;
  Solution *solution;
  GArray *readings; /* of ExpectedReading */
} Study;

/* Fails the test when it cannot be solved. variation NULL: the default. */
Study study_new(const Document *document, bool locked_out, const ExpectedVariation *variation);
void study_clear(Study *study);
Solution *study_solve(const Circuit *circuit);
/* The reading between two named points; fails the test when it is not listed. */
const ExpectedReading *study_find(const Study *study, const char *a, const char *b);

G_END_DECLS
