/* SPDX-License-Identifier: MIT */
/* Laws of the elements whose admittance depends on the size of their own voltage.
 *
 * Constant power and constant current keep the impedance of the window's edge outside the window,
 * so that the law is continuous and a solution always exists. Saturation: two-slope flux/current
 * curve; for sinusoidal flux the fundamental of its current is the dead-zone describing function
 * N(d) = 1 - (2/pi)(asin d + d sqrt(1 - d^2)), d = knee/flux (textbook result, from memory). */
#include "solve/internal.h"

#include <math.h>

void
port_from_load(Port *port, const Load *load)
{
  port->kind = load->behaviour == LOAD_CONSTANT_CURRENT ? PORT_CURRENT : PORT_POWER;
  port->power = conj(load->power);
  port->rated = load->rated_volts;
  /* An open window would let the admittance grow without bound as the volts vanish. */
  port->low = fmax(load->v_low, 1e-3 * load->rated_volts);
  port->high = load->v_high > port->low ? load->v_high : HUGE_VAL;
  port->reference = load->rated_volts;
}

void
port_from_core(Port *port, const Core *core)
{
  port->kind = PORT_SATURATION;
  port->power = CMPLX(core->excitation_conductance, -core->excitation_susceptance);
  port->rated = core->saturated_susceptance;
  port->low = core->knee;
  port->high = INFINITY;
  port->reference = 1;
}

static Phasor
law_of_load(const Port *port, double volts, Phasor *slope)
{
  bool power = port->kind == PORT_POWER;
  double inside = fmin(fmax(volts, port->low), port->high);
  Phasor y = port->power / (inside * (power ? inside : port->rated));
  *slope = volts > port->low && volts < port->high ? y * (power ? -2 : -1) / volts : 0;
  return y;
}

static Phasor
law_of_core(const Port *port, double flux, Phasor *slope)
{
  *slope = 0;
  if (flux <= port->low)
    return port->power;
  double d = port->low / flux;
  double root = sqrt(fmax(0, 1 - d * d));
  double share = 1 - M_2_PI * (asin(d) + d * root);
  *slope = CMPLX(0, -port->rated * 2 * M_2_PI * d * root / flux);
  return port->power - CMPLX(0, port->rated * share);
}

void
port_admittance(const Port *port, double volts, double blend, Phasor *y, Phasor *slope)
{
  bool core = port->kind == PORT_SATURATION;
  Phasor ignored;
  Phasor start = core ? port->power : law_of_load(port, port->reference, &ignored);
  *y = core ? law_of_core(port, volts, slope) : law_of_load(port, volts, slope);
  *y = blend * *y + (1 - blend) * start;
  *slope *= blend;
}
