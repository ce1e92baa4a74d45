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
  char *sentence;     /* "would make T1.X1 to T1.X3 read 0 V; 0.3 V was measured"; translated */
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
 * those that explain most and contradict least, then the nearest; faults that explain nothing are
 * left out, so the array may be empty. Suspects whose readings are the same everywhere it was
 * measured stand beside each other in the catalogue's order.
 *
 * Thread-safe: inputs are only read. NULL with error: of SUSPECTS_ERROR, or G_IO_ERROR_CANCELLED.
 */
GPtrArray *suspects_rank(const Inspection *inspection, guint most, GCancellable *cancellable,
                         GError **error);

/* How many of the readings disagree with the diagram by more than can be told: 0 without any. */
guint suspects_mismatches(const Inspection *inspection);

G_END_DECLS
