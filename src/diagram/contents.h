/* SPDX-License-Identifier: MIT */
/* Private to the diagram layer: what a document holds, as one reference-counted store that
 * snapshots share. Only the document changes it, and only when nobody else holds it
 * (copy on write), so that readers in other threads need no lock.
 *
 * Devices are found by id in constant time through an open-addressed table of positions. Every
 * terminal counts the conductor ends and the measured readings on it, so that a change is judged
 * by what it touches and not by walking the whole sheet. Conductors and measured readings lie in
 * the order of their keys. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

typedef struct {
  guint32 conductors; /* ends of conductors */
  guint32 measured;   /* ends of as-measured readings */
} Tally;

typedef struct {
  Device *device; /* one reference */
  guint32 hash;   /* of its id */
  Tally *tallies; /* one a terminal; NULL without terminals */
} Slot;

typedef struct {
  gatomicrefcount references;
  PartCatalog catalog;
  SheetData *sheet;
  GArray *slots;         /* of Slot */
  guint32 *table;        /* position + 1, or 0: free */
  guint table_size;      /* power of two, at least twice the devices */
  GHashTable *numbers;   /* letters -> n: "LETTERS1" to "LETTERSn-1" are all taken */
  GPtrArray *conductors; /* of Conductor *, keys ascending */
  GPtrArray *measured;   /* of Measured *, keys ascending */
  GPtrArray *intended;   /* of Intended *; few, found by walking */
} Contents;

Contents *contents_new(PartCatalog catalog);
Contents *contents_copy(const Contents *contents);
Contents *contents_ref(Contents *contents);
void contents_unref(Contents *contents);
bool contents_equal(const Contents *a, const Contents *b);

int contents_find(const Contents *contents, const char *id); /* -1: none */
Slot *contents_slot(const Contents *contents, guint index);
/* Position of a key, or -1. */
int contents_find_conductor(const Contents *contents, guint32 key);
int contents_find_measured(const Contents *contents, guint32 key);
int contents_find_intended(const Contents *contents, const Intended *intended); /* the very one */
/* The terminal's tally, or NULL when the landing is not there. */
Tally *contents_tally(const Contents *contents, const Landing *landing);
/* Why a landing is not there, and what is. New string. */
char *contents_explain_landing(const Contents *contents, const Landing *landing);

/* The lowest free id of these letters. New string. */
char *contents_free_id(const Contents *contents, const char *letters);

/* Appends; the id must be free. Takes the reference. */
void contents_append_device(Contents *contents, Device *take_device);
/* Puts another device at a position. The table is stale afterwards when the id differs. Takes. */
void contents_replace_device(Contents *contents, guint index, Device *take_device);
/* Takes out the devices at ascending positions, without looking at the table. */
void contents_remove_devices(Contents *contents, const guint *positions, guint n);
/* Puts devices back at the ascending positions they had; takes the references. */
void contents_insert_devices(Contents *contents, const guint *positions, Device *const *devices,
                             guint n);
/* Takes off the last n devices; keeps the table true. */
void contents_drop_devices(Contents *contents, guint n);
/* Makes the table anew after removals, insertions and renamings. */
void contents_reindex(Contents *contents);

G_END_DECLS
