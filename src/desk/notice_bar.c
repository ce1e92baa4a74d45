/* SPDX-License-Identifier: MIT */
#include "desk/notice_bar.h"

#include "base/language.h"
#include "desk/template.h"

#include <string.h>

struct _NoticeBar {
  GtkBox parent;
};

G_DEFINE_FINAL_TYPE(NoticeBar, notice_bar, GTK_TYPE_BOX)

typedef struct {
  char *key;
  gpointer data;
  GDestroyNotify free_data;
} Row;

static void
row_free(gpointer data)
{
  Row *row = data;
  if (row->free_data != NULL)
    row->free_data(row->data);
  g_free(row->key);
  g_free(row);
}

static GtkWidget *
find(NoticeBar *bar, const char *key)
{
  for (GtkWidget *child = gtk_widget_get_first_child(GTK_WIDGET(bar)); child != NULL;
       child = gtk_widget_get_next_sibling(child)) {
    const Row *row = g_object_get_data(G_OBJECT(child), "row");
    if (strcmp(row->key, key) == 0)
      return child;
  }
  return NULL;
}

static void
take_away(NoticeBar *bar, GtkWidget *row)
{
  bool had_focus = gtk_widget_get_focus_child(GTK_WIDGET(bar)) != NULL;
  gtk_box_remove(GTK_BOX(bar), row);
  bool empty = gtk_widget_get_first_child(GTK_WIDGET(bar)) == NULL;
  gtk_widget_set_visible(GTK_WIDGET(bar), !empty);
  if (had_focus && !empty)
    notice_bar_focus(bar);
}

static void
on_button(GtkButton *button, NoticeBar *bar)
{
  GtkWidget *widget = gtk_widget_get_parent(GTK_WIDGET(button));
  void (*answer)(gpointer) = (void (*)(gpointer))g_object_get_data(G_OBJECT(button), "answer");
  /* The row keeps its data until the answer has been given. */
  g_autoptr(GtkWidget) row = g_object_ref(widget);
  g_autoptr(NoticeBar) held = g_object_ref(bar);
  Row *about = g_object_get_data(G_OBJECT(row), "row");
  take_away(held, row);
  if (answer != NULL)
    answer(about->data);
}

void
notice_bar_show(NoticeBar *bar, const char *key, const char *text, const NoticeButton *buttons,
                gpointer data, GDestroyNotify free_data)
{
  notice_bar_remove(bar, key);
  Row *row = g_new0(Row, 1);
  *row = (Row){.key = g_strdup(key), .data = data, .free_data = free_data};
  GtkWidget *box =
      g_object_new(GTK_TYPE_BOX, "spacing", 8, "accessible-role", GTK_ACCESSIBLE_ROLE_ALERT, NULL);
  gtk_widget_add_css_class(box, "notice");
  g_object_set_data_full(G_OBJECT(box), "row", row, row_free);
  gtk_accessible_update_property(GTK_ACCESSIBLE(box), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
  GtkWidget *label = gtk_label_new(text);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_label_set_xalign(GTK_LABEL(label), 0);
  gtk_widget_set_hexpand(label, TRUE);
  gtk_box_append(GTK_BOX(box), label);
  for (const NoticeButton *b = buttons; b->label != NULL; b++) {
    GtkWidget *button = gtk_button_new_with_label(_(b->label));
    gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
    g_object_set_data(G_OBJECT(button), "answer", (gpointer)b->answer);
    g_signal_connect(button, "clicked", G_CALLBACK(on_button), bar);
    gtk_box_append(GTK_BOX(box), button);
  }
  gtk_box_append(GTK_BOX(bar), box);
  gtk_widget_set_visible(GTK_WIDGET(bar), TRUE);
}

void
notice_bar_remove(NoticeBar *bar, const char *key)
{
  GtkWidget *row = find(bar, key);
  if (row != NULL)
    take_away(bar, row);
}

bool
notice_bar_has(NoticeBar *bar, const char *key)
{
  return find(bar, key) != NULL;
}

bool
notice_bar_focus(NoticeBar *bar)
{
  GtkWidget *row = gtk_widget_get_first_child(GTK_WIDGET(bar));
  if (row == NULL)
    return false;
  for (GtkWidget *child = gtk_widget_get_first_child(row); child != NULL;
       child = gtk_widget_get_next_sibling(child))
    if (GTK_IS_BUTTON(child))
      return gtk_widget_grab_focus(child);
  return false;
}

static void
notice_bar_class_init(NoticeBarClass *class)
{
  template_set(GTK_WIDGET_CLASS(class), "notice_bar.ui");
}

static void
notice_bar_init(NoticeBar *bar)
{
  gtk_widget_init_template(GTK_WIDGET(bar));
}
