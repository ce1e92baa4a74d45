/* SPDX-License-Identifier: MIT */
/* What the files of the session share. */
#pragma once

#include "canvas/session.h"

G_BEGIN_DECLS

struct _Session {
  GObject parent;
  Document *document;
  guint listener;
  Document *own; /* while `document` is a preview; else NULL */
  char *path;
  char *origin;   /* the SVG it came out of, while there is no path */
  DiskMark *disk; /* what path held when last read or written; NULL: no path */
  bool energized;
  guint serial; /* counts edits; a result remembers the one it saw */
  guint result_serial;
  bool held;             /* inspection waits */
  bool running;          /* a worker thread is at work */
  SessionResult *result; /* newest */
  GPtrArray *devices;    /* of char *: selected ids, NULL-terminated */
  GArray *conductors;    /* of guint32: selected keys */
  Landing probes[2];
  bool probe_set[2];
  GPtrArray *shown;
};

/* session.c: replaces the document; lifts the probes and selects nothing. */
void session_take_document(Session *session, Document *take);
/* session.c: puts another document in place of the one that is followed, whatever becomes of that
 * one; selection and probes stay where they still lie on something. */
void session_follow(Session *session, Document *document);
/* session.c: the contents are others than before. */
void session_refresh(Session *session);
/* session_preview.c: false with an error and the change freed: a preview cannot be edited, and in
 * an exercise only what grade/repair.h allows. */
bool session_may_edit(Session *session, Change *change, GError **error);
/* session_preview.c: forgets a preview without a word; the session's own document is followed. */
void session_drop_preview(Session *session);
/* session.c: ids (of char *, copied) and keys (of guint32), each once, in place of what is selected. */
void session_select_these(Session *session, const GPtrArray *ids, const GArray *keys);
/* session_file.c: path NULL: no file. Takes the mark. */
void session_set_file(Session *session, const char *path, DiskMark *take_disk);

G_END_DECLS
