/* SPDX-License-Identifier: MIT */
/* Which single fault would explain what the technician measured? Every fault of the catalogue is
 * made at every place of the diagram, in a copy, and its readings are held against the as-measured
 * ones. The diagram need not be sound, it must only have a solution.
 *
 * A suggestion, not a diagnosis: only single faults are tried, and only those in the catalogue. */
#pragma once

#include "quiz/evidence.h"

G_BEGIN_DECLS

typedef struct {
  const Fault *fault;
  char *place;        /* "T1.H3" */
  guint explained;    /* mismatches of the diagram it makes agree */
  guint contradicted; /* readings it makes disagree, or leaves so */
  double distance;    /* over all readings, in bounds of evidence_differs, capped at 10 each */
  char *sentence;     /* "Would make T1.X1 to T1.X3 read 0 V; 0.3 V was measured and 118.4 V expected."
                          translated */
} Suspect;
void suspect_free(Suspect *suspect);

#define SUSPECTS_ERROR (suspects_error_quark())
GQuark suspects_error_quark(void);
typedef enum {
  SUSPECTS_ERROR_NO_SOLUTION, /* the diagram as drawn cannot be computed */
  SUSPECTS_ERROR_NO_READINGS, /* nothing measured with both points on the diagram */
  SUSPECTS_ERROR_AGREES       /* everything measured is as expected: nothing to explain */
} SuspectsErrorCode;

/* The readings are those of the inspection's own document. At most `most` suspects, best first:
 * those that contradict least and explain most, of these first what is wrong in the panel and then
 * what is wrong on paper, then the nearest; faults that explain nothing are left out, so the array may be empty. Suspects whose readings are the same everywhere it was
 * measured stand beside each other in the catalogue's order.
 *
 * Thread-safe: inputs are only read. NULL with error: of SUSPECTS_ERROR, or G_IO_ERROR_CANCELLED.
 */
GPtrArray *suspects_rank(const Inspection *inspection, guint most, GCancellable *cancellable,
                         GError **error);

/* A fault of what was written down: a supply reading misread or missing, a wire not noted, a
 * nameplate without its volts, a contact under another relay's name. Somebody whose meter shows
 * something else looks at the panel first. A supply that is low, high, unbalanced or lacks a line
 * is no such fault, although the catalogue makes it by changing the readings: the utility's volts
 * are as physical as a fuse. */
bool suspects_on_paper(const Fault *fault);

/* How many of the readings disagree with the diagram by more than can be told: 0 without any. */
guint suspects_mismatches(const Inspection *inspection);

G_END_DECLS
