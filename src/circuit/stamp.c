/* SPDX-License-Identifier: MIT */
#include "circuit/build.h"

#include "base/language.h"

#include <math.h>

/* Least power of a load, VA: a load without power would leave its terminals unconnected, and a
 * nameplate that says nothing does not mean an open circuit. */
#define LEAST_POWER 1e-6

static guint
node_of(const Stamp *stamp, int terminal)
{
  if (terminal == STAMP_EARTH)
    return 0;
  if (terminal < 0)
    return G_MAXUINT;
  if (stamp->source == NULL)
    return (guint)terminal < stamp->circuit->n_nodes ? (guint)terminal : G_MAXUINT;
  return circuit_node(stamp->circuit, stamp->device, (guint)terminal);
}

/* False, after telling the developer, when a terminal is not there. */
static bool
resolve(const Stamp *stamp, int a, int b, guint *node_a, guint *node_b)
{
  *node_a = node_of(stamp, a);
  *node_b = node_of(stamp, b);
  if (*node_a != G_MAXUINT && *node_b != G_MAXUINT)
    return true;
  g_critical("%s: terminals %d and %d are not both there",
             stamp->source != NULL ? stamp->source->id : "bare circuit", a, b);
  return false;
}

static Owner
owner_of(const Stamp *stamp, guint part)
{
  return (Owner){.kind = OWNER_DEVICE, .index = stamp->device, .part = part};
}

static double
known(double value)
{
  return isfinite(value) && value > 0 ? value : 0;
}

static bool
finite_phasor(Phasor value)
{
  return isfinite(creal(value)) && isfinite(cimag(value));
}

guint
stamp_join(Stamp *stamp, int a, int b, Join join)
{
  Circuit *circuit = stamp->circuit;
  if (!resolve(stamp, a, b, &join.a, &join.b))
    return G_MAXUINT;
  join.owner = owner_of(stamp, join.owner.part);
  join.coil = -1;
  join.rated_amps = known(join.rated_amps);
  join.rated_volts = known(join.rated_volts);
  join.rated_volts_to_ground = known(join.rated_volts_to_ground);
  join.interrupting_amps = known(join.interrupting_amps);
  if (join.lockable && circuit->options.locked_out)
    join.closed = false;
  g_array_append_val(circuit->joins, join);
  return circuit->joins->len - 1;
}

guint
stamp_contact(Stamp *stamp, int a, int b, Join join, const char *coil_designation)
{
  guint index = stamp_join(stamp, a, b, join);
  if (index == G_MAXUINT || coil_designation == NULL || *coil_designation == '\0')
    return index;
  ContactLink link = {.join = index, .designation = g_strdup(coil_designation)};
  g_array_append_val(stamp->circuit->contact_links, link);
  return index;
}

guint
stamp_impedance(Stamp *stamp, int a, int b, Phasor z, ImpedanceRole role, guint part)
{
  Circuit *circuit = stamp->circuit;
  Impedance impedance = {.z = z, .role = role, .owner = owner_of(stamp, part)};
  if (!resolve(stamp, a, b, &impedance.a, &impedance.b))
    return G_MAXUINT;
  if (!finite_phasor(z) || creal(z) < 0) {
    build_note(stamp, BUILD_NAMEPLATE, SIGNAL_CAUTION,
               g_strdup(_("Its impedance cannot be worked out from the nameplate; it is taken to "
                          "draw nothing.")),
               g_strdup(_("Enter the rated volts and the watts or volt-amperes.")));
    impedance.z = 1e9;
  }
  g_array_append_val(circuit->impedances, impedance);
  return circuit->impedances->len - 1;
}

/* Volts from what the nameplate has; 0 when it has nothing. */
static double
load_rated_volts(const Load *load)
{
  if (known(load->rated_volts) > 0)
    return load->rated_volts;
  if (known(load->accepts_high) > 0)
    return (known(load->accepts_low) > 0 ? load->accepts_low + load->accepts_high
                                         : 2 * load->accepts_high) /
           2;
  return 0;
}

/* The behaviour's window: as given, else what the nameplate accepts, else 80 to 120 % of rated
 * (common practice, no source). */
static void
load_window(Load *load)
{
  load->accepts_low = known(load->accepts_low);
  load->accepts_high = known(load->accepts_high);
  if (known(load->v_low) == 0)
    load->v_low = load->accepts_low > 0 ? load->accepts_low : 0.8 * load->rated_volts;
  if (known(load->v_high) == 0)
    load->v_high = load->accepts_high > 0 ? load->accepts_high : 1.2 * load->rated_volts;
  if (load->v_high < load->v_low)
    load->v_high = load->v_low;
}

guint
stamp_load(Stamp *stamp, int a, int b, Load load)
{
  Circuit *circuit = stamp->circuit;
  if (!resolve(stamp, a, b, &load.a, &load.b))
    return G_MAXUINT;
  load.owner = owner_of(stamp, load.owner.part);
  load.rated_volts = load_rated_volts(&load);
  bool power_known = finite_phasor(load.power) && creal(load.power) >= 0 && cabs(load.power) > 0;
  if (load.rated_volts == 0 || !power_known) {
    build_note(stamp, BUILD_NAMEPLATE, SIGNAL_NOTICE,
               g_strdup_printf(_("Its nameplate has no usable %s; it is taken to draw nothing."),
                               power_known ? _("voltage") : _("power")),
               g_strdup(_("Enter the volts it accepts and its watts or volt-amperes.")));
    load.power = LEAST_POWER;
    load.behaviour = LOAD_CONSTANT_IMPEDANCE;
    if (load.rated_volts == 0)
      load.rated_volts = 120;
  }
  load_window(&load);
  g_array_append_val(circuit->loads, load);
  return circuit->loads->len - 1;
}

guint
stamp_coil(Stamp *stamp, int a, int b, Coil coil)
{
  Circuit *circuit = stamp->circuit;
  if (!resolve(stamp, a, b, &coil.a, &coil.b))
    return G_MAXUINT;
  coil.owner = owner_of(stamp, coil.owner.part);
  bool sealed_known =
      finite_phasor(coil.sealed_va) && creal(coil.sealed_va) >= 0 && cabs(coil.sealed_va) > 0;
  if (known(coil.rated_volts) == 0 || !sealed_known) {
    build_note(stamp, BUILD_NAMEPLATE, SIGNAL_NOTICE,
               g_strdup(sealed_known ? _("The coil's voltage is missing; 24 V is assumed.")
                                     : _("The coil's volt-ampere figure is missing; a draw of 5 VA "
                                         "is assumed.")),
               g_strdup(_("Enter the coil's volts and its sealed and inrush volt-amperes.")));
    if (known(coil.rated_volts) == 0)
      coil.rated_volts = 24;
    if (!sealed_known)
      coil.sealed_va = 5;
  }
  if (!finite_phasor(coil.inrush_va) || creal(coil.inrush_va) < 0 || cabs(coil.inrush_va) == 0)
    coil.inrush_va = coil.sealed_va;
  /* Limits of common relays: in at 85 %, out at 50 % of rated (from memory). A drop-out above
   * pick-up could never settle. */
  if (known(coil.pick_up) == 0)
    coil.pick_up = 0.85 * coil.rated_volts;
  if (known(coil.drop_out) == 0)
    coil.drop_out = 0.5 * coil.rated_volts;
  coil.drop_out = MIN(coil.drop_out, coil.pick_up);
  g_array_append_val(circuit->coils, coil);
  return circuit->coils->len - 1;
}

guint
stamp_motor(Stamp *stamp, int a, int b, int c, Motor motor)
{
  Circuit *circuit = stamp->circuit;
  if (!resolve(stamp, a, b, &motor.a, &motor.b) || !resolve(stamp, b, c, &motor.b, &motor.c))
    return G_MAXUINT;
  motor.owner = owner_of(stamp, motor.owner.part);
  motor.rated_volts = known(motor.rated_volts);
  motor.rated_amps = known(motor.rated_amps);
  if (!finite_phasor(motor.y_positive) || !finite_phasor(motor.y_negative) ||
      creal(motor.y_positive) <= 0 || creal(motor.y_negative) <= 0) {
    build_note(
        stamp, BUILD_NAMEPLATE, SIGNAL_NOTICE,
        g_strdup(_("The motor's current cannot be worked out from its nameplate; it is taken "
                   "to draw nothing.")),
        g_strdup(_("Enter rated volts and full-load amperes or horsepower.")));
    motor.y_positive = motor.y_negative = 1e-9;
  }
  g_array_append_val(circuit->motors, motor);
  return circuit->motors->len - 1;
}

guint
stamp_stray(Stamp *stamp, int a, int b, double farads)
{
  Stray stray = {.farads = known(farads), .owner = owner_of(stamp, 0)};
  if (!resolve(stamp, a, b, &stray.a, &stray.b))
    return G_MAXUINT;
  g_array_append_val(stamp->circuit->strays, stray);
  return stamp->circuit->strays->len - 1;
}
