/* SPDX-License-Identifier: MIT */
#include "parts/symbol.h"

#include "parts/kinds.h"

#include <math.h>

const PenStyle symbol_stroke = {.width = PEN_NORMAL, .ink = INK_LINE};
const PenStyle symbol_thin = {.width = PEN_THIN, .ink = INK_LINE};
const PenStyle symbol_heavy = {.width = PEN_HEAVY, .ink = INK_LINE};
const PenStyle symbol_solid = {.ink = INK_LINE};
const PenStyle symbol_paper = {.ink = INK_PAPER};

#define RING_RADIUS 0.8
#define DOT_RADIUS 0.55

void
symbol_stub(Pen *pen, const Terminal *terminal, double x, double y)
{
  pen_line(pen, terminal->at, (Point){x, y}, &symbol_stroke);
  if (!terminal->flying)
    pen_circle(pen, terminal->at, RING_RADIUS, &symbol_stroke, &symbol_paper);
}

void
symbol_stub_plain(Pen *pen, const Terminal *terminal, double x, double y)
{
  pen_line(pen, terminal->at, (Point){x, y}, &symbol_stroke);
}

void
symbol_text(Pen *pen, double x, double y, const char *text, double height, TextAlign align)
{
  TextStyle style = {.height = height, .align = align, .ink = INK_LINE};
  if (*text)
    pen_text(pen, (Point){x, y}, text, &style);
}

void
symbol_text_fit(Pen *pen, double x, double y, const char *text, double height, double width,
                TextAlign align)
{
  TextStyle style = {.height = height};
  double wide = pen_text_width(text, &style);
  symbol_text(pen, x, y, text, wide > width ? height * width / wide : height, align);
}

#define NAME_IN 0.6 /* a coil's ring leaves no more */

void
symbol_name(Pen *pen, const Terminal *terminal)
{
  Point at = terminal->at;
  switch (terminal->side) {
  case SIDE_LEFT:
    symbol_text(pen, at.x + NAME_IN, at.y - 1, terminal->name, SYMBOL_LETTER, TEXT_START);
    break;
  case SIDE_RIGHT:
    symbol_text(pen, at.x - NAME_IN, at.y - 1, terminal->name, SYMBOL_LETTER, TEXT_END);
    break;
  default:
    symbol_text(pen, at.x + 1.5, at.y - 1, terminal->name, SYMBOL_LETTER, TEXT_START);
  }
}

void
symbol_pole_ends(Pen *pen, const Terminal *left, const Terminal *right)
{
  symbol_stub(pen, left, SYMBOL_LEFT, left->at.y);
  symbol_stub(pen, right, SYMBOL_RIGHT, right->at.y);
  symbol_name(pen, left);
  symbol_name(pen, right);
}

/* The open arm's rise over the distance between hinge and contact. */
#define OPEN_RISE 0.5

Point
symbol_arm(Pen *pen, double y, bool closed)
{
  Point hinge = {SYMBOL_LEFT, y}, contact = {SYMBOL_RIGHT, y};
  Point tip = closed ? (Point){SYMBOL_RIGHT + DOT_RADIUS, y - DOT_RADIUS}
                     : (Point){SYMBOL_RIGHT - 0.8, y - OPEN_RISE * (SYMBOL_RIGHT - SYMBOL_LEFT)};
  pen_line(pen, hinge, tip, &symbol_stroke);
  pen_circle(pen, hinge, DOT_RADIUS, &symbol_stroke, &symbol_solid);
  pen_circle(pen, contact, DOT_RADIUS, &symbol_stroke, &symbol_paper);
  return (Point){(hinge.x + tip.x) / 2, (hinge.y + tip.y) / 2};
}

#define BAR_X 1.5
#define BAR_HALF 2.75

void
symbol_bars(Pen *pen, double y, bool normally_closed)
{
  double left = SYMBOL_MIDDLE - BAR_X, right = SYMBOL_MIDDLE + BAR_X;
  pen_line(pen, (Point){SYMBOL_LEFT, y}, (Point){left, y}, &symbol_stroke);
  pen_line(pen, (Point){right, y}, (Point){SYMBOL_RIGHT, y}, &symbol_stroke);
  pen_line(pen, (Point){left, y - BAR_HALF}, (Point){left, y + BAR_HALF}, &symbol_stroke);
  pen_line(pen, (Point){right, y - BAR_HALF}, (Point){right, y + BAR_HALF}, &symbol_stroke);
  if (normally_closed)
    pen_line(pen, (Point){left - 0.3, y + BAR_HALF}, (Point){right + 0.3, y - BAR_HALF},
             &symbol_stroke);
}

void
symbol_coil(Pen *pen, double y, const char *letters)
{
  pen_circle(pen, (Point){SYMBOL_MIDDLE, y}, SYMBOL_COIL_RADIUS, &symbol_stroke, &symbol_paper);
  symbol_text(pen, SYMBOL_MIDDLE, y + SYMBOL_LETTER / 2, letters, SYMBOL_LETTER, TEXT_MIDDLE);
}

void
symbol_link(Pen *pen, Point a, Point b)
{
  PenStyle dashed = {.width = PEN_THIN, .ink = INK_LINE, .dash = DASH_FIELD};
  pen_line(pen, a, b, &dashed);
}

/* Below its stub, where an arm takes the room above. */
static void
name_below(Pen *pen, const Terminal *right)
{
  symbol_text(pen, right->at.x - NAME_IN, right->at.y + 1 + SYMBOL_LETTER, right->name,
              SYMBOL_LETTER, TEXT_END);
}

/* Changeover: common level with the normally-open contact, arm on the normally-closed one above. */
static Point
changeover(Pen *pen, const Terminal *common, const Terminal *open, const Terminal *closed)
{
  symbol_stub(pen, common, SYMBOL_LEFT, common->at.y);
  symbol_stub(pen, open, SYMBOL_RIGHT, open->at.y);
  symbol_stub(pen, closed, SYMBOL_RIGHT, closed->at.y);
  symbol_name(pen, common);
  symbol_name(pen, closed);
  name_below(pen, open);
  Point hinge = {SYMBOL_LEFT, common->at.y}, tip = {SYMBOL_RIGHT, closed->at.y + DOT_RADIUS};
  pen_line(pen, hinge, tip, &symbol_stroke);
  pen_circle(pen, hinge, DOT_RADIUS, &symbol_stroke, &symbol_solid);
  pen_circle(pen, (Point){SYMBOL_RIGHT, open->at.y}, DOT_RADIUS, &symbol_stroke, &symbol_paper);
  pen_circle(pen, (Point){SYMBOL_RIGHT, closed->at.y}, DOT_RADIUS, &symbol_stroke, &symbol_paper);
  return (Point){(hinge.x + tip.x) / 2, (hinge.y + tip.y) / 2};
}

void
symbol_contacts(const Device *device, Pen *pen, guint first_terminal, double link_y, bool iec)
{
  guint next = first_terminal;
  Point link = {SYMBOL_MIDDLE, link_y};
  for (guint row = 0; row < device_row_count(device); row++) {
    int form = device_row_choice(device, row, CONTACT_FORM);
    const Terminal *common = device_terminal(device, next++);
    const Terminal *end = device_terminal(device, next++);
    Point hold = {SYMBOL_MIDDLE, common->at.y};
    if (form == CONTACT_CHANGEOVER) {
      hold = changeover(pen, common, end, device_terminal(device, next++));
    } else if (iec) {
      symbol_stub(pen, common, SYMBOL_LEFT, common->at.y);
      symbol_stub(pen, end, SYMBOL_RIGHT, end->at.y);
      symbol_name(pen, common);
      name_below(pen, end);
      hold = symbol_iec_contact(pen, common->at.y, form == CONTACT_NORMALLY_CLOSED);
    } else {
      symbol_pole_ends(pen, common, end);
      symbol_bars(pen, common->at.y, form == CONTACT_NORMALLY_CLOSED);
    }
    symbol_link(pen, link, (Point){SYMBOL_MIDDLE, hold.y});
    link = (Point){SYMBOL_MIDDLE, hold.y};
  }
}

void
symbol_winding(Pen *pen, double x, double y, guint bumps, int bulge)
{
  for (guint i = 0; i < bumps; i++) {
    Point centre = {x, y + i * GRID_STEP_MM + GRID_STEP_MM / 2};
    pen_arc(pen, centre, GRID_STEP_MM / 2, bulge > 0 ? -90 : 90, bulge > 0 ? 90 : 270,
            &symbol_stroke);
  }
}

void
symbol_zigzag(Pen *pen, double x, double y, double width, double height)
{
  enum { TEETH = 6 };
  Point points[TEETH + 2];
  points[0] = (Point){x, y};
  for (guint i = 0; i < TEETH; i++)
    points[i + 1] = (Point){x + width * (i + 0.5) / TEETH, y + (i % 2 ? height : -height) / 2};
  points[TEETH + 1] = (Point){x + width, y};
  pen_polyline(pen, points, TEETH + 2, &symbol_stroke);
}

void
symbol_ground(Pen *pen, Point at)
{
  static const double half[] = {3.5, 2.2, 0.9};
  pen_line(pen, at, (Point){at.x, at.y + 3}, &symbol_stroke);
  for (guint i = 0; i < 3; i++)
    pen_line(pen, (Point){at.x - half[i], at.y + 3 + 1.25 * i},
             (Point){at.x + half[i], at.y + 3 + 1.25 * i}, &symbol_stroke);
}
