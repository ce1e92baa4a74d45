/* SPDX-License-Identifier: MIT */
#include "parts/symbol.h"

const PenStyle symbol_stroke = {.width = PEN_NORMAL, .ink = INK_LINE};
const PenStyle symbol_thin = {.width = PEN_THIN, .ink = INK_LINE};
const PenStyle symbol_heavy = {.width = PEN_HEAVY, .ink = INK_LINE};
const PenStyle symbol_solid = {.ink = INK_LINE};
const PenStyle symbol_paper = {.ink = INK_PAPER};

void
symbol_plain(const Device *device, Pen *pen)
{
  Rect box = rect_empty();
  for (guint i = 0; i < device_terminal_count(device); i++)
    box = rect_include(box, device_terminal(device, i)->at);
  if (!rect_is_empty(box))
    pen_box(pen, box, &symbol_stroke, NULL);
}
