/* SPDX-License-Identifier: MIT */
#include "grade/score.h"

#include "base/language.h"
#include "grade/repair.h"
#include "grade/score_private.h"
#include "grade/touch.h"
#include "grade/watch.h"
#include "quiz/fault.h"
#include "quiz/sealed.h"

#include <math.h>
#include <string.h>

static void
score_fault_free(gpointer data)
{
  ScoreFault *fault = data;
  g_free(fault->fault);
  g_free(fault->check);
  g_free(fault->place);
  g_free(fault);
}

void
score_free(Score *score)
{
  if (score == NULL)
    return;
  g_ptr_array_unref(score->truths);
  g_ptr_array_unref(score->lines);
  g_free(score->why_not);
  g_free(score);
}

char *
score_dup_text(const Score *score)
{
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < score->lines->len; i++)
    g_string_append_printf(text, "%s\n", (const char *)score->lines->pdata[i]);
  return g_string_free(text, FALSE);
}

/* --- mended --- */

/* What is no repair (grade/repair.h) mends nothing, whatever the checks say to it. */
static char *
changed_nameplate(const Document *exercise, const Document *final)
{
  for (guint i = 0; i < document_device_count(exercise); i++) {
    const Device *before = document_device(exercise, i);
    const Device *after = document_find_device(final, before->id);
    if (touch_is_material(before))
      continue;
    const char *name = device_designation(before);
    if (after == NULL)
      return g_strdup_printf(_("%s was taken out of the diagram: that mends nothing."), name);
    g_autoptr(Device) as_before = repair_dup_as(after, before);
    if (as_before == NULL || !device_equal(before, as_before))
      return g_strdup_printf(_("The nameplate of %s was changed: a nameplate says what is there."),
                             name);
  }
  for (guint i = 0; i < document_device_count(final); i++) {
    const Device *device = document_device(final, i);
    if (!touch_is_material(device) && document_find_device(exercise, device->id) == NULL)
      return g_strdup_printf(_("%s was not there before: an exercise is mended with what is "
                               "there."),
                             device_designation(device));
  }
  return NULL;
}

/* A load behind a blown fuse is a NOTICE to a check, which cannot know why it is blown. */
static char *
blown_fuse(const Document *final)
{
  for (guint i = 0; i < document_device_count(final); i++) {
    const Device *device = document_device(final, i);
    if (touch_is_blown(device))
      return g_strdup_printf(_("%s is still open inside."), device_designation(device));
  }
  return NULL;
}

static char *
load_out_of_range(const Inspection *final)
{
  const Solution *solution =
      final->closed_solution != NULL ? final->closed_solution : final->solution;
  for (guint i = 0; solution != NULL && i < solution->circuit->loads->len; i++) {
    const Load *load = circuit_item(solution->circuit->loads, Load, i);
    Reading reading = solution_reading(solution, load->a, load->b);
    double volts = reading.state == READING_LIVE ? cabs(reading.volts) : 0;
    if (load->accepts_high <= 0 ||
        (volts >= 0.995 * load->accepts_low && volts <= 1.005 * load->accepts_high))
      continue;
    g_autofree char *name = circuit_owner_name(solution->circuit, load->owner);
    g_autofree char *got = quantity_display(volts, UNIT_VOLT, 3);
    g_autofree char *range =
        quantity_display_range(load->accepts_low, load->accepts_high, UNIT_VOLT, 3);
    return g_strdup_printf(_("%s gets %s and accepts %s."), name, got, range);
  }
  return NULL;
}

bool
score_is_mended(const Document *exercise, const Inspection *final, const Inspection *sound,
                char **why)
{
  g_autofree char *text = NULL;
  if (final->solution == NULL)
    text = g_strdup(_("The diagram handed in cannot be solved."));
  for (guint i = 0; i < final->findings->len && text == NULL; i++) {
    const Finding *finding = final->findings->pdata[i];
    if (finding->signal != SIGNAL_NOTICE && (sound == NULL || fault_is_new(sound, finding)))
      text = g_strdup_printf(_("Still found: %s. %s"), finding->title, finding->message);
  }
  if (text == NULL)
    text = blown_fuse(final->document);
  if (text == NULL)
    text = load_out_of_range(final);
  if (text == NULL)
    text = changed_nameplate(exercise, final->document);
  bool mended = text == NULL;
  if (why != NULL)
    *why = g_steal_pointer(&text);
  return mended;
}

/* --- credit --- */

static double
answer_credit(const ScoreCase *of, const ScoreSlot *slot, const AttemptAnswer *answer, bool *right)
{
  const Fault *fault = fault_find(answer->fault);
  bool place = score_slot_touches(of, slot, answer->place);
  bool topic = fault != NULL && score_slot_has_topic(slot, fault->topic);
  *right = fault != NULL && score_slot_is_right(of, slot, fault, answer->place);
  if (*right)
    return SCORE_SOLVED;
  if (place)
    return topic ? SCORE_PLACE_AND_TOPIC : SCORE_PLACE;
  return topic ? SCORE_TOPIC : 0;
}

/* The best answer that is not used up yet goes to each fault, right ones first. */
static void
give_credit(Score *score, const ScoreCase *of, const Attempt *attempt)
{
  guint n = attempt->answers->len;
  g_autofree bool *used = g_new0(bool, n + 1);
  for (int pass = 0; pass < 2; pass++)
    for (guint s = 0; s < score->truths->len; s++) {
      ScoreFault *truth = score->truths->pdata[s];
      double best = truth->credit;
      int taken = -1;
      bool named = false;
      for (guint i = 0; i < n; i++) {
        bool right = false;
        double credit = used[i] ? 0
                                : answer_credit(of, g_ptr_array_index(of->slots, s),
                                                attempt->answers->pdata[i], &right);
        if (right ? credit >= best && !named : credit > best && pass == 1) {
          best = credit;
          taken = (int)i;
          named = right;
        }
      }
      if (taken < 0)
        continue;
      used[taken] = true;
      truth->credit = best;
      truth->named |= named;
    }
}

static void
add_truths(Score *score, const ScoreCase *of)
{
  for (guint s = 0; s < of->slots->len; s++) {
    const ScoreSlot *slot = of->slots->pdata[s];
    ScoreFault *truth = g_new0(ScoreFault, 1);
    truth->fault = slot->fault != NULL ? g_strdup(slot->fault->name) : NULL;
    truth->check = g_strdup(slot->check);
    truth->place = g_strdup(slot->place);
    truth->mended = score->mended || score_slot_is_gone(of, slot);
    truth->credit = truth->mended ? SCORE_SOLVED : 0;
    g_ptr_array_add(score->truths, truth);
  }
}

/* How often power was put on something dangerous: what it did within a second counts once. */
static guint
occasions(const Attempt *attempt)
{
  guint n = 0;
  double last = -1;
  for (guint i = 0; i < attempt->errors->len; i++) {
    const SafetyError *error = attempt->errors->pdata[i];
    if (error->kind != SAFETY_CONSEQUENCE || (n > 0 && error->seconds - last < 1))
      continue;
    last = error->seconds;
    n++;
  }
  return n;
}

static void
count_points(Score *score, const Attempt *attempt)
{
  double share = 0;
  for (guint i = 0; i < score->truths->len; i++)
    share += ((const ScoreFault *)score->truths->pdata[i])->credit / SCORE_SOLVED;
  share /= score->faults;
  guint allowed = score->shortest > 0 ? score->shortest + score->faults
                                      : SCORE_READINGS_ALLOWED * score->faults;
  double thrift = score->readings <= allowed ? 1 : (double)allowed / score->readings;
  score->solved = SCORE_SOLVED * share;
  score->economy = SCORE_ECONOMY * thrift * share;
  score->consequences = occasions(attempt);
  double sum = score->solved + score->economy;
  score->lost = fmin(sum, SCORE_CONSEQUENCE * score->consequences);
  score->total = sum - score->lost;
}

Score *
score_new(const Document *exercise, const Document *final, const Document *master,
          const Attempt *attempt)
{
  Score *score = g_new0(Score, 1);
  const Value *faults = &document_sheet(exercise)->exercise[EXERCISE_FAULTS];
  double stated = value_number(faults, &exercise_fields[EXERCISE_FAULTS], 1);
  score->faults = (guint)CLAMP(stated, 1, 20);
  score->truths = g_ptr_array_new_with_free_func(score_fault_free);
  score->lines = g_ptr_array_new_with_free_func(g_free);
  g_autoptr(Inspection) faulty = inspection_new(exercise);
  g_autoptr(Inspection) handed = inspection_new(final);
  g_autoptr(Document) sealed = master == NULL ? sealed_open(exercise) : NULL;
  const Document *dealt_from = master != NULL ? master : sealed;
  g_autoptr(Inspection) sound = dealt_from != NULL ? inspection_new(dealt_from) : NULL;
  score->mended = score_is_mended(exercise, handed, sound, &score->why_not);
  const Inspection *reference = sound != NULL ? sound : score->mended ? handed : NULL;
  score->by_reference = reference != NULL;
  ScoreCase of = {
      .faulty = faulty, .handed = handed, .reference = reference, .faults = score->faults};
  score_case_init(&of);
  add_truths(score, &of);
  give_credit(score, &of, attempt);
  score->readings = attempt_readings(attempt);
  score->shortest = score_case_shortest(&of);
  count_points(score, attempt);
  score_explain(score, &of, attempt);
  score_case_clear(&of);
  return score;
}
