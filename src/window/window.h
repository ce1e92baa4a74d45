/* SPDX-License-Identifier: MIT */
/* The main window: header bar, parts shelf, canvas, clipboard, meter, status line, and the actions
 * that work on them. Every command is a GAction of the window ("win.undo"), so that menus, keys,
 * assistive technology and tests reach all of them the same way. */
#pragma once

#include "canvas/canvas.h"
#include "desk/notice_bar.h"
#include "lesson/deal_page.h"
#include "window/panels.h"

G_BEGIN_DECLS

#define WINDOW_TYPE (window_get_type())
G_DECLARE_FINAL_TYPE(DoorsheetWindow, window, DOORSHEET, WINDOW, GtkApplicationWindow)

DoorsheetWindow *window_new(GtkApplication *application);
typedef struct WindowLife WindowLife; /* window_life.h */

/* Opens a file here when the window is untouched, else in a new window. A file that is open
 * already is only shown. Says what went wrong. */
void window_open(DoorsheetWindow *window, const char *path);
bool window_is_untouched(DoorsheetWindow *window);
/* After the session got a sheet: the start page goes, the sheet is brought into view. */
void window_show_opened(DoorsheetWindow *window);
NoticeBar *window_get_notices(DoorsheetWindow *window);
WindowLife *window_get_life(DoorsheetWindow *window); /* NULL: closed */
Session *window_get_session(DoorsheetWindow *window);
Canvas *window_get_canvas(DoorsheetWindow *window);
CheckPage *window_get_check_page(DoorsheetWindow *window);
DealPage *window_get_deal_page(DoorsheetWindow *window);
/* Makes what the first frame can do without: parts shelf, clipboard pages, meter, the inspection
 * of the sheet. Happens by itself right after the first frame; what needs a page asks for it. */
void window_complete(DoorsheetWindow *window);
/* "measure", "land", "check", "read", "post", "lesson" */
void window_show_page(DoorsheetWindow *window, const char *page);
void window_say(DoorsheetWindow *window, const char *text);
void window_hide_start(DoorsheetWindow *window);
/* A box with one button. */
void window_complain(DoorsheetWindow *window, const char *heading, const GError *error);

/* Fold the parts shelf (shelf true) or the clipboard away or back. */
void window_toggle_side(DoorsheetWindow *window, bool shelf);
bool window_side_shown(DoorsheetWindow *window, bool shelf);
/* The keyboard goes to the first field of the page that is shown. */
void window_focus_page(DoorsheetWindow *window);
/* The keyboard goes to the first part on the shelf, which is unfolded. */
void window_focus_shelf(DoorsheetWindow *window);
const char *window_get_page(DoorsheetWindow *window);

/* --- window_open.c --- */
/* The window other than this one that has the file open, or NULL. Borrowed. */
DoorsheetWindow *window_find_other(DoorsheetWindow *window, const char *path);
/* The page on which the job stands: "measure", "land", "check", "read". */
const char *window_page_of_job(DoorsheetWindow *window);
/* The menu shows the sheets opened lately from now on, whatever window opens one. */
void window_recent_follow(GMenu *menu);
void window_recent_add(const char *path);
/* Findings above NOTICE. */
guint window_count_findings(const GPtrArray *findings);

/* --- window_clip.c --- */
void window_copy(DoorsheetWindow *window);
void window_paste(DoorsheetWindow *window);
/* What is selected in the program's own format, as text and as an SVG that carries it. New
 * reference; NULL: nothing is selected. */
GdkContentProvider *window_copy_provider(Session *session);
/* Pastes what was in a clipboard, or says why not. */
bool window_paste_text(DoorsheetWindow *window, const char *text, gsize size);

/* --- window_actions.c --- */
void window_actions_init(DoorsheetWindow *window);
void window_actions_update(DoorsheetWindow *window);

/* --- window_arrange.c: selecting by net, enclosures, aligning, spacing --- */
void window_arrange_init(DoorsheetWindow *window);
void window_arrange_update(DoorsheetWindow *window);

/* --- window_conductors.c: landing, walking, bending, probes --- */
void window_conductors_init(DoorsheetWindow *window);

/* --- window_reach.c: taking the keyboard to a part of the window --- */
void window_reach_init(DoorsheetWindow *window);

/* --- window_nameplates.c: keeping nameplates on the shelf and using them --- */
void window_nameplates_init(DoorsheetWindow *window);
void window_nameplates_update(DoorsheetWindow *window);
/* The part of importing after the dialog. */
void window_import_nameplates(DoorsheetWindow *window, const char *from);

/* --- window_number.c: wire numbers and designations by rule --- */
void window_number_init(DoorsheetWindow *window);

/* --- window_lesson.c: marking faults, their preview, dealing --- */
void window_lesson_init(DoorsheetWindow *window);
void window_lesson_follow(DoorsheetWindow *window, DealPage *page); /* once it is there */
void window_lesson_update(DoorsheetWindow *window);

/* --- window_output.c: saving, exporting, printing, and the question before losing changes --- */
/* Asks for a name when there is none, or when the file is read-only; asks before writing over what
 * another program wrote meanwhile. */
void window_save(DoorsheetWindow *window, bool ask_name);
/* The part after the dialog; refuses a file that is read-only or open in another window. */
void window_save_as(DoorsheetWindow *window, const char *path);
void window_export(DoorsheetWindow *window, const char *extension);
void window_print(DoorsheetWindow *window);
void window_preview(DoorsheetWindow *window);
/* Writes the sheet to a file by its extension; the part of window_export after the dialog. */
bool window_export_to(DoorsheetWindow *window, const char *path, GError **error);
/* Calls then at once, or after the user has saved or thrown away changes; not at all when they
 * keep the window. */
void window_before_loss(DoorsheetWindow *window, void (*then)(DoorsheetWindow *window));

G_END_DECLS
