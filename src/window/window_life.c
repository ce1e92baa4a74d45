/* SPDX-License-Identifier: MIT */
#include "window/window_life.h"

#include "base/language.h"
#include "keep/recovery.h"
#include <stdlib.h>
#include <string.h>

/* Programs that save write several times or rename; look when they are done. */
#define CALM_MS 250

struct WindowLife {
  DoorsheetWindow *window;
  Session *session;
  NoticeBar *bar;
  Recovery *recovery;
  GFileMonitor *monitor;
  char *watched; /* the path the monitor is for; NULL: none */
  guint calm;    /* source */
};

/* --- another program --- */

/* No question first: undo brings back what was here. */
static void
on_reload(gpointer data)
{
  WindowLife *life = data;
  bool changed = session_get_modified(life->session);
  g_autoptr(GError) error = NULL;
  if (!session_reload(life->session, &error)) {
    window_complain(life->window, _("The sheet cannot be loaded again. What is here is kept"),
                    error);
    session_keep_mine(life->session);
    return;
  }
  g_autofree char *name = session_dup_name(life->session);
  session_say(life->session,
              changed ? _("%s is now as on the disk. Undo brings back the changes made here.")
                      : _("%s is now as on the disk. Undo brings back what was here."),
              name);
}

static void
on_keep_mine(gpointer data)
{
  WindowLife *life = data;
  session_keep_mine(life->session);
  session_say(life->session, _("What is here is kept. Saving writes over the other version."));
}

static void
on_save_again(gpointer data)
{
  window_save(((WindowLife *)data)->window, false);
}

void
window_life_check(WindowLife *life)
{
  const DiskMark *mark = session_get_disk(life->session);
  DiskState state = mark != NULL ? disk_mark_compare(mark) : DISK_SAME;
  g_autofree char *name = session_dup_name(life->session);
  if (life->watched != NULL && !disk_is_read_only(life->watched))
    notice_bar_remove(life->bar, "read-only"); /* somebody gave the permission */
  if (state != DISK_CHANGED)
    notice_bar_remove(life->bar, "changed");
  if (state != DISK_GONE)
    notice_bar_remove(life->bar, "gone");
  if (state == DISK_CHANGED && !notice_bar_has(life->bar, "changed")) {
    static const NoticeButton buttons[] = {
        {N_("Reload"), on_reload}, {N_("Keep mine"), on_keep_mine}, {0}};
    g_autofree char *text = g_strdup_printf(_("%s was changed by another program."), name);
    notice_bar_show(life->bar, "changed", text, buttons, life, NULL);
  }
  if (state == DISK_GONE && !notice_bar_has(life->bar, "gone")) {
    static const NoticeButton buttons[] = {
        {N_("Save it again"), on_save_again}, {N_("Leave it"), NULL}, {0}};
    g_autofree char *text = g_strdup_printf(
        _("%s was deleted or moved by another program. It exists only here."), name);
    session_mark_unsaved(life->session);
    notice_bar_show(life->bar, "gone", text, buttons, life, NULL);
  }
}

static gboolean
on_calm(gpointer data)
{
  WindowLife *life = data;
  life->calm = 0;
  window_life_check(life);
  return G_SOURCE_REMOVE;
}

static void
on_disk(GFileMonitor *monitor, GFile *file, GFile *other, GFileMonitorEvent event, gpointer data)
{
  (void)monitor;
  (void)file;
  (void)other;
  (void)event;
  WindowLife *life = data;
  if (life->calm != 0)
    g_source_remove(life->calm);
  life->calm = g_timeout_add(CALM_MS, on_calm, life);
}

/* Coming back to the window is the moment to look, also where the system tells nothing. */
static void
on_active(GtkWindow *window, GParamSpec *property, WindowLife *life)
{
  (void)property;
  if (gtk_window_is_active(window))
    window_life_check(life);
}

static void
stop_watching(WindowLife *life)
{
  if (life->monitor != NULL) {
    g_signal_handlers_disconnect_by_data(life->monitor, life);
    g_file_monitor_cancel(life->monitor);
  }
  g_clear_object(&life->monitor);
  g_clear_pointer(&life->watched, g_free);
  g_clear_handle_id(&life->calm, g_source_remove);
  static const char *const keys[] = {"changed", "gone", "read-only"};
  for (guint i = 0; i < G_N_ELEMENTS(keys); i++)
    notice_bar_remove(life->bar, keys[i]);
}

static void
on_save_as(gpointer data)
{
  window_save(((WindowLife *)data)->window, true);
}

static void
watch(WindowLife *life)
{
  const char *path = session_get_path(life->session);
  if (g_strcmp0(path, life->watched) == 0)
    return;
  stop_watching(life);
  if (path == NULL)
    return;
  life->watched = g_strdup(path);
  char *real = realpath(path, NULL); /* what a link leads to is what changes */
  g_autoptr(GFile) file = g_file_new_for_path(real != NULL ? real : path);
  free(real);
  life->monitor = g_file_monitor_file(file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (life->monitor != NULL)
    g_signal_connect(life->monitor, "changed", G_CALLBACK(on_disk), life);
  if (!disk_is_read_only(path))
    return;
  static const NoticeButton buttons[] = {{N_("Save as"), on_save_as}, {N_("Close"), NULL}, {0}};
  g_autofree char *name = session_dup_name(life->session);
  g_autofree char *text =
      g_strdup_printf(_("%s is read-only. Saving asks for another name."), name);
  notice_bar_show(life->bar, "read-only", text, buttons, life, NULL);
}

/* --- kept against a crash --- */

static void
on_failed(const GError *error, gpointer data)
{
  session_say(((WindowLife *)data)->session, "%s", error->message);
}

static void
on_changed(Session *session, WindowLife *life)
{
  if (session_get_modified(session)) {
    const DiskMark *disk = session_get_disk(session);
    g_autofree char *name = session_dup_name(session);
    recovery_keep(life->recovery, session_get_own(session), session_get_path(session),
                  disk != NULL ? disk_mark_get_digest(disk) : NULL, name);
  } else {
    recovery_clear(life->recovery);
  }
  watch(life);
}

const char *
window_life_settle(WindowLife *life)
{
  recovery_settle(life->recovery);
  return recovery_get_file(life->recovery);
}

WindowLife *
window_life_new(DoorsheetWindow *window, NoticeBar *bar)
{
  WindowLife *life = g_new0(WindowLife, 1);
  life->window = window;
  life->session = g_object_ref(window_get_session(window));
  life->bar = bar;
  life->recovery = recovery_new(on_failed, life);
  g_signal_connect(life->session, "changed", G_CALLBACK(on_changed), life);
  g_signal_connect(window, "notify::is-active", G_CALLBACK(on_active), life);
  return life;
}

void
window_life_free(WindowLife *life)
{
  if (life == NULL)
    return;
  stop_watching(life);
  g_signal_handlers_disconnect_by_data(life->session, life);
  g_signal_handlers_disconnect_by_data(life->window, life);
  recovery_free(life->recovery);
  g_object_unref(life->session);
  g_free(life);
}

/* --- what a program that died has left --- */

typedef struct {
  DoorsheetWindow *window; /* borrowed: its notice bar owns this */
  GPtrArray *offers;
  RecoveryOffer *offer;
} Left;

static void
left_free(gpointer data)
{
  Left *left = data;
  g_ptr_array_unref(left->offers);
  g_free(left);
}

static void
on_recover(gpointer data)
{
  Left *left = data;
  const RecoveryOffer *offer = left->offer;
  DoorsheetWindow *into = left->window;
  if (!window_is_untouched(into)) {
    into = window_new(gtk_window_get_application(GTK_WINDOW(into)));
    gtk_window_present(GTK_WINDOW(into));
  }
  g_autoptr(GError) error = NULL;
  Session *session = window_get_session(into);
  if (!session_recover(session, offer->file, offer->path, offer->digest, &error)) {
    window_complain(into, _("The unsaved sheet cannot be read. Its file is left where it is"),
                    error);
    return;
  }
  window_show_opened(into);
  session_say(session, _("Recovered %s. Save it to keep it."), offer->name);
  /* Only when this window keeps it itself may the old copy go. */
  const char *file = window_life_settle(window_get_life(into));
  if (file != NULL && g_file_test(file, G_FILE_TEST_IS_REGULAR))
    recovery_offer_discard(left->offer);
  window_life_check(window_get_life(into));
}

static void
on_throw_away(gpointer data)
{
  recovery_offer_discard(((Left *)data)->offer);
}

void
window_life_offer(DoorsheetWindow *window)
{
  static const NoticeButton buttons[] = {
      {N_("Recover"), on_recover}, {N_("Throw away"), on_throw_away}, {N_("Later"), NULL}, {0}};
  g_autoptr(GPtrArray) offers = recovery_offers();
  for (guint i = 0; i < offers->len; i++) {
    RecoveryOffer *offer = offers->pdata[i];
    g_autoptr(GDateTime) then = g_date_time_new_from_unix_local(offer->changed);
    g_autofree char *date = g_date_time_format(then, "%Y-%m-%d");
    g_autofree char *day = language_date(date);
    g_autofree char *hour = g_date_time_format(then, "%H:%M");
    g_autofree char *when = g_strdup_printf("%s, %s", day, hour);
    g_autofree char *text = g_strdup_printf(
        _("%s was not closed properly. Its unsaved changes of %s are kept."), offer->name, when);
    Left *left = g_new0(Left, 1);
    *left = (Left){.window = window, .offers = g_ptr_array_ref(offers), .offer = offer};
    notice_bar_show(window_get_notices(window), offer->base, text, buttons, left, left_free);
  }
}
