/* SPDX-License-Identifier: MIT */
/* A fleet: one diagram, and a table with a row for each unit that is built like it. The first row
 * of the table names the columns:
 *
 *   tag, location, model, note      of the unit; "tag" has to be there. An empty cell is empty on
 *                                   the sheet: the diagram's own text belongs to another unit.
 *   sheet, title, revision, ...     the sheet's own data; an empty cell leaves the diagram's.
 *   L1-L2, L3-GND, ...              readings of the supply; with several supplies "S1.L1-L2". An
 *                                   empty cell: not measured there. With one such column none of
 *                                   the diagram's readings counts: they are another unit's.
 *   FU1.rating, T1.H4.volts         a device's field, or one of a lead; empty: as drawn.
 *   #anything                       not read.
 *
 * Readings need no unit. As-measured notes of the diagram are left out: they are another unit's. */
#pragma once

#include "base/csv.h"
#include "diagram/document.h"

G_BEGIN_DECLS

typedef struct Fleet Fleet; /* const after fleet_new: any thread may ask */

/* NULL with error when a column is unknown or twice, or there is no tag or no row; the sentence
 * names the column and the nearest known one. rows: of CsvRow *, taken. */
Fleet *fleet_new(const Document *base, GPtrArray *take_rows, GError **error);
void fleet_free(Fleet *fleet);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Fleet, fleet_free)

guint fleet_count(const Fleet *fleet); /* units */
guint fleet_line(const Fleet *fleet, guint unit);
const char *fleet_tag(const Fleet *fleet, guint unit); /* "" when the row has none */
/* Every name and cell of the row, for telling whether it has changed. */
void fleet_append_inputs(const Fleet *fleet, guint unit, GString *out);
/* The unit's own document, the caller's. NULL with error for a bad row. */
Document *fleet_unit(const Fleet *fleet, guint unit, GError **error);

/* File names for all units, without ending: the tag with every character a file system could
 * object to replaced, no two alike even where case does not count. NULL-terminated. */
char **fleet_file_names(const Fleet *fleet);

G_END_DECLS
