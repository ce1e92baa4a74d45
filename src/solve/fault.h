/* SPDX-License-Identifier: MIT */
/* Bolted short-circuit currents at many places of one circuit from one factorization. By
 * Thevenin's theorem the current of a short between a and b is the voltage there before it over
 * the impedance seen there; that equals solving again with the short in place, and costs one
 * forward and back substitution a place.
 *
 * Contacts stay as they were before the fault, cores do not saturate (the short takes their volts
 * away), loads are the impedances of their nameplates, motors do not feed back (a motor's
 * contribution lasts a few cycles and needs data no nameplate carries). */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct FaultStudy FaultStudy;

/* before: the solution of the same circuit, for the state of its coils; NULL: solved here.
 * NULL with error as solution_new. Borrows the circuit. */
FaultStudy *fault_study_new(const Circuit *circuit, const Solution *before, GError **error);
void fault_study_free(FaultStudy *study);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(FaultStudy, fault_study_free)

/* Ampere; 0 between points of one net, INFINITY when nothing limits it, NAN across islands. */
double fault_study_amps(FaultStudy *study, guint a, guint b);
/* Impedance seen between two nodes, ohm; 0 for one net or across islands. */
Phasor fault_study_impedance(FaultStudy *study, guint a, guint b);
/* The same for many pairs of nodes at once. What hangs together in no way is solved together: as
 * many substitutions as there are pairs in the one network that has most. */
typedef struct {
  guint a, b;
} FaultPair;
void fault_study_impedances(FaultStudy *study, const FaultPair *pairs, guint n, Phasor *ohms);
/* Volts between them before the fault; 0 across islands. */
Phasor fault_study_volts(const FaultStudy *study, guint a, guint b);

G_END_DECLS
