/* SPDX-License-Identifier: MIT */
#include "gestures_hand.h"

#include "quiz/fault.h"

/* --- names, numbers, nameplates --- */

static void
do_number(DoorsheetWindow *window, GRand *random)
{
  hand_act(window, hand_one_in(random, 3) ? "number-devices" : "number-wires");
}

static void
do_find(DoorsheetWindow *window, GRand *random)
{
  const Device *device = hand_device(window, random);
  g_autofree char *word =
      g_strdup(device != NULL && !hand_one_in(random, 5) ? device->id : "nothing");
  hand_act(window, "find");
  GListModel *all = gtk_window_get_toplevels();
  GtkWindow *box = NULL;
  for (guint i = 0; i < g_list_model_get_n_items(all) && box == NULL; i++) {
    g_autoptr(GtkWindow) top = g_list_model_get_item(all, i);
    box = gtk_window_get_transient_for(top) == GTK_WINDOW(window) ? top : NULL;
  }
  assert_non_null(box);
  GtkWidget *entry = gtk_window_get_focus(box);
  while (!GTK_IS_ENTRY(entry))
    entry = gtk_widget_get_parent(entry);
  gtk_editable_set_text(GTK_EDITABLE(entry), word);
  g_signal_emit_by_name(entry, "activate");
}

static void
do_nameplate(DoorsheetWindow *window, GRand *random)
{
  const Device *device = hand_device(window, random);
  if (device == NULL || device->kind->n_fields == 0)
    return;
  const FieldSpec *field = &device->kind->fields[hand_below(random, device->kind->n_fields)];
  g_autofree char *text = hand_one_in(random, 4) ? NULL : hand_text(random, field);
  GError *error = NULL;
  Change *change = edit_set_field(drive_document(window), device->id, field->name, text, &error);
  session_edit(hand_session_of(window), change, error);
}

static void
do_rows(DoorsheetWindow *window, GRand *random)
{
  const Document *document = drive_document(window);
  const Device *device = hand_device(window, random);
  for (int tries = 0; tries < 8 && device != NULL && device->kind->row_name == NULL; tries++)
    device = hand_device(window, random);
  if (device == NULL || device->kind->row_name == NULL)
    return;
  guint rows = device->rows->len, at = (guint)hand_below(random, rows),
        to = (guint)hand_below(random, rows);
  GError *error = NULL;
  Change *change = NULL;
  const FieldSpec *field =
      &device->kind->row_fields[hand_below(random, device->kind->n_row_fields)];
  g_autofree char *text = hand_text(random, field);
  switch (rows > 0 ? hand_below(random, 5) : 0) {
  case 0:
    change = edit_add_row(document, device->id, &error);
    break;
  case 1:
    change = edit_remove_row(document, device->id, at, &error);
    break;
  case 2:
    change = edit_move_row(document, device->id, at, to, &error);
    break;
  case 3:
    change = edit_remove_row_landed(document, device->id, at, NULL, &error);
    break;
  default:
    change = edit_set_row_field(document, device->id, at, field->name, text, &error);
  }
  session_edit(hand_session_of(window), change, error);
}

static void
do_conductor_field(DoorsheetWindow *window, GRand *random)
{
  const Conductor *conductor = hand_conductor(window, random);
  if (conductor == NULL)
    return;
  const FieldSpec *field = &conductor_fields[hand_below(random, CONDUCTOR_FIELD_COUNT)];
  g_autofree char *text = hand_one_in(random, 4) ? NULL : hand_text(random, field);
  GError *error = NULL;
  Change *change =
      edit_set_conductor_field(drive_document(window), conductor->key, field->name, text, &error);
  session_edit(hand_session_of(window), change, error);
}

static void
do_rename(DoorsheetWindow *window, GRand *random)
{
  const Device *device = hand_device(window, random);
  if (device == NULL)
    return;
  g_autofree char *id = g_strdup_printf("Q%d", hand_below(random, 90));
  GError *error = NULL;
  Change *change = edit_set_id(drive_document(window), device->id, id, &error);
  session_edit(hand_session_of(window), change, error);
}

static void
do_sheet_data(DoorsheetWindow *window, GRand *random)
{
  const FieldSpec *field = &sheet_data_fields[hand_below(random, SHEET_FIELD_COUNT)];
  g_autofree char *text = hand_text(random, field);
  GError *error = NULL;
  Change *change = edit_set_sheet_field(drive_document(window), false, field->name, text, &error);
  session_edit(hand_session_of(window), change, error);
}

static void
do_operate(DoorsheetWindow *window, GRand *random)
{
  sheet_select(window, random);
  hand_act(window, "operate");
}

/* --- power, meter, findings, lessons --- */

static void
do_energize(DoorsheetWindow *window, GRand *random)
{
  (void)random;
  hand_act(window, "energize");
}

static void
do_probe(DoorsheetWindow *window, GRand *random)
{
  static const char *const dials[] = {"volts", "amps", "ohms"};
  Point at;
  const Conductor *conductor = hand_conductor(window, random);
  drive_action_text(window, "meter", dials[hand_below(random, 3)]);
  hand_act(window, hand_one_in(random, 2) ? "probe-red" : "probe-black");
  if (hand_one_in(random, 4) && conductor != NULL)
    drive_click(window, hand_on_conductor(window, random, conductor));
  else if (hand_terminal_point(window, random, &at))
    drive_click(window, at);
  drive_key(window, GDK_KEY_Escape, 0);
}

static void
do_pin(DoorsheetWindow *window, GRand *random)
{
  for (ProbeColour probe = PROBE_RED; probe <= PROBE_BLACK; probe++) {
    Landing landing;
    if (!hand_landing(window, random, &landing))
      return;
    session_set_probe(hand_session_of(window), probe, landing.device, landing.terminal);
    landing_clear(&landing);
  }
  hand_act(window, "pin");
}

static void
do_note(DoorsheetWindow *window, GRand *random)
{
  Landing a, b;
  if (!hand_landing(window, random, &a))
    return;
  b = landing_make(NULL, "GND");
  bool locked = hand_one_in(random, 2);
  MeasuredField field = locked && hand_one_in(random, 2) ? MEASURED_OHMS : MEASURED_VALUE;
  g_autofree char *text =
      hand_one_in(random, 4) ? NULL : hand_text(random, &measured_fields[field]);
  GError *error = NULL;
  Change *change = edit_note_reading(drive_document(window), &a, &b,
                                     locked ? MEASURED_LOCKED_OUT : MEASURED_ENERGIZED, field, text,
                                     NULL, &error);
  session_edit(hand_session_of(window), change, error);
  landing_clear(&a);
  landing_clear(&b);
}

static void
do_finding(DoorsheetWindow *window, GRand *random)
{
  hand_inspect(window);
  for (int i = hand_below(random, 4); i >= 0; i--)
    hand_act(window, hand_one_in(random, 4) ? "previous-finding" : "next-finding");
  if (hand_one_in(random, 2))
    hand_act(window, "remedy");
}

static void
do_mark(DoorsheetWindow *window, GRand *random)
{
  const Document *document = drive_document(window);
  Session *session = hand_session_of(window);
  guint n = document_intended_count(document);
  if (n > 0 && hand_one_in(random, 2)) {
    const Intended *intended = document_intended(document, (guint)hand_below(random, n));
    session_edit(session,
                 edit_forget_intended(document, intended_fault(intended), intended_at(intended)),
                 NULL);
    return;
  }
  Landing at;
  if (!hand_landing(window, random, &at))
    return;
  g_autofree char *name = landing_dup_name(&at);
  GError *error = NULL;
  Change *change =
      edit_intend(document, fault_at((guint)hand_below(random, fault_count()))->name, name, &error);
  session_edit(session, change, error);
  landing_clear(&at);
}

/* --- history and view --- */

static void
do_undo(DoorsheetWindow *window, GRand *random)
{
  for (int i = hand_below(random, 6); i >= 0; i--)
    hand_act(window, "undo");
}

static void
do_redo(DoorsheetWindow *window, GRand *random)
{
  int steps = hand_below(random, 4);
  for (int i = steps; i >= 0; i--)
    hand_act(window, "undo");
  for (int i = hand_below(random, (guint)steps + 1); i >= 0; i--)
    hand_act(window, "redo");
}

static void
do_view(DoorsheetWindow *window, GRand *random)
{
  static const char *const names[] = {"zoom-in",        "zoom-out",    "zoom-fit",
                                      "zoom-content",   "zoom-normal", "show-shelf",
                                      "show-clipboard", "focus-canvas"};
  hand_act_one_of(window, random, names, G_N_ELEMENTS(names));
}

static void
do_scroll(DoorsheetWindow *window, GRand *random)
{
  gboolean handled;
  g_autoptr(GListModel) all = gtk_widget_observe_controllers(GTK_WIDGET(window_get_canvas(window)));
  for (guint i = 0; i < g_list_model_get_n_items(all); i++) {
    g_autoptr(GtkEventController) one = g_list_model_get_item(all, i);
    if (GTK_IS_EVENT_CONTROLLER_SCROLL(one))
      g_signal_emit_by_name(one, "scroll", g_rand_double_range(random, -2, 2),
                            g_rand_double_range(random, -2, 2), &handled);
  }
}

static const Gesture gestures[] = {
    {"place", 12, true, sheet_place},
    {"click", 5, false, sheet_click},
    {"box", 6, true, sheet_box},
    {"select", 4, false, sheet_select},
    {"select otherwise", 4, false, sheet_select_otherwise},
    {"move", 10, true, sheet_move},
    {"keys", 8, true, sheet_keys},
    {"turn", 5, true, sheet_turn},
    {"align", 5, true, sheet_align},
    {"group", 4, true, sheet_group},
    {"delete", 7, true, sheet_delete},
    {"land", 14, true, sheet_land},
    {"land bent", 5, true, sheet_land_bent},
    {"land by keys", 4, true, sheet_land_by_keys},
    {"splice", 4, true, sheet_splice},
    {"re-land", 6, true, sheet_reland},
    {"bend", 6, true, sheet_bend},
    {"straighten", 2, true, sheet_straighten},
    {"duplicate", 3, true, sheet_duplicate},
    {"paste", 3, true, sheet_paste},
    {"number", 3, true, do_number},
    {"find", 1, false, do_find},
    {"nameplate", 8, true, do_nameplate},
    {"rows", 5, true, do_rows},
    {"conductor field", 5, true, do_conductor_field},
    {"rename", 3, true, do_rename},
    {"sheet data", 2, true, do_sheet_data},
    {"operate", 3, true, do_operate},
    {"energize", 2, false, do_energize},
    {"probe", 4, false, do_probe},
    {"pin", 3, true, do_pin},
    {"note", 4, true, do_note},
    {"finding", 2, true, do_finding},
    {"mark", 3, true, do_mark},
    {"undo", 7, true, do_undo},
    {"redo", 4, true, do_redo},
    {"view", 4, false, do_view},
    {"scroll", 3, false, do_scroll},
};

guint
gestures_count(void)
{
  return G_N_ELEMENTS(gestures);
}

const Gesture *
gestures_at(guint index)
{
  return &gestures[index];
}

guint
gestures_choose(GRand *random)
{
  guint sum = 0;
  for (guint i = 0; i < G_N_ELEMENTS(gestures); i++)
    sum += gestures[i].weight;
  guint left = (guint)hand_below(random, sum), at = 0;
  while (left >= gestures[at].weight)
    left -= gestures[at++].weight;
  return at;
}
