/* SPDX-License-Identifier: MIT */
/* A motor by its nameplate. One-phase: a load of constant power while it runs. Three-phase:
 * positive-sequence admittance from running current, negative-sequence from locked-rotor current
 * (to the negative sequence the rotor looks nearly locked: slip 2 - s; from memory). */
#include "parts/kinds.h"

#include "base/language.h"
#include "parts/symbol.h"

#include <math.h>

static const char *const phases_choices[] = {N_("1-phase"), N_("3-phase"), NULL};
static const char *const state_choices[] = {N_("running"), N_("locked"), NULL};

enum {
  DESIGNATION,
  PHASES,
  ACCEPTS,
  RATED_VOLTS,
  FULL_LOAD,
  LOCKED_ROTOR,
  POWER_FACTOR,
  HORSEPOWER,
  STATE,
  FRAME,
  TERMINAL_CELSIUS,
  NOTE,
  N_FIELDS
};
static const FieldSpec fields[N_FIELDS] = {
    [DESIGNATION] = FIELD_DESIGNATION,
    [PHASES] = {.name = "phases",
                .title = N_("Phases"),
                .type = FIELD_CHOICE,
                .choices = phases_choices,
                .initial = "1-phase",
                .help = N_("Phases on the nameplate")},
    [ACCEPTS] = FIELD_ACCEPTS("110..125 V"),
    [RATED_VOLTS] = {.name = "rated-volts",
                     .title = N_("Rated volts"),
                     .type = FIELD_QUANTITY,
                     .unit = UNIT_VOLT,
                     .minimum = 1,
                     .maximum = 1000,
                     .help = N_("Volts of the full-load amperes; empty: middle of the range")},
    [FULL_LOAD] = {.name = "full-load",
                   .title = N_("Full-load amperes"),
                   .type = FIELD_QUANTITY,
                   .unit = UNIT_AMPERE,
                   .minimum = 0.01,
                   .maximum = 2000,
                   .initial = "2 A",
                   .help = N_("Nameplate amperes, FLA or RLA")},
    [LOCKED_ROTOR] = {.name = "locked-rotor",
                      .title = N_("Locked-rotor amperes"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_AMPERE,
                      .minimum = 0.01,
                      .maximum = 20000,
                      .help = N_("LRA on the nameplate; empty: six times full load")},
    [POWER_FACTOR] = {.name = "power-factor",
                      .title = N_("Power factor"),
                      .type = FIELD_QUANTITY,
                      .unit = UNIT_NONE,
                      .minimum = 0.05,
                      .maximum = 1,
                      .initial = "0.8",
                      .help = N_("Lagging power factor while it runs at full load")},
    [HORSEPOWER] = {.name = "horsepower",
                    .title = N_("Horsepower"),
                    .type = FIELD_QUANTITY,
                    .unit = UNIT_HORSEPOWER,
                    .minimum = 0.001,
                    .maximum = 1000,
                    .help = N_("Nameplate horsepower; for the sheet, not for the currents")},
    [STATE] = {.name = "state",
               .title = N_("Rotor"),
               .type = FIELD_CHOICE,
               .choices = state_choices,
               .initial = "running",
               .help = N_("locked: it starts or is stuck and draws locked-rotor amperes")},
    [FRAME] = FIELD_FRAME("yes"),
    [TERMINAL_CELSIUS] = FIELD_TERMINAL_CELSIUS,
    [NOTE] = FIELD_NOTE,
};

/* Locked-rotor current over full-load current and power factor of a locked rotor: usual figures,
 * from memory. */
#define LOCKED_TIMES 6.0
#define LOCKED_PF 0.4

#define PITCH(device) (three_phase(device) ? 7.5 : 10.0)
#define CENTRE_X 20.0

static bool
three_phase(const Device *device)
{
  return device_choice(device, PHASES) == 1;
}

static void
terminals(const Device *device, GArray *array)
{
  guint n = three_phase(device) ? 3 : 2;
  for (guint i = 0; i < n; i++) {
    char name[8];
    g_snprintf(name, sizeof name, "T%u", i + 1);
    part_terminal(array, name, 0, i * PITCH(device), SIDE_LEFT, TERMINAL_PLAIN);
  }
  if (device_flag(device, FRAME))
    part_frame_terminal(array, CENTRE_X, three_phase(device) ? 22.5 : 17.5);
}

static double
rated_volts(const Device *device)
{
  QuantityRange accepts;
  if (device->values[RATED_VOLTS].has_value)
    return device_number(device, RATED_VOLTS, 0);
  if (!part_range(device, ACCEPTS, &accepts))
    return 0;
  return (quantity_value(accepts.low) + quantity_value(accepts.high)) / 2;
}

static Phasor
admittance(double amperes, double volts_to_neutral, double pf)
{
  double y = amperes / volts_to_neutral;
  return CMPLX(y * pf, -y * sqrt(1 - pf * pf));
}

static void
stamp(const Device *device, Stamp *out)
{
  double volts = rated_volts(device), full = device_number(device, FULL_LOAD, 0);
  double locked = device_number(device, LOCKED_ROTOR, LOCKED_TIMES * full);
  double pf = device_number(device, POWER_FACTOR, 0.8);
  bool stuck = device_choice(device, STATE) == 1;
  QuantityRange accepts;
  if (!(volts > 0) || !(full > 0) || !part_range(device, ACCEPTS, &accepts))
    return;
  if (three_phase(device)) {
    Phasor y_locked = admittance(locked, volts / sqrt(3), LOCKED_PF);
    stamp_motor(out, 0, 1, 2,
                (Motor){.y_positive = stuck ? y_locked : admittance(full, volts / sqrt(3), pf),
                        .y_negative = y_locked,
                        .rated_volts = volts,
                        .rated_amps = full});
    return;
  }
  part_stamp_load(out, 0, 1,
                  &(PartLoad){
                      .volt_amperes = volts * (stuck ? locked : full),
                      .power_factor = stuck ? LOCKED_PF : pf,
                      .rated_volts = volts,
                      .accepts = accepts,
                      .behaviour = stuck ? LOAD_CONSTANT_IMPEDANCE : LOAD_CONSTANT_POWER,
                  });
}

static void
probes(const Device *device, GArray *array)
{
  part_probe(array, 0, 1, _("at the motor"));
  if (three_phase(device)) {
    part_probe(array, 1, 2, _("at the motor"));
    part_probe(array, 2, 0, _("at the motor"));
  }
  if (device_flag(device, FRAME))
    part_probe(array, three_phase(device) ? 3 : 2, PROBE_EARTH, _("frame to ground"));
}

static bool
validate(const Device *device, GError **error)
{
  double full = device_number(device, FULL_LOAD, 0);
  double locked = device_number(device, LOCKED_ROTOR, LOCKED_TIMES * full);
  if (locked >= full)
    return true;
  g_autofree char *low = number_format(locked), *high = number_format(full);
  g_set_error(
      error, FIELD_ERROR, FIELD_ERROR_VALUE,
      _("%s: locked-rotor %s A lies below full-load %s A; a locked rotor draws several times "
        "as much"),
      device->id, low, high);
  return false;
}

static char *
rating_text(const Device *device)
{
  return part_join_texts(", ", part_value_text(device, HORSEPOWER),
                         part_value_text(device, ACCEPTS), part_value_text(device, FULL_LOAD),
                         PART_TEXT_END);
}

static void
draw(const Device *device, Pen *pen)
{
  bool three = three_phase(device);
  guint n = three ? 3 : 2;
  Point centre = {CENTRE_X, (n - 1) * PITCH(device) / 2};
  const double radius = three ? 10 : 7.5;
  for (guint i = 0; i < n; i++) {
    const Terminal *terminal = device_terminal(device, i);
    double dy = terminal->at.y - centre.y;
    symbol_stub(pen, terminal, centre.x - sqrt(radius * radius - dy * dy), terminal->at.y);
    symbol_name(pen, terminal);
  }
  pen_circle(pen, centre, radius, &symbol_stroke, &symbol_paper);
  symbol_text(pen, centre.x, centre.y + 1, "M", 4, TEXT_MIDDLE);
  symbol_text(pen, centre.x, centre.y + 5, three ? "3Ø" : "1Ø", SYMBOL_LETTER, TEXT_MIDDLE);
  if (device_choice(device, STATE) == 1)
    symbol_text(pen, centre.x, centre.y - radius - 1, _("locked"), SYMBOL_LETTER, TEXT_MIDDLE);
  if (device_flag(device, FRAME)) {
    const Terminal *frame = device_terminal(device, n);
    symbol_stub(pen, frame, frame->at.x, centre.y + radius);
    symbol_name(pen, frame);
  }
}

const PartKind part_motor = {
    .name = "motor",
    .title = N_("Motor"),
    .designation = "M",
    .help = N_("One- or three-phase motor by its nameplate amperes"),
    .group = GROUP_LOAD,
    .role = ROLE_MOTOR,
    .fields = fields,
    .n_fields = N_FIELDS,
    .terminals = terminals,
    .draw = draw,
    .rating_text = rating_text,
    .stamp = stamp,
    .probes = probes,
    .validate = validate,
    .operate_field = "state",
};
