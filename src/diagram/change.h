/* SPDX-License-Identifier: MIT */
/* Private to the diagram layer: the inside of a Change and how it is put into a store. */
#pragma once

#include "diagram/contents.h"

G_BEGIN_DECLS

/* One value before and after; a reference to each. */
typedef struct {
  gpointer before, after; /* NULL: not there */
  guint position;         /* of before, when the change is put in; set by change_locate */
} Pair;

/* Pairs of one type (devices, conductors, measured readings or intended faults). */
typedef struct {
  GArray *pairs; /* of Pair, in the order they were given */
  /* Indices + 1 by value, only while a change of many pairs is put together: most changes have one
   * or two, and an undo list of thousands has to stay small. */
  GHashTable *by_after, *by_before;
  gpointer (*ref)(gconstpointer value);
  void (*unref)(gpointer value);
  GArray *removed; /* of guint: indices of removing pairs by ascending position */
  guint added;     /* number of adding pairs */
} PairList;

struct Change {
  char *title;
  PairList devices, conductors, measured, intended;
  SheetData *sheet_before, *sheet_after;
  bool contradictory; /* the same value was replaced twice */
};

/* Whether the value is the before value of a pair. */
bool pair_list_has_before(const PairList *list, gconstpointer value);
/* Frees what is only needed until the change has been put in. */
void change_settle(Change *change);

/* Finds every before value and remembers its position; checks names, duplicates and limits.
 * Changes nothing but the change's own notes. */
bool change_locate(Change *change, const Contents *contents, GError **error);
/* Puts the after values in place. On an error (a landing that would not be there) the contents are
 * as before. next_key: where new conductors and readings get their key; NULL: they have one. */
bool change_forward(Change *change, Contents *contents, guint32 *next_key, GError **error);
/* Puts the before values back in place, at their old positions. */
void change_backward(Change *change, Contents *contents);

G_END_DECLS
