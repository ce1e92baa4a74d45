/* SPDX-License-Identifier: MIT */
/* What the theme in force asks of our own drawings. */
#pragma once

#include "pen/pen_cairo.h"
#include <gtk/gtk.h>
#include <stdbool.h>

G_BEGIN_DECLS

/* Whether the theme writes light text on dark where this widget stands. */
bool theme_dark(GtkWidget *widget);
/* Whether the theme is one of high contrast. */
bool theme_contrast(void);
/* The palette that fits the theme, for small drawings in panels. */
Palette theme_palette(GtkWidget *widget);

G_END_DECLS
