/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

#include <math.h>

enum { DESIGNATION, CAPACITANCE, VOLTS, BLEEDER, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [CAPACITANCE] = {.name = "capacitance",
                     .title = N_("Capacitance"),
                     .type = FIELD_QUANTITY,
                     .unit = UNIT_FARAD,
                     .minimum = 1e-12,
                     .maximum = 1,
                     .initial = "10 uF",
                     .help = N_("Microfarads on the can")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 5000,
               .initial = "440 V",
               .help = N_("Highest ac volts on the can")},
    [BLEEDER] = {.name = "bleeder",
                 .title = N_("Discharge resistor"),
                 .type = FIELD_QUANTITY,
                 .unit = UNIT_OHM,
                 .minimum = 10,
                 .maximum = 1e9,
                 .help =
                     N_("Resistor across it that discharges it; empty: none, it stays charged")},
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0

static void
terminals(const Device *device, GArray *array)
{
  (void)device;
  part_terminal(array, "1", 0, 0, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "2", WIDTH, 0, SIDE_RIGHT, TERMINAL_PLAIN);
}

static void
stamp(const Device *device, Stamp *out)
{
  double farads = device_number(device, CAPACITANCE, 0);
  double ohms = device_number(device, BLEEDER, 0);
  if (farads > 0)
    stamp_impedance(out, 0, 1, CMPLX(0, -1 / (2 * G_PI * part_supply_frequency(out) * farads)),
                    IMPEDANCE_CAPACITOR, 0);
  if (ohms > 0)
    stamp_impedance(out, 0, 1, ohms, IMPEDANCE_OTHER, 1);
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, 1, _("across the capacitor"));
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(", ", part_value_text(device, CAPACITANCE), part_value_text(device, VOLTS),
                         PART_TEXT_END);
}

static void
draw_ends(const Device *device, Pen *pen)
{
  const double gap = 1;
  symbol_stub(pen, device_terminal(device, 0), SYMBOL_MIDDLE - gap, 0);
  symbol_stub(pen, device_terminal(device, 1), SYMBOL_MIDDLE + gap, 0);
  symbol_name(pen, device_terminal(device, 0));
  symbol_name(pen, device_terminal(device, 1));
}

static void
draw_bleeder(Pen *pen, bool iec)
{
  const double y = 8, left = SYMBOL_LEFT - 1, right = SYMBOL_RIGHT + 1;
  pen_polyline(pen, (Point[]){{left, 0}, {left, y}, {left + 1, y}}, 3, &symbol_stroke);
  pen_polyline(pen, (Point[]){{right, 0}, {right, y}, {right - 1, y}}, 3, &symbol_stroke);
  if (iec)
    symbol_iec_resistor(pen, left + 1, y, right - left - 2, 2.5);
  else
    symbol_zigzag(pen, left + 1, y, right - left - 2, 2.5);
  pen_circle(pen, (Point){left, 0}, 0.4, &symbol_stroke, &symbol_solid);
  pen_circle(pen, (Point){right, 0}, 0.4, &symbol_stroke, &symbol_solid);
}

static void
draw(const Device *device, Pen *pen)
{
  const double gap = 1, half = 4, radius = 6;
  draw_ends(device, pen);
  pen_line(pen, (Point){SYMBOL_MIDDLE - gap, -half}, (Point){SYMBOL_MIDDLE - gap, half},
           &symbol_stroke);
  double spread = asin(half / radius) * 180 / G_PI;
  pen_arc(pen, (Point){SYMBOL_MIDDLE + gap + radius, 0}, radius, 180 - spread, 180 + spread,
          &symbol_stroke);
  if (device->values[BLEEDER].has_value)
    draw_bleeder(pen, false);
}

/* Two plates (04-02-01); the bleeder is a resistor's box. */
static void
draw_iec(const Device *device, Pen *pen)
{
  const double gap = 1, half = 4;

  draw_ends(device, pen);
  for (int side = -1; side <= 1; side += 2)
    pen_line(pen, (Point){SYMBOL_MIDDLE + side * gap, -half},
             (Point){SYMBOL_MIDDLE + side * gap, half}, &symbol_stroke);
  if (device->values[BLEEDER].has_value)
    draw_bleeder(pen, true);
}

const PartKind part_capacitor = {
    .name = "capacitor",
    .title = N_("Capacitor"),
    .designation = "C",
    .help = N_("Run or start capacitor; holds a charge after power is off"),
    .group = GROUP_LOAD,
    .role = ROLE_CAPACITOR,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
};
