/* SPDX-License-Identifier: MIT */
/* Mouse, wheel and touch: one drag gesture serves every tool; what was pressed and what is in hand
 * decide which function of canvas_tools.c it calls. */
#include "canvas/canvas_private.h"

#include "base/language.h"
#include "desk/part_item.h"
#include <math.h>

static void
press_idle(Canvas *canvas)
{
  const Hit *hit = &canvas->pressed;
  switch (hit->kind) {
  case HIT_TERMINAL:
    canvas_begin_land(canvas, hit);
    break;
  case HIT_END:
    canvas->mode = MODE_RELAND;
    canvas->key = hit->conductor->key;
    canvas->key_from_end = hit->from_end;
    break;
  case HIT_DEVICE: {
    const char *id = hit->device->id;
    bool extend = (canvas->modifiers & (GDK_SHIFT_MASK | GDK_CONTROL_MASK)) != 0;
    if (!extend && !session_device_selected(canvas->session, id))
      session_select_device(canvas->session, id, false);
    break; /* a move begins with the first motion */
  }
  case HIT_CONDUCTOR:
    canvas->key = hit->conductor->key;
    break;
  case HIT_NOTHING:
    canvas->mode = MODE_BOX;
    break;
  }
}

static void
on_drag_begin(GtkGestureDrag *gesture, double x, double y, Canvas *canvas)
{
  gtk_widget_grab_focus(GTK_WIDGET(canvas));
  canvas->button = gtk_gesture_single_get_current_button(GTK_GESTURE_SINGLE(gesture));
  canvas->modifiers = gtk_event_controller_get_current_event_state(GTK_EVENT_CONTROLLER(gesture));
  canvas->press_x = x;
  canvas->press_y = y;
  canvas->start_origin_x = canvas->origin_x;
  canvas->start_origin_y = canvas->origin_y;
  canvas->press = canvas->pointer = canvas_to_sheet(canvas, x, y);
  canvas->dragged = false;
  canvas->pressed = canvas_hit(canvas, x, y);
  if (canvas->button == GDK_BUTTON_SECONDARY)
    return;
  if (canvas->button == GDK_BUTTON_MIDDLE || canvas->space_held) {
    if (canvas->mode == MODE_IDLE)
      canvas->mode = MODE_PAN;
    return;
  }
  if (canvas->mode == MODE_IDLE)
    press_idle(canvas);
}

static void
drag_started(Canvas *canvas)
{
  canvas->dragged = true;
  if (canvas->mode != MODE_IDLE)
    return;
  if (canvas->pressed.kind == HIT_DEVICE) {
    const char *id = canvas->pressed.device->id;
    if (!session_device_selected(canvas->session, id))
      session_select_device(canvas->session, id, true);
    canvas_begin_move(canvas);
  } else if (canvas->pressed.kind == HIT_CONDUCTOR) {
    session_select_conductor(canvas->session, canvas->key, false);
    canvas->mode = MODE_BEND;
  }
}

static void
on_drag_update(GtkGestureDrag *gesture, double dx, double dy, Canvas *canvas)
{
  (void)gesture;
  if (canvas->button == GDK_BUTTON_SECONDARY)
    return;
  double x = canvas->press_x + dx, y = canvas->press_y + dy;
  if (canvas->mode == MODE_PAN) {
    canvas->origin_x = canvas->start_origin_x + dx;
    canvas->origin_y = canvas->start_origin_y + dy;
    canvas_clamp(canvas);
    canvas_review(canvas);
    return;
  }
  canvas->pointer = canvas_to_sheet(canvas, x, y);
  if (!canvas->dragged && hypot(dx, dy) >= DRAG_PIXELS)
    drag_started(canvas);
  if (canvas->mode == MODE_MOVE)
    canvas_update_move(canvas);
  else if (canvas->mode == MODE_LAND) {
    canvas->hover = canvas_hit(canvas, x, y);
    canvas_update_route(canvas, &canvas->hover);
  } else if (canvas->mode == MODE_RELAND) {
    canvas->hover = canvas_hit_terminal(canvas, x, y);
    canvas_update_reland(canvas);
  } else if (canvas->mode == MODE_BEND)
    canvas_update_bend(canvas);
  canvas_readout(canvas);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

static void
release_land(Canvas *canvas, const Hit *target)
{
  if (canvas->dragged || target->kind == HIT_CONDUCTOR) {
    canvas_finish_land(canvas, target);
    return;
  }
  Landing to;
  bool same = canvas_landing_of(target, &to) && canvas->from.device != NULL &&
              g_str_equal(to.device, canvas->from.device) &&
              g_str_equal(to.terminal, canvas->from.terminal);
  if (target->kind == HIT_TERMINAL && !same) {
    canvas_finish_land(canvas, target);
  } else if (same && canvas->landing_sticks) {
    canvas_tools_clear(canvas);
  } else if (same) {
    canvas->landing_sticks = true; /* a click: the conductor now follows the pointer */
    canvas_click_select(canvas, target);
    canvas_hint(canvas, _("Conductor in hand: click for a bend, click a terminal or a conductor to "
                          "land it. Esc puts it back."));
  } else {
    Point bend = point_snap(canvas->pointer);
    g_array_append_val(canvas->bends, bend);
    canvas_update_route(canvas, target);
  }
}

/* A terminal goes before the body of its device and before the end of a selected conductor. */
static Hit
hit_for_probe(Canvas *canvas, double x, double y)
{
  Hit hit = canvas_hit_terminal(canvas, x, y);
  return hit.kind == HIT_TERMINAL ? hit : canvas_hit(canvas, x, y);
}

static void
release_probe(Canvas *canvas, const Hit *target)
{
  Landing to;
  if (target->kind == HIT_CONDUCTOR) {
    canvas_probe_conductor(canvas, target->conductor);
    return;
  }
  if (!canvas_landing_of(target, &to)) {
    session_say(canvas->session, _("Click a terminal or a conductor to touch it with the probe."));
    return;
  }
  ProbeColour probe = canvas->probe;
  canvas_tools_clear(canvas);
  session_set_probe(canvas->session, probe, to.device, to.terminal);
}

static void
on_drag_end(GtkGestureDrag *gesture, double dx, double dy, Canvas *canvas)
{
  (void)gesture;
  if (canvas->button == GDK_BUTTON_SECONDARY)
    return;
  double x = canvas->press_x + dx, y = canvas->press_y + dy;
  canvas->pointer = canvas_to_sheet(canvas, x, y);
  Hit target = canvas_hit(canvas, x, y);
  switch (canvas->mode) {
  case MODE_PAN:
    canvas->mode = MODE_IDLE;
    break;
  case MODE_BOX:
    if (canvas->dragged)
      canvas_finish_box(canvas);
    else {
      canvas_tools_clear(canvas);
      canvas_click_select(canvas, &target);
    }
    break;
  case MODE_MOVE:
    canvas_finish_move(canvas);
    break;
  case MODE_LAND:
    release_land(canvas, &target);
    break;
  case MODE_RELAND:
    target = canvas_hit_terminal(canvas, x, y);
    if (canvas->dragged)
      canvas_finish_reland(canvas, &target);
    else
      canvas_tools_clear(canvas);
    break;
  case MODE_BEND:
    canvas_finish_bend(canvas);
    break;
  case MODE_PLACE:
    canvas->place_at = point_snap(canvas->pointer);
    canvas_finish_place(canvas, (canvas->modifiers & GDK_SHIFT_MASK) != 0);
    break;
  case MODE_PROBE:
    target = hit_for_probe(canvas, x, y);
    release_probe(canvas, &target);
    break;
  default:
    canvas_click_select(canvas, &target);
  }
  canvas->dragged = false;
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

static void
on_drag_cancel(GtkGesture *gesture, GdkEventSequence *sequence, Canvas *canvas)
{
  (void)gesture;
  (void)sequence;
  if (canvas->mode != MODE_PLACE && canvas->mode != MODE_PROBE)
    canvas_tools_clear(canvas);
}

static void
on_pressed(GtkGestureClick *gesture, int n_press, double x, double y, Canvas *canvas)
{
  (void)gesture;
  if (n_press != 2 || (canvas->mode != MODE_IDLE && canvas->mode != MODE_LAND))
    return;
  Hit hit = canvas_hit(canvas, x, y);
  if (hit.kind != HIT_DEVICE)
    return;
  const Device *device = hit.device;
  if (device->kind->operate_field != NULL)
    gtk_widget_activate_action(GTK_WIDGET(canvas), "win.operate", NULL);
  else
    gtk_widget_activate_action(GTK_WIDGET(canvas), "win.page", "s", "land");
}

/* --- pointer and wheel --- */

/* A pointer that has come in so lately was not yet pointed at anything. */
#define ENTER_MICROSECONDS 400000

/* GTK repeats the last motion when things move below a resting pointer, and a canvas that changes
 * its size moves too: only a hand that moves on the surface may take over the status line. */
static bool
hand_moved(Canvas *canvas, GtkEventController *controller, double x, double y)
{
  GdkEvent *event = gtk_event_controller_get_current_event(controller);
  if (event != NULL)
    gdk_event_get_position(event, &x, &y);
  bool moved = hypot(x - canvas->motion_x, y - canvas->motion_y) >= DRAG_PIXELS;
  bool settled = g_get_monotonic_time() - canvas->entered > ENTER_MICROSECONDS;
  if (moved || !settled) {
    canvas->motion_x = x;
    canvas->motion_y = y;
  }
  moved = moved && settled;
  return moved;
}

static bool
same_hit(const Hit *a, const Hit *b)
{
  return a->kind == b->kind && a->device == b->device && a->conductor == b->conductor &&
         a->terminal == b->terminal;
}

/* The status line names the terminal that is pointed at, once. */
static void
tell_terminal(Canvas *canvas, GtkEventController *controller, double x, double y)
{
  bool moved = hand_moved(canvas, controller, x, y);
  if (canvas->hover.kind != HIT_TERMINAL) {
    canvas->told = canvas->hover;
    return;
  }
  if (!moved || canvas->mode != MODE_IDLE || same_hit(&canvas->told, &canvas->hover))
    return;
  canvas->told = canvas->hover;
  g_autofree char *text =
      canvas_terminal_text(canvas, canvas->hover.device, canvas->hover.terminal);
  canvas_hint(canvas, text);
}

static void
on_motion(GtkEventControllerMotion *controller, double x, double y, Canvas *canvas)
{
  canvas->pointer_inside = true;
  canvas->pointer = canvas_to_sheet(canvas, x, y);
  canvas_readout(canvas);
  if (canvas->mode == MODE_PLACE) {
    Point at = point_snap(canvas->pointer);
    if (!point_equal(at, canvas->place_at)) {
      canvas->place_at = at;
      canvas_remake_ghost(canvas);
    }
    return;
  }
  Hit before = canvas->hover;
  canvas->hover =
      canvas->mode == MODE_PROBE ? hit_for_probe(canvas, x, y) : canvas_hit(canvas, x, y);
  if (canvas->mode == MODE_LAND)
    canvas_update_route(canvas, &canvas->hover);
  tell_terminal(canvas, GTK_EVENT_CONTROLLER(controller), x, y);
  if (!same_hit(&before, &canvas->hover))
    gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

/* The pointer may come in because a box in front of the canvas went: nothing was pointed at. */
static void
on_enter(GtkEventControllerMotion *controller, double x, double y, Canvas *canvas)
{
  canvas->entered = g_get_monotonic_time();
  on_motion(controller, x, y, canvas);
}

static void
on_leave(GtkEventControllerMotion *controller, Canvas *canvas)
{
  (void)controller;
  canvas->pointer_inside = false;
  canvas->hover = (Hit){.kind = HIT_NOTHING};
  canvas_readout(canvas);
  gtk_widget_queue_draw(GTK_WIDGET(canvas));
}

static gboolean
on_scroll(GtkEventControllerScroll *controller, double dx, double dy, Canvas *canvas)
{
  GdkModifierType state =
      gtk_event_controller_get_current_event_state(GTK_EVENT_CONTROLLER(controller));
  if ((state & GDK_CONTROL_MASK) != 0) {
    double x, y;
    canvas_from_sheet(canvas, canvas->pointer, &x, &y);
    canvas_set_zoom(canvas, canvas->zoom * pow(1.15, -dy), x, y);
    return TRUE;
  }
  if ((state & GDK_SHIFT_MASK) != 0 && dx == 0) {
    dx = dy;
    dy = 0;
  }
  canvas->origin_x -= dx * 45;
  canvas->origin_y -= dy * 45;
  canvas_clamp(canvas);
  canvas_review(canvas);
  return TRUE;
}

static void
on_pinch_begin(GtkGesture *gesture, GdkEventSequence *sequence, Canvas *canvas)
{
  (void)gesture;
  (void)sequence;
  canvas->zoom_at_pinch = canvas->zoom;
  canvas->pinched = false;
  canvas_tools_clear(canvas); /* the first finger may have pressed something */
}

/* Two fingers zoom about the point between them, and push the sheet about as that point moves. */
void
canvas_pinch(Canvas *canvas, double scale, double x, double y)
{
  if (canvas->pinched) {
    canvas->origin_x += x - canvas->pinch_x;
    canvas->origin_y += y - canvas->pinch_y;
  }
  canvas->pinched = true;
  canvas->pinch_x = x;
  canvas->pinch_y = y;
  canvas_set_zoom(canvas, canvas->zoom_at_pinch * scale, x, y);
}

static void
on_pinch(GtkGestureZoom *gesture, double scale, Canvas *canvas)
{
  double x, y;
  if (gtk_gesture_get_bounding_box_center(GTK_GESTURE(gesture), &x, &y))
    canvas_pinch(canvas, scale, x, y);
}

/* --- a part dragged from the shelf --- */

static GdkDragAction
on_drop_motion(GtkDropTarget *target, double x, double y, Canvas *canvas)
{
  const GValue *value = gtk_drop_target_get_value(target);
  if (value == NULL)
    return GDK_ACTION_COPY;
  canvas->pointer_inside = true;
  canvas->pointer = canvas_to_sheet(canvas, x, y);
  if (canvas->mode != MODE_PLACE)
    canvas_place_sample(canvas, g_value_get_boxed(value));
  Point at = point_snap(canvas->pointer);
  if (!point_equal(at, canvas->place_at)) {
    canvas->place_at = at;
    canvas_remake_ghost(canvas);
  }
  return GDK_ACTION_COPY;
}

static void
on_drop_leave(GtkDropTarget *target, Canvas *canvas)
{
  (void)target;
  if (canvas->mode == MODE_PLACE)
    canvas_tools_clear(canvas);
}

static gboolean
on_drop(GtkDropTarget *target, const GValue *value, double x, double y, Canvas *canvas)
{
  (void)target;
  if (canvas->mode != MODE_PLACE)
    canvas_place_sample(canvas, g_value_get_boxed(value));
  canvas->place_at = point_snap(canvas_to_sheet(canvas, x, y));
  canvas_finish_place(canvas, false);
  return TRUE;
}

void
canvas_gestures_init(Canvas *canvas)
{
  GtkWidget *widget = GTK_WIDGET(canvas);
  GtkGesture *drag = gtk_gesture_drag_new();
  gtk_gesture_single_set_button(GTK_GESTURE_SINGLE(drag), 0);
  g_signal_connect(drag, "drag-begin", G_CALLBACK(on_drag_begin), canvas);
  g_signal_connect(drag, "drag-update", G_CALLBACK(on_drag_update), canvas);
  g_signal_connect(drag, "drag-end", G_CALLBACK(on_drag_end), canvas);
  g_signal_connect(drag, "cancel", G_CALLBACK(on_drag_cancel), canvas);
  gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(drag));

  GtkGesture *click = gtk_gesture_click_new();
  g_signal_connect(click, "pressed", G_CALLBACK(on_pressed), canvas);
  gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(click));
  gtk_gesture_group(drag, click);

  GtkEventController *motion = gtk_event_controller_motion_new();
  g_signal_connect(motion, "enter", G_CALLBACK(on_enter), canvas);
  g_signal_connect(motion, "motion", G_CALLBACK(on_motion), canvas);
  g_signal_connect(motion, "leave", G_CALLBACK(on_leave), canvas);
  gtk_widget_add_controller(widget, motion);

  GtkEventController *scroll =
      gtk_event_controller_scroll_new(GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES);
  g_signal_connect(scroll, "scroll", G_CALLBACK(on_scroll), canvas);
  gtk_widget_add_controller(widget, scroll);

  GtkGesture *pinch = gtk_gesture_zoom_new();
  g_signal_connect(pinch, "begin", G_CALLBACK(on_pinch_begin), canvas);
  g_signal_connect(pinch, "scale-changed", G_CALLBACK(on_pinch), canvas);
  gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(pinch));

  GtkDropTarget *drop = gtk_drop_target_new(PART_SAMPLE_TYPE, GDK_ACTION_COPY);
  gtk_drop_target_set_preload(drop, TRUE);
  g_signal_connect(drop, "motion", G_CALLBACK(on_drop_motion), canvas);
  g_signal_connect(drop, "leave", G_CALLBACK(on_drop_leave), canvas);
  g_signal_connect(drop, "drop", G_CALLBACK(on_drop), canvas);
  gtk_widget_add_controller(widget, GTK_EVENT_CONTROLLER(drop));
}
