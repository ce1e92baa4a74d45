/* SPDX-License-Identifier: MIT */
/* The windowed program: application, preferences and recent files. */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define WINDOW_APPLICATION_ID "org.doorsheet.Doorsheet"

/* Runs the application; argv[1..] are files to open. Returns the exit status. */
int window_main(int argc, char **argv);

/* The application with its actions, accelerators, styles and preferences, not yet running. */
GtkApplication *window_application_new(GApplicationFlags flags);

/* --- settings: one key file of our own under the user's configuration folder --- */
/* New strings; fallback when not set. */
char *settings_dup(const char *key, const char *fallback);
void settings_set(const char *key, const char *value);
/* Newest first, at most ten, files that are gone left out. NULL-terminated, new. */
char **settings_dup_recent(void);
void settings_add_recent(const char *path);

G_END_DECLS
