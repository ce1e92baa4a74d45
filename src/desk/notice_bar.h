/* SPDX-License-Identifier: MIT */
/* Notices above the sheet: something happened to the file that the user has to decide about, but
 * not before they have finished what they are doing. One row for each, told apart by a key, with
 * its buttons; nothing is blocked meanwhile. */
#pragma once

#include <gtk/gtk.h>
#include <stdbool.h>

G_BEGIN_DECLS

#define NOTICE_BAR_TYPE (notice_bar_get_type())
G_DECLARE_FINAL_TYPE(NoticeBar, notice_bar, DOORSHEET, NOTICE_BAR, GtkBox)

typedef struct {
  const char *label; /* NULL ends the list */
  void (*answer)(gpointer data);
} NoticeButton;

/* Shows a row, in place of one with the same key. A button takes the row away, then calls its
 * answer (nullable). free_data (nullable) is called when the row has gone. */
void notice_bar_show(NoticeBar *bar, const char *key, const char *text, const NoticeButton *buttons,
                     gpointer data, GDestroyNotify free_data);
void notice_bar_remove(NoticeBar *bar, const char *key);
bool notice_bar_has(NoticeBar *bar, const char *key);
/* The keyboard goes to the first button; false: there is no notice. */
bool notice_bar_focus(NoticeBar *bar);

G_END_DECLS
