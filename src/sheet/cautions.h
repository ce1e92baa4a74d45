/* SPDX-License-Identifier: MIT */
/* What the sheet warns of: the usual cautions of the trade and those this very circuit needs, with
 * its own designations and volts. */
#pragma once

#include "sheet/facts.h"

G_BEGIN_DECLS

typedef struct {
  const char *name;     /* static: "lockout" */
  const char *language; /* static: what it is written in */
  Signal signal;
  bool key;       /* belongs on the first page */
  char *headline; /* owned */
  GPtrArray
      *essentials; /* of char *, owned: those of the paragraphs that a label cannot leave out */
  GPtrArray *paragraphs; /* of char *, owned */
} Caution;
Caution *caution_new(const char *name, Signal signal, char *take_headline);
void caution_free(Caution *caution);

/* Of Caution *, owned; most severe first, key ones before the others. */
GPtrArray *cautions_new(const Inspection *inspection, const Landings *landings);
/* One caution for all of a signal word, short enough for a label: headlines and essentials. NULL
 * when there is none of that word. */
Caution *cautions_merge(const GPtrArray *cautions, Signal signal);
/* The order of work from lockout to the signed sheet. Of char *, owned. */
GPtrArray *cautions_steps(const Inspection *inspection, const Landings *landings);

G_END_DECLS
