/* SPDX-License-Identifier: MIT */
/* The sheet as it will come out of the printer, in a window of its own: page by page, larger and
 * smaller, in colour and in black ink, by mouse and by keys. Drawn by the pen that prints, so that
 * it needs no other program. */
#pragma once

#include "sheet/sheet.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

/* Prints the sheet in a palette. */
typedef void (*PreviewPrint)(GtkWindow *parent, Palette palette);

/* sheet: taken. print (nullable): what the Print button does; the preview closes before. Returns
 * the window, already shown, owned by GTK. */
GtkWindow *print_preview_show(GtkWindow *parent, Sheet *take_sheet, PreviewPrint print);

G_END_DECLS
