/* SPDX-License-Identifier: MIT */
/* Which numbers of a solution hang on how a transformer core saturates. Beyond its knee a core
 * draws a current that depends on iron and air gap no nameplate tells; over the usual range of both
 * it varies more than tenfold, so such a number has no digits worth showing. What depends on it is
 * found by solving once more with cores that stay straight. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct Saturation Saturation;

/* NULL when no core is beyond its knee (or the second solution fails: then nothing is said). */
Saturation *saturation_new(const Circuit *circuit, const Solution *solution);
void saturation_free(Saturation *saturation);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Saturation, saturation_free)
/* The solution with straight cores, borrowed; NULL of NULL. */
const Solution *saturation_straight(const Saturation *saturation);

/* The reading `here` between a and b moves by more than a twentieth. */
bool saturation_decides(Reading here, const Solution *straight, guint a, guint b);
/* A current moves by more than a fifth. */
bool saturation_decides_amps(Phasor here, Phasor straight);
/* "about 50 V": the digits that are left, two of volts, one of anything else. New string. */
char *saturation_text(double value, Unit unit);
/* Name of the core that stands furthest beyond its knee ("T1", new string), and the largest current
 * of its windings over rated; NULL when there is none. */
char *saturation_culprit(const Circuit *circuit, const Solution *solution, double *times_rated);

G_END_DECLS
