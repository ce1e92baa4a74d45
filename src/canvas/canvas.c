/* SPDX-License-Identifier: MIT */
/* The canvas as a widget: view, finding what lies under a point, and what it says of itself. */
#include "base/text.h"

#include "base/language.h"
#include "canvas/canvas_private.h"
#include "desk/theme.h"
#include "keep/preferences.h"
#include <math.h>
#include <string.h>

G_DEFINE_FINAL_TYPE(Canvas, canvas, GTK_TYPE_WIDGET)

enum { EVENT_READOUT, EVENT_HINT, EVENT_COUNT };
static guint events[EVENT_COUNT];

void
canvas_readout(Canvas *canvas)
{
  g_autofree char *x = number_fixed(canvas->pointer.x, 1);
  g_autofree char *y = number_fixed(canvas->pointer.y, 1);
  const double zoom = 100 * canvas->zoom / ZOOM_NORMAL;
  g_autofree char *text = canvas->pointer_inside
                              ? g_strdup_printf("x %s mm  y %s mm   %.0f %%", x, y, zoom)
                              : g_strdup_printf("%.0f %%", zoom);
  g_signal_emit(canvas, events[EVENT_READOUT], 0, text);
}

/* --- finding --- */

Hit
canvas_hit_terminal(Canvas *canvas, double x, double y)
{
  Hit best = {.kind = HIT_NOTHING};
  Point p = canvas_to_sheet(canvas, x, y);
  double reach = MAX(SNAP_PIXELS / canvas->zoom, 1.2), nearest = reach;
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  figure_cache_devices_in(canvas->cache, rect_grow((Rect){p.x, p.y, 0, 0}, reach), devices);
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    for (guint t = 0; t < device_terminal_count(device); t++) {
      Point at = device_terminal_point(device, t);
      double distance = point_distance(at, p);
      if (distance >= nearest)
        continue;
      nearest = distance;
      best = (Hit){.kind = HIT_TERMINAL, .device = device, .terminal = t, .at = at};
    }
  }
  return best;
}

static bool
inside_device(const Device *device, Rect body, Point p, double reach)
{
  if (!rect_contains(rect_grow(body, reach), p))
    return false;
  /* An outline is taken by its border, so that what it holds can be reached. */
  return device->kind->role != ROLE_OUTLINE || !rect_contains(rect_grow(body, -2 * reach - 1), p);
}

static Point
nearest_on_segment(Point p, Point a, Point b)
{
  double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
  double t = length > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length : 0;
  t = CLAMP(t, 0, 1);
  return (Point){a.x + t * dx, a.y + t * dy};
}

static Hit
hit_conductor(Canvas *canvas, const GPtrArray *conductors, Point p, double reach)
{
  Hit best = {.kind = HIT_NOTHING};
  double nearest = reach;
  for (guint i = 0; i < conductors->len; i++) {
    const Conductor *conductor = conductors->pdata[i];
    const GArray *route = figure_cache_route(canvas->cache, conductor);
    for (guint s = 0; route != NULL && s + 1 < route->len; s++) {
      Point a = g_array_index(route, Point, s), b = g_array_index(route, Point, s + 1);
      double distance = point_segment_distance(p, a, b);
      if (distance >= nearest)
        continue;
      nearest = distance;
      Point at = nearest_on_segment(point_snap(p), a, b);
      best = (Hit){.kind = HIT_CONDUCTOR, .conductor = conductor, .stretch = s, .at = at};
    }
  }
  return best;
}

/* Ends of the one selected conductor can be taken to another terminal. */
static Hit
hit_end(Canvas *canvas, const GPtrArray *conductors, Point p, double reach)
{
  guint n;
  const guint32 *keys = session_get_selected_conductors(canvas->session, &n);
  for (guint i = 0; n == 1 && i < conductors->len; i++) {
    const Conductor *conductor = conductors->pdata[i];
    const GArray *route = figure_cache_route(canvas->cache, conductor);
    if (conductor->key != keys[0] || route == NULL || route->len < 2)
      continue;
    Point first = g_array_index(route, Point, 0);
    Point last = g_array_index(route, Point, route->len - 1);
    if (point_distance(first, p) < reach)
      return (Hit){.kind = HIT_END, .conductor = conductor, .from_end = true, .at = first};
    if (point_distance(last, p) < reach)
      return (Hit){.kind = HIT_END, .conductor = conductor, .from_end = false, .at = last};
  }
  return (Hit){.kind = HIT_NOTHING};
}

Hit
canvas_hit(Canvas *canvas, double x, double y)
{
  Point p = canvas_to_sheet(canvas, x, y);
  double reach = MAX(SNAP_PIXELS / canvas->zoom, 1.2);
  Rect near = rect_grow((Rect){p.x, p.y, 0, 0}, reach);
  g_autoptr(GPtrArray) devices = g_ptr_array_new(), conductors = g_ptr_array_new();
  figure_cache_devices_in(canvas->cache, near, devices);
  figure_cache_conductors_in(canvas->cache, near, conductors);
  Hit hit = hit_end(canvas, conductors, p, reach);
  if (hit.kind == HIT_NOTHING)
    hit = canvas_hit_terminal(canvas, x, y);
  if (hit.kind != HIT_NOTHING)
    return hit;
  double smallest = HUGE_VAL;
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    Rect body = figure_cache_symbol_box(canvas->cache, device);
    double area = body.width * body.height;
    if (area >= smallest || !inside_device(device, body, p, 0.5))
      continue;
    smallest = area;
    hit = (Hit){.kind = HIT_DEVICE, .device = device, .at = p};
  }
  Hit wire = hit_conductor(canvas, conductors, p, reach * 0.7);
  bool outline = hit.kind == HIT_DEVICE && hit.device->kind->role == ROLE_OUTLINE;
  return hit.kind == HIT_NOTHING || (outline && wire.kind != HIT_NOTHING) ? wire : hit;
}

bool
canvas_landing_of(const Hit *hit, Landing *borrowed)
{
  if (hit->kind != HIT_TERMINAL)
    return false;
  borrowed->device = hit->device->id;
  borrowed->terminal = (char *)(gintptr)device_terminal(hit->device, hit->terminal)->name;
  return true;
}

/* --- what it says --- */

void
canvas_hint(Canvas *canvas, const char *text)
{
  g_signal_emit(canvas, events[EVENT_HINT], 0, text != NULL ? text : "");
}

static bool
ends_at(const Landing *landing, const char *device, const char *terminal)
{
  return g_strcmp0(landing->device, device) == 0 && g_strcmp0(landing->terminal, terminal) == 0;
}

/* "T1.H2, 482 V to ground, landed on FU1.2" */
char *
canvas_terminal_text(Canvas *canvas, const Device *device, guint terminal)
{
  const Document *document = session_get_document(canvas->session);
  const char *name = device_terminal(device, terminal)->name;
  g_autofree char *volts = session_dup_volts(canvas->session, device->id, name);
  g_autoptr(GPtrArray) others = g_ptr_array_new_with_free_func(g_free);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    const Landing *other = NULL;
    if (ends_at(&conductor->from, device->id, name))
      other = &conductor->to;
    else if (ends_at(&conductor->to, device->id, name))
      other = &conductor->from;
    if (other != NULL)
      g_ptr_array_add(others, landing_dup_name(other));
  }
  g_autofree char *told = NULL;
  if (others->len == 0) {
    told = g_strdup_printf(_("%s.%s, %s, nothing landed"), device->id, name, volts);
  } else {
    g_autofree char *all = language_list((const char *const *)others->pdata, others->len);
    told = g_strdup_printf(_("%s.%s, %s, lands on %s"), device->id, name, volts, all);
  }
  const Landing landing = {.device = device->id, .terminal = (char *)(gintptr)name};
  const char *meaning = session_get_meaning(canvas->session, &landing);
  return meaning != NULL ? g_strdup_printf("%s (%s)", told, meaning) : g_steal_pointer(&told);
}

void
canvas_describe(Canvas *canvas)
{
  g_autofree char *text = session_dup_selection_text(canvas->session);
  gtk_accessible_update_property(GTK_ACCESSIBLE(canvas), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text,
                                 -1);
}

/* So many lines a tooltip holds. */
#define TERMINALS_TOLD 8

/* Of an energized device: each terminal and its volts. */
static void
append_terminals(Canvas *canvas, const Device *device, GString *text)
{
  guint n = session_get_energized(canvas->session) ? device_terminal_count(device) : 0;
  for (guint t = 0; t < MIN(n, TERMINALS_TOLD); t++) {
    const char *name = device_terminal(device, t)->name;
    g_autofree char *volts = session_dup_volts(canvas->session, device->id, name);
    g_string_append_printf(text, "\n%s: %s", name, volts);
  }
  if (n > TERMINALS_TOLD)
    g_string_append(text, "\n...");
}

/* Beside the pointer, not beside the canvas; a number is not parted from its unit. */
static void
show_tooltip(GtkTooltip *tooltip, int x, int y, const char *text)
{
  GString *kept = g_string_new(NULL);
  for (const char *c = text; *c != '\0'; c++)
    if (*c == ' ' && c > text && g_ascii_isdigit(c[-1]) && g_ascii_isalpha(c[1]))
      g_string_append(kept, "\302\240");
    else
      g_string_append_c(kept, *c);
  gtk_tooltip_set_text(tooltip, kept->str);
  gtk_tooltip_set_tip_area(tooltip, &(GdkRectangle){x - 8, y - 8, 16, 16});
  g_string_free(kept, TRUE);
}

static gboolean
on_query_tooltip(GtkWidget *widget, int x, int y, gboolean keyboard, GtkTooltip *tooltip,
                 gpointer data)
{
  (void)data;
  Canvas *canvas = DOORSHEET_CANVAS(widget);
  if (keyboard || canvas->mode != MODE_IDLE)
    return FALSE;
  Hit hit = canvas_hit(canvas, x, y);
  if (hit.kind == HIT_DEVICE) {
    const Device *device = hit.device;
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    g_autoptr(GString) text = g_string_new(NULL);
    g_string_append_printf(text, "%s\n%s%s%s", device_designation(device), _(device->kind->title),
                           rating != NULL ? ", " : "", rating != NULL ? rating : "");
    append_terminals(canvas, device, text);
    show_tooltip(tooltip, x, y, text->str);
    return TRUE;
  }
  if (hit.kind != HIT_CONDUCTOR)
    return FALSE;
  g_autofree char *text = session_dup_conductor_text(canvas->session, hit.conductor);
  show_tooltip(tooltip, x, y, text);
  return TRUE;
}

/* --- following the session --- */

static void
on_changed(Session *session, Canvas *canvas)
{
  figure_cache_update(canvas->cache, session_get_document(session));
  canvas->content_known = false;
  canvas->framed_zoom = 0;
  canvas->told = canvas->hover = canvas->pressed =
      (Hit){.kind = HIT_NOTHING}; /* what they borrowed may be gone */
  if (canvas->mode == MODE_MOVE || canvas->mode == MODE_RELAND || canvas->mode == MODE_BEND ||
      canvas->mode == MODE_KEY_BEND || canvas->key_reland)
    canvas_tools_clear(canvas);
  canvas_describe(canvas);
  canvas_refresh(canvas);
}

/* What is said of the selection holds readings, so it is said anew. */
static void
on_reading(Session *session, Canvas *canvas)
{
  (void)session;
  if (canvas->mode == MODE_IDLE)
    canvas_describe(canvas);
  canvas_refresh(canvas);
}

static void
on_selection(Session *session, Canvas *canvas)
{
  (void)session;
  canvas_describe(canvas);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

static void
add_place(Canvas *canvas, const char *place, Rect *area)
{
  const Document *document = session_get_document(canvas->session);
  g_autofree char *device = NULL, *terminal = NULL;
  if (!text_split_terminal(place, &device, &terminal))
    device = g_strdup(place);
  const Device *found = document_find_device(document, device);
  if (found != NULL)
    *area = rect_union(*area, figure_cache_device_bounds(canvas->cache, found));
  for (guint i = 0; found == NULL && i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *name = conductor_dup_name(conductor);
    if (g_strcmp0(name, place) == 0)
      *area = rect_union(*area, figure_cache_conductor_bounds(canvas->cache, conductor));
  }
}

static void
on_show(Session *session, Canvas *canvas)
{
  const GPtrArray *places = session_get_shown(session);
  Rect area = rect_empty();
  for (guint i = 0; i < places->len; i++)
    add_place(canvas, places->pdata[i], &area);
  canvas_reveal(canvas, area);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

static void
on_preference(Preference preference, gpointer data)
{
  if (preference == PREFERENCE_GRID || preference == PREFERENCE_COLOURS)
    canvas_refresh(data);
}

/* Light and dark follow the colours of the theme, whatever chose it. */
static void
canvas_css_changed(GtkWidget *widget, GtkCssStyleChange *change)
{
  GTK_WIDGET_CLASS(canvas_parent_class)->css_changed(widget, change);
  Canvas *canvas = DOORSHEET_CANVAS(widget);
  bool dark = theme_dark(widget), contrast = theme_contrast();
  if (dark == canvas->dark && contrast == canvas->contrast)
    return;
  canvas->dark = dark;
  canvas->contrast = contrast;
  canvas_refresh(canvas);
}

void
canvas_set_session(Canvas *canvas, Session *session)
{
  g_return_if_fail(canvas->session == NULL);
  canvas->session = g_object_ref(session);
  g_signal_connect_object(session, "changed", G_CALLBACK(on_changed), canvas, 0);
  g_signal_connect_object(session, "selection", G_CALLBACK(on_selection), canvas, 0);
  g_signal_connect_object(session, "probes", G_CALLBACK(on_selection), canvas, 0);
  g_signal_connect_object(session, "show", G_CALLBACK(on_show), canvas, 0);
  g_signal_connect_object(session, "inspected", G_CALLBACK(on_reading), canvas, 0);
  g_signal_connect_object(session, "state", G_CALLBACK(on_reading), canvas, 0);
  on_changed(session, canvas);
}

/* --- widget --- */

static void
canvas_size_allocate(GtkWidget *widget, int width, int height, int baseline)
{
  (void)baseline;
  Canvas *canvas = DOORSHEET_CANVAS(widget);
  bool sized = width > 50 && height > 50 && canvas->session != NULL;
  if (sized && (!canvas->placed || canvas_is_framed(canvas))) {
    canvas->placed = true;
    canvas_zoom_content(canvas);
  }
  g_clear_pointer(&canvas->view, gsk_render_node_unref);
}

static void
canvas_measure(GtkWidget *widget, GtkOrientation orientation, int for_size, int *minimum,
               int *natural, int *minimum_baseline, int *natural_baseline)
{
  (void)widget;
  (void)for_size;
  *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? 240 : 180;
  *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 700 : 500;
  *minimum_baseline = *natural_baseline = -1;
}

static void
canvas_dispose(GObject *object)
{
  Canvas *canvas = DOORSHEET_CANVAS(object);
  if (canvas->listener != 0)
    preferences_unlisten(canvas->listener);
  canvas->listener = 0;
  if (canvas->session != NULL)
    canvas_tools_clear(canvas);
  g_clear_pointer(&canvas->view, gsk_render_node_unref);
  g_clear_pointer(&canvas->picture, canvas_picture_free);
  g_clear_pointer(&canvas->walk_device, g_free);
  if (canvas->typed != NULL)
    g_string_free(g_steal_pointer(&canvas->typed), TRUE);
  g_clear_pointer(&canvas->bends, g_array_unref);
  g_clear_pointer(&canvas->flags, g_array_unref);
  g_clear_pointer(&canvas->hidden_devices, g_hash_table_unref);
  g_clear_pointer(&canvas->hidden_conductors, g_hash_table_unref);
  g_clear_pointer(&canvas->cache, figure_cache_free);
  g_clear_object(&canvas->session);
  G_OBJECT_CLASS(canvas_parent_class)->dispose(object);
}

static void
canvas_class_init(CanvasClass *class)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS(class);
  G_OBJECT_CLASS(class)->dispose = canvas_dispose;
  widget_class->snapshot = canvas_snapshot;
  widget_class->measure = canvas_measure;
  widget_class->size_allocate = canvas_size_allocate;
  widget_class->css_changed = canvas_css_changed;
  gtk_widget_class_set_css_name(widget_class, "canvas");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  static const char *const names[] = {"readout", "hint"};
  for (int i = 0; i < EVENT_COUNT; i++)
    events[i] = g_signal_new(names[i], CANVAS_TYPE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                             G_TYPE_NONE, 1, G_TYPE_STRING);
  canvas_keys_class_init(widget_class);
}

static void
canvas_init(Canvas *canvas)
{
  GtkWidget *widget = GTK_WIDGET(canvas);
  canvas->zoom = ZOOM_NORMAL;
  canvas->cache = figure_cache_new();
  canvas->picture = canvas_picture_new();
  canvas->typed = g_string_new(NULL);
  canvas->bends = g_array_new(FALSE, FALSE, sizeof(Point));
  canvas->hidden_devices = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  canvas->hidden_conductors = g_hash_table_new(NULL, NULL);
  gtk_widget_set_focusable(widget, TRUE);
  gtk_widget_set_overflow(widget, GTK_OVERFLOW_HIDDEN);
  gtk_widget_set_has_tooltip(widget, TRUE);
  g_signal_connect(canvas, "query-tooltip", G_CALLBACK(on_query_tooltip), NULL);
  gtk_accessible_update_property(GTK_ACCESSIBLE(canvas), GTK_ACCESSIBLE_PROPERTY_LABEL, _("Sheet"),
                                 -1);
  canvas_gestures_init(canvas);
  canvas_keys_init(canvas);
  canvas->listener = preferences_listen(on_preference, canvas);
}
