/* SPDX-License-Identifier: MIT */
/* The few pictures on the window's own buttons, drawn instead of looked up: reading an icon theme
 * and its drawings takes longer than the rest of the first frame. They take the colour of the text
 * beside them, at every scale. In a template: the "paintable" of an image, with the property
 * "shape". */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define GLYPH_TYPE (glyph_get_type())
G_DECLARE_FINAL_TYPE(Glyph, glyph, DOORSHEET, GLYPH, GObject)

/* "undo", "redo", "menu", "down", "lockout", "energize", "turn", "mirror"; another name draws
 * nothing. */
GdkPaintable *glyph_new(const char *shape);

G_END_DECLS
