/* SPDX-License-Identifier: MIT */
#include "random_network.h"

guint
random_device_count(const Circuit *c)
{
  return c->joins->len + c->impedances->len + c->sources->len + c->loads->len + c->cores->len +
         c->coils->len + c->motors->len + c->deltas->len;
}

static void
copy_items(GArray *to, const GArray *from)
{
  if (from->len > 0)
    g_array_append_vals(to, from->data, from->len);
}

Circuit *
random_copy(const Circuit *circuit)
{
  Circuit *copy = circuit_new_bare(circuit->n_nodes);
  copy->options = circuit->options;
  copy_items(copy->joins, circuit->joins);
  copy_items(copy->impedances, circuit->impedances);
  copy_items(copy->sources, circuit->sources);
  copy_items(copy->loads, circuit->loads);
  copy_items(copy->cores, circuit->cores);
  copy_items(copy->segments, circuit->segments);
  copy_items(copy->coils, circuit->coils);
  copy_items(copy->motors, circuit->motors);
  copy_items(copy->couplings, circuit->couplings);
  copy_items(copy->deltas, circuit->deltas);
  return copy;
}

static void
turn_round(GArray *array)
{
  gsize size = g_array_get_element_size(array);
  for (guint i = 0, j = array->len; i + 1 < j; i++) {
    j--;
    char *first = array->data + i * size, *last = array->data + j * size;
    for (gsize k = 0; k < size; k++) {
      char keep = first[k];
      first[k] = last[k];
      last[k] = keep;
    }
  }
}

#define RENUMBER(array, Type)                                                                      \
  for (guint i = 0; i < copy->array->len; i++) {                                                   \
    Type *item = circuit_item(copy->array, Type, i);                                               \
    item->a = node_of[item->a];                                                                    \
    item->b = node_of[item->b];                                                                    \
  }                                                                                                \
  turn_round(copy->array)
#define RENUMBER_THREE(array, Type)                                                                \
  for (guint i = 0; i < copy->array->len; i++)                                                     \
    circuit_item(copy->array, Type, i)->c = node_of[circuit_item(copy->array, Type, i)->c];        \
  RENUMBER(array, Type)

Circuit *
random_renumbered(const Circuit *circuit, GRand *random, guint *node_of)
{
  Circuit *copy = random_copy(circuit);
  guint n = circuit->n_nodes;
  for (guint i = 0; i < n; i++)
    node_of[i] = i;
  for (guint i = n - 1; i > 1; i--) {
    guint j = (guint)g_rand_int_range(random, 1, (gint)i + 1), keep = node_of[i];
    node_of[i] = node_of[j];
    node_of[j] = keep;
  }
  guint impedances = copy->impedances->len, cores = copy->cores->len;
  for (guint i = 0; i < copy->couplings->len; i++) {
    Coupling *coupling = circuit_item(copy->couplings, Coupling, i);
    coupling->first = impedances - 1 - coupling->first;
    coupling->second = impedances - 1 - coupling->second;
  }
  for (guint i = 0; i < copy->segments->len; i++)
    circuit_item(copy->segments, Segment, i)->core =
        cores - 1 - circuit_item(copy->segments, Segment, i)->core;
  turn_round(copy->cores);
  RENUMBER(joins, Join);
  RENUMBER(impedances, Impedance);
  RENUMBER(sources, Source);
  RENUMBER(loads, Load);
  RENUMBER(segments, Segment);
  RENUMBER(coils, Coil);
  RENUMBER_THREE(motors, Motor);
  RENUMBER_THREE(deltas, DeltaLoad);
  return copy;
}
