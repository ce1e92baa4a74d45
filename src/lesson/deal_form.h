/* SPDX-License-Identifier: MIT */
/* What is ordered of the dealer: which faults, how many, from which seed, where they go and what is
 * written; and the words by which the command line deals the same set.
 *
 * Signals: "changed": something is ordered otherwise; "choose": the folder is to be chosen. */
#pragma once

#include "handout/handout.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DEAL_FORM_TYPE (deal_form_get_type())
G_DECLARE_FINAL_TYPE(DealForm, deal_form, DOORSHEET, DEAL_FORM, GtkBox)

/* master: borrowed, has to outlive the form. name: of its file; folder: where it lies, nullable. */
DealForm *deal_form_new(const Document *master, const char *name, const char *folder);
/* NULL, or a sentence that says what cannot be read (new string). Texts of the options are lent
 * until the form changes. */
char *deal_form_get(DealForm *form, DealOrder *order, HandoutOptions *options);
bool deal_form_is_complete(DealForm *form);
char *deal_form_dup_folder(DealForm *form); /* new string */
void deal_form_set_folder(DealForm *form, const char *path);
/* "doorsheet quiz ... -o DIR", or NULL where the command line writes more. New string. */
char *deal_form_dup_command(DealForm *form);

G_END_DECLS
