/* SPDX-License-Identifier: MIT */
/* The student sheet: the faulty diagram with what somebody noticed, points to measure with room for
 * values, room for the answer, cautions and the order of lockout. What it may show is in seen.h;
 * an SVG carries neither the document nor ids and titles of what is drawn. */
#pragma once

#include "handout/seen.h"
#include "sheet/sheet.h"
#include "sheet/table.h"

G_BEGIN_DECLS

/* seen: of seen_document or seen_version; an exercise (sheet_is_exercise). Label stock gets the
 * diagram on labels of its own. */
Sheet *student_sheet_compose(const Document *seen, const SheetOptions *options, GError **error);

/* Points to measure, as a table with blank columns. NULL when there is nothing to measure. */
Table *student_points_table(const Document *seen);
/* Conductors with what is printed on them, and room for amperes and ohms. NULL: none. */
Table *student_wires_table(const Document *seen);
/* Leads of one transformer, or NULL when the device is none. */
Table *student_leads_table(const Document *seen, guint device);
/* What was written down of the supplies, and room for what is found. NULL: no supply. */
Table *student_supply_table(const Document *seen);
/* Every other device with its nameplate. NULL: none. */
Table *student_parts_table(const Document *seen);

G_END_DECLS
