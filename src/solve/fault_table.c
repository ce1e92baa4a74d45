/* SPDX-License-Identifier: MIT */
#include "solve/fault_table.h"

#include "solve/fault.h"
#include "solve/internal.h"
#include <math.h>

#define NONE G_MAXUINT
#define IDEAL_OHMS 1e-9 /* as in fault.c */
#define STANDS_AWAY 1.0 /* volts to ground below which a terminal counts as grounded */
#define MISSING ((double)NAN)

typedef struct {
  const Circuit *circuit;
  const Solution *solution;
  FaultStudy *study;
  GHashTable *known; /* pair of nets -> Short */
  GArray *wanted;    /* of FaultPair: those that are asked for, none known yet; NULL: all known */
  bool *supplied;    /* per net: a supply conducts to it */
} Work;

static guint
net(const Work *work, guint node)
{
  return work->solution->net_of_node[node];
}

static guint
island(const Work *work, guint node)
{
  return work->solution->island_of_net[net(work, node)];
}

/* One pair of nets. */
typedef struct {
  double amps; /* as fault_study_amps */
  Phasor z;
} Short;

static gint64
key_of(const Work *work, guint a, guint b)
{
  return (gint64)((guint64)MIN(net(work, a), net(work, b)) << 32 | MAX(net(work, a), net(work, b)));
}

static void
learn(Work *work, guint a, guint b, Phasor z)
{
  gint64 key = key_of(work, a, b);
  Short fault = {.amps = island(work, a) == island(work, b) ? 0 : MISSING, .z = z};
  double volts = cabs(fault_study_volts(work->study, a, b));
  if (cabs(fault.z) > IDEAL_OHMS)
    fault.amps = volts / cabs(fault.z);
  else if (volts > 1e-6)
    fault.amps = HUGE_VAL;
  g_hash_table_insert(work->known, g_memdup2(&key, sizeof key), g_memdup2(&fault, sizeof fault));
}

/* The first time round it only notes what is asked for. Which pairs those are does hardly depend on
 * the answers; one that comes up afterwards is solved by itself. */
static Short
short_between(Work *work, guint a, guint b)
{
  gint64 key = key_of(work, a, b);
  const Short *found = g_hash_table_lookup(work->known, &key);
  if (found != NULL)
    return *found;
  FaultPair pair = {a, b};
  if (work->wanted != NULL)
    g_array_append_val(work->wanted, pair);
  learn(work, a, b, work->wanted != NULL ? 0 : fault_study_impedance(work->study, a, b));
  return *(const Short *)g_hash_table_lookup(work->known, &key);
}

/* All impedances that are wanted, by a few substitutions for all of them. */
static void
learn_wanted(Work *work)
{
  guint n = work->wanted->len;
  const FaultPair *pairs = (const FaultPair *)(gpointer)work->wanted->data;
  g_autofree Phasor *ohms = g_new(Phasor, MAX(n, 1));
  fault_study_impedances(work->study, pairs, n, ohms);
  for (guint i = 0; i < n; i++)
    learn(work, pairs[i].a, pairs[i].b, ohms[i]);
  g_clear_pointer(&work->wanted, g_array_unref);
}

static double
amps_between(Work *work, guint a, guint b)
{
  return short_between(work, a, b).amps;
}

static bool
is_live(const Work *work, guint node)
{
  Reading reading = solution_to_earth(work->solution, node);
  if (island(work, node) == island(work, 0))
    return cabs(reading.volts) > STANDS_AWAY;
  return g_array_index(work->solution->islands, Island, island(work, node)).live;
}

static TerminalRole
role_of(const Work *work, guint node)
{
  NodePlace place = work->circuit->places[node];
  return device_terminal(document_device(work->circuit->document, place.device), place.terminal)
      ->role;
}

static bool
is_ground(TerminalRole role)
{
  return role == TERMINAL_EARTH || role == TERMINAL_FRAME;
}

/* A primary and a secondary, or a coil and a contact, may share earth; a short between them is
 * nobody's line to line. */
static bool
same_feed(const Work *work, guint a, guint b)
{
  TerminalRole role_a = role_of(work, a), role_b = role_of(work, b);
  if ((role_a == TERMINAL_PRIMARY && role_b == TERMINAL_SECONDARY) ||
      (role_b == TERMINAL_PRIMARY && role_a == TERMINAL_SECONDARY))
    return false;
  return island(work, a) == island(work, b) &&
         (net(work, b) == net(work, 0) ||
          work->supplied[net(work, a)] == work->supplied[net(work, b)]);
}

/* The other terminal of the device with the largest current; a neutral only where no other line
 * is. */
static guint
find_across(Work *work, guint node, guint first, guint n, double *most)
{
  guint best = NONE;
  *most = MISSING;
  for (int neutrals = 0; neutrals < 2 && best == NONE; neutrals++)
    for (guint other = first; other < first + n; other++) {
      TerminalRole role = role_of(work, other);
      if (is_ground(role) || (role == TERMINAL_NEUTRAL) != (neutrals == 1) ||
          !same_feed(work, node, other) || net(work, other) == net(work, node))
        continue;
      double amps = amps_between(work, node, other);
      if (isnan(amps) || (best != NONE && amps <= *most))
        continue;
      best = other;
      *most = amps;
    }
  return best;
}

/* The three lines of a device that has just three; false otherwise. */
static bool
three_lines(const Work *work, guint first, guint n, guint lines[3])
{
  guint found = 0;
  for (guint node = first; node < first + n; node++) {
    TerminalRole role = role_of(work, node);
    if (is_ground(role) || role == TERMINAL_NEUTRAL || !is_live(work, node))
      continue;
    bool listed = false;
    for (guint k = 0; k < found; k++)
      listed |= net(work, lines[k]) == net(work, node);
    if (listed)
      continue;
    if (found == 3 || (found > 0 && island(work, lines[0]) != island(work, node)))
      return false;
    lines[found++] = node;
  }
  return found == 3;
}

/* Three lines together: two loops of the network seen from the lines, by its driving-point
 * impedances. */
static double
three_phase_amps(Work *work, const guint lines[3])
{
  Phasor ac = short_between(work, lines[0], lines[2]).z;
  Phasor bc = short_between(work, lines[1], lines[2]).z;
  Phasor ab = short_between(work, lines[0], lines[1]).z;
  Phasor shared = (ac + bc - ab) / 2, determinant = ac * bc - shared * shared;
  if (cabs(ac) < IDEAL_OHMS || cabs(bc) < IDEAL_OHMS || cabs(ab) < IDEAL_OHMS || determinant == 0)
    return HUGE_VAL;
  Phasor v_a = fault_study_volts(work->study, lines[0], lines[2]);
  Phasor v_b = fault_study_volts(work->study, lines[1], lines[2]);
  Phasor i_a = (bc * v_a - shared * v_b) / determinant;
  Phasor i_b = (ac * v_b - shared * v_a) / determinant;
  return fmax(cabs(i_a + i_b), fmax(cabs(i_a), cabs(i_b)));
}

static double
x_over_r(Work *work, guint a, guint b)
{
  Phasor z = short_between(work, a, b).z;
  return cabs(z) > IDEAL_OHMS && creal(z) > 1e-6 * cabs(z) ? cimag(z) / creal(z) : MISSING;
}

static void
add_row(Work *work, guint node, guint first, guint n, double three_phase, GArray *rows)
{
  FaultRow row = {.node = node,
                  .name = circuit_node_name(work->circuit, node),
                  .secondary = !work->supplied[net(work, node)],
                  .three_phase = three_phase,
                  .line_ground = amps_between(work, node, 0)};
  guint across = find_across(work, node, first, n, &row.line_line);
  guint other = across != NONE ? across : 0;
  if (across != NONE)
    row.across = circuit_node_name(work->circuit, across);
  row.volts = cabs(fault_study_volts(work->study, node, other));
  row.x_over_r = x_over_r(work, node, other);
  if (across == NONE && isnan(row.line_ground)) {
    g_free(row.name); /* nothing it could be shorted to */
    return;
  }
  g_array_append_val(rows, row);
}

static void
add_device(Work *work, guint device, GArray *rows)
{
  guint first = circuit_node(work->circuit, device, 0), lines[3] = {NONE, NONE, NONE};
  guint n = device_terminal_count(document_device(work->circuit->document, device));
  if (n == 0)
    return;
  bool three = three_lines(work, first, n, lines);
  double amps = three ? three_phase_amps(work, lines) : MISSING;
  for (guint node = first; node < first + n; node++)
    if (is_live(work, node) && !is_ground(role_of(work, node)))
      add_row(work, node, first, n, amps, rows);
}

static void
add_devices(Work *work, GArray *rows)
{
  for (guint device = 0; device < document_device_count(work->circuit->document); device++)
    add_device(work, device, rows);
}

static void
row_clear(gpointer data)
{
  FaultRow *row = data;
  g_free(row->name);
  g_free(row->across);
}

/* Joins two nets unless one of them is earth: a grounded secondary and a grounded supply meet there
 * and still are two systems. */
static void
unite(const Work *work, guint *parent, guint a, guint b)
{
  if (net(work, a) != net(work, 0) && net(work, b) != net(work, 0))
    union_join(parent, net(work, a), net(work, b));
}

/* Per net: a supply's line reaches it through wiring or windings in series. */
static void
find_supplied(Work *work)
{
  CircuitView view = view_of(work->circuit, true);
  guint n = work->solution->n_nets;
  g_autofree guint *parent = union_singletons(n);
  work->supplied = g_new0(bool, MAX(n, 1));
  for (guint i = 0; i < view.n_impedances; i++)
    if (view.impedances[i].role == IMPEDANCE_CONDUCTOR)
      unite(work, parent, view.impedances[i].a, view.impedances[i].b);
  for (guint i = 0; i < view.n_segments; i++)
    unite(work, parent, view.segments[i].a, view.segments[i].b);
  for (guint i = 0; i < view.n_sources; i++)
    unite(work, parent, view.sources[i].a, view.sources[i].b);
  for (guint i = 0; i < view.n_sources; i++) {
    guint ends[2] = {view.sources[i].a, view.sources[i].b};
    for (int k = 0; k < 2; k++)
      if (net(work, ends[k]) != net(work, 0))
        work->supplied[union_find(parent, net(work, ends[k]))] = true;
  }
  for (guint i = 0; i < n; i++)
    work->supplied[i] = work->supplied[union_find(parent, i)];
}

GArray *
fault_table_new(const Circuit *circuit, const Solution *solution, GError **error)
{
  GArray *rows = g_array_new(FALSE, TRUE, sizeof(FaultRow));
  g_array_set_clear_func(rows, row_clear);
  if (circuit->document == NULL)
    return rows;
  Work work = {
      .circuit = circuit, .solution = solution, .study = fault_study_new(circuit, solution, error)};
  if (work.study == NULL) {
    g_array_unref(rows);
    return NULL;
  }
  work.known = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, g_free);
  find_supplied(&work);
  work.wanted = g_array_new(FALSE, FALSE, sizeof(FaultPair));
  add_devices(&work, rows);
  learn_wanted(&work);
  g_array_set_size(rows, 0);
  add_devices(&work, rows);
  g_hash_table_unref(work.known);
  g_free(work.supplied);
  fault_study_free(work.study);
  return rows;
}
