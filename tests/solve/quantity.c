/* SPDX-License-Identifier: MIT */
/* Quantities of a solved network by the names of its rows. */
#include "network_private.h"

#include <math.h>
#include <string.h>

static bool
find_node(const Network *network, const char *name, guint *node, GError **error)
{
  gpointer found = g_hash_table_lookup(network->nodes, name);
  *node = GPOINTER_TO_UINT(found);
  return found != NULL || strcmp(name, "0") == 0 || network_complain(error, "no node \"%s\"", name);
}

/* "-name#2": the element, the conductor (from 0) and the sign. */
static const Element *
find_element(const Network *network, const char *spec, guint *conductor, double *sign,
             GError **error)
{
  g_autofree char *text = g_strstrip(g_strdup(spec));
  char *name = text;
  *sign = *name == '-' ? -1 : 1;
  if (*name == '-' || *name == '+')
    name++;
  *conductor = 0;
  const Element *element = g_hash_table_lookup(network->elements, name);
  char *hash = strrchr(name, '#');
  if (element == NULL && hash != NULL) {
    *hash = '\0';
    element = g_hash_table_lookup(network->elements, name);
    guint64 number = g_ascii_strtoull(hash + 1, NULL, 10);
    if (element != NULL && (number < 1 || number > element->count))
      network_complain(error, "no conductor %s of %s", hash + 1, name);
    *conductor = (guint)number - 1;
  }
  if (element == NULL || *conductor >= element->count) {
    network_complain(error, "no element \"%s\"", spec);
    return NULL;
  }
  return element;
}

static Phasor
element_amps(const Solution *s, const Element *element, guint conductor)
{
  guint index = element->index + conductor;
  switch (element->kind) {
  case ELEMENT_SOURCE:
    return -s->source_amps[index];
  case ELEMENT_JOIN:
    return s->join_amps[index];
  case ELEMENT_IMPEDANCE:
    return s->impedance_amps[index];
  case ELEMENT_LOAD:
    return s->load_amps[index];
  case ELEMENT_SEGMENT:
    return s->segment_amps[index];
  case ELEMENT_DELTA:
    return s->delta_amps[3 * element->index + conductor];
  case ELEMENT_NONE:
    break;
  }
  return 0;
}

static bool
sum_of_currents(const Network *network, const Solution *s, const char *spec, Phasor *value,
                GError **error)
{
  g_auto(GStrv) items = g_strsplit(spec, ";", -1);
  *value = 0;
  for (guint i = 0; items[i] != NULL; i++) {
    guint conductor;
    double sign;
    const Element *element = find_element(network, items[i], &conductor, &sign, error);
    if (element == NULL)
      return false;
    *value += sign * element_amps(s, element, conductor);
  }
  return true;
}

static bool
voltage_between(const Network *network, const Solution *s, const char *spec, Phasor *value,
                GError **error)
{
  g_auto(GStrv) names = g_strsplit(spec, ";", -1);
  guint a = 0, b = 0;
  if (names[0] == NULL || !find_node(network, g_strstrip(names[0]), &a, error) ||
      (names[1] != NULL && !find_node(network, g_strstrip(names[1]), &b, error)))
    return network_complain(error, "voltage \"%s\" needs two nodes", spec);
  *value = solution_reading(s, a, b).volts;
  return true;
}

static Phasor
node_volts(const Solution *s, guint a, guint b)
{
  return solution_reading(s, a, b).volts;
}

/* Ends of one conductor of an element. */
static void
ends_of(const Network *network, const Element *element, guint conductor, guint *a, guint *b)
{
  *a = element->a;
  *b = element->b;
  if (element->kind == ELEMENT_IMPEDANCE) {
    const Impedance *impedance =
        circuit_item(network->circuit->impedances, Impedance, element->index + conductor);
    *a = impedance->a;
    *b = impedance->b;
  }
}

static bool
drop_along(const Network *network, const Solution *s, const char *spec, Phasor *value,
           GError **error)
{
  g_auto(GStrv) items = g_strsplit(spec, ";", -1);
  *value = 0;
  for (guint i = 0; items[i] != NULL; i++) {
    guint conductor, a, b;
    double sign;
    const Element *element = find_element(network, items[i], &conductor, &sign, error);
    if (element == NULL)
      return false;
    ends_of(network, element, conductor, &a, &b);
    *value += sign * node_volts(s, a, b);
  }
  return true;
}

static bool
ideal_volts(const Network *network, const Solution *s, const char *spec, Phasor *value,
            GError **error)
{
  guint conductor;
  double sign;
  const Element *element = find_element(network, spec, &conductor, &sign, error);
  if (element == NULL)
    return false;
  if (element->kind != ELEMENT_SEGMENT)
    return network_complain(error, "\"%s\" is no winding", spec);
  const Segment *segment = circuit_item(network->circuit->segments, Segment, element->index);
  *value = sign * segment->turns * s->core_flux[segment->core];
  return true;
}

/* Power into one named element: its volts to the first node's partner, all its conductors. */
static bool
power_of_element(const Network *network, const Solution *s, const char *item, Phasor *value,
                 GError **error)
{
  guint conductor;
  double sign;
  const Element *element = find_element(network, item, &conductor, &sign, error);
  if (element == NULL)
    return false;
  if (element->kind == ELEMENT_DELTA) {
    const DeltaLoad *delta = circuit_item(network->circuit->deltas, DeltaLoad, element->index);
    guint nodes[3] = {delta->a, delta->b, delta->c};
    for (guint k = 0; k < 3; k++)
      *value += sign * node_volts(s, nodes[k], delta->c) * conj(element_amps(s, element, k));
    return true;
  }
  bool all = strchr(item, '#') == NULL;
  for (guint k = all ? 0 : conductor; k < (all ? element->count : conductor + 1); k++) {
    guint a, b;
    ends_of(network, element, k, &a, &b);
    *value += sign * node_volts(s, a, b) * conj(element_amps(s, element, k));
  }
  return true;
}

static bool
power_of(const Network *network, const Solution *s, const char *spec, Phasor *value, GError **error)
{
  const char *at = strchr(spec, '@');
  *value = 0;
  if (at != NULL) {
    g_autofree char *nodes = g_strndup(spec, (gsize)(at - spec));
    Phasor volts, amps;
    if (!voltage_between(network, s, nodes, &volts, error) ||
        !sum_of_currents(network, s, at + 1, &amps, error))
      return false;
    *value = volts * conj(amps);
    return true;
  }
  g_auto(GStrv) items = g_strsplit(spec, ";", -1);
  for (guint i = 0; items[i] != NULL; i++)
    if (!power_of_element(network, s, items[i], value, error))
      return false;
  return true;
}

/* NEMA MG 1: largest departure from the mean over the mean, per cent. */
static double
unbalance(const double *size)
{
  double mean = (size[0] + size[1] + size[2]) / 3, worst = 0;
  for (int i = 0; i < 3; i++)
    worst = fmax(worst, fabs(size[i] - mean));
  return mean > 0 ? 100 * worst / mean : 0;
}

/* Three nodes a;b;c mean ab, bc, ca; six are three pairs; | may part the pairs. */
static bool
voltage_unbalance(const Network *network, const Solution *s, const char *spec, Phasor *value,
                  GError **error)
{
  g_auto(GStrv) names = g_strsplit_set(spec, ";|", -1);
  guint n = g_strv_length(names), nodes[6] = {0};
  double size[3];
  if (n != 3 && n != 6)
    return network_complain(error, "\"%s\": three nodes or three pairs", spec);
  for (guint i = 0; i < n; i++)
    if (!find_node(network, g_strstrip(names[i]), &nodes[i], error))
      return false;
  for (guint i = 0; i < 3; i++)
    size[i] = n == 3 ? cabs(node_volts(s, nodes[i], nodes[(i + 1) % 3]))
                     : cabs(node_volts(s, nodes[2 * i], nodes[2 * i + 1]));
  *value = unbalance(size);
  return true;
}

static bool
current_unbalance(const Network *network, const Solution *s, const char *spec, Phasor *value,
                  GError **error)
{
  g_auto(GStrv) items = g_strsplit(spec, strchr(spec, '|') != NULL ? "|" : ";", -1);
  double size[3];
  if (g_strv_length(items) != 3)
    return network_complain(error, "\"%s\": three currents", spec);
  for (guint i = 0; i < 3; i++) {
    Phasor amps;
    if (!sum_of_currents(network, s, items[i], &amps, error))
      return false;
    size[i] = cabs(amps);
  }
  *value = unbalance(size);
  return true;
}

bool
network_quantity(const Network *network, const Solution *solution, const char *type,
                 const char *spec, Phasor *value, GError **error)
{
  static const struct {
    const char *type;
    bool (*find)(const Network *, const Solution *, const char *, Phasor *, GError **);
  } types[] = {{"V", voltage_between},    {"E", ideal_volts},       {"D", drop_along},
               {"I", sum_of_currents},    {"S", power_of},          {"SP", power_of},
               {"NV", voltage_unbalance}, {"NI", current_unbalance}};
  for (gsize i = 0; i < G_N_ELEMENTS(types); i++)
    if (strcmp(types[i].type, type) == 0)
      return types[i].find(network, solution, spec, value, error);
  return network_complain(error, "unknown type \"%s\"", type);
}
