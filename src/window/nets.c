/* SPDX-License-Identifier: MIT */
#include "window/nets.h"

guint
nets_of(Nets *nets, guint node)
{
  while (nets->parents[node] != node) {
    nets->parents[node] = nets->parents[nets->parents[node]];
    node = nets->parents[node];
  }
  return node;
}

static void
join_nodes(Nets *nets, guint a, guint b)
{
  nets->parents[nets_of(nets, a)] = nets_of(nets, b);
}

void
nets_init(Nets *nets, const Circuit *circuit, bool bonds)
{
  nets->circuit = circuit;
  nets->parents = g_new(guint, circuit->n_nodes);
  for (guint i = 0; i < circuit->n_nodes; i++)
    nets->parents[i] = i;
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->role == JOIN_CONDUCTOR || join->role == JOIN_SPLICE || join->role == JOIN_INTERNAL ||
        (bonds && join->role == JOIN_BOND))
      join_nodes(nets, join->a, join->b);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->role == IMPEDANCE_CONDUCTOR)
      join_nodes(nets, impedance->a, impedance->b);
  }
}

void
nets_clear(Nets *nets)
{
  g_clear_pointer(&nets->parents, g_free);
}
