/* SPDX-License-Identifier: MIT */
#include "parts/kinds.h"

#include "base/language.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

Terminal *
part_terminal(GArray *terminals, const char *name, double x, double y, int side, TerminalRole role)
{
  Terminal terminal = {.at = {x, y}, .side = side, .role = role, .row = -1};
  g_strlcpy(terminal.name, name, sizeof terminal.name);
  g_array_append_val(terminals, terminal);
  return &g_array_index(terminals, Terminal, terminals->len - 1);
}

void
part_frame_terminal(GArray *terminals, double x, double y)
{
  part_terminal(terminals, "FRAME", x, y, SIDE_DOWN, TERMINAL_FRAME);
}

void
part_probe(GArray *probes, int a, int b, const char *purpose)
{
  Probe probe = {.a = a, .b = b, .purpose = purpose};
  g_array_append_val(probes, probe);
}

void
part_probe_poles(GArray *probes, guint n)
{
  for (guint i = 0; i < n; i++)
    for (guint j = i + 1; j < n; j++)
      part_probe(probes, (int)(2 * i + 1), (int)(2 * j + 1), _("load side, line to line"));
  for (guint i = 0; i < n; i++)
    part_probe(probes, (int)(2 * i + 1), PROBE_EARTH, _("load side to ground"));
}

char *
part_value_text(const Device *device, guint field)
{
  char *text = value_dup_text(&device->values[field], &device->kind->fields[field]);
  return text ? text : g_strdup("");
}

char *
part_join_texts(const char *separator, char *take_first, ...)
{
  g_autoptr(GString) out = g_string_new(NULL);
  va_list list;
  va_start(list, take_first);
  for (char *text = take_first; text != PART_TEXT_END; text = va_arg(list, char *)) {
    if (text && *text) {
      if (out->len)
        g_string_append(out, separator);
      g_string_append(out, text);
    }
    g_free(text);
  }
  va_end(list);
  return out->len ? g_string_free(g_steal_pointer(&out), FALSE) : NULL;
}

double
part_supply_frequency(const Stamp *stamp)
{
  const Document *document = stamp->circuit->document;
  guint n = document ? document_device_count(document) : 0;
  for (guint i = 0; i < n; i++) {
    const Device *device = document_device(document, i);
    if (device->kind->role == ROLE_SUPPLY)
      return device_number_named(device, "frequency", 60);
  }
  return 60;
}

bool
part_range(const Device *device, guint field, QuantityRange *range)
{
  const Value *value = &device->values[field];
  if (!value->has_value)
    return false;
  *range = (QuantityRange){value->low, value->high};
  return true;
}

/* How far outside its nameplate range a load is taken to keep its behaviour: common practice, no
 * source. Beyond it the load acts as an impedance, so that a solution always exists. */
#define WINDOW_BELOW 0.8
#define WINDOW_ABOVE 1.2

void
part_stamp_load(Stamp *stamp, int a, int b, const PartLoad *load)
{
  double low = quantity_value(load->accepts.low), high = quantity_value(load->accepts.high);
  double rated = load->rated_volts > 0 ? load->rated_volts : (low + high) / 2;
  double pf = CLAMP(load->power_factor, 0.01, 1.0);
  if (!(load->volt_amperes > 0) || !(rated > 0))
    return;
  Load branch = {
      .behaviour = load->behaviour,
      .power = CMPLX(load->volt_amperes * pf, load->volt_amperes * sqrt(1 - pf * pf)),
      .rated_volts = rated,
      .accepts_low = low,
      .accepts_high = high,
      .v_low = WINDOW_BELOW * low,
      .v_high = WINDOW_ABOVE * high,
  };
  stamp_load(stamp, a, b, branch);
}

/* ------------------------------------------------------------------------------- contacts --- */

const char *const part_contact_forms[] = {N_("normally-open"), N_("normally-closed"),
                                          N_("changeover"), NULL};

const FieldSpec part_contact_fields[CONTACT_FIELD_COUNT] = {
    [CONTACT_FORM] = {.name = "form",
                      .title = N_("Form"),
                      .type = FIELD_CHOICE,
                      .choices = part_contact_forms,
                      .initial = "normally-open",
                      .help = N_("How the contact stands while the coil has no volts")},
    [CONTACT_RATING] = {.name = "rating",
                        .title = N_("Rating"),
                        .type = FIELD_QUANTITY,
                        .unit = UNIT_AMPERE,
                        .minimum = 0.01,
                        .maximum = 5000,
                        .help = N_("Amperes the contact may carry and switch")},
    [CONTACT_VOLTS] = {.name = "volts",
                       .title = N_("Contact volts"),
                       .type = FIELD_QUANTITY,
                       .unit = UNIT_VOLT,
                       .minimum = 1,
                       .maximum = 1000,
                       .help = N_("Highest volts the contact may switch")},
};

void
part_contact_terminals(const Device *device, GArray *terminals, double y, double width)
{
  for (guint row = 0; row < device_row_count(device); row++, y += CONTACT_PITCH_MM) {
    int form = device_row_choice(device, row, CONTACT_FORM);
    char name[16];
    g_snprintf(name, sizeof name, "C%u", row + 1);
    part_terminal(terminals, name, 0, y, SIDE_LEFT, TERMINAL_PLAIN)->row = (int)row;
    g_snprintf(name, sizeof name, "NO%u", row + 1);
    if (form != CONTACT_NORMALLY_CLOSED)
      part_terminal(terminals, name, width, y, SIDE_RIGHT, TERMINAL_LOAD_SIDE)->row = (int)row;
    g_snprintf(name, sizeof name, "NC%u", row + 1);
    if (form != CONTACT_NORMALLY_OPEN)
      part_terminal(terminals, name, width, form == CONTACT_CHANGEOVER ? y - 5 : y, SIDE_RIGHT,
                    TERMINAL_LOAD_SIDE)
          ->row = (int)row;
  }
}

void
part_contact_stamp(Stamp *stamp, int first, guint part)
{
  const Device *device = stamp->source;
  for (guint row = 0; row < device_row_count(device); row++) {
    int form = device_row_choice(device, row, CONTACT_FORM);
    Join join = {
        .role = JOIN_CONTACT,
        .rated_amps = device_row_number(device, row, CONTACT_RATING, 0),
        .rated_volts = device_row_number(device, row, CONTACT_VOLTS, 0),
        .gang = part,
        .owner.part = part,
    };
    int common = first++;
    if (form != CONTACT_NORMALLY_CLOSED)
      stamp_contact(stamp, common, first++, join, device_designation(device));
    join.closed = true;
    if (form != CONTACT_NORMALLY_OPEN)
      stamp_contact(stamp, common, first++, join, device_designation(device));
    part++;
  }
}

/* ----------------------------------------------------------------------------------- coil --- */

/* Power factor of an ac coil, sealed and while it pulls in: from memory, maker's data varies. */
#define COIL_SEALED_PF 0.3
#define COIL_INRUSH_PF 0.6

static Phasor
coil_power(double va, double pf)
{
  return CMPLX(va * pf, va * sqrt(1 - pf * pf));
}

void
part_coil_stamp(Stamp *stamp, int a, int b)
{
  const Device *device = stamp->source;
  double volts = device_number(device, COIL_VOLTS, 24);
  double sealed = device_number(device, COIL_SEALED, 4);
  Coil coil = {
      .rated_volts = volts,
      .sealed_va = coil_power(sealed, COIL_SEALED_PF),
      .inrush_va = coil_power(device_number(device, COIL_INRUSH, sealed), COIL_INRUSH_PF),
      .pick_up = volts * device_number(device, COIL_PICK_UP, 85) / 100,
      .drop_out = volts * device_number(device, COIL_DROP_OUT, 50) / 100,
  };
  stamp_coil(stamp, a, b, coil);
}

bool
part_coil_validate(const Device *device, GError **error)
{
  double pick_up = device_number(device, COIL_PICK_UP, 85);
  double drop_out = device_number(device, COIL_DROP_OUT, 50);
  if (drop_out >= pick_up) {
    g_autofree char *out = number_format(drop_out), *in = number_format(pick_up);
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                _("%s: the coil lets go at %s %% but needs %s %% to pull in; drop-out has to lie "
                  "below pick-up, for example 50 %% and 85 %%"),
                device->id, out, in);
    return false;
  }
  return true;
}
