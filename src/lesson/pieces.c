/* SPDX-License-Identifier: MIT */
#include "lesson/pieces.h"

void
pieces_clear(GtkBox *box)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child(GTK_WIDGET(box))) != NULL)
    gtk_box_remove(box, child);
}

GtkWidget *
pieces_label(const char *text, const char *style)
{
  GtkWidget *widget = gtk_label_new(text);
  gtk_label_set_xalign(GTK_LABEL(widget), 0);
  gtk_label_set_wrap(GTK_LABEL(widget), TRUE);
  gtk_label_set_wrap_mode(GTK_LABEL(widget), PANGO_WRAP_WORD_CHAR);
  if (style != NULL)
    gtk_widget_add_css_class(widget, style);
  return widget;
}

GtkBox *
pieces_column(GtkBox *into)
{
  GtkWidget *box = gtk_box_new(GTK_ORIENTATION_VERTICAL, 4);
  gtk_box_append(into, box);
  return GTK_BOX(box);
}

void
pieces_name(GtkWidget *widget, const char *text)
{
  gtk_accessible_update_property(GTK_ACCESSIBLE(widget), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

GtkWidget *
pieces_button(GtkBox *into, const char *text, GCallback callback, gpointer data)
{
  GtkWidget *widget = gtk_button_new_with_label(text);
  g_signal_connect(widget, "clicked", callback, data);
  gtk_box_append(into, widget);
  return widget;
}

GtkDropDown *
pieces_drop_down(GtkBox *into, const char *name)
{
  GtkWidget *down = gtk_drop_down_new(G_LIST_MODEL(gtk_string_list_new(NULL)), NULL);
  pieces_name(down, name);
  gtk_box_append(into, down);
  return GTK_DROP_DOWN(down);
}
