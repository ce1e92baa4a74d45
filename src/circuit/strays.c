/* SPDX-License-Identifier: MIT */
#include "circuit/strays.h"

#include <math.h>

/* Farads for each metre (from memory: 50 to 150 pF to metal beside it, about as much between the
 * conductors of a cable). */
#define TO_EARTH 100e-12
#define BETWEEN 60e-12

/* The conductor that landed last on a device. */
typedef struct {
  guint node;
  double metres; /* 0: none yet */
} Neighbour;

static double
length_of(const Conductor *conductor)
{
  const Value *length = &conductor->values[CONDUCTOR_LENGTH];
  double metres = length->has_value ? quantity_in(length->low, UNIT_METRE) : 0;
  return isfinite(metres) && metres > 0 ? metres : 0;
}

static void
add(Circuit *circuit, guint a, guint b, double farads, guint conductor)
{
  if (a == b)
    return;
  Stray stray = {
      .a = a, .b = b, .farads = farads, .owner = {.kind = OWNER_CONDUCTOR, .index = conductor}};
  g_array_append_val(circuit->strays, stray);
}

/* Half of the conductor's capacitance belongs to each end, so that a broken one keeps both. */
static void
add_end(Circuit *circuit, Neighbour *neighbours, guint node, double metres, guint conductor)
{
  add(circuit, node, 0, TO_EARTH * metres / 2, conductor);
  guint device = circuit->places[node].device;
  if (device == G_MAXUINT)
    return;
  Neighbour *before = &neighbours[device];
  if (before->metres > 0)
    add(circuit, node, before->node, BETWEEN * MIN(metres, before->metres) / 2, conductor);
  *before = (Neighbour){.node = node, .metres = metres};
}

void
strays_of_conductors(Circuit *circuit)
{
  const Document *document = circuit->document;
  g_autofree Neighbour *neighbours = g_new0(Neighbour, document_device_count(document) + 1);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    double metres = length_of(conductor);
    if (metres <= 0)
      continue;
    guint a = circuit_node_of_landing(circuit, &conductor->from);
    guint b = circuit_node_of_landing(circuit, &conductor->to);
    if (a == G_MAXUINT || b == G_MAXUINT)
      continue;
    add_end(circuit, neighbours, a, metres, i);
    add_end(circuit, neighbours, b, metres, i);
  }
}
