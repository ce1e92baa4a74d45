/* SPDX-License-Identifier: MIT */
/* Private to the hand-outs: what student sheet and answer key lay out alike. */
#pragma once

#include "sheet/contents.h"
#include "sheet/table.h"

G_BEGIN_DECLS

typedef struct {
  Flow *flow;
  const Frame *frame;
  double column_width;
} Layout;

/* Takes the table, which may be NULL. In a column where it fits there and is not full of sentences,
 * else over the whole width. */
void layout_table(const Layout *layout, Table *table, bool sentences);

/* The title block of an exercise. key NULL: the student's. */
TitleData *layout_title(const SheetData *data, const char *key, const SheetOptions *options);

G_END_DECLS
