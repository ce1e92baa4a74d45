/* SPDX-License-Identifier: MIT */
#include "pen/pen_record.h"

#include "pen/pen_text.h"
#include <math.h>

typedef struct {
  Pen pen;
  GArray *items; /* of RecordItem */
  GArray *open;  /* of guint: indices of the groups being drawn */
  Rect bounds;
  guint page, pages;
} RecordPen;

static void
item_clear(gpointer data)
{
  RecordItem *item = data;
  g_clear_pointer(&item->points, g_array_unref);
  g_free(item->text);
}

static void
record_add(RecordPen *record, RecordItem item)
{
  item.page = record->page;
  item.depth = (int)record->open->len;
  record->bounds = rect_union(record->bounds, item.bounds);
  for (guint i = 0; i < record->open->len; i++) {
    guint group = g_array_index(record->open, guint, i);
    RecordItem *outer = &g_array_index(record->items, RecordItem, group);
    outer->bounds = rect_union(outer->bounds, item.bounds);
  }
  g_array_append_val(record->items, item);
}

static void
record_line(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *stroke,
            const PenStyle *fill)
{
  RecordItem item = {.kind = RECORD_LINE,
                     .bounds = rect_empty(),
                     .filled = fill != NULL,
                     .stroked = stroke != NULL,
                     .hides = fill != NULL && fill->ink == INK_PAPER};
  item.points = g_array_sized_new(FALSE, FALSE, sizeof(Point), n + 1);
  g_array_append_vals(item.points, points, n);
  if (closed)
    g_array_append_val(item.points, points[0]);
  for (guint i = 0; i < n; i++)
    item.bounds = rect_include(item.bounds, points[i]);
  record_add((RecordPen *)pen, item);
}

static Point
on_circle(Point centre, double radius, double degrees)
{
  double radians = degrees * G_PI / 180;
  return (Point){centre.x + radius * cos(radians), centre.y + radius * sin(radians)};
}

static void
record_arc(Pen *pen, Point centre, double radius, double from, double to, const PenStyle *stroke,
           const PenStyle *fill)
{
  RecordItem item = {.kind = RECORD_ARC,
                     .bounds = rect_empty(),
                     .filled = fill != NULL,
                     .stroked = stroke != NULL,
                     .hides = fill != NULL && fill->ink == INK_PAPER,
                     .centre = centre,
                     .radius = radius,
                     .from = from,
                     .to = to};
  item.bounds = rect_include(item.bounds, on_circle(centre, radius, from));
  item.bounds = rect_include(item.bounds, on_circle(centre, radius, to));
  for (double quarter = ceil(from / 90) * 90; quarter < to; quarter += 90)
    item.bounds = rect_include(item.bounds, on_circle(centre, radius, quarter));
  record_add((RecordPen *)pen, item);
}

static void
record_text(Pen *pen, Point at, const char *utf8, const TextStyle *style)
{
  double width = pen_text_layout_width(pen_text_layout(utf8, style));
  RecordItem item = {.kind = RECORD_TEXT,
                     .bounds = pen_text_box(at, width, style),
                     .text = g_strdup(utf8),
                     .height = style->height,
                     .turns = style->turns & 3};
  record_add((RecordPen *)pen, item);
}

static void
record_begin_group(Pen *pen, const char *id, const char *title, const char *description)
{
  (void)title;
  (void)description;
  RecordPen *record = (RecordPen *)pen;
  RecordItem item = {.kind = RECORD_GROUP, .bounds = rect_empty(), .text = g_strdup(id)};
  guint index = record->items->len;
  record_add(record, item);
  g_array_append_val(record->open, index);
}

static void
record_end_group(Pen *pen)
{
  RecordPen *record = (RecordPen *)pen;
  g_array_set_size(record->open, record->open->len - 1);
}

static void
record_begin_page(Pen *pen, double width_mm, double height_mm, const char *title)
{
  (void)width_mm;
  (void)height_mm;
  (void)title;
  RecordPen *record = (RecordPen *)pen;
  record->page = record->pages++;
}

static void
record_end_page(Pen *pen)
{
  (void)pen;
}

static void
record_free(Pen *pen)
{
  RecordPen *record = (RecordPen *)pen;
  g_array_unref(record->items);
  g_array_unref(record->open);
  g_free(record);
}

Pen *
pen_record_new(void)
{
  static const PenBackEnd back_end = {
      .line = record_line,
      .arc = record_arc,
      .text = record_text,
      .begin_group = record_begin_group,
      .end_group = record_end_group,
      .begin_page = record_begin_page,
      .end_page = record_end_page,
      .free = record_free,
  };
  RecordPen *record = g_new0(RecordPen, 1);
  pen_init(&record->pen, &back_end);
  record->items = g_array_new(FALSE, FALSE, sizeof(RecordItem));
  g_array_set_clear_func(record->items, item_clear);
  record->open = g_array_new(FALSE, FALSE, sizeof(guint));
  record->bounds = rect_empty();
  return &record->pen;
}

const GArray *
pen_record_items(const Pen *pen)
{
  return ((const RecordPen *)pen)->items;
}

Rect
pen_record_bounds(const Pen *pen)
{
  return ((const RecordPen *)pen)->bounds;
}

/* To a hundredth; minus zero is zero. */
static void
append_number(GString *out, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  double rounded = round(value * 100) / 100;
  if (!(rounded < 0) && !(rounded > 0))
    rounded = 0;
  g_string_append_c(out, ' ');
  g_string_append(out, g_ascii_formatd(text, sizeof text, "%.2f", rounded));
}

char *
pen_record_dump(const Pen *pen)
{
  static const char *const words[] = {"line", "arc", "text", "group"};
  const RecordPen *record = (const RecordPen *)pen;
  GString *out = g_string_new(NULL);
  for (guint i = 0; i < record->items->len; i++) {
    const RecordItem *item = &g_array_index(record->items, RecordItem, i);
    g_string_append_printf(out, "%u %*s%s%s", item->page, 2 * item->depth, "", words[item->kind],
                           item->filled ? " filled" : "");
    if (item->kind == RECORD_LINE) {
      for (guint p = 0; p < item->points->len; p++) {
        append_number(out, g_array_index(item->points, Point, p).x);
        append_number(out, g_array_index(item->points, Point, p).y);
      }
    } else if (!rect_is_empty(item->bounds)) {
      append_number(out, item->bounds.x);
      append_number(out, item->bounds.y);
      append_number(out, item->bounds.width);
      append_number(out, item->bounds.height);
    }
    if (item->text != NULL)
      g_string_append_printf(out, " \"%s\"", item->text);
    g_string_append_c(out, '\n');
  }
  return g_string_free(out, FALSE);
}
