/* SPDX-License-Identifier: MIT */
/* Copy and paste. What is copied is a small document in the file format, so that it pastes into
 * another window, another run and a text editor. */
#include "diagram/document_file.h"
#include "window/window.h"
#include <string.h>

#define MIME "application/x-doorsheet"

static GBytes *
write_selection(Session *session)
{
  const Document *document = session_get_document(session);
  const char *const *ids = session_get_selected_devices(session);
  Change *change = change_new("Copy");
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (session_device_selected(session, device->id))
      change_device(change, NULL, device);
  }
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (session_device_selected(session, conductor->from.device) &&
        session_device_selected(session, conductor->to.device))
      change_conductor(change, NULL, conductor);
  }
  g_autoptr(Document) copy = document_new(document_catalog(document));
  if (ids[0] == NULL || !document_apply(copy, change, NULL))
    return NULL;
  return document_write_memory(copy);
}

void
window_copy(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  g_autoptr(GBytes) bytes = write_selection(session);
  if (bytes == NULL)
    return;
  GdkContentProvider *both[2] = {
      gdk_content_provider_new_for_bytes(MIME, bytes),
      gdk_content_provider_new_for_bytes("text/plain;charset=utf-8", bytes)};
  g_autoptr(GdkContentProvider) provider = gdk_content_provider_new_union(both, 2);
  gdk_clipboard_set_content(gtk_widget_get_clipboard(GTK_WIDGET(window)), provider);
  session_say(session, "Copied %u devices.", session_get_selected_device_count(session));
}

/* A copy of each device under a free id, moved aside, and the conductors between them. */
static Change *
paste_change(const Document *document, const Document *pasted, GPtrArray *new_ids)
{
  g_autoptr(GHashTable) renamed = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, g_free);
  g_autoptr(Document) scratch = document_snapshot(document);
  Change *change = change_new("Paste");
  for (guint i = 0; i < document_device_count(pasted); i++) {
    const Device *source = document_device(pasted, i);
    g_autoptr(Device) device = device_copy(source);
    if (document_find_device(scratch, device->id) != NULL) {
      g_free(device->id);
      device->id = document_free_id(scratch, device->kind->designation);
    }
    device->placement.at.x += 2 * GRID_STEP_MM;
    device->placement.at.y += 2 * GRID_STEP_MM;
    Change *step = change_new("Step"); /* so that the next free id is another one */
    change_device(step, NULL, device);
    document_apply(scratch, step, NULL);
    change_device(change, NULL, device);
    g_hash_table_insert(renamed, source->id, g_strdup(device->id));
    g_ptr_array_add(new_ids, g_strdup(device->id));
  }
  for (guint i = 0; i < document_conductor_count(pasted); i++) {
    g_autoptr(Conductor) conductor = conductor_copy(document_conductor(pasted, i));
    Landing *ends[2] = {&conductor->from, &conductor->to};
    for (int e = 0; e < 2; e++) {
      char *id = g_strdup(g_hash_table_lookup(renamed, ends[e]->device));
      g_free(ends[e]->device);
      ends[e]->device = id;
    }
    for (guint v = 0; v < conductor->via->len; v++) {
      Point *p = &g_array_index(conductor->via, Point, v);
      *p = point_add(*p, (Point){2 * GRID_STEP_MM, 2 * GRID_STEP_MM});
    }
    conductor->key = 0;
    change_conductor(change, NULL, conductor);
  }
  return change;
}

static void
paste_text(DoorsheetWindow *window, const char *text, gsize size)
{
  Session *session = window_get_session(window);
  const Document *document = session_get_document(session);
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) pasted =
      document_read_memory(text, size, "clipboard", document_catalog(document), &error);
  if (pasted == NULL) {
    session_say(session, "The clipboard holds no part of a sheet: %s", error->message);
    return;
  }
  g_autoptr(GPtrArray) ids = g_ptr_array_new_with_free_func(g_free);
  if (!session_edit(session, paste_change(document, pasted, ids), NULL))
    return;
  session_select_nothing(session);
  for (guint i = 0; i < ids->len; i++)
    session_select_device(session, ids->pdata[i], true);
}

static void
on_spliced(GObject *source, GAsyncResult *result, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  g_autoptr(GError) error = NULL;
  GOutputStream *memory = G_OUTPUT_STREAM(source);
  if (g_output_stream_splice_finish(memory, result, &error) < 0) {
    session_say(window_get_session(window), "%s", error->message);
    return;
  }
  g_autoptr(GBytes) bytes = g_memory_output_stream_steal_as_bytes(G_MEMORY_OUTPUT_STREAM(memory));
  gsize size;
  const char *text = g_bytes_get_data(bytes, &size);
  paste_text(window, text, size);
}

static void
on_clipboard(GObject *source, GAsyncResult *result, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  g_autoptr(GInputStream) stream =
      gdk_clipboard_read_finish(GDK_CLIPBOARD(source), result, NULL, NULL);
  if (stream == NULL) {
    session_say(window_get_session(window), "The clipboard holds no part of a sheet.");
    return;
  }
  g_autoptr(GOutputStream) memory = g_memory_output_stream_new_resizable();
  g_output_stream_splice_async(
      memory, stream, G_OUTPUT_STREAM_SPLICE_CLOSE_SOURCE | G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
      G_PRIORITY_DEFAULT, NULL, on_spliced, g_object_ref(window));
}

void
window_paste(DoorsheetWindow *window)
{
  static const char *types[] = {MIME, "text/plain;charset=utf-8", NULL};
  gdk_clipboard_read_async(gtk_widget_get_clipboard(GTK_WIDGET(window)), types, G_PRIORITY_DEFAULT,
                           NULL, on_clipboard, g_object_ref(window));
}
