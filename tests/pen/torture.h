/* SPDX-License-Identifier: MIT */
/* One drawing with everything that has ever hurt a drawing program, for every back end. */
#pragma once

#include "pen/pen.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#define MARKUP "<b>&amp; ]]> \"T1\" 'x'</b>"

/* cmocka's own comparison works in float. */
#define assert_near(a, b, within)                                                                  \
  do {                                                                                             \
    double near_a = (a), near_b = (b);                                                             \
    if (!(fabs(near_a - near_b) <= (within)))                                                      \
      fail_msg("%s is %.9g, expected %.9g", #a, near_a, near_b);                                   \
  } while (0)

static const PenStyle plain = {.width = PEN_NORMAL, .ink = INK_LINE};

static void
draw_shapes(Pen *pen)
{
  static const PenStyle yellow = {
      .width = 1, .ink = INK_COLOUR, .colour = {1, 0.82, 0}, .dash = DASH_FIELD};
  static const PenStyle paper = {.ink = INK_PAPER};
  pen_begin_group(pen, "device-T1", "T1, transformer", "250 VA <&>");
  pen_push(pen, (Placement){.at = {60, 40}, .turns = 1, .mirrored = true});
  pen_box(pen, (Rect){0, 0, 20, 10}, &plain, &paper);
  pen_arc(pen, (Point){10, 5}, 4, 0, 90, &plain);
  pen_circle(pen, (Point){30, 5}, 3, &plain, &(PenStyle){.ink = INK_CAUTION});
  pen_line(pen, (Point){0, 0}, (Point){20, 10}, &yellow);
  pen_text(pen, (Point){0, -1}, "H1 Turned", &(TextStyle){.height = 2.5});
  pen_pop(pen);
  pen_end_group(pen);
  for (int dash = DASH_SOLID; dash <= DASH_OUTLINE; dash++)
    pen_line(pen, (Point){10, 70 + dash * 3}, (Point){90, 70 + dash * 3},
             &(PenStyle){.width = PEN_HEAVY, .dash = (Dash)dash});
}

static void
draw_texts(Pen *pen)
{
  TextStyle style = {.height = 2.5};
  pen_text(pen, (Point){10, 10}, MARKUP, &style);
  pen_text(pen, (Point){10, 15},
           "abc\xe2\x80\xae"
           "evil\xe2\x80\xac\x01\x1b[0m two  spaces",
           &style);
  pen_text(pen, (Point){10, 20}, "bad \xff\xfe utf8 caf\xc3\xa9", &style);
  pen_text(pen, (Point){90, 25}, "to the end", &(TextStyle){.height = 2.5, .align = TEXT_END});
  pen_text(pen, (Point){95, 60}, "upwards", &(TextStyle){.height = 2.5, .turns = 3, .bold = true});
  pen_text(pen, (Point){10, 30}, "", &style);
}

static void
draw_torture(Pen *pen)
{
  g_autofree char *longest = g_strnfill(10000, 'W');
  pen_begin_page(pen, 100, 90, "Page (1) \\ <one> \xc3\xbc");
  pen_begin_group(pen, "1 bad id/\xc3\xa9", NULL, NULL);
  pen_begin_group(pen, "device-T1", "the same id again", NULL);
  draw_texts(pen);
  pen_end_group(pen);
  pen_end_group(pen);
  draw_shapes(pen);
  pen_text(pen, (Point){10, 85}, longest, &(TextStyle){.height = 1.8, .ink = INK_FAINT});
  pen_end_page(pen);
}
