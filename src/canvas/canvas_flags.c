/* SPDX-License-Identifier: MIT */
/* Flags on the sheet: a numbered pennant on a pole that stands on the place it means, and the frame
 * round a preview. They keep their size on the screen at every zoom and lie above everything that
 * is drawn; number, form and outline tell them apart, no colour. */
#include "base/language.h"
#include "canvas/canvas_private.h"
#include <math.h>

#define POLE 26.0    /* pixels */
#define PENNANT 24.0 /* wide, its tip included */
#define HEIGHT 18.0  /* of the pennant */
#define SWALLOW 5.0  /* depth of the notch at its end */
#define FOOT 3.5     /* radius of the dot that stands on the place */
#define GAP 4.0      /* between pennants */
#define FRAME 10.0   /* of a preview */
#define MOST_FLAGS 200

/* A flag in view, in pixels. */
typedef struct {
  guint number;
  double x, y; /* the place */
  Rect box;    /* the pennant */
  bool left;   /* it hangs left of the pole */
} Placed;

static int
digits_of(guint number)
{
  return number < 10 ? 1 : number < 100 ? 2 : 3;
}

static double
width_of(const CanvasFlag *flag)
{
  return PENNANT + 7.0 * (digits_of(flag->number) - 1);
}

static bool
is_free(const GArray *placed, Rect box, double *above)
{
  for (guint i = 0; i < placed->len; i++) {
    const Rect *other = &g_array_index(placed, Placed, i).box;
    if (box.x < other->x + other->width && other->x < box.x + box.width &&
        box.y < other->y + other->height + GAP && other->y < box.y + box.height + GAP) {
      *above = other->y - HEIGHT - GAP;
      return false;
    }
  }
  return true;
}

/* Right of the pole where there is room, else left, else higher up. */
static Rect
place_pennant(const GArray *placed, double x, double y, double width)
{
  Rect right = {x, y - POLE - HEIGHT / 2, width, HEIGHT},
       left = {x - width, right.y, width, HEIGHT};
  double above = right.y;
  if (is_free(placed, right, &above))
    return right;
  if (is_free(placed, left, &above))
    return left;
  for (guint i = 0; i < MOST_FLAGS && !is_free(placed, right, &above); i++)
    right.y = above;
  return right;
}

static void
trace_pole(cairo_t *cr, const Placed *flag)
{
  cairo_new_path(cr);
  cairo_move_to(cr, flag->x, flag->box.y);
  cairo_line_to(cr, flag->x, flag->y);
  cairo_new_sub_path(cr);
  cairo_arc(cr, flag->x, flag->y, FOOT, 0, 2 * G_PI);
}

static void
trace_pennant(cairo_t *cr, const Placed *flag)
{
  const Rect *box = &flag->box;
  double end = flag->left ? box->x : box->x + box->width;
  double notch = flag->left ? end + SWALLOW : end - SWALLOW;
  cairo_new_path(cr);
  cairo_move_to(cr, flag->x, box->y);
  cairo_line_to(cr, end, box->y);
  cairo_line_to(cr, notch, box->y + HEIGHT / 2);
  cairo_line_to(cr, end, box->y + HEIGHT);
  cairo_line_to(cr, flag->x, box->y + HEIGHT);
  cairo_close_path(cr);
}

/* Paper colour all round parts it from the wires it lies on. */
static void
draw_part(Canvas *canvas, GtkSnapshot *snapshot, const Placed *flag,
          void (*trace)(cairo_t *, const Placed *))
{
  const Rect *box = &flag->box;
  double left = MIN(box->x, flag->x - FOOT) - 4,
         right = MAX(box->x + box->width, flag->x + FOOT) + 4;
  cairo_t *cr = gtk_snapshot_append_cairo(
      snapshot, &GRAPHENE_RECT_INIT((float)left, (float)(box->y - 4), (float)(right - left),
                                    (float)(flag->y - box->y + FOOT + 8)));
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  trace(cr, flag);
  canvas_set_ink(cr, canvas, INK_PAPER, 1);
  cairo_set_line_width(cr, 6);
  cairo_stroke_preserve(cr);
  canvas_set_ink(cr, canvas, INK_LINE, 1);
  cairo_fill_preserve(cr);
  cairo_set_line_width(cr, 2);
  cairo_stroke(cr);
  cairo_destroy(cr);
}

static void
draw_number(Canvas *canvas, GtkSnapshot *snapshot, const Placed *flag)
{
  g_autofree char *text = g_strdup_printf("%u", flag->number);
  g_autoptr(PangoLayout) layout = gtk_widget_create_pango_layout(GTK_WIDGET(canvas), text);
  g_autoptr(PangoFontDescription) font = pango_font_description_from_string("Sans Bold");
  pango_font_description_set_absolute_size(font, 13 * PANGO_SCALE);
  pango_layout_set_font_description(layout, font);
  const Rect box = flag->box;
  double from = flag->left ? box.x + SWALLOW : box.x + 0.5;
  int w, h;
  pango_layout_get_pixel_size(layout, &w, &h);
  PenColour ink = palette_ink(canvas_palette(canvas), INK_PAPER);
  GdkRGBA colour = {(float)ink.red, (float)ink.green, (float)ink.blue, 1};
  gtk_snapshot_save(snapshot);
  gtk_snapshot_translate(snapshot,
                         &GRAPHENE_POINT_INIT((float)(from + (box.width - SWALLOW - w) / 2),
                                              (float)(box.y + (HEIGHT - h) / 2)));
  gtk_snapshot_append_layout(snapshot, layout, &colour);
  gtk_snapshot_restore(snapshot);
}

/* False: nothing of it is in view. */
static bool
place_flag(Canvas *canvas, const CanvasFlag *flag, const GArray *placed, Placed *place)
{
  double x, y, width = width_of(flag);
  canvas_from_sheet(canvas, flag->at, &x, &y);
  if (x < -width || x > gtk_widget_get_width(GTK_WIDGET(canvas)) + width || y < -HEIGHT ||
      y > gtk_widget_get_height(GTK_WIDGET(canvas)) + POLE + HEIGHT)
    return false;
  *place = (Placed){.number = flag->number, .x = floor(x) + 0.5, .y = floor(y) + 0.5};
  place->box = place_pennant(placed, place->x, place->y, width);
  place->left = place->box.x < place->x - 1;
  return true;
}

/* Slanted bars all round, whatever the colours are. */
static void
draw_frame(Canvas *canvas, GtkSnapshot *snapshot)
{
  double width = gtk_widget_get_width(GTK_WIDGET(canvas));
  double height = gtk_widget_get_height(GTK_WIDGET(canvas));
  const Rect sides[] = {{0, 0, width, FRAME},
                        {0, height - FRAME, width, FRAME},
                        {0, 0, FRAME, height},
                        {width - FRAME, 0, FRAME, height}};
  for (gsize i = 0; i < G_N_ELEMENTS(sides); i++) {
    const Rect *side = &sides[i];
    cairo_t *cr = gtk_snapshot_append_cairo(
        snapshot, &GRAPHENE_RECT_INIT((float)side->x, (float)side->y, (float)side->width,
                                      (float)side->height));
    canvas_set_ink(cr, canvas, INK_PAPER, 1);
    cairo_paint(cr);
    canvas_set_ink(cr, canvas, INK_LINE, 1);
    cairo_set_line_width(cr, 5);
    for (double at = -height; at < width + height; at += 14) {
      cairo_move_to(cr, at, 0);
      cairo_line_to(cr, at + height, height);
    }
    cairo_stroke(cr);
    cairo_destroy(cr);
  }
}

void
canvas_draw_flags(Canvas *canvas, GtkSnapshot *snapshot)
{
  if (session_is_preview(canvas->session))
    draw_frame(canvas, snapshot);
  if (canvas->flags == NULL)
    return;
  g_autoptr(GArray) placed = g_array_new(FALSE, FALSE, sizeof(Placed));
  for (guint i = 0; i < MIN(canvas->flags->len, MOST_FLAGS); i++) {
    Placed place;
    if (place_flag(canvas, &g_array_index(canvas->flags, CanvasFlag, i), placed, &place))
      g_array_append_val(placed, place);
  }
  for (guint i = 0; i < placed->len; i++)
    draw_part(canvas, snapshot, &g_array_index(placed, Placed, i), trace_pole);
  for (guint i = 0; i < placed->len; i++) { /* no pole crosses a number */
    draw_part(canvas, snapshot, &g_array_index(placed, Placed, i), trace_pennant);
    draw_number(canvas, snapshot, &g_array_index(placed, Placed, i));
  }
}

void
canvas_set_flags(Canvas *canvas, const GArray *flags)
{
  g_clear_pointer(&canvas->flags, g_array_unref);
  canvas->flags = g_array_new(FALSE, FALSE, sizeof(CanvasFlag));
  for (guint i = 0; flags != NULL && i < flags->len; i++)
    g_array_append_val(canvas->flags, g_array_index(flags, CanvasFlag, i));
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

const GArray *
canvas_get_flags(Canvas *canvas)
{
  return canvas->flags;
}

bool
canvas_get_pointed(Canvas *canvas, Landing *borrowed)
{
  return canvas->pointer_inside && canvas->hover.kind == HIT_TERMINAL &&
         canvas_landing_of(&canvas->hover, borrowed);
}
