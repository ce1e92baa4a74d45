/* SPDX-License-Identifier: MIT */
/* A terminal strip: each position joins its A side to its B side. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum { DESIGNATION, POSITIONS, RATING, VOLTS, TERMINAL_CELSIUS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [POSITIONS] = {.name = "positions",
                   .title = N_("Positions"),
                   .type = FIELD_INTEGER,
                   .minimum = 1,
                   .maximum = 32,
                   .initial = "4",
                   .help = N_("Positions; each has a terminal on side A and one on side B")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.1,
                .maximum = 5000,
                .initial = "20 A",
                .help = N_("Amperes of one position")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "600 V",
               .help = N_("Highest volts of the strip")},
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 15.0
#define PITCH 5.0

static guint
position_count(const Device *device)
{
  return (guint)device_number(device, POSITIONS, 4);
}

static void
terminals(const Device *device, GArray *array)
{
  for (guint i = 0; i < position_count(device); i++) {
    char name[8];
    g_snprintf(name, sizeof name, "%uA", i + 1);
    part_terminal(array, name, 0, i * PITCH, SIDE_LEFT, TERMINAL_PLAIN);
    g_snprintf(name, sizeof name, "%uB", i + 1);
    part_terminal(array, name, WIDTH, i * PITCH, SIDE_RIGHT, TERMINAL_PLAIN);
  }
}

static void
stamp(const Device *device, Stamp *out)
{
  for (guint i = 0; i < position_count(device); i++)
    stamp_join(out, (int)(2 * i), (int)(2 * i + 1),
               (Join){.role = JOIN_INTERNAL,
                      .closed = true,
                      .coil = -1,
                      .rated_amps = device_number(device, RATING, 0),
                      .rated_volts = device_number(device, VOLTS, 0),
                      .gang = i,
                      .owner.part = i});
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(" ", part_value_text(device, RATING), part_value_text(device, VOLTS),
                         PART_TEXT_END);
}

static void
draw(const Device *device, Pen *pen)
{
  guint n = position_count(device);
  Rect box = {2.5, -PITCH / 2, WIDTH - 5, n * PITCH};
  pen_box(pen, box, &symbol_stroke, &symbol_paper);
  for (guint i = 0; i < n; i++) {
    char number[8];
    g_snprintf(number, sizeof number, "%u", i + 1);
    symbol_stub(pen, device_terminal(device, 2 * i), 2.5, i * PITCH);
    symbol_stub(pen, device_terminal(device, 2 * i + 1), WIDTH - 2.5, i * PITCH);
    symbol_text(pen, WIDTH / 2, i * PITCH + SYMBOL_LETTER / 2, number, SYMBOL_LETTER, TEXT_MIDDLE);
    if (i > 0)
      pen_line(pen, (Point){2.5, (i - 0.5) * PITCH}, (Point){WIDTH - 2.5, (i - 0.5) * PITCH},
               &symbol_thin);
  }
}

const PartKind part_terminal_strip = {
    .name = "terminal-strip",
    .title = N_("Terminal strip"),
    .designation = "TB",
    .help = N_("Row of terminals where field wiring meets factory wiring"),
    .group = GROUP_SUPPLY,
    .role = ROLE_STRIP,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .rating_text = rating_text,
    .stamp = stamp,
};
