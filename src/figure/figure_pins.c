/* SPDX-License-Identifier: MIT */
/* Test points of the sheet: a tag with the number at each of the two points, black on the one for
 * the red probe, framed on the other. The ground needs none. Tags come last and make way for
 * everything else; nothing makes way for them, so that pinning a reading moves nothing. */
#include "figure/figure_draw.h"

#include "base/language.h"

#include "pen/pen_text.h"

#define TAG_LETTER_MM PEN_LETTER_MM
#define TAG_HEIGHT_MM FIGURE_TAG_MM
#define COST_OVER_LETTERS 5000
#define COST_OVER_LINE 1500
#define COST_OVER_TAG 20000

typedef struct {
  Point at; /* the terminal */
  Rect box;
  const char *text;
  bool red;
} Tag;

static gint64
cost_of(const FigureIndex *index, Rect box, gint64 each)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  gint64 cost = 0;
  figure_index_query(index, box, near);
  for (guint i = 0; i < near->len; i++)
    if (rect_intersects(g_array_index(near, FigureNear, i).box, box))
      cost += each;
  return cost;
}

gint64
figure_cost_of_place(const FigureCache *cache, Rect box)
{
  return cost_of(cache->labels, rect_grow(box, 0.2), COST_OVER_LETTERS) +
         cost_of(cache->lines, rect_grow(box, 0.3), COST_OVER_LINE) +
         cost_of(cache->boxes, rect_grow(box, -ROUTE_CLEARANCE / 2), COST_OVER_LETTERS);
}

static gint64
cost_of_place(const FigureCache *cache, const GArray *tags, Rect box)
{
  gint64 cost = figure_cost_of_place(cache, box);
  for (guint i = 0; i < tags->len; i++)
    if (rect_intersects(g_array_index(tags, Tag, i).box, rect_grow(box, 0.3)))
      cost += COST_OVER_TAG;
  return cost;
}

/* Where the thin line from a terminal reaches its tag. */
static Point
lead_end(Point at, Rect box)
{
  return (Point){CLAMP(at.x, box.x, box.x + box.width), CLAMP(at.y, box.y, box.y + box.height)};
}

/* It runs through no letters either. */
static gint64
cost_of_lead(const FigureCache *cache, Point at, Rect box)
{
  const Point end = lead_end(at, box);
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  gint64 cost = 0;
  figure_index_query(cache->labels, rect_include((Rect){at.x, at.y, 0, 0}, end), near);
  for (guint i = 0; i < near->len; i++)
    if (rect_cuts_segment(g_array_index(near, FigureNear, i).box, at, end))
      cost += COST_OVER_LETTERS;
  return cost;
}

/* Aslant first: straight out lie the conductors. */
static Rect
find_place(const FigureCache *cache, const GArray *tags, Point at, double width)
{
  static const Point ways[] = {{1, -1}, {-1, -1}, {1, 1}, {-1, 1},
                               {0, -1}, {0, 1},   {1, 0}, {-1, 0}};
  Rect best = rect_empty();
  gint64 least = G_MAXINT64;
  for (int far = 0; far < 9; far++)
    for (guint w = 0; w < G_N_ELEMENTS(ways); w++) {
      double away = 1.4 + 1.8 * far;
      Point middle = {at.x + ways[w].x * (width / 2 + away),
                      at.y + ways[w].y * (TAG_HEIGHT_MM / 2 + away)};
      Rect box = {middle.x - width / 2, middle.y - TAG_HEIGHT_MM / 2, width, TAG_HEIGHT_MM};
      gint64 cost = cost_of_place(cache, tags, box) + cost_of_lead(cache, at, box) + far * 100 +
                    (gint64)w * 8;
      if (cost < least) {
        least = cost;
        best = box;
      }
    }
  return best;
}

static void
add_tag(const Document *document, const FigureCache *cache, const Landing *landing,
        const char *text, bool red, GArray *tags)
{
  const Device *device;
  guint terminal;
  if (landing->device == NULL || !document_resolve(document, landing, &device, &terminal))
    return;
  TextStyle style = {.height = TAG_LETTER_MM, .bold = true};
  Tag tag = {.at = device_terminal_point(device, terminal), .text = text, .red = red};
  tag.box = find_place(cache, tags, tag.at, pen_text_width(text, &style) + 1.6);
  g_array_append_val(tags, tag);
}

void
figure_draw_tag(Pen *pen, Rect box, const char *text, bool red)
{
  static const PenStyle edge = {.width = PEN_NORMAL, .ink = INK_LINE};
  TextStyle style = {.height = TAG_LETTER_MM,
                     .align = TEXT_MIDDLE,
                     .bold = true,
                     .ink = red ? INK_PAPER : INK_LINE};
  pen_box(pen, box, &edge, &(PenStyle){.ink = red ? INK_LINE : INK_PAPER});
  figure_draw_line_of_text(pen, box, text, &style);
}

static void
draw_tag(Pen *pen, const Tag *tag)
{
  static const PenStyle lead = {.width = PEN_THIN, .ink = INK_LINE};
  pen_line(pen, tag->at, lead_end(tag->at, tag->box), &lead);
  figure_draw_tag(pen, tag->box, tag->text, tag->red);
}

/* The place of a tag must not hang on the part that is drawn: all are placed, then some drawn. */
static bool
touches(const Measured *measured, GHashTable *device_ids)
{
  return (measured->a.device != NULL && g_hash_table_contains(device_ids, measured->a.device)) ||
         (measured->b.device != NULL && g_hash_table_contains(device_ids, measured->b.device));
}

/* device_ids NULL: all points. */
static void
draw(Pen *pen, const Document *document, const FigureCache *cache, const Rect *window,
     GHashTable *device_ids, bool moving)
{
  g_autoptr(GArray) tags = g_array_new(FALSE, FALSE, sizeof(Tag));
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    const char *point = measured_point(measured);
    guint first = tags->len;
    if (point == NULL)
      continue;
    add_tag(document, cache, &measured->a, point, true, tags);
    add_tag(document, cache, &measured->b, point, false, tags);
    Rect both = rect_empty();
    for (guint t = first; t < tags->len; t++)
      both = rect_union(both, g_array_index(tags, Tag, t).box);
    if (device_ids != NULL && touches(measured, device_ids) != moving)
      continue;
    if (tags->len == first || (window != NULL && !rect_intersects(both, *window)))
      continue;
    g_autofree char *id = g_strdup_printf("point-%s", point);
    g_autofree char *title = g_strdup_printf(_("%s: test point"), point);
    pen_begin_group(pen, id, title, NULL);
    for (guint t = first; t < tags->len; t++)
      draw_tag(pen, &g_array_index(tags, Tag, t));
    pen_end_group(pen);
  }
}

void
figure_draw_points(Pen *pen, const Document *document, const FigureStyle *style, const Rect *window)
{
  if (style->labels && document_measured_count(document) > 0)
    draw(pen, document, style->cache != NULL ? style->cache : figure_cache_of_thread(document),
         window, NULL, false);
}

void
figure_draw_points_of(Pen *pen, const Document *document, const FigureStyle *style,
                      const Rect *window, GHashTable *device_ids, bool moving)
{
  if (style->labels && document_measured_count(document) > 0)
    draw(pen, document, style->cache != NULL ? style->cache : figure_cache_of_thread(document),
         window, device_ids, moving);
}
