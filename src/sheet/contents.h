/* SPDX-License-Identifier: MIT */
/* What a sheet says, apart from how it is laid out: the sheet for the panel door is one such
 * contents, hand-outs bring others of their own. */
#pragma once

#include "sheet/flow.h"
#include "sheet/frame.h"
#include "sheet/sheet.h"

G_BEGIN_DECLS

/* Something drawn over the diagram in canvas millimetres, on every page that shows a part of it. */
typedef struct {
  void (*draw)(Pen *pen, gconstpointer data);
  gpointer data;
  GDestroyNotify free_data; /* nullable */
  Rect bounds;              /* counts as part of the diagram; may be empty */
} SheetOverlay;

typedef struct {
  TitleData *title; /* taken, also on an error */
  /* Fills the flow with every block in reading order. *key: how many of them belong on the first
   * page, the legend (when there is one) not counted; *legend: whether it follows them. */
  void (*add)(Flow *flow, const Frame *frame, double column_width, guint *key, bool *legend,
              gconstpointer data);
  gconstpointer data;       /* borrowed, during the call only */
  GHashTable *descriptions; /* of devices, by group id; taken, nullable */
  char *alternative;        /* the diagram in words; taken */
  SheetOverlay overlay;     /* taken; draw NULL: none */
  bool label_figure;        /* label stock shows the diagram too, on labels of its own */
  bool embeds;              /* an SVG carries the document */
  bool quiet;               /* nor names of what is drawn, other than drawn */
} SheetContents;

/* The document is drawn as it is; the sheet keeps a snapshot. */
Sheet *sheet_compose_contents(const Document *document, const SheetContents *contents,
                              const SheetOptions *options, GError **error);

G_END_DECLS
