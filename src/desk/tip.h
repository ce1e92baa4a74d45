/* SPDX-License-Identifier: MIT */
/* Tooltips that cost nothing until the pointer rests. gtk_widget_set_tooltip_text asks the display
 * server at once where the pointer is, with the whole display held, and waits for four answers:
 * too much for a status line that changes with every step, or a page of fifty fields. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Also what assistive technology gets as the description. text NULL: none. Copied. */
void tip_set(GtkWidget *widget, const char *text);
/* Borrowed until the next; NULL: none. */
const char *tip_get(GtkWidget *widget);

G_END_DECLS
