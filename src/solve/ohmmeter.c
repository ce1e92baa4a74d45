/* SPDX-License-Identifier: MIT */
/* The network of conductances is a weighted graph; its nets are the nodes that joins make one. In
 * each component one net is the reference and its row is left out, which makes the rest (the
 * grounded Laplacian) symmetric, diagonally dominant and regular. With a unit current in at a and
 * out at b the volts between them are the ohms (textbook result). */
#include "solve/ohmmeter.h"

#include "base/language.h"

#include "solve/internal.h"
#include "solve/meter.h"

#include <math.h>

struct Ohmmeter {
  const Circuit *circuit;
  const Solution *solution;
  guint n_nodes;
  guint *net;       /* node -> its first node by joins */
  guint *component; /* net -> the component's reference net */
  guint *row;       /* net -> row, G_MAXUINT: a reference */
  int n;
  int *ap, *ai;
  double *ax, *x;
  klu_common common;
  klu_symbolic *symbolic;
  klu_numeric *numeric;
};

static void
find_nets(Ohmmeter *meter, const Circuit *network)
{
  meter->n_nodes = network->n_nodes;
  meter->net = union_singletons(meter->n_nodes);
  for (guint i = 0; i < network->joins->len; i++) {
    const Join *join = circuit_item(network->joins, Join, i);
    union_join(meter->net, join->a, join->b);
  }
  union_flatten(meter->net, meter->n_nodes);
  meter->component = g_memdup2(meter->net, meter->n_nodes * sizeof *meter->net);
  for (guint i = 0; i < network->impedances->len; i++) {
    const Impedance *impedance = circuit_item(network->impedances, Impedance, i);
    union_join(meter->component, meter->net[impedance->a], meter->net[impedance->b]);
  }
  union_flatten(meter->component, meter->n_nodes);
  meter->row = g_new(guint, meter->n_nodes);
  for (guint i = 0; i < meter->n_nodes; i++) {
    bool unknown = meter->net[i] == i && meter->component[i] != i;
    meter->row[i] = unknown ? (guint)meter->n++ : G_MAXUINT;
  }
}

typedef struct {
  int column, row;
  double value;
} Entry;

static int
compare_entries(gconstpointer a, gconstpointer b)
{
  const Entry *one = a, *two = b;
  return one->column != two->column ? (one->column > two->column) - (one->column < two->column)
                                    : (one->row > two->row) - (one->row < two->row);
}

static void
add_entry(GArray *entries, guint row, guint column, double value)
{
  Entry entry = {(int)column, (int)row, value};
  if (row != G_MAXUINT && column != G_MAXUINT)
    g_array_append_val(entries, entry);
}

static GArray *
entries_new(const Ohmmeter *meter, const Circuit *network)
{
  GArray *entries = g_array_new(FALSE, FALSE, sizeof(Entry));
  for (guint i = 0; i < network->impedances->len; i++) {
    const Impedance *impedance = circuit_item(network->impedances, Impedance, i);
    guint a = meter->net[impedance->a], b = meter->net[impedance->b];
    double siemens = 1 / creal(impedance->z);
    if (a == b)
      continue;
    add_entry(entries, meter->row[a], meter->row[a], siemens);
    add_entry(entries, meter->row[b], meter->row[b], siemens);
    add_entry(entries, meter->row[a], meter->row[b], -siemens);
    add_entry(entries, meter->row[b], meter->row[a], -siemens);
  }
  g_array_sort(entries, compare_entries);
  return entries;
}

/* By columns, equal places added up. */
static void
fill(Ohmmeter *meter, const GArray *entries)
{
  int count = 0, column = -1;
  meter->ap = g_new0(int, meter->n + 1);
  meter->ai = g_new(int, entries->len + 1);
  meter->ax = g_new(double, entries->len + 1);
  for (guint i = 0; i < entries->len; i++) {
    const Entry *entry = &g_array_index(entries, Entry, i);
    if (count > 0 && entry->column == column && meter->ai[count - 1] == entry->row) {
      meter->ax[count - 1] += entry->value;
      continue;
    }
    for (; column < entry->column; column++)
      meter->ap[column + 1] = count;
    meter->ai[count] = entry->row;
    meter->ax[count++] = entry->value;
  }
  for (; column < meter->n; column++)
    meter->ap[column + 1] = count;
}

static bool
factor(Ohmmeter *meter)
{
  klu_defaults(&meter->common);
  meter->x = g_new0(double, MAX(meter->n, 1));
  if (meter->n == 0)
    return true;
  meter->symbolic = klu_analyze(meter->n, meter->ap, meter->ai, &meter->common);
  if (meter->symbolic == NULL)
    return false;
  meter->numeric = klu_factor(meter->ap, meter->ai, meter->ax, meter->symbolic, &meter->common);
  return meter->numeric != NULL;
}

Ohmmeter *
ohmmeter_new(const Circuit *circuit, const Solution *solution, GError **error)
{
  g_autoptr(Ohmmeter) meter = g_new0(Ohmmeter, 1);
  g_autoptr(Circuit) network = meter_network_new(circuit, solution, true);
  meter->circuit = circuit;
  meter->solution = solution;
  find_nets(meter, network);
  g_autoptr(GArray) entries = entries_new(meter, network);
  fill(meter, entries);
  if (factor(meter))
    return g_steal_pointer(&meter);
  g_set_error(error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
              _("the network of resistances is singular"));
  return NULL;
}

void
ohmmeter_free(Ohmmeter *meter)
{
  if (meter == NULL)
    return;
  if (meter->numeric != NULL)
    klu_free_numeric(&meter->numeric, &meter->common);
  if (meter->symbolic != NULL)
    klu_free_symbolic(&meter->symbolic, &meter->common);
  g_free(meter->net);
  g_free(meter->component);
  g_free(meter->row);
  g_free(meter->ap);
  g_free(meter->ai);
  g_free(meter->ax);
  g_free(meter->x);
  g_free(meter);
}

bool
ohmmeter_allowed(const Ohmmeter *meter, guint a, guint b)
{
  return !meter_node_is_live(meter->solution, a) && !meter_node_is_live(meter->solution, b);
}

double
ohmmeter_read(Ohmmeter *meter, guint a, guint b)
{
  guint one = meter->net[a], two = meter->net[b];
  if (one == two)
    return 0;
  if (meter->component[one] != meter->component[two])
    return INFINITY;
  guint in = meter->row[one], out = meter->row[two];
  for (int i = 0; i < meter->n; i++)
    meter->x[i] = 0;
  if (in != G_MAXUINT)
    meter->x[in] = 1;
  if (out != G_MAXUINT)
    meter->x[out] = -1;
  klu_solve(meter->symbolic, meter->numeric, meter->n, 1, meter->x, &meter->common);
  double ohms = (in != G_MAXUINT ? meter->x[in] : 0) - (out != G_MAXUINT ? meter->x[out] : 0);
  return ohms > METER_OPEN_OHMS ? (double)INFINITY : MAX(ohms, 0);
}
