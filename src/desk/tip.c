/* SPDX-License-Identifier: MIT */
#include "desk/tip.h"

#define TEXT_KEY "tip"

const char *
tip_get(GtkWidget *widget)
{
  return g_object_get_data(G_OBJECT(widget), TEXT_KEY);
}

static gboolean
on_query(GtkWidget *widget, int x, int y, gboolean keyboard, GtkTooltip *tooltip, gpointer data)
{
  (void)x;
  (void)y;
  (void)keyboard;
  (void)data;
  gtk_tooltip_set_text(tooltip, tip_get(widget));
  return tip_get(widget) != NULL;
}

void
tip_set(GtkWidget *widget, const char *text)
{
  if (!gtk_widget_get_has_tooltip(widget) && text != NULL)
    g_signal_connect(widget, "query-tooltip", G_CALLBACK(on_query), NULL);
  else if (text == NULL)
    g_signal_handlers_disconnect_by_func(widget, on_query, NULL);
  g_object_set_data_full(G_OBJECT(widget), TEXT_KEY, g_strdup(text), g_free);
  gtk_widget_set_has_tooltip(widget, text != NULL);
  if (text != NULL)
    gtk_accessible_update_property(GTK_ACCESSIBLE(widget), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                   text, -1);
  else
    gtk_accessible_reset_property(GTK_ACCESSIBLE(widget), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION);
}
