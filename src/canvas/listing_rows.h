/* SPDX-License-Identifier: MIT */
/* The diagram as rows of words, for those who do not see it: every device, and under a device that
 * is open its findings and its terminals with what lands on them. A GListModel of ListingRow.
 *
 * Rows keep their identity while what they stand for stays, so that a list shows an edit as the
 * rows that came and went. Nothing is computed for rows that nobody asks about. */
#pragma once

#include "canvas/session.h"
#include <gio/gio.h>

G_BEGIN_DECLS

typedef enum { LISTING_DEVICE, LISTING_FINDING, LISTING_LANDING } ListingKind;

#define LISTING_ROW_TYPE (listing_row_get_type())
G_DECLARE_FINAL_TYPE(ListingRow, listing_row, DOORSHEET, LISTING_ROW, GObject)

struct _ListingRow {
  GObject parent;
  ListingKind kind;
  char *device;      /* id */
  bool open;         /* LISTING_DEVICE */
  char *terminal;    /* LISTING_LANDING */
  guint32 conductor; /* LISTING_LANDING: its key; 0: nothing is landed there */
  char *finding;     /* LISTING_FINDING: its words */
  GPtrArray *places; /* LISTING_FINDING: of char * */
};

#define LISTING_ROWS_TYPE (listing_rows_get_type())
G_DECLARE_FINAL_TYPE(ListingRows, listing_rows, DOORSHEET, LISTING_ROWS, GObject)

/* Empty until it follows. Takes a reference of the session. */
ListingRows *listing_rows_new(Session *session);
/* Brings the rows up to date with the document and its findings, and says what changed. */
void listing_rows_follow(ListingRows *rows);
void listing_rows_set_open(ListingRows *rows, guint at, bool open);
/* Borrowed. */
ListingRow *listing_rows_get(ListingRows *rows, guint at);
/* The row of a device, of a conductor (its device is opened for it), of the device a row is of. */
bool listing_rows_find_device(ListingRows *rows, const char *id, guint *at);
bool listing_rows_find_conductor(ListingRows *rows, guint32 key, guint *at);
/* "T1, Transformer, 250 VA. 2 findings, the gravest a WARNING", "H4, 484 V to ground, lands on
 * FU1.2 by conductor 105, brown". New string. */
char *listing_rows_dup_text(ListingRows *rows, const ListingRow *row);

G_END_DECLS
