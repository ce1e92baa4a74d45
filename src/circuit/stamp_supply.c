/* SPDX-License-Identifier: MIT */
#include "circuit/build.h"

#include <limits.h>
#include <math.h>

typedef struct {
  Stamp *stamp;
  const StampSupply *supply;
  CircuitSupply *record;
  double ohms; /* |Z| of one line; 0: ideal */
  Phasor unit; /* Z / |Z| */
} Work;

static guint
terminal_node(const Stamp *stamp, int terminal)
{
  if (terminal < 0)
    return G_MAXUINT;
  if (stamp->source == NULL)
    return (guint)terminal < stamp->circuit->n_nodes ? (guint)terminal : G_MAXUINT;
  return circuit_node(stamp->circuit, stamp->device, (guint)terminal);
}

static void
add_source(const Work *work, guint from, guint to, Phasor emf, double ohms, guint part)
{
  Source source = {.a = to,
                   .b = from,
                   .emf = emf,
                   .z = work->unit * ohms,
                   .owner = {.kind = OWNER_DEVICE, .index = work->stamp->device, .part = part}};
  g_array_append_val(work->stamp->circuit->sources, source);
}

/* A terminal that is earth by its role has its bond already. */
static void
bond(const Work *work, int terminal, guint part)
{
  const Stamp *stamp = work->stamp;
  if (stamp->source != NULL &&
      device_terminal(stamp->source, (guint)terminal)->role == TERMINAL_EARTH)
    return;
  stamp_join(work->stamp, terminal, STAMP_EARTH,
             (Join){.role = JOIN_BOND, .closed = true, .owner.part = part});
}

/* Ohms of one line: three phases V / (sqrt 3 I); one phase V / I shared by the two lines, which is
 * the whole of it where one line is grounded. */
static double
line_ohms(const Work *work)
{
  const SupplySystem *system = &work->record->system;
  double amps = work->record->fault_amps;
  const double complex *v = system->line_phasor;
  if (amps <= 0)
    return 0;
  switch (system->class_) {
  case SYSTEM_ONE_PHASE_2W:
    return fmax(cabs(v[0] - v[1]), fmax(cabs(v[0]), cabs(v[1]))) / amps;
  case SYSTEM_ONE_PHASE_3W:
  case SYSTEM_TWO_LINES_OF_WYE:
  case SYSTEM_ONE_PHASE_UNGROUNDED:
    return cabs(v[0] - v[1]) / (2 * amps);
  default: {
    /* A lost line would drag the mean down. */
    double most = fmax(cabs(v[0] - v[1]), fmax(cabs(v[1] - v[2]), cabs(v[2] - v[0])));
    double mean = (cabs(v[0] - v[1]) + cabs(v[1] - v[2]) + cabs(v[2] - v[0])) / 3;
    return (system->lost_phase ? most : mean) / (sqrt(3) * amps);
  }
  }
}

/* EMFs from the grounded conductor. */
static void
stamp_grounded(const Work *work)
{
  const SupplySystem *system = &work->record->system;
  guint from = 0;
  if (work->record->neutral_node != G_MAXUINT) {
    from = work->record->neutral_node;
    bond(work, work->supply->neutral, 3);
  }
  int special = system->special_line;
  bool grounded_line = system->class_ == SYSTEM_DELTA_CORNER_GROUNDED ||
                       (system->class_ == SYSTEM_ONE_PHASE_2W && special >= 0);
  if (grounded_line && work->record->line_nodes[special] != G_MAXUINT) {
    bond(work, work->supply->lines[special], (guint)special);
    if (from == 0)
      from = work->record->line_nodes[special];
  }
  for (int i = 0; i < 3; i++) {
    if (work->record->line_nodes[i] == G_MAXUINT || i == system->lost_line ||
        (grounded_line && i == special))
      continue;
    add_source(work, from, work->record->line_nodes[i], system->line_phasor[i], work->ohms,
               (guint)i);
  }
}

/* Each line of an ungrounded supply to earth: some hundred metres of cable and the windings
 * upstream (from memory: a few nanofarads). Equal on all lines, so that a high-impedance meter
 * shows the volts to ground such systems are known for. */
#define LINE_TO_EARTH 5e-9

/* EMFs between the lines: earth stays another island. A star of line impedances without its star
 * point is the same as a delta with three times each; ideal sources may not close a ring. */
static void
stamp_between_lines(const Work *work)
{
  const SupplySystem *system = &work->record->system;
  const guint *nodes = work->record->line_nodes;
  guint present[3], n = 0;
  for (guint i = 0; i < 3; i++)
    if (nodes[i] != G_MAXUINT && (int)i != system->lost_line)
      present[n++] = i;
  for (guint k = 0; k < n; k++) {
    Stray stray = {
        .a = nodes[present[k]],
        .b = 0,
        .farads = LINE_TO_EARTH,
        .owner = {.kind = OWNER_DEVICE, .index = work->stamp->device, .part = present[k]}};
    g_array_append_val(work->stamp->circuit->strays, stray);
  }
  if (work->record->neutral_node != G_MAXUINT) {
    for (guint k = 0; k < n; k++)
      add_source(work, work->record->neutral_node, nodes[present[k]],
                 system->line_phasor[present[k]] - system->neutral_phasor, work->ohms, present[k]);
    return;
  }
  if (n < 2)
    return;
  bool ring = n == 3 && work->ohms > 0;
  for (guint k = 0; k < (ring ? 3u : n - 1); k++) {
    guint a = present[k], b = present[(k + 1) % n];
    add_source(work, nodes[b], nodes[a], system->line_phasor[a] - system->line_phasor[b],
               work->ohms * (ring ? 3 : 2), a);
  }
}

/* With one line drawn the neutral takes the second line's place and is the grounded one. */
static SupplyReadings
readings_as_drawn(const StampSupply *supply)
{
  SupplyReadings readings = supply->readings;
  if (readings.phases == 1 && supply->lines[1] < 0 && supply->neutral >= 0 &&
      !readings.stated_ungrounded &&
      (supply_reading_given(readings.line[0]) || supply_reading_given(readings.ground[0])))
    readings.ground[1] = 0;
  return readings;
}

static CircuitSupply
record_of(const Stamp *stamp, const StampSupply *supply)
{
  SupplyReadings readings = readings_as_drawn(supply);
  CircuitSupply record = {.device = stamp->device,
                          .system = supply_derive(&readings),
                          .neutral_node = terminal_node(stamp, supply->neutral)};
  for (int i = 0; i < 3; i++)
    record.line_nodes[i] = terminal_node(stamp, supply->lines[i]);
  record.fault_amps =
      isfinite(supply->fault_amps) && supply->fault_amps > 0 ? supply->fault_amps : 0;
  record.frequency = isfinite(supply->frequency) && supply->frequency > 0 ? supply->frequency : 60;
  return record;
}

void
stamp_supply(Stamp *stamp, const StampSupply *supply)
{
  CircuitSupply record = record_of(stamp, supply);
  double q = isfinite(supply->x_over_r) && supply->x_over_r > 0 ? supply->x_over_r : STAMP_X_OVER_R;
  Work work = {
      .stamp = stamp, .supply = supply, .record = &record, .unit = CMPLX(1, q) / sqrt(1 + q * q)};
  work.ohms = supply_is_known(&record.system) ? line_ohms(&work) : 0;
  if (supply->earth >= 0)
    bond(&work, supply->earth, 4);
  if (supply_is_known(&record.system)) {
    if (record.system.grounded)
      stamp_grounded(&work);
    else
      stamp_between_lines(&work);
  }
  g_array_append_val(stamp->circuit->supplies, record);
}
