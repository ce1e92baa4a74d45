/* SPDX-License-Identifier: MIT */
/* Every key of the window, one table: accelerators are set from it, the canvas is bound by it, and
 * the list people read is made from it, so that none of the three can tell anything else. */
#pragma once

#include <gtk/gtk.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef enum {
  KEYS_WINDOW, /* works wherever the focus is */
  KEYS_CANVAS, /* works while the canvas has the focus: an entry must not lose it */
  KEYS_MODE    /* the canvas reads it itself, by what is in hand; no action */
} KeysPlace;

typedef struct {
  const char *section;
  const char *what;
  KeysPlace place;
  const char *action;    /* detailed action name; NULL for KEYS_MODE */
  const char *accels[4]; /* NULL-terminated, the one people should learn first */
  const char *keys;      /* KEYS_MODE: in words */
} KeysRow;

const KeysRow *keys_table(guint *n);
/* "Ctrl+Z", "Del or Backspace". New string. */
char *keys_dup_label(const KeysRow *row);
void keys_set_accelerators(GtkApplication *application);
void keys_bind_canvas(GtkWidgetClass *canvas_class);

G_END_DECLS
