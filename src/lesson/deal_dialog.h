/* SPDX-License-Identifier: MIT */
/* The dealing dialog: what is ordered, where it goes, how far it is, what came of it. It deals by
 * the function of the command line, beside the main loop, and says how the command line would be
 * asked for the same. */
#pragma once

#include "quiz/deal.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DEAL_DIALOG_TYPE (deal_dialog_get_type())
G_DECLARE_FINAL_TYPE(DealDialog, deal_dialog, DOORSHEET, DEAL_DIALOG, GtkWindow)

/* path NULL: given up. */
typedef void (*DealDialogChosen)(const char *path, gpointer data);
/* What the desktop does for the dialog; from whoever owns the dialogs of the program. */
typedef struct {
  void (*choose_folder)(GtkWindow *parent, const char *from, DealDialogChosen chosen,
                        gpointer data);
  void (*show_folder)(GtkWindow *parent, const char *path);
} DealDialogHost;

/* Over the master as it is now (snapshotted). name: of its file; folder: where it lies, nullable.
 * host: static. Shows itself; goes when it is closed. */
DealDialog *deal_dialog_show(GtkWindow *parent, const Document *master, const char *name,
                             const char *folder, const DealDialogHost *host);

G_END_DECLS
