/* SPDX-License-Identifier: MIT */
/* The rows of the selected device's nameplate, a line each: a transformer's leads, a contactor's
 * contacts. Marking, winding, volts and colour are edited in place; a row moves up and down and goes
 * with all that is landed on it, each as one edit that can be undone. What cannot be right is said
 * below the row it is about, while it is typed. */
#pragma once

#include "canvas/session.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define ROW_TABLE_TYPE (row_table_get_type())
G_DECLARE_FINAL_TYPE(RowTable, row_table, DOORSHEET, ROW_TABLE, GtkBox)

GtkWidget *row_table_new(Session *session);
/* device NULL, or of a kind without rows: nothing is shown. */
void row_table_show(RowTable *table, const Device *device);

G_END_DECLS
