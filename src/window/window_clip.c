/* SPDX-License-Identifier: MIT */
/* Copy and paste. What is copied is a small document in the file format, so that it pastes into
 * another window, another run and a text editor; and the same as a picture that carries it, for
 * programs that take drawings. */
#include "base/language.h"
#include "diagram/document_file.h"
#include "figure/figure.h"
#include "pen/pen_svg.h"
#include "window/window.h"
#include <string.h>

#define MIME "application/x-doorsheet"
#define MIME_SVG "image/svg+xml"
#define MIME_FILES "text/uri-list"
#define MIME_TEXT "text/plain;charset=utf-8"

/* Room round what is drawn in the picture, mm. */
#define PICTURE_MARGIN 3.0

/* What is selected, with what lies in selected outlines, as a sheet of its own; NULL: nothing. */
static Document *
copy_selection(Session *session)
{
  const Document *document = session_get_document(session);
  g_auto(GStrv) ids = edit_with_contents(document, session_get_selected_devices(session));
  if (ids[0] == NULL)
    return NULL;
  g_autoptr(GHashTable) chosen = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; ids[i] != NULL; i++)
    g_hash_table_add(chosen, ids[i]);
  Change *change = change_new(_("Copy"));
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (g_hash_table_contains(chosen, device->id))
      change_device(change, NULL, device);
  }
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (conductor->from.device != NULL && conductor->to.device != NULL &&
        g_hash_table_contains(chosen, conductor->from.device) &&
        g_hash_table_contains(chosen, conductor->to.device))
      change_conductor(change, NULL, conductor);
  }
  g_autoptr(Document) copy = document_new(document_catalog(document));
  return document_apply(copy, change, NULL) ? g_steal_pointer(&copy) : NULL;
}

/* The file's text without its declaration, which may stand only at the very beginning. */
static const char *
without_declaration(const char *text)
{
  const char *end = g_str_has_prefix(text, "<?xml") ? strstr(text, "?>") : NULL;
  for (text = end != NULL ? end + 2 : text; g_ascii_isspace(*text);)
    text++;
  return text;
}

/* text: the document's file. New bytes, NULL when it cannot be drawn. */
static GBytes *
draw_picture(const Document *copy, const char *text)
{
  Rect box = rect_grow(figure_bounds(copy), PICTURE_MARGIN);
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  const char *title = _("Part of a wiring sheet");
  g_autoptr(Pen) pen = pen_svg_new(bytes, PALETTE_LIGHT, title, title, without_declaration(text));
  pen_begin_page(pen, box.width, box.height, title);
  pen_push(pen, (Placement){.at = {-box.x, -box.y}});
  figure_draw(pen, copy, &(FigureStyle){.labels = true, .as_printed = true});
  pen_pop(pen);
  pen_end_page(pen);
  if (!pen_finish(pen, NULL))
    return NULL;
  return g_bytes_new(bytes->data, bytes->len);
}

GdkContentProvider *
window_copy_provider(Session *session)
{
  /* A part of an exercise without its mark would be a diagram like any other, to be checked. */
  bool exercise = sheet_is_exercise(document_sheet(session_get_document(session)));
  g_autoptr(Document) copy = exercise ? NULL : copy_selection(session);
  if (copy == NULL)
    return NULL;
  g_autoptr(GBytes) bytes = document_write_memory(copy);
  g_autoptr(GBytes) picture = draw_picture(copy, g_bytes_get_data(bytes, NULL));
  GdkContentProvider *forms[3] = {gdk_content_provider_new_for_bytes(MIME, bytes),
                                  gdk_content_provider_new_for_bytes(MIME_TEXT, bytes), NULL};
  if (picture != NULL)
    forms[2] = gdk_content_provider_new_for_bytes(MIME_SVG, picture);
  return gdk_content_provider_new_union(forms, picture != NULL ? 3 : 2);
}

void
window_copy(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  if (sheet_is_exercise(document_sheet(session_get_document(session)))) {
    session_say(session, "%s",
                _("An exercise is not copied: it is worked where it is, and its "
                  "result is handed in."));
    return;
  }
  g_autoptr(GdkContentProvider) provider = window_copy_provider(session);
  if (provider == NULL)
    return;
  gdk_clipboard_set_content(gtk_widget_get_clipboard(GTK_WIDGET(window)), provider);
  session_say(session, _("Copied: %u devices."), session_get_selected_device_count(session));
}

static bool
place_taken(const Document *document, const Document *pasted, Point by)
{
  for (guint i = 0; i < document_device_count(pasted); i++) {
    Point at = point_add(document_device(pasted, i)->placement.at, by);
    for (guint d = 0; d < document_device_count(document); d++)
      if (point_equal(document_device(document, d)->placement.at, at))
        return true;
  }
  return false;
}

/* Where it was, when nothing is there; else aside, so that no device hides another. */
static Point
free_place(const Document *document, const Document *pasted)
{
  Point by = {0, 0};
  for (int tries = 0; tries < 100 && place_taken(document, pasted, by); tries++)
    by = point_add(by, (Point){2 * GRID_STEP_MM, 2 * GRID_STEP_MM});
  return by;
}

bool
window_paste_text(DoorsheetWindow *window, const char *text, gsize size)
{
  Session *session = window_get_session(window);
  const Document *document = session_get_document(session);
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) pasted =
      document_read_memory(text, size, "clipboard", document_catalog(document), &error);
  if (pasted == NULL || document_device_count(pasted) == 0) {
    session_say(session, _("The clipboard holds no part of a sheet: %s"),
                error != NULL ? error->message : _("it has no device"));
    return false;
  }
  g_autoptr(GPtrArray) ids = g_ptr_array_new_with_free_func(g_free);
  Change *change = edit_paste(document, pasted, free_place(document, pasted), ids);
  if (!session_edit(session, change, NULL))
    return false;
  window_hide_start(window);
  session_select_nothing(session);
  for (guint i = 0; i < ids->len; i++)
    session_select_device(session, ids->pdata[i], true);
  return true;
}

/* Files copied in a file manager are opened, as when they are dropped. */
static void
paste_files(DoorsheetWindow *window, const char *list)
{
  g_auto(GStrv) uris = g_uri_list_extract_uris(list);
  guint opened = 0;
  for (guint i = 0; uris[i] != NULL; i++) {
    g_autofree char *path = g_filename_from_uri(uris[i], NULL, NULL);
    if (path == NULL)
      continue;
    window_open(window, path);
    opened++;
  }
  if (opened == 0)
    session_say(window_get_session(window), "%s", _("The clipboard holds no part of a sheet."));
}

typedef struct {
  DoorsheetWindow *window;
  bool files;
} Paste;

static void
paste_free(Paste *paste)
{
  g_object_unref(paste->window);
  g_free(paste);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC(Paste, paste_free)

static void
on_spliced(GObject *source, GAsyncResult *result, gpointer data)
{
  g_autoptr(Paste) paste = data;
  g_autoptr(GError) error = NULL;
  GOutputStream *memory = G_OUTPUT_STREAM(source);
  if (g_output_stream_splice_finish(memory, result, &error) < 0) {
    session_say(window_get_session(paste->window), "%s", error->message);
    return;
  }
  g_autoptr(GBytes) bytes = g_memory_output_stream_steal_as_bytes(G_MEMORY_OUTPUT_STREAM(memory));
  gsize size;
  const char *text = g_bytes_get_data(bytes, &size);
  if (paste->files) {
    g_autofree char *list = g_strndup(text != NULL ? text : "", size);
    paste_files(paste->window, list);
  } else {
    window_paste_text(paste->window, text, size);
  }
}

static void
on_clipboard(GObject *source, GAsyncResult *result, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  const char *type = NULL;
  g_autoptr(GInputStream) stream =
      gdk_clipboard_read_finish(GDK_CLIPBOARD(source), result, &type, NULL);
  if (stream == NULL) {
    session_say(window_get_session(window), "%s", _("The clipboard holds no part of a sheet."));
    return;
  }
  Paste *paste = g_new0(Paste, 1);
  *paste = (Paste){g_object_ref(window), g_strcmp0(type, MIME_FILES) == 0};
  g_autoptr(GOutputStream) memory = g_memory_output_stream_new_resizable();
  g_output_stream_splice_async(
      memory, stream, G_OUTPUT_STREAM_SPLICE_CLOSE_SOURCE | G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
      G_PRIORITY_DEFAULT, NULL, on_spliced, paste);
}

void
window_paste(DoorsheetWindow *window)
{
  static const char *types[] = {MIME, MIME_SVG, MIME_FILES, MIME_TEXT, NULL};
  gdk_clipboard_read_async(gtk_widget_get_clipboard(GTK_WIDGET(window)), types, G_PRIORITY_DEFAULT,
                           NULL, on_clipboard, g_object_ref(window));
}
