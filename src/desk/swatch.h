/* SPDX-License-Identifier: MIT */
/* Insulation colours in an entry: a swatch with its tracer in front of the word, and a list of
 * colours to choose from, each with its name and its letters of IEC 60757. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Shows a swatch of what the entry says, now and whenever it changes; a click on it opens the list.
 * The chosen word is put into the entry and activated there. */
void swatch_attach(GtkEntry *entry);

G_END_DECLS
