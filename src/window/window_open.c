/* SPDX-License-Identifier: MIT */
/* Where a file that is opened shows: in which window, and on which page of the clipboard; and the
 * list of those opened lately. */
#include "base/language.h"
#include "keep/disk_mark.h"
#include "window/window.h"
#include "window/window_main.h"
#include <string.h>

guint
window_count_findings(const GPtrArray *findings)
{
  guint n = 0;
  for (guint i = 0; i < findings->len; i++)
    n += ((const Finding *)findings->pdata[i])->signal != SIGNAL_NOTICE;
  return n;
}

const char *
window_page_of_job(DoorsheetWindow *window)
{
  const Document *document = session_get_document(window_get_session(window));
  const SessionResult *result = session_get_result(window_get_session(window));
  bool measured = false;
  if (result != NULL && result->inspection->circuit != NULL) {
    const GArray *supplies = result->inspection->circuit->supplies;
    for (guint i = 0; i < supplies->len; i++)
      measured |= g_array_index(supplies, CircuitSupply, i).system.readings_given > 0;
  }
  if (document_device_count(document) == 0 || !measured)
    return "measure";
  if (document_conductor_count(document) == 0)
    return "land";
  return result != NULL && window_count_findings(result->inspection->findings) > 0 ? "check"
                                                                                   : "read";
}

DoorsheetWindow *
window_find_other(DoorsheetWindow *window, const char *path)
{
  GtkApplication *application = gtk_window_get_application(GTK_WINDOW(window));
  GList *all = application != NULL ? gtk_application_get_windows(application) : NULL;
  for (GList *l = all; l != NULL; l = l->next) {
    if (!DOORSHEET_IS_WINDOW(l->data) || l->data == window)
      continue;
    DoorsheetWindow *other = l->data;
    Session *session = window_get_session(other);
    const char *theirs = session != NULL ? session_get_path(session) : NULL;
    if (theirs != NULL && disk_is_same_file(theirs, path))
      return other;
  }
  return NULL;
}

/* --- sheets opened lately --- */

static GPtrArray *recent_menus; /* of GMenu, borrowed until they go */

/* Two files of one name in different folders are told apart; a menu takes "_" for a mark. */
static char *
recent_label(char **paths, guint index)
{
  g_autofree char *base = g_path_get_basename(paths[index]);
  bool twice = false;
  for (guint i = 0; paths[i] != NULL && !twice; i++) {
    g_autofree char *other = g_path_get_basename(paths[i]);
    twice = i != index && strcmp(other, base) == 0;
  }
  g_autofree char *folder = g_path_get_dirname(paths[index]);
  g_autofree char *place = g_path_get_basename(folder);
  GString *label = g_string_new(base);
  if (twice)
    g_string_append_printf(label, " (%s)", place);
  g_string_replace(label, "_", "__", 0);
  return g_string_free(label, FALSE);
}

static void
fill_recent(GMenu *menu)
{
  g_menu_remove_all(menu);
  g_auto(GStrv) paths = settings_dup_recent();
  for (guint i = 0; paths[i] != NULL; i++) {
    g_autofree char *label = recent_label(paths, i);
    g_autoptr(GMenuItem) item = g_menu_item_new(label, NULL);
    g_menu_item_set_action_and_target(item, "win.open-path", "s", paths[i]);
    g_menu_append_item(menu, item);
  }
  if (paths[0] == NULL) /* an action nobody has: shown, not to be pressed */
    g_menu_append(menu, _("No sheet was opened yet"), "win.none");
}

static void
on_menu_gone(gpointer data, GObject *menu)
{
  (void)data;
  g_ptr_array_remove_fast(recent_menus, menu);
}

void
window_recent_follow(GMenu *menu)
{
  if (recent_menus == NULL)
    recent_menus = g_ptr_array_new();
  g_ptr_array_add(recent_menus, menu);
  g_object_weak_ref(G_OBJECT(menu), on_menu_gone, NULL);
  fill_recent(menu);
}

void
window_recent_add(const char *path)
{
  settings_add_recent(path);
  for (guint i = 0; recent_menus != NULL && i < recent_menus->len; i++)
    fill_recent(recent_menus->pdata[i]);
}
