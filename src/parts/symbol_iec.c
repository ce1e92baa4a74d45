/* SPDX-License-Identifier: MIT */
/* Symbols of IEC 60617 where they differ from IEEE 315. Numbers of symbols are from memory of the
 * printed edition. */
#include "parts/symbol.h"

#define RISE 2.75 /* of an open arm: as high as the bars it stands for */

Point
symbol_iec_arm(Pen *pen, double y, bool closed)
{
  const Point hinge = {SYMBOL_LEFT, y}, contact = {SYMBOL_RIGHT, y};
  const Point tip = closed ? contact : (Point){SYMBOL_RIGHT - 1, y - RISE};

  pen_line(pen, hinge, tip, &symbol_stroke);
  return (Point){(hinge.x + tip.x) / 2, (hinge.y + tip.y) / 2};
}

Point
symbol_iec_contact(Pen *pen, double y, bool normally_closed)
{
  const Point hinge = {SYMBOL_LEFT, y}, tip = {SYMBOL_RIGHT + 0.5, y - RISE};

  if (!normally_closed)
    return symbol_iec_arm(pen, y, false);
  pen_line(pen, hinge, tip, &symbol_stroke);
  pen_line(pen, (Point){SYMBOL_RIGHT, y}, (Point){SYMBOL_RIGHT, y - RISE}, &symbol_stroke);
  return (Point){(hinge.x + tip.x) / 2, (hinge.y + tip.y) / 2};
}

/* A half ring below the arm's tip. */
void
symbol_iec_contactor_mark(Pen *pen, double y)
{
  pen_arc(pen, (Point){SYMBOL_RIGHT - 0.9, y}, 0.9, 0, 180, &symbol_stroke);
}

void
symbol_iec_breaker_mark(Pen *pen, double y)
{
  const double half = 0.9;

  pen_line(pen, (Point){SYMBOL_RIGHT - half, y - half}, (Point){SYMBOL_RIGHT + half, y + half},
           &symbol_stroke);
  pen_line(pen, (Point){SYMBOL_RIGHT - half, y + half}, (Point){SYMBOL_RIGHT + half, y - half},
           &symbol_stroke);
}

void
symbol_iec_isolator_mark(Pen *pen, double y)
{
  pen_line(pen, (Point){SYMBOL_RIGHT, y - 1}, (Point){SYMBOL_RIGHT, y + 1}, &symbol_stroke);
}

void
symbol_iec_coil(Pen *pen, double y)
{
  pen_box(pen,
          (Rect){SYMBOL_LEFT, y - SYMBOL_COIL_RADIUS, SYMBOL_RIGHT - SYMBOL_LEFT,
                 2 * SYMBOL_COIL_RADIUS},
          &symbol_stroke, &symbol_paper);
}

void
symbol_iec_resistor(Pen *pen, double x, double y, double width, double height)
{
  pen_box(pen, (Rect){x, y - height / 2, width, height}, &symbol_stroke, &symbol_paper);
}
