/* SPDX-License-Identifier: MIT */
/* Drawing. What is at rest is kept as one finished render node; what moves, is selected or hovered
 * is drawn in small nodes above it. GTK compares node pointers, so a frame costs only the area of
 * the small ones, however large the sheet is. The node holds a picture (canvas_picture.c). */
#include "canvas/canvas_private.h"
#include "keep/preferences.h"
#include "pen/pen_cairo.h"
#include <math.h>
#include <string.h>

/* Letters below these heights, in pixels of the device and of the eye, are left out. */
#define TEXT_PIXELS 3.5
#define TEXT_SEEN 2.4
/* With more devices than this in view and symbols below SMALL_ZOOM each is drawn as a box. */
#define MANY_DEVICES 600
#define SMALL_ZOOM 1.2

Palette
canvas_palette(const Canvas *canvas)
{
  return canvas->contrast ? PALETTE_CONTRAST : canvas->dark ? PALETTE_DARK : PALETTE_LIGHT;
}

void
canvas_set_ink(cairo_t *cr, const Canvas *canvas, Ink ink, double alpha)
{
  PenColour colour = palette_ink(canvas_palette(canvas), ink);
  cairo_set_source_rgba(cr, colour.red, colour.green, colour.blue, alpha);
}

double
canvas_hairline(Canvas *canvas)
{
  return 1.0 / (canvas->zoom * gtk_widget_get_scale_factor(GTK_WIDGET(canvas)));
}

/* --- at rest --- */

static void
draw_grid(Canvas *canvas, cairo_t *cr, Rect paper, double step, double alpha)
{
  canvas_set_ink(cr, canvas, INK_FAINT, alpha);
  cairo_set_line_width(cr, canvas_hairline(canvas));
  for (double x = step; x < paper.width; x += step) {
    cairo_move_to(cr, x, 0);
    cairo_line_to(cr, x, paper.height);
  }
  for (double y = step; y < paper.height; y += step) {
    cairo_move_to(cr, 0, y);
    cairo_line_to(cr, paper.width, y);
  }
  cairo_stroke(cr);
}

static void
draw_paper(Canvas *canvas, cairo_t *cr)
{
  Rect paper = canvas_paper(canvas);
  double lift = 3 / canvas->zoom;
  cairo_set_source_rgba(cr, 0, 0, 0, canvas->dark ? 0.45 : 0.18);
  cairo_rectangle(cr, lift, lift, paper.width, paper.height);
  cairo_fill(cr);
  canvas_set_ink(cr, canvas, INK_PAPER, 1);
  cairo_rectangle(cr, 0, 0, paper.width, paper.height);
  cairo_fill(cr);
  bool grid = preference_on(PREFERENCE_GRID);
  if (grid && canvas->zoom * GRID_STEP_MM >= 7)
    draw_grid(canvas, cr, paper, GRID_STEP_MM, 0.12);
  if (grid && canvas->zoom * 4 * GRID_STEP_MM >= 7)
    draw_grid(canvas, cr, paper, 4 * GRID_STEP_MM, 0.22);
  canvas_set_ink(cr, canvas, INK_FAINT, 0.9);
  cairo_set_line_width(cr, canvas_hairline(canvas));
  cairo_rectangle(cr, 0, 0, paper.width, paper.height);
  cairo_stroke(cr);
}

static bool
labels_show(Canvas *canvas)
{
  double height = canvas->zoom * PEN_LETTER_MM;
  return height >= TEXT_SEEN &&
         height * gtk_widget_get_scale_factor(GTK_WIDGET(canvas)) >= TEXT_PIXELS;
}

FigureStyle
canvas_figure_style(Canvas *canvas)
{
  /* Volts on an exercise are for the student's meter. */
  bool exercise = sheet_is_exercise(document_sheet(session_get_document(canvas->session)));
  return (FigureStyle){.solution = exercise ? NULL : session_get_solution(canvas->session),
                       .energized = session_get_energized(canvas->session),
                       .covered = exercise,
                       .labels = labels_show(canvas),
                       .cache = canvas->cache};
}

/* Symbols too small to tell apart: boxes and lines in one path. */
static void
draw_small(Canvas *canvas, cairo_t *cr, const GPtrArray *devices, const GPtrArray *conductors)
{
  for (guint i = 0; i < conductors->len; i++) {
    const GArray *route = figure_cache_route(canvas->cache, conductors->pdata[i]);
    for (guint p = 0; route != NULL && p < route->len; p++) {
      Point at = g_array_index(route, Point, p);
      if (p == 0)
        cairo_move_to(cr, at.x, at.y);
      else
        cairo_line_to(cr, at.x, at.y);
    }
  }
  for (guint i = 0; i < devices->len; i++) {
    Rect body = figure_cache_symbol_box(canvas->cache, devices->pdata[i]);
    cairo_rectangle(cr, body.x, body.y, body.width, body.height);
  }
  canvas_set_ink(cr, canvas, INK_LINE, 1);
  cairo_set_line_width(cr, canvas_hairline(canvas));
  cairo_stroke(cr);
}

static int
compare_places(gconstpointer a, gconstpointer b, gpointer document)
{
  const Device *left = *(Device *const *)a, *right = *(Device *const *)b;
  return document_device_index(document, left->id) - document_device_index(document, right->id);
}

/* A device draws the dots where conductors from one of its terminals part, which may be in view
 * when the device itself is not. */
static void
add_ends(const Document *document, const GPtrArray *conductors, GPtrArray *devices)
{
  g_autoptr(GHashTable) there = g_hash_table_new(NULL, NULL);
  for (guint i = 0; i < devices->len; i++)
    g_hash_table_add(there, devices->pdata[i]);
  guint before = devices->len;
  for (guint i = 0; i < conductors->len; i++) {
    const Conductor *conductor = conductors->pdata[i];
    const char *const ids[] = {conductor->from.device, conductor->to.device};
    for (guint end = 0; end < 2; end++) {
      const Device *device = ids[end] != NULL ? document_find_device(document, ids[end]) : NULL;
      if (device != NULL && g_hash_table_add(there, (gpointer)(guintptr)device))
        g_ptr_array_add(devices, (gpointer)(guintptr)device);
    }
  }
  if (devices->len > before)
    g_ptr_array_sort_with_data(devices, compare_places, (gpointer)(guintptr)document);
}

/* What is at rest and is drawn now: everything, or of an energized sheet the dead or the live part.
 */
typedef struct {
  Canvas *canvas;
  Pen *pen;
  const GPtrArray *devices, *conductors;
  FigureStyle style;
  const FigurePower *power; /* NULL: everything */
  bool dead;
  bool codes;
} Pass;

static void
draw_devices(const Pass *pass, bool outlines)
{
  const Document *document = session_get_document(pass->canvas->session);
  for (guint i = 0; i < pass->devices->len; i++) {
    const Device *device = pass->devices->pdata[i];
    if ((device->kind->role == ROLE_OUTLINE) != outlines ||
        g_hash_table_contains(pass->canvas->hidden_devices, device->id))
      continue;
    guint index = pass->power != NULL ? (guint)document_device_index(document, device->id) : 0;
    if (pass->power == NULL ||
        figure_power_is_dead_device(pass->power, document, index) == pass->dead)
      figure_draw_device(pass->pen, document, device, &pass->style);
  }
}

static void
draw_pass(const Pass *pass)
{
  const Document *document = session_get_document(pass->canvas->session);
  const FigurePower *power = pass->power;
  for (guint i = 0; i < pass->conductors->len; i++) {
    const Conductor *conductor = pass->conductors->pdata[i];
    if (g_hash_table_contains(pass->canvas->hidden_conductors, GUINT_TO_POINTER(conductor->key)))
      continue;
    guint index = power != NULL ? figure_cache_conductor_index(pass->style.cache, conductor) : 0;
    if (power == NULL || figure_power_is_dead_conductor(power, document, index) == pass->dead)
      figure_draw_conductor(pass->pen, document, conductor, &pass->style);
    else
      continue;
    if (pass->codes)
      figure_draw_code(pass->pen, document, conductor, &pass->style);
  }
  draw_devices(pass, false);
}

/* Dead parts fade, so that the eye goes to what is live; they stay legible. */
#define DEAD_ALPHA 0.42

static void
draw_passes(Pass *pass, cairo_t *cr)
{
  const Solution *solution = pass->style.solution;
  const Document *document = session_get_document(pass->canvas->session);
  draw_devices(pass, true); /* below everything they enclose */
  if (solution == NULL || !pass->style.energized) {
    draw_pass(pass);
    return;
  }
  g_autoptr(FigurePower) power = figure_power_new(document, solution);
  pass->power = power;
  pass->dead = true;
  cairo_push_group(cr);
  draw_pass(pass);
  cairo_pop_group_to_source(cr);
  cairo_paint_with_alpha(cr, DEAD_ALPHA);
  pass->dead = false;
  draw_pass(pass);
}

/* Letters lower than this, in pixels of the device and of the eye, are a smudge. */
#define CODE_PIXELS 6.0
#define CODE_SEEN 4.4
#define CODE_MM 2.0

static bool
shows_codes(Canvas *canvas)
{
  double height = canvas->zoom * CODE_MM;
  return preference_on(PREFERENCE_COLOURS) && height >= CODE_SEEN &&
         height * gtk_widget_get_scale_factor(GTK_WIDGET(canvas)) >= CODE_PIXELS &&
         g_hash_table_size(canvas->hidden_devices) == 0; /* what moves is looked at otherwise */
}

/* How far beside its part a screen aid may lie: colours in letters, volts beside a cap. What is in
 * view of them hangs on parts that are not. */
#define AIDS_REACH_MM 10.0

static void
draw_figures(Canvas *canvas, cairo_t *cr, Rect seen)
{
  const Document *document = session_get_document(canvas->session);
  g_autoptr(GPtrArray) devices = g_ptr_array_new(), conductors = g_ptr_array_new();
  bool aids = shows_codes(canvas) || session_get_energized(canvas->session);
  Rect reach = aids && !canvas->small ? rect_grow(seen, AIDS_REACH_MM) : seen;
  figure_cache_devices_in(canvas->cache, reach, devices);
  figure_cache_conductors_in(canvas->cache, reach, conductors);
  if (canvas->small) {
    draw_small(canvas, cr, devices, conductors);
    return;
  }
  add_ends(document, conductors, devices);
  FigureStyle style = canvas_figure_style(canvas);
  g_autoptr(Pen) pen = pen_cairo_new(cr, canvas_palette(canvas), canvas_hairline(canvas));
  Pass pass = {.canvas = canvas,
               .pen = pen,
               .devices = devices,
               .conductors = conductors,
               .style = style,
               .codes = shows_codes(canvas)};
  draw_passes(&pass, cr);
  figure_draw_points_of(pen, document, &style, &seen, canvas->hidden_devices, false);
}

/* Stripes along the top edge: energized shows at a glance and without colour. */
static void
draw_stripes(cairo_t *cr, double width)
{
  cairo_set_source_rgb(cr, 0.98, 0.78, 0.05);
  cairo_rectangle(cr, 0, 0, width, 9);
  cairo_fill(cr);
  cairo_rectangle(cr, 0, 0, width, 9);
  cairo_clip(cr);
  cairo_set_source_rgb(cr, 0.08, 0.08, 0.08);
  cairo_set_line_width(cr, 8);
  for (double x = -20; x < width + 20; x += 22) {
    cairo_move_to(cr, x, 12);
    cairo_line_to(cr, x + 15, -3);
  }
  cairo_stroke(cr);
}

void
canvas_set_bench(const Canvas *canvas, cairo_t *cr)
{
  if (canvas->contrast)
    cairo_set_source_rgb(cr, 0, 0, 0);
  else if (canvas->dark)
    cairo_set_source_rgb(cr, 0.115, 0.125, 0.14);
  else
    cairo_set_source_rgb(cr, 0.80, 0.81, 0.80);
}

void
canvas_choose_detail(Canvas *canvas)
{
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  double width = gtk_widget_get_width(GTK_WIDGET(canvas));
  double height = gtk_widget_get_height(GTK_WIDGET(canvas));
  Point corner = canvas_to_sheet(canvas, 0, 0), far = canvas_to_sheet(canvas, width, height);
  figure_cache_devices_in(canvas->cache, rect_from_points(corner, far), devices);
  canvas->small = devices->len > MANY_DEVICES && canvas->zoom < SMALL_ZOOM;
}

void
canvas_draw_sheet(Canvas *canvas, cairo_t *cr, Rect seen)
{
  canvas_set_bench(canvas, cr);
  cairo_paint(cr);
  draw_paper(canvas, cr);
  draw_figures(canvas, cr, seen);
}

static GskRenderNode *
draw_at_rest(Canvas *canvas)
{
  GtkSnapshot *snapshot = gtk_snapshot_new();
  double width = gtk_widget_get_width(GTK_WIDGET(canvas));
  double height = gtk_widget_get_height(GTK_WIDGET(canvas));
  cairo_t *cr =
      gtk_snapshot_append_cairo(snapshot, &GRAPHENE_RECT_INIT(0, 0, (float)width, (float)height));
  cairo_save(cr);
  canvas_picture_paint(canvas, cr);
  cairo_restore(cr);
  if (session_get_energized(canvas->session))
    draw_stripes(cr, width);
  cairo_destroy(cr);
  return gtk_snapshot_free_to_node(snapshot);
}

static void
draw_focus_ring(Canvas *canvas, GtkSnapshot *snapshot)
{
  if (!gtk_widget_has_focus(GTK_WIDGET(canvas)))
    return;
  PenColour ink = palette_ink(canvas_palette(canvas), INK_ACCENT);
  GdkRGBA colour = {(float)ink.red, (float)ink.green, (float)ink.blue, 0.9f};
  GskRoundedRect outline;
  gsk_rounded_rect_init_from_rect(
      &outline,
      &GRAPHENE_RECT_INIT(0, 0, (float)gtk_widget_get_width(GTK_WIDGET(canvas)),
                          (float)gtk_widget_get_height(GTK_WIDGET(canvas))),
      0);
  gtk_snapshot_append_border(snapshot, &outline, (float[4]){2, 2, 2, 2},
                             (GdkRGBA[4]){colour, colour, colour, colour});
}

void
canvas_snapshot(GtkWidget *widget, GtkSnapshot *snapshot)
{
  Canvas *canvas = DOORSHEET_CANVAS(widget);
  if (canvas->session == NULL)
    return;
  if (canvas->view == NULL)
    canvas->view = draw_at_rest(canvas);
  if (canvas->view != NULL)
    gtk_snapshot_append_node(snapshot, canvas->view);
  canvas_draw_overlay(canvas, snapshot);
  draw_focus_ring(canvas, snapshot);
}
