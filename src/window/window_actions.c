/* SPDX-License-Identifier: MIT */
/* Every command of the window. Their keys are in desk/keys.c. */
#include "base/language.h"
#include "desk/keys.h"
#include "window/dialogs.h"
#include "window/window.h"
#include "window/window_main.h"
#include <string.h>

static DoorsheetWindow *
self(gpointer data)
{
  return DOORSHEET_WINDOW(data);
}

static Session *
session_of(gpointer data)
{
  return window_get_session(self(data));
}

#define COMMAND(name)                                                                              \
  static void name(GSimpleAction *action G_GNUC_UNUSED, GVariant *parameter G_GNUC_UNUSED,         \
                   gpointer data)

/* --- file --- */

COMMAND(do_new)
{
  GtkApplication *application = gtk_window_get_application(GTK_WINDOW(data));
  gtk_window_present(GTK_WINDOW(window_new(application)));
}

static void
on_open_chosen(const char *path, gpointer data)
{
  g_autoptr(DoorsheetWindow) window = data;
  if (path != NULL)
    window_open(window, path);
}

COMMAND(do_open)
{
  static const char *const patterns[] = {"*.doorsheet", "*.svg", NULL};
  const DialogsFile file = {.title = _("Open a sheet"),
                            .accept = _("Open"),
                            .filter_title = _("Sheets"),
                            .patterns = patterns};
  dialogs_file(GTK_WINDOW(data), &file, on_open_chosen, g_object_ref(data));
}

COMMAND(do_open_path)
{
  window_open(self(data), g_variant_get_string(parameter, NULL));
}

COMMAND(do_save)
{
  window_save(self(data), false);
}

COMMAND(do_save_as)
{
  window_save(self(data), true);
}

COMMAND(do_export_svg)
{
  window_export(self(data), ".svg");
}

COMMAND(do_export_pdf)
{
  window_export(self(data), ".pdf");
}

COMMAND(do_export_png)
{
  window_export(self(data), ".png");
}

COMMAND(do_print)
{
  window_print(self(data));
}

COMMAND(do_preview)
{
  window_preview(self(data));
}

COMMAND(do_close)
{
  gtk_window_close(GTK_WINDOW(data));
}

/* --- edit --- */

static void
take_step(DoorsheetWindow *window, bool (*step)(Session *))
{
  Canvas *canvas = window_get_canvas(window);
  if (canvas_is_busy(canvas)) /* with nothing in hand it would drop the selection */
    canvas_cancel(canvas);
  step(window_get_session(window));
  canvas_reveal_selection(canvas);
}

COMMAND(do_undo)
{
  take_step(self(data), session_undo);
}

COMMAND(do_redo)
{
  take_step(self(data), session_redo);
}

COMMAND(do_delete)
{
  Session *session = session_of(data);
  guint n;
  const guint32 *keys = session_get_selected_conductors(session, &n);
  session_edit(
      session,
      edit_delete(session_get_document(session), session_get_selected_devices(session), keys, n),
      NULL);
}

COMMAND(do_duplicate)
{
  Session *session = session_of(data);
  const Document *document = session_get_document(session);
  g_autoptr(GPtrArray) ids = g_ptr_array_new_with_free_func(g_free);
  g_auto(GStrv) all = edit_with_contents(document, session_get_selected_devices(session));
  Point by = {4 * GRID_STEP_MM, 4 * GRID_STEP_MM};
  if (!session_edit(session, edit_duplicate(document, (const char *const *)all, by, ids), NULL))
    return;
  session_select_nothing(session);
  for (guint i = 0; i < ids->len; i++)
    if (ids->pdata[i] != NULL)
      session_select_device(session, ids->pdata[i], true);
}

COMMAND(do_copy)
{
  window_copy(self(data));
}

COMMAND(do_cut)
{
  window_copy(self(data));
  do_delete(action, parameter, data);
}

COMMAND(do_paste)
{
  window_paste(self(data));
}

COMMAND(do_select_all)
{
  session_select_all(session_of(data));
}

COMMAND(do_select_none)
{
  canvas_cancel(window_get_canvas(self(data)));
  session_select_nothing(session_of(data));
}

static void
turn(gpointer data, int quarter_turns)
{
  Session *session = session_of(data);
  const Document *document = session_get_document(session);
  g_auto(GStrv) all = edit_with_contents(document, session_get_selected_devices(session));
  session_edit(session, edit_turn(document, (const char *const *)all, quarter_turns), NULL);
}

COMMAND(do_turn)
{
  turn(data, 1);
}

COMMAND(do_turn_back)
{
  turn(data, 3);
}

COMMAND(do_mirror)
{
  Session *session = session_of(data);
  const Document *document = session_get_document(session);
  g_auto(GStrv) all = edit_with_contents(document, session_get_selected_devices(session));
  session_edit(session, edit_mirror(document, (const char *const *)all), NULL);
}

COMMAND(do_operate)
{
  Session *session = session_of(data);
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; ids[i] != NULL; i++) {
    GError *error = NULL;
    Change *change = edit_operate(session_get_document(session), ids[i], &error);
    session_edit(session, change, error);
  }
}

/* --- tools --- */

COMMAND(do_place)
{
  PartCatalog catalog = document_catalog(session_get_document(session_of(data)));
  const PartKind *kind = part_catalog_find(catalog, g_variant_get_string(parameter, NULL));
  if (kind == NULL)
    return;
  window_hide_start(self(data));
  canvas_place(window_get_canvas(self(data)), kind);
}

/* The technician's first step: a supply near the left edge, and the page for its readings. */
COMMAND(do_start_supply)
{
  Session *session = session_of(data);
  const Document *document = session_get_document(session);
  PartCatalog catalog = document_catalog(document);
  for (guint i = 0; catalog[i] != NULL; i++) {
    if (catalog[i]->role != ROLE_SUPPLY)
      continue;
    window_hide_start(self(data));
    g_autofree char *id = NULL;
    Point at = {grid_snap(20), grid_snap(40)};
    if (session_edit(session, edit_place(document, catalog[i], at, &id), NULL))
      session_select_device(session, id, false);
    break;
  }
  window_show_page(self(data), "measure");
  window_focus_page(self(data));
}

/* What the probes touch becomes a test point of the sheet, or is one no longer. */
COMMAND(do_pin)
{
  Session *session = session_of(data);
  const Document *document = session_get_document(session);
  const Landing *red = session_get_probe(session, PROBE_RED);
  const Landing *black = session_get_probe(session, PROBE_BLACK);
  if (red == NULL || black == NULL) {
    session_say(session, "%s", _("Touch two points with the probes, then pin them to the sheet."));
    return;
  }
  bool pinned = false;
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    pinned |= measured_is_between(measured, red, black) && measured_point(measured) != NULL;
  }
  GError *error = NULL;
  Change *change = pinned ? edit_unpin(document, red, black, &error)
                          : edit_pin(document, red, black, NULL, &error);
  if (session_edit(session, change, error))
    session_say(session, _("%s. Ctrl+Z takes it back."),
                document_undo_title(session_get_document(session)));
}

/* --- view --- */

COMMAND(do_zoom_in)
{
  canvas_zoom_by(window_get_canvas(self(data)), 1.25);
}

COMMAND(do_zoom_out)
{
  canvas_zoom_by(window_get_canvas(self(data)), 0.8);
}

COMMAND(do_zoom_normal)
{
  canvas_zoom_normal(window_get_canvas(self(data)));
}

COMMAND(do_zoom_fit)
{
  canvas_zoom_fit(window_get_canvas(self(data)));
}

COMMAND(do_zoom_content)
{
  canvas_zoom_content(window_get_canvas(self(data)));
}

COMMAND(do_next_finding)
{
  window_show_page(self(data), "check");
  check_page_step(window_get_check_page(self(data)), 1);
}

COMMAND(do_previous_finding)
{
  window_show_page(self(data), "check");
  check_page_step(window_get_check_page(self(data)), -1);
}

COMMAND(do_remedy)
{
  check_page_remedy(window_get_check_page(self(data)));
}

static void
do_page(GSimpleAction *action, GVariant *parameter, gpointer data)
{
  (void)action;
  window_show_page(self(data), g_variant_get_string(parameter, NULL));
}

COMMAND(do_energize)
{
  session_set_energized(session_of(data), !session_get_energized(session_of(data)));
}

COMMAND(do_show_shelf)
{
  window_toggle_side(self(data), true);
}

COMMAND(do_show_clipboard)
{
  window_toggle_side(self(data), false);
}

/* --- help --- */

COMMAND(do_shortcuts)
{
  guint n;
  const KeysRow *rows = keys_table(&n);
  g_autofree DialogsShortcut *list = g_new0(DialogsShortcut, n + 1);
  g_autoptr(GPtrArray) labels = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; i < n; i++) {
    g_ptr_array_add(labels, keys_dup_label(&rows[i]));
    list[i] = (DialogsShortcut){_(rows[i].section), labels->pdata[i], _(rows[i].what)};
  }
  dialogs_shortcuts(GTK_WINDOW(data), list);
}

COMMAND(do_about)
{
  static const char *const buttons[] = {N_("Close"), NULL};
  dialogs_ask(GTK_WINDOW(data), "Doorsheet " DOORSHEET_VERSION,
              _("The wiring sheet on the panel door: from supply readings to a checked, printed "
                "sheet.\n\nDoorsheet computes and points things out. It does not approve an "
                "installation. Local code and a qualified person decide, and only a proven meter "
                "shows that a conductor is dead.\n\nMIT licence."),
              buttons, NULL, NULL);
}

/* --- setting up --- */

static const GActionEntry entries[] = {
    {.name = "new", .activate = do_new},
    {.name = "open", .activate = do_open},
    {.name = "open-path", .activate = do_open_path, .parameter_type = "s"},
    {.name = "open-sample", .activate = do_open_path, .parameter_type = "s"},
    {.name = "save", .activate = do_save},
    {.name = "save-as", .activate = do_save_as},
    {.name = "export-svg", .activate = do_export_svg},
    {.name = "export-pdf", .activate = do_export_pdf},
    {.name = "export-png", .activate = do_export_png},
    {.name = "print", .activate = do_print},
    {.name = "print-preview", .activate = do_preview},
    {.name = "close", .activate = do_close},
    {.name = "undo", .activate = do_undo},
    {.name = "redo", .activate = do_redo},
    {.name = "cut", .activate = do_cut},
    {.name = "copy", .activate = do_copy},
    {.name = "paste", .activate = do_paste},
    {.name = "duplicate", .activate = do_duplicate},
    {.name = "delete", .activate = do_delete},
    {.name = "select-all", .activate = do_select_all},
    {.name = "select-none", .activate = do_select_none},
    {.name = "turn", .activate = do_turn},
    {.name = "turn-back", .activate = do_turn_back},
    {.name = "mirror", .activate = do_mirror},
    {.name = "operate", .activate = do_operate},
    {.name = "place", .activate = do_place, .parameter_type = "s"},
    {.name = "start-supply", .activate = do_start_supply},
    {.name = "pin", .activate = do_pin},
    {.name = "zoom-in", .activate = do_zoom_in},
    {.name = "zoom-out", .activate = do_zoom_out},
    {.name = "zoom-normal", .activate = do_zoom_normal},
    {.name = "zoom-fit", .activate = do_zoom_fit},
    {.name = "zoom-content", .activate = do_zoom_content},
    {.name = "next-finding", .activate = do_next_finding},
    {.name = "previous-finding", .activate = do_previous_finding},
    {.name = "remedy", .activate = do_remedy},
    {.name = "page", .activate = do_page, .parameter_type = "s", .state = "'measure'"},
    {.name = "energize", .activate = do_energize, .state = "false"},
    {.name = "show-shelf", .activate = do_show_shelf, .state = "true"},
    {.name = "show-clipboard", .activate = do_show_clipboard, .state = "true"},
    {.name = "shortcuts", .activate = do_shortcuts},
    {.name = "about", .activate = do_about},
};

static void
set_enabled(DoorsheetWindow *window, const char *name, bool enabled)
{
  GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);
  g_simple_action_set_enabled(G_SIMPLE_ACTION(action), enabled);
}

static void
set_state(DoorsheetWindow *window, const char *name, GVariant *state)
{
  GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);
  g_simple_action_set_state(G_SIMPLE_ACTION(action), state);
}

static bool
any_operable(Session *session)
{
  const char *const *ids = session_get_selected_devices(session);
  for (guint i = 0; ids[i] != NULL; i++) {
    const Device *device = document_find_device(session_get_document(session), ids[i]);
    if (device != NULL && device->kind->operate_field != NULL)
      return true;
  }
  return false;
}

void
window_actions_update(DoorsheetWindow *window)
{
  Session *session = window_get_session(window);
  const Document *document = session_get_document(session);
  guint n_conductors;
  session_get_selected_conductors(session, &n_conductors);
  bool devices = session_get_selected_device_count(session) > 0;
  set_enabled(window, "undo", document_can_undo(document));
  set_enabled(window, "redo", document_can_redo(document));
  set_enabled(window, "delete", devices || n_conductors > 0);
  static const char *const for_devices[] = {"cut",  "copy",      "duplicate",
                                            "turn", "turn-back", "mirror"};
  for (guint i = 0; i < G_N_ELEMENTS(for_devices); i++)
    set_enabled(window, for_devices[i], devices);
  set_enabled(window, "operate", any_operable(session));
  window_arrange_update(window);
  window_lesson_update(window);
  window_nameplates_update(window);
  set_state(window, "energize", g_variant_new_boolean(session_get_energized(session)));
  set_state(window, "show-shelf", g_variant_new_boolean(window_side_shown(window, true)));
  set_state(window, "show-clipboard", g_variant_new_boolean(window_side_shown(window, false)));
  set_state(window, "page", g_variant_new_string(window_get_page(window)));
}

void
window_actions_init(DoorsheetWindow *window)
{
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
  window_conductors_init(window);
  window_reach_init(window);
  window_arrange_init(window);
  window_number_init(window);
  window_lesson_init(window);
  window_nameplates_init(window);
}
