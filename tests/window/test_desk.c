/* SPDX-License-Identifier: MIT */
/* Keys are what the list says and nothing else; preferences take effect while the window is open.
 */
#include "drive.h"

#include "desk/keys.h"
#include "desk/preferences_window.h"
#include "window/window_main.h"
#include <string.h>

static GtkApplication *application;

/* --- keys --- */

static bool
listed(const char *action, const char *accel, KeysPlace place)
{
  guint n, key, key_here;
  GdkModifierType modifiers, modifiers_here;
  assert_true(gtk_accelerator_parse(accel, &key, &modifiers));
  const KeysRow *rows = keys_table(&n);
  for (guint i = 0; i < n; i++)
    for (int a = 0; rows[i].place == place && rows[i].accels[a] != NULL; a++) {
      assert_true(gtk_accelerator_parse(rows[i].accels[a], &key_here, &modifiers_here));
      if (key == key_here && modifiers == modifiers_here && strcmp(rows[i].action, action) == 0)
        return true;
    }
  return false;
}

static void
accelerators_are_the_table(void **state)
{
  (void)state;
  guint n, found = 0, expected = 0;
  const KeysRow *rows = keys_table(&n);
  for (guint i = 0; i < n; i++)
    for (int a = 0; rows[i].place == KEYS_WINDOW && rows[i].accels[a] != NULL; a++)
      expected++;
  g_auto(GStrv) actions = gtk_application_list_action_descriptions(application);
  for (guint i = 0; actions[i] != NULL; i++) {
    g_auto(GStrv) accels = gtk_application_get_accels_for_action(application, actions[i]);
    for (guint a = 0; accels[a] != NULL; a++, found++)
      if (!listed(actions[i], accels[a], KEYS_WINDOW))
        fail_msg("%s does %s and no list says so", accels[a], actions[i]);
  }
  assert_int_equal(found, expected);
}

static void
every_key_does_something_that_exists(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  guint n;
  const KeysRow *rows = keys_table(&n);
  for (guint i = 0; i < n; i++) {
    if (rows[i].action == NULL)
      continue;
    g_autofree char *name = NULL;
    g_autoptr(GVariant) target = NULL;
    assert_true(g_action_parse_detailed_name(rows[i].action, &name, &target, NULL));
    bool in_window = g_str_has_prefix(name, "win.");
    GActionMap *map = in_window ? G_ACTION_MAP(window) : G_ACTION_MAP(application);
    GAction *action = g_action_map_lookup_action(map, name + strlen(in_window ? "win." : "app."));
    if (action == NULL)
      fail_msg("%s does not exist", rows[i].action);
    const GVariantType *type = g_action_get_parameter_type(action);
    assert_true((type == NULL) == (target == NULL));
  }
  /* No two rows of one place claim the same key. */
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < n; i++)
    for (int a = 0; rows[i].accels[a] != NULL; a++) {
      char *key = g_strdup_printf("%d %s", rows[i].place, rows[i].accels[a]);
      if (!g_hash_table_add(seen, key))
        fail_msg("%s is claimed twice", key);
    }
  drive_close(window);
}

static void
the_canvas_is_bound_by_the_table(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  guint n, found = 0, expected = 0;
  const KeysRow *rows = keys_table(&n);
  for (guint i = 0; i < n; i++)
    for (int a = 0; rows[i].place == KEYS_CANVAS && rows[i].accels[a] != NULL; a++)
      expected++;
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(GTK_WIDGET(window_get_canvas(window)));
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GObject) one = g_list_model_get_item(all, i);
    for (guint s = 0;
         GTK_IS_SHORTCUT_CONTROLLER(one) && s < g_list_model_get_n_items(G_LIST_MODEL(one)); s++) {
      g_autoptr(GtkShortcut) shortcut = g_list_model_get_item(G_LIST_MODEL(one), s);
      g_autofree char *accel = gtk_shortcut_trigger_to_string(gtk_shortcut_get_trigger(shortcut));
      GtkShortcutAction *action = gtk_shortcut_get_action(shortcut);
      if (!GTK_IS_NAMED_ACTION(action))
        continue;
      const char *name = gtk_named_action_get_action_name(GTK_NAMED_ACTION(action));
      if (!listed(name, accel, KEYS_CANVAS))
        fail_msg("%s does %s on the canvas and no list says so", accel, name);
      found++;
    }
  }
  assert_int_equal(found, expected);
  drive_close(window);
}

static GtkWindow *
child_of(GtkWindow *parent)
{
  GListModel *all = gtk_window_get_toplevels();
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkWindow) top = g_list_model_get_item(all, i);
    if (gtk_window_get_transient_for(top) == parent)
      return top;
  }
  return NULL;
}

static void
the_list_shows_the_table(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  drive_action(window, "shortcuts");
  drive_settle();
  GtkWindow *list = child_of(GTK_WINDOW(window));
  assert_non_null(list);
  guint n;
  const KeysRow *rows = keys_table(&n);
  for (guint i = 0; i < n; i++) {
    g_autofree char *keys = keys_dup_label(&rows[i]);
    assert_true(*keys != '\0');
    drive_find(GTK_WIDGET(list), GTK_TYPE_LABEL, keys);
    drive_find(GTK_WIDGET(list), GTK_TYPE_LABEL, rows[i].what);
  }
  gtk_window_destroy(list);
  drive_close(window);
}

/* --- preferences --- */

static PreferencesWindow *
open_preferences(DoorsheetWindow *window)
{
  assert_true(gtk_widget_activate_action(GTK_WIDGET(window), "app.preferences", NULL));
  drive_settle();
  GtkWindow *found = child_of(GTK_WINDOW(window));
  assert_true(DOORSHEET_IS_PREFERENCES_WINDOW(found));
  return DOORSHEET_PREFERENCES_WINDOW(found);
}

static void
choose(PreferencesWindow *window, Preference preference, const char *word)
{
  const PreferenceSpec *spec = preference_spec(preference);
  guint at = 0;
  while (strcmp(spec->words[at], word) != 0)
    at++;
  gtk_drop_down_set_selected(GTK_DROP_DOWN(preferences_window_get_editor(window, preference)), at);
  drive_settle();
}

static void
assert_settings(bool dark, bool contrast, bool motion)
{
  gboolean is_dark, moves;
  g_autofree char *theme = NULL;
  g_object_get(gtk_settings_get_default(), "gtk-application-prefer-dark-theme", &is_dark,
               "gtk-theme-name", &theme, "gtk-enable-animations", &moves, NULL);
  assert_int_equal(is_dark, dark);
  assert_int_equal(strcmp(theme, "HighContrast") == 0, contrast);
  assert_int_equal(moves, motion);
}

static void
the_look_changes_at_once(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  PreferencesWindow *preferences = open_preferences(window);
  assert_ptr_equal(open_preferences(window), preferences); /* there is one */
  assert_settings(false, false, true);
  choose(preferences, PREFERENCE_THEME, "dark");
  assert_settings(true, false, true);
  choose(preferences, PREFERENCE_THEME, "contrast");
  assert_settings(false, true, true);
  choose(preferences, PREFERENCE_THEME, "light");
  assert_settings(false, false, true);
  choose(preferences, PREFERENCE_MOTION, "reduced");
  assert_settings(false, false, false);
  choose(preferences, PREFERENCE_MOTION, "system");
  assert_settings(false, false, true);
  /* The menu and the window tell the same. */
  g_action_group_activate_action(G_ACTION_GROUP(application), "theme",
                                 g_variant_new_string("dark"));
  GtkWidget *list = preferences_window_get_editor(preferences, PREFERENCE_THEME);
  const PreferenceSpec *spec = preference_spec(PREFERENCE_THEME);
  assert_string_equal(spec->words[gtk_drop_down_get_selected(GTK_DROP_DOWN(list))], "dark");
  choose(preferences, PREFERENCE_THEME, "system");
  g_autoptr(GVariant) menu = g_action_group_get_action_state(G_ACTION_GROUP(application), "theme");
  assert_string_equal(g_variant_get_string(menu, NULL), "system");
  gtk_window_destroy(GTK_WINDOW(preferences));
  drive_close(window);
}

static guint
count_colours(DoorsheetWindow *window)
{
  GtkWidget *canvas = GTK_WIDGET(window_get_canvas(window));
  g_autoptr(GdkPaintable) paintable = gtk_widget_paintable_new(canvas);
  int width = gtk_widget_get_width(canvas), height = gtk_widget_get_height(canvas);
  GtkSnapshot *snapshot = gtk_snapshot_new();
  gdk_paintable_snapshot(paintable, snapshot, width, height);
  g_autoptr(GskRenderNode) node = gtk_snapshot_free_to_node(snapshot);
  GskRenderer *renderer = gtk_native_get_renderer(gtk_widget_get_native(canvas));
  g_autoptr(GdkTexture) texture = gsk_renderer_render_texture(renderer, node, NULL);
  g_autofree guint32 *pixels = g_new(guint32, (gsize)width * (gsize)height);
  gdk_texture_download(texture, (guchar *)pixels, (gsize)width * 4);
  /* A row through the middle of the empty sheet crosses every vertical line of the grid. */
  guint changes = 0;
  for (int x = 1; x < width; x++) {
    const guint32 *row = pixels + (gsize)width * (gsize)(height / 2 + 3);
    changes += row[x] != row[x - 1];
  }
  return changes;
}

static void
the_grid_goes_and_comes(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  window_hide_start(window);
  drive_settle();
  PreferencesWindow *preferences = open_preferences(window);
  guint with = count_colours(window);
  GtkWidget *grid = preferences_window_get_editor(preferences, PREFERENCE_GRID);
  gtk_switch_set_active(GTK_SWITCH(grid), FALSE);
  drive_settle();
  guint without = count_colours(window);
  gtk_switch_set_active(GTK_SWITCH(grid), TRUE);
  drive_settle();
  assert_true(with > without + 20);
  assert_int_equal(count_colours(window), with);
  gtk_window_destroy(GTK_WINDOW(preferences));
  drive_close(window);
}

static const char *
sheet_text(DoorsheetWindow *window, int field, char **hold)
{
  const SheetData *data = document_sheet(session_get_document(window_get_session(window)));
  g_free(*hold);
  return *hold = value_dup_text(&data->values[field], &sheet_data_fields[field]);
}

static void
new_sheets_follow_and_old_ones_do_not(void **state)
{
  (void)state;
  g_autofree char *hold = NULL;
  DoorsheetWindow *old = drive_window(application);
  assert_string_equal(sheet_text(old, SHEET_UNITS, &hold), "imperial");
  PreferencesWindow *preferences = open_preferences(old);
  choose(preferences, PREFERENCE_UNITS, "metric");
  choose(preferences, PREFERENCE_EDITION, "2020");
  GtkWidget *author = preferences_window_get_editor(preferences, PREFERENCE_AUTHOR);
  gtk_editable_set_text(GTK_EDITABLE(author), "Greenhouse workshop");
  gtk_window_close(GTK_WINDOW(preferences)); /* typed and closed without Enter */
  drive_settle();
  DoorsheetWindow *fresh = drive_window(application);
  assert_string_equal(sheet_text(fresh, SHEET_UNITS, &hold), "metric");
  assert_string_equal(sheet_text(fresh, SHEET_CODE_EDITION, &hold), "2020");
  assert_string_equal(sheet_text(fresh, SHEET_AUTHOR, &hold), "Greenhouse workshop");
  assert_string_equal(sheet_text(old, SHEET_UNITS, &hold), "imperial");
  /* It is how the sheet starts, not an edit. */
  assert_false(session_get_modified(window_get_session(fresh)));
  assert_false(document_can_undo(session_get_document(window_get_session(fresh))));
  assert_true(window_is_untouched(fresh));
  drive_close(fresh);
  drive_close(old);
}

static void
a_large_sheet_is_inspected_beside_the_window(void **state)
{
  (void)state;
  DoorsheetWindow *window = drive_window(application);
  Session *session = window_get_session(window);
  const PartKind *lamp = part_catalog_find(document_catalog(session_get_document(session)), "lamp");
  assert_true(preference_set(PREFERENCE_LARGE, "10", NULL));
  for (int i = 0; i < 10; i++) {
    Point at = {20 + 15.0 * i, 40};
    assert_true(
        session_edit(session, edit_place(session_get_document(session), lamp, at, NULL), NULL));
    assert_int_equal(session_is_fresh(session), i < 9); /* the tenth makes it large */
  }
  gint64 end = g_get_monotonic_time() + 10 * G_USEC_PER_SEC;
  while (!session_is_fresh(session) && g_get_monotonic_time() < end)
    g_main_context_iteration(NULL, FALSE);
  assert_true(session_is_fresh(session));
  drive_close(window);
}

int
main(void)
{
  if (!gtk_init_check())
    return g_getenv("CI") != NULL ? 1 : DRIVE_SKIP;
  application = window_application_new(G_APPLICATION_NON_UNIQUE);
  g_application_register(G_APPLICATION(application), NULL, NULL);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(accelerators_are_the_table),
      cmocka_unit_test(every_key_does_something_that_exists),
      cmocka_unit_test(the_canvas_is_bound_by_the_table),
      cmocka_unit_test(the_list_shows_the_table),
      cmocka_unit_test(the_look_changes_at_once),
      cmocka_unit_test(the_grid_goes_and_comes),
      cmocka_unit_test(new_sheets_follow_and_old_ones_do_not),
      cmocka_unit_test(a_large_sheet_is_inspected_beside_the_window),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_object_unref(application);
  return failed;
}
