/* SPDX-License-Identifier: MIT */
#include "quiz/bench.h"

#include <math.h>

bool
bench_energize(Bench *bench, const Document *document, GError **error)
{
  *bench = (Bench){.document = document_snapshot(document)};
  bench->circuit = circuit_build(bench->document, NULL);
  bench->solution = solution_new(bench->circuit, error);
  if (bench->solution == NULL)
    return false;
  bench->saturation = saturation_new(bench->circuit, bench->solution);
  return true;
}

bool
bench_lock_out(Bench *bench, GError **error)
{
  const CircuitOptions options = {.locked_out = true};
  bench->locked_circuit = circuit_build(bench->document, &options);
  bench->locked_solution = solution_new(bench->locked_circuit, error);
  if (bench->locked_solution == NULL)
    return false;
  /* A network that cannot be factored is not to be measured either. */
  bench->ohms = ohmmeter_new(bench->locked_circuit, bench->locked_solution, NULL);
  return true;
}

void
bench_clear(Bench *bench)
{
  g_clear_pointer(&bench->conductor_amps, g_free);
  g_clear_pointer(&bench->ohms, ohmmeter_free);
  g_clear_pointer(&bench->saturation, saturation_free);
  g_clear_pointer(&bench->solution, solution_free);
  g_clear_pointer(&bench->locked_solution, solution_free);
  g_clear_pointer(&bench->circuit, circuit_free);
  g_clear_pointer(&bench->locked_circuit, circuit_free);
  g_clear_pointer(&bench->document, document_free);
}

static EvidenceCell
volts_cell(const Solution *solution, const Saturation *saturation, guint a, guint b)
{
  EvidenceCell cell = {.state = METER_READS, .unit = UNIT_VOLT};
  Reading reading = solution_reading(solution, a, b);
  if (reading.state == READING_LIVE) {
    double volts = cabs(reading.volts);
    if (!isfinite(volts))
      return (EvidenceCell){.state = METER_OVERRANGE, .unit = UNIT_VOLT};
    cell.value = (float)volts;
    if (saturation != NULL && saturation_decides(reading, saturation_straight(saturation), a, b))
      cell.state = METER_SATURATED;
  } else if (reading.state != READING_DEAD && !solution_same_net(solution, a, b)) {
    cell.state = METER_DRIFTS;
  }
  return cell;
}

EvidenceCell
bench_volts(const Bench *bench, guint a, guint b)
{
  return volts_cell(bench->solution, bench->saturation, a, b);
}

EvidenceCell
bench_dead(const Bench *bench, guint a, guint b)
{
  return volts_cell(bench->locked_solution, NULL, a, b);
}

EvidenceCell
bench_ohms(const Bench *bench, guint a, guint b)
{
  if (bench->ohms == NULL || !ohmmeter_allowed(bench->ohms, a, b))
    return (EvidenceCell){.state = METER_REFUSED, .unit = UNIT_OHM};
  double ohms = ohmmeter_read(bench->ohms, a, b);
  if (isinf(ohms))
    return (EvidenceCell){.state = METER_OPEN, .unit = UNIT_OHM};
  return (EvidenceCell){.state = METER_READS, .unit = UNIT_OHM, .value = (float)ohms};
}

static void
note_amps(Bench *bench, Owner owner, Phasor amps)
{
  if (owner.kind != OWNER_CONDUCTOR)
    return;
  bool finite = isfinite(creal(amps)) && isfinite(cimag(amps));
  double *at = &bench->conductor_amps[owner.index];
  *at = fmax(*at, finite ? cabs(amps) : (double)INFINITY);
}

void
bench_clamp(Bench *bench)
{
  const Circuit *circuit = bench->circuit;
  bench->conductor_amps = g_new0(double, document_conductor_count(bench->document) + 1);
  for (guint i = 0; i < circuit->joins->len; i++)
    note_amps(bench, circuit_item(circuit->joins, Join, i)->owner, bench->solution->join_amps[i]);
  for (guint i = 0; i < circuit->impedances->len; i++)
    note_amps(bench, circuit_item(circuit->impedances, Impedance, i)->owner,
              bench->solution->impedance_amps[i]);
}

/* Behind a saturated core amperes are good for one digit wherever they are more than nothing. */
EvidenceCell
bench_amps(const Bench *bench, guint conductor)
{
  EvidenceCell cell = {.state = METER_READS, .unit = UNIT_AMPERE};
  double amps = conductor != G_MAXUINT ? bench->conductor_amps[conductor] : 0;
  if (!isfinite(amps))
    cell.state = METER_OVERRANGE;
  else
    cell.value = (float)amps;
  if (isfinite(amps) && bench->saturation != NULL && amps > EVIDENCE_AMPS_LEAST)
    cell.state = METER_SATURATED;
  return cell;
}
