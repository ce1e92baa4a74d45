/* SPDX-License-Identifier: MIT */
/* The canvas without a mouse. Tab walks the devices, arrows move what is selected, L lands a
 * conductor from terminal to terminal, a part in hand follows the arrows. Commands of the window
 * that an entry must not lose (Delete, Ctrl+A, letters) are bound here, so that they work only
 * while the canvas has the focus. */
#include "base/language.h"
#include "base/text.h"
#include "canvas/canvas_private.h"
#include "desk/keys.h"
#include <math.h>
#include <string.h>

static const Device *
focus_device(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  return canvas->focus_device < document_device_count(document)
             ? document_device(document, canvas->focus_device)
             : NULL;
}

void
canvas_tell(Canvas *canvas, const char *hint)
{
  canvas_hint(canvas, hint);
  gtk_accessible_update_property(GTK_ACCESSIBLE(canvas), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, hint,
                                 -1);
}

/* New string. */
static char *
question(const Canvas *canvas, const char *name)
{
  if (canvas->mode == MODE_PROBE)
    return g_strdup_printf(_("Probe on %s? Enter puts it there; arrows, Tab or its name choose "
                             "another; Esc puts it back."),
                           name);
  if (canvas->mode == MODE_KEY_SOURCE)
    return g_strdup_printf(
        _("Land from %s? Enter takes it; arrows or its name choose another; Esc leaves."), name);
  if (canvas->key_reland)
    return g_strdup_printf(_("Move the end to %s? Enter lands it; arrows, Tab or its name choose "
                             "another; Esc leaves it where it is."),
                           name);
  return g_strdup_printf(_("Land on %s? Enter lands; arrows, Tab or its name choose another, Page "
                           "Down a conductor to splice onto; Esc puts it back."),
                         name);
}

void
canvas_show_focus(Canvas *canvas)
{
  const Device *device = focus_device(canvas);
  if (device == NULL || device_terminal_count(device) == 0)
    return;
  canvas->focus_terminal %= device_terminal_count(device);
  Point at = device_terminal_point(device, canvas->focus_terminal);
  canvas_reveal(canvas, rect_grow((Rect){at.x, at.y, 0, 0}, 10));
  g_autofree char *text = canvas_terminal_text(canvas, device, canvas->focus_terminal);
  canvas->focus_conductor = 0;
  g_autofree char *hint = question(canvas, text);
  canvas_tell(canvas, hint);
  if (canvas->mode == MODE_KEY_TARGET) {
    Hit hit = {.kind = HIT_TERMINAL,
               .device = focus_device(canvas),
               .terminal = canvas->focus_terminal,
               .at = at};
    canvas_update_route(canvas, &hit);
  }
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
canvas_land(Canvas *canvas)
{
  const char *const *ids = session_get_selected_devices(canvas->session);
  const Document *document = session_get_document(canvas->session);
  int index = ids[0] != NULL ? document_device_index(document, ids[0]) : -1;
  if (index < 0 || device_terminal_count(document_device(document, (guint)index)) == 0) {
    session_say(canvas->session, _("Choose the device to land from first: Tab walks the devices."));
    return;
  }
  canvas_tools_clear(canvas);
  canvas->mode = MODE_KEY_SOURCE;
  g_string_truncate(canvas->typed, 0);
  canvas->focus_device = (guint)index;
  canvas->focus_terminal = 0;
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
  canvas_show_focus(canvas);
}

void
canvas_walk(Canvas *canvas, int step)
{
  const Document *document = session_get_document(canvas->session);
  int n = (int)document_device_count(document);
  if (n == 0)
    return;
  const char *const *ids = session_get_selected_devices(canvas->session);
  int now = ids[0] != NULL ? document_device_index(document, ids[0]) : -1;
  int next = now < 0 ? (step > 0 ? 0 : n - 1) : ((now + step) % n + n) % n;
  session_select_device(canvas->session, document_device(document, (guint)next)->id, false);
  canvas_reveal(canvas,
                figure_cache_device_bounds(canvas->cache, document_device(document, (guint)next)));
}

static void
walk_target(Canvas *canvas, int step)
{
  int n = (int)document_device_count(session_get_document(canvas->session));
  for (int tried = 0; tried < n; tried++) {
    canvas->focus_device = (guint)((((int)canvas->focus_device + step) % n + n) % n);
    if (device_terminal_count(focus_device(canvas)) > 0)
      break;
  }
  canvas->focus_terminal = 0;
  canvas_show_focus(canvas);
}

/* The nearest terminal that lies in the arrow's direction; sideways distance counts double. */
static void
arrow_target(Canvas *canvas, int dx, int dy, bool same_device)
{
  const Document *document = session_get_document(canvas->session);
  const Device *here = focus_device(canvas);
  if (here == NULL)
    return;
  Point at = device_terminal_point(here, canvas->focus_terminal);
  double best = HUGE_VAL;
  guint best_device = canvas->focus_device, best_terminal = canvas->focus_terminal;
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    for (guint t = 0; t < device_terminal_count(device) && (!same_device || device == here); t++) {
      Point p = point_sub(device_terminal_point(device, t), at);
      double along = p.x * dx + p.y * dy, aside = fabs(p.x * dy) + fabs(p.y * dx);
      if (along < 0.01 || along + 2 * aside >= best)
        continue;
      best = along + 2 * aside;
      best_device = d;
      best_terminal = t;
    }
  }
  if (isinf(best) && same_device) { /* nothing that way: simply the next or previous one */
    guint n = device_terminal_count(here);
    best_terminal = (canvas->focus_terminal + (dx + dy > 0 ? 1 : n - 1)) % n;
  }
  canvas->focus_device = best_device;
  canvas->focus_terminal = best_terminal;
  canvas_show_focus(canvas);
}

static bool
starts_typed(Canvas *canvas, const char *name)
{
  return g_ascii_strncasecmp(name, canvas->typed->str, canvas->typed->len) == 0;
}

static bool
find_typed(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  bool target = canvas->mode != MODE_KEY_SOURCE;
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    for (guint t = 0; t < device_terminal_count(device); t++) {
      const char *own = device_terminal(device, t)->name;
      g_autofree char *full = g_strdup_printf("%s.%s", device->id, own);
      if (target ? !starts_typed(canvas, full)
                 : d != canvas->focus_device || !starts_typed(canvas, own))
        continue;
      canvas->focus_device = d;
      canvas->focus_terminal = t;
      canvas_show_focus(canvas);
      return true;
    }
  }
  return false;
}

/* Typing the start of a name goes to that terminal: "x2" when choosing where to land from, "fu1.2"
 * when choosing where to land on. */
static bool
type_name(Canvas *canvas, guint key)
{
  gunichar letter = gdk_keyval_to_unicode(key);
  if (letter == 0 || letter >= 0x80 ||
      !(g_ascii_isalnum((char)letter) || strchr("._-+/", (int)letter) != NULL))
    return false;
  g_string_append_c(canvas->typed, (char)letter);
  if (!find_typed(canvas)) {
    g_string_truncate(canvas->typed, canvas->typed->len - 1);
    gtk_widget_error_bell(GTK_WIDGET(canvas));
  }
  return true;
}

static void
take_source(Canvas *canvas)
{
  const Device *device = focus_device(canvas);
  if (device == NULL)
    return;
  canvas_set_from(canvas, device->id, device_terminal(device, canvas->focus_terminal)->name);
  canvas->mode = MODE_KEY_TARGET;
  g_string_truncate(canvas->typed, 0);
  walk_target(canvas, 1);
}

static void
land_on_target(Canvas *canvas)
{
  const Device *device = focus_device(canvas);
  Hit hit;
  if (!canvas_focus_splice(canvas, &hit)) {
    if (device == NULL || canvas->focus_terminal >= device_terminal_count(device))
      return;
    hit = (Hit){.kind = HIT_TERMINAL,
                .device = device,
                .terminal = canvas->focus_terminal,
                .at = device_terminal_point(device, canvas->focus_terminal)};
  }
  if (canvas->key_reland) {
    canvas_finish_reland(canvas, &hit);
    return;
  }
  g_autofree char *from = g_strdup(canvas->from.device);
  canvas_finish_land(canvas, &hit);
  if (from != NULL)
    session_select_device(canvas->session, from, false); /* ready for the next conductor */
}

void
canvas_land_from(Canvas *canvas, const char *terminal)
{
  const Document *document = session_get_document(canvas->session);
  g_autofree char *id = NULL, *name = NULL;
  if (!text_split_terminal(terminal, &id, &name))
    return;
  const Device *device = document_find_device(document, id);
  int index = device != NULL ? device_terminal_index(device, name) : -1;
  if (index < 0)
    return;
  canvas_tools_clear(canvas);
  canvas->focus_device = (guint)document_device_index(document, id);
  canvas->focus_terminal = (guint)index;
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
  take_source(canvas);
}

static bool
key_place(Canvas *canvas, guint key, int dx, int dy, int stride, bool shift)
{
  if (dx != 0 || dy != 0) {
    canvas->place_at = point_snap(point_add(
        canvas->place_at, (Point){dx * stride * GRID_STEP_MM, dy * stride * GRID_STEP_MM}));
    canvas_remake_ghost(canvas);
    canvas_reveal(canvas, figure_device_bounds(canvas->ghost));
    return true;
  }
  if (key == GDK_KEY_Return || key == GDK_KEY_KP_Enter || key == GDK_KEY_space) {
    canvas_finish_place(canvas, shift);
    return true;
  }
  if (key == GDK_KEY_r || key == GDK_KEY_R) {
    canvas->place_turns = (canvas->place_turns + (shift ? 3 : 1)) % 4;
    canvas_remake_ghost(canvas);
    return true;
  }
  return false;
}

/* Tab and a typed name choose a terminal, whatever it is for. */
static bool
choose_terminal(Canvas *canvas, guint key, bool shift)
{
  switch (key) {
  case GDK_KEY_Tab:
  case GDK_KEY_ISO_Left_Tab:
    walk_target(canvas, shift || key == GDK_KEY_ISO_Left_Tab ? -1 : 1);
    return true;
  case GDK_KEY_BackSpace:
    g_string_truncate(canvas->typed, 0);
    return true;
  default:
    return type_name(canvas, key);
  }
}

static bool
key_landing(Canvas *canvas, guint key, int dx, int dy, bool shift)
{
  bool target = canvas->mode == MODE_KEY_TARGET;
  if (dx != 0 || dy != 0) {
    if (canvas->focus_conductor != 0)
      canvas_slide_splice(canvas, dx, dy, shift ? 4 : 1);
    else
      arrow_target(canvas, dx, dy, !target);
    return true;
  }
  switch (key) {
  case GDK_KEY_Page_Down:
  case GDK_KEY_Page_Up:
    if (target)
      canvas_walk_splice(canvas, key == GDK_KEY_Page_Down ? 1 : -1);
    return true;
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
  case GDK_KEY_space:
    if (target)
      land_on_target(canvas);
    else
      take_source(canvas);
    return true;
  default:
    return choose_terminal(canvas, key, shift);
  }
}

/* The terminals to choose from begin at the selected device. */
static bool
begin_probe_terminals(Canvas *canvas)
{
  const Document *document = session_get_document(canvas->session);
  const char *const *ids = session_get_selected_devices(canvas->session);
  int index = ids[0] != NULL ? document_device_index(document, ids[0]) : 0;
  if (index < 0 || document_device_count(document) == 0)
    return false;
  canvas->key_probe = true;
  canvas->focus_device = (guint)index;
  canvas->focus_terminal = 0;
  g_string_truncate(canvas->typed, 0);
  if (device_terminal_count(focus_device(canvas)) == 0)
    walk_target(canvas, 1);
  else
    canvas_show_focus(canvas);
  return true;
}

static void
put_probe(Canvas *canvas)
{
  const Device *device = focus_device(canvas);
  if (device == NULL || canvas->focus_terminal >= device_terminal_count(device))
    return;
  ProbeColour probe = canvas->probe;
  g_autofree char *id = g_strdup(device->id);
  g_autofree char *terminal = g_strdup(device_terminal(device, canvas->focus_terminal)->name);
  canvas_tools_clear(canvas);
  session_set_probe(canvas->session, probe, id, terminal);
}

static bool
key_probe_terminal(Canvas *canvas, guint key, int dx, int dy, bool shift)
{
  if (dx != 0 || dy != 0) {
    arrow_target(canvas, dx, dy, false);
    return true;
  }
  switch (key) {
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
    put_probe(canvas);
    return true;
  default:
    return choose_terminal(canvas, key, shift);
  }
}

/* The probe in hand goes to the conductor that is selected, or to a terminal chosen by keys. */
static bool
key_probe(Canvas *canvas, guint key, int dx, int dy, bool shift)
{
  if (canvas->key_probe)
    return key_probe_terminal(canvas, key, dx, dy, shift);
  bool enter = key == GDK_KEY_Return || key == GDK_KEY_KP_Enter;
  bool walks = dx != 0 || dy != 0 || key == GDK_KEY_Tab || key == GDK_KEY_ISO_Left_Tab;
  if (walks || (enter && session_get_selected_device_count(canvas->session) > 0))
    return begin_probe_terminals(canvas);
  if (!enter)
    return false;
  guint n;
  const guint32 *keys = session_get_selected_conductors(canvas->session, &n);
  const Conductor *conductor =
      n == 1 ? document_find_conductor(session_get_document(canvas->session), keys[0]) : NULL;
  if (conductor != NULL)
    canvas_probe_conductor(canvas, conductor);
  else
    session_say(canvas->session,
                _("Select one conductor for the probe, click a terminal, or choose "
                  "one by arrows."));
  return true;
}

static bool
key_idle(Canvas *canvas, guint key, int dx, int dy, int stride, GdkModifierType state)
{
  bool shift = (state & GDK_SHIFT_MASK) != 0;
  if (dx != 0 || dy != 0) {
    if (session_get_selected_device_count(canvas->session) > 0)
      canvas_nudge(canvas, dx * stride, dy * stride);
    else {
      canvas->origin_x -= dx * 40;
      canvas->origin_y -= dy * 40;
      canvas_clamp(canvas);
      canvas_review(canvas);
    }
    return true;
  }
  if (key != GDK_KEY_Tab && key != GDK_KEY_ISO_Left_Tab)
    return false;
  const Document *document = session_get_document(canvas->session);
  int step = shift || key == GDK_KEY_ISO_Left_Tab ? -1 : 1;
  if (canvas_follow_conductor(canvas, step))
    return true;
  const char *const *ids = session_get_selected_devices(canvas->session);
  int now = ids[0] != NULL ? document_device_index(document, ids[0]) : -1;
  int n = (int)document_device_count(document);
  /* Past the last device Tab leaves the canvas, as it leaves any list. */
  if (n == 0 || (now >= 0 && (now + step < 0 || now + step >= n))) {
    session_select_nothing(canvas->session);
    return false;
  }
  canvas_walk(canvas, step);
  return true;
}

static gboolean
on_key(GtkEventControllerKey *controller, guint key, guint code, GdkModifierType state,
       Canvas *canvas)
{
  (void)controller;
  (void)code;
  if ((state & (GDK_ALT_MASK | GDK_SUPER_MASK)) != 0)
    return FALSE;
  if (key == GDK_KEY_Escape) {
    canvas_cancel(canvas);
    return TRUE;
  }
  if (key == GDK_KEY_space && canvas->mode == MODE_IDLE) {
    canvas->space_held = true;
    gtk_widget_set_cursor_from_name(GTK_WIDGET(canvas), "grab");
    return TRUE;
  }
  int dx = 0, dy = 0;
  if (key == GDK_KEY_Left || key == GDK_KEY_KP_Left)
    dx = -1;
  else if (key == GDK_KEY_Right || key == GDK_KEY_KP_Right)
    dx = 1;
  else if (key == GDK_KEY_Up || key == GDK_KEY_KP_Up)
    dy = -1;
  else if (key == GDK_KEY_Down || key == GDK_KEY_KP_Down)
    dy = 1;
  bool shift = (state & GDK_SHIFT_MASK) != 0;
  int stride = shift ? 4 : 1;
  if ((state & GDK_CONTROL_MASK) != 0)
    return FALSE;
  switch (canvas->mode) {
  case MODE_PLACE:
    return key_place(canvas, key, dx, dy, stride, shift);
  case MODE_KEY_SOURCE:
  case MODE_KEY_TARGET:
    return key_landing(canvas, key, dx, dy, shift);
  case MODE_PROBE:
    return key_probe(canvas, key, dx, dy, shift);
  case MODE_KEY_BEND:
    return canvas_key_bend(canvas, key, dx, dy, stride, shift);
  case MODE_IDLE:
    return key_idle(canvas, key, dx, dy, stride, state);
  default:
    return FALSE;
  }
}

static void
on_key_released(GtkEventControllerKey *controller, guint key, guint code, GdkModifierType state,
                Canvas *canvas)
{
  (void)controller;
  (void)code;
  (void)state;
  if (key != GDK_KEY_space || !canvas->space_held)
    return;
  canvas->space_held = false;
  if (canvas->mode != MODE_PROBE)
    gtk_widget_set_cursor_from_name(GTK_WIDGET(canvas), NULL);
}

static void
on_focus(GObject *object, GParamSpec *property, gpointer data)
{
  (void)property;
  (void)data;
  Canvas *canvas = DOORSHEET_CANVAS(object);
  canvas->space_held = false;
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

void
canvas_keys_init(Canvas *canvas)
{
  GtkEventController *keys = gtk_event_controller_key_new();
  g_signal_connect(keys, "key-pressed", G_CALLBACK(on_key), canvas);
  g_signal_connect(keys, "key-released", G_CALLBACK(on_key_released), canvas);
  gtk_widget_add_controller(GTK_WIDGET(canvas), keys);
  g_signal_connect(canvas, "notify::has-focus", G_CALLBACK(on_focus), NULL);
}

void
canvas_keys_class_init(GtkWidgetClass *class)
{
  keys_bind_canvas(class);
}
