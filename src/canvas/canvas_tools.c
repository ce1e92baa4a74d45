/* SPDX-License-Identifier: MIT */
/* What the tools do to the document: place, move, land, land an end elsewhere, bend, select. */
#include "base/language.h"
#include "canvas/canvas_private.h"
#include <math.h>

/* Moving this many devices or fewer, or on sheets this small, previews with the whole sheet, so
 * that routes go round what stays. Larger ones preview only what moves. */
#define PREVIEW_WHOLE 300

static void
set_route(Canvas *canvas, GArray *take)
{
  g_clear_pointer(&canvas->preview_route, g_array_unref);
  canvas->preview_route = take;
}

void
canvas_set_from(Canvas *canvas, const char *device, const char *terminal)
{
  char *new_device = g_strdup(device), *new_terminal = g_strdup(terminal);
  g_free(canvas->from.device);
  g_free(canvas->from.terminal);
  canvas->from = (Landing){.device = new_device, .terminal = new_terminal};
}

/* Puts down whatever is in hand without changing the document. */
void
canvas_tools_clear(Canvas *canvas)
{
  canvas->mode = MODE_IDLE;
  canvas->dragged = false;
  canvas->landing_sticks = canvas->key_reland = canvas->key_probe = false;
  canvas->focus_conductor = 0;
  g_clear_pointer(&canvas->sample, device_unref);
  g_clear_pointer(&canvas->ghost, device_unref);
  canvas_set_from(canvas, NULL, NULL);
  g_array_set_size(canvas->bends, 0);
  g_clear_pointer(&canvas->moving, g_strfreev);
  g_clear_pointer(&canvas->preview_base, document_free);
  g_clear_pointer(&canvas->preview, document_free);
  g_clear_pointer(&canvas->preview_cache, figure_cache_free);
  set_route(canvas, NULL);
  if (g_hash_table_size(canvas->hidden_devices) + g_hash_table_size(canvas->hidden_conductors) >
      0) {
    g_hash_table_remove_all(canvas->hidden_devices);
    g_hash_table_remove_all(canvas->hidden_conductors);
    canvas_refresh(canvas);
  }
  canvas_hint(canvas, NULL);
  gtk_widget_set_cursor_from_name(GTK_WIDGET(canvas), NULL);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
canvas_cancel(Canvas *canvas)
{
  if (canvas->mode != MODE_IDLE)
    canvas_tools_clear(canvas);
  else
    session_select_nothing(canvas->session);
}

bool
canvas_is_busy(Canvas *canvas)
{
  return canvas->mode != MODE_IDLE;
}

/* --- place --- */

void
canvas_remake_ghost(Canvas *canvas)
{
  g_clear_pointer(&canvas->ghost, device_unref);
  canvas->ghost = device_copy(canvas->sample);
  canvas->ghost->placement = (Placement){.at = canvas->place_at, .turns = canvas->place_turns};
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
canvas_place_sample(Canvas *canvas, const Device *sample)
{
  Device *taken = device_ref((Device *)(guintptr)sample);
  canvas_tools_clear(canvas);
  canvas->mode = MODE_PLACE;
  canvas->sample = taken;
  canvas->place_turns = 0;
  Point middle = canvas_to_sheet(canvas, gtk_widget_get_width(GTK_WIDGET(canvas)) / 2.0,
                                 gtk_widget_get_height(GTK_WIDGET(canvas)) / 2.0);
  canvas->place_at = point_snap(canvas->pointer_inside ? canvas->pointer : middle);
  canvas_remake_ghost(canvas);
  g_autofree char *hint = g_strdup_printf(_("%s in hand: click where it goes, or use the arrow "
                                            "keys and Enter. R turns, Esc puts it back."),
                                          _(taken->kind->title));
  canvas_hint(canvas, hint);
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
}

void
canvas_place(Canvas *canvas, const PartKind *kind)
{
  g_autoptr(Device) sample = device_new(kind, "new");
  canvas_place_sample(canvas, sample);
}

void
canvas_finish_place(Canvas *canvas, bool again)
{
  g_autofree char *id = NULL;
  const PartKind *kind = canvas->sample->kind;
  Placement at = {.at = canvas->place_at, .turns = canvas->place_turns};
  Change *change =
      edit_place_nameplate(session_get_document(canvas->session), canvas->sample, at, &id);
  if (!session_edit(canvas->session, change, NULL))
    return;
  session_select_device(canvas->session, id, false);
  session_say(canvas->session, _("%s placed as %s."), _(kind->title), id);
  if (again) {
    canvas->place_at.x += 4 * GRID_STEP_MM;
    canvas_remake_ghost(canvas);
  } else
    canvas_tools_clear(canvas);
}

/* --- move --- */

static void
hide_conductor(Canvas *canvas, Change *change, const Conductor *conductor)
{
  g_hash_table_add(canvas->hidden_conductors, GUINT_TO_POINTER(conductor->key));
  if (change != NULL)
    change_conductor(change, NULL, conductor);
}

/* The tags of a test point move with either of its devices. */
static void
take_point_along(Canvas *canvas, Change *change, const Measured *measured, GHashTable *wanted)
{
  const Landing *ends[] = {&measured->a, &measured->b};
  bool touched = false;
  for (guint i = 0; i < 2; i++)
    touched |=
        ends[i]->device != NULL && g_hash_table_contains(canvas->hidden_devices, ends[i]->device);
  if (!touched || measured_point(measured) == NULL)
    return;
  change_measured(change, NULL, measured);
  for (guint i = 0; i < 2; i++)
    if (ends[i]->device != NULL)
      g_hash_table_add(wanted, ends[i]->device);
}

/* What moves, what hangs on it, and for small sheets everything else. */
void
canvas_begin_move(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  bool alone = (canvas->modifiers & GDK_ALT_MASK) != 0; /* an outline without what it holds */
  canvas->moving =
      alone ? g_strdupv((char **)(gintptr)session_get_selected_devices(canvas->session))
            : edit_with_contents(document, session_get_selected_devices(canvas->session));
  char **ids = canvas->moving;
  bool whole = document_device_count(document) <= PREVIEW_WHOLE;
  g_autoptr(GHashTable) wanted = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; ids[i] != NULL; i++) {
    g_hash_table_add(canvas->hidden_devices, g_strdup(ids[i]));
    g_hash_table_add(wanted, ids[i]);
  }
  g_autoptr(Change) change = whole ? NULL : change_new(_("Preview"));
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    bool from = g_hash_table_contains(canvas->hidden_devices, conductor->from.device);
    bool to = g_hash_table_contains(canvas->hidden_devices, conductor->to.device);
    if (!from && !to)
      continue;
    hide_conductor(canvas, change, conductor);
    g_hash_table_add(wanted, conductor->from.device);
    g_hash_table_add(wanted, conductor->to.device);
  }
  for (guint i = 0; change != NULL && i < document_measured_count(document); i++)
    take_point_along(canvas, change, document_measured(document, i), wanted);
  if (whole) {
    canvas->preview_base = document_snapshot(document);
  } else {
    GHashTableIter iter;
    gpointer id;
    g_hash_table_iter_init(&iter, wanted);
    while (g_hash_table_iter_next(&iter, &id, NULL))
      change_device(change, NULL, document_find_device(document, id));
    canvas->preview_base = document_new(document_catalog(document));
    document_apply(canvas->preview_base, g_steal_pointer(&change), NULL);
  }
  canvas->move_by = (Point){0, 0};
  canvas->mode = MODE_MOVE;
  canvas_refresh(canvas);
}

void
canvas_update_move(Canvas *canvas)
{
  Point by = point_snap(point_sub(canvas->pointer, canvas->press));
  if (canvas->preview != NULL && point_equal(by, canvas->move_by))
    return;
  canvas->move_by = by;
  if (canvas_moves_crowd(canvas)) {
    gtk_widget_queue_draw(GTK_WIDGET(canvas));
    return;
  }
  g_clear_pointer(&canvas->preview, document_free);
  Document *preview = document_snapshot(canvas->preview_base);
  Change *change = edit_move(preview, (const char *const *)canvas->moving, by);
  if (change != NULL)
    document_apply(preview, change, NULL);
  canvas->preview = preview;
  if (canvas->preview_cache == NULL)
    canvas->preview_cache = figure_cache_new();
  figure_cache_update(canvas->preview_cache, preview);
}

void
canvas_finish_move(Canvas *canvas)
{
  Point by = canvas->move_by;
  g_auto(GStrv) moving = g_steal_pointer(&canvas->moving);
  canvas_tools_clear(canvas);
  if (by.x == 0 && by.y == 0)
    return;
  session_edit(canvas->session,
               edit_move(session_get_document(canvas->session), (const char *const *)moving, by),
               NULL);
}

void
canvas_nudge(Canvas *canvas, int dx, int dy)
{
  if (session_get_selected_device_count(canvas->session) == 0)
    return;
  const Document *document = session_get_document(canvas->session);
  g_auto(GStrv) all = edit_with_contents(document, session_get_selected_devices(canvas->session));
  Point by = {dx * GRID_STEP_MM, dy * GRID_STEP_MM};
  session_edit(canvas->session, edit_move(document, (const char *const *)all, by), NULL);
}

/* --- land --- */

static void
append_route(GArray *route, const GArray *part)
{
  for (guint i = 0; i < part->len; i++) {
    Point p = g_array_index(part, Point, i);
    if (route->len == 0 || !point_equal(g_array_index(route, Point, route->len - 1), p))
      g_array_append_val(route, p);
  }
}

/* The conductor in hand, from its landed end through the bends to the pointer or the target. */
void
canvas_update_route(Canvas *canvas, const Hit *target)
{
  const Document *document = session_get_document(canvas->session);
  const Device *device;
  guint terminal;
  if (!document_resolve(document, &canvas->from, &device, &terminal))
    return;
  Point at = device_terminal_point(device, terminal), to = point_snap(canvas->pointer);
  int side = device_terminal_side(device, terminal), to_side = -1;
  if (target->kind == HIT_TERMINAL) {
    const Device *other = target->device;
    to = target->at;
    to_side = device_terminal_side(other, target->terminal);
  } else if (target->kind == HIT_CONDUCTOR)
    to = target->at;
  GArray *route = g_array_new(FALSE, FALSE, sizeof(Point));
  for (guint i = 0; i <= canvas->bends->len; i++) {
    bool last = i == canvas->bends->len;
    Point next = last ? to : g_array_index(canvas->bends, Point, i);
    g_autoptr(GArray) part =
        figure_cache_route_points(canvas->cache, at, side, next, last ? to_side : -1);
    append_route(route, part);
    at = next;
    side = -1;
  }
  set_route(canvas, route);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

/* Landing with bends is one edit: the new conductor is made in a copy, given its bends, and then
 * added here. */
static Change *
land_through_bends(Canvas *canvas, const Landing *to, GError **error)
{
  const Document *document = session_get_document(canvas->session);
  Change *change = edit_land(document, &canvas->from, to, error);
  if (change == NULL || canvas->bends->len == 0)
    return change;
  g_autoptr(Document) copy = document_snapshot(document);
  if (!document_apply(copy, change, error))
    return NULL;
  g_autoptr(Conductor) conductor =
      conductor_copy(document_conductor(copy, document_conductor_count(copy) - 1));
  conductor->key = 0;
  g_array_set_size(conductor->via, 0);
  for (guint i = 1; canvas->preview_route != NULL && i + 1 < canvas->preview_route->len; i++)
    g_array_append_val(conductor->via, g_array_index(canvas->preview_route, Point, i));
  change = change_new(_("Land a conductor"));
  change_conductor(change, NULL, conductor);
  return change;
}

void
canvas_finish_land(Canvas *canvas, const Hit *target)
{
  const Document *document = session_get_document(canvas->session);
  GError *error = NULL;
  Change *change = NULL;
  Landing to;
  guint before = document_conductor_count(document);
  if (canvas_landing_of(target, &to))
    change = land_through_bends(canvas, &to, &error);
  else if (target->kind == HIT_CONDUCTOR) {
    const Conductor *conductor = target->conductor;
    change = edit_land_on_conductor(document, &canvas->from, conductor->key, point_snap(target->at),
                                    &error);
  } else {
    session_say(canvas->session, _("Let go on a terminal or on a conductor to land it."));
    canvas_tools_clear(canvas);
    return;
  }
  bool landed = session_edit(canvas->session, change, error);
  canvas_tools_clear(canvas);
  guint now = document_conductor_count(document);
  if (landed && now > before)
    session_select_conductor(canvas->session, document_conductor(document, now - 1)->key, false);
}

void
canvas_begin_land(Canvas *canvas, const Hit *hit)
{
  Landing from;
  if (!canvas_landing_of(hit, &from))
    return;
  canvas_set_from(canvas, from.device, from.terminal);
  canvas->mode = MODE_LAND;
  canvas_hint(canvas, _("Conductor in hand: let go on the terminal or conductor it lands on. "
                        "Esc puts it back."));
}

void
canvas_finish_reland(Canvas *canvas, const Hit *target)
{
  GError *error = NULL;
  Landing to;
  guint32 key = canvas->key;
  bool from_end = canvas->key_from_end;
  bool ok = canvas_landing_of(target, &to);
  Change *change = NULL;
  if (ok)
    change = edit_reland(session_get_document(canvas->session), key, from_end, &to, &error);
  canvas_tools_clear(canvas);
  if (ok)
    session_edit(canvas->session, change, error);
  else
    session_say(canvas->session, _("Let go on a terminal to land the end there."));
}

void
canvas_update_reland(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  const Conductor *conductor = document_find_conductor(document, canvas->key);
  if (conductor == NULL)
    return;
  const Landing *fixed = canvas->key_from_end ? &conductor->to : &conductor->from;
  canvas_set_from(canvas, fixed->device, fixed->terminal);
  canvas_update_route(canvas, &canvas->hover);
}

/* --- bend: a stretch of a conductor follows the pointer, at right angles to itself --- */

static GArray *
bent_route(Canvas *canvas)
{
  const GArray *route = figure_cache_route(canvas->cache, canvas->pressed.conductor);
  guint stretch = canvas->pressed.stretch;
  return canvas_bent_route(route, &stretch, point_snap(canvas->pointer));
}

void
canvas_update_bend(Canvas *canvas)
{
  set_route(canvas, bent_route(canvas));
}

void
canvas_finish_bend(Canvas *canvas)
{
  g_autoptr(GArray) route =
      canvas->preview_route != NULL ? g_array_ref(canvas->preview_route) : NULL;
  guint32 key = canvas->key;
  canvas_tools_clear(canvas);
  if (route == NULL || route->len < 3)
    return;
  session_edit(canvas->session,
               edit_set_via(session_get_document(canvas->session), key,
                            &g_array_index(route, Point, 1), route->len - 2),
               NULL);
}

/* --- select --- */

void
canvas_click_select(Canvas *canvas, const Hit *hit)
{
  bool extend = (canvas->modifiers & (GDK_SHIFT_MASK | GDK_CONTROL_MASK)) != 0;
  Session *session = canvas->session;
  if (hit->kind == HIT_DEVICE || hit->kind == HIT_TERMINAL) {
    const char *id = hit->device->id;
    if (extend)
      session_toggle_device(session, id);
    else
      session_select_device(session, id, false);
  } else if (hit->kind == HIT_CONDUCTOR) {
    guint32 key = hit->conductor->key;
    if (extend)
      session_toggle_conductor(session, key);
    else
      session_select_conductor(session, key, false);
  } else if (hit->kind == HIT_NOTHING && !extend)
    session_select_nothing(session);
}

void
canvas_finish_box(Canvas *canvas)
{
  Rect box = rect_from_points(canvas->press, canvas->pointer);
  bool extend = (canvas->modifiers & (GDK_SHIFT_MASK | GDK_CONTROL_MASK)) != 0;
  g_autoptr(GPtrArray) devices = g_ptr_array_new(), conductors = g_ptr_array_new();
  figure_cache_devices_in(canvas->cache, box, devices);
  figure_cache_conductors_in(canvas->cache, box, conductors);
  canvas_tools_clear(canvas);
  if (!extend)
    session_select_nothing(canvas->session);
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    if (rect_holds(box, figure_cache_symbol_box(canvas->cache, device)))
      session_select_device(canvas->session, device->id, true);
  }
  for (guint i = 0; i < conductors->len; i++) {
    const Conductor *conductor = conductors->pdata[i];
    const GArray *route = figure_cache_route(canvas->cache, conductor);
    bool inside = route != NULL;
    for (guint p = 0; inside && p < route->len; p++)
      inside &= rect_contains(box, g_array_index(route, Point, p));
    if (inside)
      session_select_conductor(canvas->session, conductor->key, true);
  }
}

/* --- probe --- */

void
canvas_probe_conductor(Canvas *canvas, const Conductor *conductor)
{
  ProbeColour probe = canvas->probe;
  Session *session = canvas->session;
  g_autofree char *name = conductor_dup_name(conductor);
  g_autofree char *device = g_strdup(conductor->from.device);
  g_autofree char *terminal = g_strdup(conductor->from.terminal);
  canvas_tools_clear(canvas);
  session_set_probe(session, probe, device, terminal);
  g_autofree char *start =
      g_strdup_printf("%s%s%s", device != NULL ? device : "", device != NULL ? "." : "", terminal);
  session_say(session,
              probe == PROBE_RED ? _("The red probe touches %s where it starts: %s.")
                                 : _("The black probe touches %s where it starts: %s."),
              name, start);
}

void
canvas_take_probe(Canvas *canvas, ProbeColour probe)
{
  canvas_tools_clear(canvas);
  canvas->mode = MODE_PROBE;
  canvas->probe = probe;
  gtk_widget_set_cursor_from_name(GTK_WIDGET(canvas), "crosshair");
  canvas_hint(
      canvas,
      probe == PROBE_RED
          ? _("Red probe in hand: click the terminal or conductor to touch, or choose one by "
              "arrows and Enter.")
          : _("Black probe in hand: click the terminal or conductor to touch, or choose one "
              "by arrows and Enter."));
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
}
