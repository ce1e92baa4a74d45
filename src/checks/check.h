/* SPDX-License-Identifier: MIT */
/* Checks: one table, one file per topic. A check looks at a solved circuit and adds findings. It
 * never names a device kind; it asks roles and branch data. */
#pragma once

#include "base/finding.h"
#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct Survey Survey; /* checks/survey.h: what the checks share, made once */

typedef struct {
  const Document *document;
  const Circuit *circuit;   /* energized as drawn */
  const Solution *solution; /* of circuit */
  /* Every switch, contact, fuse and breaker closed and no load off: what the wiring may do. Same
   * nodes and branches in the same order as circuit. */
  const Circuit *closed_circuit;
  const Solution *closed_solution; /* NULL when it cannot be solved */
  /* Contacts that exclude one another were left to their coils, or as drawn: closing them all
   * would short something that never is. */
  bool closed_partly;
  /* Where some contact opens when its coil pulls in, not everything is on at once: everything
   * closed by hand, contacts following their coils. Currents are judged by it and as drawn. Else
   * NULL. */
  const Solution *working_solution;
  const GError *error, *closed_error; /* why there is no such solution; NULL where there is */
  GPtrArray *findings;                /* of Finding *, append with check_report */
  const Survey *survey;
  GHashTable *remedies; /* Finding * -> steps; see checks/remedy.h */
} CheckContext;

typedef struct Check {
  const char *name; /* contract of the command line: "tap-too-low" */
  const char *title;
  Signal signal;        /* the usual one; a finding may raise or lower it */
  const char *source;   /* standard and clause, or "common practice, no source" */
  const char *looks_at; /* what it compares, in a sentence; with the formula */
  void (*run)(const struct Check *check, CheckContext *context);
} Check;

/* All checks, by topic then name; NULL name ends it. */
extern const Check checks_table[];
const Check *check_find(const char *name);

/* Adds a finding of this check. places: NULL-terminated borrowed strings after remedy; message
 * and remedy are taken. Returns it so that the caller may change the signal. */
Finding *check_report(const Check *check, CheckContext *context, char *take_message,
                      char *take_remedy, ...) G_GNUC_NULL_TERMINATED;

/* The whole pipeline: document -> circuit -> solution -> findings. Owns its parts. */
typedef struct {
  Document *document; /* snapshot */
  Circuit *circuit;
  Solution *solution; /* NULL: not solvable; error tells */
  Circuit *closed_circuit;
  Solution *closed_solution;
  bool closed_partly;
  Circuit *working_circuit; /* NULL in most diagrams */
  Solution *working_solution;
  GPtrArray *findings;  /* sorted */
  GHashTable *remedies; /* private: see inspection_remedy */
  /* By conductor: amperes it may carry where it runs (size, insulation, air, company in the
   * raceway, terminals); NAN: its size is unknown. */
  double *ampacities;
  const char *language; /* static: what findings and errors are written in */
  GError *error;        /* why there is no solution, else NULL; the finding not-solved says it */
  GError *closed_error; /* the same for closed_solution */
} Inspection;
/* Never NULL. Thread-safe: uses only its snapshot. */
Inspection *inspection_new(const Document *document);
void inspection_free(Inspection *inspection);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Inspection, inspection_free)

#define CHECK_ERROR (check_error_quark())
GQuark check_error_quark(void);
typedef enum { CHECK_ERROR_JUDGEMENT /* no computed remedy */ } CheckErrorCode;

/* Whether a finding of this inspection can be cleared by one command. */
bool inspection_has_remedy(const Inspection *inspection, const Finding *finding);
/* The reversible change that clears it, for the document that was inspected as it was then; the
 * caller owns it. NULL with error when it takes a person's judgement or cannot be carried out. */
Change *inspection_remedy(const Inspection *inspection, const Finding *finding, GError **error);

G_END_DECLS
