/* SPDX-License-Identifier: MIT */
/* The instructor's commands: marking faults, looking at what they do, dealing exercises. */
#include "base/language.h"
#include "lesson/deal_dialog.h"
#include "window/dialogs.h"
#include "window/window.h"

#define COMMAND(name)                                                                              \
  static void name(GSimpleAction *action G_GNUC_UNUSED, GVariant *parameter G_GNUC_UNUSED,         \
                   gpointer data)

#define NOTICE_KEY "preview"

static bool
is_exercise(DoorsheetWindow *window)
{
  return sheet_is_exercise(document_sheet(session_get_own(window_get_session(window))));
}

COMMAND(do_mark_fault)
{
  DoorsheetWindow *window = data;
  window_show_page(window, "lesson");
  if (!is_exercise(window))
    deal_page_begin(window_get_deal_page(window));
}

COMMAND(do_preview_faults)
{
  DoorsheetWindow *window = data;
  bool on = session_is_preview(window_get_session(window));
  if (!on)
    window_show_page(window, "lesson");
  deal_page_set_preview(window_get_deal_page(window), !on);
}

/* --- dealing --- */

static void
on_choose(GtkWindow *parent, const char *from, DealDialogChosen chosen, gpointer data)
{
  const DialogsFile file = {.title = _("Where the exercises go"),
                            .accept = _("Choose"),
                            .choose_folder = true,
                            .folder = from};
  dialogs_file(parent, &file, chosen, data);
}

COMMAND(do_deal)
{
  static const DealDialogHost host = {on_choose, dialogs_show_folder};
  DoorsheetWindow *window = data;
  Session *session = window_get_session(window);
  if (is_exercise(window)) {
    session_say(session, "%s", _("This is an exercise already. Open the sheet it was made of."));
    return;
  }
  const char *path = session_get_path(session);
  g_autofree char *folder = path != NULL ? g_path_get_dirname(path) : NULL;
  g_autofree char *name = session_dup_name(session);
  deal_dialog_show(GTK_WINDOW(window), session_get_own(session), name, folder, &host);
}

static void
on_deal(DealPage *page, DoorsheetWindow *window)
{
  (void)page;
  g_action_group_activate_action(G_ACTION_GROUP(window), "deal", NULL);
}

/* --- the preview --- */

static void
on_end(gpointer data)
{
  deal_page_set_preview(window_get_deal_page(data), false);
}

static void
show_preview(DoorsheetWindow *window)
{
  static const char text[] = N_("PREVIEW: the marked faults are made on what you see. The sheet "
                                "itself is untouched, and nothing of this is saved.");
  NoticeButton buttons[] = {{_("End the preview"), on_end}, {NULL, NULL}};
  bool on = session_is_preview(window_get_session(window));
  if (on && !notice_bar_has(window_get_notices(window), NOTICE_KEY))
    notice_bar_show(window_get_notices(window), NOTICE_KEY, _(text), buttons, window, NULL);
  else if (!on)
    notice_bar_remove(window_get_notices(window), NOTICE_KEY);
}

static void
set_enabled(DoorsheetWindow *window, const char *name, bool enabled)
{
  GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);
  g_simple_action_set_enabled(G_SIMPLE_ACTION(action), enabled);
}

void
window_lesson_update(DoorsheetWindow *window)
{
  static const char *const leave[] = {"export-svg", "export-pdf", "export-png", "print",
                                      "print-preview"};
  bool preview = session_is_preview(window_get_session(window));
  bool exercise = is_exercise(window);
  for (gsize i = 0; i < G_N_ELEMENTS(leave); i++)
    set_enabled(window, leave[i], !preview);
  set_enabled(window, "mark-fault", !exercise);
  set_enabled(window, "preview-faults", !exercise);
  set_enabled(window, "deal", !exercise);
  GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), "preview-faults");
  g_simple_action_set_state(G_SIMPLE_ACTION(action), g_variant_new_boolean(preview));
  show_preview(window);
}

static void
on_preview(DealPage *page, DoorsheetWindow *window)
{
  (void)page;
  window_actions_update(window);
}

void
window_lesson_follow(DoorsheetWindow *window, DealPage *page)
{
  g_signal_connect_object(page, "deal", G_CALLBACK(on_deal), window, 0);
  g_signal_connect_object(page, "preview", G_CALLBACK(on_preview), window, 0);
}

void
window_lesson_init(DoorsheetWindow *window)
{
  static const GActionEntry entries[] = {
      {.name = "mark-fault", .activate = do_mark_fault},
      {.name = "preview-faults", .activate = do_preview_faults, .state = "false"},
      {.name = "deal", .activate = do_deal},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(window), entries, G_N_ELEMENTS(entries), window);
}
