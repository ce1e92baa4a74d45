/* SPDX-License-Identifier: MIT */

#include "base/language.h"
/* Every question the program asks goes through these functions, so that another GTK's file dialog
 * and message box can take their place in one file. */
#pragma once

#include <gtk/gtk.h>
#include <stdbool.h>

G_BEGIN_DECLS

/* path: NULL when the user gave up. */
typedef void (*DialogsFileDone)(const char *path, gpointer data);

typedef struct {
  const char *title;
  const char *accept; /* label of the button: "Open" */
  bool save;
  bool choose_folder;          /* a folder, made when it is not there; not a file */
  const char *name;            /* proposed name; nullable */
  const char *folder;          /* nullable */
  const char *filter_title;    /* nullable: all files */
  const char *const *patterns; /* NULL-terminated: "*.doorsheet" */
} DialogsFile;
void dialogs_file(GtkWindow *parent, const DialogsFile *file, DialogsFileDone done, gpointer data);

/* Shows a folder in the desktop's own file manager, or says where it is. */
void dialogs_show_folder(GtkWindow *parent, const char *path);

/* answer: index of the button; -1 when the box was closed. */
typedef void (*DialogsAnswer)(int answer, gpointer data);
/* buttons: NULL-terminated, marked with N_(), the harmless one first, the usual one last. */
void dialogs_ask(GtkWindow *parent, const char *heading, const char *text,
                 const char *const *buttons, DialogsAnswer answer, gpointer data);

/* One line of the shortcuts window. */
typedef struct {
  const char *section; /* NULL ends the list */
  const char *keys;    /* "Ctrl+S" */
  const char *what;
} DialogsShortcut;
void dialogs_shortcuts(GtkWindow *parent, const DialogsShortcut *shortcuts);

/* Asks for a word (find); done gets NULL when given up. */
void dialogs_word(GtkWindow *parent, const char *heading, const char *accept, DialogsFileDone done,
                  gpointer data);
/* The same with a text below the heading (nullable) and a proposal, chosen so that typing replaces
 * it. */
typedef struct {
  const char *heading, *text, *accept, *proposal;
} DialogsName;
void dialogs_name(GtkWindow *parent, const DialogsName *name, DialogsFileDone done, gpointer data);

G_END_DECLS
