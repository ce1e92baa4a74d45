/* SPDX-License-Identifier: MIT */
/* The border with its zones (letters down, numbers across, as ISO 5457 lays them out) and a title
 * block of rows of cells. A cell's height follows its text, so nothing is cut off. */
#include "sheet/frame.h"

#include "base/language.h"

#include "sheet/block.h"
#include "sheet/facts.h"
#include <math.h>

#define EDGE 6.0       /* paper edge to the outer line */
#define BAND 5.0       /* outer line to the heavy inner line */
#define LABEL_EDGE 3.0 /* label stock: paper edge to its only line */
#define INSIDE 3.0     /* inner line to what is drawn */
#define ZONE_MM 50.0   /* about how long a zone is */
#define CELL_SIDE 1.5
#define CELL_TOP 0.6
#define MAX_CELLS 5

typedef struct {
  const char *caption;
  const char *value;
  double share; /* of the row's width */
  bool large;
} Cell;

typedef struct {
  Cell cells[MAX_CELLS];
  guint n;
} Row;

static char *
text_or_dash(const Value *value)
{
  return g_strdup(value->has_value && value->text != NULL && value->text[0] != '\0' ? value->text
                                                                                    : "-");
}

TitleData *
title_data_new(const Inspection *inspection, const char *date)
{
  const SheetData *sheet = document_sheet(inspection->document);
  TitleData *data = g_new0(TitleData, 1);
  g_autofree char *digest = facts_digest(inspection->document);

  data->tag = text_or_dash(&sheet->equipment[EQUIPMENT_TAG]);
  data->location = text_or_dash(&sheet->equipment[EQUIPMENT_LOCATION]);
  data->model = text_or_dash(&sheet->equipment[EQUIPMENT_MODEL]);
  data->title = text_or_dash(&sheet->values[SHEET_TITLE]);
  data->number = text_or_dash(&sheet->values[SHEET_NUMBER]);
  data->revision = text_or_dash(&sheet->values[SHEET_REVISION]);
  data->author = text_or_dash(&sheet->values[SHEET_AUTHOR]);
  g_autofree char *drawn = text_or_dash(&sheet->values[SHEET_DATE]);
  g_autofree char *checked = language_date(date);
  data->date = language_date(drawn);
  data->sheet_line = g_strdup_printf(_("Sheet %s, rev. %s"), data->number, data->revision);
  data->counts = facts_finding_counts(inspection);
  data->checked = g_strdup_printf(_("Checked on %s by Doorsheet %s; not an approval. Findings: %s. "
                                    "File digest %s."),
                                  checked, DOORSHEET_VERSION, data->counts, digest);
  return data;
}

void
title_data_free(TitleData *data)
{
  if (data == NULL)
    return;
  g_free(data->tag);
  g_free(data->location);
  g_free(data->model);
  g_free(data->title);
  g_free(data->number);
  g_free(data->revision);
  g_free(data->author);
  g_free(data->date);
  g_free(data->checked);
  g_free(data->sheet_line);
  g_free(data->counts);
  g_free(data);
}

static Rect
inner_box(const Frame *frame)
{
  const double margin = frame->label ? LABEL_EDGE : EDGE + BAND;
  return (Rect){margin, margin, frame->width - 2 * margin, frame->height - 2 * margin};
}

/* Rows of the title block; page_text and scale go into the cells. Returns how many. */
static guint
title_rows(const Frame *frame, const char *page_text, const char *scale, Row rows[6])
{
  const TitleData *t = frame->title;
  const bool narrow = inner_box(frame).width < 150;
  guint n = 0;

  if (frame->label) { /* the rest stands in a table of the label's own */
    rows[n++] = (Row){{{NULL, t->tag, 1, true}}, 1};
    rows[n++] = (Row){{{NULL, t->sheet_line, 3, false}, {NULL, page_text, 2, false}}, 2};
    return n;
  }
  if (narrow) {
    rows[n++] =
        (Row){{{_("Equipment"), t->tag, 1, true}, {_("Location"), t->location, 1, false}}, 2};
    rows[n++] = (Row){{{_("Drawing"), t->title, 1, true}}, 1};
    rows[n++] = (Row){{{_("Sheet"), t->number, 3, false},
                       {_("Rev."), t->revision, 2, false},
                       {_("Page"), page_text, 2, false}},
                      3};
    rows[n++] = (Row){{{_("Drawn by"), t->author, 1, false}, {_("Date"), t->date, 1, false}}, 2};
  } else {
    rows[n++] = (Row){{{_("Equipment"), t->tag, 2.2, true},
                       {_("Drawing"), t->title, 5, true},
                       {_("Sheet"), t->number, 2, true},
                       {_("Revision"), t->revision, 1.4, true}},
                      4};
    rows[n++] = (Row){{{_("Location"), t->location, 3.6, false},
                       {_("Drawn by"), t->author, 2.6, false},
                       {_("Date"), t->date, 1.8, false},
                       {_("Scale"), scale, 1.2, false},
                       {_("Page"), page_text, 1.4, false}},
                      5};
  }
  rows[n++] = (Row){{{NULL, t->checked, 1, false}}, 1};
  return n;
}

static TextStyle
caption_style(const Frame *frame)
{
  return (TextStyle){.height = frame->lettering.body, .ink = INK_FAINT};
}

static TextStyle
value_style(const Frame *frame, const Cell *cell)
{
  return (TextStyle){.height = cell->large ? frame->lettering.heading : frame->lettering.body,
                     .ink = INK_LINE,
                     .bold = cell->large};
}

static double
cell_height(const Frame *frame, const Cell *cell, double width)
{
  const TextStyle caption = caption_style(frame), value = value_style(frame, cell);
  double height = 2 * CELL_TOP;

  if (cell->caption != NULL)
    height += block_text_height(width - 2 * CELL_SIDE, cell->caption, &caption);
  return height + block_text_height(width - 2 * CELL_SIDE, cell->value, &value);
}

static double
share_sum(const Row *row)
{
  double sum = 0;
  for (guint i = 0; i < row->n; i++)
    sum += row->cells[i].share;
  return sum;
}

static double
row_height(const Frame *frame, const Row *row, double width)
{
  const double sum = share_sum(row);
  double height = 0;

  for (guint i = 0; i < row->n; i++)
    height = MAX(height, cell_height(frame, &row->cells[i], width * row->cells[i].share / sum));
  return height;
}

static double
title_height(const Frame *frame)
{
  Row rows[6];
  const guint n = title_rows(frame, frame->label ? _("Page 00 of 00") : _("00 of 00"), "1:1", rows);
  double height = 0;

  for (guint i = 0; i < n; i++)
    height += row_height(frame, &rows[i], inner_box(frame).width);
  return height;
}

Rect
frame_area(const Frame *frame)
{
  Rect area = inner_box(frame);
  const double inside = frame->label ? 2.0 : INSIDE;

  area.height -= title_height(frame);
  return (Rect){area.x + inside, area.y + inside, area.width - 2 * inside,
                area.height - 2 * inside};
}

static void
draw_row(const Frame *frame, const Row *row, Point at, double width, double height, Pen *pen)
{
  const PenStyle line = {.width = PEN_NORMAL, .ink = INK_LINE};
  const double sum = share_sum(row);

  pen_line(pen, at, (Point){at.x + width, at.y}, &line);
  for (guint i = 0; i < row->n; i++) {
    const Cell *cell = &row->cells[i];
    const double cell_width = width * cell->share / sum;
    const TextStyle caption = caption_style(frame), value = value_style(frame, cell);
    Point top = {at.x + CELL_SIDE, at.y + CELL_TOP};

    if (i > 0)
      pen_line(pen, at, (Point){at.x, at.y + height}, &line);
    if (cell->caption != NULL)
      top.y += block_text(pen, top, cell_width - 2 * CELL_SIDE, cell->caption, &caption);
    block_text(pen, top, cell_width - 2 * CELL_SIDE, cell->value, &value);
    at.x += cell_width;
  }
}

static void
draw_title_block(const Frame *frame, const FramePage *page, Pen *pen)
{
  const Rect inner = inner_box(frame);
  g_autofree char *page_text = g_strdup_printf(frame->label ? _("Page %u of %u") : _("%u of %u"),
                                               page->page + 1, page->pages);
  Row rows[6];
  const guint n = title_rows(frame, page_text, page->scale, rows);
  Point at = {inner.x, inner.y + inner.height - title_height(frame)};

  for (guint i = 0; i < n; i++) {
    const double height = row_height(frame, &rows[i], inner.width);
    draw_row(frame, &rows[i], at, inner.width, height, pen);
    at.y += height;
  }
}

static guint
zone_count(double length)
{
  return 2 * (guint)MAX(1, lround(length / ZONE_MM / 2));
}

char *
frame_zone(const Frame *frame, Point at)
{
  const Rect inner = inner_box(frame);
  const double across = CLAMP((at.x - inner.x) / inner.width, 0, 0.9999);
  const double down = CLAMP((at.y - inner.y) / inner.height, 0, 0.9999);

  return g_strdup_printf("%c%u", (char)('A' + (int)(down * zone_count(inner.height))),
                         1 + (guint)(across * zone_count(inner.width)));
}

/* Marks one side of the border: ticks between zones and their names in the middle. */
static void
draw_zones(const Frame *frame, bool across, Pen *pen)
{
  const PenStyle thin = {.width = PEN_THIN, .ink = INK_LINE};
  const TextStyle style = {.height = frame->lettering.body, .align = TEXT_MIDDLE, .ink = INK_LINE};
  const Rect inner = inner_box(frame);
  const double length = across ? inner.width : inner.height;
  const guint zones = zone_count(length);
  const double half = frame->lettering.body / 2;

  for (guint i = 0; i < zones; i++) {
    const double middle = length * (i + 0.5) / zones, end = length * (i + 1) / zones;
    char name[8];
    if (across)
      g_snprintf(name, sizeof name, "%u", i + 1);
    else
      g_snprintf(name, sizeof name, "%c", (char)('A' + (int)i));
    for (int side = 0; side < 2; side++) {
      const double near = side == 0 ? EDGE : (across ? frame->height : frame->width) - EDGE - BAND;
      const double centre = near + BAND / 2;
      if (across)
        pen_text(pen, (Point){inner.x + middle, centre + half}, name, &style);
      else
        pen_text(pen, (Point){centre, inner.y + middle + half}, name, &style);
      if (i + 1 == zones)
        continue;
      if (across)
        pen_line(pen, (Point){inner.x + end, near}, (Point){inner.x + end, near + BAND}, &thin);
      else
        pen_line(pen, (Point){near, inner.y + end}, (Point){near + BAND, inner.y + end}, &thin);
    }
  }
}

void
frame_draw(const Frame *frame, const FramePage *page, Pen *pen)
{
  const PenStyle heavy = {.width = 0.7, .ink = INK_LINE};
  const PenStyle thin = {.width = PEN_THIN, .ink = INK_LINE};
  const Rect inner = inner_box(frame);

  if (!frame->label) {
    pen_box(pen, (Rect){EDGE, EDGE, frame->width - 2 * EDGE, frame->height - 2 * EDGE}, &thin,
            NULL);
    draw_zones(frame, true, pen);
    draw_zones(frame, false, pen);
  }
  pen_box(pen, inner, &heavy, NULL);
  draw_title_block(frame, page, pen);
}
