/* SPDX-License-Identifier: MIT */
/* Edits people make, each as a Change ready for document_apply. All take a const document and
 * return a new change the caller owns (NULL with error where they can fail). */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

/* Places a new device of the kind; *id gets the id it was given (new string, nullable). */
Change *edit_place(const Document *document, const PartKind *kind, Point at, char **id);
/* ids: NULL-terminated. Bends of conductors between two moved devices move along. */
Change *edit_move(const Document *document, const char *const *ids, Point by);
/* Turning and mirroring (left to right) go about the device named first. */
Change *edit_turn(const Document *document, const char *const *ids, int quarter_turns);
Change *edit_mirror(const Document *document, const char *const *ids);
/* Removes devices with every conductor and measured reading that lands on them, and conductors by
 * key (keys: n values). */
Change *edit_delete(const Document *document, const char *const *ids, const guint32 *keys, guint n);
Change *edit_set_field(const Document *document, const char *id, const char *field,
                       const char *text, GError **error);
Change *edit_set_row_field(const Document *document, const char *id, guint row, const char *field,
                           const char *text, GError **error);
/* A row without a default name gets the last row's name counted on: "X3" after "X2". */
Change *edit_add_row(const Document *document, const char *id, GError **error);
Change *edit_remove_row(const Document *document, const char *id, guint row, GError **error);
/* The row goes to another place in the order, with all that lands on its terminals. */
Change *edit_move_row(const Document *document, const char *id, guint from, guint to,
                      GError **error);
/* As edit_remove_row, but conductors landed on the row's terminals and readings noted there go
 * with it in the same edit. *gone (nullable): the conductors by name, "" for none (new string). */
Change *edit_remove_row_landed(const Document *document, const char *id, guint row, char **gone,
                               GError **error);
/* A lead that gets another marking keeps what lands on it (edit_set_row_field). A terminal on
 * which something lands cannot go: document_apply refuses and names what lands there. */
/* Renames, and conductors and measured readings with it. */
Change *edit_set_id(const Document *document, const char *id, const char *new_id, GError **error);
/* Lands a new conductor between two terminals. */
Change *edit_land(const Document *document, const Landing *from, const Landing *to, GError **error);
/* Moves one end of a conductor to another terminal. */
Change *edit_reland(const Document *document, guint32 key, bool from_end, const Landing *to,
                    GError **error);
/* Splits a conductor by a splice at a point and lands a new conductor from `from` on it. */
Change *edit_land_on_conductor(const Document *document, const Landing *from, guint32 key, Point at,
                               GError **error);
Change *edit_set_via(const Document *document, guint32 key, const Point *via, guint n);
Change *edit_set_conductor_field(const Document *document, guint32 key, const char *field,
                                 const char *text, GError **error);
/* field: of the root or, with equipment true, of <equipment>. */
Change *edit_set_sheet_field(const Document *document, bool equipment, const char *field,
                             const char *text, GError **error);
/* Volts, energized. value NULL or "": takes the note away. Either order of a and b finds the same
 * note. */
Change *edit_set_measured(const Document *document, const Landing *a, const Landing *b,
                          const char *value, const char *date, GError **error);
/* One field (MEASURED_VALUE or MEASURED_OHMS) of what was read between the points in that state. A
 * note without volts, ohms and test point number goes. */
Change *edit_note_reading(const Document *document, const Landing *a, const Landing *b,
                          MeasuredState state, MeasuredField field, const char *text,
                          const char *date, GError **error);
/* Makes the pair a test point of the sheet under the lowest free number: "TP1". *point (nullable)
 * gets it (new string). Fails when it is one. */
Change *edit_pin(const Document *document, const Landing *a, const Landing *b, char **point,
                 GError **error);
/* What was measured there stays. Fails when it is no test point. */
Change *edit_unpin(const Document *document, const Landing *a, const Landing *b, GError **error);
/* Chooses a fault at a place for the quizzes made of this sheet, or takes it off the list (an empty
 * change when it is not there). The names are not judged here. */
Change *edit_intend(const Document *document, const char *fault, const char *at, GError **error);
Change *edit_forget_intended(const Document *document, const char *fault, const char *at);
/* Toggles kind->operate_field of a device ("Open DISC1"). NULL with error if it has none. */
Change *edit_operate(const Document *document, const char *id, GError **error);
/* Copies devices and the conductors between them, with new ids, moved by `by`. Copies have no
 * designation of their own and no wire numbers: both would be there twice. */
Change *edit_duplicate(const Document *document, const char *const *ids, Point by,
                       GPtrArray *new_ids /* nullable */);
/* Puts everything on another sheet (or a cut or copied part of one) onto this one, moved by `by`.
 * Ids, designations and wire numbers stay as they are where they are free here; taken ids are
 * counted on, taken designations and wire numbers are left empty. */
Change *edit_paste(const Document *document, const Document *pasted, Point by,
                   GPtrArray *new_ids /* nullable */);

/* --- nameplates (edit_nameplate.c) --- */
/* What can be read off a device: without its place, its marking on the sheet, what it refers to
 * there, and as it is when nobody has switched it or blown it. New device. */
Device *edit_dup_nameplate(const Device *device);
/* The same but for what belongs to the sheet. */
bool edit_same_nameplate(const Device *a, const Device *b);
/* Places a new device with this nameplate. *id gets the id it was given (new string, nullable). */
Change *edit_place_nameplate(const Document *document, const Device *nameplate, Placement at,
                             char **id);
/* Gives a device on the sheet another nameplate of its kind. What lands on terminals of the same
 * marking stays; a landing on a terminal the nameplate has not is refused by name. */
Change *edit_set_nameplate(const Document *document, const char *id, const Device *nameplate,
                           GError **error);

/* --- enclosures (edit_group.c) --- */
/* The ids, and behind them those of all that lies in the outlines among them: what has to be given
 * to edit_move and its like so that an enclosure takes along what it holds. NULL-terminated, new. */
char **edit_with_contents(const Document *document, const char *const *ids);
/* Draws an outline round the devices. around: what they cover on the sheet, mm; a margin is added.
 * *id gets the outline's (new string, nullable). */
Change *edit_group(const Document *document, const char *const *ids, Rect around, char **id,
                   GError **error);
/* Takes away the outlines among the devices; what lies in them stays. */
Change *edit_ungroup(const Document *document, const char *const *ids, GError **error);

/* --- the whole sheet (edit_replace.c) --- */
/* Everything `by` holds in the place of everything the document holds, in by's order. Empty when
 * both are equal. */
Change *edit_replace(const Document *document, const Document *by, const char *title);

G_END_DECLS
