/* SPDX-License-Identifier: MIT */
#include "desk/access.h"

/* The focus of a drop-down goes to a button inside it, which GTK 4.8 calls by its class: it is to
 * be called as the drop-down is, and to say what is chosen. */

static GtkWidget *
button_of(GtkDropDown *list)
{
  GtkWidget *child = gtk_widget_get_first_child(GTK_WIDGET(list));
  while (child != NULL && !GTK_IS_TOGGLE_BUTTON(child))
    child = gtk_widget_get_next_sibling(child);
  return child;
}

static void
say_chosen(GtkDropDown *list, GParamSpec *property, GtkWidget *button)
{
  (void)property;
  gpointer item = gtk_drop_down_get_selected_item(list);
  gtk_accessible_update_property(
      GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
      GTK_IS_STRING_OBJECT(item) ? gtk_string_object_get_string(item) : "", -1);
}

static void
name_drop_down(GtkDropDown *list)
{
  GtkWidget *button = button_of(list);
  if (button == NULL || g_object_get_data(G_OBJECT(button), "named") != NULL)
    return;
  g_object_set_data(G_OBJECT(button), "named", button);
  /* A name is taken over one step only: from the title beside the list, where there is one. */
  GList *titles = gtk_widget_list_mnemonic_labels(GTK_WIDGET(list));
  GtkAccessible *from = GTK_ACCESSIBLE(titles != NULL ? titles->data : list);
  g_list_free(titles);
  gtk_accessible_update_relation(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_RELATION_LABELLED_BY, from,
                                 NULL, -1);
  g_signal_connect_object(list, "notify::selected-item", G_CALLBACK(say_chosen), button, 0);
  say_chosen(list, NULL, button);
}

static gboolean
on_realize(GSignalInvocationHint *hint, guint n, const GValue *values, gpointer data)
{
  (void)hint;
  (void)n;
  (void)data;
  GObject *widget = g_value_get_object(&values[0]);
  if (GTK_IS_DROP_DOWN(widget))
    name_drop_down(GTK_DROP_DOWN(widget));
  return TRUE;
}

void
access_init(void)
{
  static gulong hook;
  if (hook != 0)
    return;
  g_type_ensure(GTK_TYPE_WIDGET);
  g_autoptr(GTypeClass) class = g_type_class_ref(GTK_TYPE_WIDGET); /* makes its signals */
  (void)class;
  hook = g_signal_add_emission_hook(g_signal_lookup("realize", GTK_TYPE_WIDGET), 0, on_realize,
                                    NULL, NULL);
}
