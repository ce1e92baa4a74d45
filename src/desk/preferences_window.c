/* SPDX-License-Identifier: MIT */
#include "desk/preferences_window.h"

#include "base/language.h"
#include "desk/template.h"

#include <string.h>

struct _PreferencesWindow {
  GtkWindow parent;
  GtkBox *groups;
  GtkLabel *problem;
  GtkWidget *editors[PREFERENCE_COUNT];
  guint listener;
  bool updating;
};

G_DEFINE_FINAL_TYPE(PreferencesWindow, preferences_window, GTK_TYPE_WINDOW)

GtkWidget *
preferences_window_get_editor(PreferencesWindow *window, Preference preference)
{
  return window->editors[preference];
}

static void
show(PreferencesWindow *window, Preference preference)
{
  const PreferenceSpec *spec = preference_spec(preference);
  GtkWidget *editor = window->editors[preference];
  const char *text = preference_text(preference);
  window->updating = true;
  switch (spec->kind) {
  case PREFERENCE_CHOICE:
    for (guint i = 0; spec->words[i] != NULL; i++)
      if (strcmp(spec->words[i], text) == 0)
        gtk_drop_down_set_selected(GTK_DROP_DOWN(editor), i);
    break;
  case PREFERENCE_SWITCH:
    gtk_switch_set_active(GTK_SWITCH(editor), preference_on(preference));
    break;
  case PREFERENCE_NUMBER:
    gtk_spin_button_set_value(GTK_SPIN_BUTTON(editor), preference_number(preference));
    break;
  case PREFERENCE_TEXT:
    if (strcmp(gtk_editable_get_text(GTK_EDITABLE(editor)), text) != 0)
      gtk_editable_set_text(GTK_EDITABLE(editor), text);
    break;
  }
  window->updating = false;
}

static void
on_edited(GtkWidget *editor, PreferencesWindow *window)
{
  if (window->updating)
    return;
  Preference preference = 0;
  while (preference < PREFERENCE_COUNT - 1 && window->editors[preference] != editor)
    preference++;
  const PreferenceSpec *spec = preference_spec(preference);
  g_autofree char *text = NULL;
  if (spec->kind == PREFERENCE_CHOICE)
    text = g_strdup(spec->words[gtk_drop_down_get_selected(GTK_DROP_DOWN(editor))]);
  else if (spec->kind == PREFERENCE_SWITCH)
    text = g_strdup(gtk_switch_get_active(GTK_SWITCH(editor)) ? "yes" : "no");
  else if (spec->kind == PREFERENCE_NUMBER)
    text = g_strdup_printf("%d", gtk_spin_button_get_value_as_int(GTK_SPIN_BUTTON(editor)));
  else
    text = g_strdup(gtk_editable_get_text(GTK_EDITABLE(editor)));
  g_autoptr(GError) error = NULL;
  preference_set(preference, text, &error);
  gtk_label_set_text(window->problem, error != NULL ? error->message : "");
  gtk_widget_set_visible(GTK_WIDGET(window->problem), error != NULL);
}

static void
on_property(GtkWidget *editor, GParamSpec *property, PreferencesWindow *window)
{
  (void)property;
  on_edited(editor, window);
}

static void
on_leave(GtkEventController *controller, PreferencesWindow *window)
{
  on_edited(gtk_event_controller_get_widget(controller), window);
}

/* Not at every letter: each change is a file written. */
static void
watch_text(PreferencesWindow *window, GtkWidget *editor)
{
  GtkEventController *focus = gtk_event_controller_focus_new();
  g_signal_connect(focus, "leave", G_CALLBACK(on_leave), window);
  gtk_widget_add_controller(editor, focus);
  g_signal_connect(editor, "activate", G_CALLBACK(on_edited), window);
}

static gboolean
on_close(GtkWindow *gtk_window, gpointer data)
{
  (void)data;
  PreferencesWindow *window = DOORSHEET_PREFERENCES_WINDOW(gtk_window);
  on_edited(window->editors[PREFERENCE_AUTHOR], window); /* typed and not left yet */
  return FALSE;
}

static GtkStringList *
titles_of(const PreferenceSpec *spec)
{
  GtkStringList *titles = gtk_string_list_new(NULL);
  for (guint i = 0; spec->titles[i] != NULL; i++)
    gtk_string_list_append(titles, _(spec->titles[i]));
  return titles;
}

static GtkWidget *
make_editor(PreferencesWindow *window, const PreferenceSpec *spec)
{
  GtkWidget *editor = NULL;
  switch (spec->kind) {
  case PREFERENCE_CHOICE:
    editor = gtk_drop_down_new(G_LIST_MODEL(titles_of(spec)), NULL);
    g_signal_connect(editor, "notify::selected", G_CALLBACK(on_property), window);
    break;
  case PREFERENCE_SWITCH:
    editor = gtk_switch_new();
    g_signal_connect(editor, "notify::active", G_CALLBACK(on_property), window);
    break;
  case PREFERENCE_NUMBER:
    editor = gtk_spin_button_new_with_range(spec->minimum, spec->maximum, 10);
    g_signal_connect(editor, "value-changed", G_CALLBACK(on_edited), window);
    break;
  case PREFERENCE_TEXT:
    editor = gtk_entry_new();
    gtk_entry_set_max_length(GTK_ENTRY(editor), spec->maximum);
    gtk_editable_set_width_chars(GTK_EDITABLE(editor), 22);
    watch_text(window, editor);
    break;
  }
  gtk_widget_set_valign(editor, GTK_ALIGN_CENTER);
  gtk_accessible_update_property(GTK_ACCESSIBLE(editor), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 _(spec->title), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, _(spec->help),
                                 -1);
  return editor;
}

static GtkWidget *
make_label(const char *text, const char *class)
{
  GtkWidget *label = gtk_label_new(text);
  gtk_label_set_xalign(GTK_LABEL(label), 0);
  gtk_label_set_wrap(GTK_LABEL(label), TRUE);
  gtk_widget_add_css_class(label, class);
  return label;
}

static void
add_row(PreferencesWindow *window, Preference preference)
{
  const PreferenceSpec *spec = preference_spec(preference);
  if (preference == 0 || strcmp(spec->group, preference_spec(preference - 1)->group) != 0)
    gtk_box_append(window->groups, make_label(_(spec->group), "heading"));
  GtkWidget *row = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *texts = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_add_css_class(row, "row");
  gtk_widget_set_hexpand(texts, TRUE);
  gtk_box_append(GTK_BOX(texts), make_label(_(spec->title), "name"));
  gtk_box_append(GTK_BOX(texts), make_label(_(spec->help), "help"));
  gtk_box_append(GTK_BOX(row), texts);
  window->editors[preference] = make_editor(window, spec);
  gtk_box_append(GTK_BOX(row), window->editors[preference]);
  gtk_box_append(window->groups, row);
  show(window, preference);
}

static void
on_preference(Preference preference, gpointer data)
{
  show(data, preference);
}

static void
preferences_window_dispose(GObject *object)
{
  PreferencesWindow *window = DOORSHEET_PREFERENCES_WINDOW(object);
  if (window->listener != 0)
    preferences_unlisten(window->listener);
  window->listener = 0;
  G_OBJECT_CLASS(preferences_window_parent_class)->dispose(object);
}

static void
preferences_window_class_init(PreferencesWindowClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = preferences_window_dispose;
  template_set(widget_class, "preferences_window.ui");
  gtk_widget_class_bind_template_child(widget_class, PreferencesWindow, groups);
  gtk_widget_class_bind_template_child(widget_class, PreferencesWindow, problem);
}

static void
preferences_window_init(PreferencesWindow *window)
{
  gtk_widget_init_template(GTK_WIDGET(window));
  for (Preference p = 0; p < PREFERENCE_COUNT; p++)
    add_row(window, p);
  window->listener = preferences_listen(on_preference, window);
  g_signal_connect(window, "close-request", G_CALLBACK(on_close), NULL);
}

PreferencesWindow *
preferences_window_new(GtkWindow *parent)
{
  return g_object_new(PREFERENCES_WINDOW_TYPE, "transient-for", parent, NULL);
}
