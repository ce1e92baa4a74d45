/* SPDX-License-Identifier: MIT */
#include "window/nets.h"

#include "base/union_find.h"

guint
nets_of(Nets *nets, guint node)
{
  return union_find(nets->parents, node);
}

void
nets_init(Nets *nets, const Circuit *circuit, bool bonds)
{
  nets->circuit = circuit;
  nets->parents = union_singletons(circuit->n_nodes);
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->role == JOIN_CONDUCTOR || join->role == JOIN_SPLICE || join->role == JOIN_INTERNAL ||
        (bonds && join->role == JOIN_BOND))
      union_join(nets->parents, join->a, join->b);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->role == IMPEDANCE_CONDUCTOR)
      union_join(nets->parents, impedance->a, impedance->b);
  }
}

void
nets_clear(Nets *nets)
{
  g_clear_pointer(&nets->parents, g_free);
}
