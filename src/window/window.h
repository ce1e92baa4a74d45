/* SPDX-License-Identifier: MIT */
/* The main window: header bar, parts shelf, canvas, clipboard, meter, status line, and the actions
 * that work on them. Every command is a GAction of the window ("win.undo"), so that menus, keys,
 * assistive technology and tests reach all of them the same way. */
#pragma once

#include "window/canvas.h"
#include "window/panels.h"

G_BEGIN_DECLS

#define WINDOW_TYPE (window_get_type())
G_DECLARE_FINAL_TYPE(DoorsheetWindow, window, DOORSHEET, WINDOW, GtkApplicationWindow)

DoorsheetWindow *window_new(GtkApplication *application);
/* Opens a file here when the window is untouched, else in a new window. Says what went wrong. */
void window_open(DoorsheetWindow *window, const char *path);
Session *window_get_session(DoorsheetWindow *window);
Canvas *window_get_canvas(DoorsheetWindow *window);
CheckPage *window_get_check_page(DoorsheetWindow *window);
/* "measure", "land", "check", "read", "post" */
void window_show_page(DoorsheetWindow *window, const char *page);
void window_say(DoorsheetWindow *window, const char *text);
void window_hide_start(DoorsheetWindow *window);
/* A box with one button. */
void window_complain(DoorsheetWindow *window, const char *heading, const GError *error);

/* Fold the parts shelf (shelf true) or the clipboard away or back. */
void window_toggle_side(DoorsheetWindow *window, bool shelf);
bool window_side_shown(DoorsheetWindow *window, bool shelf);
const char *window_get_page(DoorsheetWindow *window);

/* --- window_clip.c --- */
void window_copy(DoorsheetWindow *window);
void window_paste(DoorsheetWindow *window);

/* --- window_actions.c --- */
void window_actions_init(DoorsheetWindow *window);
void window_actions_update(DoorsheetWindow *window);
void window_set_accelerators(GtkApplication *application);

/* --- window_output.c: saving, exporting, printing, and the question before losing changes --- */
void window_save(DoorsheetWindow *window, bool ask_name);
void window_export(DoorsheetWindow *window, const char *extension);
void window_print(DoorsheetWindow *window);
/* Writes the sheet to a file by its extension; the part of window_export after the dialog. */
bool window_export_to(DoorsheetWindow *window, const char *path, GError **error);
/* Calls then at once, or after the user has saved or thrown away changes; not at all when they
 * keep the window. */
void window_before_loss(DoorsheetWindow *window, void (*then)(DoorsheetWindow *window));

G_END_DECLS
