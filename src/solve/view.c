/* SPDX-License-Identifier: MIT */
#include "solve/internal.h"

#include <math.h>

#define ARRAY(field, Type)                                                                         \
  do {                                                                                             \
    view.n_##field = circuit->field != NULL ? circuit->field->len : 0;                             \
    view.field = circuit->field != NULL ? (const Type *)(void *)circuit->field->data : NULL;       \
  } while (0)

CircuitView
view_of(const Circuit *circuit, bool linear)
{
  CircuitView view = {.circuit = circuit, .n_nodes = circuit->n_nodes, .linear = linear};
  ARRAY(joins, Join);
  ARRAY(impedances, Impedance);
  ARRAY(sources, Source);
  ARRAY(loads, Load);
  ARRAY(cores, Core);
  ARRAY(segments, Segment);
  ARRAY(coils, Coil);
  ARRAY(motors, Motor);
  ARRAY(couplings, Coupling);
  ARRAY(deltas, DeltaLoad);
  view.scale = circuit->options.supply_scale > 0 ? circuit->options.supply_scale : 1;
  view.loads_off = circuit->options.loads_off;
  return view;
}

Phasor
view_emf(const CircuitView *view, guint source)
{
  return view->sources[source].emf * view->scale;
}

static Phasor
admittance_of(Phasor power, double volts)
{
  return volts > 0 ? conj(power) / (volts * volts) : 0;
}

Phasor
view_load_admittance(const CircuitView *view, guint load)
{
  return admittance_of(view->loads[load].power, view->loads[load].rated_volts);
}

Phasor
view_core_admittance(const CircuitView *view, guint core)
{
  const Core *c = &view->cores[core];
  if (c->excitation_conductance == 0 && c->excitation_susceptance == 0)
    return CMPLX(0, -view->least_excitation);
  return CMPLX(c->excitation_conductance, -c->excitation_susceptance);
}

bool
view_core_saturates(const CircuitView *view, guint core)
{
  const Core *c = &view->cores[core];
  return !view->linear && c->knee > 0 && c->saturated_susceptance > 0;
}

/* A coil that lacks one of its two figures has the other in both states: a nameplate may give only
 * the sealed volt-amperes, and a coil never vanishes by moving. */
Phasor
view_coil_admittance(const CircuitView *view, guint coil, bool pulled_in)
{
  const Coil *c = &view->coils[coil];
  Phasor own = pulled_in ? c->sealed_va : c->inrush_va;
  Phasor other = pulled_in ? c->inrush_va : c->sealed_va;
  return admittance_of(own != 0 ? own : other, c->rated_volts);
}

bool
view_impedance_is_tie(const Impedance *impedance)
{
  return impedance->z == 0;
}

bool
view_impedance_is_small(const Impedance *impedance)
{
  double r = creal(impedance->z), x = cimag(impedance->z);
  return r * r + x * x < BRANCH_OHMS * BRANCH_OHMS;
}

bool
view_impedance_conducts(const Impedance *impedance)
{
  return isfinite(creal(impedance->z)) && isfinite(cimag(impedance->z));
}

bool
view_load_is_port(const CircuitView *view, guint load)
{
  return !view->linear && view->loads[load].behaviour != LOAD_CONSTANT_IMPEDANCE;
}

double
view_load_stiffness(const CircuitView *view, guint load)
{
  if (!view_load_is_port(view, load))
    return cabs(view_load_admittance(view, load));
  Port port = {0};
  Phasor y, slope;
  port_from_load(&port, &view->loads[load]);
  port_admittance(&port, port.low, 1, &y, &slope);
  return cabs(y);
}

bool
view_load_is_stiff(const CircuitView *view, guint load)
{
  return view_load_stiffness(view, load) > 1 / BRANCH_OHMS;
}

bool
view_load_conducts(const CircuitView *view, guint load)
{
  return !view->loads_off && view_load_admittance(view, load) != 0;
}

bool
view_coil_conducts(const CircuitView *view, guint coil)
{
  return !view->loads_off && view_coil_admittance(view, coil, false) != 0;
}

bool
view_motor_conducts(const CircuitView *view, guint motor)
{
  const Motor *m = &view->motors[motor];
  return !view->loads_off && (m->y_positive != 0 || m->y_negative != 0);
}

/* Symmetrical components with rotation a = 1 at 120 degrees: V1 = (Va + a Vb + a2 Vc)/3, and no
 * zero-sequence path. */
void
view_motor_matrix(const Motor *motor, bool backwards, Phasor y[3][3])
{
  const Phasor turn = CMPLX(-0.5, 0.86602540378443864676);
  const Phasor turn2 = conj(turn);
  Phasor first = backwards ? motor->y_negative : motor->y_positive;
  Phasor second = backwards ? motor->y_positive : motor->y_negative;
  Phasor own = (first + second) / 3;
  Phasor next = (turn * first + turn2 * second) / 3;
  Phasor previous = (turn2 * first + turn * second) / 3;
  for (int row = 0; row < 3; row++) {
    y[row][row] = own;
    y[row][(row + 1) % 3] = next;
    y[row][(row + 2) % 3] = previous;
  }
}

void
view_delta_matrix(const DeltaLoad *delta, bool floats, Phasor y[3][3])
{
  for (int row = 0; row < 3; row++) {
    const Phasor *line = delta->y[row];
    y[row][0] = line[0] - line[2];
    y[row][1] = line[1] - line[0];
    y[row][2] = line[2] - line[1];
  }
  for (int column = 0; floats && column < 3; column++)
    y[2][column] = -y[0][column] - y[1][column];
}
