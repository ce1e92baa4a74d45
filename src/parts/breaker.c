/* SPDX-License-Identifier: MIT */
/* A circuit breaker of one to three poles, with straight or slash voltage rating. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

#include <math.h>

enum {
  DESIGNATION,
  POLES,
  RATING,
  VOLTS,
  VOLTS_TO_GROUND,
  INTERRUPTING,
  CLOSED,
  LOCKABLE,
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
               .initial = "1",
               .help = N_("Poles that open together")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.1,
                .maximum = 6000,
                .initial = "15 A",
                .help = N_("Amperes on the handle")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "480 V",
               .help = N_("Highest ac volts on its label; of a slash rating 480Y/277 the 480")},
    [VOLTS_TO_GROUND] = {.name = "volts-to-ground",
                         .title = N_("Volts to ground"),
                         .type = FIELD_QUANTITY,
                         .unit = UNIT_VOLT,
                         .minimum = 1,
                         .maximum = 1000,
                         .help =
                             N_("Lower figure of a slash rating, such as 277 V; empty: straight "
                                "rating")},
    [INTERRUPTING] = {.name = "interrupting",
                      .title = N_("Interrupting rating"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_AMPERE,
                      .minimum = 100,
                      .maximum = 300000,
                      .help = N_("Fault current it can open at its volts, from its label; empty: "
                                 "unknown")},
    [CLOSED] = {.name = "closed",
                .title = N_("Closed"),
                .type = FIELD_BOOLEAN,
                .initial = "yes",
                .help = N_("yes: handle on; no: off or tripped")},
    [LOCKABLE] = {.name = "lockable",
                  .title = N_("Can be locked open"),
                  .type = FIELD_BOOLEAN,
                  .initial = "yes",
                  .help = N_("yes: has a lockout fitting, so locking out opens it")},
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0
#define PITCH 10.0

static guint
pole_count(const Device *device)
{
  return (guint)device_number(device, POLES, 1);
}

static void
terminals(const Device *device, GArray *array)
{
  for (guint i = 0; i < pole_count(device); i++) {
    char name[8];
    g_snprintf(name, sizeof name, "L%u", i + 1);
    part_terminal(array, name, 0, i * PITCH, SIDE_LEFT, TERMINAL_LINE);
    g_snprintf(name, sizeof name, "T%u", i + 1);
    part_terminal(array, name, WIDTH, i * PITCH, SIDE_RIGHT, TERMINAL_LOAD_SIDE);
  }
}

static void
stamp(const Device *device, Stamp *out)
{
  for (guint i = 0; i < pole_count(device); i++)
    stamp_join(out, (int)(2 * i), (int)(2 * i + 1),
               (Join){.role = JOIN_BREAKER,
                      .closed = device_flag(device, CLOSED),
                      .coil = -1,
                      .lockable = device_flag(device, LOCKABLE),
                      .rated_amps = device_number(device, RATING, 0),
                      .rated_volts = device_number(device, VOLTS, 0),
                      .rated_volts_to_ground = device_number(device, VOLTS_TO_GROUND, 0),
                      .interrupting_amps = device_number(device, INTERRUPTING, 0),
                      .owner.part = i});
}

static void
probes(const Device *device, GArray *array)
{
  part_probe_poles(array, pole_count(device));
}

static bool
validate(const Device *device, GError **error)
{
  double volts = device_number(device, VOLTS, 0);
  double to_ground = device_number(device, VOLTS_TO_GROUND, 0);
  if (to_ground <= volts)
    return true;
  g_autofree char *low = number_format(to_ground), *high = number_format(volts);
  g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
              _("%s: a slash rating has its lower figure to ground, but volts-to-ground %s V lies "
                "above volts %s V; for example volts=\"480 V\" volts-to-ground=\"277 V\""),
              device->id, low, high);
  return false;
}

static char *
rating_text(const Device *device)
{
  double to_ground = device_number(device, VOLTS_TO_GROUND, 0);
  g_autofree char *high = number_format(device_number(device, VOLTS, 0));
  g_autofree char *low = number_format(to_ground);
  char *volts =
      to_ground > 0 ? g_strdup_printf("%s/%s V", high, low) : part_value_text(device, VOLTS);
  return part_join_texts(" ", part_value_text(device, RATING), volts, PART_TEXT_END);
}

/* The arc that stands for the contacts: chord between the dots, swung up about the left one when
 * open. */
static void
draw_pole(Pen *pen, double y, bool closed)
{
  const double half = (SYMBOL_RIGHT - SYMBOL_LEFT) / 2, sagitta = 2.2;
  const double radius = (half * half + sagitta * sagitta) / (2 * sagitta);
  const double spread = asin(half / radius) * 180 / G_PI, swing = closed ? 0 : -28;
  double angle = swing * G_PI / 180;
  /* Centre of the arc, seen from the left dot, turned with it. */
  double cx = half, cy = radius - sagitta;
  Point centre = {SYMBOL_LEFT + cx * cos(angle) - cy * sin(angle),
                  y + cx * sin(angle) + cy * cos(angle)};
  pen_arc(pen, centre, radius, -90 - spread + swing, -90 + spread + swing, &symbol_stroke);
  pen_circle(pen, (Point){SYMBOL_LEFT, y}, 0.55, &symbol_stroke, &symbol_paper);
  pen_circle(pen, (Point){SYMBOL_RIGHT, y}, 0.55, &symbol_stroke, &symbol_paper);
}

static void
draw(const Device *device, Pen *pen)
{
  guint n = pole_count(device);
  bool closed = device_flag(device, CLOSED);
  double top = closed ? -2.2 : -4.3;
  if (n > 1)
    symbol_link(pen, (Point){SYMBOL_MIDDLE, top}, (Point){SYMBOL_MIDDLE, (n - 1) * PITCH + top});
  for (guint i = 0; i < n; i++) {
    symbol_pole_ends(pen, device_terminal(device, 2 * i), device_terminal(device, 2 * i + 1));
    draw_pole(pen, i * PITCH, closed);
  }
}

/* Contacts with the cross of a breaker (07-13-05), drawn as they stand. */
static void
draw_iec(const Device *device, Pen *pen)
{
  const guint n = pole_count(device);
  Point first = {0}, last = {0};

  for (guint i = 0; i < n; i++) {
    symbol_pole_ends(pen, device_terminal(device, 2 * i), device_terminal(device, 2 * i + 1));
    last = symbol_iec_arm(pen, i * PITCH, device_flag(device, CLOSED));
    symbol_iec_breaker_mark(pen, i * PITCH);
    if (i == 0)
      first = last;
  }
  if (n > 1)
    symbol_link(pen, first, last);
}

const PartKind part_breaker = {
    .name = "breaker",
    .title = N_("Circuit breaker"),
    .designation = "CB",
    .help = N_("Opens on overload or fault; one to three poles"),
    .group = GROUP_PROTECTION,
    .role = ROLE_BREAKER,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = validate,
    .operate_field = "closed",
};
