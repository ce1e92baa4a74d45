/* SPDX-License-Identifier: MIT */
/* Short ways to put a circuit together by hand in the solver's tests. */
#pragma once

#include "circuit/circuit.h"

G_BEGIN_DECLS

guint rig_join(Circuit *circuit, guint a, guint b, bool closed);
guint rig_contact(Circuit *circuit, guint a, guint b, bool closed, int coil);
guint rig_impedance(Circuit *circuit, guint a, guint b, Phasor z);
guint rig_source(Circuit *circuit, guint a, guint b, Phasor emf, Phasor z);
guint rig_load(Circuit *circuit, guint a, guint b, LoadBehaviour behaviour, Phasor power,
               double rated_volts, double low, double high);
/* An unsaturated core with the given excitation in VA. */
guint rig_core(Circuit *circuit, double conductance, double susceptance);
guint rig_segment(Circuit *circuit, guint core, guint a, guint b, double turns, Phasor z);
guint rig_coil(Circuit *circuit, guint a, guint b, double rated_volts, double pick_up,
               double drop_out, Phasor sealed_va, Phasor inrush_va);
guint rig_motor(Circuit *circuit, guint a, guint b, guint c, Phasor positive, Phasor negative);
Phasor rig_polar(double size, double degrees);

G_END_DECLS
