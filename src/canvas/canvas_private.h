/* SPDX-License-Identifier: MIT */
/* What the files of the canvas share. */
#pragma once

#include "canvas/canvas.h"
#include "figure/figure_cache.h"
#include "pen/pen_cairo.h"

G_BEGIN_DECLS

/* --- the widget --- */

typedef enum {
  MODE_IDLE,
  MODE_PAN,
  MODE_BOX, /* rubber band */
  MODE_MOVE,
  MODE_LAND,       /* a conductor in hand, its first end landed */
  MODE_RELAND,     /* one end of a conductor in hand */
  MODE_BEND,       /* a stretch of a conductor in hand */
  MODE_PLACE,      /* a new device in hand */
  MODE_PROBE,      /* a probe in hand */
  MODE_KEY_SOURCE, /* keyboard: choosing the terminal to land from */
  MODE_KEY_TARGET, /* keyboard: choosing the terminal to land on */
  MODE_KEY_BEND    /* keyboard: moving stretches of a conductor */
} CanvasMode;

typedef enum { HIT_NOTHING, HIT_TERMINAL, HIT_DEVICE, HIT_CONDUCTOR, HIT_END } HitKind;
typedef struct {
  HitKind kind;
  const Device *device;       /* borrowed from the document: until its next change */
  const Conductor *conductor; /* the same */
  guint terminal;
  bool from_end; /* HIT_END */
  guint stretch; /* HIT_CONDUCTOR: between route points stretch and stretch + 1 */
  Point at;      /* the terminal, or the place on the conductor */
} Hit;

typedef struct CanvasPicture CanvasPicture;

struct _Canvas {
  GtkWidget parent;
  Session *session;
  FigureCache *cache;

  double zoom;               /* pixels for each mm */
  double origin_x, origin_y; /* where the sheet's corner lies in the widget */
  bool placed;               /* a first allocation has fitted the sheet */
  /* Where canvas_zoom_content left the view: as long as nobody has moved it or changed the sheet
   * since, another size of the widget is fitted again. 0: it has not. */
  double framed_zoom, framed_x, framed_y;

  GskRenderNode *view;    /* bench, paper and figures at rest */
  CanvasPicture *picture; /* the same as pixels */
  bool small;             /* so many devices in view that each is drawn as a box */
  Rect content;           /* bounds of the figures; asked for at every move */
  bool content_known;
  bool dark, contrast;
  guint listener; /* of preferences */

  CanvasMode mode;
  bool space_held;
  guint button;
  GdkModifierType modifiers;
  double press_x, press_y; /* widget pixels */
  double start_origin_x, start_origin_y;
  Point press, pointer;      /* sheet mm */
  double motion_x, motion_y; /* where the pointer last moved to, pixels */
  gint64 entered;            /* when the pointer came in, microseconds */
  bool pointer_inside;
  bool dragged; /* the press became a drag */
  Hit pressed, hover, told;

  Device *sample; /* MODE_PLACE: what is placed; a reference */
  Device *ghost;
  Point place_at;
  int place_turns;
  Landing from;        /* MODE_LAND, MODE_KEY_*: owned strings */
  GArray *bends;       /* of Point, clicked while landing */
  bool landing_sticks; /* landing by clicks, not by one drag */
  guint32 key;         /* MODE_RELAND, MODE_BEND */
  bool key_from_end;
  ProbeColour probe;
  GString *typed;                     /* keyboard landing: the start of a terminal's name */
  guint focus_device, focus_terminal; /* keyboard: the terminal in question */
  bool key_reland;                    /* MODE_KEY_TARGET: an end of canvas->key is in hand */
  bool key_probe;                     /* MODE_PROBE: the terminal is chosen by keyboard */
  guint32 focus_conductor; /* MODE_KEY_TARGET: it is landed on instead of a terminal; 0: none */
  double splice_along;     /* mm from its start */
  guint focus_stretch;     /* MODE_KEY_BEND: of preview_route */
  char *walk_device;       /* whose conductors are walked */

  char **moving;          /* MODE_MOVE: ids, with what lies in outlines */
  Document *preview_base; /* MODE_MOVE: what moves, before */
  Document *preview;      /* ... and as it would be */
  FigureCache *preview_cache;
  GArray *preview_route; /* of Point: MODE_LAND, MODE_RELAND, MODE_BEND, MODE_KEY_TARGET */
  Point move_by;
  GHashTable *hidden_devices; /* ids not drawn at rest while they move */
  GHashTable *hidden_conductors;
  double zoom_at_pinch, pinch_x, pinch_y; /* pixels: the middle of the fingers */
  bool pinched;                           /* pinch_x and pinch_y are of this pinch */
  GArray *flags; /* of CanvasFlag; NULL: none */
};

#define SNAP_PIXELS 9.0
#define DRAG_PIXELS 4.0
#define ZOOM_NORMAL (96.0 / 25.4) /* real size: pixels for each mm */

/* canvas_view.c */
void canvas_refresh(Canvas *canvas); /* the view at rest has to be drawn again */
void canvas_review(Canvas *canvas);  /* only zoom or origin have changed */
Rect canvas_content(Canvas *canvas); /* bounds of the figures */
void canvas_set_zoom(Canvas *canvas, double zoom, double about_x, double about_y);
void canvas_clamp(Canvas *canvas);
Rect canvas_paper(Canvas *canvas);

/* canvas.c */
void canvas_readout(Canvas *canvas);  /* tells where the pointer is */
void canvas_describe(Canvas *canvas); /* tells assistive technology what is selected */
void canvas_hint(Canvas *canvas, const char *text);
Hit canvas_hit(Canvas *canvas, double x, double y);
Hit canvas_hit_terminal(Canvas *canvas, double x, double y);
char *canvas_terminal_text(Canvas *canvas, const Device *device, guint terminal);
bool canvas_landing_of(const Hit *hit, Landing *borrowed);

/* canvas_draw.c */
void canvas_snapshot(GtkWidget *widget, GtkSnapshot *snapshot);
void canvas_set_bench(const Canvas *canvas, cairo_t *cr);
/* Whether devices are drawn as boxes, by what is in view now. */
void canvas_choose_detail(Canvas *canvas);
/* Bench, paper and figures of a part of the sheet, in sheet millimetres; the caller clips. */
void canvas_draw_sheet(Canvas *canvas, cairo_t *cr, Rect seen);
Palette canvas_palette(const Canvas *canvas);
void canvas_set_ink(cairo_t *cr, const Canvas *canvas, Ink ink, double alpha);
double canvas_hairline(Canvas *canvas);
FigureStyle canvas_figure_style(Canvas *canvas);

/* canvas_crowd.c: more devices are moved than can be routed anew at every step */
bool canvas_moves_crowd(const Canvas *canvas);
void canvas_draw_crowd(Canvas *canvas, GtkSnapshot *snapshot);

/* canvas_picture.c */
CanvasPicture *canvas_picture_new(void);
void canvas_picture_free(CanvasPicture *picture);
void canvas_picture_drop(CanvasPicture *picture); /* what is drawn is not true any more */
/* Brings the picture up to date and paints it over the widget. */
void canvas_picture_paint(Canvas *canvas, cairo_t *cr);

/* canvas_overlay.c */
void canvas_draw_overlay(Canvas *canvas, GtkSnapshot *snapshot);

/* canvas_flags.c */
void canvas_draw_flags(Canvas *canvas, GtkSnapshot *snapshot);

/* canvas_gestures.c */
void canvas_gestures_init(Canvas *canvas);
/* The fingers stand `scale` times as far apart as when they came down, round x, y. */
void canvas_pinch(Canvas *canvas, double scale, double x, double y);

/* canvas_tools.c */
void canvas_tools_clear(Canvas *canvas); /* puts down what is in hand */
void canvas_remake_ghost(Canvas *canvas);
void canvas_finish_place(Canvas *canvas, bool again);
void canvas_begin_move(Canvas *canvas);
void canvas_update_move(Canvas *canvas);
void canvas_finish_move(Canvas *canvas);
void canvas_set_from(Canvas *canvas, const char *device, const char *terminal);
void canvas_begin_land(Canvas *canvas, const Hit *hit);
void canvas_update_route(Canvas *canvas, const Hit *target);
void canvas_finish_land(Canvas *canvas, const Hit *target);
void canvas_update_reland(Canvas *canvas);
void canvas_finish_reland(Canvas *canvas, const Hit *target);
void canvas_update_bend(Canvas *canvas);
void canvas_finish_bend(Canvas *canvas);
/* The probe in hand touches a conductor: it is put where the conductor starts. */
void canvas_probe_conductor(Canvas *canvas, const Conductor *conductor);
void canvas_click_select(Canvas *canvas, const Hit *hit);
void canvas_finish_box(Canvas *canvas);

/* canvas_keys.c */
void canvas_keys_init(Canvas *canvas);
void canvas_keys_class_init(GtkWidgetClass *class);
void canvas_show_focus(Canvas *canvas); /* the terminal in question: seen, named, tried */
/* A hint for the status line and for assistive technology. */
void canvas_tell(Canvas *canvas, const char *hint);

/* canvas_wires.c */
/* From the selected conductor to the device at its other end (step > 0) or back. */
bool canvas_follow_conductor(Canvas *canvas, int step);
/* Where a splice would go, when a conductor is chosen to land on. */
bool canvas_focus_splice(Canvas *canvas, Hit *hit);
void canvas_walk_splice(Canvas *canvas, int step);
void canvas_slide_splice(Canvas *canvas, int dx, int dy, int stride);
/* The route with one stretch moved at right angles to itself through `to`; *stretch becomes its
 * place in the new route. New array. */
GArray *canvas_bent_route(const GArray *route, guint *stretch, Point to);
bool canvas_key_bend(Canvas *canvas, guint key, int dx, int dy, int stride, bool shift);

/* The view is as canvas_zoom_content left it. */
bool canvas_is_framed(const Canvas *canvas);

G_END_DECLS
