/* SPDX-License-Identifier: MIT */
#include "grade/attempt.h"

#include "base/language.h"

static const char *const step_words[STEP_COUNT] = {
    [STEP_VOLTS] = "volts",       [STEP_OHMS] = "ohms",
    [STEP_AMPS] = "amps",         [STEP_LOCK_OUT] = "lock-out",
    [STEP_ENERGIZE] = "energize", [STEP_OPERATE] = "operate",
    [STEP_LAND] = "land",         [STEP_REPLACE] = "replace",
    [STEP_NAME] = "name",         [STEP_CONSEQUENCE] = "consequence",
};

static const struct {
  const char *word, *title;
} safety_texts[SAFETY_COUNT] = {
    [SAFETY_OHMS_LIVE] = {"ohms-live", N_("Ohms on a live circuit")},
    [SAFETY_WORKED_ENERGIZED] = {"worked-energized", N_("Worked while energized")},
    [SAFETY_TOUCHED_LIVE] = {"touched-live", N_("Touched what stays live when locked out")},
    [SAFETY_NOT_VERIFIED] = {"not-verified", N_("Touched without measuring that it is dead")},
    [SAFETY_METER_NOT_PROVED] = {"meter-not-proved", N_("Trusted a meter that was not proved")},
    [SAFETY_CONSEQUENCE] = {"consequence", N_("Put power on a dangerous fault")},
};

const char *
step_kind_word(StepKind kind)
{
  return kind < STEP_COUNT ? step_words[kind] : "";
}

const char *
safety_kind_word(SafetyKind kind)
{
  return kind < SAFETY_COUNT ? safety_texts[kind].word : "";
}

const char *
safety_kind_title(SafetyKind kind)
{
  return kind < SAFETY_COUNT ? _(safety_texts[kind].title) : "";
}

char *
attempt_step_text(const AttemptStep *step)
{
  switch (step->kind) {
  case STEP_VOLTS:
    return g_strdup_printf(_("Volts %s to %s: %s"), step->a, step->b, step->reads);
  case STEP_OHMS:
    return g_strdup_printf(_("Ohms %s to %s: %s"), step->a, step->b, step->reads);
  case STEP_AMPS:
    return g_strdup_printf(_("Amperes in %s: %s"), step->a, step->reads);
  case STEP_LOCK_OUT:
    return g_strdup(_("Locked out"));
  case STEP_ENERGIZE:
    return g_strdup(_("Energized"));
  case STEP_NAME:
    return g_strdup_printf(_("Named at %s: %s"), step->a, step->text);
  case STEP_OPERATE:
  case STEP_LAND:
  case STEP_REPLACE:
  case STEP_CONSEQUENCE:
  case STEP_COUNT:
    break;
  }
  return g_strdup(step->text);
}

static void
step_free(gpointer data)
{
  AttemptStep *step = data;
  g_free(step->a);
  g_free(step->b);
  g_free(step->reads);
  g_free(step->text);
  g_free(step);
}

static void
error_free(gpointer data)
{
  SafetyError *error = data;
  g_free(error->place);
  g_free(error->text);
  g_free(error);
}

static void
answer_free(gpointer data)
{
  AttemptAnswer *answer = data;
  g_free(answer->place);
  g_free(answer->fault);
  g_free(answer);
}

Attempt *
attempt_new(const char *student, const char *began)
{
  Attempt *attempt = g_new0(Attempt, 1);
  attempt->student = g_strdup(student != NULL ? student : "");
  attempt->began = g_strdup(began != NULL ? began : "");
  attempt->steps = g_ptr_array_new_with_free_func(step_free);
  attempt->errors = g_ptr_array_new_with_free_func(error_free);
  attempt->answers = g_ptr_array_new_with_free_func(answer_free);
  return attempt;
}

void
attempt_free(Attempt *attempt)
{
  if (attempt == NULL)
    return;
  g_free(attempt->student);
  g_free(attempt->began);
  g_ptr_array_unref(attempt->steps);
  g_ptr_array_unref(attempt->errors);
  g_ptr_array_unref(attempt->answers);
  g_free(attempt);
}

static char *
copy_text(const char *text)
{
  return g_strdup(text != NULL ? text : "");
}

AttemptStep *
attempt_add_step(Attempt *attempt, StepKind kind, double seconds, bool energized, const char *a,
                 const char *b, const char *reads, const char *text)
{
  AttemptStep *step = g_new0(AttemptStep, 1);
  double last = 0;
  if (attempt->steps->len > 0)
    last = ((const AttemptStep *)attempt->steps->pdata[attempt->steps->len - 1])->seconds;
  *step = (AttemptStep){.kind = kind,
                        .seconds = MAX(seconds, last),
                        .energized = energized,
                        .a = copy_text(a),
                        .b = copy_text(b),
                        .reads = copy_text(reads),
                        .text = copy_text(text)};
  g_ptr_array_add(attempt->steps, step);
  return step;
}

SafetyError *
attempt_add_error(Attempt *attempt, SafetyKind kind, double seconds, const char *place,
                  const char *text)
{
  SafetyError *error = g_new0(SafetyError, 1);
  *error = (SafetyError){kind, seconds, copy_text(place), copy_text(text)};
  g_ptr_array_add(attempt->errors, error);
  return error;
}

void
attempt_add_answer(Attempt *attempt, const char *place, const char *fault)
{
  AttemptAnswer *answer = g_new0(AttemptAnswer, 1);
  *answer = (AttemptAnswer){copy_text(place), copy_text(fault)};
  g_ptr_array_add(attempt->answers, answer);
}

void
attempt_remove_answer(Attempt *attempt, guint index)
{
  if (index < attempt->answers->len)
    g_ptr_array_remove_index(attempt->answers, index);
}

guint
attempt_readings(const Attempt *attempt)
{
  guint n = 0;
  for (guint i = 0; i < attempt->steps->len; i++)
    n += ((const AttemptStep *)attempt->steps->pdata[i])->kind <= STEP_AMPS;
  return n;
}

guint
attempt_errors_of(const Attempt *attempt, SafetyKind kind)
{
  guint n = 0;
  for (guint i = 0; i < attempt->errors->len; i++)
    n += ((const SafetyError *)attempt->errors->pdata[i])->kind == kind;
  return n;
}

Attempt *
attempt_copy(const Attempt *from, const char *student)
{
  Attempt *to = attempt_new(student, from->began);
  for (guint i = 0; i < from->steps->len; i++) {
    const AttemptStep *s = from->steps->pdata[i];
    attempt_add_step(to, s->kind, s->seconds, s->energized, s->a, s->b, s->reads, s->text);
  }
  for (guint i = 0; i < from->errors->len; i++) {
    const SafetyError *e = from->errors->pdata[i];
    attempt_add_error(to, e->kind, e->seconds, e->place, e->text);
  }
  for (guint i = 0; i < from->answers->len; i++) {
    const AttemptAnswer *a = from->answers->pdata[i];
    attempt_add_answer(to, a->place, a->fault);
  }
  return to;
}
