/* SPDX-License-Identifier: MIT */
/* A session: one document in a window, with everything that is shared by the canvas and the pages
 * round it: its file, its selection, the two probes, the energized switch, and the newest result
 * of solving and checking it.
 *
 * Small sheets are inspected at once; large ones (PREFERENCE_LARGE) on a worker thread over a
 * snapshot, where the newest edit wins. Main-thread object.
 *
 * Signals (no arguments unless named):
 *   changed      the document's contents changed (edit, undo, open)
 *   inspected    session_get_result is new
 *   selection    what is selected changed
 *   state        path, modified, energized or undo titles changed
 *   probes       a probe moved
 *   show         bring session_get_shown into view and mark it
 *   message      (const char *) a sentence for the status line */
#pragma once

#include "checks/check.h"
#include "diagram/edit.h"
#include "keep/disk_mark.h"
#include "solve/expected.h"
#include <glib-object.h>

G_BEGIN_DECLS

#define SESSION_TYPE (session_get_type())
G_DECLARE_FINAL_TYPE(Session, session, DOORSHEET, SESSION, GObject)

/* What inspecting one snapshot gave. Counted, because a print job may outlive the next edit. */
typedef struct {
  gatomicrefcount references;
  Inspection *inspection;
  Circuit *locked_circuit;   /* the same sheet locked out */
  Solution *locked_solution; /* NULL: not solvable */
  GArray *expected;          /* of ExpectedReading, energized; NULL: none */
  GArray *expected_locked;   /* of ExpectedReading, locked out; NULL: none */
} SessionResult;
/* Inspects the document energized and locked out. Thread-safe: uses only a snapshot of its own. */
SessionResult *session_result_new(const Document *document);
SessionResult *session_result_ref(SessionResult *result);
void session_result_unref(SessionResult *result);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(SessionResult, session_result_unref)

Session *session_new(void);

/* --- file --- */
/* Replaces the document. On failure everything is as before. An SVG opens as the diagram it
 * carries, without a path (saving asks for one). */
bool session_open(Session *session, const char *path, GError **error);
/* A template: like open, but the sheet is new and has no path. */
bool session_open_copy(Session *session, const char *path, GError **error);
/* A sheet got back after a crash: reads file, belongs to path (nullable), which held the digest
 * (disk_mark.h) when the sheet was opened. Not saved until saved. */
bool session_recover(Session *session, const char *file, const char *path, const char *digest,
                     GError **error);
/* Data a new sheet starts with; no edit that could be undone or saved. */
void session_start_with(Session *session, const SheetData *data);
/* What the file held when it was last read or written here. Borrowed; NULL: no file. */
const DiskMark *session_get_disk(Session *session);
/* The file has gone: what is here counts as not saved. */
void session_mark_unsaved(Session *session);
/* Another program changed the file, and the user keeps what is here: it counts as not saved, and
 * the next save goes over what is on the disk now. */
void session_keep_mine(Session *session);
/* Loads the session's file as it is on the disk now, as one step that undo takes back. On failure
 * everything is as before. Counts as saved. */
bool session_reload(Session *session, GError **error);
/* path NULL: where it was last saved. */
bool session_save(Session *session, const char *path, GError **error);
const char *session_get_path(Session *session); /* NULL: never saved */
/* "pump.doorsheet"; "pump.svg" for a diagram out of an SVG that has no file yet; "New sheet" */
char *session_dup_name(Session *session);
bool session_get_modified(Session *session);

/* --- contents --- */
/* The document that is shown, solved and measured: the session's own, or a preview. */
const Document *session_get_document(Session *session);
/* The document that is saved, kept against a crash and modified or not: never a preview. */
const Document *session_get_own(Session *session);
/* Shows another document instead, until session_end_preview or until a file is opened. It cannot
 * be edited, and nothing of it is saved; the session's own document and its undo list wait. */
void session_preview(Session *session, Document *take_document);
void session_end_preview(Session *session);
bool session_is_preview(Session *session);
/* Applies a change, or says in the status line why not. error is what edit_* left when it gave no
 * change; both are taken. Returns whether the document changed. */
bool session_edit(Session *session, Change *take_change, GError *take_error);
/* As above for callers that show the error themselves. */
bool session_try(Session *session, Change *take_change, GError **error);
/* What the step brought back or changed is selected afterwards. */
bool session_undo(Session *session);
bool session_redo(Session *session);
void session_say(Session *session, const char *format, ...) G_GNUC_PRINTF(2, 3);

/* --- result --- */
SessionResult *session_get_result(Session *session); /* borrowed; NULL before the first */
/* While held, nothing is inspected: a window shows itself first. Let go of, the sheet is inspected
 * if it has changed meanwhile. Not held at first. */
void session_set_held(Session *session, bool held);
/* The result belongs to the document as it is now. */
bool session_is_fresh(Session *session);
bool session_get_energized(Session *session);
void session_set_energized(Session *session, bool energized);
/* The circuit and solution that fit the switch; NULL while there is none or it is stale. */
const Solution *session_get_solution(Session *session);
/* The voltage of a terminal to earth as words: "482 V to ground", "dead", "floating". New. */
char *session_dup_volts(Session *session, const char *device, const char *terminal);
/* What that voltage means where it stands: "live: shock hazard", "bonded to ground". Borrowed,
 * translated; NULL: nothing to add. (meaning.c) */
const char *session_get_meaning(Session *session, const Landing *landing);
/* What a conductor's current beside its volts means; NULL: nothing to add. */
const char *session_get_flow_meaning(Session *session, const Conductor *conductor, double amps);
/* "101, T1.X1 to K1.A1, blue; 24.3 V to ground, current 0.42 A". New string. */
char *session_dup_conductor_text(Session *session, const Conductor *conductor);

/* --- selection: devices by id, conductors by key, one active terminal --- */
void session_select_nothing(Session *session);
void session_select_all(Session *session);
void session_select_device(Session *session, const char *id, bool extend);
void session_toggle_device(Session *session, const char *id);
void session_select_conductor(Session *session, guint32 key, bool extend);
void session_toggle_conductor(Session *session, guint32 key);
bool session_device_selected(Session *session, const char *id);
bool session_conductor_selected(Session *session, guint32 key);
/* NULL-terminated, borrowed until the selection changes. */
const char *const *session_get_selected_devices(Session *session);
guint session_get_selected_device_count(Session *session);
const guint32 *session_get_selected_conductors(Session *session, guint *n);
/* A sentence for assistive technology and the status line. New string. */
char *session_dup_selection_text(Session *session);

/* --- probes --- */
typedef enum { PROBE_RED, PROBE_BLACK } ProbeColour;
/* device NULL with terminal "GND": earth; terminal NULL: lifted. */
void session_set_probe(Session *session, ProbeColour probe, const char *device,
                       const char *terminal);
/* Borrowed; NULL: lifted. */
const Landing *session_get_probe(Session *session, ProbeColour probe);

/* --- places of a finding --- */
/* places: of char *, as in Finding; copied. NULL: forget them. */
void session_show_places(Session *session, const GPtrArray *places);
const GPtrArray *session_get_shown(Session *session); /* of char *; empty: nothing */

G_END_DECLS
