/* SPDX-License-Identifier: MIT */
/* Undo, redo, and a file loaded again. What a step brought back or changed is selected afterwards,
 * so that it is seen and can be worked on at once. */
#include "base/language.h"
#include "canvas/session_private.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"

/* --- what a step changed --- */

/* Devices that were not there or were otherwise, ids borrowed from the document; *new_ones: some
 * were not there. */
static GPtrArray *
changed_devices(const Document *before, const Document *now, bool *new_ones)
{
  GPtrArray *ids = g_ptr_array_new();
  for (guint i = 0; i < document_device_count(now); i++) {
    const Device *device = document_device(now, i);
    const Device *earlier = document_find_device(before, device->id);
    if (earlier == device)
      continue;
    g_ptr_array_add(ids, device->id);
    *new_ones |= earlier == NULL;
  }
  return ids;
}

/* Of guint32. With only_new those that were otherwise before are left out: they only followed a
 * device that was moved or renamed. */
static GArray *
changed_conductors(const Document *before, const Document *now, bool only_new)
{
  GArray *keys = g_array_new(FALSE, FALSE, sizeof(guint32));
  for (guint i = 0; i < document_conductor_count(now); i++) {
    const Conductor *conductor = document_conductor(now, i);
    const Conductor *earlier = document_find_conductor(before, conductor->key);
    if (earlier == NULL || (earlier != conductor && !only_new))
      g_array_append_val(keys, conductor->key);
  }
  return keys;
}

/* A step that took things away or changed only the sheet's data leaves the selection: what is gone
 * has been dropped from it already. */
static void
select_changed(Session *session, const Document *before)
{
  const Document *now = session->document;
  bool new_ones = false;
  g_autoptr(GPtrArray) ids = changed_devices(before, now, &new_ones);
  g_autoptr(GArray) keys = changed_conductors(before, now, ids->len > 0);
  if (ids->len > 0 || keys->len > 0)
    session_select_these(session, ids, keys);
}

bool
session_undo(Session *session)
{
  if (!document_can_undo(session->document))
    return false;
  g_autofree char *title = g_strdup(document_undo_title(session->document));
  g_autoptr(Document) before = document_snapshot(session->document);
  document_undo(session->document);
  select_changed(session, before);
  session_say(session, _("Undone: %s"), title);
  return true;
}

bool
session_redo(Session *session)
{
  if (!document_can_redo(session->document))
    return false;
  g_autofree char *title = g_strdup(document_redo_title(session->document));
  g_autoptr(Document) before = document_snapshot(session->document);
  document_redo(session->document);
  select_changed(session, before);
  session_say(session, _("Done again: %s"), title);
  return true;
}

/* --- the file --- */

bool
session_reload(Session *session, GError **error)
{
  g_return_val_if_fail(session->path != NULL, false);
  session_end_preview(session);
  DiskMark *disk = disk_mark_new(session->path); /* before reading, as in session_file.c */
  g_autoptr(Document) theirs = document_read(session->path, parts_catalog(), error);
  if (theirs == NULL ||
      !document_apply(session->document,
                      edit_replace(session->document, theirs, _("Load the file again")), error)) {
    disk_mark_free(disk);
    return false;
  }
  disk_mark_free(session->disk);
  session->disk = disk;
  document_mark_saved(session->document);
  return true;
}
