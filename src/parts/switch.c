/* SPDX-License-Identifier: MIT */
/* A contact worked by temperature, level, pressure, a door or a hand. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

typedef enum {
  TYPE_THERMOSTAT,
  TYPE_FLOAT,
  TYPE_PRESSURE,
  TYPE_FLOW,
  TYPE_DOOR,
  TYPE_LIMIT,
  TYPE_TOGGLE,
  TYPE_PUSH_BUTTON
} SwitchType;
static const char *const type_choices[] = {N_("thermostat"), N_("float"),       N_("pressure"),
                                           N_("flow"),       N_("door"),        N_("limit"),
                                           N_("toggle"),     N_("push-button"), NULL};
static const char *const form_choices[] = {N_("normally-open"), N_("normally-closed"), NULL};

enum { DESIGNATION, TYPE, FORM, ACTUATED, SETTING, RATING, VOLTS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [TYPE] = {.name = "type",
              .title = N_("Worked by"),
              .type = FIELD_CHOICE,
              .choices = type_choices,
              .initial = "thermostat",
              .help = N_("What moves the contact")},
    [FORM] = {.name = "form",
              .title = N_("Form"),
              .type = FIELD_CHOICE,
              .choices = form_choices,
              .initial = "normally-open",
              .help = N_("How it stands on the shelf; a rising quantity or a hand moves it")},
    [ACTUATED] = {.name = "actuated",
                  .title = N_("Actuated"),
                  .type = FIELD_BOOLEAN,
                  .initial = "no",
                  .help = N_("yes: moved, so that a normally-open contact is closed")},
    [SETTING] = {.name = "setting",
                 .title = N_("Setting"),
                 .type = FIELD_TEXT,
                 .maximum = 40,
                 .help = N_("Set point for the sheet, such as closes on rise at 55 C")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.01,
                .maximum = 5000,
                .initial = "10 A",
                .help = N_("Amperes the contact may carry and switch")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "250 V",
               .help = N_("Highest volts the contact may switch")},
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0

static bool
is_closed(const Device *device)
{
  return (device_choice(device, FORM) == 1) != device_flag(device, ACTUATED);
}

static void
terminals(const Device *device, GArray *array)
{
  (void)device;
  part_terminal(array, "1", 0, 0, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "2", WIDTH, 0, SIDE_RIGHT, TERMINAL_LOAD_SIDE);
}

static void
stamp(const Device *device, Stamp *out)
{
  stamp_join(out, 0, 1,
             (Join){.role = JOIN_SWITCH,
                    .closed = is_closed(device),
                    .coil = -1,
                    .rated_amps = device_number(device, RATING, 0),
                    .rated_volts = device_number(device, VOLTS, 0)});
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, 1, _("across the contact"));
}

static char *
rating_text(const Device *device)
{
  const char *setting = device_text(device, SETTING);
  if (*setting)
    return g_strdup(setting);
  return part_join_texts(" ", part_value_text(device, RATING), part_value_text(device, VOLTS),
                         PART_TEXT_END);
}

/* What hangs on the arm, its top at y. */
static void
draw_actuator(Pen *pen, SwitchType type, double y)
{
  const double x = SYMBOL_MIDDLE;
  switch (type) {
  case TYPE_THERMOSTAT: {
    Point strip[] = {{x, y},           {x + 2, y},     {x + 2, y + 1.5},
                     {x - 2, y + 1.5}, {x - 2, y + 3}, {x, y + 3}};
    pen_polyline(pen, strip, G_N_ELEMENTS(strip), &symbol_stroke);
    break;
  }
  case TYPE_FLOAT:
    pen_circle(pen, (Point){x, y + 1.75}, 1.75, &symbol_stroke, &symbol_paper);
    break;
  case TYPE_PRESSURE:
    pen_arc(pen, (Point){x, y + 2.5}, 2.5, 180, 360, &symbol_stroke);
    pen_line(pen, (Point){x - 2.5, y + 2.5}, (Point){x + 2.5, y + 2.5}, &symbol_stroke);
    break;
  case TYPE_FLOW: {
    Point flag[] = {{x, y}, {x + 3, y + 3}, {x, y + 3}};
    pen_polygon(pen, flag, G_N_ELEMENTS(flag), &symbol_stroke, NULL);
    break;
  }
  case TYPE_DOOR:
    pen_box(pen, (Rect){x - 1.5, y, 3, 3}, &symbol_stroke, NULL);
    break;
  case TYPE_LIMIT: {
    Point cam[] = {{x - 2, y + 2.5}, {x, y}, {x + 2, y + 2.5}};
    pen_polygon(pen, cam, G_N_ELEMENTS(cam), &symbol_stroke, NULL);
    break;
  }
  case TYPE_TOGGLE:
    pen_line(pen, (Point){x, y}, (Point){x, y + 1.5}, &symbol_heavy);
    break;
  case TYPE_PUSH_BUTTON:
    pen_line(pen, (Point){x - 2.5, y + 1}, (Point){x + 2.5, y + 1}, &symbol_heavy);
    pen_line(pen, (Point){x, y}, (Point){x, y + 1}, &symbol_stroke);
    break;
  }
}

static void
draw(const Device *device, Pen *pen)
{
  const double actuator = 3.5;
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  Point hold = symbol_arm(pen, 0, is_closed(device));
  pen_line(pen, (Point){SYMBOL_MIDDLE, hold.y}, (Point){SYMBOL_MIDDLE, actuator}, &symbol_thin);
  draw_actuator(pen, (SwitchType)device_choice(device, TYPE), actuator);
  symbol_text(pen, WIDTH - 1.2, 3.5, device_choice(device, FORM) == 1 ? "NC" : "NO", SYMBOL_LETTER,
              TEXT_END);
}

#define QUANTITY_TOP 2.6 /* of the box below */

/* A box with the quantity that works the contact: temperature, pressure. Returns where the stem
 * from the contact ends. */
static double
draw_actuator_iec(Pen *pen, SwitchType type, double y)
{
  if (type != TYPE_THERMOSTAT && type != TYPE_PRESSURE) {
    draw_actuator(pen, type, y);
    return y;
  }
  pen_box(pen, (Rect){SYMBOL_MIDDLE - 2, QUANTITY_TOP, 4, 3.8}, &symbol_stroke, NULL);
  symbol_text(pen, SYMBOL_MIDDLE, QUANTITY_TOP + 2.9, type == TYPE_THERMOSTAT ? "θ" : "p",
              SYMBOL_LETTER, TEXT_MIDDLE);
  return QUANTITY_TOP;
}

static void
draw_iec(const Device *device, Pen *pen)
{
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  const bool breaks = device_choice(device, FORM) == 1 && is_closed(device);
  const Point hold =
      breaks ? symbol_iec_contact(pen, 0, true) : symbol_iec_arm(pen, 0, is_closed(device));
  const double end = draw_actuator_iec(pen, (SwitchType)device_choice(device, TYPE), 3.5);
  pen_line(pen, (Point){SYMBOL_MIDDLE, hold.y}, (Point){SYMBOL_MIDDLE, end}, &symbol_thin);
  symbol_text(pen, WIDTH - 1.2, 3.5, device_choice(device, FORM) == 1 ? "NC" : "NO", SYMBOL_LETTER,
              TEXT_END);
}

const PartKind part_switch = {
    .name = "switch",
    .title = N_("Switch contact"),
    .designation = "SW",
    .help = N_("Thermostat, float, pressure, flow, door or limit contact, toggle or push button"),
    .group = GROUP_CONTROL,
    .role = ROLE_SWITCH,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .operate_field = "actuated",
};
