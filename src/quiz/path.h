/* SPDX-License-Identifier: MIT */
/* The shortest way of finding a fault: the fewest measurements which tell the diagram in hand from
 * every other single fault of the catalogue and from the sound diagram.
 *
 * Measuring comes first. Where readings differ from the sound diagram's, the path holds the fewest
 * measurements that tell everything measurements can tell, and then the fewest looks for what they
 * leave; a fault that no meter shows is found by the fewest looks alone. */
#pragma once

#include "quiz/evidence.h"

G_BEGIN_DECLS

typedef struct {
  guint point; /* of the evidence */
  EvidenceCell sound, actual;
  guint told; /* how many faults this one rules out that those before it did not */
} PathStep;

typedef struct {
  GArray *steps;      /* of PathStep, in the order to be taken: those that tell most come first */
  guint measurements; /* how many of them are no looks: the first ones */
  bool exact;         /* proven shortest (up to PATH_EXACT_STEPS); else chosen greedily */
  bool masked;        /* no volts reading, energized as drawn, shows anything unusual */
  FaultLevel difficulty;
  GArray *same; /* of guint: rows nothing offered tells from it; evidence_row_count: the sound
                   diagram */
} MeasuringPath;
void measuring_path_free(MeasuringPath *path);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(MeasuringPath, measuring_path_free)

/* Up to here every smaller set has been ruled out; longer ones are built step by step, the one that
 * rules out most first. */
#define PATH_EXACT_STEPS 4
/* Branches searched before giving up on proof; the greedy path then stands. */
#define PATH_MOST_BRANCHES 20000

/* actual: cells of the faulty diagram. answer: rows with this answer number are the fault itself
 * (G_MAXUINT: several faults, so that no row is). Never NULL. */
MeasuringPath *path_find(const Evidence *evidence, const EvidenceCell *actual, guint answer);

/* What makes it hard (common practice of teaching, no source): a point each for the second and the
 * fourth measurement, for being masked, for needing ohms or a clamp, for each fault beyond the
 * first, and one for more than 40 points to choose from. 0 or 1: easy, 2 or 3: medium. */
FaultLevel path_rate(const Evidence *evidence, const MeasuringPath *path, guint faults);

/* "Volts, energized, T1.X1 to T1.X3: 0 V, where the sound diagram gives 118.4 V", translated. New
 * string. */
char *path_step_text(const Evidence *evidence, const PathStep *step);

G_END_DECLS
