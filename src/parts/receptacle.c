/* SPDX-License-Identifier: MIT */
/* A receptacle and, when its power is given, what is plugged into it. Configurations and terminal
 * letters of ANSI/NEMA WD 6 (from memory): X and Y ungrounded, W grounded, G equipment ground. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

typedef struct {
  const char *second; /* W or Y */
  double volts, amperes;
} Configuration;
static const char *const configuration_choices[] = {"5-15", "5-20", "6-15", "6-20", NULL};
static const Configuration configurations[] = {
    {"W", 125, 15}, {"W", 125, 20}, {"Y", 250, 15}, {"Y", 250, 20}};

enum {
  DESIGNATION,
  CONFIGURATION,
  GFCI,
  ACCEPTS,
  POWER,
  POWER_FACTOR,
  TERMINAL_CELSIUS,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [CONFIGURATION] = {.name = "configuration",
                       .title = N_("Configuration"),
                       .type = FIELD_CHOICE,
                       .choices = configuration_choices,
                       .initial = "5-15",
                       .help = N_("Slot pattern: 5 for 125 V, 6 for 250 V, then amperes")},
    [GFCI] = {.name = "gfci",
              .title = N_("Ground-fault protected"),
              .type = FIELD_BOOLEAN,
              .initial = "no",
              .help = N_("yes: trips on a ground fault of a few milliamperes")},
    [ACCEPTS] = {.name = "accepts",
                 .title = N_("Accepts"),
                 .type = FIELD_RANGE,
                 .unit = UNIT_VOLT,
                 .minimum = 1,
                 .maximum = 1000,
                 .help =
                     N_("Volts range of what is plugged in; empty: the receptacle's 10 % band")},
    [POWER] = {.name = "power",
               .title = N_("Plugged in"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT_AMPERE,
               .minimum = 0.01,
               .maximum = 1e5,
               .help = N_("Volt-amperes plugged in; empty: nothing")},
    [POWER_FACTOR] = {.name = "power-factor",
                      .title = N_("Power factor"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_NONE,
                      .minimum = 0.05,
                      .maximum = 1,
                      .initial = "1",
                      .help = N_("Lagging power factor of what is plugged in")},
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

static const Configuration *
configuration(const Device *device)
{
  return &configurations[device_choice(device, CONFIGURATION)];
}

static void
terminals(const Device *device, GArray *array)
{
  part_terminal(array, "X", 0, 0, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, configuration(device)->second, 0, 10, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "G", 0, 20, SIDE_LEFT, TERMINAL_FRAME);
}

static void
stamp(const Device *device, Stamp *out)
{
  /* 120 V and 240 V systems with the +-10 % a plug-in load usually takes: common practice. */
  double nominal = configuration(device)->volts > 200 ? 240 : 120;
  PartLoad load = {
      .volt_amperes = device_number(device, POWER, 0),
      .power_factor = device_number(device, POWER_FACTOR, 1),
      .accepts = {quantity_make(nominal * 0.9, UNIT_VOLT), quantity_make(nominal * 1.1, UNIT_VOLT)},
      .behaviour = LOAD_CONSTANT_IMPEDANCE,
  };
  part_range(device, ACCEPTS, &load.accepts);
  part_stamp_load(out, 0, 1, &load);
}

static void
probes(const Device *device, GArray *array)
{
  bool neutral = configuration(device)->volts < 200;
  part_probe(array, 0, 1, _("in the slots"));
  part_probe(array, 0, 2, _("hot slot to ground hole"));
  part_probe(array, 1, 2,
             neutral ? _("neutral slot to ground hole") : _("hot slot to ground hole"));
}

static char *
rating_text(const Device *device)
{
  const Configuration *c = configuration(device);
  return g_strdup_printf("%s %g V %g A%s",
                         configuration_choices[device_choice(device, CONFIGURATION)], c->volts,
                         c->amperes, device_flag(device, GFCI) ? " GFCI" : "");
}

static void
draw(const Device *device, Pen *pen)
{
  Rect box = {5, -5, 25, 30};
  Point face = {19, 10};
  bool level = configuration(device)->volts > 200; /* 250 V slots lie level */
  pen_box(pen, box, &symbol_stroke, &symbol_paper);
  for (guint i = 0; i < 3; i++) {
    const Terminal *terminal = device_terminal(device, i);
    symbol_stub(pen, terminal, box.x, terminal->at.y);
    symbol_text(pen, box.x + 1.5, terminal->at.y + SYMBOL_LETTER / 2, terminal->name, SYMBOL_LETTER,
                TEXT_START);
  }
  pen_circle(pen, face, 8, &symbol_stroke, NULL);
  for (int side = -1; side <= 1; side += 2) {
    Point slot = {face.x + 3.5 * side, face.y - 2};
    Point reach = level ? (Point){1.75, 0} : (Point){0, side < 0 ? 2.25 : 1.75};
    pen_line(pen, point_sub(slot, reach), point_add(slot, reach), &symbol_heavy);
  }
  pen_arc(pen, (Point){face.x, face.y + 4}, 1.5, 180, 360, &symbol_stroke);
  pen_polyline(pen,
               (Point[]){{face.x - 1.5, face.y + 4},
                         {face.x - 1.5, face.y + 5.5},
                         {face.x + 1.5, face.y + 5.5},
                         {face.x + 1.5, face.y + 4}},
               4, &symbol_stroke);
  if (device_flag(device, GFCI))
    symbol_text(pen, box.x + box.width - 1.5, box.y + box.height - 1.5, "GFCI", SYMBOL_LETTER,
                TEXT_END);
}

/* Three contacts of a socket (IEC 60617 03-03-01, from memory), open towards the plug, in the box
 * of the other set. */
static void
draw_iec(const Device *device, Pen *pen)
{
  const Rect box = {5, -5, 25, 30};
  const double mouth = 22.5, radius = 2.5;

  pen_box(pen, box, &symbol_stroke, &symbol_paper);
  for (guint i = 0; i < 3; i++) {
    const Terminal *terminal = device_terminal(device, i);
    const double y = terminal->at.y;
    symbol_stub(pen, terminal, box.x, y);
    symbol_text(pen, box.x + 1.5, y + SYMBOL_LETTER / 2, terminal->name, SYMBOL_LETTER, TEXT_START);
    pen_line(pen, (Point){mouth - radius - 4, y}, (Point){mouth - radius, y}, &symbol_stroke);
    pen_arc(pen, (Point){mouth, y}, radius, 90, 270, &symbol_stroke);
  }
  if (device_flag(device, GFCI))
    symbol_text(pen, box.x + box.width - 1.5, 15 + SYMBOL_LETTER / 2, "GFCI", SYMBOL_LETTER,
                TEXT_END); /* between two of the contacts */
}

const PartKind part_receptacle = {
    .name = "receptacle",
    .title = N_("Receptacle"),
    .designation = "REC",
    .help = N_("Outlet with ground, and the load plugged into it"),
    .group = GROUP_LOAD,
    .role = ROLE_RECEPTACLE,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
};
