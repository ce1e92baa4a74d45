/* SPDX-License-Identifier: MIT */
#include "network_private.h"
#include "rig.h"

#include <math.h>
#include <string.h>

#define NETWORK_ERROR g_quark_from_static_string("network")

bool
network_complain(GError **error, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  if (error != NULL && *error == NULL)
    *error = g_error_new_valist(NETWORK_ERROR, 0, format, arguments);
  va_end(arguments);
  return false;
}

Circuit *
network_circuit(Network *network)
{
  return network->circuit;
}

static guint
node_named(Network *network, const char *name)
{
  if (strcmp(name, "0") == 0)
    return 0;
  gpointer found = g_hash_table_lookup(network->nodes, name);
  if (found != NULL)
    return GPOINTER_TO_UINT(found);
  guint index = g_hash_table_size(network->nodes) + 1;
  g_hash_table_insert(network->nodes, g_strdup(name), GUINT_TO_POINTER(index));
  return index;
}

/* ---- rows to circuit ------------------------------------------------------------------------- */

typedef struct {
  const char *kind, *name;
  guint nodes[64], n_nodes;
  double values[4096];
  guint n_values;
} Row;

static Phasor
pair(const Row *row, guint at)
{
  return CMPLX(row->values[at], row->values[at + 1]);
}

static guint
core_named(Network *network, const char *name)
{
  gpointer found = g_hash_table_lookup(network->cores, name);
  if (found != NULL)
    return GPOINTER_TO_UINT(found) - 1;
  guint index = rig_core(network->circuit, 0, 0);
  g_hash_table_insert(network->cores, g_strdup(name), GUINT_TO_POINTER(index + 1));
  return index;
}

static Element
add_line(Circuit *circuit, const Row *row)
{
  guint m = row->n_nodes / 2, at = 0;
  Element element = {.kind = ELEMENT_IMPEDANCE, .index = circuit->impedances->len, .count = m};
  for (guint i = 0; i < m; i++)
    rig_impedance(circuit, row->nodes[i], row->nodes[m + i], 0);
  for (guint i = 0; i < m; i++)
    for (guint k = 0; k <= i; k++, at += 2) {
      Coupling coupling = {
          .first = element.index + i, .second = element.index + k, .z = pair(row, at)};
      if (i == k)
        circuit_item(circuit->impedances, Impedance, element.index + i)->z = coupling.z;
      else if (coupling.z != 0)
        g_array_append_val(circuit->couplings, coupling);
    }
  return element;
}

static Element
add_winding(Network *network, const Row *row)
{
  const char *colon = strchr(row->name, ':');
  g_autofree char *core =
      colon != NULL ? g_strndup(row->name, (gsize)(colon - row->name)) : g_strdup(row->name);
  guint index = core_named(network, core);
  return (Element){.kind = ELEMENT_SEGMENT,
                   .index = rig_segment(network->circuit, index, row->nodes[0], row->nodes[1],
                                        row->values[0], pair(row, 1))};
}

static Element
add_core(Network *network, const Row *row)
{
  Core *core = circuit_item(network->circuit->cores, Core, core_named(network, row->name));
  double volts2 = row->values[0] * row->values[0];
  core->excitation_conductance = row->values[1] * volts2;
  core->excitation_susceptance = -row->values[2] * volts2;
  return (Element){.kind = ELEMENT_NONE};
}

static Element
add_delta(Circuit *circuit, const Row *row)
{
  DeltaLoad delta = {.a = row->nodes[0], .b = row->nodes[1], .c = row->nodes[2]};
  for (guint i = 0; i < 9; i++)
    delta.y[i / 3][i % 3] = pair(row, 2 * i);
  g_array_append_val(circuit->deltas, delta);
  return (Element){.kind = ELEMENT_DELTA, .index = circuit->deltas->len - 1, .count = 3};
}

static Element
add_load(Circuit *circuit, const Row *row, LoadBehaviour behaviour)
{
  double volts = row->values[2];
  return (Element){.kind = ELEMENT_LOAD,
                   .index = rig_load(circuit, row->nodes[0], row->nodes[1], behaviour, pair(row, 0),
                                     volts, 0.01 * volts, 0)};
}

static Element
add_impedance(Circuit *circuit, const Row *row, bool admittance)
{
  Phasor z = pair(row, 0);
  if (admittance && z == 0)
    return (Element){.kind = ELEMENT_NONE};
  return (Element){
      .kind = ELEMENT_IMPEDANCE,
      .index = rig_impedance(circuit, row->nodes[0], row->nodes[1], admittance ? 1 / z : z)};
}

/* What each kind needs: least number of nodes and of values; a line's are checked by its size. */
static const struct {
  const char *kind;
  guint nodes, values;
} kinds[] = {{"vsrc", 2, 2},  {"tie", 2, 0},  {"zline", 2, 2},  {"imp", 2, 2},
             {"zload", 2, 2}, {"adm", 2, 2},  {"pload", 2, 3},  {"iload", 2, 3},
             {"wind", 2, 3},  {"core", 0, 3}, {"ydelta", 3, 18}};

static bool
row_is_complete(const Row *row, GError **error)
{
  for (gsize i = 0; i < G_N_ELEMENTS(kinds); i++)
    if (strcmp(row->kind, kinds[i].kind) == 0) {
      guint m = row->n_nodes / 2;
      bool line = strcmp(row->kind, "zline") == 0;
      if (row->n_nodes < kinds[i].nodes || row->n_values < kinds[i].values ||
          (line && (row->n_nodes % 2 != 0 || row->n_values < m * (m + 1))))
        return network_complain(error, "%s %s lacks nodes or values", row->kind, row->name);
      return true;
    }
  return network_complain(error, "unknown kind \"%s\" (%s)", row->kind, row->name);
}

static Element
add_element(Network *network, const Row *row)
{
  Circuit *circuit = network->circuit;
  const char *kind = row->kind;
  if (strcmp(kind, "vsrc") == 0)
    return (Element){.kind = ELEMENT_SOURCE,
                     .index = rig_source(circuit, row->nodes[0], row->nodes[1],
                                         rig_polar(row->values[0], row->values[1]), 0)};
  if (strcmp(kind, "tie") == 0)
    return (Element){.kind = ELEMENT_JOIN,
                     .index = rig_join(circuit, row->nodes[0], row->nodes[1], true)};
  if (strcmp(kind, "zline") == 0)
    return add_line(circuit, row);
  if (strcmp(kind, "wind") == 0)
    return add_winding(network, row);
  if (strcmp(kind, "core") == 0)
    return add_core(network, row);
  if (strcmp(kind, "ydelta") == 0)
    return add_delta(circuit, row);
  if (strcmp(kind, "pload") == 0)
    return add_load(circuit, row, LOAD_CONSTANT_POWER);
  if (strcmp(kind, "iload") == 0)
    return add_load(circuit, row, LOAD_CONSTANT_CURRENT);
  return add_impedance(circuit, row, strcmp(kind, "adm") == 0);
}

static bool
read_row(Network *network, const Table *data, guint at, Row *row, GError **error)
{
  row->kind = table_get(data, at, "kind");
  row->name = table_get(data, at, "name");
  row->n_nodes = row->n_values = 0;
  g_auto(GStrv) nodes = g_strsplit(table_get(data, at, "nodes"), ";", -1);
  for (guint i = 0; nodes[i] != NULL && row->n_nodes < G_N_ELEMENTS(row->nodes); i++)
    if (*g_strstrip(nodes[i]) != '\0')
      row->nodes[row->n_nodes++] = node_named(network, nodes[i]);
  g_auto(GStrv) values = g_strsplit(table_get(data, at, "values"), ";", -1);
  for (guint i = 0; values[i] != NULL && row->n_values < G_N_ELEMENTS(row->values); i++) {
    char *end = NULL;
    if (*g_strstrip(values[i]) == '\0')
      continue;
    row->values[row->n_values++] = g_ascii_strtod(values[i], &end);
    if (*end != '\0')
      return network_complain(error, "%s: \"%s\" is no number", row->name, values[i]);
  }
  return row_is_complete(row, error);
}

Network *
network_new(const Table *data, const char *case_name, GError **error)
{
  g_autoptr(Network) network = g_new0(Network, 1);
  g_autofree Row *row = g_new0(Row, 1);
  network->circuit = circuit_new_bare(1);
  network->nodes = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  network->elements = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  network->cores = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < table_length(data); i++) {
    if (strcmp(table_get(data, i, "case"), case_name) != 0)
      continue;
    if (!read_row(network, data, i, row, error))
      return NULL;
    Element element = add_element(network, row);
    element.count = MAX(element.count, 1);
    element.a = row->n_nodes > 0 ? row->nodes[0] : 0;
    element.b = row->n_nodes > 1
                    ? row->nodes[element.count > 1 && row->n_nodes % 2 == 0 ? row->n_nodes / 2 : 1]
                    : 0;
    if (strcmp(row->kind, "core") != 0)
      g_hash_table_insert(network->elements, g_strdup(row->name),
                          g_memdup2(&element, sizeof element));
  }
  network->circuit->n_nodes = g_hash_table_size(network->nodes) + 1;
  return g_steal_pointer(&network);
}

void
network_free(Network *network)
{
  if (network == NULL)
    return;
  circuit_free(network->circuit);
  g_hash_table_unref(network->nodes);
  g_hash_table_unref(network->elements);
  g_hash_table_unref(network->cores);
  g_free(network);
}
