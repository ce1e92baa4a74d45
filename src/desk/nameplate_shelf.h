/* SPDX-License-Identifier: MIT */
/* The section of the parts shelf that holds a person's own nameplates. It reads the shelf's file,
 * follows what other windows and programs do to it, and asks for edits by actions of the window:
 * win.place-nameplate, win.use-nameplate, win.rename-nameplate, win.export-nameplate,
 * win.delete-nameplate (each with the name), win.import-nameplates, win.export-nameplates,
 * win.set-nameplates-aside. */
#pragma once

#include "keep/nameplates.h"
#include <gtk/gtk.h>
#include <stdbool.h>

G_BEGIN_DECLS

#define NAMEPLATE_SHELF_TYPE (nameplate_shelf_get_type())
G_DECLARE_FINAL_TYPE(NameplateShelf, nameplate_shelf, DOORSHEET, NAMEPLATE_SHELF, GtkBox)

GtkWidget *nameplate_shelf_new(PartCatalog catalog);
/* As read last: array of Nameplate, borrowed; NULL: the file cannot be used. */
const GPtrArray *nameplate_shelf_get(NameplateShelf *shelf);
/* Shows only what the words are about; "" for all. Returns how many are shown. */
guint nameplate_shelf_filter(NameplateShelf *shelf, const char *words);
/* The first item shown, or NULL. */
GtkWidget *nameplate_shelf_first(NameplateShelf *shelf);

/* Whether all the words occur somewhere in the texts (NULL-terminated list), case aside. */
bool nameplate_shelf_matches(const char *words, const char *const *texts);

G_END_DECLS
