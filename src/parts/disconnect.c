/* SPDX-License-Identifier: MIT */
/* A disconnect switch: the point that is opened, locked and tagged before anybody touches. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum {
  DESIGNATION,
  POLES,
  RATING,
  VOLTS,
  CLOSED,
  LOCKABLE,
  FRAME,
  TERMINAL_CELSIUS,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [POLES] = {.name = "poles",
               .title = N_("Poles"),
               .type = FIELD_INTEGER,
               .minimum = 1,
               .maximum = 3,
               .initial = "2",
               .help = N_("Conductors it opens; every ungrounded conductor needs one")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.1,
                .maximum = 6000,
                .initial = "30 A",
                .help = N_("Amperes on its nameplate")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "600 V",
               .help = N_("Highest ac volts on its nameplate")},
    [CLOSED] = {.name = "closed",
                .title = N_("Closed"),
                .type = FIELD_BOOLEAN,
                .initial = "yes",
                .help = N_("yes: handle on")},
    [LOCKABLE] = {.name = "lockable",
                  .title = N_("Can be locked open"),
                  .type = FIELD_BOOLEAN,
                  .initial = "yes",
                  .help = N_("yes: takes a lock in the open position, so locking out opens it")},
    [FRAME] = FIELD_FRAME("no"),
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0
#define PITCH 10.0

static guint
pole_count(const Device *device)
{
  return (guint)device_number(device, POLES, 2);
}

static void
terminals(const Device *device, GArray *array)
{
  guint n = pole_count(device);
  for (guint i = 0; i < n; i++) {
    char name[8];
    g_snprintf(name, sizeof name, "L%u", i + 1);
    part_terminal(array, name, 0, i * PITCH, SIDE_LEFT, TERMINAL_LINE);
    g_snprintf(name, sizeof name, "T%u", i + 1);
    part_terminal(array, name, WIDTH, i * PITCH, SIDE_RIGHT, TERMINAL_LOAD_SIDE);
  }
  if (device_flag(device, FRAME))
    part_frame_terminal(array, WIDTH / 2, (n - 1) * PITCH + 10);
}

static void
stamp(const Device *device, Stamp *out)
{
  for (guint i = 0; i < pole_count(device); i++)
    stamp_join(out, (int)(2 * i), (int)(2 * i + 1),
               (Join){.role = JOIN_DISCONNECT,
                      .closed = device_flag(device, CLOSED),
                      .coil = -1,
                      .lockable = device_flag(device, LOCKABLE),
                      .rated_amps = device_number(device, RATING, 0),
                      .rated_volts = device_number(device, VOLTS, 0),
                      .owner.part = i});
}

static void
probes(const Device *device, GArray *array)
{
  part_probe_poles(array, pole_count(device));
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(" ", part_value_text(device, RATING), part_value_text(device, VOLTS),
                         PART_TEXT_END);
}

static void
draw_frame(const Device *device, Pen *pen)
{
  const guint n = pole_count(device);
  if (device_flag(device, FRAME)) {
    const Terminal *frame = device_terminal(device, 2 * n);
    pen_line(pen, (Point){7.5, (n - 1) * PITCH + 5}, (Point){12.5, (n - 1) * PITCH + 5},
             &symbol_stroke);
    symbol_stub(pen, frame, frame->at.x, frame->at.y - 5);
    symbol_name(pen, frame);
  }
}

static void
draw(const Device *device, Pen *pen)
{
  guint n = pole_count(device);
  Point first = {0}, last = {0};
  for (guint i = 0; i < n; i++) {
    symbol_pole_ends(pen, device_terminal(device, 2 * i), device_terminal(device, 2 * i + 1));
    last = symbol_arm(pen, i * PITCH, device_flag(device, CLOSED));
    if (i == 0)
      first = last;
  }
  if (n > 1)
    symbol_link(pen, first, last);
  draw_frame(device, pen);
}

/* Contacts with the bar of an isolator (07-13-06), drawn as they stand. */
static void
draw_iec(const Device *device, Pen *pen)
{
  const guint n = pole_count(device);
  Point first = {0}, last = {0};

  for (guint i = 0; i < n; i++) {
    symbol_pole_ends(pen, device_terminal(device, 2 * i), device_terminal(device, 2 * i + 1));
    last = symbol_iec_arm(pen, i * PITCH, device_flag(device, CLOSED));
    symbol_iec_isolator_mark(pen, i * PITCH);
    if (i == 0)
      first = last;
  }
  if (n > 1)
    symbol_link(pen, first, last);
  draw_frame(device, pen);
}

const PartKind part_disconnect = {
    .name = "disconnect",
    .title = N_("Disconnect"),
    .designation = "DISC",
    .help = N_("Switch that opens every ungrounded conductor and takes a lock"),
    .group = GROUP_PROTECTION,
    .role = ROLE_DISCONNECT,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .operate_field = "closed",
};
