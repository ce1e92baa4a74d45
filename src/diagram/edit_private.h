/* SPDX-License-Identifier: MIT */
/* Private to the diagram layer: what the edit files share. */
#pragma once

#include "base/language.h"
#include "diagram/edit.h"

G_BEGIN_DECLS

#define EDIT_ERROR_MISSING N_("there is no device \"%s\" on the sheet")

/* The devices named, in the document's order, each once; unknown ids are passed over. Borrowed
 * pointers; free with g_ptr_array_unref. */
GPtrArray *edit_selected(const Document *document, const char *const *ids);
/* "Move T1" or "Move 3 devices". New string. */
typedef enum {
  EDIT_MOVE,
  EDIT_TURN,
  EDIT_MIRROR,
  EDIT_DELETE,
  EDIT_DUPLICATE,
  EDIT_PASTE,
  EDIT_GROUP,
  EDIT_UNGROUP
} EditVerb;
char *edit_title(EditVerb verb, const GPtrArray *devices);
/* On the grid and within the sheet's limits. */
Point edit_place_point(Point point);
/* A copy of the device, or NULL with error. */
Device *edit_copy_device(const Document *document, const char *id, GError **error);
/* Finds the conductor, or NULL with error. */
const Conductor *edit_find_conductor(const Document *document, guint32 key, GError **error);
/* The terminal must be there, else false with error. */
bool edit_check_landing(const Document *document, const Landing *landing, GError **error);
/* No conductor other than `except` (nullable) may join the two already. */
bool edit_check_pair(const Document *document, const Landing *a, const Landing *b,
                     const Conductor *except, GError **error);
/* "T1 T2" with the device named `from` replaced by `to` in "FROM.X1". New string, or NULL when
 * the text does not name it. */
char *edit_rename_terminals(const char *text, const char *from, const char *to);
/* The name of a fault's place ("T1.H3, T1.H4", "conductor FU1.2-T1.H3") with a device's new id, or
 * NULL when it does not name that device. New string. */
char *edit_rename_place(const char *text, const char *from, const char *to);
/* Intended faults follow a device's new id. */
void edit_follow_intended(const Document *document, Change *change, const char *from,
                          const char *to);
/* The name a terminal has now; NULL: it is gone. Borrowed. */
typedef const char *(*EditTerminalNow)(gconstpointer data, const char *terminal);
/* Intended faults at terminals of the device, which has its old names, follow them to the new
 * ones; what was meant for a terminal that is gone goes with it. */
void edit_follow_terminals(const Document *document, Change *change, const Device *device,
                           EditTerminalNow now, gconstpointer data);
/* Replaces a designation in every field that refers to one. True when something changed. */
bool edit_rename_designation(Device *device, const char *from, const char *to);
/* Whether some field names another device, or a terminal of one ("T1.X1"). */
bool edit_has_references(const Device *device);
/* Renames in every field of type FIELD_TERMINALS. True when something changed. */
bool edit_rename_references(Device *device, const char *from, const char *to);

G_END_DECLS
