/* SPDX-License-Identifier: MIT */
/* An attempt: what a student did with one exercise, in order, and what of it was a safety error.
 * Plain data: watch.h writes it, score.h judges it, result_file.h keeps it. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef enum {
  STEP_VOLTS,       /* between a and b */
  STEP_OHMS,        /* between a and b */
  STEP_AMPS,        /* a clamp round conductor a */
  STEP_LOCK_OUT,    /* the switch */
  STEP_ENERGIZE,    /* the switch */
  STEP_OPERATE,     /* a handle or contact a was thrown */
  STEP_LAND,        /* conductor a was landed, moved or taken off */
  STEP_REPLACE,     /* device or conductor a was replaced */
  STEP_NAME,        /* fault b was named at place a */
  STEP_CONSEQUENCE, /* what power did at a */
  STEP_COUNT
} StepKind;
/* "volts", "lock-out"; a contract of the result file. Static. */
const char *step_kind_word(StepKind kind);
/* The step in the reader's words: "Volts S1.L1 to S1.L2: 486 V". New string. */
typedef struct {
  StepKind kind;
  double seconds; /* since the attempt began, >= 0, never falling */
  bool energized; /* the switch, once the step was done */
  char *a, *b;    /* places, see above; never NULL */
  char *reads;    /* what the meter showed: "118.4 V", "OL"; "" for other steps */
  char *text;     /* the rest in words; "" where nothing is to be said */
} AttemptStep;
char *attempt_step_text(const AttemptStep *step);

/* What counts as a safety error. Lock-out, the proof of the meter and the test for absence of
 * voltage follow NFPA 70E article 120 (from memory): test the meter on a known live source, test
 * each conductor at the point of work, test the meter again. */
typedef enum {
  SAFETY_OHMS_LIVE,        /* ohms while energized, or on points that are live */
  SAFETY_WORKED_ENERGIZED, /* landed or replaced something while energized */
  SAFETY_TOUCHED_LIVE,     /* locked out, but what was touched is live all the same */
  SAFETY_NOT_VERIFIED,     /* locked out, and nobody measured that it is dead there */
  SAFETY_METER_NOT_PROVED, /* measured, but the meter was not proved before and after */
  SAFETY_CONSEQUENCE,      /* power was put on a dangerous fault */
  SAFETY_COUNT
} SafetyKind;
const char *safety_kind_word(SafetyKind kind);  /* "ohms-live"; a contract. Static. */
const char *safety_kind_title(SafetyKind kind); /* for people; static, translated */

typedef struct {
  SafetyKind kind;
  double seconds;
  char *place; /* "T1.H2", "conductor 101"; never NULL */
  char *text;  /* a sentence; never NULL */
} SafetyError;

typedef struct {
  char *place; /* "T1", "T1.H2", "conductor 101" */
  char *fault; /* name in the catalogue: "lead-left-open" */
} AttemptAnswer;

typedef struct {
  char *student;      /* as typed; never NULL */
  char *began;        /* day: "2026-11-25"; never NULL */
  GPtrArray *steps;   /* of AttemptStep * */
  GPtrArray *errors;  /* of SafetyError * */
  GPtrArray *answers; /* of AttemptAnswer *, those that stand when handed in */
} Attempt;

Attempt *attempt_new(const char *student, const char *began);
/* The same log under another name. */
Attempt *attempt_copy(const Attempt *from, const char *student);
void attempt_free(Attempt *attempt);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Attempt, attempt_free)

/* Texts are copied; NULL counts as "". Returns the new entry, owned by the attempt. A time before
 * the last step's becomes that. */
AttemptStep *attempt_add_step(Attempt *attempt, StepKind kind, double seconds, bool energized,
                              const char *a, const char *b, const char *reads, const char *text);
SafetyError *attempt_add_error(Attempt *attempt, SafetyKind kind, double seconds, const char *place,
                               const char *text);
void attempt_add_answer(Attempt *attempt, const char *place, const char *fault);
void attempt_remove_answer(Attempt *attempt, guint index);

/* How many readings were taken. */
guint attempt_readings(const Attempt *attempt);
guint attempt_errors_of(const Attempt *attempt, SafetyKind kind);

G_END_DECLS
