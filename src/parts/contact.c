/* SPDX-License-Identifier: MIT */
/* A contact drawn apart from the relay or contactor that works it. */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

static const char *const form_choices[] = {N_("normally-open"), N_("normally-closed"), NULL};

enum { DESIGNATION, COIL, FORM, RATING, VOLTS, NOTE, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [COIL] = {.name = "coil",
              .title = N_("Worked by"),
              .type = FIELD_TEXT,
              .maximum = 32,
              .refers = true,
              .help = N_("Designation of the relay or contactor whose coil works it, such as CR1")},
    [FORM] = {.name = "form",
              .title = N_("Form"),
              .type = FIELD_CHOICE,
              .choices = form_choices,
              .initial = "normally-open",
              .help = N_("How the contact stands while the coil has no volts")},
    [RATING] = {.name = "rating",
                .title = N_("Rating"),
                .type = FIELD_QUANTITY,
                .unit = UNIT_AMPERE,
                .minimum = 0.01,
                .maximum = 5000,
                .initial = "10 A",
                .help = N_("Amperes the contact may carry and switch")},
    [VOLTS] = {.name = "volts",
               .title = N_("Contact volts"),
               .type = FIELD_QUANTITY,
               .unit = UNIT_VOLT,
               .minimum = 1,
               .maximum = 1000,
               .initial = "250 V",
               .help = N_("Highest volts the contact may switch")},
    [NOTE] = FIELD_NOTE,
};

#define WIDTH 20.0

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
  Join join = {
      .role = JOIN_CONTACT,
      .closed = device_choice(device, FORM) == 1,
      .coil = -1,
      .rated_amps = device_number(device, RATING, 0),
      .rated_volts = device_number(device, VOLTS, 0),
  };
  if (*device_text(device, COIL))
    stamp_contact(out, 0, 1, join, device_text(device, COIL));
  else
    stamp_join(out, 0, 1, join);
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
  const char *coil = device_text(device, COIL);
  return part_join_texts(" ", *coil ? g_strdup_printf(_("of %s"), coil) : NULL,
                         part_value_text(device, RATING), PART_TEXT_END);
}

static void
draw(const Device *device, Pen *pen)
{
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  symbol_bars(pen, 0, device_choice(device, FORM) == 1);
}

static void
draw_iec(const Device *device, Pen *pen)
{
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  symbol_iec_contact(pen, 0, device_choice(device, FORM) == 1);
}

const PartKind part_contact = {
    .name = "contact",
    .title = N_("Relay contact"),
    .designation = "K",
    .help = N_("Contact drawn apart from the coil that works it"),
    .group = GROUP_CONTROL,
    .role = ROLE_CONTACT,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
};
