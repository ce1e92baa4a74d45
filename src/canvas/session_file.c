/* SPDX-License-Identifier: MIT */
/* The session and its file: opening, saving, getting back after a crash. */
#include "canvas/session_private.h"

#include "base/language.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"

/* Saving goes past a preview. */
static Document *
own_of(Session *session)
{
  return session->own != NULL ? session->own : session->document;
}

void
session_set_file(Session *session, const char *path, DiskMark *take_disk)
{
  char *copy = g_strdup(path);
  g_free(session->path);
  session->path = copy;
  disk_mark_free(session->disk);
  session->disk = take_disk;
  g_clear_pointer(&session->origin, g_free);
}

static bool
open_as(Session *session, const char *path, bool keep_path, GError **error)
{
  bool svg = g_str_has_suffix(path, ".svg");
  /* Before reading: a change in between shows as one, never the other way round. */
  DiskMark *disk = keep_path && !svg ? disk_mark_new(path) : NULL;
  Document *document = document_read(path, parts_catalog(), error);
  if (document == NULL) {
    disk_mark_free(disk);
    return false;
  }
  document_clear_history(document);
  document_mark_saved(document);
  session_set_file(session, disk != NULL ? path : NULL, disk);
  if (keep_path && svg)
    session->origin = g_path_get_basename(path);
  session_take_document(session, document);
  return true;
}

bool
session_recover(Session *session, const char *file, const char *path, const char *digest,
                GError **error)
{
  Document *document = document_read(file, parts_catalog(), error);
  if (document == NULL)
    return false;
  document_clear_history(document);
  document_mark_unsaved(document);
  session_set_file(session, path, path != NULL ? disk_mark_new_for_digest(path, digest) : NULL);
  session_take_document(session, document);
  return true;
}

void
session_start_with(Session *session, const SheetData *data)
{
  Change *change = change_new(_("New sheet"));
  change_sheet(change, document_sheet(session->document), data);
  g_autoptr(GError) error = NULL;
  if (!document_apply(session->document, change, &error))
    g_warning("new sheet: %s", error->message);
  document_clear_history(session->document);
  document_mark_saved(session->document);
}

const DiskMark *
session_get_disk(Session *session)
{
  return session->disk;
}

void
session_keep_mine(Session *session)
{
  if (session->disk == NULL)
    return;
  DiskMark *now = disk_mark_new(session->path);
  disk_mark_free(session->disk);
  session->disk = now;
  document_mark_unsaved(own_of(session));
}

void
session_mark_unsaved(Session *session)
{
  document_mark_unsaved(own_of(session));
}

bool
session_open(Session *session, const char *path, GError **error)
{
  return open_as(session, path, true, error);
}

bool
session_open_copy(Session *session, const char *path, GError **error)
{
  return open_as(session, path, false, error);
}

bool
session_save(Session *session, const char *path, GError **error)
{
  const char *target = path != NULL ? path : session->path;
  g_return_val_if_fail(target != NULL, false);
  g_autoptr(GBytes) bytes = document_write_memory(session_get_own(session));
  gsize size;
  const void *text = g_bytes_get_data(bytes, &size);
  if (!file_write_atomic(target, text, size, error))
    return false;
  session_set_file(session, target, disk_mark_new_for_bytes(target, bytes));
  document_mark_saved(own_of(session));
  session_say(session, _("Saved %s"), session->path);
  return true;
}

const char *
session_get_path(Session *session)
{
  return session->path;
}

char *
session_dup_name(Session *session)
{
  if (session->path != NULL)
    return g_path_get_basename(session->path);
  return g_strdup(session->origin != NULL ? session->origin : _("New sheet"));
}

bool
session_get_modified(Session *session)
{
  return document_modified(session_get_own(session));
}
