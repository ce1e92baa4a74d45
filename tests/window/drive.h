/* SPDX-License-Identifier: MIT */
/* Driving the window from inside: the signals of its own gestures and keys, its actions, its
 * widgets. Events cannot be made from outside in GTK 4, the signals they end in can. */
#pragma once

#include "window/window.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* Exit code by which meson counts a test as skipped. */
#define DRIVE_SKIP 77

/* A display, the application and its resources. Skips (exit 77) without a display, unless the
 * environment says CI: there a missing display is a failure. */
GtkApplication *drive_application(void);
DoorsheetWindow *drive_window(GtkApplication *application);
/* A window with this file, or with a sample by its file name. Settled. */
DoorsheetWindow *drive_open(GtkApplication *application, const char *path);
DoorsheetWindow *drive_sample(GtkApplication *application, const char *name);
/* Runs the main loop until nothing is left to do. */
void drive_settle(void);
void drive_close(DoorsheetWindow *window); /* throws changes away */

void drive_action(DoorsheetWindow *window, const char *action); /* must exist and be enabled */
void drive_action_text(DoorsheetWindow *window, const char *action, const char *text);

/* The canvas's own controller of this type; borrowed. Must exist. */
gpointer drive_controller(DoorsheetWindow *window, GType type);
/* Sheet millimetres. */
void drive_drag(DoorsheetWindow *window, Point from, Point to);
void drive_click(DoorsheetWindow *window, Point at);
void drive_hover(DoorsheetWindow *window, Point at);
void drive_key(DoorsheetWindow *window, guint key, GdkModifierType state);

/* Takes a part from the shelf by its button and puts it down by a click. */
void drive_place(DoorsheetWindow *window, const char *title, Point at);
Point drive_terminal(DoorsheetWindow *window, const char *name); /* "T1.H1" */
void drive_land(DoorsheetWindow *window, const char *from, const char *to);

/* What is on the sheet; each fails the test when it is not there. */
const Document *drive_document(DoorsheetWindow *window);
const Device *drive_device(DoorsheetWindow *window, const char *id);
Point drive_middle(DoorsheetWindow *window, const char *id);
/* Index of the first conductor whose first end lies here. */
guint drive_conductor_from(DoorsheetWindow *window, const char *device, const char *terminal);
/* Two fuses, a load, and a conductor from FU1.2 to LD1.1. */
DoorsheetWindow *drive_small_sheet(GtkApplication *application);

/* What a tool made of `before` reads back from its file as itself, one undo gives the old text
 * again, and one redo the new. */
void drive_one_step(DoorsheetWindow *window, const Document *before);

/* The mapped widget of the type whose label, button text or field title is this. Fails the test
 * when there is none. */
GtkWidget *drive_find(GtkWidget *root, GType type, const char *text);
/* Clicks the button with this text. */
void drive_press(GtkWidget *root, const char *text);
/* Types into the field with this title and presses Enter. */
void drive_type(DoorsheetWindow *window, const char *title, const char *text);
/* The editor's text now. Borrowed. */
const char *drive_text(DoorsheetWindow *window, const char *title);
