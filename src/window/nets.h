/* SPDX-License-Identifier: MIT */
/* What copper joins whatever is switched: conductors, splices and the insides of bars. Contacts,
 * fuses and disconnects part it, closed or not. */
#pragma once

#include "circuit/circuit.h"

G_BEGIN_DECLS

typedef struct {
  guint *parents; /* by node of the circuit */
  const Circuit *circuit;
} Nets;

/* bonds: what is bonded to ground counts as joined to it. The circuit must outlive the nets. */
void nets_init(Nets *nets, const Circuit *circuit, bool bonds);
void nets_clear(Nets *nets);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Nets, nets_clear)
/* The node that stands for all joined to this one. */
guint nets_of(Nets *nets, guint node);

G_END_DECLS
