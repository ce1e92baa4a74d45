/* SPDX-License-Identifier: MIT */
/* One property, by its FieldSpec: title, editor, and what is wrong with what was typed. Panels are
 * built from these. */
#pragma once

#include "diagram/field.h"
#include <gtk/gtk.h>
#include <stdbool.h>

G_BEGIN_DECLS

#define FIELD_ENTRY_TYPE (field_entry_get_type())
G_DECLARE_FINAL_TYPE(FieldEntry, field_entry, DOORSHEET, FIELD_ENTRY, GtkBox)
/* Signal "commit" (const char *text): the user is done with a new text; NULL: back to the default.
 * The receiver applies it and answers with field_entry_set_error when it cannot.
 * Signal "judged" (const char *message): what is typed is refused for this reason; NULL: it is good.
 * compact: no title beside it, complaints as a tooltip (in tables). title NULL: the field's own. */
GtkWidget *field_entry_new(const FieldSpec *field, const char *title, bool compact);
/* Shows the value unless the user is typing. */
void field_entry_set_value(FieldEntry *entry, const Value *value);
void field_entry_set_error(FieldEntry *entry, const char *message); /* NULL: none */
const FieldSpec *field_entry_get_field(FieldEntry *entry);
GtkWidget *field_entry_get_editor(FieldEntry *entry); /* the entry, list or switch inside */
/* What the field alone cannot judge (a marking another lead has): asked while the user types, with
 * text as value_set_text takes it. False with error refuses. */
typedef bool (*FieldEntryCheck)(FieldEntry *entry, const char *text, gpointer data,
                                GError **error);
void field_entry_set_check(FieldEntry *entry, FieldEntryCheck check, gpointer data);
/* A word people use for a value ("OL" for 40 Mohm): typed it means the value, and it is shown for
 * it. Both static. Before the first value is set. */
void field_entry_set_word(FieldEntry *entry, const char *word, const char *value);

/* Empties a box, list or grid made in code. */
void panel_clear(GtkWidget *container);
/* A label for panels: left, wrapping, with a style class (nullable). */
GtkWidget *panel_label(const char *text, const char *style_class);

G_END_DECLS
