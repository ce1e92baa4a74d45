/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum { DESIGNATION, ACCEPTS, POWER, POWER_FACTOR, LIGHT, FRAME, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [ACCEPTS] = FIELD_ACCEPTS("110..125 V"),
    [POWER] = {.name = "power",
               .title = N_("Power"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT_AMPERE,
               .minimum = 0.001,
               .maximum = 1e5,
               .initial = "40 VA",
               .help = N_("Volt-amperes with its ballast or driver; for a plain lamp its watts")},
    [POWER_FACTOR] = {.name = "power-factor",
                      .title = N_("Power factor"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_NONE,
                      .minimum = 0.05,
                      .maximum = 1,
                      .initial = "1",
                      .help = N_("Lagging power factor of ballast or driver; 1 for a plain lamp")},
    [LIGHT] = {.name = "light",
               .title = N_("Light"),
               .type = FIELD_TEXT,
               .maximum = 12,
               .help = N_("Lens or light colour letter drawn beside it, such as G, R or UV")},
    [FRAME] = FIELD_FRAME("no"),
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
      .power_factor = device_number(device, POWER_FACTOR, 1),
      .behaviour = LOAD_CONSTANT_IMPEDANCE,
  };
  if (part_range(device, ACCEPTS, &load.accepts))
    part_stamp_load(out, 0, 1, &load);
}

static void
probes(const Device *device, GArray *array)
{
  part_probe(array, 0, 1, _("at the lamp"));
  if (device_flag(device, FRAME))
    part_probe(array, 2, PROBE_EARTH, _("frame to ground"));
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(", ", part_value_text(device, ACCEPTS), part_value_text(device, POWER),
                         PART_TEXT_END);
}

/* Stubs and names up to the ring. */
static void
draw_ends(const Device *device, double radius, Pen *pen)
{
  symbol_stub(pen, device_terminal(device, 0), SYMBOL_MIDDLE - radius, 0);
  symbol_stub(pen, device_terminal(device, 1), SYMBOL_MIDDLE + radius, 0);
  symbol_name(pen, device_terminal(device, 0));
  symbol_name(pen, device_terminal(device, 1));
  if (device_flag(device, FRAME)) {
    const Terminal *frame = device_terminal(device, 2);
    symbol_stub(pen, frame, frame->at.x, radius);
    symbol_name(pen, frame);
  }
}

static void
draw(const Device *device, Pen *pen)
{
  const double radius = 5, slant = radius * G_SQRT2 / 2;
  const char *light = device_text(device, LIGHT);
  Point centre = {SYMBOL_MIDDLE, 0};
  draw_ends(device, radius, pen);
  pen_circle(pen, centre, radius, &symbol_stroke, &symbol_paper);
  for (int i = 0; i < 4; i++) {
    double dx = i % 2 ? slant : -slant, dy = i < 2 ? -slant : slant;
    Point outer = {centre.x + dx * (*light ? 1.4 : 1), centre.y + dy * (*light ? 1.4 : 1)};
    Point inner = {centre.x + (*light ? dx : 0), centre.y + (*light ? dy : 0)};
    pen_line(pen, inner, outer, &symbol_stroke);
  }
  symbol_text_fit(pen, centre.x, SYMBOL_LETTER / 2, light, SYMBOL_LETTER, 1.6 * radius,
                  TEXT_MIDDLE);
}

/* A ring with a cross through it (08-10-01), the light's letters beside it, within the bounds of
 * the other set's larger ring. */
static void
draw_iec(const Device *device, Pen *pen)
{
  const double radius = 3.25, slant = radius * G_SQRT2 / 2;

  draw_ends(device, radius, pen);
  pen_circle(pen, (Point){SYMBOL_MIDDLE, 0}, radius, &symbol_stroke, &symbol_paper);
  for (int side = -1; side <= 1; side += 2)
    pen_line(pen, (Point){SYMBOL_MIDDLE - slant, -side * slant},
             (Point){SYMBOL_MIDDLE + slant, side * slant}, &symbol_stroke);
  symbol_text_fit(pen, SYMBOL_MIDDLE - slant - 0.4, 5, device_text(device, LIGHT), SYMBOL_LETTER,
                  SYMBOL_MIDDLE - slant - 0.4, TEXT_END);
}

const PartKind part_lamp = {
    .name = "lamp",
    .title = N_("Lamp"),
    .designation = "LT",
    .help = N_("Pilot light, work light or ultraviolet lamp with its ballast"),
    .group = GROUP_LOAD,
    .role = ROLE_LOAD,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
};
