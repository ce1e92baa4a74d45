/* SPDX-License-Identifier: MIT */
/* The document: ordered devices, conductors, as-measured readings and the sheet's data, with
 * unlimited undo and redo and change notification. Main-thread object; document_snapshot gives a
 * cheap const copy for another thread.
 *
 * Every edit is a Change: a titled list of before/after pairs. Applying puts the after values in
 * place, undoing the before values; both are exact, order included. */
#pragma once

#include "diagram/device.h"

G_BEGIN_DECLS

typedef struct Document Document;
typedef struct Change Change;

#define DOCUMENT_ERROR (document_error_quark())
GQuark document_error_quark(void);
typedef enum {
  DOCUMENT_ERROR_DUPLICATE, /* a second device with the same id */
  DOCUMENT_ERROR_LANDING,   /* a landing on a terminal that is not there */
  DOCUMENT_ERROR_STALE,     /* a before value that is not in the document */
  DOCUMENT_ERROR_LIMIT      /* too many devices or conductors, or a place off every sheet */
} DocumentErrorCode;

#define DOCUMENT_MAX_DEVICES 50000
#define DOCUMENT_MAX_CONDUCTORS 100000
#define DOCUMENT_MAX_BENDS 200     /* of one conductor */
#define DOCUMENT_MAX_INTENDED 200  /* intended faults */
#define DOCUMENT_MAX_MM 10000.0    /* no coordinate lies farther out, either way */

Document *document_new(PartCatalog catalog); /* empty sheet; the catalog is static */
/* Contents only: no undo list, no listeners. Shares the reference-counted values. */
Document *document_snapshot(const Document *document);
void document_free(Document *document);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Document, document_free)
/* Same contents in the same order (undo lists and keys do not count). */
bool document_equal(const Document *a, const Document *b);

PartCatalog document_catalog(const Document *document);
const SheetData *document_sheet(const Document *document);
guint document_device_count(const Document *document);
const Device *document_device(const Document *document, guint index);
const Device *document_find_device(const Document *document, const char *id); /* NULL: none */
int document_device_index(const Document *document, const char *id);          /* -1: none */
guint document_conductor_count(const Document *document);
const Conductor *document_conductor(const Document *document, guint index);
const Conductor *document_find_conductor(const Document *document, guint32 key);
guint document_measured_count(const Document *document);
const Measured *document_measured(const Document *document, guint index);
/* In either order of the two points; NULL: nothing noted. */
const Measured *document_find_measured(const Document *document, const Landing *a, const Landing *b,
                                       MeasuredState state);

guint document_intended_count(const Document *document);
const Intended *document_intended(const Document *document, guint index);
/* NULL: not chosen. */
const Intended *document_find_intended(const Document *document, const char *fault, const char *at);

/* Resolves a landing to device and terminal index; false when it is not there. */
bool document_resolve(const Document *document, const Landing *landing, const Device **device,
                      guint *terminal);
/* Why a landing does not resolve, and the terminals or device names there are. New string. */
char *document_explain_landing(const Document *document, const Landing *landing);
/* How many conductor ends lie on a terminal. */
guint document_landings(const Document *document, const char *device, const char *terminal);
/* An id not yet used: letters and the lowest free number ("T1", "FU3"). New string. */
char *document_free_id(const Document *document, const char *letters);

/* --- changes --- */
Change *change_new(const char *title); /* "Move 3 devices": shown as "Undo: Move 3 devices" */
void change_free(Change *change);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Change, change_free)
bool change_is_empty(const Change *change);
/* before NULL: add (at the end); after NULL: remove; both: replace. The change takes a reference
 * of its own to each. Renaming a device: before and after with different ids; conductors and
 * measured readings have to be replaced in the same change (edit_set_id does it). */
void change_device(Change *change, const Device *before, const Device *after);
void change_conductor(Change *change, const Conductor *before, const Conductor *after);
void change_measured(Change *change, const Measured *before, const Measured *after);
void change_intended(Change *change, const Intended *before, const Intended *after);
void change_sheet(Change *change, const SheetData *before, const SheetData *after);
/* For who judges a change before it is applied: every pair of it, devices first; before and after are
 * Device, Conductor, Measured, Intended or SheetData, NULL as above. Stops at the first for which
 * the visitor gives false, and gives that. */
typedef enum {
  CHANGE_DEVICE, CHANGE_CONDUCTOR, CHANGE_MEASURED, CHANGE_INTENDED, CHANGE_SHEET
} ChangeItem;
typedef bool (*ChangeVisitor)(ChangeItem item, gconstpointer before, gconstpointer after,
                              gpointer data);
bool change_visit(const Change *change, ChangeVisitor visitor, gpointer data);

/* Takes the change. All or nothing: on an error the document is as before. Every landing must
 * exist after the change, a conductor's two ends differ, coordinates are within the limits and
 * kind->validate agrees, so that whatever a document holds can be written and read back. An empty change does nothing. Clears the redo list. */
bool document_apply(Document *document, Change *take_change, GError **error);
bool document_can_undo(const Document *document);
bool document_can_redo(const Document *document);
const char *document_undo_title(const Document *document); /* NULL: nothing to undo */
const char *document_redo_title(const Document *document);
void document_undo(Document *document);
void document_redo(Document *document);
/* Whether the contents differ from those last marked as saved. */
bool document_modified(const Document *document);
void document_mark_saved(Document *document);
/* Whatever was saved is not this: modified until marked as saved (a sheet got back after a crash). */
void document_mark_unsaved(Document *document);
void document_clear_history(Document *document);

/* Called after every apply, undo, redo, mark_saved and mark_unsaved. */
typedef void (*DocumentListener)(const Document *document, gpointer data);
guint document_listen(Document *document, DocumentListener listener, gpointer data);
void document_unlisten(Document *document, guint id);

G_END_DECLS
