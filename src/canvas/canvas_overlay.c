/* SPDX-License-Identifier: MIT */
/* What lies above the sheet at rest: selection, hover, what a tool has in hand, probes. Each is a
 * small render node of its own, so that a frame redraws only its area. */
#include "base/language.h"
#include "base/text.h"
#include "canvas/canvas_private.h"
#include <math.h>
#include <string.h>

/* A context in sheet millimetres over an area of the sheet (with a margin in pixels), or NULL when
 * nothing of it is in view. */
static cairo_t *
begin_area(Canvas *canvas, GtkSnapshot *snapshot, Rect area, double margin)
{
  if (rect_is_empty(area))
    return NULL;
  double left, top, right, bottom;
  canvas_from_sheet(canvas, (Point){area.x, area.y}, &left, &top);
  canvas_from_sheet(canvas, (Point){area.x + area.width, area.y + area.height}, &right, &bottom);
  left = MAX(floor(left - margin), 0);
  top = MAX(floor(top - margin), 0);
  right = MIN(ceil(right + margin), gtk_widget_get_width(GTK_WIDGET(canvas)));
  bottom = MIN(ceil(bottom + margin), gtk_widget_get_height(GTK_WIDGET(canvas)));
  if (right <= left || bottom <= top)
    return NULL;
  cairo_t *cr = gtk_snapshot_append_cairo(
      snapshot,
      &GRAPHENE_RECT_INIT((float)left, (float)top, (float)(right - left), (float)(bottom - top)));
  cairo_translate(cr, canvas->origin_x, canvas->origin_y);
  cairo_scale(cr, canvas->zoom, canvas->zoom);
  return cr;
}

static void
trace(cairo_t *cr, const GArray *route)
{
  for (guint i = 0; route != NULL && i < route->len; i++) {
    Point p = g_array_index(route, Point, i);
    if (i == 0)
      cairo_move_to(cr, p.x, p.y);
    else
      cairo_line_to(cr, p.x, p.y);
  }
}

static Rect
bounds_of(const GArray *route)
{
  Rect bounds = rect_empty();
  for (guint i = 0; route != NULL && i < route->len; i++)
    bounds = rect_include(bounds, g_array_index(route, Point, i));
  return bounds;
}

static void
rounded(cairo_t *cr, Rect box, double radius)
{
  double r = MIN(radius, MIN(box.width, box.height) / 2);
  cairo_new_sub_path(cr);
  cairo_arc(cr, box.x + box.width - r, box.y + r, r, -G_PI / 2, 0);
  cairo_arc(cr, box.x + box.width - r, box.y + box.height - r, r, 0, G_PI / 2);
  cairo_arc(cr, box.x + r, box.y + box.height - r, r, G_PI / 2, G_PI);
  cairo_arc(cr, box.x + r, box.y + r, r, G_PI, 3 * G_PI / 2);
  cairo_close_path(cr);
}

/* Round a device's symbol, and clear of the label beside it. */
#define MARK_MM 0.5

static void
mark_device(Canvas *canvas, GtkSnapshot *snapshot, Rect body, Ink ink, double pixels)
{
  Rect box = rect_grow(body, MARK_MM);
  cairo_t *cr = begin_area(canvas, snapshot, box, pixels + 2);
  if (cr == NULL)
    return;
  rounded(cr, box, 1.2);
  canvas_set_ink(cr, canvas, ink, 0.10);
  cairo_fill_preserve(cr);
  canvas_set_ink(cr, canvas, ink, 1);
  cairo_set_line_width(cr, pixels / canvas->zoom);
  cairo_stroke(cr);
  cairo_destroy(cr);
}

static void
mark_route(Canvas *canvas, GtkSnapshot *snapshot, const GArray *route, Ink ink, bool handles)
{
  cairo_t *cr = begin_area(canvas, snapshot, bounds_of(route), 8);
  if (cr == NULL)
    return;
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
  canvas_set_ink(cr, canvas, ink, 0.45);
  cairo_set_line_width(cr, 5 / canvas->zoom);
  trace(cr, route);
  cairo_stroke(cr);
  for (guint i = 0; handles && i < 2 && route->len > 0; i++) {
    Point p = g_array_index(route, Point, i == 0 ? 0 : route->len - 1);
    double half = 4 / canvas->zoom;
    cairo_rectangle(cr, p.x - half, p.y - half, 2 * half, 2 * half);
    canvas_set_ink(cr, canvas, INK_PAPER, 1);
    cairo_fill_preserve(cr);
    canvas_set_ink(cr, canvas, ink, 1);
    cairo_set_line_width(cr, 1.5 / canvas->zoom);
    cairo_stroke(cr);
  }
  cairo_destroy(cr);
}

/* GSK takes many small nodes badly; more marks than this tell nobody more. */
#define MARKS_MOST 400

static void
draw_selection(Canvas *canvas, GtkSnapshot *snapshot)
{
  const Document *document = session_get_document(canvas->session);
  const char *const *ids = session_get_selected_devices(canvas->session);
  for (guint i = 0; ids[i] != NULL && i < MARKS_MOST; i++) {
    const Device *device = document_find_device(document, ids[i]);
    if (device != NULL && !g_hash_table_contains(canvas->hidden_devices, ids[i]))
      mark_device(canvas, snapshot, figure_cache_symbol_box(canvas->cache, device), INK_ACCENT,
                  1.6);
  }
  guint n;
  const guint32 *keys = session_get_selected_conductors(canvas->session, &n);
  for (guint i = 0; i < MIN(n, MARKS_MOST); i++) {
    const Conductor *conductor = document_find_conductor(document, keys[i]);
    if (conductor != NULL &&
        !g_hash_table_contains(canvas->hidden_conductors, GUINT_TO_POINTER(keys[i])))
      mark_route(canvas, snapshot, figure_cache_route(canvas->cache, conductor), INK_ACCENT,
                 n == 1);
  }
}

static void
ring(Canvas *canvas, GtkSnapshot *snapshot, Point at, Ink ink, double pixels, double width)
{
  cairo_t *cr = begin_area(canvas, snapshot, (Rect){at.x, at.y, 0, 0}, pixels + width + 1);
  if (cr == NULL)
    return;
  cairo_arc(cr, at.x, at.y, pixels / canvas->zoom, 0, 2 * G_PI);
  canvas_set_ink(cr, canvas, ink, 0.18);
  cairo_fill_preserve(cr);
  canvas_set_ink(cr, canvas, ink, 1);
  cairo_set_line_width(cr, width / canvas->zoom);
  cairo_stroke(cr);
  cairo_destroy(cr);
}

/* The places of the finding that was chosen: a heavy broken ring, told from selection by form. */
static void
draw_shown(Canvas *canvas, GtkSnapshot *snapshot)
{
  const Document *document = session_get_document(canvas->session);
  const GPtrArray *places = session_get_shown(canvas->session);
  for (guint i = 0; i < places->len; i++) {
    const char *place = places->pdata[i];
    g_autofree char *id = NULL, *terminal = NULL;
    bool exact = text_split_terminal(place, &id, &terminal);
    const Device *device = document_find_device(document, exact ? id : place);
    int t = device != NULL && exact ? device_terminal_index(device, terminal) : -1;
    if (t >= 0) {
      ring(canvas, snapshot, device_terminal_point(device, (guint)t), INK_WARNING, 11, 3);
    } else if (device != NULL) {
      mark_device(canvas, snapshot, figure_cache_symbol_box(canvas->cache, device), INK_WARNING, 3);
    }
    for (guint c = 0; device == NULL && c < document_conductor_count(document); c++) {
      const Conductor *conductor = document_conductor(document, c);
      g_autofree char *name = conductor_dup_name(conductor);
      if (strcmp(name, place) == 0)
        mark_route(canvas, snapshot, figure_cache_route(canvas->cache, conductor), INK_WARNING,
                   false);
    }
  }
}

/* A small label on the sheet's paper colour, above and right of a point. */
static void
draw_tag(Canvas *canvas, GtkSnapshot *snapshot, Point at, const char *text)
{
  g_autoptr(PangoLayout) layout = gtk_widget_create_pango_layout(GTK_WIDGET(canvas), text);
  int width, height;
  pango_layout_get_pixel_size(layout, &width, &height);
  double x, y;
  canvas_from_sheet(canvas, at, &x, &y);
  x = CLAMP(x + 14, 4, MAX(4, gtk_widget_get_width(GTK_WIDGET(canvas)) - width - 18));
  y = y - height - 20 < 4 ? y + 16 : y - height - 20;
  cairo_t *cr = gtk_snapshot_append_cairo(
      snapshot, &GRAPHENE_RECT_INIT((float)floor(x) - 2, (float)floor(y) - 2, (float)width + 20,
                                    (float)height + 14));
  rounded(cr, (Rect){floor(x) + 0.5, floor(y) + 0.5, width + 14, height + 8}, 4);
  canvas_set_ink(cr, canvas, INK_PAPER, 0.97);
  cairo_fill_preserve(cr);
  canvas_set_ink(cr, canvas, INK_FAINT, 1);
  cairo_set_line_width(cr, 1);
  cairo_stroke(cr);
  canvas_set_ink(cr, canvas, INK_LINE, 1);
  cairo_move_to(cr, floor(x) + 7, floor(y) + 4);
  gtk_snapshot_save(snapshot);
  cairo_destroy(cr);
  PenColour ink = palette_ink(canvas_palette(canvas), INK_LINE);
  GdkRGBA colour = {(float)ink.red, (float)ink.green, (float)ink.blue, 1};
  gtk_snapshot_translate(snapshot, &GRAPHENE_POINT_INIT((float)floor(x) + 7, (float)floor(y) + 4));
  gtk_snapshot_append_layout(snapshot, layout, &colour);
  gtk_snapshot_restore(snapshot);
}

/* Where a splice would go: a filled dot in a ring, and what it means. */
static void
draw_splice(Canvas *canvas, GtkSnapshot *snapshot, const Hit *hit, double pixels)
{
  ring(canvas, snapshot, hit->at, INK_ACCENT, pixels, 3);
  ring(canvas, snapshot, hit->at, INK_LINE, 2, 3);
  g_autofree char *name = conductor_dup_name(hit->conductor);
  g_autofree char *text = g_strdup_printf(_("splice onto %s"), name);
  draw_tag(canvas, snapshot, hit->at, text);
}

static void
draw_hover(Canvas *canvas, GtkSnapshot *snapshot)
{
  const Hit *hit = &canvas->hover;
  if (canvas->mode == MODE_MOVE || canvas->mode == MODE_BOX || canvas->mode == MODE_PAN ||
      canvas->mode == MODE_BEND)
    return; /* what is passed over is not meant */
  if (hit->kind == HIT_END)
    ring(canvas, snapshot, hit->at, INK_ACCENT, 9, 2);
  if (hit->kind == HIT_CONDUCTOR && canvas->mode == MODE_LAND)
    draw_splice(canvas, snapshot, hit, 9);
  else if (hit->kind == HIT_CONDUCTOR && canvas->mode == MODE_PROBE)
    ring(canvas, snapshot, hit->at, INK_ACCENT, 7, 2);
  if (hit->kind != HIT_TERMINAL)
    return;
  ring(canvas, snapshot, hit->at, INK_ACCENT, 8, 2);
  g_autofree char *text = canvas_terminal_text(canvas, hit->device, hit->terminal);
  draw_tag(canvas, snapshot, hit->at, text);
}

static void
draw_route(Canvas *canvas, GtkSnapshot *snapshot)
{
  if (canvas->preview_route == NULL)
    return;
  cairo_t *cr = begin_area(canvas, snapshot, bounds_of(canvas->preview_route), 6);
  if (cr == NULL)
    return;
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  canvas_set_ink(cr, canvas, INK_ACCENT, 1);
  cairo_set_line_width(cr, MAX(2 / canvas->zoom, PEN_HEAVY));
  trace(cr, canvas->preview_route);
  cairo_stroke(cr);
  cairo_destroy(cr);
}

/* How far from its terminal a test point's tag may lie. */
#define TAG_REACH_MM 25.0

static void
draw_moving(Canvas *canvas, GtkSnapshot *snapshot)
{
  const Document *document = canvas->preview;
  if (document == NULL)
    return;
  FigureStyle style = canvas_figure_style(canvas);
  style.solution = NULL; /* the preview is not solved */
  style.energized = false;
  style.cache = canvas->preview_cache;
  Rect area = rect_empty();
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (g_hash_table_contains(canvas->hidden_devices, device->id))
      area = rect_union(area, figure_cache_device_bounds(style.cache, device));
  }
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (g_hash_table_contains(canvas->hidden_conductors, GUINT_TO_POINTER(conductor->key)))
      area = rect_union(area, figure_cache_conductor_bounds(style.cache, conductor));
  }
  bool tagged = document_measured_count(document) > 0; /* tags keep near their terminals */
  cairo_t *cr = begin_area(canvas, snapshot, rect_grow(area, tagged ? TAG_REACH_MM : 2), 3);
  if (cr == NULL)
    return;
  g_autoptr(Pen) pen = pen_cairo_new(cr, canvas_palette(canvas), canvas_hairline(canvas));
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (g_hash_table_contains(canvas->hidden_conductors, GUINT_TO_POINTER(conductor->key)))
      figure_draw_conductor(pen, document, conductor, &style);
  }
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    if (g_hash_table_contains(canvas->hidden_devices, device->id))
      figure_draw_device(pen, document, device, &style);
  }
  figure_draw_points_of(pen, document, &style, NULL, canvas->hidden_devices, true);
  cairo_destroy(cr);
}

static void
draw_guide(Canvas *canvas, GtkSnapshot *snapshot, Point a, Point b, bool broken)
{
  cairo_t *cr = begin_area(canvas, snapshot, rect_from_points(a, b), 2);
  if (cr == NULL)
    return;
  canvas_set_ink(cr, canvas, INK_ACCENT, broken ? 0.9 : 0.7);
  cairo_set_line_width(cr, (broken ? 1.5 : 1) / canvas->zoom);
  if (broken)
    cairo_set_dash(cr, (double[]){4 / canvas->zoom, 4 / canvas->zoom}, 2, 0);
  cairo_move_to(cr, a.x, a.y);
  cairo_line_to(cr, b.x, b.y);
  cairo_stroke(cr);
  cairo_destroy(cr);
}

/* More than these tell nobody more. */
#define TERMINAL_GUIDES_MOST 6

/* Between terminals face to face: a conductor landed there would run straight. */
static void
draw_terminal_guides(Canvas *canvas, GtkSnapshot *snapshot, const Device *moving,
                     const Device *other, guint *drawn)
{
  for (guint i = 0; i < device_terminal_count(moving); i++)
    for (guint k = 0; k < device_terminal_count(other) && *drawn < TERMINAL_GUIDES_MOST; k++) {
      Point a = device_terminal_point(moving, i), b = device_terminal_point(other, k);
      int side = device_terminal_side(moving, i), far_side = device_terminal_side(other, k);
      bool level = fabs(a.y - b.y) < 0.01 && (side & 1) == 0;
      bool upright = fabs(a.x - b.x) < 0.01 && (side & 1) == 1;
      if ((side ^ far_side) != 2 || (!level && !upright) || point_equal(a, b))
        continue;
      draw_guide(canvas, snapshot, a, b, true);
      (*drawn)++;
    }
}

/* Thin lines through what the moving thing is in line with, broken ones between its terminals and
 * those they face. */
static void
draw_guides(Canvas *canvas, GtkSnapshot *snapshot, const Device *moving)
{
  Point at = moving->placement.at;
  Point corner = canvas_to_sheet(canvas, 0, 0);
  Point far = canvas_to_sheet(canvas, gtk_widget_get_width(GTK_WIDGET(canvas)),
                              gtk_widget_get_height(GTK_WIDGET(canvas)));
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  figure_cache_devices_in(canvas->cache, rect_from_points(corner, far), devices);
  bool across = false, down = false;
  guint drawn = 0;
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    if (g_strcmp0(device->id, moving->id) == 0 ||
        g_hash_table_contains(canvas->hidden_devices, device->id))
      continue;
    down |= fabs(device->placement.at.x - at.x) < 0.01;
    across |= fabs(device->placement.at.y - at.y) < 0.01;
    draw_terminal_guides(canvas, snapshot, moving, device, &drawn);
  }
  if (across)
    draw_guide(canvas, snapshot, (Point){corner.x, at.y}, (Point){far.x, at.y}, false);
  if (down)
    draw_guide(canvas, snapshot, (Point){at.x, corner.y}, (Point){at.x, far.y}, false);
}

static void
draw_ghost(Canvas *canvas, GtkSnapshot *snapshot)
{
  if (canvas->mode != MODE_PLACE || canvas->ghost == NULL)
    return;
  Rect body = figure_device_bounds(canvas->ghost);
  draw_guides(canvas, snapshot, canvas->ghost);
  mark_device(canvas, snapshot, body, INK_ACCENT, 1.2);
  cairo_t *cr = begin_area(canvas, snapshot, rect_grow(body, 2), 2);
  if (cr == NULL)
    return;
  cairo_push_group(cr);
  g_autoptr(Pen) pen = pen_cairo_new(cr, canvas_palette(canvas), canvas_hairline(canvas));
  pen_push(pen, canvas->ghost->placement);
  canvas->ghost->kind->draw(canvas->ghost, pen);
  pen_pop(pen);
  cairo_pop_group_to_source(cr);
  cairo_paint_with_alpha(cr, 0.75);
  cairo_destroy(cr);
}

static void
draw_box(Canvas *canvas, GtkSnapshot *snapshot)
{
  if (canvas->mode != MODE_BOX || !canvas->dragged)
    return;
  Rect box = rect_from_points(canvas->press, canvas->pointer);
  cairo_t *cr = begin_area(canvas, snapshot, box, 2);
  if (cr == NULL)
    return;
  cairo_rectangle(cr, box.x, box.y, box.width, box.height);
  canvas_set_ink(cr, canvas, INK_ACCENT, 0.12);
  cairo_fill_preserve(cr);
  canvas_set_ink(cr, canvas, INK_ACCENT, 1);
  cairo_set_line_width(cr, 1 / canvas->zoom);
  cairo_stroke(cr);
  cairo_destroy(cr);
}

/* The two probe tips, told apart by letter as well as by colour. */
static void
draw_probes(Canvas *canvas, GtkSnapshot *snapshot)
{
  const Document *document = session_get_document(canvas->session);
  for (int p = 0; p < 2; p++) {
    const Landing *landing = session_get_probe(canvas->session, (ProbeColour)p);
    const Device *device;
    guint terminal;
    if (landing == NULL || !document_resolve(document, landing, &device, &terminal))
      continue;
    Point at = device_terminal_point(device, terminal);
    double x, y;
    canvas_from_sheet(canvas, at, &x, &y);
    double tip_x = p == PROBE_RED ? x - 26 : x + 26, tip_y = y + 30;
    cairo_t *cr = gtk_snapshot_append_cairo(
        snapshot, &GRAPHENE_RECT_INIT((float)x - 42, (float)y - 6, 84, 54));
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    for (int layer = 0; layer < 2; layer++) {
      if (layer == 0) /* on dark paper an edge of light, or the black probe is not seen */
        canvas_set_ink(cr, canvas, canvas->dark || canvas->contrast ? INK_LINE : INK_PAPER, 1);
      else if (p == PROBE_RED)
        cairo_set_source_rgb(cr, 0.80, 0.10, 0.12);
      else
        cairo_set_source_rgb(cr, 0.12, 0.12, 0.14);
      cairo_set_line_width(cr, layer == 0 ? 5 : 2.5);
      cairo_move_to(cr, x, y);
      cairo_line_to(cr, tip_x, tip_y);
      cairo_stroke(cr);
      cairo_arc(cr, tip_x, tip_y, layer == 0 ? 11 : 9.5, 0, 2 * G_PI);
      cairo_fill(cr);
    }
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_select_font_face(cr, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
    cairo_set_font_size(cr, 12);
    cairo_move_to(cr, tip_x - 4.5, tip_y + 4.5);
    cairo_show_text(cr, p == PROBE_RED ? "R" : "B");
    cairo_destroy(cr);
  }
}

/* The stretch that the arrows move. */
static void
draw_stretch(Canvas *canvas, GtkSnapshot *snapshot)
{
  const GArray *route = canvas->preview_route;
  if (canvas->mode != MODE_KEY_BEND || route == NULL || canvas->focus_stretch + 1 >= route->len)
    return;
  g_autoptr(GArray) stretch = g_array_new(FALSE, FALSE, sizeof(Point));
  g_array_append_vals(stretch, &g_array_index(route, Point, canvas->focus_stretch), 2);
  mark_route(canvas, snapshot, stretch, INK_WARNING, true);
}

static void
draw_keyboard_terminal(Canvas *canvas, GtkSnapshot *snapshot)
{
  draw_stretch(canvas, snapshot);
  if (canvas->mode != MODE_KEY_SOURCE && canvas->mode != MODE_KEY_TARGET &&
      !(canvas->mode == MODE_PROBE && canvas->key_probe))
    return;
  Hit splice;
  if (canvas_focus_splice(canvas, &splice)) {
    draw_splice(canvas, snapshot, &splice, 10);
    return;
  }
  const Document *document = session_get_document(canvas->session);
  if (canvas->focus_device >= document_device_count(document))
    return;
  const Device *device = document_device(document, canvas->focus_device);
  if (canvas->focus_terminal >= device_terminal_count(device))
    return;
  Point at = device_terminal_point(device, canvas->focus_terminal);
  ring(canvas, snapshot, at, INK_ACCENT, 10, 3);
  g_autofree char *text = canvas_terminal_text(canvas, device, canvas->focus_terminal);
  draw_tag(canvas, snapshot, at, text);
}

void
canvas_draw_overlay(Canvas *canvas, GtkSnapshot *snapshot)
{
  draw_shown(canvas, snapshot);
  draw_selection(canvas, snapshot);
  canvas_draw_flags(canvas, snapshot);
  if (canvas->preview != NULL) {
    const char *const *ids = session_get_selected_devices(canvas->session);
    const Device *lead = ids[0] != NULL ? document_find_device(canvas->preview, ids[0]) : NULL;
    if (lead != NULL)
      draw_guides(canvas, snapshot, lead);
  }
  if (canvas_moves_crowd(canvas))
    canvas_draw_crowd(canvas, snapshot);
  draw_moving(canvas, snapshot);
  draw_route(canvas, snapshot);
  draw_ghost(canvas, snapshot);
  draw_box(canvas, snapshot);
  draw_probes(canvas, snapshot);
  draw_hover(canvas, snapshot);
  draw_keyboard_terminal(canvas, snapshot);
}
