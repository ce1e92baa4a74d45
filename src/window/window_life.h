/* SPDX-License-Identifier: MIT */
/* The life of a window's sheet outside it: kept against a crash at every edit, watched for changes
 * by other programs, told when it cannot be written. Decisions are asked for in the notice bar. */
#pragma once

#include "desk/notice_bar.h"
#include "window/window.h"

G_BEGIN_DECLS

typedef struct WindowLife WindowLife;

/* Follows the window's session from now on; create it before anything else follows the session,
 * so that an edit is kept before it is shown. window and bar are borrowed. */
WindowLife *window_life_new(DoorsheetWindow *window, NoticeBar *bar);
/* The sheet was saved or thrown away on purpose: nothing is left to recover. */
void window_life_free(WindowLife *life);
/* Compares the file with what it held when last read or written here, and says so. */
void window_life_check(WindowLife *life);
/* Until the newest edit is on the disk; the file it is kept in, or NULL. Borrowed. */
const char *window_life_settle(WindowLife *life);

/* Offers what a program that died has left, in this window's notice bar. */
void window_life_offer(DoorsheetWindow *window);

G_END_DECLS
