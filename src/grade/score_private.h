/* SPDX-License-Identifier: MIT */
/* Private to the grading: which faults an exercise has, worked out from physics, and in whose place
 * an answer may stand. */
#pragma once

#include "grade/score.h"
#include "quiz/deal.h"

G_BEGIN_DECLS

/* One of the faults that were to be found. */
typedef struct {
  const Fault *fault;  /* the first answer's; NULL without a reference */
  const char *check;   /* the finding's; static */
  char *place;         /* for people */
  GPtrArray *answers;  /* of DealtFault *: equally right; empty without a reference */
  GPtrArray *findings; /* of const Finding * in the exercise's inspection: its own */
} ScoreSlot;

typedef struct {
  const Inspection *faulty, *handed, *reference; /* reference: NULL when there is none */
  guint faults;
  FaultScene *scene; /* of the reference */
  GPtrArray *slots;  /* of ScoreSlot * */
} ScoreCase;
/* faulty, handed, reference and faults are set by the caller. */
void score_case_init(ScoreCase *of);
void score_case_clear(ScoreCase *of);
/* Readings on the shortest measuring path; 0: not known. */
guint score_case_shortest(const ScoreCase *of);

bool score_slot_is_right(const ScoreCase *of, const ScoreSlot *slot, const Fault *fault,
                         const char *place);
bool score_slot_touches(const ScoreCase *of, const ScoreSlot *slot, const char *place);
bool score_slot_has_topic(const ScoreSlot *slot, FaultTopic topic);
/* None of its findings is left in what was handed in. */
bool score_slot_is_gone(const ScoreCase *of, const ScoreSlot *slot);

/* Whether a place somebody points at ("T1", "T1.H2", "conductor 101") lies at another ("T1.H3,
 * T1.H4"): the same device or conductor, or a conductor and one of its ends. */
bool score_places_meet(const Document *document, const char *pointed, const char *other);
/* The conductor itself, by number or "conductor T1.H2-FU1.2", one of its ends, or a device there. */
bool score_conductor_meets(const Conductor *conductor, const char *pointed);

/* score_words.c: adds the lines. */
void score_explain(Score *score, const ScoreCase *of, const Attempt *attempt);

G_END_DECLS
