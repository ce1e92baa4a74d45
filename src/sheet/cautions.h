/* SPDX-License-Identifier: MIT */
/* What the sheet warns of: the usual cautions of the trade and those this very circuit needs, with
 * its own designations and volts. */
#pragma once

#include "sheet/facts.h"

G_BEGIN_DECLS

typedef struct {
  const char *name; /* static: "lockout" */
  Signal signal;
  bool key;              /* belongs on the first page */
  char *headline;        /* owned */
  GPtrArray *paragraphs; /* of char *, owned */
} Caution;
void caution_free(Caution *caution);

/* Of Caution *, owned; most severe first, key ones before the others. */
GPtrArray *cautions_new(const Inspection *inspection, const Landings *landings);
/* The order of work from lockout to the signed sheet. Of char *, owned. */
GPtrArray *cautions_steps(const Inspection *inspection, const Landings *landings);

G_END_DECLS
