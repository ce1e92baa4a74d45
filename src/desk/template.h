/* SPDX-License-Identifier: MIT */
/* Templates and menus in the language of the window. GtkBuilder translates what is marked
 * translatable="yes" through the C library's gettext, which the program does not use
 * (base/language.h says why); so the marked texts are translated in the XML before GtkBuilder sees
 * it. In English nothing is touched. `name` is a file of ui/: "window.ui". */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* In class_init, instead of gtk_widget_class_set_template_from_resource. A class is made once: it
 * keeps the language the program had then. */
void template_set(GtkWidgetClass *widget_class, const char *name);
/* Instead of gtk_builder_new_from_resource. */
GtkBuilder *template_builder_new(const char *name);

/* The XML with every text marked translatable="yes" in the language of now; all else as it is.
 * Comments are no exception: what is marked inside one is translated too. New string. */
char *template_translate(const char *xml, gsize size);

G_END_DECLS
