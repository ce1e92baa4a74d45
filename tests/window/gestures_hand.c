/* SPDX-License-Identifier: MIT */
#include "gestures_hand.h"

#include "figure/figure.h"

int
hand_below(GRand *random, guint n)
{
  return n > 0 ? g_rand_int_range(random, 0, (int)n) : 0;
}

bool
hand_one_in(GRand *random, guint n)
{
  return hand_below(random, n) == 0;
}

Point
hand_somewhere(GRand *random)
{
  return (Point){g_rand_double_range(random, 10, 250), g_rand_double_range(random, 10, 190)};
}

Session *
hand_session_of(DoorsheetWindow *window)
{
  return window_get_session(window);
}

/* NULL: none on the sheet. */
const Device *
hand_device(DoorsheetWindow *window, GRand *random)
{
  const Document *document = drive_document(window);
  guint n = document_device_count(document);
  return n > 0 ? document_device(document, (guint)hand_below(random, n)) : NULL;
}

const Conductor *
hand_conductor(DoorsheetWindow *window, GRand *random)
{
  const Document *document = drive_document(window);
  guint n = document_conductor_count(document);
  return n > 0 ? document_conductor(document, (guint)hand_below(random, n)) : NULL;
}

/* A random terminal of a random device; false: it has none. */
bool
hand_terminal(DoorsheetWindow *window, GRand *random, const Device **device, guint *terminal)
{
  *device = hand_device(window, random);
  guint n = *device != NULL ? device_terminal_count(*device) : 0;
  *terminal = (guint)hand_below(random, n);
  return n > 0;
}

bool
hand_landing(DoorsheetWindow *window, GRand *random, Landing *landing)
{
  const Device *device;
  guint terminal;
  if (!hand_terminal(window, random, &device, &terminal))
    return false;
  *landing = landing_make(device->id, device_terminal(device, terminal)->name);
  return true;
}

bool
hand_terminal_point(DoorsheetWindow *window, GRand *random, Point *at)
{
  const Device *device;
  guint terminal;
  if (!hand_terminal(window, random, &device, &terminal))
    return false;
  *at = device_terminal_point(device, terminal);
  return true;
}

/* The middle of a random stretch of the conductor's route. */
Point
hand_on_conductor(DoorsheetWindow *window, GRand *random, const Conductor *conductor)
{
  g_autoptr(GArray) route = figure_route(drive_document(window), conductor);
  guint at = (guint)hand_below(random, route->len - 1);
  Point a = g_array_index(route, Point, at), b = g_array_index(route, Point, at + 1);
  return (Point){(a.x + b.x) / 2, (a.y + b.y) / 2};
}

Point
hand_middle_of(const Device *device)
{
  Rect box = figure_device_bounds(device);
  return (Point){box.x + box.width / 2, box.y + box.height / 2};
}

/* What a person finds switched off is no gesture. */
void
hand_act(DoorsheetWindow *window, const char *name)
{
  GAction *action = g_action_map_lookup_action(G_ACTION_MAP(window), name);
  if (action == NULL)
    fail_msg("win.%s is missing", name);
  if (g_action_get_enabled(action))
    g_action_activate(action, NULL);
}

void
hand_act_one_of(DoorsheetWindow *window, GRand *random, const char *const *names, guint n)
{
  hand_act(window, names[hand_below(random, n)]);
}

bool
hand_is_full(DoorsheetWindow *window)
{
  return document_device_count(drive_document(window)) >= DEVICES_MOST;
}

bool
hand_is_wired(DoorsheetWindow *window)
{
  return document_conductor_count(drive_document(window)) >= CONDUCTORS_MOST;
}

/* Findings of the sheet as it is now. */
void
hand_inspect(DoorsheetWindow *window)
{
  session_set_held(hand_session_of(window), false);
  session_set_held(hand_session_of(window), true);
}

/* A text of the field's form, mostly within what is permitted. */
char *
hand_text(GRand *random, const FieldSpec *field)
{
  bool bounded = field->minimum != 0 || field->maximum != 0;
  double low = bounded ? MIN(field->minimum, field->maximum) : 0;
  double high = bounded ? MIN(MAX(field->minimum, field->maximum), low + 1000) : 1000;
  double value = g_rand_double_range(random, low, high + 0.001);
  guint choices = 0;
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(number, sizeof number, "%.4g", value);
  switch (field->type) {
  case FIELD_BOOLEAN:
    return g_strdup(hand_one_in(random, 2) ? "yes" : "no");
  case FIELD_CHOICE:
    while (field->choices[choices] != NULL)
      choices++;
    return g_strdup(field->choices[hand_below(random, choices)]);
  case FIELD_INTEGER:
    return g_strdup_printf("%d", (int)value);
  case FIELD_QUANTITY:
    return g_strdup_printf("%s %s", number, unit_symbol(field->unit));
  case FIELD_RANGE:
    return g_strdup_printf("%s..%s %s", number, number, unit_symbol(field->unit));
  case FIELD_NAME:
    return g_strdup_printf("N%d", hand_below(random, 60));
  case FIELD_TERMINALS:
    return g_strdup("L1 GND");
  case FIELD_TEXT:
  default:
    return g_strdup_printf("text %d <&> \303\251", hand_below(random, 100));
  }
}
