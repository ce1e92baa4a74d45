/* SPDX-License-Identifier: MIT */
/* Ways out of the window: file, export, printer, and the question before changes are lost. */
#include "diagram/document_file.h"

#include "base/language.h"
#include "handout/student.h"
#include "sheet/sheet.h"
#include "window/dialogs.h"
#include "window/print_preview.h"
#include "window/window.h"
#include "window/window_main.h"
#include <string.h>

typedef void (*Then)(DoorsheetWindow *window);

/* What to do after a save that was asked for by window_before_loss; one question at a time. */
#define THEN_KEY "then"

static void
run_then(DoorsheetWindow *window)
{
  Then then = (Then)g_object_get_data(G_OBJECT(window), THEN_KEY);
  g_object_set_data(G_OBJECT(window), THEN_KEY, NULL);
  if (then != NULL)
    then(window);
}

/* --- save --- */

static void
save_to(DoorsheetWindow *window, const char *path)
{
  g_autoptr(GError) error = NULL;
  if (!session_save(window_get_session(window), path, &error)) {
    g_object_set_data(G_OBJECT(window), THEN_KEY, NULL);
    window_complain(window, _("The sheet was not saved. The old file is unchanged"), error);
    return;
  }
  window_recent_add(session_get_path(window_get_session(window)));
  run_then(window);
}

static void
give_up(DoorsheetWindow *window)
{
  g_object_set_data(G_OBJECT(window), THEN_KEY, NULL);
}

static void
refuse(DoorsheetWindow *window, const char *path, const char *sentence /* a place for path */)
{
  give_up(window);
  g_autofree char *message = language_fill(sentence, path, NULL);
  g_autoptr(GError) error = g_error_new_literal(FILE_ERROR, FILE_ERROR_WRITE, message);
  window_complain(window, _("The sheet was not saved"), error);
}

void
window_save_as(DoorsheetWindow *window, const char *path)
{
  if (window_find_other(window, path) != NULL)
    refuse(window, path,
           _("%s: is open in another window. Choose another name, or close it first."));
  else if (disk_is_read_only(path))
    refuse(window, path, _("%s: is read-only, or its folder is. Choose another name or folder."));
  else
    save_to(window, path);
}

typedef struct {
  DoorsheetWindow *window;
  char *path;
} SaveOver;

static void
on_save_over(int answer, gpointer data)
{
  SaveOver *over = data;
  if (answer == 1)
    window_save_as(over->window, over->path);
  else
    give_up(over->window);
  g_object_unref(over->window);
  g_free(over->path);
  g_free(over);
}

static void
on_save_name(const char *path, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  if (path == NULL) {
    give_up(window);
    return;
  }
  bool named = g_str_has_suffix(path, ".doorsheet");
  g_autofree char *full = named ? g_strdup(path) : g_strconcat(path, ".doorsheet", NULL);
  /* The file dialog has asked about the name it saw, not about this one. */
  if (named || !g_file_test(full, G_FILE_TEST_EXISTS)) {
    window_save_as(window, full);
    return;
  }
  SaveOver *over = g_new0(SaveOver, 1);
  *over = (SaveOver){.window = g_object_ref(window), .path = g_steal_pointer(&full)};
  static const char *const buttons[] = {N_("Cancel"), N_("Write over it"), NULL};
  g_autofree char *heading = g_strdup_printf(_("%s exists already"), over->path);
  dialogs_ask(GTK_WINDOW(window), heading, _("What is in it would be lost."), buttons, on_save_over,
              over);
}

static void
on_changed_answer(int answer, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  if (answer == 1)
    save_to(window, NULL);
  else if (answer == 2)
    window_save(window, true);
  else
    give_up(window);
}

/* Whether the sheet may go where it came from without a question. */
static bool
may_save_back(DoorsheetWindow *window)
{
  const DiskMark *disk = session_get_disk(window_get_session(window));
  if (disk == NULL || disk_mark_compare(disk) != DISK_CHANGED)
    return true; /* a file that has gone is simply made again */
  static const char *const buttons[] = {N_("Cancel"), N_("Write over it"), N_("Save as"), NULL};
  g_autofree char *name = session_dup_name(window_get_session(window));
  g_autofree char *heading = g_strdup_printf(_("%s was changed by another program"), name);
  dialogs_ask(GTK_WINDOW(window), heading,
              _("Saving here would lose what the other program wrote. Save under another name to "
                "keep both."),
              buttons, on_changed_answer, g_object_ref(window));
  return false;
}

/* What the file dialog proposes: the file's own name, else the sheet's title. New. */
static char *
dup_proposed_name(Session *session)
{
  g_autofree char *own = session_dup_name(session);
  char *dot = strrchr(own, '.'); /* a file or an SVG; a new sheet has none */
  const char *title = document_sheet(session_get_document(session))->values[SHEET_TITLE].text;
  if (dot != NULL && dot != own) {
    *dot = '\0';
    title = own;
  }
  char *name =
      g_strconcat(title != NULL && *title != '\0' ? title : _("New sheet"), ".doorsheet", NULL);
  return g_strdelimit(name, "/\\:", '-');
}

void
window_save(DoorsheetWindow *window, bool ask_name)
{
  Session *session = window_get_session(window);
  const char *path = session_get_path(session);
  if (!ask_name && path != NULL && !disk_is_read_only(path)) {
    if (may_save_back(window))
      save_to(window, NULL);
    return;
  }
  static const char *const patterns[] = {"*.doorsheet", NULL};
  g_autofree char *name = dup_proposed_name(session);
  g_autofree char *folder = path != NULL ? g_path_get_dirname(path) : NULL;
  const DialogsFile file = {.title = _("Save the sheet"),
                            .accept = _("Save"),
                            .save = true,
                            .name = name,
                            .folder = folder,
                            .filter_title = _("Doorsheet files"),
                            .patterns = patterns};
  dialogs_file(GTK_WINDOW(window), &file, on_save_name, g_object_ref(window));
}

/* --- before changes are lost --- */

static void
on_loss_answer(int answer, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  if (answer == 2)
    window_save(window, false);
  else if (answer == 1)
    run_then(window);
  else
    g_object_set_data(G_OBJECT(window), THEN_KEY, NULL);
}

void
window_before_loss(DoorsheetWindow *window, Then then)
{
  if (!session_get_modified(window_get_session(window))) {
    then(window);
    return;
  }
  if (g_object_get_data(G_OBJECT(window), THEN_KEY) != NULL)
    return; /* already asking */
  g_object_set_data(G_OBJECT(window), THEN_KEY, (gpointer)then);
  static const char *const buttons[] = {N_("Keep editing"), N_("Throw changes away"), N_("Save"),
                                        NULL};
  g_autofree char *name = session_dup_name(window_get_session(window));
  g_autofree char *heading = g_strdup_printf(_("Save the changes to %s?"), name);
  dialogs_ask(GTK_WINDOW(window), heading,
              _("What was changed since the last save is lost if it is not saved."), buttons,
              on_loss_answer, g_object_ref(window));
}

/* --- export --- */

/* Of an exercise only the student sheet leaves the window, on paper or as a file. */
static Sheet *
compose(DoorsheetWindow *window, Palette palette, GError **error)
{
  const Document *document = session_get_document(window_get_session(window));
  const SheetOptions options = {.palette = palette};
  if (sheet_is_exercise(document_sheet(document))) {
    g_autoptr(Document) seen = seen_document(document);
    return student_sheet_compose(seen, &options, error);
  }
  /* Findings are sentences: found in the sheet's language, they need not be found again. */
  const char *before = language_choose(sheet_language(document, &options));
  g_autoptr(Inspection) inspection = inspection_new(document);
  language_choose(before);
  return sheet_compose(inspection, &options, error);
}

bool
window_export_to(DoorsheetWindow *window, const char *path, GError **error)
{
  SheetFormat format;
  if (!sheet_format_from_name(path, &format)) {
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                _("%s: the name must end in .svg, .pdf or .png"), path);
    return false;
  }
  g_autoptr(Sheet) sheet = compose(window, PALETTE_LIGHT, error);
  if (sheet == NULL)
    return false;
  g_autoptr(GBytes) bytes = sheet_export(sheet, format, 0, error);
  if (bytes == NULL)
    return false;
  gsize size;
  const void *data = g_bytes_get_data(bytes, &size);
  return file_write_atomic(path, data, size, error);
}

typedef struct {
  DoorsheetWindow *window;
  char *extension;
} Export;

static void
on_export_name(const char *path, gpointer data)
{
  Export *export = data;
  g_autoptr(DoorsheetWindow) window = export->window;
  g_autofree char *extension = export->extension;
  g_free(export);
  if (path == NULL)
    return;
  g_autofree char *full =
      g_str_has_suffix(path, extension) ? g_strdup(path) : g_strconcat(path, extension, NULL);
  g_autoptr(GError) error = NULL;
  if (!window_export_to(window, full, &error)) {
    window_complain(window, _("The sheet was not exported"), error);
    return;
  }
  g_autofree char *text = g_strdup_printf(_("Exported %s"), full);
  window_say(window, text);
}

void
window_export(DoorsheetWindow *window, const char *extension)
{
  g_autofree char *own = session_dup_name(window_get_session(window));
  char *dot = strrchr(own, '.');
  if (dot != NULL && dot != own)
    *dot = '\0';
  g_autofree char *name = g_strconcat(own, extension, NULL);
  g_autofree char *pattern = g_strconcat("*", extension, NULL);
  const char *const patterns[] = {pattern, NULL};
  Export *export = g_new0(Export, 1);
  export->window = g_object_ref(window);
  export->extension = g_strdup(extension);
  const DialogsFile file = {.title = _("Export the sheet"),
                            .accept = _("Export"),
                            .save = true,
                            .name = name,
                            .filter_title = extension + 1,
                            .patterns = patterns};
  dialogs_file(GTK_WINDOW(window), &file, on_export_name, export);
}

/* --- print --- */

static void
on_draw_page(GtkPrintOperation *operation, GtkPrintContext *context, int page, Sheet *sheet)
{
  cairo_t *cr = gtk_print_context_get_cairo_context(context);
  double width, height;
  sheet_page_size(sheet, (guint)page, &width, &height);
  /* The context is the whole paper in points or pixels; the pen draws in millimetres. */
  double scale = MIN(gtk_print_context_get_width(context) / width,
                     gtk_print_context_get_height(context) / height);
  cairo_save(cr);
  cairo_scale(cr, scale, scale);
  const Palette palette =
      (Palette)GPOINTER_TO_INT(g_object_get_data(G_OBJECT(operation), "palette"));
  g_autoptr(Pen) pen = pen_cairo_new(cr, palette, 0.05);
  sheet_draw_page(sheet, (guint)page, pen);
  g_autoptr(GError) error = NULL;
  if (!pen_finish(pen, &error))
    g_message("Page %d was not drawn whole: %s", page + 1, error->message);
  cairo_restore(cr);
}

static void
on_print_done(GtkPrintOperation *operation, GtkPrintOperationResult result, DoorsheetWindow *window)
{
  if (result != GTK_PRINT_OPERATION_RESULT_ERROR)
    return;
  g_autoptr(GError) error = NULL;
  gtk_print_operation_get_error(operation, &error);
  if (error != NULL)
    window_complain(window, _("The sheet was not printed"), error);
}

static void print_in(GtkWindow *parent, Palette palette);

void
window_preview(DoorsheetWindow *window)
{
  g_autoptr(GError) error = NULL;
  Sheet *sheet = compose(window, PALETTE_LIGHT, &error);
  if (sheet == NULL)
    window_complain(window, _("The sheet cannot be printed"), error);
  else
    print_preview_show(GTK_WINDOW(window), sheet, print_in);
}

static void
on_preview_gone(gpointer data)
{
  g_autoptr(GtkPrintOperationPreview) preview = data;
  gtk_print_operation_preview_end_preview(preview);
}

/* The print dialog's own Preview would start another program, which may be missing. */
static gboolean
on_preview(GtkPrintOperation *operation, GtkPrintOperationPreview *preview,
           GtkPrintContext *context, GtkWindow *parent, DoorsheetWindow *window)
{
  (void)operation;
  (void)parent;
  g_autoptr(GError) error = NULL;
  Sheet *sheet = compose(window, PALETTE_LIGHT, &error);
  if (sheet == NULL)
    return FALSE;
  /* GTK wants somewhere to draw, though nothing is drawn there. */
  cairo_surface_t *surface = cairo_recording_surface_create(CAIRO_CONTENT_COLOR, NULL);
  cairo_t *cr = cairo_create(surface);
  gtk_print_context_set_cairo_context(context, cr, 72, 72);
  cairo_destroy(cr);
  cairo_surface_destroy(surface);
  GtkWindow *shown = print_preview_show(GTK_WINDOW(window), sheet, NULL);
  g_object_set_data_full(G_OBJECT(shown), "operation", g_object_ref(preview), on_preview_gone);
  return TRUE;
}

static void
print_in(GtkWindow *parent, Palette palette)
{
  DoorsheetWindow *window = DOORSHEET_WINDOW(parent);
  g_autoptr(GError) error = NULL;
  Sheet *sheet = compose(window, PALETTE_LIGHT, &error);
  if (sheet == NULL) {
    window_complain(window, _("The sheet cannot be printed"), error);
    return;
  }
  g_autoptr(GtkPrintOperation) operation = gtk_print_operation_new();
  g_object_set_data_full(G_OBJECT(operation), "sheet", sheet, (GDestroyNotify)sheet_free);
  double width, height;
  sheet_page_size(sheet, 0, &width, &height);
  g_autoptr(GtkPageSetup) setup = gtk_page_setup_new();
  g_autoptr(GtkPaperSize) paper = gtk_paper_size_new_custom(
      "doorsheet", _("Sheet"), MIN(width, height), MAX(width, height), GTK_UNIT_MM);
  gtk_page_setup_set_paper_size(setup, paper);
  gtk_page_setup_set_orientation(setup, width > height ? GTK_PAGE_ORIENTATION_LANDSCAPE
                                                       : GTK_PAGE_ORIENTATION_PORTRAIT);
  g_autofree char *name = session_dup_name(window_get_session(window));
  gtk_print_operation_set_job_name(operation, name);
  gtk_print_operation_set_default_page_setup(operation, setup);
  gtk_print_operation_set_use_full_page(operation, TRUE);
  gtk_print_operation_set_unit(operation, GTK_UNIT_POINTS);
  gtk_print_operation_set_n_pages(operation, (int)sheet_page_count(sheet));
  gtk_print_operation_set_allow_async(operation, TRUE);
  g_object_set_data(G_OBJECT(operation), "palette", GINT_TO_POINTER(palette));
  g_signal_connect(operation, "draw-page", G_CALLBACK(on_draw_page), sheet);
  g_signal_connect_object(operation, "preview", G_CALLBACK(on_preview), window, 0);
  g_signal_connect_object(operation, "done", G_CALLBACK(on_print_done), window, 0);
  gtk_print_operation_run(operation, GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG, GTK_WINDOW(window),
                          NULL);
}

void
window_print(DoorsheetWindow *window)
{
  print_in(GTK_WINDOW(window), PALETTE_LIGHT);
}
