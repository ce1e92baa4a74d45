/* SPDX-License-Identifier: MIT */
#include "window/window_main.h"
#include "desk/access.h"
#include "desk/keys.h"
#include "desk/preferences_window.h"
#include "window/window_life.h"
#include <glib/gstdio.h>
#include <gtk/gtk.h>
#include <locale.h>
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

/* High contrast is a theme of GTK's own; the others follow its dark variant. */
static void
apply_theme(void)
{
  GtkSettings *settings = gtk_settings_get_default();
  const char *theme = preference_text(PREFERENCE_THEME);
  bool dark = strcmp(theme, "dark") == 0 || (strcmp(theme, "system") == 0 && system_dark);
  bool contrast = strcmp(theme, "contrast") == 0;
  static bool contrast_set, inverse;
  /* The older name of high contrast on dark, which GTK 4 knows no longer. */
  g_autofree char *name = NULL;
  g_object_get(settings, "gtk-theme-name", &name, NULL);
  if (!contrast_set) /* else it is the name set here */
    inverse = g_strcmp0(name, "HighContrastInverse") == 0;
  if (strcmp(theme, "system") == 0 && inverse)
    contrast = dark = true;
  else if (contrast)
    dark = system_dark;
  gboolean dark_now;
  g_object_get(settings, "gtk-application-prefer-dark-theme", &dark_now, NULL);
  /* Even setting what is set already loads the whole theme again. */
  if (contrast && !contrast_set)
    g_object_set(settings, "gtk-theme-name", "HighContrast", NULL);
  else if (!contrast && contrast_set)
    gtk_settings_reset_property(settings, "gtk-theme-name");
  contrast_set = contrast;
  if (dark != (bool)dark_now)
    g_object_set(settings, "gtk-application-prefer-dark-theme", dark, NULL);
}

static void
apply_motion(void)
{
  GtkSettings *settings = gtk_settings_get_default();
  if (strcmp(preference_text(PREFERENCE_MOTION), "reduced") == 0)
    g_object_set(settings, "gtk-enable-animations", FALSE, NULL);
  else
    gtk_settings_reset_property(settings, "gtk-enable-animations");
}

static void
on_preference(Preference preference, gpointer application)
{
  if (preference == PREFERENCE_MOTION)
    apply_motion();
  if (preference != PREFERENCE_THEME)
    return;
  GAction *action = g_action_map_lookup_action(application, "theme");
  g_simple_action_set_state(G_SIMPLE_ACTION(action),
                            g_variant_new_string(preference_text(PREFERENCE_THEME)));
  apply_theme();
}

static void
on_theme(GSimpleAction *action, GVariant *value, gpointer data)
{
  (void)action;
  (void)data;
  g_autoptr(GError) error = NULL;
  if (!preference_set(PREFERENCE_THEME, g_variant_get_string(value, NULL), &error))
    g_message("%s", error->message);
}

static void
take_system_scheme(GVariant *value)
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
  apply_theme();
}

static void
on_scheme_read(GObject *source, GAsyncResult *result, gpointer application)
{
  g_autoptr(GVariant) reply =
      g_dbus_connection_call_finish(G_DBUS_CONNECTION(source), result, NULL);
  if (reply != NULL) { /* no such service: the system does not say, light it is */
    g_autoptr(GVariant) value = g_variant_get_child_value(reply, 0);
    take_system_scheme(value);
  }
  g_object_unref(application);
}

static void
on_scheme_changed(GDBusConnection *bus, const char *sender, const char *object,
                  const char *interface, const char *signal, GVariant *parameters, gpointer data)
{
  (void)data;
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
    take_system_scheme(value);
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
on_preferences(GSimpleAction *action, GVariant *parameter, gpointer application)
{
  (void)action;
  (void)parameter;
  GListModel *all = gtk_window_get_toplevels();
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkWindow) window = g_list_model_get_item(all, i);
    if (DOORSHEET_IS_PREFERENCES_WINDOW(window)) {
      gtk_window_present(GTK_WINDOW(window));
      return;
    }
  }
  GtkWindow *parent = gtk_application_get_active_window(application);
  gtk_window_present(GTK_WINDOW(preferences_window_new(parent)));
}

/* Once for each start of the program, in its first window. */
static void
offer_recovery(GApplication *application, DoorsheetWindow *window)
{
  if (g_object_get_data(G_OBJECT(application), "offered") != NULL)
    return;
  g_object_set_data(G_OBJECT(application), "offered", application);
  window_life_offer(window);
}

/* Before the first template is read. Without a choice it stays what the environment said. */
static void
choose_language(void)
{
  /* GTK has taken the locale of the environment; its numbers (a spin button, a scale) are to look
   * like all others. */
  setlocale(LC_NUMERIC, "C");
  language_set_default(preference_text(PREFERENCE_LANGUAGE));
}

static void
start(GApplication *application)
{
  static const GActionEntry entries[] = {
      {.name = "quit", .activate = on_quit},
      {.name = "new-window", .activate = on_new_window},
      {.name = "preferences", .activate = on_preferences},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(application), entries, G_N_ELEMENTS(entries),
                                  application);
  g_autoptr(GSimpleAction) action = g_simple_action_new_stateful(
      "theme", G_VARIANT_TYPE_STRING, g_variant_new_string(preference_text(PREFERENCE_THEME)));
  g_signal_connect(action, "change-state", G_CALLBACK(on_theme), NULL);
  g_action_map_add_action(G_ACTION_MAP(application), G_ACTION(action));
  g_autoptr(GtkCssProvider) css = gtk_css_provider_new();
  gtk_css_provider_load_from_resource(css, "/org/doorsheet/Doorsheet/style.css");
  gtk_style_context_add_provider_for_display(gdk_display_get_default(), GTK_STYLE_PROVIDER(css),
                                             GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  access_init();
  keys_set_accelerators(GTK_APPLICATION(application));
  preferences_listen(on_preference, application); /* as long as the program runs */
  apply_theme();
  apply_motion();
  follow_system_scheme(application);
}

static void
on_startup(GApplication *application, gpointer data)
{
  (void)data;
  choose_language();
  start(application);
}

static void
on_activate(GApplication *application, gpointer data)
{
  (void)data;
  DoorsheetWindow *window = window_new(GTK_APPLICATION(application));
  gtk_window_present(GTK_WINDOW(window));
  offer_recovery(application, window);
}

static void
on_open(GApplication *application, GFile **files, int n, const char *hint, gpointer data)
{
  (void)hint;
  (void)data;
  DoorsheetWindow *first = NULL;
  for (int i = 0; i < n; i++) {
    g_autofree char *path = g_file_get_path(files[i]);
    if (path == NULL)
      continue;
    GtkWindow *shown = gtk_application_get_active_window(GTK_APPLICATION(application));
    /* window_open opens another one unless it is untouched, or shows the one that has the file. */
    DoorsheetWindow *window = DOORSHEET_IS_WINDOW(shown) ? DOORSHEET_WINDOW(shown)
                                                         : window_new(GTK_APPLICATION(application));
    gtk_window_present(GTK_WINDOW(window));
    window_open(window, path);
    first = first != NULL ? first : window;
  }
  if (first != NULL)
    offer_recovery(application, first);
}

GtkApplication *
window_application_new(GApplicationFlags flags)
{
  GtkApplication *application =
      gtk_application_new(WINDOW_APPLICATION_ID, G_APPLICATION_HANDLES_OPEN | flags);
  /* Adding icons to the theme, which an application does by itself when its resources have a path,
   * throws away the theme that GTK has begun to read in a thread, and reads it again. */
  g_application_set_resource_base_path(G_APPLICATION(application), NULL);
  g_signal_connect(application, "startup", G_CALLBACK(on_startup), NULL);
  g_signal_connect(application, "activate", G_CALLBACK(on_activate), NULL);
  g_signal_connect(application, "open", G_CALLBACK(on_open), NULL);
  return application;
}

int
window_main(int argc, char **argv)
{
  g_set_application_name("Doorsheet");
  g_autoptr(GtkApplication) application = window_application_new(G_APPLICATION_DEFAULT_FLAGS);
  return g_application_run(G_APPLICATION(application), argc, argv);
}
