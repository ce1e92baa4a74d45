/* SPDX-License-Identifier: MIT */
/* Border and title block of a page. */
#pragma once

#include "checks/check.h"
#include "sheet/flow.h"
#include "sheet/units.h"

G_BEGIN_DECLS

/* What the title block says; the same on every page but for page and scale. */
typedef struct {
  char *tag, *location, *model, *title, *number, *revision, *author, *date;
  char *checked;    /* "Checked on ... by Doorsheet ...; not an approval. ..." */
  char *counts;     /* findings */
  char *sheet_line; /* number and revision in one line, for a label */
} TitleData;
TitleData *title_data_new(const Inspection *inspection, const char *date);
void title_data_free(TitleData *data);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(TitleData, title_data_free)

typedef struct {
  double width, height; /* of the paper, mm */
  bool label;           /* label stock: narrow border, small title block */
  Lettering lettering;
  Units units;
  const TitleData *title; /* borrowed */
} Frame;

typedef struct {
  guint page, pages; /* page from 0 */
  const char *scale; /* "1:1", "none" */
} FramePage;

/* What the border leaves, above the title block. */
Rect frame_area(const Frame *frame);
/* The zone a point of the page lies in, "B3": letter down, number across. New string. */
char *frame_zone(const Frame *frame, Point at);
void frame_draw(const Frame *frame, const FramePage *page, Pen *pen);

G_END_DECLS
