/* SPDX-License-Identifier: MIT */
#include "pen/pen.h"

#include "base/language.h"
#include "pen/pen_text.h"
#include <math.h>

GQuark
pen_error_quark(void)
{
  return g_quark_from_static_string("doorsheet-pen-error");
}

guint
pen_dash_lengths(Dash dash, double lengths[4])
{
  /* ISO 128 proportions in spirit (dash, chain), lengths chosen to stay apart at 1:1 on paper;
   * common practice, no source for the exact millimetres. */
  static const struct {
    guint n;
    double lengths[4];
  } table[] = {
      [DASH_SOLID] = {0, {0}},
      [DASH_FIELD] = {2, {3.0, 1.25}},
      [DASH_DOT] = {2, {0.4, 0.8}},
      [DASH_OUTLINE] = {4, {6.0, 1.2, 1.2, 1.2}},
  };
  if ((guint)dash >= G_N_ELEMENTS(table))
    return 0;
  for (guint i = 0; i < table[dash].n; i++)
    lengths[i] = table[dash].lengths[i];
  return table[dash].n;
}

void
pen_init(Pen *pen, const PenBackEnd *back_end)
{
  pen->back_end = back_end;
  pen->status = NULL;
  pen->placements = g_array_new(FALSE, FALSE, sizeof(Placement));
  pen->groups = 0;
  pen->in_page = pen->finished = false;
}

void
pen_fail(Pen *pen, GError *take_error)
{
  if (pen->status == NULL)
    pen->status = take_error;
  else
    g_error_free(take_error);
}

static void
fail_balance(Pen *pen, const char *what)
{
  pen_fail(pen, g_error_new(PEN_ERROR, PEN_ERROR_BALANCE,
                            _("The drawing is out of order: %s. Please report this."), what));
}

void
pen_free(Pen *pen)
{
  if (pen == NULL)
    return;
  g_clear_error(&pen->status);
  g_clear_pointer(&pen->placements, g_array_unref);
  pen->back_end->free(pen);
}

bool
pen_finish(Pen *pen, GError **error)
{
  if (pen->status == NULL && pen->groups > 0)
    fail_balance(pen, _("a group was begun and never ended"));
  if (pen->status == NULL && pen->placements->len > 0)
    fail_balance(pen, _("a device's placement was pushed and never popped"));
  if (pen->status == NULL && pen->in_page)
    fail_balance(pen, _("a page was begun and never ended"));
  if (!pen->finished && pen->back_end->finish != NULL)
    pen->back_end->finish(pen); /* after a failure too: it lets go of what it holds */
  pen->finished = true;
  if (pen->status == NULL)
    return true;
  if (error != NULL)
    *error = g_error_copy(pen->status);
  return false;
}

/* Whether to go on at all; also the place where drawing at the wrong time is noticed. */
static bool
ready_to_draw(Pen *pen)
{
  if (pen->status != NULL)
    return false;
  if (pen->finished)
    fail_balance(pen, _("something was drawn after the end"));
  else if (pen->back_end->needs_page && !pen->in_page)
    fail_balance(pen, _("something was drawn outside a page"));
  return pen->status == NULL;
}

static bool
check_point(Pen *pen, Point p)
{
  if (isfinite(p.x) && isfinite(p.y) && fabs(p.x) <= PEN_FARTHEST && fabs(p.y) <= PEN_FARTHEST)
    return true;
  pen_fail(pen, g_error_new(PEN_ERROR, PEN_ERROR_COORDINATE,
                            _("A point of the drawing lies at (%g, %g) mm, which is not on any "
                              "sheet. Please report this."),
                            p.x, p.y));
  return false;
}

static bool
check_number(Pen *pen, double value, double least)
{
  if (isfinite(value) && value >= least && value <= PEN_FARTHEST)
    return true;
  pen_fail(pen, g_error_new(PEN_ERROR, PEN_ERROR_COORDINATE,
                            _("A length of the drawing is %g mm, which cannot be drawn. Please "
                              "report this."),
                            value));
  return false;
}

static bool
check_style(Pen *pen, const PenStyle *style)
{
  return style == NULL || check_number(pen, style->width, 0);
}

static Point
to_sheet(const Pen *pen, Point own)
{
  for (guint i = pen->placements->len; i > 0; i--)
    own = placement_apply(g_array_index(pen->placements, Placement, i - 1), own);
  return own;
}

void
pen_push(Pen *pen, Placement placement)
{
  if (!ready_to_draw(pen) || !check_point(pen, placement.at))
    return;
  if (pen->placements->len >= PEN_DEEPEST) {
    fail_balance(pen, _("placements nest too deep"));
    return;
  }
  placement.turns &= 3;
  g_array_append_val(pen->placements, placement);
}

void
pen_pop(Pen *pen)
{
  if (pen->status != NULL)
    return;
  if (pen->placements->len == 0)
    fail_balance(pen, _("a placement was popped that was never pushed"));
  else
    g_array_set_size(pen->placements, pen->placements->len - 1);
}

static void
draw_lines(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *stroke,
           const PenStyle *fill)
{
  if (!ready_to_draw(pen) || n == 0 || (stroke == NULL && fill == NULL) ||
      !check_style(pen, stroke) || !check_style(pen, fill))
    return;
  Point few[16];
  g_autofree Point *many = n > G_N_ELEMENTS(few) ? g_new(Point, n) : NULL;
  Point *placed = many != NULL ? many : few;
  for (guint i = 0; i < n; i++) {
    if (!check_point(pen, points[i]))
      return;
    placed[i] = to_sheet(pen, points[i]);
  }
  pen->back_end->line(pen, placed, n, closed, stroke, fill);
}

void
pen_line(Pen *pen, Point a, Point b, const PenStyle *style)
{
  draw_lines(pen, (Point[]){a, b}, 2, false, style, NULL);
}

void
pen_polyline(Pen *pen, const Point *points, guint n, const PenStyle *style)
{
  draw_lines(pen, points, n, false, style, NULL);
}

void
pen_polygon(Pen *pen, const Point *points, guint n, const PenStyle *stroke, const PenStyle *fill)
{
  draw_lines(pen, points, n, true, stroke, fill);
}

void
pen_box(Pen *pen, Rect box, const PenStyle *stroke, const PenStyle *fill)
{
  if (pen->status == NULL && rect_is_empty(box))
    return;
  const Point corners[] = {{box.x, box.y},
                           {box.x + box.width, box.y},
                           {box.x + box.width, box.y + box.height},
                           {box.x, box.y + box.height}};
  draw_lines(pen, corners, G_N_ELEMENTS(corners), true, stroke, fill);
}

static void
draw_arc(Pen *pen, Point centre, double radius, double from, double to, const PenStyle *stroke,
         const PenStyle *fill)
{
  if (!ready_to_draw(pen) || (stroke == NULL && fill == NULL) || !check_style(pen, stroke) ||
      !check_style(pen, fill) || !check_point(pen, centre) || !check_number(pen, radius, 0) ||
      !check_number(pen, from, -PEN_FARTHEST) || !check_number(pen, to, -PEN_FARTHEST))
    return;
  double sweep = to - from;
  if (sweep < 0)
    sweep = fmod(sweep, 360) + 360; /* an end before its start is meant one turn later */
  sweep = MIN(sweep, 360);
  from = fmod(from, 360);
  for (guint i = pen->placements->len; i > 0; i--) {
    const Placement *placement = &g_array_index(pen->placements, Placement, i - 1);
    if (placement->mirrored)
      from = 180 - (from + sweep);
    from += 90.0 * placement->turns;
    centre = placement_apply(*placement, centre);
  }
  from = fmod(from, 360);
  if (from < 0)
    from += 360;
  pen->back_end->arc(pen, centre, radius, from, from + sweep, stroke, fill);
}

void
pen_circle(Pen *pen, Point centre, double radius, const PenStyle *stroke, const PenStyle *fill)
{
  draw_arc(pen, centre, radius, 0, 360, stroke, fill);
}

void
pen_arc(Pen *pen, Point centre, double radius, double from_degrees, double to_degrees,
        const PenStyle *stroke)
{
  draw_arc(pen, centre, radius, from_degrees, to_degrees, stroke, NULL);
}

/* --- text --- */

typedef struct {
  int turns;      /* on the sheet, of the baseline as it will be read */
  bool backwards; /* the baseline runs against the placement's: start and end change places */
  bool below;     /* the letters would lie on the other side of their baseline */
  Point up;       /* where letters point after the placement, before it is made readable */
} TextTurn;

/* Follows the baseline's direction and the letters' upright through the placements. */
static TextTurn
text_turn(const Pen *pen, int turns)
{
  static const Point direction[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  Point along = direction[turns & 3], up = direction[(turns + 3) & 3];
  if (pen->placements->len == 0)
    return (TextTurn){.turns = turns & 3, .up = up};
  for (guint i = pen->placements->len; i > 0; i--) {
    Placement turn = g_array_index(pen->placements, Placement, i - 1);
    turn.at = (Point){0, 0};
    along = placement_apply(turn, along);
    up = placement_apply(turn, up);
  }
  /* Read from below (baseline to the right) or from the right (baseline upwards). */
  bool level = fabs(along.x) > fabs(along.y);
  int readable = level ? 0 : 3;
  Point wanted = direction[readable], wanted_up = direction[(readable + 3) & 3];
  return (TextTurn){
      .turns = readable,
      .backwards = along.x * wanted.x + along.y * wanted.y < 0,
      .below = up.x * wanted_up.x + up.y * wanted_up.y < 0,
      .up = up,
  };
}

static void
check_glyphs(Pen *pen, const char *prepared, const TextStyle *style)
{
  if (!pen_text_has_font()) {
    pen_fail(pen, g_error_new_literal(PEN_ERROR, PEN_ERROR_FONT,
                                      _("No font is installed that shows plain letters. Install "
                                        "one, for example the package fonts-dejavu-core.")));
    return;
  }
  if (!pen->back_end->needs_all_glyphs)
    return;
  PangoLayout *layout = pen_text_layout(prepared, style);
  if (pango_layout_get_unknown_glyphs_count(layout) > 0)
    pen_fail(pen,
             g_error_new(PEN_ERROR, PEN_ERROR_FONT,
                         _("No font installed has every character of \"%.80s\". Install a font "
                           "for that script, or write the text in other letters."),
                         prepared));
}

void
pen_text(Pen *pen, Point at, const char *utf8, const TextStyle *style)
{
  if (!ready_to_draw(pen) || utf8 == NULL || *utf8 == '\0' || !check_point(pen, at) ||
      !check_number(pen, style->height, 1e-3))
    return;
  g_autofree char *prepared = pen_text_prepare(utf8);
  if (*prepared == '\0')
    return;
  check_glyphs(pen, prepared, style);
  if (pen->status != NULL)
    return;
  TextTurn turn = text_turn(pen, style->turns);
  TextStyle placed = *style;
  placed.turns = turn.turns;
  if (turn.backwards && style->align != TEXT_MIDDLE)
    placed.align = style->align == TEXT_START ? TEXT_END : TEXT_START;
  Point point = to_sheet(pen, at);
  /* The capitals keep their box when the text is turned back. */
  if (turn.below)
    point = (Point){point.x + turn.up.x * style->height, point.y + turn.up.y * style->height};
  pen->back_end->text(pen, point, prepared, &placed);
}

double
pen_text_block(Pen *pen, Point at, double width, const char *utf8, const TextStyle *style,
               double line_spacing)
{
  if (pen->status != NULL || utf8 == NULL || *utf8 == '\0' || !check_number(pen, width, 0) ||
      !check_number(pen, line_spacing, 0) || !check_number(pen, style->height, 1e-3))
    return 0;
  static const Point down[] = {{0, 1}, {-1, 0}, {0, -1}, {1, 0}};
  Point step = down[style->turns & 3];
  double advance = line_spacing * style->height;
  g_autoptr(GPtrArray) lines = pen_text_wrap(width, utf8, style);
  bool reversed = text_turn(pen, style->turns).below;
  for (guint i = 0; i < lines->len; i++) {
    double shift = advance * (reversed ? lines->len - 1 - i : i);
    pen_text(pen, (Point){at.x + step.x * shift, at.y + step.y * shift},
             g_ptr_array_index(lines, i), style);
  }
  return advance * lines->len;
}

double
pen_text_block_height(double width, const char *utf8, const TextStyle *style, double line_spacing)
{
  if (utf8 == NULL || *utf8 == '\0' || !(style->height > 0))
    return 0;
  return pen_text_line_count(width, utf8, style) * line_spacing * style->height;
}

/* --- groups and pages --- */

void
pen_begin_group(Pen *pen, const char *id, const char *title, const char *description)
{
  if (!ready_to_draw(pen))
    return;
  if (pen->groups >= PEN_DEEPEST) {
    fail_balance(pen, _("groups nest too deep"));
    return;
  }
  pen->groups++;
  pen->back_end->begin_group(pen, id, title, description);
}

void
pen_hit(Pen *pen, const Point *points, guint n, double width)
{
  if (pen->back_end->hit == NULL || n < 2 || !ready_to_draw(pen) || !check_number(pen, width, 0))
    return;
  for (guint i = 0; i < n; i++)
    if (!check_point(pen, points[i]))
      return;
  pen->back_end->hit(pen, points, n, width);
}

void
pen_begin_link(Pen *pen, guint page)
{
  if (ready_to_draw(pen) && pen->back_end->begin_link != NULL)
    pen->back_end->begin_link(pen, page);
}

void
pen_end_link(Pen *pen)
{
  if (pen->status == NULL && pen->back_end->end_link != NULL)
    pen->back_end->end_link(pen);
}

void
pen_end_group(Pen *pen)
{
  if (pen->status != NULL)
    return;
  if (pen->groups == 0) {
    fail_balance(pen, _("a group was ended that was never begun"));
    return;
  }
  pen->groups--;
  pen->back_end->end_group(pen);
}

void
pen_begin_page(Pen *pen, double width_mm, double height_mm, const char *title)
{
  if (pen->status != NULL)
    return;
  if (pen->in_page || pen->groups > 0 || pen->finished) {
    fail_balance(pen, _("a page was begun inside a page or group, or after the end"));
    return;
  }
  if (!check_number(pen, width_mm, 0.1) || !check_number(pen, height_mm, 0.1))
    return;
  pen->in_page = true;
  pen->back_end->begin_page(pen, width_mm, height_mm, title);
}

void
pen_end_page(Pen *pen)
{
  if (pen->status != NULL)
    return;
  if (!pen->in_page || pen->groups > 0 || pen->placements->len > 0) {
    fail_balance(pen, _("a page was ended with a group or placement open, or never begun"));
    return;
  }
  pen->in_page = false;
  pen->back_end->end_page(pen);
}
