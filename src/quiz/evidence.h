/* SPDX-License-Identifier: MIT */
/* What every single fault of the catalogue, at every place of a sound diagram, would show a
 * student: computed once for a diagram, then asked by dealing, measuring paths and answer keys.
 *
 * Offered to a student, in this order:
 *   volts, energized as drawn, between the points of the expected readings and along each
 *   conductor;
 *   amperes, energized, by a clamp round each conductor;
 *   volts, locked out, between the same points (whether it is dead);
 *   ohms, locked out, along each conductor and between the points of the expected readings;
 *   a look at each device: label, settings, what was noted of it, and which conductors lie on each
 *   terminal;
 *   a look at each conductor: number, insulation, size, where it lands, a pull at its ends.
 * No look shows what is inside: a break under the insulation, whether a fuse is good. Those take a
 * meter. */
#pragma once

#include "quiz/fault.h"
#include "solve/meter.h"

#include <gio/gio.h>

G_BEGIN_DECLS

typedef enum {
  EVIDENCE_VOLTS,
  EVIDENCE_AMPS,
  EVIDENCE_DEAD, /* volts, locked out */
  EVIDENCE_OHMS,
  EVIDENCE_LOOK_DEVICE,
  EVIDENCE_LOOK_CONDUCTOR,
  EVIDENCE_WAY_COUNT
} EvidenceWay;
/* "volts", "amps", "dead", "ohms", "device", "conductor": contract of keys and results. Static. */
const char *evidence_way_word(EvidenceWay way);
bool evidence_is_look(EvidenceWay way);

/* One thing to measure or look at. */
typedef struct {
  EvidenceWay way;
  guint a, b;  /* nodes of the sound circuit; b 0: earth. Volts, ohms */
  guint index; /* conductor or device of the sound document. Amperes, looks; else G_MAXUINT */
  char *name;  /* "T1.X1 to T1.X3", "conductor 101", "FU1" */
} EvidencePoint;

/* What is seen there. */
typedef struct {
  MeterState state; /* volts: READS, DRIFTS, SATURATED, OVERRANGE; ohms: READS, OPEN, REFUSED */
  Unit unit;        /* volts, ohms, amperes; UNIT_NONE: a look */
  float value;      /* 0 unless READS or SATURATED */
  guint32 look;     /* of looks: equal means it looks alike */
} EvidenceCell;

/* Whether somebody at the panel can tell the two apart.
 *   Volts: by more than 3 % of the larger and 0.5 V. The meter errs by 1 % and some digits (common
 *   practice, no source), the turns of a small transformer by 1.5 % (expected_variation_default);
 *   that the supply drifts does not count, for its own reading is taken in the same hour. Read
 *   with the low-impedance range: ghosts and points without a fixed voltage fall to 0 V. Behind a
 *   saturated core a reading is good for one digit: by a factor of two.
 *   Amperes: by more than 10 % of the larger and 0.1 A, what a clamp resolves; loads differ by as
 *   much from their nameplates.
 *   Ohms: by more than 30 % of the larger and 0.5 ohm: a winding's and a load's resistance come
 *   from nameplates, and probes have some of their own.
 *   Looks: any difference. */
bool evidence_differs(const EvidenceCell *a, const EvidenceCell *b);
#define EVIDENCE_VOLTS_SHARE 0.03
#define EVIDENCE_VOLTS_LEAST 0.5
#define EVIDENCE_SATURATED_SHARE 0.5
#define EVIDENCE_AMPS_SHARE 0.10
#define EVIDENCE_AMPS_LEAST 0.1
#define EVIDENCE_OHMS_SHARE 0.30
#define EVIDENCE_OHMS_LEAST 0.5
/* "118.4 V", "OL", "0 V", "no ohms, it is live" (translated); "as drawn" or "not as drawn" for
 * looks has to be said by the caller, who knows the other. New string; "" for looks. */
char *evidence_cell_text(const EvidenceCell *cell);

/* One fault at one place. */
typedef struct {
  const Fault *fault;
  const FaultPlace *place;   /* of the evidence */
  const EvidenceCell *cells; /* one for each point */
  bool solved;               /* false: power on it cannot be computed; told from all that can */
  guint
      answer; /* rows with the same number leave the same diagram: one answer, any name is right */
} EvidenceRow;

typedef struct Evidence Evidence;

/* The scene is borrowed: keep it alive. NULL with G_IO_ERROR_CANCELLED, or when the sound circuit
 * has no solution. Const and thread-safe once made. */
Evidence *evidence_new(const FaultScene *scene, GCancellable *cancellable, GError **error);
void evidence_free(Evidence *evidence);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Evidence, evidence_free)

/* done of total are through; called on the calling thread. */
typedef void (*QuizProgress)(guint done, guint total, gpointer data);
/* The same; progress, nullable, hears of every fault tried. */
Evidence *evidence_new_watched(const FaultScene *scene, QuizProgress progress, gpointer data,
                               GCancellable *cancellable, GError **error);

const FaultScene *evidence_scene(const Evidence *evidence);
guint evidence_point_count(const Evidence *evidence);
const EvidencePoint *evidence_point(const Evidence *evidence, guint index);
guint evidence_row_count(const Evidence *evidence);
const EvidenceRow *evidence_row(const Evidence *evidence, guint index); /* by fault, then place */
int evidence_find_row(const Evidence *evidence, const char *fault, const char *place); /* -1 */
const EvidenceCell *evidence_sound(const Evidence *evidence); /* of the sound diagram */

/* The cells of any diagram that has the sound one's devices: one for each point. NULL when it has
 * no solution. */
EvidenceCell *evidence_cells(const Evidence *evidence, const Document *document);
/* Whether any point tells the two apart; looks: whether those count. */
bool evidence_told(const Evidence *evidence, const EvidenceCell *a, const EvidenceCell *b,
                   bool looks);

G_END_DECLS
