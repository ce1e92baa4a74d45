/* SPDX-License-Identifier: MIT */
/* An inspection as text and as JSON, for the verb check. Findings whose remedy can be carried out
 * are numbered from 1 in the order they are listed: the number of --apply. */
#pragma once

#include "checks/check.h"

G_BEGIN_DECLS

/* What --apply did; findings then are those of the result. */
typedef struct {
  guint number;
  const Finding *finding;   /* of the inspection before */
  const GPtrArray *changes; /* of char *, one line each */
} CheckApplied;

/* path: of the file the inspection is of. applied NULL: nothing was. */
void check_print_text(const char *path, const Inspection *inspection, const CheckApplied *applied,
                      GString *out);
void check_print_json(const char *path, const Inspection *inspection, const CheckApplied *applied,
                      GString *out);

/* How many findings offer a remedy that can be carried out. */
guint check_remedy_count(const Inspection *inspection);
/* The finding with that number; NULL. */
const Finding *check_remedy_numbered(const Inspection *inspection, guint number);

G_END_DECLS
