/* SPDX-License-Identifier: MIT */
#include "window/window_main.h"
#include "window/window.h"
#include <glib/gstdio.h>
#include <gtk/gtk.h>
#include <string.h>

/* --- settings --- */

#define RECENT_MOST 10

static char *
settings_path(void)
{
  return g_build_filename(g_get_user_config_dir(), "doorsheet", "settings.ini", NULL);
}

static GKeyFile *
settings_load(void)
{
  GKeyFile *file = g_key_file_new();
  g_autofree char *path = settings_path();
  g_key_file_load_from_file(file, path, G_KEY_FILE_NONE, NULL); /* none yet: all defaults */
  return file;
}

static void
settings_store(GKeyFile *file)
{
  g_autofree char *path = settings_path();
  g_autofree char *folder = g_path_get_dirname(path);
  g_autoptr(GError) error = NULL;
  g_mkdir_with_parents(folder, 0700);
  if (!g_key_file_save_to_file(file, path, &error))
    g_message("Preferences could not be kept: %s", error->message);
}

char *
settings_dup(const char *key, const char *fallback)
{
  g_autoptr(GKeyFile) file = settings_load();
  char *value = g_key_file_get_string(file, "window", key, NULL);
  return value != NULL ? value : g_strdup(fallback);
}

void
settings_set(const char *key, const char *value)
{
  g_autoptr(GKeyFile) file = settings_load();
  g_key_file_set_string(file, "window", key, value);
  settings_store(file);
}

char **
settings_dup_recent(void)
{
  g_autoptr(GKeyFile) file = settings_load();
  g_auto(GStrv) all = g_key_file_get_string_list(file, "window", "recent", NULL, NULL);
  g_autoptr(GPtrArray) kept = g_ptr_array_new();
  for (guint i = 0; all != NULL && all[i] != NULL; i++)
    if (g_file_test(all[i], G_FILE_TEST_IS_REGULAR))
      g_ptr_array_add(kept, g_strdup(all[i]));
  g_ptr_array_add(kept, NULL);
  return (char **)g_ptr_array_free(g_steal_pointer(&kept), FALSE);
}

void
settings_add_recent(const char *path)
{
  g_autofree char *full = g_canonicalize_filename(path, NULL);
  g_auto(GStrv) old = settings_dup_recent();
  g_autoptr(GPtrArray) list = g_ptr_array_new();
  g_ptr_array_add(list, full);
  for (guint i = 0; old[i] != NULL && list->len < RECENT_MOST; i++)
    if (strcmp(old[i], full) != 0)
      g_ptr_array_add(list, old[i]);
  g_autoptr(GKeyFile) file = settings_load();
  g_key_file_set_string_list(file, "window", "recent", (const char *const *)list->pdata, list->len);
  settings_store(file);
}

/* --- light and dark --- */

static bool system_dark;

static void
apply_theme(const char *theme)
{
  bool dark = strcmp(theme, "dark") == 0 || (strcmp(theme, "system") == 0 && system_dark);
  g_object_set(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", dark, NULL);
}

static void
on_theme(GSimpleAction *action, GVariant *value, gpointer data)
{
  (void)data;
  g_simple_action_set_state(action, value);
  settings_set("theme", g_variant_get_string(value, NULL));
  apply_theme(g_variant_get_string(value, NULL));
}

static void
take_system_scheme(GApplication *application, GVariant *value)
{
  g_autoptr(GVariant) inner = g_variant_ref(value);
  while (g_variant_is_of_type(inner, G_VARIANT_TYPE_VARIANT)) {
    GVariant *next = g_variant_get_variant(inner);
    g_variant_unref(inner);
    inner = next;
  }
  if (!g_variant_is_of_type(inner, G_VARIANT_TYPE_UINT32))
    return;
  system_dark = g_variant_get_uint32(inner) == 1; /* 1: prefers dark */
  g_autoptr(GVariant) state = g_action_group_get_action_state(G_ACTION_GROUP(application), "theme");
  apply_theme(g_variant_get_string(state, NULL));
}

static void
on_scheme_read(GObject *source, GAsyncResult *result, gpointer application)
{
  g_autoptr(GVariant) reply =
      g_dbus_connection_call_finish(G_DBUS_CONNECTION(source), result, NULL);
  if (reply != NULL) { /* no such service: the system does not say, light it is */
    g_autoptr(GVariant) value = g_variant_get_child_value(reply, 0);
    take_system_scheme(application, value);
  }
  g_object_unref(application);
}

static void
on_scheme_changed(GDBusConnection *bus, const char *sender, const char *object,
                  const char *interface, const char *signal, GVariant *parameters,
                  gpointer application)
{
  (void)bus;
  (void)sender;
  (void)object;
  (void)interface;
  (void)signal;
  if (!g_variant_is_of_type(parameters, G_VARIANT_TYPE("(ssv)")))
    return;
  const char *space, *key;
  g_autoptr(GVariant) value = NULL;
  g_variant_get(parameters, "(&s&sv)", &space, &key, &value);
  if (strcmp(space, "org.freedesktop.appearance") == 0 && strcmp(key, "color-scheme") == 0)
    take_system_scheme(application, value);
}

/* The desktop's preference, by the freedesktop settings portal (org.freedesktop.appearance). */
static void
follow_system_scheme(GApplication *application)
{
  GDBusConnection *bus = g_application_get_dbus_connection(application);
  if (bus == NULL)
    return;
  const char *name = "org.freedesktop.portal.Desktop";
  const char *path = "/org/freedesktop/portal/desktop";
  const char *interface = "org.freedesktop.portal.Settings";
  g_dbus_connection_signal_subscribe(bus, name, interface, "SettingChanged", path, NULL,
                                     G_DBUS_SIGNAL_FLAGS_NONE, on_scheme_changed, application,
                                     NULL);
  g_dbus_connection_call(bus, name, path, interface, "Read",
                         g_variant_new("(ss)", "org.freedesktop.appearance", "color-scheme"), NULL,
                         G_DBUS_CALL_FLAGS_NONE, 2000, NULL, on_scheme_read,
                         g_object_ref(application));
}

/* --- application --- */

static void
on_quit(GSimpleAction *action, GVariant *parameter, gpointer application)
{
  (void)action;
  (void)parameter;
  /* Each window asks about its own unsaved changes; the last one closed ends the program. */
  g_autoptr(GList) windows = g_list_copy(gtk_application_get_windows(application));
  for (GList *l = windows; l != NULL; l = l->next)
    gtk_window_close(l->data);
}

static void
on_new_window(GSimpleAction *action, GVariant *parameter, gpointer application)
{
  (void)action;
  (void)parameter;
  gtk_window_present(GTK_WINDOW(window_new(application)));
}

static void
on_startup(GApplication *application, gpointer data)
{
  (void)data;
  static const GActionEntry entries[] = {
      {.name = "quit", .activate = on_quit},
      {.name = "new-window", .activate = on_new_window},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(application), entries, G_N_ELEMENTS(entries),
                                  application);
  g_autofree char *theme = settings_dup("theme", "system");
  g_autoptr(GSimpleAction) action =
      g_simple_action_new_stateful("theme", G_VARIANT_TYPE_STRING, g_variant_new_string(theme));
  g_signal_connect(action, "change-state", G_CALLBACK(on_theme), NULL);
  g_action_map_add_action(G_ACTION_MAP(application), G_ACTION(action));
  g_autoptr(GtkCssProvider) css = gtk_css_provider_new();
  gtk_css_provider_load_from_resource(css, "/org/doorsheet/Doorsheet/style.css");
  gtk_style_context_add_provider_for_display(gdk_display_get_default(), GTK_STYLE_PROVIDER(css),
                                             GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  gtk_window_set_default_icon_name(WINDOW_APPLICATION_ID);
  window_set_accelerators(GTK_APPLICATION(application));
  apply_theme(theme);
  follow_system_scheme(application);
}

static void
on_activate(GApplication *application, gpointer data)
{
  (void)data;
  gtk_window_present(GTK_WINDOW(window_new(GTK_APPLICATION(application))));
}

static void
on_open(GApplication *application, GFile **files, int n, const char *hint, gpointer data)
{
  (void)hint;
  (void)data;
  for (int i = 0; i < n; i++) {
    DoorsheetWindow *window = window_new(GTK_APPLICATION(application));
    gtk_window_present(GTK_WINDOW(window));
    g_autofree char *path = g_file_get_path(files[i]);
    if (path != NULL)
      window_open(window, path);
  }
}

int
window_main(int argc, char **argv)
{
  g_set_application_name("Doorsheet");
  g_autoptr(GtkApplication) application =
      gtk_application_new(WINDOW_APPLICATION_ID, G_APPLICATION_HANDLES_OPEN);
  g_signal_connect(application, "startup", G_CALLBACK(on_startup), NULL);
  g_signal_connect(application, "activate", G_CALLBACK(on_activate), NULL);
  g_signal_connect(application, "open", G_CALLBACK(on_open), NULL);
  return g_application_run(G_APPLICATION(application), argc, argv);
}
