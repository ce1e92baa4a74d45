/* SPDX-License-Identifier: MIT */
/* Sheets for a whole fleet, on all processors. */
#pragma once

#include "command/command.h"
#include "diagram/document.h"
#include "sheet/sheet.h"

G_BEGIN_DECLS

typedef struct {
  const char *table;  /* path of the CSV */
  const char *folder; /* made when it is not there */
  const char *ending; /* "svg": also the format */
  SheetFormat format;
  SheetOptions sheet;
  double pixels_per_mm;
  guint jobs; /* threads; 0: as many as there are processors */
  bool quiet; /* no progress on stderr */
} FleetOptions;

/* One bad row never stops the rest: its complaint goes to err and to the summary. COMMAND_FAILED
 * when a unit has no sheet or could not be solved. */
CommandStatus fleet_run(const Document *base, const FleetOptions *options, GString *out,
                        GString *err);

G_END_DECLS
