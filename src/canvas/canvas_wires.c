/* SPDX-License-Identifier: MIT */
/* Conductors without a mouse: walking along them, landing an end elsewhere, bending, splicing onto
 * one. */
#include "base/language.h"
#include "canvas/canvas_private.h"
#include <math.h>
#include <string.h>

static const Conductor *
selected_conductor(Canvas *canvas)
{
  guint n;
  const guint32 *keys = session_get_selected_conductors(canvas->session, &n);
  return n == 1 ? document_find_conductor(session_get_document(canvas->session), keys[0]) : NULL;
}

static bool
touches(const Conductor *conductor, const char *device)
{
  return device != NULL && (g_strcmp0(conductor->from.device, device) == 0 ||
                            g_strcmp0(conductor->to.device, device) == 0);
}

/* --- walking --- */

/* The device whose conductors are walked: one that is selected, else the one walked before, else
 * that where the selected conductor starts. */
static void
find_anchor(Canvas *canvas, const Conductor *now)
{
  const char *const *ids = session_get_selected_devices(canvas->session);
  if (ids[0] == NULL && now != NULL && touches(now, canvas->walk_device))
    return;
  const char *id = ids[0] != NULL ? ids[0] : now != NULL ? now->from.device : NULL;
  char *copy = g_strdup(id);
  g_free(canvas->walk_device);
  canvas->walk_device = copy;
}

void
canvas_walk_conductor(Canvas *canvas, int step)
{
  const Document *document = session_get_document(canvas->session);
  const Conductor *now = selected_conductor(canvas);
  find_anchor(canvas, now);
  g_autoptr(GPtrArray) along = g_ptr_array_new();
  int at = -1;
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (canvas->walk_device != NULL && !touches(conductor, canvas->walk_device))
      continue;
    if (conductor == now)
      at = (int)along->len;
    g_ptr_array_add(along, (gpointer)(guintptr)conductor);
  }
  int n = (int)along->len;
  if (n == 0) {
    session_say(canvas->session, "%s",
                canvas->walk_device != NULL ? _("No conductor lands on this device.")
                                            : _("There is no conductor on this sheet."));
    return;
  }
  int next = at < 0 ? (step > 0 ? 0 : n - 1) : ((at + step) % n + n) % n;
  const Conductor *conductor = along->pdata[next];
  session_select_conductor(canvas->session, conductor->key, false);
  canvas_reveal(canvas, figure_cache_conductor_bounds(canvas->cache, conductor));
}

bool
canvas_follow_conductor(Canvas *canvas, int step)
{
  const Conductor *conductor = selected_conductor(canvas);
  if (conductor == NULL || session_get_selected_device_count(canvas->session) > 0)
    return false;
  bool at_from = g_strcmp0(conductor->from.device, canvas->walk_device) == 0;
  const char *far = (at_from == (step > 0)) ? conductor->to.device : conductor->from.device;
  const Device *device =
      far != NULL ? document_find_device(session_get_document(canvas->session), far) : NULL;
  if (device == NULL)
    return false;
  session_select_device(canvas->session, device->id, false);
  canvas_reveal(canvas, figure_cache_device_bounds(canvas->cache, device));
  return true;
}

void
canvas_extend(Canvas *canvas, int step)
{
  const Document *document = session_get_document(canvas->session);
  int n = (int)document_device_count(document);
  guint selected = session_get_selected_device_count(canvas->session);
  const char *const *ids = session_get_selected_devices(canvas->session);
  int now = selected > 0 ? document_device_index(document, ids[selected - 1]) : (step > 0 ? -1 : n);
  for (int next = now + step; next >= 0 && next < n; next += step) {
    const Device *device = document_device(document, (guint)next);
    if (session_device_selected(canvas->session, device->id))
      continue;
    session_select_device(canvas->session, device->id, true);
    canvas_reveal(canvas, figure_cache_device_bounds(canvas->cache, device));
    return;
  }
  session_say(canvas->session, "%s", _("There is no further device to add to the selection."));
}

/* --- an end to another terminal --- */

void
canvas_reland(Canvas *canvas, bool from_end)
{
  const Conductor *conductor = selected_conductor(canvas);
  const Document *document = session_get_document(canvas->session);
  if (conductor == NULL) {
    session_say(canvas->session, "%s",
                _("Select one conductor first: W walks those of the selected device."));
    return;
  }
  const Landing *end = from_end ? &conductor->from : &conductor->to;
  const Landing *fixed = from_end ? &conductor->to : &conductor->from;
  const Device *device;
  guint terminal;
  if (!document_resolve(document, end, &device, &terminal))
    return;
  canvas_tools_clear(canvas);
  canvas_set_from(canvas, fixed->device, fixed->terminal);
  canvas->mode = MODE_KEY_TARGET;
  canvas->key_reland = true;
  canvas->key = conductor->key;
  canvas->key_from_end = from_end;
  canvas->focus_device = (guint)document_device_index(document, device->id);
  canvas->focus_terminal = terminal;
  g_string_truncate(canvas->typed, 0);
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
  canvas_show_focus(canvas);
}

/* --- a conductor as what is landed on --- */

static double
length_of(const GArray *route)
{
  double length = 0;
  for (guint i = 0; i + 1 < route->len; i++)
    length += point_distance(g_array_index(route, Point, i), g_array_index(route, Point, i + 1));
  return length;
}

static Point
point_along(const GArray *route, double along)
{
  for (guint i = 0; i + 1 < route->len; i++) {
    Point a = g_array_index(route, Point, i), b = g_array_index(route, Point, i + 1);
    double length = point_distance(a, b);
    if (along <= length && length > 0) {
      double t = along / length;
      return (Point){a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
    }
    along -= length;
  }
  return g_array_index(route, Point, route->len - 1);
}

static const GArray *
focus_route(Canvas *canvas, const Conductor **conductor)
{
  *conductor =
      document_find_conductor(session_get_document(canvas->session), canvas->focus_conductor);
  const GArray *route = *conductor != NULL ? figure_cache_route(canvas->cache, *conductor) : NULL;
  return route != NULL && route->len >= 2 ? route : NULL;
}

bool
canvas_focus_splice(Canvas *canvas, Hit *hit)
{
  const Conductor *conductor;
  const GArray *route = canvas->focus_conductor != 0 ? focus_route(canvas, &conductor) : NULL;
  if (route == NULL)
    return false;
  Point at = point_along(route, canvas->splice_along);
  *hit = (Hit){.kind = HIT_CONDUCTOR, .conductor = conductor, .at = at};
  return true;
}

static void
show_splice(Canvas *canvas)
{
  Hit hit;
  if (!canvas_focus_splice(canvas, &hit))
    return;
  canvas_reveal(canvas, rect_grow((Rect){hit.at.x, hit.at.y, 0, 0}, 10));
  g_autofree char *name = conductor_dup_name(hit.conductor);
  g_autofree char *hint = g_strdup_printf(
      _("Splice onto %s here? Enter does; arrows move along it, Page Down chooses another "
        "conductor, Tab a terminal; Esc puts it back."),
      name);
  canvas_tell(canvas, hint);
  canvas_update_route(canvas, &hit);
}

void
canvas_walk_splice(Canvas *canvas, int step)
{
  const Document *document = session_get_document(canvas->session);
  int n = (int)document_conductor_count(document), at = -1;
  if (n == 0 || canvas->key_reland) {
    gtk_widget_error_bell(GTK_WIDGET(canvas));
    return;
  }
  for (int i = 0; i < n; i++)
    if (document_conductor(document, (guint)i)->key == canvas->focus_conductor)
      at = i;
  int next = at < 0 ? (step > 0 ? 0 : n - 1) : ((at + step) % n + n) % n;
  canvas->focus_conductor = document_conductor(document, (guint)next)->key;
  const Conductor *conductor;
  const GArray *route = focus_route(canvas, &conductor);
  canvas->splice_along = route != NULL ? length_of(route) / 2 : 0;
  show_splice(canvas);
}

void
canvas_slide_splice(Canvas *canvas, int dx, int dy, int stride)
{
  const Conductor *conductor;
  const GArray *route = focus_route(canvas, &conductor);
  if (route == NULL)
    return;
  /* The way along that goes most into the arrow's direction. */
  Point here = point_along(route, canvas->splice_along);
  double length = length_of(route), step = stride * GRID_STEP_MM, best = -HUGE_VAL;
  double to = canvas->splice_along;
  for (int way = -1; way <= 1; way += 2) {
    double along = CLAMP(canvas->splice_along + way * step, 0, length);
    Point there = point_sub(point_along(route, along), here);
    double gain = there.x * dx + there.y * dy;
    if (gain > best) {
      best = gain;
      to = along;
    }
  }
  canvas->splice_along = to;
  show_splice(canvas);
}

/* --- bends --- */

GArray *
canvas_bent_route(const GArray *route, guint *stretch, Point to)
{
  guint s = *stretch;
  Point a = g_array_index(route, Point, s), b = g_array_index(route, Point, s + 1);
  bool level = fabs(a.y - b.y) < fabs(a.x - b.x);
  Point c = level ? (Point){a.x, to.y} : (Point){to.x, a.y};
  Point d = level ? (Point){b.x, to.y} : (Point){to.x, b.y};
  GArray *bent = g_array_new(FALSE, FALSE, sizeof(Point));
  for (guint i = 0; i < route->len; i++) {
    Point p = g_array_index(route, Point, i);
    bool end = i == 0 || i + 1 == route->len;
    if (end && i == s)
      g_array_append_val(bent, p);
    if (i == s)
      *stretch = bent->len;
    g_array_append_val(bent, *(i == s ? &c : i == s + 1 ? &d : &p));
    if (end && i == s + 1)
      g_array_append_val(bent, p);
  }
  return bent;
}

static bool
in_line(Point a, Point b, Point c)
{
  return (fabs(a.x - b.x) < 0.01 && fabs(b.x - c.x) < 0.01) ||
         (fabs(a.y - b.y) < 0.01 && fabs(b.y - c.y) < 0.01);
}

/* Corners that bend nothing go. */
static GArray *
plain_route(const GArray *route)
{
  GArray *plain = g_array_new(FALSE, FALSE, sizeof(Point));
  for (guint i = 0; i < route->len; i++) {
    Point p = g_array_index(route, Point, i);
    while (plain->len >= 2 && in_line(g_array_index(plain, Point, plain->len - 2),
                                      g_array_index(plain, Point, plain->len - 1), p))
      g_array_set_size(plain, plain->len - 1);
    if (plain->len == 0 || !point_equal(g_array_index(plain, Point, plain->len - 1), p))
      g_array_append_val(plain, p);
  }
  return plain;
}

static void
show_bend(Canvas *canvas)
{
  guint n = canvas->preview_route->len;
  Point a = g_array_index(canvas->preview_route, Point, canvas->focus_stretch);
  Point b = g_array_index(canvas->preview_route, Point, canvas->focus_stretch + 1);
  canvas_reveal(canvas, rect_grow(rect_from_points(a, b), 10));
  bool level = fabs(a.y - b.y) < fabs(a.x - b.x);
  g_autofree char *hint =
      level
          ? g_strdup_printf(_("Stretch %u of %u, level: up and down move it. Tab: the next one; "
                              "Insert parts it; Delete takes its bends away; Enter keeps, Esc "
                              "gives up."),
                            canvas->focus_stretch + 1, n - 1)
          : g_strdup_printf(_("Stretch %u of %u, upright: left and right move it. Tab: the next "
                              "one; Insert parts it; Delete takes its bends away; Enter keeps, Esc "
                              "gives up."),
                            canvas->focus_stretch + 1, n - 1);
  canvas_tell(canvas, hint);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
canvas_bend(Canvas *canvas)
{
  const Conductor *conductor = selected_conductor(canvas);
  const GArray *route = conductor != NULL ? figure_cache_route(canvas->cache, conductor) : NULL;
  if (route == NULL || route->len < 2) {
    session_say(canvas->session, "%s",
                _("Select one conductor first: W walks those of the selected device."));
    return;
  }
  canvas_tools_clear(canvas);
  canvas->mode = MODE_KEY_BEND;
  canvas->key = conductor->key;
  canvas->preview_route = g_array_copy((GArray *)(guintptr)route);
  canvas->focus_stretch = (route->len - 2) / 2; /* the middle one */
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
  show_bend(canvas);
}

static void
keep_bends(Canvas *canvas)
{
  g_autoptr(GArray) route = plain_route(canvas->preview_route);
  guint32 key = canvas->key;
  canvas_tools_clear(canvas);
  const Point *points = (const Point *)(gpointer)route->data;
  session_edit(canvas->session,
               edit_set_via(session_get_document(canvas->session), key, points + 1,
                            route->len > 2 ? route->len - 2 : 0),
               NULL);
  session_select_conductor(canvas->session, key, false);
}

/* The corners at both ends of the stretch go, those that are no terminals. */
static void
drop_bends(Canvas *canvas)
{
  GArray *route = canvas->preview_route;
  for (guint i = canvas->focus_stretch + 2; i-- > canvas->focus_stretch;)
    if (i > 0 && i + 1 < route->len)
      g_array_remove_index(route, i);
  keep_bends(canvas);
}

static void
part_stretch(Canvas *canvas)
{
  GArray *route = canvas->preview_route;
  guint s = canvas->focus_stretch;
  Point a = g_array_index(route, Point, s), b = g_array_index(route, Point, s + 1);
  Point middle = point_snap((Point){(a.x + b.x) / 2, (a.y + b.y) / 2});
  if (fabs(a.y - b.y) < fabs(a.x - b.x))
    middle.y = a.y;
  else
    middle.x = a.x;
  Point both[2] = {middle, middle};
  g_array_insert_vals(route, s + 1, both, 2);
  show_bend(canvas);
}

static void
push_stretch(Canvas *canvas, int dx, int dy, int stride)
{
  guint s = canvas->focus_stretch;
  Point a = g_array_index(canvas->preview_route, Point, s);
  Point b = g_array_index(canvas->preview_route, Point, s + 1);
  bool level = fabs(a.y - b.y) < fabs(a.x - b.x);
  if (level ? dy == 0 : dx == 0) {
    gtk_widget_error_bell(GTK_WIDGET(canvas));
    return;
  }
  Point to =
      point_snap(point_add(a, (Point){dx * stride * GRID_STEP_MM, dy * stride * GRID_STEP_MM}));
  GArray *bent = canvas_bent_route(canvas->preview_route, &canvas->focus_stretch, to);
  g_array_unref(canvas->preview_route);
  canvas->preview_route = bent;
  show_bend(canvas);
}

bool
canvas_key_bend(Canvas *canvas, guint key, int dx, int dy, int stride, bool shift)
{
  guint stretches = canvas->preview_route->len - 1;
  switch (key) {
  case GDK_KEY_Tab:
  case GDK_KEY_ISO_Left_Tab: {
    bool back = shift || key == GDK_KEY_ISO_Left_Tab;
    canvas->focus_stretch = (canvas->focus_stretch + (back ? stretches - 1 : 1)) % stretches;
    show_bend(canvas);
    return true;
  }
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
    keep_bends(canvas);
    return true;
  case GDK_KEY_Insert:
  case GDK_KEY_KP_Insert:
    part_stretch(canvas);
    return true;
  case GDK_KEY_Delete:
  case GDK_KEY_BackSpace:
    drop_bends(canvas);
    return true;
  default:
    if (dx != 0 || dy != 0)
      push_stretch(canvas, dx, dy, stride);
    return true; /* a command must not change the conductor in hand */
  }
}

void
canvas_straighten(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  guint n;
  const guint32 *keys = session_get_selected_conductors(canvas->session, &n);
  Change *change = change_new(_("Route by itself"));
  for (guint i = 0; i < n; i++) {
    const Conductor *before = document_find_conductor(document, keys[i]);
    if (before == NULL || before->via->len == 0)
      continue;
    g_autoptr(Conductor) after = conductor_copy(before);
    g_array_set_size(after->via, 0);
    change_conductor(change, before, after);
  }
  if (change_is_empty(change)) {
    change_free(change);
    session_say(canvas->session, "%s", _("Select a conductor with bends of its own first."));
  } else
    session_edit(canvas->session, change, NULL);
}
