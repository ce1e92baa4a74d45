/* SPDX-License-Identifier: MIT */
/* Small widgets the pages of a lesson are put together from. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

void pieces_clear(GtkBox *box);
/* Left, wrapping; style: a class, nullable. */
GtkWidget *pieces_label(const char *text, const char *style);
GtkBox *pieces_column(GtkBox *into);
/* For assistive technology. */
void pieces_name(GtkWidget *widget, const char *text);
GtkWidget *pieces_button(GtkBox *into, const char *text, GCallback callback, gpointer data);
/* Without entries; name: for assistive technology. */
GtkDropDown *pieces_drop_down(GtkBox *into, const char *name);

G_END_DECLS
