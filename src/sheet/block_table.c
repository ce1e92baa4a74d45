/* SPDX-License-Identifier: MIT */
/* A table block: columns as wide as their texts need, cells wrap, and where the columns cannot
 * stand side by side each row becomes a short list. */
#include "sheet/block.h"

#include <string.h>

#define CELL_SIDE 1.2 /* from a column's rule to its text, mm */
#define CELL_TOP 0.4  /* from a row's rule to its text's box, mm */
#define TALL_ROW 50.0 /* a row higher than this, mm, is better a list */
#define BLANK_LINE "________"
#define SMALL_TABLE 16 /* rows up to which a table is not split where it can be helped */

typedef struct {
  Block block;
  Table *table;
  double laid_width; /* width of the layout below; < 0: none */
  bool stacked;
  GArray *widths;          /* of double, one a column */
  GArray *heights;         /* of double, one a row */
  double *cells;           /* width of every cell's text on one line, row by row */
  double *least, *natural; /* of every column, rules to rules */
  double head;             /* height of the header row; 0 when stacked */
} TableBlock;

static TextStyle
cell_style(const TableBlock *self, const TableColumn *column, bool bold)
{
  return (TextStyle){.height = self->block.lettering.body,
                     .align = column != NULL && column->numeric ? TEXT_END : TEXT_START,
                     .ink = INK_LINE,
                     .bold = bold};
}

static const TableColumn *
column_of(const TableBlock *self, guint i)
{
  return &g_array_index(self->table->columns, TableColumn, i);
}

/* Width of the longest word: what wrapping at spaces cannot go below. */
static double
longest_word(const char *text, const TextStyle *style)
{
  g_autofree char *held = block_hold_units(text);
  g_auto(GStrv) words = g_strsplit_set(held, " \n", -1);
  double widest = 0;

  for (guint i = 0; words[i] != NULL; i++)
    if (words[i][0] != '\0')
      widest = MAX(widest, pen_text_width(words[i], style));
  return widest;
}

/* The narrowest and the natural width of a column, measured once. */
static void
measure_column(TableBlock *self, guint i)
{
  const guint n = self->table->columns->len;
  const TableColumn *column = column_of(self, i);
  const TextStyle head = cell_style(self, column, true);
  const TextStyle cell = cell_style(self, column, false);
  double least = MAX(longest_word(column->title, &head), column->blank);
  double natural = least;

  for (guint r = 0; r < self->table->rows->len; r++) {
    const char *text = table_cell(self->table, r, i);
    const double width = text[0] != '\0' ? pen_text_width(text, &cell) : 0;
    self->cells[r * n + i] = width;
    natural = MAX(natural, width);
    if (width > least) /* else none of its words can be wider */
      least = MAX(least, longest_word(text, &cell));
  }
  self->least[i] = least + 2 * CELL_SIDE + 0.05;
  self->natural[i] = natural + 2 * CELL_SIDE + 0.05;
}

/* Shares the width out; false when even the longest words do not fit. */
static bool
share_width(TableBlock *self, double width)
{
  const guint n = self->table->columns->len;
  const double *least = self->least, *natural = self->natural;
  double sum_least = 0, sum_natural = 0;

  for (guint i = 0; i < n; i++) {
    sum_least += least[i];
    sum_natural += natural[i];
  }
  if (sum_least > width)
    return false;
  g_array_set_size(self->widths, 0);
  for (guint i = 0; i < n; i++) {
    double share;
    if (sum_natural <= width)
      share = natural[i] * width / sum_natural;
    else
      share = least[i] + (natural[i] - least[i]) * (width - sum_least) / (sum_natural - sum_least);
    g_array_append_val(self->widths, share);
  }
  return true;
}

static double
row_height(const TableBlock *self, guint row)
{
  const guint n = self->table->columns->len;
  double height = LINE_SPACING * self->block.lettering.body;

  for (guint i = 0; i < n; i++) {
    const TextStyle style = cell_style(self, column_of(self, i), false);
    const double inner = g_array_index(self->widths, double, i) - 2 * CELL_SIDE;
    if (self->cells[row * n + i] > inner)
      height = MAX(height, block_text_height(inner, table_cell(self->table, row, i), &style));
  }
  return MAX(height + 2 * CELL_TOP, self->table->row_height);
}

/* The row as "Column: text; Column: text", without its first cell. New string. */
static char *
stacked_text(const TableBlock *self, guint row)
{
  GString *text = g_string_new(NULL);

  for (guint i = 1; i < self->table->columns->len; i++) {
    const TableColumn *column = column_of(self, i);
    const char *cell = table_cell(self->table, row, i);
    if (cell[0] == '\0' && column->blank <= 0)
      continue;
    g_string_append_printf(text, "%s%s: %s", text->len > 0 ? "; " : "", column->title,
                           cell[0] != '\0' ? cell : BLANK_LINE);
  }
  return g_string_free(text, FALSE);
}

static double
stacked_height(const TableBlock *self, guint row, double width)
{
  const TextStyle head = cell_style(self, NULL, true);
  const TextStyle body = cell_style(self, NULL, false);
  g_autofree char *text = stacked_text(self, row);
  const double inner = width - 2 * CELL_SIDE;

  return block_text_height(inner, table_cell(self->table, row, 0), &head) +
         (text[0] != '\0' ? block_text_height(inner, text, &body) : 0) + 2 * CELL_TOP;
}

static void
add_heights(TableBlock *self, double width)
{
  g_array_set_size(self->heights, 0);
  for (guint r = 0; r < self->table->rows->len; r++) {
    const double height = self->stacked ? stacked_height(self, r, width) : row_height(self, r);
    g_array_append_val(self->heights, height);
  }
}

static double
tallest_row(const TableBlock *self)
{
  double tallest = 0;

  for (guint r = 0; r < self->heights->len; r++)
    tallest = MAX(tallest, g_array_index(self->heights, double, r));
  return tallest;
}

static void
lay_out(TableBlock *self, double width)
{
  if (self->laid_width >= 0 && ABS(self->laid_width - width) < 1e-9)
    return;
  self->laid_width = width;
  self->stacked = !share_width(self, width);
  self->head = 0;
  for (guint i = 0; !self->stacked && i < self->table->columns->len; i++) {
    const TextStyle style = cell_style(self, NULL, true);
    const double inner = g_array_index(self->widths, double, i) - 2 * CELL_SIDE;
    self->head =
        MAX(self->head, block_text_height(inner, column_of(self, i)->title, &style) + 2 * CELL_TOP);
  }
  add_heights(self, width);
  if (!self->stacked && tallest_row(self) > TALL_ROW) { /* sentences in too narrow a column */
    self->stacked = true;
    self->head = 0;
    add_heights(self, width);
  }
}

static guint
table_count(Block *block, double width)
{
  (void)width;
  return ((TableBlock *)block)->table->rows->len;
}

static double
note_height(const TableBlock *self, double width)
{
  const TextStyle style = cell_style(self, NULL, false);
  return self->table->note == NULL ? 0 : block_text_height(width, self->table->note, &style) + 0.5;
}

static double
table_head_height(Block *block, double width)
{
  TableBlock *self = (TableBlock *)block;

  lay_out(self, width);
  return block_title_height(self->table->title, width, &block->lettering) +
         note_height(self, width) + self->head;
}

static double
table_slice_height(Block *block, guint slice, double width)
{
  TableBlock *self = (TableBlock *)block;

  lay_out(self, width);
  return g_array_index(self->heights, double, slice);
}

static double
table_tail_height(Block *block)
{
  (void)block;
  return 0;
}

static void
draw_rules(const TableBlock *self, Point at, double width, double height, Pen *pen)
{
  const PenStyle side = {.width = PEN_NORMAL, .ink = INK_LINE};
  const PenStyle thin = {.width = PEN_THIN, .ink = INK_LINE};
  double x = at.x;

  pen_line(pen, at, (Point){at.x, at.y + height}, &side);
  pen_line(pen, (Point){at.x + width, at.y}, (Point){at.x + width, at.y + height}, &side);
  for (guint i = 0; !self->stacked && i + 1 < self->widths->len; i++) {
    x += g_array_index(self->widths, double, i);
    pen_line(pen, (Point){x, at.y}, (Point){x, at.y + height}, &thin);
  }
}

static void
draw_cells(const TableBlock *self, Point at, char *const *cells, bool bold, Pen *pen)
{
  for (guint i = 0; i < self->table->columns->len; i++) {
    const TableColumn *column = column_of(self, i);
    const double width = g_array_index(self->widths, double, i);
    const TextStyle style = cell_style(self, column, bold);
    const char *text = cells != NULL ? cells[i] : column->title;
    if (text[0] != '\0')
      block_text(pen, (Point){at.x + CELL_SIDE, at.y + CELL_TOP}, width - 2 * CELL_SIDE, text,
                 &style);
    at.x += width;
  }
}

static void
table_draw_head(Block *block, Point at, double width, bool continued, Pen *pen)
{
  TableBlock *self = (TableBlock *)block;
  const PenStyle rule = {.width = PEN_NORMAL, .ink = INK_LINE};
  const TextStyle style = cell_style(self, NULL, false);

  lay_out(self, width);
  block_draw_title(self->table->title, continued, at, width, false, &block->lettering, pen);
  at.y += block_title_height(self->table->title, width, &block->lettering);
  if (self->table->note != NULL) {
    block_text(pen, at, width, self->table->note, &style);
    at.y += note_height(self, width);
  }
  pen_line(pen, at, (Point){at.x + width, at.y}, &rule);
  if (self->stacked)
    return;
  draw_rules(self, at, width, self->head, pen);
  draw_cells(self, at, NULL, true, pen);
  at.y += self->head;
  pen_line(pen, at, (Point){at.x + width, at.y}, &rule);
}

static void
draw_stacked(const TableBlock *self, guint row, Point at, double width, Pen *pen)
{
  const TextStyle head = cell_style(self, NULL, true);
  const TextStyle body = cell_style(self, NULL, false);
  g_autofree char *text = stacked_text(self, row);
  Point top = {at.x + CELL_SIDE, at.y + CELL_TOP};

  top.y += block_text(pen, top, width - 2 * CELL_SIDE, table_cell(self->table, row, 0), &head);
  if (text[0] != '\0')
    block_text(pen, top, width - 2 * CELL_SIDE, text, &body);
}

static void
table_draw_slice(Block *block, guint slice, Point at, double width, Pen *pen)
{
  TableBlock *self = (TableBlock *)block;
  const PenStyle thin = {.width = PEN_THIN, .ink = INK_LINE};
  const double height = table_slice_height(block, slice, width);

  draw_rules(self, at, width, height, pen);
  if (self->stacked)
    draw_stacked(self, slice, at, width, pen);
  else
    draw_cells(self, at, self->table->rows->pdata[slice], false, pen);
  pen_line(pen, (Point){at.x, at.y + height}, (Point){at.x + width, at.y + height}, &thin);
}

static void
table_draw_tail(Block *block, Point at, double width, Pen *pen)
{
  const PenStyle rule = {.width = PEN_NORMAL, .ink = INK_LINE};

  (void)block;
  pen_line(pen, at, (Point){at.x + width, at.y}, &rule);
}

static void
table_block_free(Block *block)
{
  TableBlock *self = (TableBlock *)block;

  table_free(self->table);
  g_array_unref(self->widths);
  g_array_unref(self->heights);
  g_free(self->cells);
  g_free(self->least);
  g_free(self->natural);
  g_free(self);
}

static const BlockClass table_class = {
    .count = table_count,
    .head_height = table_head_height,
    .slice_height = table_slice_height,
    .tail_height = table_tail_height,
    .draw_head = table_draw_head,
    .draw_slice = table_draw_slice,
    .draw_tail = table_draw_tail,
    .free = table_block_free,
};

Block *
block_table_new(Table *take_table, const Lettering *lettering)
{
  TableBlock *self = g_new0(TableBlock, 1);
  const guint n = take_table->columns->len, rows = take_table->rows->len;

  self->block =
      (Block){.class_ = &table_class, .lettering = *lettering, .whole = rows <= SMALL_TABLE};
  self->table = take_table;
  self->laid_width = -1;
  self->widths = g_array_new(FALSE, FALSE, sizeof(double));
  self->heights = g_array_new(FALSE, FALSE, sizeof(double));
  self->cells = g_new0(double, MAX(1, (gsize)n * rows));
  self->least = g_new0(double, n);
  self->natural = g_new0(double, n);
  for (guint i = 0; i < n; i++)
    measure_column(self, i);
  return &self->block;
}

double
block_table_least_width(Block *block)
{
  const TableBlock *self = (const TableBlock *)block;
  double sum = 0;

  for (guint i = 0; i < self->table->columns->len; i++)
    sum += self->least[i];
  return sum;
}
