/* SPDX-License-Identifier: MIT */
/* One way to draw, several back ends. Symbol and sheet code calls these functions in sheet
 * millimetres (y down) and has no error branches: a pen remembers its first failure
 * (pen_status) and draws nothing after it.
 *
 * Colours are ink roles, not values, so that screen themes, print and monochrome decide how they
 * look; insulation colours are data (PenColour) and always drawn as given, except in monochrome.
 * Every back end measures text alike (pen_text_width), so that pages cannot drift apart. */
#pragma once

#include "base/geometry.h"
#include <glib.h>

G_BEGIN_DECLS

typedef struct Pen Pen;

#define PEN_ERROR (pen_error_quark())
GQuark pen_error_quark(void);
typedef enum {
  PEN_ERROR_COORDINATE, /* not finite, or further away than PEN_FARTHEST */
  PEN_ERROR_BALANCE,    /* groups, placements or pages opened and closed out of order */
  PEN_ERROR_FONT,       /* no font installed, or none that has a character */
  PEN_ERROR_PAGE,       /* page size or number of pages the back end cannot hold */
  PEN_ERROR_METADATA,   /* metadata is not well-formed XML */
  PEN_ERROR_OUTPUT      /* the drawing library failed */
} PenErrorCode;

/* No sheet is larger than this, mm; a coordinate beyond it is a mistake of the caller. */
#define PEN_FARTHEST 1e6
/* Groups and placements nest at most this deep. */
#define PEN_DEEPEST 200

typedef enum {
  INK_LINE,     /* symbols, conductors, text */
  INK_FAINT,    /* grid, secondary text, construction lines */
  INK_PAPER,    /* the sheet itself; fills that hide what is below */
  INK_ACCENT,   /* selection on screen; never printed */
  INK_DANGER,   /* ANSI Z535.1 safety red */
  INK_WARNING,  /* safety orange */
  INK_CAUTION,  /* safety yellow */
  INK_NOTICE,   /* safety blue */
  INK_ON_SIGNAL_DARK,  /* white letters on red and blue */
  INK_ON_SIGNAL_LIGHT, /* black letters on orange and yellow */
  INK_LIVE,     /* an energized part's mark */
  INK_COLOUR,   /* take PenStyle.colour */
  INK_COUNT
} Ink;

typedef struct {
  double red, green, blue; /* 0..1 sRGB */
} PenColour;

typedef enum { DASH_SOLID, DASH_FIELD, DASH_DOT, DASH_OUTLINE } Dash;

typedef struct {
  double width;      /* line width, mm; 0.35 is the normal line, 0.5 heavy, 0.18 thin */
  Ink ink;
  PenColour colour;  /* with INK_COLOUR */
  Dash dash;         /* DASH_FIELD: field wiring; DASH_OUTLINE: enclosure */
} PenStyle;

#define PEN_THIN 0.18
#define PEN_NORMAL 0.35
#define PEN_HEAVY 0.5

/* Lengths of dash and gap by turns, mm; returns how many (0: solid). Same for every back end. */
guint pen_dash_lengths(Dash dash, double lengths[4]);

typedef enum { TEXT_START, TEXT_MIDDLE, TEXT_END } TextAlign;

/* Lettering is measured as drafting standards do it: by the height of a capital letter, not by the
 * font size (with DejaVu Sans 0.729 of it). ISO 3098-1 states its nominal sizes h (2.5, 3.5, 5 mm)
 * as the height of the capitals, and so does ASME Y14.2 its least heights (both from memory).
 * Nothing that is printed is lower than PEN_LETTER_MM on paper. */
#define PEN_LETTER_MM 2.5
typedef struct {
  double height;     /* of capital letters, mm; PEN_LETTER_MM is the normal */
  TextAlign align;   /* which point of the baseline `at` is */
  Ink ink;
  bool bold, italic;
  int turns;         /* quarter turns clockwise of the baseline about `at` */
} TextStyle;

/* Back ends fill this table; everything is called through the functions below. */
typedef struct {
  void (*line)(Pen *pen, const Point *points, guint n, bool closed, const PenStyle *stroke,
               const PenStyle *fill);
  void (*arc)(Pen *pen, Point centre, double radius, double from_degrees, double to_degrees,
              const PenStyle *stroke, const PenStyle *fill);
  void (*text)(Pen *pen, Point at, const char *utf8, const TextStyle *style);
  void (*begin_group)(Pen *pen, const char *id, const char *title, const char *description);
  void (*end_group)(Pen *pen);
  /* Nullable: back ends that know no links draw what is between all the same. */
  void (*begin_link)(Pen *pen, guint page);
  void (*end_link)(Pen *pen);
  /* Nullable: only a file that is pointed at knows them. */
  void (*hit)(Pen *pen, const Point *points, guint n, double width);
  void (*begin_page)(Pen *pen, double width_mm, double height_mm, const char *title);
  void (*end_page)(Pen *pen);
  void (*finish)(Pen *pen); /* flush; may set the status */
  void (*free)(Pen *pen);
  bool needs_page;         /* drawing outside begin_page/end_page is a failure */
  bool needs_all_glyphs;   /* a character no font has is a failure: the file would show a box */
} PenBackEnd;

struct Pen {
  const PenBackEnd *back_end;
  GError *status;       /* first failure, owned by the pen */
  GArray *placements;   /* of Placement: the stack of pen_push */
  guint groups;         /* open groups */
  bool in_page, finished;
};

/* For back ends: initialise the common part (pen_free clears it, then calls back_end->free, which
 * frees the pen itself). */
void pen_init(Pen *pen, const PenBackEnd *back_end);
/* Keeps the first failure and frees later ones. */
void pen_fail(Pen *pen, GError *take_error);

void pen_free(Pen *pen);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Pen, pen_free)
/* Flushes and reports the first failure. Returns false and sets error. Call once, before free. */
bool pen_finish(Pen *pen, GError **error);

/* Drawing until pen_pop is in a device's own coordinates. Text turned upside down by the placement
 * is turned back to read from below or from the right. */
void pen_push(Pen *pen, Placement placement);
void pen_pop(Pen *pen);

void pen_line(Pen *pen, Point a, Point b, const PenStyle *style);
void pen_polyline(Pen *pen, const Point *points, guint n, const PenStyle *style);
void pen_polygon(Pen *pen, const Point *points, guint n, const PenStyle *stroke /* nullable */,
                 const PenStyle *fill /* nullable */);
void pen_box(Pen *pen, Rect box, const PenStyle *stroke /* nullable */,
             const PenStyle *fill /* nullable */);
void pen_circle(Pen *pen, Point centre, double radius, const PenStyle *stroke, const PenStyle *fill);
/* Degrees clockwise from three o'clock, as y points down. */
void pen_arc(Pen *pen, Point centre, double radius, double from_degrees, double to_degrees,
             const PenStyle *stroke);
/* One line: line feeds and tabs count as spaces; control characters and direction overrides are
 * dropped, malformed UTF-8 becomes U+FFFD. The text is never read as markup. */
void pen_text(Pen *pen, Point at, const char *utf8, const TextStyle *style);
/* Wraps at spaces (and inside words too long for a line) and at line feeds; returns the height
 * used, mm. at is the first baseline; the next ones follow at line_spacing times the letter height
 * (1.7 is the normal), so that n lines use n * line_spacing * style->height. */
double pen_text_block(Pen *pen, Point at, double width, const char *utf8, const TextStyle *style,
                      double line_spacing);
/* Width in mm, the same for every back end: DejaVu Sans metrics, unhinted. */
double pen_text_width(const char *utf8, const TextStyle *style);
/* How high pen_text_block would get. */
double pen_text_block_height(double width, const char *utf8, const TextStyle *style,
                             double line_spacing);

/* How high above and below its baseline text reaches, mm: accents on capitals are not counted. */
void pen_text_extents(const TextStyle *style, double *above, double *below);

/* id: stable and unique in the document ("device-T1"). title and description: shown to assistive
 * technology and on hover in an SVG; nullable. Groups nest. */
void pen_begin_group(Pen *pen, const char *id, const char *title, const char *description);
void pen_end_group(Pen *pen);
/* What is drawn until pen_end_link leads to a page, from 1, where the file knows links (SVG, PDF).
 * Links do not nest. */
void pen_begin_link(Pen *pen, guint page);
void pen_end_link(Pen *pen);
/* Nothing to see: where one may point at the group in hand besides its own lines. width 0: the
 * polygon's area; else a line that wide, mm. Never printed. */
void pen_hit(Pen *pen, const Point *points, guint n, double width);
void pen_begin_page(Pen *pen, double width_mm, double height_mm, const char *title);
void pen_end_page(Pen *pen);

G_END_DECLS
