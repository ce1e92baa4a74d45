/* SPDX-License-Identifier: MIT */
/* Points of a sheet as people type them. */
#pragma once

#include "circuit/circuit.h"
#include <stdbool.h>

G_BEGIN_DECLS

/* Node of "T1.X1" or "GND". false after a sentence in err that says what is near. */
bool point_find(const Circuit *circuit, const char *word, guint *node, GString *err);

G_END_DECLS
