/* SPDX-License-Identifier: MIT */
#include "rig.h"

#include <math.h>

static guint
append(GArray *array, gconstpointer item)
{
  g_array_append_vals(array, item, 1);
  return array->len - 1;
}

guint
rig_contact(Circuit *circuit, guint a, guint b, bool closed, int coil)
{
  Join join = {.a = a, .b = b, .role = JOIN_SWITCH, .closed = closed, .coil = coil};
  join.owner.index = circuit->joins->len;
  return append(circuit->joins, &join);
}

guint
rig_join(Circuit *circuit, guint a, guint b, bool closed)
{
  return rig_contact(circuit, a, b, closed, -1);
}

guint
rig_impedance(Circuit *circuit, guint a, guint b, Phasor z)
{
  Impedance impedance = {.a = a, .b = b, .z = z, .role = IMPEDANCE_OTHER};
  return append(circuit->impedances, &impedance);
}

guint
rig_source(Circuit *circuit, guint a, guint b, Phasor emf, Phasor z)
{
  Source source = {.a = a, .b = b, .emf = emf, .z = z};
  return append(circuit->sources, &source);
}

guint
rig_load(Circuit *circuit, guint a, guint b, LoadBehaviour behaviour, Phasor power,
         double rated_volts, double low, double high)
{
  Load load = {.a = a,
               .b = b,
               .behaviour = behaviour,
               .power = power,
               .rated_volts = rated_volts,
               .v_low = low,
               .v_high = high};
  return append(circuit->loads, &load);
}

guint
rig_core(Circuit *circuit, double conductance, double susceptance)
{
  Core core = {.excitation_conductance = conductance, .excitation_susceptance = susceptance};
  return append(circuit->cores, &core);
}

guint
rig_segment(Circuit *circuit, guint core, guint a, guint b, double turns, Phasor z)
{
  Segment segment = {.a = a, .b = b, .core = core, .turns = turns, .z = z};
  return append(circuit->segments, &segment);
}

guint
rig_coil(Circuit *circuit, guint a, guint b, double rated_volts, double pick_up, double drop_out,
         Phasor sealed_va, Phasor inrush_va)
{
  Coil coil = {.a = a,
               .b = b,
               .rated_volts = rated_volts,
               .sealed_va = sealed_va,
               .inrush_va = inrush_va,
               .pick_up = pick_up,
               .drop_out = drop_out};
  coil.owner.index = circuit->coils->len;
  return append(circuit->coils, &coil);
}

guint
rig_motor(Circuit *circuit, guint a, guint b, guint c, Phasor positive, Phasor negative)
{
  Motor motor = {.a = a, .b = b, .c = c, .y_positive = positive, .y_negative = negative};
  return append(circuit->motors, &motor);
}

Phasor
rig_polar(double size, double degrees)
{
  return size * cexp(CMPLX(0, degrees * G_PI / 180));
}
