/* SPDX-License-Identifier: MIT */
/* The colour of a conductor's insulation in letters. Nothing makes way for them: they take room
 * that all labels have left, so that they move nothing, and the same room whatever part of the
 * sheet is drawn. The schedule of the printed sheet says the same in words. */
#include "figure/figure_draw.h"

#include "pen/pen_text.h"
#include <math.h>

#define CODE_MM LABEL_POTENTIAL_MM
#define CODE_GAP_MM 0.55 /* from the middle of the line */
#define CODE_ROOM_MM 0.6 /* to what is written before and after */

/* Another conductor on the same way would make the letters ambiguous. */
static bool
runs_alone(const FigureCache *cache, const ConductorEntry *entry, Point a, Point b)
{
  g_autoptr(GArray) near = g_array_new(FALSE, FALSE, sizeof(FigureNear));
  Rect stretch = figure_stretch_box(a, b);
  figure_index_query(cache->lines, stretch, near);
  bool level = fabs(a.y - b.y) < 1e-6;
  for (guint i = 0; i < near->len; i++) {
    const FigureNear *other = &g_array_index(near, FigureNear, i);
    bool along = level
                     ? other->box.width > other->box.height && fabs(other->box.y - stretch.y) < 0.2
                     : other->box.height > other->box.width && fabs(other->box.x - stretch.x) < 0.2;
    if (other->item != (gpointer)(gintptr)entry && along)
      return false;
  }
  return true;
}

/* Above, below; right and left of an upright stretch. */
static Rect
place_beside(Point a, Point b, double share, bool second, double width)
{
  Point at = {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share};
  if (fabs(a.y - b.y) < 1e-6)
    return (Rect){at.x - width / 2, second ? at.y + CODE_GAP_MM : at.y - CODE_GAP_MM - CODE_MM,
                  width, CODE_MM};
  return (Rect){second ? at.x - CODE_GAP_MM - width : at.x + CODE_GAP_MM, at.y - CODE_MM / 2, width,
                CODE_MM};
}

/* Empty: there is no room. */
static Rect
find_place(const FigureCache *cache, const ConductorEntry *entry, double width)
{
  static const double shares[] = {0.5, 0.25, 0.75, 0.1, 0.9};
  for (guint s = 0; s + 1 < entry->route->len; s++) {
    Point a = g_array_index(entry->route, Point, s), b = g_array_index(entry->route, Point, s + 1);
    bool level = fabs(a.y - b.y) < 1e-6;
    if (point_distance(a, b) < (level ? width : CODE_MM) + 1 || !runs_alone(cache, entry, a, b))
      continue;
    for (guint k = 0; k < G_N_ELEMENTS(shares) * 2; k++) {
      Rect box = place_beside(a, b, shares[k / 2], k % 2 == 1, width);
      if (figure_cost_of_place(cache, rect_grow(box, -0.1)) == 0)
        return box;
    }
  }
  return rect_empty();
}

void
figure_draw_code(Pen *pen, const Document *document, const Conductor *conductor,
                 const FigureStyle *style)
{
  const FigureCache *cache = style->cache != NULL ? style->cache : figure_cache_of_thread(document);
  const ConductorEntry *entry = figure_cache_find_conductor(cache, conductor);
  if (entry == NULL || entry->route == NULL)
    return;
  g_autofree char *code = figure_colour_code(conductor_text(conductor, CONDUCTOR_COLOUR));
  if (code == NULL)
    return;
  TextStyle text = {.height = CODE_MM, .align = TEXT_MIDDLE, .ink = INK_LINE};
  Rect box = find_place(cache, entry, pen_text_width(code, &text) + 2 * CODE_ROOM_MM);
  if (!rect_is_empty(box))
    figure_draw_line_of_text(pen, box, code, &text);
}
