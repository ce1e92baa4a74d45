/* SPDX-License-Identifier: MIT */
/* Ohms between many pairs of points of one circuit, locked out: the same direct-current network as
 * meter_ohms (joints, resistances, loads by their nameplates), but made and factored once. What a
 * pair costs is then one substitution of a sparse triangular system. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct Ohmmeter Ohmmeter;

/* Circuit and solution are borrowed: keep them alive. NULL with error when the network cannot be
 * factored. */
Ohmmeter *ohmmeter_new(const Circuit *circuit, const Solution *solution, GError **error);
void ohmmeter_free(Ohmmeter *meter);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Ohmmeter, ohmmeter_free)

/* Whether an ohmmeter may be put there: neither point is live. */
bool ohmmeter_allowed(const Ohmmeter *meter, guint a, guint b);
/* Ohms between two nodes of the circuit; INFINITY: no path, or more than METER_OPEN_OHMS. */
double ohmmeter_read(Ohmmeter *meter, guint a, guint b);

G_END_DECLS
