/* SPDX-License-Identifier: MIT */
/* Titles, wrapped text and numbered steps. */
#include "sheet/block.h"

#include "base/language.h"

#include <string.h>

/* The capitals stand in the middle of their line's pitch. */
#define FIRST_BASELINE ((LINE_SPACING + 1) / 2)
#define TITLE_RULE 1.2 /* from the title's box to the rule and on to what follows, mm */

char *
block_hold_units(const char *text)
{
  static const char *const units[] = {"V", "A",  "mV", "mA", "kV",  "kA", "VA", "kVA",
                                      "W", "Hz", "ft", "mm", "AWG", "%",  "m",  NULL};
  GString *held = g_string_new(NULL);

  for (const char *c = text; *c != '\0'; c++) {
    const gsize word = strcspn(c + 1, " ),.;:/\n");
    bool unit = *c == ' ' && c > text && g_ascii_isdigit(c[-1]);
    if (unit) {
      g_autofree char *next = g_strndup(c + 1, word);
      unit = g_strv_contains(units, next);
    }
    if (unit)
      g_string_append(held, "\u00a0");
    else
      g_string_append_c(held, *c);
  }
  return g_string_free(held, FALSE);
}

double
block_text_height(double width, const char *text, const TextStyle *style)
{
  g_autofree char *held = block_hold_units(text);
  return pen_text_block_height(width, held, style, LINE_SPACING);
}

double
block_text(Pen *pen, Point top, double width, const char *text, const TextStyle *style)
{
  Point baseline = {top.x, top.y + FIRST_BASELINE * style->height};
  g_autofree char *held = block_hold_units(text);

  if (style->align == TEXT_MIDDLE)
    baseline.x += width / 2;
  else if (style->align == TEXT_END)
    baseline.x += width;
  return pen_text_block(pen, baseline, width, held, style, LINE_SPACING);
}

static char *
title_text(const char *title, bool continued)
{
  return continued ? g_strdup_printf(_("%s, continued"), title) : g_strdup(title);
}

static TextStyle
title_style(const Lettering *lettering)
{
  return (TextStyle){.height = lettering->heading, .ink = INK_LINE, .bold = true};
}

/* The same with and without "continued", so that a block's height does not depend on its place. */
double
block_title_height(const char *title, double width, const Lettering *lettering)
{
  const TextStyle style = title_style(lettering);
  g_autofree char *longest = title_text(title, true);
  return block_text_height(width, longest, &style) + TITLE_RULE;
}

void
block_draw_title(const char *title, bool continued, Point top, double width, bool rule,
                 const Lettering *lettering, Pen *pen)
{
  const TextStyle style = title_style(lettering);
  const PenStyle heavy = {.width = PEN_HEAVY, .ink = INK_LINE};
  g_autofree char *text = title_text(title, continued);
  const double y = top.y + block_title_height(title, width, lettering) - TITLE_RULE;

  /* Room that is kept for "continued" stays above a title, not between it and its table. */
  top.y = y - block_text_height(width, text, &style);
  block_text(pen, top, width, text, &style);
  if (rule)
    pen_line(pen, (Point){top.x, y}, (Point){top.x + width, y}, &heavy);
}

/* ------------------------------------------------------------------------------------------- */

typedef struct {
  Block block;
  char *title;
  GPtrArray *texts;
} Steps;

#define STEP_GAP 0.5

static TextStyle
body_style(const Block *block)
{
  return (TextStyle){.height = block->lettering.body, .ink = INK_LINE};
}

/* Room for the number before a step: two digits and a point. */
static double
number_width(const Block *block)
{
  TextStyle style = body_style(block);
  style.bold = true;
  return pen_text_width("10.", &style) + 1.5;
}

static guint
steps_count(Block *block, double width)
{
  (void)width;
  return ((Steps *)block)->texts->len;
}

static double
steps_head_height(Block *block, double width)
{
  return block_title_height(((Steps *)block)->title, width, &block->lettering);
}

static double
steps_slice_height(Block *block, guint slice, double width)
{
  const TextStyle style = body_style(block);
  return block_text_height(width - number_width(block), ((Steps *)block)->texts->pdata[slice],
                           &style) +
         STEP_GAP;
}

static double
steps_tail_height(Block *block)
{
  (void)block;
  return 0;
}

static void
steps_draw_head(Block *block, Point at, double width, bool continued, Pen *pen)
{
  block_draw_title(((Steps *)block)->title, continued, at, width, true, &block->lettering, pen);
}

static void
steps_draw_slice(Block *block, guint slice, Point at, double width, Pen *pen)
{
  const double indent = number_width(block);
  const TextStyle style = body_style(block);
  TextStyle bold = style;
  g_autofree char *number = g_strdup_printf("%u.", slice + 1);

  bold.bold = true;
  block_text(pen, at, indent, number, &bold);
  block_text(pen, (Point){at.x + indent, at.y}, width - indent,
             ((Steps *)block)->texts->pdata[slice], &style);
}

static void
steps_draw_tail(Block *block, Point at, double width, Pen *pen)
{
  (void)block;
  (void)at;
  (void)width;
  (void)pen;
}

static void
steps_free(Block *block)
{
  Steps *steps = (Steps *)block;
  g_free(steps->title);
  g_ptr_array_unref(steps->texts);
  g_free(steps);
}

static const BlockClass steps_class = {
    .count = steps_count,
    .head_height = steps_head_height,
    .slice_height = steps_slice_height,
    .tail_height = steps_tail_height,
    .draw_head = steps_draw_head,
    .draw_slice = steps_draw_slice,
    .draw_tail = steps_draw_tail,
    .free = steps_free,
};

Block *
block_steps_new(const char *title, GPtrArray *take_texts, const Lettering *lettering)
{
  Steps *steps = g_new0(Steps, 1);

  steps->block = (Block){.class_ = &steps_class, .lettering = *lettering, .whole = true};
  steps->title = g_strdup(title);
  steps->texts = take_texts;
  return &steps->block;
}
