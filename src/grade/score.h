/* SPDX-License-Identifier: MIT */
/* Grading by physics. The exercise file carries no answer, so the answer is found, not looked up:
 *
 *  - A fault is *mended* when the diagram handed in is sound: no finding above NOTICE that the
 *    sound diagram would not have, every load within its accepted range, and no nameplate changed
 *    but those of what a technician replaces (grade/repair.h: ratings of fuses, breakers and
 *    transformers, conductors, caps, splices, grounds).
 *  - A *named* fault is right when the catalogue can make exactly this exercise with it: made at
 *    that place in a sound reference, it causes the exercise's findings and every terminal reads as
 *    it does in the exercise. Several names may pass; they are equally right, for no meter tells
 *    them apart. The reference is the master where the caller has it, else the one sealed into the
 *    exercise (quiz/sealed.h), else the diagram the student has mended. With none of these,
 *    findings decide: the fault's own finding is there, touches the place, and what else was found
 *    follows from it or from as many other faults as there are.
 *
 * Points, 0 to 100 (each fault has an equal share of the first row):
 *    80  the fault is mended, or named with its place
 *    40  right place and topic, wrong fault
 *    30  right place
 *    15  right topic
 *    20  economy, in the share of what was solved: all of it up to the number of readings on the
 *        shortest measuring path and one check of the repair for each fault, then falling with
 *        1/readings; without a known path 6 readings for each fault are allowed
 *   -10  for each time power was put on a dangerous fault, whatever it did then; never below 0
 * Safety errors are counted beside the points, never in them. */
#pragma once

#include "checks/check.h"
#include "grade/attempt.h"

G_BEGIN_DECLS

#define SCORE_SOLVED 80.0
#define SCORE_PLACE_AND_TOPIC 40.0
#define SCORE_PLACE 30.0
#define SCORE_TOPIC 15.0
#define SCORE_ECONOMY 20.0
#define SCORE_CONSEQUENCE 10.0
#define SCORE_READINGS_ALLOWED 6 /* for each fault, when no path is known */

/* One fault that was to be found. */
typedef struct {
  char *fault;   /* name in the catalogue; NULL: no reference, only the finding is known */
  char *check;   /* its finding: "tap-too-low" */
  char *place;   /* where it is */
  double credit; /* of SCORE_SOLVED */
  bool named;    /* place and fault, or an equally right answer */
  bool mended;
} ScoreFault;

typedef struct {
  guint faults;      /* how many the exercise says it has, at least 1 */
  GPtrArray *truths; /* of ScoreFault *; at most as many */
  bool by_reference; /* a sound diagram was there to compare with */
  bool mended;       /* the whole of it */
  char *why_not;     /* why it is not mended; NULL when it is */
  guint readings;    /* taken */
  guint shortest;    /* readings on the shortest measuring path; 0: not known */
  guint consequences;
  double solved, economy, lost; /* points; lost is what consequences took */
  double total;
  GPtrArray *lines; /* of char *: what it was, what told it, what the points are; translated */
} Score;
void score_free(Score *score);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Score, score_free)

/* master: nullable. Never NULL. */
Score *score_new(const Document *exercise, const Document *final, const Document *master,
                 const Attempt *attempt);
/* Whether the diagram is sound by the first rule above. *why (nullable) gets a sentence when not,
 * else NULL. sound: the master's findings; nullable. */
bool score_is_mended(const Document *exercise, const Inspection *final, const Inspection *sound,
                     char **why);
/* The lines as one text. New string. */
char *score_dup_text(const Score *score);

G_END_DECLS
