/* SPDX-License-Identifier: MIT */
#include "gestures_hand.h"

#include "figure/figure.h"
#include "parts/catalog.h"

/* --- placing, choosing, moving --- */

void
sheet_place(DoorsheetWindow *window, GRand *random)
{
  static const char *const needed[] = {"cap", "splice", "ground", "transformer", "test-point"};
  PartCatalog catalog = parts_catalog();
  guint kinds = 0;
  while (catalog[kinds] != NULL)
    kinds++;
  if (hand_is_full(window))
    return;
  const char *kind = hand_one_in(random, 4) ? needed[hand_below(random, G_N_ELEMENTS(needed))]
                                            : catalog[hand_below(random, kinds)]->name;
  drive_action_text(window, "place", kind);
  if (hand_one_in(random, 3))
    drive_key(window, GDK_KEY_r, 0); /* turned while in hand */
  drive_hover(window, hand_somewhere(random));
  drive_click(window, hand_somewhere(random));
}

void
sheet_click(DoorsheetWindow *window, GRand *random)
{
  drive_click(window, hand_somewhere(random));
}

void
sheet_box(DoorsheetWindow *window, GRand *random)
{
  drive_drag(window, hand_somewhere(random), hand_somewhere(random));
}

void
sheet_select(DoorsheetWindow *window, GRand *random)
{
  const Device *device = hand_device(window, random);
  const Conductor *conductor = hand_conductor(window, random);
  bool extend = hand_one_in(random, 2);
  if (hand_one_in(random, 3) && conductor != NULL)
    session_select_conductor(hand_session_of(window), conductor->key, extend);
  else if (device != NULL)
    session_select_device(hand_session_of(window), device->id, extend);
}

void
sheet_select_otherwise(DoorsheetWindow *window, GRand *random)
{
  static const char *const names[] = {"select-all",     "select-none",       "select-net",
                                      "next-conductor", "extend-next",       "extend-previous",
                                      "select-net",     "previous-conductor"};
  hand_act_one_of(window, random, names, G_N_ELEMENTS(names));
}

void
sheet_move(DoorsheetWindow *window, GRand *random)
{
  const Device *device = hand_device(window, random);
  if (device == NULL)
    return;
  Point from = hand_middle_of(device), by = hand_somewhere(random);
  drive_drag(window, from, (Point){from.x + (by.x - 130) / 3, from.y + (by.y - 100) / 3});
}

void
sheet_keys(DoorsheetWindow *window, GRand *random)
{
  static const guint keys[] = {GDK_KEY_Tab,  GDK_KEY_Left,   GDK_KEY_Right,  GDK_KEY_Up,
                               GDK_KEY_Down, GDK_KEY_Return, GDK_KEY_Escape, GDK_KEY_space};
  GdkModifierType state = hand_one_in(random, 3) ? GDK_SHIFT_MASK : 0;
  for (int i = hand_below(random, 4); i >= 0; i--)
    drive_key(window, keys[hand_below(random, G_N_ELEMENTS(keys))], state);
}

void
sheet_turn(DoorsheetWindow *window, GRand *random)
{
  static const char *const names[] = {"turn", "turn-back", "mirror"};
  sheet_select(window, random);
  hand_act_one_of(window, random, names, G_N_ELEMENTS(names));
}

void
sheet_align(DoorsheetWindow *window, GRand *random)
{
  static const char *const names[] = {"align-left",    "align-right",  "align-top",
                                      "align-bottom",  "align-column", "align-row",
                                      "spread-across", "spread-down"};
  for (int i = 0; i < 4; i++) {
    const Device *device = hand_device(window, random);
    if (device != NULL)
      session_select_device(hand_session_of(window), device->id, i > 0);
  }
  hand_act_one_of(window, random, names, G_N_ELEMENTS(names));
}

void
sheet_group(DoorsheetWindow *window, GRand *random)
{
  sheet_select(window, random);
  if (hand_one_in(random, 3))
    hand_act(window, "ungroup");
  else if (!hand_is_full(window))
    hand_act(window, "group");
}

static void
choose_few(DoorsheetWindow *window, GRand *random)
{
  session_select_nothing(hand_session_of(window));
  for (int i = 0; i < 3; i++) {
    const Device *device = hand_device(window, random);
    if (device != NULL)
      session_select_device(hand_session_of(window), device->id, true);
  }
}

void
sheet_delete(DoorsheetWindow *window, GRand *random)
{
  if (hand_is_full(window))
    choose_few(window, random);
  else if (hand_one_in(random, 2))
    return;
  else
    sheet_select(window, random);
  hand_act(window, "delete");
}

/* --- conductors --- */

void
sheet_land(DoorsheetWindow *window, GRand *random)
{
  Point from, to;
  if (hand_is_wired(window) || !hand_terminal_point(window, random, &from) ||
      !hand_terminal_point(window, random, &to))
    return;
  session_select_nothing(hand_session_of(window));
  drive_drag(window, from, to);
}

void
sheet_land_bent(DoorsheetWindow *window, GRand *random)
{
  Point from, to;
  if (hand_is_wired(window) || !hand_terminal_point(window, random, &from) ||
      !hand_terminal_point(window, random, &to))
    return;
  session_select_nothing(hand_session_of(window));
  drive_click(window, from);
  drive_click(window, hand_somewhere(random));
  drive_click(window, to);
  drive_key(window, GDK_KEY_Escape, 0);
}

void
sheet_land_by_keys(DoorsheetWindow *window, GRand *random)
{
  static const guint keys[] = {GDK_KEY_Right, GDK_KEY_Left, GDK_KEY_Down, GDK_KEY_Tab};
  const Device *device = hand_device(window, random);
  if (hand_is_wired(window) || device == NULL)
    return;
  session_select_device(hand_session_of(window), device->id, false);
  hand_act(window, "land");
  for (int end = 0; end < 2; end++) {
    for (int i = hand_below(random, 5); i >= 0; i--)
      drive_key(window, keys[hand_below(random, G_N_ELEMENTS(keys))], 0);
    drive_key(window, GDK_KEY_Return, 0);
  }
  drive_key(window, GDK_KEY_Escape, 0);
}

/* Landing on a conductor makes a splice. */
void
sheet_splice(DoorsheetWindow *window, GRand *random)
{
  Point from;
  const Conductor *conductor = hand_conductor(window, random);
  if (hand_is_full(window) || hand_is_wired(window) || conductor == NULL ||
      !hand_terminal_point(window, random, &from))
    return;
  session_select_nothing(hand_session_of(window));
  drive_drag(window, from, hand_on_conductor(window, random, conductor));
}

void
sheet_reland(DoorsheetWindow *window, GRand *random)
{
  const Conductor *conductor = hand_conductor(window, random);
  Point to;
  if (conductor == NULL || !hand_terminal_point(window, random, &to))
    return;
  session_select_conductor(hand_session_of(window), conductor->key, false);
  if (hand_one_in(random, 3)) { /* by keys */
    hand_act(window, hand_one_in(random, 2) ? "reland" : "reland-start");
    drive_key(window, GDK_KEY_Right, 0);
    drive_key(window, GDK_KEY_Return, 0);
    drive_key(window, GDK_KEY_Escape, 0);
    return;
  }
  g_autoptr(GArray) route = figure_route(drive_document(window), conductor);
  drive_drag(window, g_array_index(route, Point, hand_one_in(random, 2) ? 0 : route->len - 1), to);
}

void
sheet_bend(DoorsheetWindow *window, GRand *random)
{
  const Conductor *conductor = hand_conductor(window, random);
  if (conductor == NULL)
    return;
  session_select_nothing(hand_session_of(window));
  Point grip = hand_on_conductor(window, random, conductor);
  Point by = {12.5 * (hand_below(random, 5) - 2), 12.5 * (hand_below(random, 5) - 2)};
  if (!hand_one_in(random, 3)) {
    drive_drag(window, grip, point_add(grip, by));
    return;
  }
  session_select_conductor(hand_session_of(window), conductor->key, false);
  hand_act(window, "bend");
  drive_key(window, GDK_KEY_Tab, 0);
  drive_key(window, by.x < 0 ? GDK_KEY_Left : GDK_KEY_Down, 0);
  drive_key(window, GDK_KEY_Return, 0);
  drive_key(window, GDK_KEY_Escape, 0);
}

void
sheet_straighten(DoorsheetWindow *window, GRand *random)
{
  const Conductor *conductor = hand_conductor(window, random);
  if (conductor == NULL)
    return;
  session_select_conductor(hand_session_of(window), conductor->key, false);
  hand_act(window, "straighten");
}

/* --- copies --- */

void
sheet_duplicate(DoorsheetWindow *window, GRand *random)
{
  choose_few(window, random);
  if (document_device_count(drive_document(window)) + 3 < COPIES_MOST)
    hand_act(window, "duplicate");
}

void
sheet_paste(DoorsheetWindow *window, GRand *random)
{
  if (hand_one_in(random, 2)) {
    choose_few(window, random);
    hand_act(window, hand_one_in(random, 4) ? "cut" : "copy");
  }
  if (document_device_count(drive_document(window)) + 3 >= COPIES_MOST)
    return;
  hand_act(window, "paste");
  guint before = document_device_count(drive_document(window));
  /* The clipboard answers in its own time; long enough for one of ours. */
  for (int i = 0; i < 200 && document_device_count(drive_document(window)) == before; i++)
    if (!g_main_context_iteration(NULL, FALSE))
      g_usleep(50);
}
