/* SPDX-License-Identifier: MIT */
/* The commands of the shelf of own nameplates (desk/nameplate_shelf.h). */
#include "base/language.h"
#include "diagram/document_file.h"
#include "keep/nameplates.h"
#include "window/dialogs.h"
#include "window/window.h"

/* What is asked in a box, and about which nameplate. */
typedef struct {
  DoorsheetWindow *window; /* counted */
  char *name;              /* of the nameplate, or the name wanted for it */
  Device *device;          /* to be kept; NULL in the other questions */
} Question;

static Question *
question_new(DoorsheetWindow *window, const char *name, const Device *device)
{
  Question *question = g_new0(Question, 1);
  question->window = g_object_ref(window);
  question->name = g_strdup(name);
  question->device = device != NULL ? device_ref((Device *)(guintptr)device) : NULL;
  return question;
}

static void
question_free(Question *question)
{
  g_object_unref(question->window);
  g_free(question->name);
  g_clear_pointer(&question->device, device_unref);
  g_free(question);
}

G_DEFINE_AUTOPTR_CLEANUP_FUNC(Question, question_free)

static void say(DoorsheetWindow *window, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void
say(DoorsheetWindow *window, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *text = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  window_say(window, text);
}

static PartCatalog
catalog_of(DoorsheetWindow *window)
{
  return document_catalog(session_get_document(window_get_session(window)));
}

/* The one device that is selected, or NULL. */
static const Device *
selected_device(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  if (session_get_selected_device_count(session) != 1)
    return NULL;
  return document_find_device(session_get_document(session),
                              session_get_selected_devices(session)[0]);
}

/* The nameplate with this name as it is in the file now. New device, or NULL and a box. */
static Device *
dup_kept(DoorsheetWindow *window, const char *name)
{
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  g_autoptr(GPtrArray) list = nameplates_read(path, catalog_of(window), &error);
  const Nameplate *found = nameplates_find(list, name);
  if (found != NULL && found->device != NULL)
    return device_ref(found->device);
  if (error == NULL)
    g_set_error(&error, FILE_ERROR, FILE_ERROR_MEANING,
                _("The shelf has no nameplate \"%s\" any more."), name);
  window_complain(window, _("The nameplate cannot be used"), error);
  return NULL;
}

/* --- keeping --- */

static void keep(Question *question, bool replace);

static void
on_replace(int answer, gpointer data)
{
  g_autoptr(Question) question = data;
  if (answer == 1)
    keep(g_steal_pointer(&question), true);
}

/* Takes the question. */
static void
keep(Question *taken, bool replace)
{
  g_autoptr(Question) question = taken;
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  if (nameplates_keep(path, question->name, question->device, replace, &error)) {
    say(question->window, _("Nameplate \"%s\" is on the shelf now, for every sheet."),
        question->name);
    return;
  }
  if (!g_error_matches(error, FILE_ERROR, FILE_ERROR_MEANING)) {
    window_complain(question->window, _("The nameplate cannot be kept"), error);
    return;
  }
  const char *const buttons[] = {_("Keep the old one"), _("Replace it"), NULL};
  g_autofree char *heading =
      g_strdup_printf(_("There is a nameplate \"%s\" already"), question->name);
  dialogs_ask(GTK_WINDOW(question->window), heading,
              _("Replacing it changes nothing on sheets it was used on."), buttons, on_replace,
              question_new(question->window, question->name, question->device));
}

static void
on_keep_named(const char *name, gpointer data)
{
  g_autoptr(Question) question = data;
  if (name == NULL)
    return;
  g_free(question->name);
  question->name = g_strdup(name);
  keep(g_steal_pointer(&question), false);
}

#define COMMAND(function)                                                                          \
  static void function(GSimpleAction *action G_GNUC_UNUSED, GVariant *parameter G_GNUC_UNUSED,     \
                       gpointer data)

COMMAND(do_keep)
{
  DoorsheetWindow *window = data;
  const Device *device = selected_device(window);
  if (device == NULL) {
    window_say(window, _("Select one device: its nameplate is what is kept."));
    return;
  }
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GPtrArray) list = nameplates_read(path, catalog_of(window), NULL);
  g_autofree char *proposal = nameplates_propose_name(list, device);
  g_autofree char *heading =
      g_strdup_printf(_("Keep the nameplate of %s"), device_designation(device));
  const DialogsName name = {
      .heading = heading,
      .text = _("All that is on it goes on your shelf, for every sheet. Its name there:"),
      .accept = _("Keep"),
      .proposal = proposal};
  dialogs_name(GTK_WINDOW(window), &name, on_keep_named, question_new(window, NULL, device));
}

/* --- using --- */

COMMAND(do_place)
{
  g_autoptr(Device) device = dup_kept(data, g_variant_get_string(parameter, NULL));
  if (device == NULL)
    return;
  window_hide_start(data);
  canvas_place_sample(window_get_canvas(data), device);
}

COMMAND(do_use)
{
  DoorsheetWindow *window = data;
  Session *session = window_get_session(window);
  const Device *selected = selected_device(window);
  if (selected == NULL) {
    window_say(window, _("Select the device that gets this nameplate."));
    return;
  }
  g_autoptr(Device) device = dup_kept(window, g_variant_get_string(parameter, NULL));
  if (device == NULL)
    return;
  GError *error = NULL;
  Change *change = edit_set_nameplate(session_get_document(session), selected->id, device, &error);
  if (session_edit(session, change, error))
    session_say(session, _("%s. Ctrl+Z takes it back."),
                document_undo_title(session_get_document(session)));
}

/* --- renaming and deleting --- */

static void
on_renamed(const char *name, gpointer data)
{
  g_autoptr(Question) question = data;
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  if (name == NULL)
    return;
  if (nameplates_rename(path, question->name, name, &error))
    say(question->window, _("Renamed to \"%s\"."), name);
  else
    window_complain(question->window, _("The nameplate keeps its name"), error);
}

COMMAND(do_rename)
{
  const char *name = g_variant_get_string(parameter, NULL);
  const DialogsName ask = {
      .heading = _("Rename the nameplate"), .accept = _("Rename"), .proposal = name};
  dialogs_name(GTK_WINDOW(data), &ask, on_renamed, question_new(data, name, NULL));
}

static void
on_delete(int answer, gpointer data)
{
  g_autoptr(Question) question = data;
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  if (answer != 1)
    return;
  if (nameplates_remove(path, question->name, &error))
    say(question->window, _("Nameplate \"%s\" is off the shelf."), question->name);
  else
    window_complain(question->window, _("The nameplate stays on the shelf"), error);
}

COMMAND(do_delete)
{
  const char *name = g_variant_get_string(parameter, NULL);
  const char *const buttons[] = {_("Keep it"), _("Delete"), NULL};
  g_autofree char *heading = g_strdup_printf(_("Delete the nameplate \"%s\"?"), name);
  dialogs_ask(GTK_WINDOW(data), heading,
              _("Sheets it was used on keep it. On the shelf this cannot be undone."), buttons,
              on_delete, question_new(data, name, NULL));
}

/* --- sharing --- */

static const char *const patterns[] = {"*" NAMEPLATES_SUFFIX, NULL};

static void
on_export_chosen(const char *to, gpointer data)
{
  g_autoptr(Question) question = data;
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  if (to == NULL)
    return;
  g_autofree char *full = g_str_has_suffix(to, NAMEPLATES_SUFFIX)
                              ? g_strdup(to)
                              : g_strconcat(to, NAMEPLATES_SUFFIX, NULL);
  if (nameplates_export(path, full, question->name, &error))
    say(question->window, _("Exported to %s."), full);
  else
    window_complain(question->window, _("The nameplates cannot be exported"), error);
}

static void
ask_export(DoorsheetWindow *window, const char *only)
{
  const DialogsFile file = {.title = _("Export nameplates"),
                            .accept = _("Export"),
                            .save = true,
                            .name = "nameplates" NAMEPLATES_SUFFIX,
                            .filter_title = _("Shelves of nameplates"),
                            .patterns = patterns};
  dialogs_file(GTK_WINDOW(window), &file, on_export_chosen, question_new(window, only, NULL));
}

COMMAND(do_export)
{
  ask_export(data, g_variant_get_string(parameter, NULL));
}

COMMAND(do_export_all)
{
  ask_export(data, NULL);
}

static void
on_import_chosen(const char *from, gpointer data)
{
  g_autoptr(Question) question = data;
  if (from != NULL)
    window_import_nameplates(question->window, from);
}

void
window_import_nameplates(DoorsheetWindow *window, const char *from)
{
  g_autofree char *path = nameplates_dup_path();
  g_autoptr(GError) error = NULL;
  NameplatesImport import;
  if (!nameplates_import(path, from, catalog_of(window), &import, &error)) {
    window_complain(window, _("The nameplates cannot be imported"), error);
    return;
  }
  g_autofree char *text = g_strdup_printf(
      _("%u imported (%u under another name), %u were on the shelf already, %u cannot be read "
        "here."),
      import.added, import.renamed, import.present, import.unreadable);
  window_say(window, text);
}

COMMAND(do_import)
{
  const DialogsFile file = {.title = _("Import nameplates"),
                            .accept = _("Import"),
                            .filter_title = _("Shelves of nameplates"),
                            .patterns = patterns};
  dialogs_file(GTK_WINDOW(data), &file, on_import_chosen, question_new(data, NULL, NULL));
}

COMMAND(do_set_aside)
{
  g_autofree char *path = nameplates_dup_path();
  g_autofree char *moved = NULL;
  g_autoptr(GError) error = NULL;
  if (nameplates_set_aside(path, &moved, &error))
    say(data, _("The old shelf is %s now; a new one begins."), moved);
  else
    window_complain(data, _("The file cannot be set aside"), error);
}

static const GActionEntry entries[] = {
    {.name = "keep-nameplate", .activate = do_keep},
    {.name = "place-nameplate", .activate = do_place, .parameter_type = "s"},
    {.name = "use-nameplate", .activate = do_use, .parameter_type = "s"},
    {.name = "rename-nameplate", .activate = do_rename, .parameter_type = "s"},
    {.name = "delete-nameplate", .activate = do_delete, .parameter_type = "s"},
    {.name = "export-nameplate", .activate = do_export, .parameter_type = "s"},
    {.name = "export-nameplates", .activate = do_export_all},
    {.name = "import-nameplates", .activate = do_import},
    {.name = "set-nameplates-aside", .activate = do_set_aside},
};

void
window_nameplates_update(DoorsheetWindow *window)
{
  bool one = selected_device(window) != NULL;
  static const char *const for_one[] = {"keep-nameplate", "use-nameplate"};
  for (guint i = 0; i < G_N_ELEMENTS(for_one); i++) {
    GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), for_one[i]);
    g_simple_action_set_enabled(G_SIMPLE_ACTION(action), one);
  }
}

void
window_nameplates_init(DoorsheetWindow *window)
{
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
}
