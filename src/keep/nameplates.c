/* SPDX-License-Identifier: MIT */
#include "keep/nameplates.h"

#include "base/language.h"
#include "base/listeners.h"
#include "base/text.h"
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "keep/disk_mark.h"
#include "keep/nameplates_file.h"
#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

char *
nameplates_dup_path(void)
{
  return g_build_filename(g_get_user_data_dir(), "doorsheet", "nameplates" NAMEPLATES_SUFFIX, NULL);
}

/* --- who is told --- */

static Listeners listeners;

guint
nameplates_listen(NameplatesListener listener, gpointer data)
{
  return listeners_add(&listeners, G_CALLBACK(listener), data);
}

void
nameplates_unlisten(guint id)
{
  listeners_remove(&listeners, id);
}

static void
call_listener(GCallback listener, gpointer about, gpointer data)
{
  (void)about;
  ((NameplatesListener)listener)(data);
}

static void
tell(void)
{
  listeners_tell(&listeners, call_listener, NULL);
}

/* --- reading --- */

static void
nameplate_free(gpointer data)
{
  Nameplate *nameplate = data;
  g_free(nameplate->name);
  g_clear_pointer(&nameplate->device, device_unref);
  g_free(nameplate->problem);
  g_free(nameplate);
}

GPtrArray *
nameplates_read(const char *path, PartCatalog catalog, GError **error)
{
  g_autoptr(NameplatesFile) file = nameplates_file_open(path, false, error);
  if (file == NULL)
    return NULL;
  GPtrArray *list = g_ptr_array_new_with_free_func(nameplate_free);
  for (xmlNodePtr node = nameplates_file_first(file); node; node = nameplates_file_next(node)) {
    Nameplate *nameplate = g_new0(Nameplate, 1);
    g_autoptr(GError) why = NULL;
    nameplate->name = g_strdup(nameplates_file_name(node));
    nameplate->device = nameplates_file_read(node, nameplate->name, catalog, &why);
    nameplate->problem = why != NULL ? g_strdup(why->message) : NULL;
    g_ptr_array_add(list, nameplate);
  }
  return list;
}

const Nameplate *
nameplates_find(const GPtrArray *nameplates, const char *name)
{
  for (guint i = 0; nameplates != NULL && i < nameplates->len; i++) {
    const Nameplate *nameplate = nameplates->pdata[i];
    if (strcmp(nameplate->name, name) == 0)
      return nameplate;
  }
  return NULL;
}

bool
nameplates_check_name(const char *name, GError **error)
{
  const char *wrong = NULL;
  g_autofree char *clean = text_clean(name, NAMEPLATES_NAME_LETTERS + 1);
  g_autofree char *bare = g_strstrip(g_strdup(name));
  if (*bare == '\0')
    wrong = _("a nameplate needs a name, such as \"75 VA transformer\"");
  else if (!g_utf8_validate(name, -1, NULL) || strcmp(clean, name) != 0 ||
           g_utf8_strlen(name, -1) > NAMEPLATES_NAME_LETTERS)
    wrong = _("a nameplate's name is at most 80 letters on one line");
  if (wrong != NULL)
    g_set_error_literal(error, FILE_ERROR, FILE_ERROR_VALUE, wrong);
  return wrong == NULL;
}

static char *
count_on(const char *name, bool (*taken)(gconstpointer where, const char *name),
         gconstpointer where)
{
  if (!taken(where, name))
    return g_strdup(name);
  /* Room for the number, so that the result is a name again. */
  g_autofree char *stem =
      g_utf8_substring(name, 0, MIN(g_utf8_strlen(name, -1), NAMEPLATES_NAME_LETTERS - 6));
  for (guint i = 2;; i++) {
    char *counted = g_strdup_printf("%s %u", stem, i);
    if (!taken(where, counted))
      return counted;
    g_free(counted);
  }
}

static bool
taken_in_list(gconstpointer where, const char *name)
{
  return nameplates_find(where, name) != NULL;
}

char *
nameplates_propose_name(const GPtrArray *nameplates, const Device *device)
{
  const PartKind *kind = device->kind;
  g_autofree char *rating = kind->rating_text != NULL ? kind->rating_text(device) : NULL;
  g_autofree char *full = rating != NULL && *rating != '\0'
                              ? /* rating and kind: "75 VA Transformer" */ g_strdup_printf(
                                    _("%s %s"), rating, _(kind->title))
                              : g_strdup(_(kind->title));
  g_autofree char *clean = text_clean(full, NAMEPLATES_NAME_LETTERS - 1);
  return count_on(clean, taken_in_list, nameplates);
}

/* --- edits --- */

static bool
no_such(GError **error, const char *name)
{
  g_autofree char *shown = text_clean(name, 40);
  g_set_error(error, FILE_ERROR, FILE_ERROR_MEANING,
              _("the shelf has no nameplate \"%s\" any more"), shown);
  return false;
}

static bool
taken(GError **error, const char *name)
{
  g_autofree char *shown = text_clean(name, 40);
  g_set_error(error, FILE_ERROR, FILE_ERROR_MEANING,
              _("the shelf already has a nameplate \"%s\"; give this one another name"), shown);
  return false;
}

static bool
finish(const NameplatesFile *file, GError **error)
{
  if (!nameplates_file_write(file, error))
    return false;
  tell();
  return true;
}

bool
nameplates_keep(const char *path, const char *wanted, const Device *device, bool replace,
                GError **error)
{
  g_autofree char *name = g_strstrip(g_strdup(wanted));
  if (!nameplates_check_name(name, error))
    return false;
  g_autoptr(NameplatesFile) file = nameplates_file_open(path, true, error);
  if (file == NULL)
    return false;
  xmlNodePtr there = nameplates_file_find(file, name);
  if (there != NULL && !replace)
    return taken(error, name);
  return nameplates_file_put(file, there, name, device, error) && finish(file, error);
}

bool
nameplates_rename(const char *path, const char *name, const char *wanted, GError **error)
{
  g_autofree char *new_name = g_strstrip(g_strdup(wanted));
  if (!nameplates_check_name(new_name, error))
    return false;
  g_autoptr(NameplatesFile) file = nameplates_file_open(path, true, error);
  if (file == NULL)
    return false;
  xmlNodePtr node = nameplates_file_find(file, name);
  if (node == NULL)
    return no_such(error, name);
  if (strcmp(name, new_name) == 0)
    return true;
  if (nameplates_file_find(file, new_name) != NULL)
    return taken(error, new_name);
  nameplates_file_set_name(node, new_name);
  return finish(file, error);
}

bool
nameplates_remove(const char *path, const char *name, GError **error)
{
  g_autoptr(NameplatesFile) file = nameplates_file_open(path, true, error);
  if (file == NULL)
    return false;
  xmlNodePtr node = nameplates_file_find(file, name);
  if (node == NULL)
    return no_such(error, name);
  nameplates_file_remove(node);
  return finish(file, error);
}

/* --- sharing --- */

static bool
taken_in_file(gconstpointer where, const char *name)
{
  return nameplates_file_find(where, name) != NULL;
}

static void
import_one(NameplatesFile *file, xmlNodePtr node, const char *name, PartCatalog catalog,
           NameplatesImport *import)
{
  g_autoptr(Device) device = nameplates_file_read(node, name, catalog, NULL);
  if (device == NULL) {
    import->unreadable++;
    return;
  }
  xmlNodePtr mine = nameplates_file_find(file, name);
  g_autoptr(Device) own = mine != NULL ? nameplates_file_read(mine, name, catalog, NULL) : NULL;
  if (own != NULL && edit_same_nameplate(own, device)) {
    import->present++;
    return;
  }
  g_autofree char *free_name = count_on(name, taken_in_file, file);
  nameplates_file_copy(file, node, free_name);
  import->added++;
  import->renamed += mine != NULL;
}

bool
nameplates_import(const char *path, const char *from, PartCatalog catalog, NameplatesImport *import,
                  GError **error)
{
  *import = (NameplatesImport){0};
  if (disk_is_same_file(path, from)) {
    g_set_error_literal(error, FILE_ERROR, FILE_ERROR_MEANING,
                        _("this is your own shelf of nameplates; choose another file"));
    return false;
  }
  g_autofree char *shown = g_filename_display_name(from);
  if (g_access(from, F_OK) != 0) {
    g_set_error(error, FILE_ERROR, FILE_ERROR_OPEN, _("%s: there is no such file"), shown);
    return false;
  }
  g_autoptr(NameplatesFile) theirs = nameplates_file_open(from, false, error);
  g_autoptr(NameplatesFile) file = theirs != NULL ? nameplates_file_open(path, true, error) : NULL;
  if (file == NULL)
    return false;
  for (xmlNodePtr node = nameplates_file_first(theirs); node; node = nameplates_file_next(node)) {
    import_one(file, node, nameplates_file_name(node), catalog, import);
  }
  return import->added == 0 || finish(file, error);
}

bool
nameplates_export(const char *path, const char *to, const char *only, GError **error)
{
  g_autoptr(NameplatesFile) file = nameplates_file_open(path, false, error);
  if (file == NULL)
    return false;
  if (disk_is_same_file(path, to)) {
    g_set_error_literal(error, FILE_ERROR, FILE_ERROR_MEANING,
                        _("this is your own shelf of nameplates; choose another file"));
    return false;
  }
  g_autoptr(NameplatesFile) copy = nameplates_file_new(to);
  guint n = 0;
  for (xmlNodePtr node = nameplates_file_first(file); node; node = nameplates_file_next(node)) {
    const char *name = nameplates_file_name(node);
    if (only != NULL && strcmp(only, name) != 0)
      continue;
    nameplates_file_copy(copy, node, name);
    n++;
  }
  if (only != NULL && n == 0)
    return no_such(error, only);
  return nameplates_file_write(copy, error);
}

bool
nameplates_set_aside(const char *path, char **moved, GError **error)
{
  for (guint i = 1; i < 1000; i++) {
    g_autofree char *to = g_strdup_printf("%s.set-aside-%u", path, i);
    if (g_access(to, F_OK) == 0)
      continue;
    if (g_rename(path, to) == 0) {
      if (moved != NULL)
        *moved = g_steal_pointer(&to);
      tell();
      return true;
    }
    break;
  }
  g_autofree char *shown = g_filename_display_name(path);
  g_set_error(error, FILE_ERROR, FILE_ERROR_WRITE, "%s: %s", shown, g_strerror(errno));
  return false;
}
