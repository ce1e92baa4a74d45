/* SPDX-License-Identifier: MIT */
/* What survives a crash. Each window keeps its unsaved sheet in doorsheet/recovery under the
 * user's state folder, under a name of its own, locked as long as the program lives; a program
 * that is killed loses the lock and leaves the file, and the next start offers it.
 *
 * A sheet of at most RECOVERY_INLINE devices and conductors is written before recovery_keep
 * returns, so that a kill loses at most the edit in hand; a larger one on a worker thread, the
 * newest edit as soon as the one before it is written. A power cut may cost what the worker has
 * not yet forced to the disk, at most about a second. Main thread only. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

#define RECOVERY_INLINE 600

typedef struct Recovery Recovery;

/* Called in the main loop when the sheet could not be kept, once until it works again. */
typedef void (*RecoveryFailed)(const GError *error, gpointer data);

Recovery *recovery_new(RecoveryFailed failed, gpointer data);
/* Waits for the worker. What is kept stays on disk only if the program dies before this. */
void recovery_free(Recovery *recovery);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Recovery, recovery_free)

/* Keeps the document as it is now. path, digest: the file it belongs to and what that held when
 * it was opened or saved (disk_mark.h); nullable. name: what people call it. */
void recovery_keep(Recovery *recovery, const Document *document, const char *path,
                   const char *digest, const char *name);
/* Saved, or thrown away on purpose: nothing is left to recover. Waits for the worker. */
void recovery_clear(Recovery *recovery);
/* Waits until the newest edit is on the disk (tests, closing the session). */
void recovery_settle(Recovery *recovery);
/* The file the sheet is kept in; NULL: nothing is kept. Borrowed. */
const char *recovery_get_file(Recovery *recovery);

/* --- offers --- */
typedef struct {
  char *file;     /* the kept sheet */
  char *path;     /* the file it belongs to; NULL: was never saved */
  char *digest;   /* of that file; "" when it has none */
  char *name;     /* what people call it */
  gint64 changed; /* Unix time of the last edit */
  char *base;     /* of the files' names */
  int lock;
} RecoveryOffer;

/* Sheets that nobody has open: newest first, array of RecoveryOffer. Each is locked against other
 * windows until freed; one that is neither recovered nor discarded is offered again later. */
GPtrArray *recovery_offers(void);
void recovery_offer_discard(RecoveryOffer *offer); /* deletes the files; free it afterwards */

G_END_DECLS
