/* SPDX-License-Identifier: MIT */
/* The explanation after an attempt: what it was, which readings told it, what the points are. */
#include "base/language.h"
#include "grade/score_private.h"
#include "solve/expected.h"

#include <math.h>
#include <string.h>

#define READINGS_SHOWN 3

G_GNUC_PRINTF(2, 3) static void say(Score *score, const char *format, ...)
{
  va_list args;
  va_start(args, format);
  g_ptr_array_add(score->lines, g_strdup_vprintf(format, args));
  va_end(args);
}

/* --- readings that tell --- */

typedef struct {
  char *text;
  double weight;
} Telling;

static void
telling_clear(gpointer data)
{
  g_free(((Telling *)data)->text);
}

static gint
by_weight(gconstpointer a, gconstpointer b)
{
  double one = ((const Telling *)a)->weight, two = ((const Telling *)b)->weight;
  return one > two ? -1 : one < two;
}

static const ExpectedReading *
same_pair(const GArray *readings, const ExpectedReading *like)
{
  for (guint i = 0; i < readings->len; i++) {
    const ExpectedReading *reading = &g_array_index(readings, ExpectedReading, i);
    if (strcmp(reading->a_name, like->a_name) == 0 && strcmp(reading->b_name, like->b_name) == 0)
      return reading;
  }
  return NULL;
}

static bool
outside(const ExpectedReading *now, const ExpectedReading *sound)
{
  if (now->state != sound->state)
    return true;
  return now->volts < sound->low - 0.5 || now->volts > sound->high + 0.5;
}

static void
explain_readings(Score *score, const ScoreCase *of)
{
  const Inspection *sound = of->reference, *faulty = of->faulty;
  if (sound == NULL || sound->solution == NULL || faulty->solution == NULL)
    return;
  g_autoptr(GArray) was = expected_readings(sound->circuit, sound->solution, NULL, NULL);
  g_autoptr(GArray) is = expected_readings(faulty->circuit, faulty->solution, NULL, NULL);
  g_autoptr(GArray) list = g_array_new(FALSE, FALSE, sizeof(Telling));
  g_array_set_clear_func(list, telling_clear);
  for (guint i = 0; was != NULL && is != NULL && i < is->len; i++) {
    const ExpectedReading *now = &g_array_index(is, ExpectedReading, i);
    const ExpectedReading *before = same_pair(was, now);
    if (before == NULL || !outside(now, before))
      continue;
    g_autofree char *one = expected_reading_text(now, 3);
    g_autofree char *two = expected_reading_text(before, 3);
    Telling telling = {.text = g_strdup_printf(_("  %s to %s reads %s; sound it would read %s."),
                                               now->a_name, now->b_name, one, two),
                       .weight = fabs(now->volts - before->volts) /
                                 fmax(1, fmax(now->volts, before->volts))};
    g_array_append_val(list, telling);
  }
  g_array_sort(list, by_weight);
  if (list->len > 0)
    say(score, "%s", _("Readings that tell it, energized:"));
  else
    say(score, "%s",
        _("No reading between the points of the sheet tells it: look at ratings, "
          "colours and markings."));
  for (guint i = 0; i < MIN(list->len, READINGS_SHOWN); i++)
    say(score, "%s", g_array_index(list, Telling, i).text);
}

/* --- what it was --- */

static void
explain_slot(Score *score, const ScoreSlot *slot, const ScoreFault *truth)
{
  const Finding *finding = slot->findings->len > 0 ? slot->findings->pdata[0] : NULL;
  if (slot->fault != NULL)
    say(score, _("It was: %s, at %s."), _(slot->fault->title), slot->place);
  else if (finding != NULL)
    say(score, _("It shows as: %s, at %s."), finding->title, slot->place);
  if (finding != NULL) {
    say(score, "  %s", finding->message);
    if (finding->remedy != NULL && *finding->remedy != '\0')
      say(score, _("  Remedy: %s"), finding->remedy);
  }
  if (slot->answers->len > 1)
    say(score,
        language_plural("  No meter tells it from %u other answer, which counts as right too.",
                        "  No meter tells it from %u other answers, which count as right too.",
                        slot->answers->len - 1),
        slot->answers->len - 1);
  const char *how = truth->named && truth->mended ? _("  You named it and mended it.")
                    : truth->mended               ? _("  You mended it.")
                    : truth->named                ? _("  You named it.")
                    : truth->credit > 0           ? _("  You were near it.")
                                                  : _("  You did not find it.");
  say(score, "%s", how);
}

/* Counted by kind, and never in the points. */
static void
explain_safety(Score *score, const Attempt *attempt)
{
  say(score, _("Safety errors: %u."), attempt->errors->len);
  for (guint kind = 0; kind < SAFETY_COUNT; kind++) {
    guint n = attempt_errors_of(attempt, (SafetyKind)kind);
    if (n > 0)
      say(score, "  %s: %u", safety_kind_title((SafetyKind)kind), n);
  }
}

void
score_explain(Score *score, const ScoreCase *of, const Attempt *attempt)
{
  for (guint i = 0; i < of->slots->len; i++)
    explain_slot(score, of->slots->pdata[i], score->truths->pdata[i]);
  explain_readings(score, of);
  if (!score->mended && score->why_not != NULL)
    say(score, _("Not mended: %s"), score->why_not);
  if (score->shortest > 0)
    say(score,
        language_plural("The shortest measuring path takes %u reading; you took %u.",
                        "The shortest measuring path takes %u readings; you took %u.",
                        score->shortest),
        score->shortest, score->readings);
  else
    say(score, language_plural("You took %u reading.", "You took %u readings.", score->readings),
        score->readings);
  say(score,
      _("Points: %.0f for what was solved, %.0f for economy, less %.0f for what power did: "
        "%.0f of 100."),
      score->solved, score->economy, score->lost, score->total);
  if (!score->by_reference)
    say(score, "%s",
        _("Graded by the findings alone: nobody has mended this exercise, and no sound "
          "diagram was at hand to compare with."));
  explain_safety(score, attempt);
}
