/* SPDX-License-Identifier: MIT */
/* A contactor: main poles for a load's power, a coil, and auxiliary contacts as rows. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum { DESIGNATION, POLES = COIL_FIELDS_END, RATING, VOLTS, TERMINAL_CELSIUS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    COIL_FIELD_SPECS,
    [POLES] = {.name = "poles",
               .title = N_("Poles"),
               .type = FIELD_INTEGER,
               .minimum = 1,
               .maximum = 4,
               .initial = "2",
               .help = N_("Main contacts, all open while the coil has no volts")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.1,
                .maximum = 5000,
                .initial = "30 A",
                .help = N_("Amperes each main pole may carry")},
    [VOLTS] = {.name = "volts",
               .title = N_("Volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "600 V",
               .help = N_("Highest volts of the main poles")},
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

static double
coil_y(const Device *device)
{
  return pole_count(device) * PITCH;
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
  part_terminal(array, "A1", 0, coil_y(device), SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "A2", WIDTH, coil_y(device), SIDE_RIGHT, TERMINAL_PLAIN);
  part_contact_terminals(device, array, coil_y(device) + CONTACT_PITCH_MM, WIDTH);
}

static void
stamp(const Device *device, Stamp *out)
{
  int n = (int)pole_count(device);
  for (int i = 0; i < n; i++)
    stamp_contact(out, 2 * i, 2 * i + 1,
                  (Join){.role = JOIN_CONTACT,
                         .rated_amps = device_number(device, RATING, 0),
                         .rated_volts = device_number(device, VOLTS, 0),
                         .owner.part = (guint)i},
                  device_designation(device));
  part_coil_stamp(out, 2 * n, 2 * n + 1);
  part_contact_stamp(out, 2 * n + 2, (guint)n);
}

static void
probes(const Device *device, GArray *array)
{
  int n = (int)pole_count(device);
  part_probe(array, 2 * n, 2 * n + 1, _("at the coil"));
  part_probe_poles(array, (guint)n);
}

static char *
rating_text(const Device *device)
{
  char *coil = part_value_text(device, COIL_VOLTS);
  char *text = g_strdup_printf(_("%s coil"), coil);
  g_free(coil);
  return part_join_texts(", ", part_value_text(device, RATING), text, PART_TEXT_END);
}

static void
draw(const Device *device, Pen *pen)
{
  guint n = pole_count(device);
  for (guint i = 0; i < n; i++) {
    symbol_pole_ends(pen, device_terminal(device, 2 * i), device_terminal(device, 2 * i + 1));
    symbol_bars(pen, i * PITCH, false);
  }
  symbol_link(pen, (Point){SYMBOL_MIDDLE, 0},
              (Point){SYMBOL_MIDDLE, coil_y(device) - SYMBOL_COIL_RADIUS});
  symbol_pole_ends(pen, device_terminal(device, 2 * n), device_terminal(device, 2 * n + 1));
  symbol_coil(pen, coil_y(device), "CON");
  symbol_contacts(device, pen, 2 * n + 2, coil_y(device) + SYMBOL_COIL_RADIUS, false);
}

/* Make contacts with a contactor's half ring (07-13-02) and a box for the coil. */
static void
draw_iec(const Device *device, Pen *pen)
{
  const guint n = pole_count(device);
  const double coil = coil_y(device);
  Point first = {0};

  for (guint i = 0; i < n; i++) {
    symbol_pole_ends(pen, device_terminal(device, 2 * i), device_terminal(device, 2 * i + 1));
    const Point hold = symbol_iec_contact(pen, i * PITCH, false);
    symbol_iec_contactor_mark(pen, i * PITCH);
    if (i == 0)
      first = hold;
  }
  symbol_link(pen, (Point){SYMBOL_MIDDLE, first.y},
              (Point){SYMBOL_MIDDLE, coil - SYMBOL_COIL_RADIUS});
  symbol_pole_ends(pen, device_terminal(device, 2 * n), device_terminal(device, 2 * n + 1));
  symbol_iec_coil(pen, coil);
  symbol_contacts(device, pen, 2 * n + 2, coil + SYMBOL_COIL_RADIUS, true);
}

const PartKind part_contactor = {
    .name = "contactor",
    .title = N_("Contactor"),
    .designation = "CON",
    .help = N_("Coil with main poles that switch a load's power"),
    .group = GROUP_CONTROL,
    .role = ROLE_COIL,
    .fields = fields,
    .n_fields = N_FIELDS,
    .row_name = N_("contact"),
    .row_title = N_("Auxiliary contact"),
    .rows_title = N_("Auxiliary contacts"),
    .row_fields = part_contact_fields,
    .n_row_fields = CONTACT_FIELD_COUNT,
    .max_rows = 6,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = part_coil_validate,
};
