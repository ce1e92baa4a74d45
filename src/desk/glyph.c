/* SPDX-License-Identifier: MIT */
#include "desk/glyph.h"

#include <string.h>

/* The shapes are drawn in a square of this many units. */
#define UNITS 16

struct _Glyph {
  GObject parent;
  char *shape;
};

typedef struct {
  const char *name;
  void (*draw)(cairo_t *cr);
} Shape;

static void
polygon(cairo_t *cr, const double *xy, int n)
{
  for (int i = 0; i < n; i++)
    cairo_line_to(cr, xy[2 * i], xy[2 * i + 1]);
  cairo_close_path(cr);
}

/* An arrow back over a bow: what was last done is taken back. */
static void
draw_undo(cairo_t *cr)
{
  static const double head[] = {1, 6, 6, 1.5, 6, 10.5};
  polygon(cr, head, 3);
  cairo_fill(cr);
  cairo_set_line_width(cr, 2);
  cairo_move_to(cr, 5, 6);
  cairo_line_to(cr, 10, 6);
  cairo_arc(cr, 10, 10, 4, -G_PI_2, G_PI_2);
  cairo_line_to(cr, 7, 14);
  cairo_stroke(cr);
}

static void
draw_redo(cairo_t *cr)
{
  cairo_translate(cr, UNITS, 0);
  cairo_scale(cr, -1, 1);
  draw_undo(cr);
}

static void
draw_menu(cairo_t *cr)
{
  for (int i = 0; i < 3; i++)
    cairo_rectangle(cr, 2, 3 + 4 * i, 12, 2);
  cairo_fill(cr);
}

static void
draw_down(cairo_t *cr)
{
  static const double triangle[] = {3, 6, 13, 6, 8, 11};
  polygon(cr, triangle, 3);
  cairo_fill(cr);
}

/* A padlock. */
static void
draw_lockout(cairo_t *cr)
{
  cairo_set_line_width(cr, 2);
  cairo_move_to(cr, 5, 8);
  cairo_arc(cr, 8, 4, 3, G_PI, 0);
  cairo_line_to(cr, 11, 8);
  cairo_stroke(cr);
  cairo_rectangle(cr, 2, 7, 12, 9);
  cairo_fill(cr);
}

/* A bolt. */
static void
draw_energize(cairo_t *cr)
{
  static const double bolt[] = {10, 0, 3, 9, 7, 9, 5, 16, 13, 6, 8.5, 6};
  polygon(cr, bolt, 6);
  cairo_fill(cr);
}

/* Three quarters of a circle, clockwise. */
static void
draw_turn(cairo_t *cr)
{
  static const double head[] = {8, 0, 12, 3.25, 8, 6.5};
  cairo_set_line_width(cr, 2);
  cairo_arc_negative(cr, 8, 8, 5, -G_PI_2, 0);
  cairo_stroke(cr);
  polygon(cr, head, 3);
  cairo_fill(cr);
}

/* Two triangles on either side of a dashed line, one of them hollow. */
static void
draw_mirror(cairo_t *cr)
{
  static const double filled[] = {6, 4, 6, 13, 0, 13}, hollow[] = {10.5, 6, 10.5, 12.5, 14.5, 12.5};
  for (int i = 0; i < 4; i++)
    cairo_rectangle(cr, 7.25, 1 + 4 * i, 1.5, 2);
  polygon(cr, filled, 3);
  cairo_fill(cr);
  cairo_set_line_width(cr, 1);
  polygon(cr, hollow, 3);
  cairo_stroke(cr);
}

static void
draw(const Glyph *glyph, GdkSnapshot *snapshot, double width, double height, const GdkRGBA *colour)
{
  static const Shape shapes[] = {{"undo", draw_undo},       {"redo", draw_redo},
                                 {"menu", draw_menu},       {"down", draw_down},
                                 {"lockout", draw_lockout}, {"energize", draw_energize},
                                 {"turn", draw_turn},       {"mirror", draw_mirror}};
  const graphene_rect_t bounds = {{0, 0}, {(float)width, (float)height}};
  cairo_t *cr = gtk_snapshot_append_cairo(GTK_SNAPSHOT(snapshot), &bounds);
  cairo_scale(cr, width / UNITS, height / UNITS);
  gdk_cairo_set_source_rgba(cr, colour);
  for (guint i = 0; i < G_N_ELEMENTS(shapes); i++)
    if (g_strcmp0(glyph->shape, shapes[i].name) == 0)
      shapes[i].draw(cr);
  cairo_destroy(cr);
}

/* --- paintable --- */

static void
glyph_snapshot(GdkPaintable *paintable, GdkSnapshot *snapshot, double width, double height)
{
  const GdkRGBA grey = {0.18f, 0.2f, 0.21f, 1};
  draw(DOORSHEET_GLYPH(paintable), snapshot, width, height, &grey);
}

static void
glyph_snapshot_symbolic(GtkSymbolicPaintable *paintable, GdkSnapshot *snapshot, double width,
                        double height, const GdkRGBA *colours, gsize n)
{
  if (n > GTK_SYMBOLIC_COLOR_FOREGROUND)
    draw(DOORSHEET_GLYPH(paintable), snapshot, width, height,
         &colours[GTK_SYMBOLIC_COLOR_FOREGROUND]);
}

static int
glyph_size(GdkPaintable *paintable)
{
  (void)paintable;
  return UNITS;
}

static GdkPaintableFlags
glyph_flags(GdkPaintable *paintable)
{
  (void)paintable;
  return GDK_PAINTABLE_STATIC_CONTENTS | GDK_PAINTABLE_STATIC_SIZE;
}

static void
glyph_paintable_init(GdkPaintableInterface *interface)
{
  interface->snapshot = glyph_snapshot;
  interface->get_flags = glyph_flags;
  interface->get_intrinsic_width = glyph_size;
  interface->get_intrinsic_height = glyph_size;
}

static void
glyph_symbolic_init(GtkSymbolicPaintableInterface *interface)
{
  interface->snapshot_symbolic = glyph_snapshot_symbolic;
}

G_DEFINE_FINAL_TYPE_WITH_CODE(Glyph, glyph, G_TYPE_OBJECT,
                              G_IMPLEMENT_INTERFACE(GDK_TYPE_PAINTABLE, glyph_paintable_init)
                                  G_IMPLEMENT_INTERFACE(GTK_TYPE_SYMBOLIC_PAINTABLE,
                                                        glyph_symbolic_init))

/* --- object --- */

static void
glyph_set_property(GObject *object, guint id, const GValue *value, GParamSpec *spec)
{
  (void)id;
  (void)spec; /* there is one */
  DOORSHEET_GLYPH(object)->shape = g_value_dup_string(value);
}

static void
glyph_finalize(GObject *object)
{
  g_free(DOORSHEET_GLYPH(object)->shape);
  G_OBJECT_CLASS(glyph_parent_class)->finalize(object);
}

static void
glyph_class_init(GlyphClass *class)
{
  GObjectClass *object_class = G_OBJECT_CLASS(class);
  object_class->set_property = glyph_set_property;
  object_class->finalize = glyph_finalize;
  g_object_class_install_property(
      object_class, 1,
      g_param_spec_string("shape", NULL, NULL, NULL,
                          G_PARAM_WRITABLE | G_PARAM_CONSTRUCT_ONLY | G_PARAM_STATIC_STRINGS));
}

static void
glyph_init(Glyph *glyph)
{
  (void)glyph;
}

GdkPaintable *
glyph_new(const char *shape)
{
  return g_object_new(GLYPH_TYPE, "shape", shape, NULL);
}
