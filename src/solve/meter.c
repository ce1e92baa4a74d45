/* SPDX-License-Identifier: MIT */
#include "solve/meter.h"

#include "base/language.h"

#include "solve/internal.h"
#include "solve/saturation.h"
#include <math.h>

#define LIVE_VOLTS 1.0  /* above it, between a point and earth, an ohmmeter is not connected */
#define GHOST_LEAST 0.5 /* volts below which a stray reading is as good as none */
#define MANY_TIMES 2.0  /* of a saturated winding's rated current: no digit is worth showing */

static void
set_note(MeterReading *reading, const char *note)
{
  g_strlcpy(reading->note, note, sizeof reading->note);
}

static bool
points_are_there(const Circuit *circuit, guint a, guint b, GError **error)
{
  if (a < circuit->n_nodes && b < circuit->n_nodes)
    return true;
  g_set_error(error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
              _("A probe is not on the circuit; put both probes on terminals, such as T1.X1."));
  return false;
}

static void
note_saturated(const Circuit *circuit, const Solution *solution, MeterReading *out)
{
  double times = 0;
  g_autofree char *name = saturation_culprit(circuit, solution, &times);
  out->state = METER_SATURATED;
  if (out->unit == UNIT_AMPERE && times > MANY_TIMES)
    out->value = out->degrees = 0;
  g_snprintf(out->note, sizeof out->note,
             times > MANY_TIMES
                 ? _("%s is saturated: the supply lies on too few turns. It draws many times its "
                     "rated current until its fuse opens or it burns. Do not energize.")
                 : _("%s is saturated: the supply lies on too few turns. It draws more than its "
                     "rated current until its fuse opens or it burns. Do not energize."),
             name != NULL ? name : _("A transformer"));
}

/* -------------------------------------------------------------------------------------- volts */

static double
frequency_of(const Circuit *circuit)
{
  for (guint i = 0; i < circuit->supplies->len; i++) {
    double frequency = circuit_item(circuit->supplies, CircuitSupply, i)->frequency;
    if (frequency > 0)
      return frequency;
  }
  return 60;
}

/* A shallow copy whose impedances also hold the strays and the meter. */
static GArray *
impedances_with_meter(const Circuit *circuit, guint a, guint b, double ohms)
{
  GArray *impedances = g_array_copy(circuit->impedances);
  double omega = 2 * G_PI * frequency_of(circuit);
  for (guint i = 0; i < circuit->strays->len; i++) {
    const Stray *stray = circuit_item(circuit->strays, Stray, i);
    if (stray->farads <= 0 || stray->a == stray->b)
      continue;
    Impedance impedance = {.a = stray->a,
                           .b = stray->b,
                           .z = CMPLX(0, -1 / (omega * stray->farads)),
                           .role = IMPEDANCE_OTHER,
                           .owner = stray->owner};
    g_array_append_val(impedances, impedance);
  }
  Impedance meter = {.a = a, .b = b, .z = ohms, .role = IMPEDANCE_OTHER};
  g_array_append_val(impedances, meter);
  return impedances;
}

static bool
stray_volts(const Circuit *circuit, const Solution *solution, guint a, guint b, MeterInput input,
            MeterReading *out, GError **error)
{
  Circuit loaded = *circuit;
  double ohms = input == METER_LOW_IMPEDANCE ? METER_LOW_OHMS : METER_HIGH_OHMS;
  g_autoptr(GArray) impedances = impedances_with_meter(circuit, a, b, ohms);
  loaded.impedances = impedances;
  g_autoptr(Solution) measured = solution_new_warm(&loaded, solution, error);
  if (measured == NULL)
    return false;
  Reading reading = solution_reading(measured, a, b);
  double volts = reading.state == READING_LIVE ? cabs(reading.volts) : 0;
  if (volts < GHOST_LEAST)
    return true;
  out->state = METER_GHOST;
  out->value = volts;
  out->degrees = carg(reading.volts) * 180 / G_PI;
  set_note(out,
           _("Ghost voltage through stray capacitance: it falls away on a low-impedance meter. "
             "Its size is a guess; it proves neither a live nor a dead circuit."));
  return true;
}

bool
meter_volts(const Circuit *circuit, const Solution *solution, guint a, guint b, MeterInput input,
            MeterReading *out, GError **error)
{
  *out = (MeterReading){.state = METER_READS, .unit = UNIT_VOLT};
  if (!points_are_there(circuit, a, b, error))
    return false;
  Reading reading = solution_reading(solution, a, b);
  if (reading.state == READING_LIVE) {
    out->value = cabs(reading.volts);
    out->degrees = carg(reading.volts) * 180 / G_PI;
    g_autoptr(Saturation) saturation = saturation_new(circuit, solution);
    if (saturation != NULL && saturation_decides(reading, saturation_straight(saturation), a, b))
      note_saturated(circuit, solution, out);
    return true;
  }
  if (solution_same_net(solution, a, b))
    return true;
  if (!stray_volts(circuit, solution, a, b, input, out, error))
    return false;
  bool unsettled = reading.state == READING_FLOATING || reading.state == READING_UNDEFINED;
  if (unsettled && out->state == METER_READS && input == METER_HIGH_IMPEDANCE) {
    out->state = METER_DRIFTS;
    set_note(out, _("These two points have no connection that fixes their voltage: whatever the "
                    "meter shows here means nothing."));
  }
  return true;
}

/* --------------------------------------------------------------------------------------- amps */

static bool
owners_equal(Owner a, Owner b)
{
  return a.kind == b.kind && a.index == b.index && a.part == b.part;
}

/* Finds the first branch of the owner in an array whose items hold an Owner at `offset`. */
static bool
find_branch(const GArray *items, gsize size, gsize offset, Owner owner, guint *index)
{
  for (guint i = 0; i < items->len; i++) {
    const Owner *candidate = (const Owner *)(const void *)(items->data + i * size + offset);
    if (owners_equal(*candidate, owner)) {
      *index = i;
      return true;
    }
  }
  return false;
}
#define FIND(array, Type, owner_, index)                                                           \
  find_branch(array, sizeof(Type), G_STRUCT_OFFSET(Type, owner), owner_, index)

static bool
branch_amps(const Circuit *circuit, const Solution *solution, Owner owner, Phasor *amps)
{
  guint i = 0;
  if (FIND(circuit->joins, Join, owner, &i))
    *amps = solution->join_amps[i];
  else if (FIND(circuit->impedances, Impedance, owner, &i))
    *amps = solution->impedance_amps[i];
  else if (FIND(circuit->loads, Load, owner, &i))
    *amps = solution->load_amps[i];
  else if (FIND(circuit->coils, Coil, owner, &i))
    *amps = solution->coil_amps[i];
  else if (FIND(circuit->segments, Segment, owner, &i))
    *amps = solution->segment_amps[i];
  else if (FIND(circuit->sources, Source, owner, &i))
    *amps = solution->source_amps[i];
  else
    return false;
  return true;
}

bool
meter_amps(const Circuit *circuit, const Solution *solution, Owner owner, MeterReading *out,
           GError **error)
{
  *out = (MeterReading){.state = METER_READS, .unit = UNIT_AMPERE};
  Phasor amps = 0;
  if (!branch_amps(circuit, solution, owner, &amps)) {
    g_autofree char *name = circuit_owner_name(circuit, owner);
    g_set_error(error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
                _("There is nothing to clamp at %s; put the clamp round a conductor."), name);
    return false;
  }
  if (!isfinite(creal(amps)) || !isfinite(cimag(amps))) {
    out->state = METER_OVERRANGE;
    set_note(out, _("A dead short of a supply without a stated fault current: enter the available "
                    "fault current to see how many amperes flow until a device opens."));
    return true;
  }
  out->value = cabs(amps);
  out->degrees = carg(amps) * 180 / G_PI;
  g_autoptr(Saturation) saturation = saturation_new(circuit, solution);
  Phasor straight = amps;
  if (saturation != NULL &&
      branch_amps(circuit, saturation_straight(saturation), owner, &straight) &&
      saturation_decides_amps(amps, straight))
    note_saturated(circuit, solution, out);
  return true;
}

/* --------------------------------------------------------------------------------------- ohms */

/* The direct-current network: a bare circuit with only joins and resistances. */
typedef struct {
  const Circuit *circuit;
  const Solution *solution;
  Circuit *resistive;
} Ohms;

static void
add_ohms(Ohms *work, guint a, guint b, double ohms)
{
  if (a == b || isnan(ohms))
    return;
  if (ohms <= 0) {
    Join join = {.a = a, .b = b, .role = JOIN_INTERNAL, .closed = true, .coil = -1};
    g_array_append_val(work->resistive->joins, join);
  } else if (isfinite(ohms)) {
    Impedance impedance = {.a = a, .b = b, .z = ohms, .role = IMPEDANCE_OTHER};
    g_array_append_val(work->resistive->impedances, impedance);
  }
}

/* Resistive part of V^2 / S*, the series resistance of the nameplate's impedance. */
static double
nameplate_ohms(Phasor power, double volts)
{
  double size = cabs(power);
  return size > 0 ? volts * volts * creal(power) / (size * size) : (double)INFINITY;
}

static void
add_wiring(Ohms *work)
{
  const Circuit *circuit = work->circuit;
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (work->solution->join_closed[i])
      add_ohms(work, join->a, join->b, 0);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->role != IMPEDANCE_CAPACITOR)
      add_ohms(work, impedance->a, impedance->b, creal(impedance->z));
  }
  for (guint i = 0; i < circuit->sources->len; i++) {
    const Source *source = circuit_item(circuit->sources, Source, i);
    add_ohms(work, source->a, source->b, creal(source->z));
  }
  for (guint i = 0; i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    add_ohms(work, segment->a, segment->b, creal(segment->z));
  }
}

static void
add_loads(Ohms *work)
{
  const Circuit *circuit = work->circuit;
  for (guint i = 0; i < circuit->loads->len; i++) {
    const Load *load = circuit_item(circuit->loads, Load, i);
    if (load->behaviour != LOAD_CONSTANT_IMPEDANCE || creal(load->power) <= 0)
      continue;
    add_ohms(work, load->a, load->b, nameplate_ohms(load->power, load->rated_volts));
  }
  for (guint i = 0; i < circuit->coils->len; i++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, i);
    if (creal(coil->sealed_va) > 0)
      add_ohms(work, coil->a, coil->b, nameplate_ohms(coil->sealed_va, coil->rated_volts));
  }
  for (guint i = 0; i < circuit->motors->len; i++) {
    const Motor *motor = circuit_item(circuit->motors, Motor, i);
    guint star = circuit->n_nodes + i;
    double leg = motor->y_negative != 0 ? creal(1 / motor->y_negative) / 2 : (double)INFINITY;
    add_ohms(work, motor->a, star, leg);
    add_ohms(work, motor->b, star, leg);
    add_ohms(work, motor->c, star, leg);
  }
}

/* Earth belongs to the island of every grounded supply, so what counts is whether a point stands
 * away from earth; a floating island counts whole, since any of it may. */
bool
meter_node_is_live(const Solution *solution, guint node)
{
  Reading reading = solution_to_earth(solution, node);
  if (reading.state == READING_LIVE || reading.state == READING_DEAD)
    return cabs(reading.volts) > LIVE_VOLTS;
  guint island = solution->island_of_net[solution->net_of_node[node]];
  return g_array_index(solution->islands, Island, island).live;
}

Circuit *
meter_network_new(const Circuit *circuit, const Solution *solution, bool with_loads)
{
  Circuit *resistive = circuit_new_bare(circuit->n_nodes + circuit->motors->len);
  Ohms work = {.circuit = circuit, .solution = solution, .resistive = resistive};
  add_wiring(&work);
  if (with_loads)
    add_loads(&work);
  return resistive;
}

/* One volt behind one ohm between the probes; ohms are volts over amperes, INFINITY above the
 * meter's range. */
static bool
measure_ohms(const Circuit *circuit, const Solution *solution, guint a, guint b, bool with_loads,
             double *ohms, GError **error)
{
  g_autoptr(Circuit) resistive = meter_network_new(circuit, solution, with_loads);
  Source battery = {.a = a, .b = b, .emf = 1, .z = 1};
  g_array_append_val(resistive->sources, battery);
  g_autoptr(Solution) measured = solution_new(resistive, error);
  if (measured == NULL)
    return false;
  double amps = creal(measured->source_amps[0]);
  double volts = creal(solution_reading(measured, a, b).volts);
  bool open = !(amps > 0) || volts > METER_OPEN_OHMS * amps;
  *ohms = open ? (double)INFINITY : MAX(volts, 0) / amps;
  return true;
}

static bool
has_loads(const Circuit *circuit)
{
  return circuit->loads->len + circuit->coils->len + circuit->motors->len > 0;
}

/* Reads, and says when loads make up more than a thousandth of the reading. */
static bool
read_ohms(const Circuit *circuit, const Solution *solution, guint a, guint b, MeterReading *out,
          GError **error)
{
  double ohms = 0, without = 0;
  if (!measure_ohms(circuit, solution, a, b, true, &ohms, error))
    return false;
  if (isinf(ohms)) {
    out->state = METER_OPEN;
    set_note(out,
             _("No path that an ohmmeter sees. Electronic inputs and capacitors read open too."));
    return true;
  }
  out->value = ohms;
  if (!has_loads(circuit))
    return true;
  if (!measure_ohms(circuit, solution, a, b, false, &without, error))
    return false;
  if (isinf(without) || fabs(without - ohms) > 1e-3 * ohms)
    set_note(out, _("A load or coil is part of this reading; its resistance is worked out from the "
                    "nameplate. Cold lamps and heaters read less."));
  return true;
}

bool
meter_ohms(const Circuit *circuit, const Solution *solution, guint a, guint b, MeterReading *out,
           GError **error)
{
  *out = (MeterReading){.state = METER_READS, .unit = UNIT_OHM};
  if (!points_are_there(circuit, a, b, error))
    return false;
  if (meter_node_is_live(solution, a) || meter_node_is_live(solution, b)) {
    out->state = METER_REFUSED;
    set_note(out,
             _("Do not measure ohms on a live circuit. Lock out, prove the circuit dead with a "
               "proven tester, then measure."));
    return true;
  }
  if (solution_same_net(solution, a, b))
    return true;
  return read_ohms(circuit, solution, a, b, out, error);
}

char *
meter_reading_text(const MeterReading *reading)
{
  switch (reading->state) {
  case METER_READS:
    return quantity_display(reading->value, reading->unit, 4);
  case METER_GHOST: {
    g_autofree char *value = quantity_display(reading->value, reading->unit, 2);
    return g_strdup_printf(_("%s ghost"), value);
  }
  case METER_SATURATED:
    return reading->value > 0 ? saturation_text(reading->value, reading->unit)
                              : g_strdup(_("many times rated"));
  case METER_OPEN:
  case METER_OVERRANGE:
    return g_strdup("OL");
  case METER_DRIFTS:
  case METER_REFUSED:
    break;
  }
  return g_strdup_printf("- %s", unit_symbol(reading->unit));
}

const char *
meter_state_word(MeterState state)
{
  static const char *const words[] = {
      [METER_READS] = "reads",         [METER_GHOST] = "ghost",         [METER_DRIFTS] = "drifts",
      [METER_OPEN] = "open",           [METER_OVERRANGE] = "overrange", [METER_REFUSED] = "refused",
      [METER_SATURATED] = "saturated",
  };
  return (guint)state < G_N_ELEMENTS(words) ? words[state] : words[METER_DRIFTS];
}
