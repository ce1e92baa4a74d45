/* SPDX-License-Identifier: MIT */
#include "canvas/session_private.h"

#include "base/language.h"
#include "keep/preferences.h"
#include "parts/catalog.h"
#include <gio/gio.h>
#include <math.h>
#include <string.h>

G_DEFINE_FINAL_TYPE(Session, session, G_TYPE_OBJECT)

enum {
  EVENT_CHANGED,
  EVENT_INSPECTED,
  EVENT_SELECTION,
  EVENT_STATE,
  EVENT_PROBES,
  EVENT_SHOW,
  EVENT_MESSAGE,
  EVENT_COUNT
};
static guint events[EVENT_COUNT];

static void
emit(Session *session, int event)
{
  g_signal_emit(session, events[event], 0);
}

void
session_say(Session *session, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  g_autofree char *text = g_strdup_vprintf(format, args);
  va_end(args);
  g_signal_emit(session, events[EVENT_MESSAGE], 0, text);
}

/* --- result --- */

static void
take_result(Session *session, SessionResult *take, guint serial)
{
  session_result_unref(session->result);
  session->result = take;
  session->result_serial = serial;
  emit(session, EVENT_INSPECTED);
}

typedef struct {
  Document *snapshot;
  guint serial;
} Job;

static void
job_free(gpointer data)
{
  Job *job = data;
  document_free(job->snapshot);
  g_free(job);
}

static void
job_run(GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  (void)source;
  (void)cancellable;
  const Job *job = data;
  g_task_return_pointer(task, session_result_new(job->snapshot),
                        (GDestroyNotify)session_result_unref);
}

static void inspect(Session *session);

static void
job_done(GObject *source, GAsyncResult *async, gpointer data)
{
  (void)data;
  Session *session = DOORSHEET_SESSION(source);
  session->running = false;
  const Job *job = g_task_get_task_data(G_TASK(async));
  SessionResult *result = g_task_propagate_pointer(G_TASK(async), NULL);
  if (result == NULL)
    return;
  if (job->serial == session->serial) {
    take_result(session, result, job->serial);
    return;
  }
  session_result_unref(result); /* an edit came meanwhile: only the newest counts */
  inspect(session);
}

static void
inspect(Session *session)
{
  if (session->held)
    return;
  if ((int)document_device_count(session->document) < preference_number(PREFERENCE_LARGE)) {
    take_result(session, session_result_new(session->document), session->serial);
    return;
  }
  if (session->running)
    return; /* job_done sees that the serial moved on and starts again */
  session->running = true;
  Job *job = g_new0(Job, 1);
  job->snapshot = document_snapshot(session->document);
  job->serial = session->serial;
  g_autoptr(GTask) task = g_task_new(session, NULL, job_done, NULL);
  g_task_set_task_data(task, job, job_free);
  g_task_run_in_thread(task, job_run);
}

void
session_set_held(Session *session, bool held)
{
  session->held = held;
  if (!held && !session_is_fresh(session) && !session->running)
    inspect(session);
}

SessionResult *
session_get_result(Session *session)
{
  return session->result;
}

bool
session_is_fresh(Session *session)
{
  return session->result != NULL && session->result_serial == session->serial;
}

bool
session_get_energized(Session *session)
{
  return session->energized;
}

void
session_set_energized(Session *session, bool energized)
{
  if (session->energized == energized)
    return;
  session->energized = energized;
  session_say(session, energized
                           ? _("Energized: the readings are what the meter should show live.")
                           : _("Locked out: the readings are what the meter should show after "
                               "lockout. Prove it with a tested meter."));
  emit(session, EVENT_STATE);
}

/* --- contents --- */

static void
drop_missing(Session *session)
{
  bool dropped = false;
  for (guint i = session->devices->len - 1; i-- > 0;)
    if (document_find_device(session->document, session->devices->pdata[i]) == NULL) {
      g_ptr_array_remove_index(session->devices, i);
      dropped = true;
    }
  for (guint i = session->conductors->len; i-- > 0;)
    if (document_find_conductor(session->document,
                                g_array_index(session->conductors, guint32, i)) == NULL) {
      g_array_remove_index(session->conductors, i);
      dropped = true;
    }
  for (int p = 0; p < 2; p++) {
    const Device *device;
    guint terminal;
    if (session->probe_set[p] && session->probes[p].device != NULL &&
        !document_resolve(session->document, &session->probes[p], &device, &terminal))
      session_set_probe(session, (ProbeColour)p, NULL, NULL);
  }
  if (dropped)
    emit(session, EVENT_SELECTION);
}

static void
on_document(const Document *document, gpointer data)
{
  (void)document;
  Session *session = data;
  session->serial++;
  drop_missing(session);
  emit(session, EVENT_CHANGED);
  inspect(session);
  emit(session, EVENT_STATE);
}

void
session_refresh(Session *session)
{
  on_document(session->document, session);
}

void
session_follow(Session *session, Document *document)
{
  if (session->document != NULL)
    document_unlisten(session->document, session->listener);
  session->document = document;
  session->listener = document_listen(document, on_document, session);
}

void
session_take_document(Session *session, Document *take)
{
  session_drop_preview(session);
  Document *before = session->document;
  session_follow(session, take);
  document_free(before);
  g_ptr_array_set_size(session->shown, 0);
  for (int p = 0; p < 2; p++)
    session_set_probe(session, (ProbeColour)p, NULL, NULL);
  session_select_nothing(session);
  on_document(take, session);
}

const Document *
session_get_document(Session *session)
{
  return session->document;
}

bool
session_try(Session *session, Change *take_change, GError **error)
{
  if (take_change == NULL || !session_may_edit(session, take_change, error))
    return false;
  return document_apply(session->document, take_change, error);
}

bool
session_edit(Session *session, Change *take_change, GError *take_error)
{
  GError *error = take_error;
  if (error != NULL)
    change_free(take_change);
  else if (take_change == NULL || session_try(session, take_change, &error))
    return take_change != NULL;
  session_say(session, "%s", error->message);
  g_error_free(error);
  return false;
}

/* --- selection --- */

static void
clear_selection(Session *session)
{
  g_ptr_array_set_size(session->devices, 0);
  g_ptr_array_add(session->devices, NULL);
  g_array_set_size(session->conductors, 0);
}

/* The NULL at the end stays the last entry. */
static void
add_device(Session *session, const char *id)
{
  g_ptr_array_insert(session->devices, (int)session->devices->len - 1, g_strdup(id));
}

void
session_select_these(Session *session, const GPtrArray *ids, const GArray *keys)
{
  clear_selection(session);
  for (guint i = 0; i < ids->len; i++)
    add_device(session, ids->pdata[i]);
  g_array_append_vals(session->conductors, keys->data, keys->len);
  emit(session, EVENT_SELECTION);
}

void
session_select_nothing(Session *session)
{
  if (session->devices->len == 1 && session->conductors->len == 0)
    return;
  clear_selection(session);
  emit(session, EVENT_SELECTION);
}

void
session_select_all(Session *session)
{
  clear_selection(session);
  for (guint i = 0; i < document_device_count(session->document); i++)
    add_device(session, document_device(session->document, i)->id);
  for (guint i = 0; i < document_conductor_count(session->document); i++) {
    guint32 key = document_conductor(session->document, i)->key;
    g_array_append_val(session->conductors, key);
  }
  emit(session, EVENT_SELECTION);
}

bool
session_device_selected(Session *session, const char *id)
{
  for (guint i = 0; i + 1 < session->devices->len; i++)
    if (strcmp(session->devices->pdata[i], id) == 0)
      return true;
  return false;
}

bool
session_conductor_selected(Session *session, guint32 key)
{
  for (guint i = 0; i < session->conductors->len; i++)
    if (g_array_index(session->conductors, guint32, i) == key)
      return true;
  return false;
}

void
session_select_device(Session *session, const char *id, bool extend)
{
  if (!extend)
    clear_selection(session);
  if (!session_device_selected(session, id))
    add_device(session, id);
  emit(session, EVENT_SELECTION);
}

void
session_toggle_device(Session *session, const char *id)
{
  if (!session_device_selected(session, id)) {
    session_select_device(session, id, true);
    return;
  }
  for (guint i = session->devices->len - 1; i-- > 0;)
    if (strcmp(session->devices->pdata[i], id) == 0)
      g_ptr_array_remove_index(session->devices, i);
  emit(session, EVENT_SELECTION);
}

void
session_select_conductor(Session *session, guint32 key, bool extend)
{
  if (!extend)
    clear_selection(session);
  if (!session_conductor_selected(session, key))
    g_array_append_val(session->conductors, key);
  emit(session, EVENT_SELECTION);
}

void
session_toggle_conductor(Session *session, guint32 key)
{
  for (guint i = 0; i < session->conductors->len; i++)
    if (g_array_index(session->conductors, guint32, i) == key) {
      g_array_remove_index(session->conductors, i);
      emit(session, EVENT_SELECTION);
      return;
    }
  session_select_conductor(session, key, true);
}

const char *const *
session_get_selected_devices(Session *session)
{
  return (const char *const *)session->devices->pdata;
}

guint
session_get_selected_device_count(Session *session)
{
  return session->devices->len - 1;
}

const guint32 *
session_get_selected_conductors(Session *session, guint *n)
{
  *n = session->conductors->len;
  return (const guint32 *)(gpointer)session->conductors->data;
}

/* --- probes and places --- */

void
session_set_probe(Session *session, ProbeColour probe, const char *device, const char *terminal)
{
  if (terminal == NULL && !session->probe_set[probe])
    return;
  Landing *landing = &session->probes[probe];
  char *new_device = g_strdup(device), *new_terminal = g_strdup(terminal);
  g_free(landing->device);
  g_free(landing->terminal);
  *landing = (Landing){.device = new_device, .terminal = new_terminal};
  session->probe_set[probe] = terminal != NULL;
  emit(session, EVENT_PROBES);
}

const Landing *
session_get_probe(Session *session, ProbeColour probe)
{
  return session->probe_set[probe] ? &session->probes[probe] : NULL;
}

void
session_show_places(Session *session, const GPtrArray *places)
{
  g_ptr_array_set_size(session->shown, 0);
  for (guint i = 0; places != NULL && i < places->len; i++)
    g_ptr_array_add(session->shown, g_strdup(places->pdata[i]));
  emit(session, EVENT_SHOW);
}

const GPtrArray *
session_get_shown(Session *session)
{
  return session->shown;
}

/* --- object --- */

static void
session_finalize(GObject *object)
{
  Session *session = DOORSHEET_SESSION(object);
  session_drop_preview(session);
  document_unlisten(session->document, session->listener);
  document_free(session->document);
  session_result_unref(session->result);
  g_ptr_array_unref(session->devices);
  g_array_unref(session->conductors);
  g_ptr_array_unref(session->shown);
  for (int p = 0; p < 2; p++) {
    g_free(session->probes[p].device);
    g_free(session->probes[p].terminal);
  }
  session_set_file(session, NULL, NULL);
  G_OBJECT_CLASS(session_parent_class)->finalize(object);
}

static void
session_class_init(SessionClass *class)
{
  G_OBJECT_CLASS(class)->finalize = session_finalize;
  static const char *const names[] = {"changed", "inspected", "selection",
                                      "state",   "probes",    "show"};
  for (int i = 0; i < EVENT_MESSAGE; i++)
    events[i] = g_signal_new(names[i], SESSION_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                             G_TYPE_NONE, 0);
  events[EVENT_MESSAGE] = g_signal_new("message", SESSION_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                       NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
session_init(Session *session)
{
  session->devices = g_ptr_array_new_with_free_func(g_free);
  g_ptr_array_add(session->devices, NULL);
  session->conductors = g_array_new(FALSE, FALSE, sizeof(guint32));
  session->shown = g_ptr_array_new_with_free_func(g_free);
  session_take_document(session, document_new(parts_catalog()));
}

Session *
session_new(void)
{
  return g_object_new(SESSION_TYPE, NULL);
}
