/* SPDX-License-Identifier: MIT */
/* A composed sheet, for the files of the sheet that make and export it. */
#pragma once

#include "sheet/contents.h"
#include "sheet/facts.h"
#include "sheet/flow.h"
#include "sheet/frame.h"
#include "sheet/sheet.h"
#include "sheet/tiling.h"

G_BEGIN_DECLS

struct Sheet {
  Document *document; /* snapshot */
  Palette palette;
  const char *language; /* static: what it is written in, apart from second cautions */
  char *date;           /* of checking */
  double width, height; /* mm, as turned */
  TitleData *title;
  Frame frame; /* borrows title */
  Flow *flow;
  guint pages;
  bool has_figure;
  double figure_scale; /* at least so large that its lowest letter can be read */
  Point figure_offset;
  Tiling *tiling;           /* a diagram on several pages: those after the first; NULL: none */
  char *scale_text;         /* "1:1", "84 %", "-" */
  GHashTable *descriptions; /* of devices, by group id */
  char *alternative;        /* the diagram in words */
  SheetOverlay overlay;
  bool shows_figure, embeds, quiet;
};

/* Whether the diagram, with letters as high as the paper's own, has room on one page by itself. */
bool sheet_figure_fits(const Document *document, const Frame *frame);

/* The contents of the sheet for the panel door. */
typedef struct {
  const Inspection *inspection;
  const Landings *landings;
  const char *second_language; /* cautions stand in it too; NULL: in one language only */
} DoorContents;
/* SheetContents.add; data: a DoorContents. */
void contents_add_door(Flow *flow, const Frame *frame, double column_width, guint *key,
                       bool *legend, gconstpointer data);

G_END_DECLS
