/* SPDX-License-Identifier: MIT */
/* Signal-word panels as ANSI Z535.4 describes them: the word on its colour, with the safety alert
 * symbol before DANGER, WARNING and CAUTION but not before NOTICE, whose letters lean. Word and
 * symbol carry the meaning where there is no colour. */
#include "sheet/block.h"

#include "base/language.h"

#define PANEL_SIDE 2.0
#define PANEL_GAP 0.6

typedef struct {
  Block block;
  Caution *caution;
} Panel;

static const struct {
  Ink band, letters;
  bool alert; /* safety alert symbol */
} looks[] = {
    [SIGNAL_DANGER] = {INK_DANGER, INK_ON_SIGNAL_DARK, true},
    [SIGNAL_WARNING] = {INK_WARNING, INK_ON_SIGNAL_LIGHT, true},
    [SIGNAL_CAUTION] = {INK_CAUTION, INK_ON_SIGNAL_LIGHT, true},
    [SIGNAL_NOTICE] = {INK_NOTICE, INK_ON_SIGNAL_DARK, false},
};

static double
band_height(const Block *block)
{
  return block->lettering.heading * (block->lettering.tight ? 1.5 : 2);
}

static TextStyle
headline_style(const Block *block)
{
  return (TextStyle){.height = block->lettering.body, .ink = INK_LINE, .bold = true};
}

static TextStyle
paragraph_style(const Block *block)
{
  return (TextStyle){.height = block->lettering.body, .ink = INK_LINE};
}

/* Slice 0 is the headline with the first paragraph, the others one paragraph each. */
static guint
panel_count(Block *block, double width)
{
  (void)width;
  return MAX(1, ((Panel *)block)->caution->paragraphs->len);
}

static double
panel_head_height(Block *block, double width)
{
  (void)width;
  return band_height(block) + PANEL_GAP;
}

static double
panel_slice_height(Block *block, guint slice, double width)
{
  const Caution *caution = ((Panel *)block)->caution;
  const TextStyle headline = headline_style(block), paragraph = paragraph_style(block);
  double height = 0;

  if (slice == 0)
    height += block_text_height(width - 2 * PANEL_SIDE, caution->headline, &headline);
  if (slice < caution->paragraphs->len)
    height +=
        block_text_height(width - 2 * PANEL_SIDE, caution->paragraphs->pdata[slice], &paragraph);
  return height + PANEL_GAP;
}

static double
panel_tail_height(Block *block)
{
  (void)block;
  return PANEL_GAP;
}

/* A triangle with an exclamation mark, `size` high, its foot's left corner at `foot`. */
static void
draw_alert(Point foot, double size, Ink triangle, Ink mark, Pen *pen)
{
  const double width = size * 1.1;
  const double middle = foot.x + width / 2;
  const Point corners[] = {{foot.x, foot.y}, {foot.x + width, foot.y}, {middle, foot.y - size}};
  const Point bar[] = {{middle - size * 0.085, foot.y - size * 0.68},
                       {middle + size * 0.085, foot.y - size * 0.68},
                       {middle + size * 0.05, foot.y - size * 0.28},
                       {middle - size * 0.05, foot.y - size * 0.28}};
  const PenStyle fill = {.ink = triangle};
  const PenStyle mark_fill = {.ink = mark};

  pen_polygon(pen, corners, G_N_ELEMENTS(corners), NULL, &fill);
  pen_polygon(pen, bar, G_N_ELEMENTS(bar), NULL, &mark_fill);
  pen_circle(pen, (Point){middle, foot.y - size * 0.15}, size * 0.075, NULL, &mark_fill);
}

static void
panel_draw_head(Block *block, Point at, double width, bool continued, Pen *pen)
{
  const Caution *caution = ((Panel *)block)->caution;
  const Signal signal = caution->signal;
  const double height = band_height(block);
  const double letter = block->lettering.heading;
  const TextStyle style = {.height = letter,
                           .ink = looks[signal].letters,
                           .bold = true,
                           .italic = signal == SIGNAL_NOTICE};
  const PenStyle border = {.width = PEN_NORMAL, .ink = INK_LINE};
  const PenStyle side = {.width = PEN_NORMAL, .ink = INK_LINE};
  const PenStyle fill = {.ink = looks[signal].band};
  const char *before = language_choose(caution->language);
  g_autofree char *word = continued ? g_strdup_printf(_("%s (continued)"), signal_word(signal))
                                    : g_strdup(signal_word(signal));

  language_choose(before);
  double x = at.x + PANEL_SIDE;

  pen_box(pen, (Rect){at.x, at.y, width, height}, &border, &fill);
  if (looks[signal].alert) {
    draw_alert((Point){x, at.y + height * 0.85}, height * 0.72, looks[signal].letters,
               looks[signal].band, pen);
    x += height * 0.72 * 1.1 + 1.5;
  }
  pen_text(pen, (Point){x, at.y + (height + letter) / 2}, word, &style);
  pen_line(pen, (Point){at.x, at.y + height}, (Point){at.x, at.y + height + PANEL_GAP}, &side);
  pen_line(pen, (Point){at.x + width, at.y + height},
           (Point){at.x + width, at.y + height + PANEL_GAP}, &side);
}

static void
panel_draw_slice(Block *block, guint slice, Point at, double width, Pen *pen)
{
  const Caution *caution = ((Panel *)block)->caution;
  const TextStyle headline = headline_style(block), paragraph = paragraph_style(block);
  const PenStyle side = {.width = PEN_NORMAL, .ink = INK_LINE};
  const double height = panel_slice_height(block, slice, width);
  const double inner = width - 2 * PANEL_SIDE;
  Point top = {at.x + PANEL_SIDE, at.y};

  pen_line(pen, at, (Point){at.x, at.y + height}, &side);
  pen_line(pen, (Point){at.x + width, at.y}, (Point){at.x + width, at.y + height}, &side);
  if (slice == 0)
    top.y += block_text(pen, top, inner, caution->headline, &headline);
  if (slice < caution->paragraphs->len)
    block_text(pen, top, inner, caution->paragraphs->pdata[slice], &paragraph);
}

static void
panel_draw_tail(Block *block, Point at, double width, Pen *pen)
{
  const PenStyle side = {.width = PEN_NORMAL, .ink = INK_LINE};
  const Point corners[] = {{at.x, at.y},
                           {at.x, at.y + PANEL_GAP},
                           {at.x + width, at.y + PANEL_GAP},
                           {at.x + width, at.y}};

  (void)block;
  pen_polyline(pen, corners, G_N_ELEMENTS(corners), &side);
}

static void
panel_free(Block *block)
{
  caution_free(((Panel *)block)->caution);
  g_free(block);
}

static const BlockClass panel_class = {
    .count = panel_count,
    .head_height = panel_head_height,
    .slice_height = panel_slice_height,
    .tail_height = panel_tail_height,
    .draw_head = panel_draw_head,
    .draw_slice = panel_draw_slice,
    .draw_tail = panel_draw_tail,
    .free = panel_free,
};

Block *
block_panel_new(Caution *take_caution, const Lettering *lettering)
{
  Panel *panel = g_new0(Panel, 1);

  panel->block = (Block){.class_ = &panel_class, .lettering = *lettering, .whole = true};
  panel->caution = take_caution;
  return &panel->block;
}
