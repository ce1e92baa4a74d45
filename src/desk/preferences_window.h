/* SPDX-License-Identifier: MIT */
/* The preferences, a row for each entry of the table in keep/preferences.h. Every change takes
 * effect at once; there is nothing to confirm. */
#pragma once

#include "keep/preferences.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define PREFERENCES_WINDOW_TYPE (preferences_window_get_type())
G_DECLARE_FINAL_TYPE(PreferencesWindow, preferences_window, DOORSHEET, PREFERENCES_WINDOW,
                     GtkWindow)

PreferencesWindow *preferences_window_new(GtkWindow *parent);
/* The list, switch, number or entry of one preference. */
GtkWidget *preferences_window_get_editor(PreferencesWindow *window, Preference preference);

G_END_DECLS
