/* SPDX-License-Identifier: MIT */
/* A control relay: a coil and its contacts in one device. A contact drawn elsewhere on the sheet is
 * the kind "contact". */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

enum { DESIGNATION, NOTE = COIL_FIELDS_END, N_FIELDS };
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    COIL_FIELD_SPECS,
    [NOTE] = FIELD_NOTE,
};
static const char *const initial_rows[] = {"changeover", "10 A", "250 V"};

#define WIDTH 20.0

static void
terminals(const Device *device, GArray *array)
{
  part_terminal(array, "A1", 0, 0, SIDE_LEFT, TERMINAL_PLAIN);
  part_terminal(array, "A2", WIDTH, 0, SIDE_RIGHT, TERMINAL_PLAIN);
  part_contact_terminals(device, array, CONTACT_PITCH_MM, WIDTH);
}

static void
stamp(const Device *device, Stamp *out)
{
  (void)device;
  part_coil_stamp(out, 0, 1);
  part_contact_stamp(out, 2, 0);
}

static void
probes(const Device *device, GArray *array)
{
  (void)device;
  part_probe(array, 0, 1, _("at the coil"));
}

static char *
rating_text(const Device *device)
{
  g_autofree char *volts = part_value_text(device, COIL_VOLTS);
  return volts != NULL ? g_strdup_printf(_("%s coil"), volts) : g_strdup(_("coil"));
}

static void
draw(const Device *device, Pen *pen)
{
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  symbol_coil(pen, 0, "CR");
  symbol_contacts(device, pen, 2, SYMBOL_COIL_RADIUS, false);
}

static void
draw_iec(const Device *device, Pen *pen)
{
  symbol_pole_ends(pen, device_terminal(device, 0), device_terminal(device, 1));
  symbol_iec_coil(pen, 0);
  symbol_contacts(device, pen, 2, SYMBOL_COIL_RADIUS, true);
}

const PartKind part_relay = {
    .name = "relay",
    .title = N_("Relay"),
    .designation = "CR",
    .help = N_("Control relay: coil with any number of contacts"),
    .group = GROUP_CONTROL,
    .role = ROLE_COIL,
    .fields = fields,
    .n_fields = N_FIELDS,
    .row_name = N_("contact"),
    .row_title = N_("Contact"),
    .rows_title = N_("Contacts"),
    .row_fields = part_contact_fields,
    .n_row_fields = CONTACT_FIELD_COUNT,
    .max_rows = 8,
    .initial_rows = initial_rows,
    .n_initial_rows = 1,
    .terminals = terminals,
    .draw = draw,
    .draw_iec = draw_iec,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = part_coil_validate,
};
