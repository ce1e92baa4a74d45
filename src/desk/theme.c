/* SPDX-License-Identifier: MIT */
#include "desk/theme.h"

bool
theme_contrast(void)
{
  g_autofree char *name = NULL;
  g_object_get(gtk_settings_get_default(), "gtk-theme-name", &name, NULL);
  const char *forced = g_getenv("GTK_THEME"); /* goes before the setting */
  const char *theme = forced != NULL ? forced : name;
  return theme != NULL && (strstr(theme, "-hc") != NULL || strstr(theme, "HighContrast") != NULL);
}

/* A theme may be dark by its name, by the environment, by a setting or of its own accord; what it
 * writes its text in tells in every case. Style contexts go out of use with GTK 4.10, which has
 * gtk_widget_get_color instead: this is the one place that asks. */
bool
theme_dark(GtkWidget *widget)
{
  GdkRGBA text;
  gtk_style_context_get_color(gtk_widget_get_style_context(widget), &text);
  /* Luma of ITU-R BT.709, on the coded values: only light and dark are to be told apart. */
  return 0.2126f * text.red + 0.7152f * text.green + 0.0722f * text.blue > 0.5f;
}

Palette
theme_palette(GtkWidget *widget)
{
  if (theme_dark(widget))
    return PALETTE_DARK;
  return theme_contrast() ? PALETTE_CONTRAST : PALETTE_LIGHT;
}
