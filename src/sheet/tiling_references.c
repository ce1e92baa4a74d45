/* SPDX-License-Identifier: MIT */
/* What stands at the cuts of a diagram on several pages. */
#include "sheet/tiling_private.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

/* --- references ------------------------------------------------------------------------------ */

static Point
on_page(const Tiling *tiling, guint part, Point at)
{
  const Point offset = tiling_offset(tiling, part);
  return (Point){offset.x + tiling->scale * at.x, offset.y + tiling->scale * at.y};
}

static char *
reference_text(const Tiling *tiling, const Reference *reference, const Frame *frame,
               guint first_page)
{
  g_autofree char *zone = frame_zone(frame, on_page(tiling, reference->other, reference->at));
  return g_strdup_printf(_("%s to %u/%s"), reference->name, first_page + reference->other, zone);
}

static gint
compare_along(gconstpointer a, gconstpointer b)
{
  const Reference *x = *(const Reference *const *)a, *y = *(const Reference *const *)b;
  const double p = x->side & 1 ? x->at.x : x->at.y, q = y->side & 1 ? y->at.x : y->at.y;
  if (p < q || p > q)
    return p < q ? -1 : 1;
  return strcmp(x->name, y->name);
}

/* Conductors that share their way across a cut share one reference. */
static bool
same_reference(const Reference *a, const Reference *b)
{
  return point_equal(a->at, b->at) && a->other == b->other && strcmp(a->name, b->name) == 0;
}

/* Of Reference *, borrowed: those at one side of a part, in order along it; each once. */
static GPtrArray *
at_side(const Tiling *tiling, guint part, int side)
{
  GPtrArray *found = g_ptr_array_new();

  for (guint i = 0; i < tiling->references->len; i++) {
    Reference *reference = &g_array_index(tiling->references, Reference, i);
    if (reference->part == part && reference->side == side)
      g_ptr_array_add(found, reference);
  }
  g_ptr_array_sort(found, compare_along);
  for (guint i = found->len; i-- > 1;)
    if (same_reference(found->pdata[i - 1], found->pdata[i]))
      g_ptr_array_remove_index(found, i);
  return found;
}

/* Places along the side, at least a line apart, each as near to its conductor as that permits. */
static double *
spread(const Tiling *tiling, guint part, const GPtrArray *references, double pitch, double low,
       double high)
{
  double *places = g_new(double, MAX(references->len, 1));

  for (guint i = 0; i < references->len; i++) {
    const Reference *reference = references->pdata[i];
    const Point at = on_page(tiling, part, reference->at);
    places[i] = MAX(reference->side & 1 ? at.x : at.y, low);
    if (i > 0)
      places[i] = MAX(places[i], places[i - 1] + pitch);
  }
  for (guint i = references->len; i-- > 0;) {
    const double limit = i + 1 < references->len ? places[i + 1] - pitch : high;
    places[i] = MIN(places[i], limit);
  }
  return places;
}

/* How far out a reference has to begin, so that it stands behind every text in its way: a label may
 * reach over the cut. */
static double
clear_start(const GArray *texts, Point out, Point at, double half, double width)
{
  double start = 0;

  for (guint round = 0; round < texts->len; round++) {
    const Point near = {at.x + out.x * start, at.y + out.y * start};
    const Point far = {near.x + out.x * width, near.y + out.y * width};
    const Rect mine = rect_grow(rect_include((Rect){near.x, near.y, 0, 0}, far), half + 0.3);
    double moved = start;
    for (guint i = 0; i < texts->len; i++) {
      const Rect *text = &g_array_index(texts, Rect, i);
      if (!rect_intersects(mine, *text))
        continue;
      const double end = out.x > 0   ? text->x + text->width - at.x
                         : out.x < 0 ? at.x - text->x
                         : out.y > 0 ? text->y + text->height - at.y
                                     : at.y - text->y;
      moved = MAX(moved, end + half + 0.8);
    }
    if (moved <= start)
      break;
    start = moved;
  }
  return start;
}

static gint
compare_starts(gconstpointer a, gconstpointer b)
{
  const Point *one = a, *two = b;
  return one->x < two->x ? -1 : one->x > two->x;
}

/* Narrows the stretch of a line, from 0 at its start to 1, to what lies between two bounds. */
static void
clip(double start, double way, double low, double high, Point *stretch)
{
  if (fabs(way) < 1e-9) {
    if (start < low || start > high)
      stretch->y = -1;
    return;
  }
  const double one = (low - start) / way, two = (high - start) / way;
  stretch->x = MAX(stretch->x, MIN(one, two));
  stretch->y = MIN(stretch->y, MAX(one, two));
}

/* A line with gaps where texts stand in its way. */
static void
draw_sparing(Point a, Point b, const GArray *texts, const PenStyle *style, Pen *pen)
{
  g_autoptr(GArray) gaps = g_array_new(FALSE, FALSE, sizeof(Point)); /* x: from, y: to */
  const Point way = {b.x - a.x, b.y - a.y}, last = {1, 1};
  double from = 0;

  for (guint i = 0; i < texts->len; i++) {
    const Rect text = rect_grow(g_array_index(texts, Rect, i), 0.4);
    Point gap = {0, 1};
    clip(a.x, way.x, text.x, text.x + text.width, &gap);
    clip(a.y, way.y, text.y, text.y + text.height, &gap);
    if (gap.y > gap.x)
      g_array_append_val(gaps, gap);
  }
  g_array_sort(gaps, compare_starts);
  g_array_append_val(gaps, last);
  for (guint i = 0; i < gaps->len; i++) {
    const Point gap = g_array_index(gaps, Point, i);
    if (gap.x > from)
      pen_line(pen, (Point){a.x + from * way.x, a.y + from * way.y},
               (Point){a.x + gap.x * way.x, a.y + gap.x * way.y}, style);
    from = MAX(from, gap.y);
  }
}

/* From a point to the frame, on the way out. */
static double
way_to_frame(const Frame *frame, Point out, Point at)
{
  const Rect area = frame_area(frame);
  return out.x > 0   ? area.x + area.width - at.x
         : out.x < 0 ? at.x - area.x
         : out.y > 0 ? area.y + area.height - at.y
                     : at.y - area.y;
}

static void
draw_reference(const Tiling *tiling, const Reference *reference, double place, const char *text,
               const Frame *frame, const GArray *texts, Pen *pen)
{
  const PenStyle thin = {.width = PEN_THIN, .ink = INK_LINE};
  static const Point outward[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  const Point at = on_page(tiling, reference->part, reference->at);
  const Point out = outward[reference->side];
  const bool upright = reference->side & 1;
  const Point knee = {at.x + out.x * 1.0, at.y + out.y * 1.0};
  Point end = upright ? (Point){place, at.y + out.y * 3.0} : (Point){at.x + out.x * 3.0, place};
  const double half = frame->lettering.body / 2;
  TextStyle style = {.height = frame->lettering.body, .ink = INK_LINE, .turns = upright ? 3 : 0};
  Point start = {end.x + out.x * 0.8, end.y + out.y * 0.8};
  const double width = pen_text_width(text, &style);
  /* Better beside a text than over the edge of the paper, where it is cut off. */
  const double further = fmin(clear_start(texts, out, start, half, width),
                              fmax(way_to_frame(frame, out, start) - width, 0));

  end = (Point){end.x + out.x * further, end.y + out.y * further};
  start = (Point){start.x + out.x * further, start.y + out.y * further};
  if (upright)
    start.x += half;
  else
    start.y += half;
  style.align = reference->side == 0 || reference->side == 3 ? TEXT_START : TEXT_END;
  draw_sparing(at, knee, texts, &thin, pen);
  draw_sparing(knee, end, texts, &thin, pen);
  pen_text(pen, start, text, &style);
}

/* The line of a cut, with gaps where texts stand in it. */
static void
draw_cut(const Tiling *tiling, guint part, int side, const GArray *texts, Pen *pen)
{
  const PenStyle line = {.width = PEN_THIN, .ink = INK_FAINT, .dash = DASH_OUTLINE};
  const Rect w = tiling_window(tiling, part);
  const Point corners[] = {
      {w.x + w.width, w.y}, {w.x + w.width, w.y + w.height}, {w.x, w.y + w.height}, {w.x, w.y}};

  draw_sparing(on_page(tiling, part, corners[side]), on_page(tiling, part, corners[(side + 1) & 3]),
               texts, &line, pen);
}

void
tiling_draw_references(const Tiling *tiling, guint part, const Frame *frame, guint first_page,
                       const GArray *texts, Pen *pen)
{
  const double pitch = 1.6 * frame->lettering.body;

  for (int side = 0; side < 4; side++) {
    g_autoptr(GPtrArray) references = at_side(tiling, part, side);
    const Rect area = tiling->area;
    const double low = (side & 1 ? area.x : area.y) + pitch;
    const double high = (side & 1 ? area.x + area.width : area.y + area.height) - pitch;
    g_autofree double *places = spread(tiling, part, references, pitch, low, high);
    if (references->len > 0)
      draw_cut(tiling, part, side, texts, pen);
    for (guint i = 0; i < references->len; i++) {
      const Reference *reference = references->pdata[i];
      g_autofree char *text = reference_text(tiling, reference, frame, first_page);
      pen_begin_link(pen, first_page + reference->other);
      draw_reference(tiling, reference, places[i], text, frame, texts, pen);
      pen_end_link(pen);
    }
  }
}

GPtrArray *
tiling_references(const Tiling *tiling, guint part, const Frame *frame, guint first_page)
{
  GPtrArray *texts = g_ptr_array_new_with_free_func(g_free);

  for (guint i = 0; i < tiling->references->len; i++) {
    const Reference *reference = &g_array_index(tiling->references, Reference, i);
    if (reference->part == part)
      g_ptr_array_add(texts, reference_text(tiling, reference, frame, first_page));
  }
  return texts;
}
