/* SPDX-License-Identifier: MIT */
/* What a fleet's run leaves beside the sheets: "summary.csv", a row for each unit, written when
 * the run ends; until then "summary.partial.csv", to which every finished unit is added at once,
 * so that a run that was ended goes on where it was. */
#pragma once

#include "base/finding.h"
#include <stdbool.h>

G_BEGIN_DECLS

typedef struct {
  guint unit, line; /* number in the table, line of the file */
  char *tag, *file; /* file: name within the folder; "" when none was written */
  char *sound;      /* "yes", "no" or "" */
  guint counts[SIGNAL_NOTICE + 1];
  char *findings; /* names, each once, with a space between */
  char *error;    /* "" or a sentence */
  char *inputs;   /* digest of all that the sheet was made from */
  char *output;   /* digest of the file */
  bool unchanged; /* not made again; not in the file */
} FleetRecord;
FleetRecord *fleet_record_new(void);
void fleet_record_free(FleetRecord *record);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(FleetRecord, fleet_record_free)

typedef struct FleetSummary FleetSummary;
/* Reads what earlier runs left in the folder and opens the partial summary. NULL with error when
 * it cannot be written or another run is at it. */
FleetSummary *fleet_summary_open(const char *folder, GError **error);
void fleet_summary_free(FleetSummary *summary);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(FleetSummary, fleet_summary_free)

/* The last record of a file that earlier runs wrote; NULL: none. Any thread may ask. */
const FleetRecord *fleet_summary_earlier(const FleetSummary *summary, const char *file);
bool fleet_summary_add(FleetSummary *summary, const FleetRecord *record, GError **error);
/* records: of FleetRecord *, in the table's order. Writes summary.csv and takes the partial one
 * away. */
bool fleet_summary_close(FleetSummary *summary, const GPtrArray *records, GError **error);

G_END_DECLS
