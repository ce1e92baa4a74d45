/* SPDX-License-Identifier: MIT */
/* Private to the quiz: a diagram on the bench, energized as drawn and locked out, with meter and
 * clamp at hand. What they show is an EvidenceCell. */
#pragma once

#include "quiz/evidence.h"
#include "solve/ohmmeter.h"
#include "solve/saturation.h"

G_BEGIN_DECLS

typedef struct {
  Document *document; /* snapshot */
  Circuit *circuit, *locked_circuit;
  Solution *solution, *locked_solution;
  Ohmmeter *ohms; /* of the locked circuit */
  Saturation *saturation; /* NULL: no core beyond its knee */
  double *conductor_amps; /* by conductor; INFINITY: a dead short; NULL until bench_clamp */
} Bench;

/* Both fail with what the solver says. Locked out is only made when asked for. */
bool bench_energize(Bench *bench, const Document *document, GError **error);
bool bench_lock_out(Bench *bench, GError **error);
void bench_clear(Bench *bench);

/* Low-impedance range: what has no fixed voltage reads DRIFTS. */
EvidenceCell bench_volts(const Bench *bench, guint a, guint b);
EvidenceCell bench_dead(const Bench *bench, guint a, guint b);
EvidenceCell bench_ohms(const Bench *bench, guint a, guint b);
/* conductor: index in the bench's document; G_MAXUINT: it is gone, 0 A. */
void bench_clamp(Bench *bench); /* once, before bench_amps */
EvidenceCell bench_amps(const Bench *bench, guint conductor);

/* What can be seen of a device or conductor, as a number that changes with it. */
guint32 look_at_device(const Document *document, guint index);
guint32 look_at_conductor(const Document *document, guint index);
#define LOOK_GONE 1u

G_END_DECLS
