/* SPDX-License-Identifier: MIT */
/* Strokes that several symbols share, sized alike, after the North American set of IEEE 315. Own
 * coordinates of the device, millimetres. Symbols run 20 mm from terminal to terminal, with the
 * working part between SYMBOL_LEFT and SYMBOL_RIGHT. */
#pragma once

#include "diagram/device.h"
#include "pen/pen.h"

G_BEGIN_DECLS

#define SYMBOL_WIDTH 20.0
#define SYMBOL_LEFT 6.0
#define SYMBOL_RIGHT 14.0
#define SYMBOL_MIDDLE 10.0

extern const PenStyle symbol_stroke; /* PEN_NORMAL in INK_LINE */
extern const PenStyle symbol_thin;   /* PEN_THIN */
extern const PenStyle symbol_heavy;  /* PEN_HEAVY */
extern const PenStyle symbol_solid;  /* INK_LINE, as a fill */
extern const PenStyle symbol_paper;  /* INK_PAPER, as a fill */

/* Line from a terminal to a point, and the terminal's ring; a flying lead has no ring. */
void symbol_stub(Pen *pen, const Terminal *terminal, double x, double y);
/* The same without a ring, for ends that are no screw. */
void symbol_stub_plain(Pen *pen, const Terminal *terminal, double x, double y);
/* Terminal names, marks and everything else in a symbol. */
#define SYMBOL_LETTER PEN_LETTER_MM
void symbol_text(Pen *pen, double x, double y, const char *text, double height, TextAlign align);
/* The same, in smaller letters when it would be wider than width. */
void symbol_text_fit(Pen *pen, double x, double y, const char *text, double height, double width,
                     TextAlign align);
/* A terminal's name above the beginning of its stub, on the terminal's side of the symbol. */
void symbol_name(Pen *pen, const Terminal *terminal);
/* Stubs of two terminals level with one another to SYMBOL_LEFT and SYMBOL_RIGHT, with names. */
void symbol_pole_ends(Pen *pen, const Terminal *left, const Terminal *right);

/* Hinged arm from (SYMBOL_LEFT, y) to the contact at (SYMBOL_RIGHT, y). Returns the arm's middle,
 * where an actuator or a link takes hold. */
Point symbol_arm(Pen *pen, double y, bool closed);
/* Two facing bars of a relay contact round (SYMBOL_MIDDLE, y), with the stubs' gap closed up; a
 * stroke across them when normally closed. */
void symbol_bars(Pen *pen, double y, bool normally_closed);
/* Relay coil: a ring with letters. */
void symbol_coil(Pen *pen, double y, const char *letters);
#define SYMBOL_COIL_RADIUS 5.0
/* Contacts of rows (kinds.h) and the dashed link that ties them to the coil at link_y. */
void symbol_contacts(const Device *device, Pen *pen, guint first_terminal, double link_y, bool iec);
/* Mechanical link. */
void symbol_link(Pen *pen, Point a, Point b);
/* Half rings along a vertical line, every 2.5 mm, bulging to the right (+1) or left (-1). */
void symbol_winding(Pen *pen, double x, double y, guint bumps, int bulge);
/* Resistor zigzag along a horizontal line. */
void symbol_zigzag(Pen *pen, double x, double y, double width, double height);
/* Earth: three bars below a stem that starts at the point. */
void symbol_ground(Pen *pen, Point at);

/* The same parts after IEC 60617, within the bounds of those above. */
/* Make contact: an arm from the left that does not reach the right (07-02-01). Returns the arm's
 * middle. */
Point symbol_iec_arm(Pen *pen, double y, bool closed);
/* Make (07-02-01) or break contact (07-02-03) as it stands without current. */
Point symbol_iec_contact(Pen *pen, double y, bool normally_closed);
/* Qualifying marks at the fixed contact: contactor, breaker, isolator (07-01-01, -02, -03). */
void symbol_iec_contactor_mark(Pen *pen, double y);
void symbol_iec_breaker_mark(Pen *pen, double y);
void symbol_iec_isolator_mark(Pen *pen, double y);
/* Coil: a box (07-15-01). */
void symbol_iec_coil(Pen *pen, double y);
/* Resistor: a box (04-01-01). */
void symbol_iec_resistor(Pen *pen, double x, double y, double width, double height);

G_END_DECLS
