/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum { DESIGNATION, ACCEPTS, RATED_VOLTS, POWER, FRAME, TERMINAL_CELSIUS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [ACCEPTS] = FIELD_ACCEPTS("110..125 V"),
    [RATED_VOLTS] = {.name = "rated-volts",
                     .title = N_("Rated volts"),
                     .type = FIELD_QUANTITY,
                     .unit = UNIT_VOLT,
                     .minimum = 1,
                     .maximum = 1000,
                     .help = N_("Volts at which it gives its watts; empty: middle of the range")},
    [POWER] = {.name = "power",
               .title = N_("Power"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_WATT,
               .minimum = 0.01,
               .maximum = 1e6,
               .initial = "100 W",
               .help = N_("Watts on the nameplate; they fall with the square of the volts")},
    [FRAME] = FIELD_FRAME("yes"),
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0

static void
terminals(const Device *device, GArray *array)
{
  part_terminal(array, "1", 0, 0, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "2", WIDTH, 0, SIDE_RIGHT, TERMINAL_PLAIN);
  if (device_flag(device, FRAME))
    part_frame_terminal(array, WIDTH / 2, 10);
}

static void
stamp(const Device *device, Stamp *out)
{
  PartLoad load = {
      .volt_amperes = device_number(device, POWER, 0),
      .power_factor = 1,
      .rated_volts = device_number(device, RATED_VOLTS, 0),
      .behaviour = LOAD_CONSTANT_IMPEDANCE,
  };
  if (part_range(device, ACCEPTS, &load.accepts))
    part_stamp_load(out, 0, 1, &load);
}

static void
probes(const Device *device, GArray *array)
{
  part_probe(array, 0, 1, _("at the heater"));
  if (device_flag(device, FRAME))
    part_probe(array, 2, PROBE_EARTH, _("frame to ground"));
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(", ", part_value_text(device, ACCEPTS), part_value_text(device, POWER),
                         PART_TEXT_END);
}

static void
draw(const Device *device, Pen *pen)
{
  const double left = 4, right = WIDTH - 4, half = 2.5;
  enum { CELLS = 5 };
  symbol_stub(pen, device_terminal(device, 0), left, 0);
  symbol_stub(pen, device_terminal(device, 1), right, 0);
  symbol_name(pen, device_terminal(device, 0));
  symbol_name(pen, device_terminal(device, 1));
  pen_box(pen, (Rect){left, -half, right - left, 2 * half}, &symbol_stroke, &symbol_paper);
  for (guint i = 1; i < CELLS; i++) {
    double x = left + (right - left) * i / CELLS;
    pen_line(pen, (Point){x, -half}, (Point){x, half}, &symbol_stroke);
  }
  if (device_flag(device, FRAME)) {
    const Terminal *frame = device_terminal(device, 2);
    symbol_stub(pen, frame, frame->at.x, half);
    symbol_name(pen, frame);
  }
}

const PartKind part_heater = {
    .name = "heater",
    .title = N_("Heater"),
    .designation = "HTR",
    .help = N_("Resistance heater: drain pan, crankcase, duct"),
    .group = GROUP_LOAD,
    .role = ROLE_LOAD,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
};
