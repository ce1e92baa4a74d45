/* SPDX-License-Identifier: MIT */
/* Whether the primary lead in use suits the volts that were measured. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "tables/nominal_systems.h"
#include "tables/voltage_ranges.h"

#include <math.h>

/* The pair of primary leads in use and how the applied volts compare. */
typedef struct {
  const Winding *winding;
  const SurveyLead *low, *high;
  double applied, marked; /* volts across the pair: measured, on the nameplate */
  TapRange range;
  double knee;      /* applied over marked where the core saturates; 0: never */
  const char *lead; /* name of the upper lead */
} Tap;

static bool
tap_of(const Survey *survey, guint core, Tap *tap)
{
  const SurveyCore *fed = &survey->cores[core];
  if (survey->volts == NULL || survey->shorted || !fed->fed || fed->feeding < 0)
    return false;
  tap->winding = survey_winding(survey, (guint)fed->feeding);
  tap->low = survey_lead(tap->winding, fed->low);
  tap->high = survey_lead(tap->winding, fed->high);
  tap->marked = tap->high->volts - tap->low->volts;
  tap->applied = survey_pair_volts(survey, core);
  tap->range = tap_range(tap->marked);
  tap->knee = circuit_item(survey->context->circuit->cores, Core, core)->knee;
  tap->lead = survey_node_name(survey, tap->high->node);
  return tap->marked > 0 && tap->applied > 0.02 * tap->marked; /* dead: another check's matter */
}

static double
misfit(double applied, double marked)
{
  return fabs(log(applied / marked));
}

/* The lead whose volts from the common in use come nearest to what is applied. */
static const SurveyLead *
best_lead(const Tap *tap)
{
  const SurveyLead *best = tap->high;
  for (guint i = 0; i < tap->winding->leads->len; i++) {
    const SurveyLead *lead = survey_lead(tap->winding, i);
    double marked = lead->volts - tap->low->volts;
    if (marked > 0 &&
        misfit(tap->applied, marked) < misfit(tap->applied, best->volts - tap->low->volts) - 1e-9)
      best = lead;
  }
  return best;
}

static bool
fits(const Tap *tap, const SurveyLead *lead)
{
  TapRange range = tap_range(lead->volts - tap->low->volts);
  return tap->applied >= range.low && tap->applied <= range.high;
}

static char *
remedy(const Survey *survey, const Tap *tap)
{
  const SurveyLead *best = best_lead(tap);
  const char *applied = VOLTS(tap->applied);
  if (best != tap->high && fits(tap, best))
    return g_strdup_printf(_("Lock out, land %s (%s) in place of %s and cap %s by itself."),
                           survey_node_name(survey, best->node),
                           VOLTS(best->volts - tap->low->volts), tap->lead, tap->lead);
  double nominal = nominal_volts_nearest(tap->applied);
  return g_strdup_printf(_("No lead of this transformer suits %s: use a transformer with a primary "
                           "lead for %s, or find out why the supply stands there."),
                         applied, VOLTS(nominal));
}

/* The same as edits. */
static void
note_remedy(CheckContext *context, const Finding *finding, const Tap *tap)
{
  const SurveyLead *best = best_lead(tap);
  if (best != tap->high && fits(tap, best))
    remedy_swap(context, finding, tap->high->node, best->node);
}

void
check_tap_too_low(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    Tap tap;
    if (!tap_of(survey, c, &tap) || tap.applied <= tap.range.high)
      continue;
    double ratio = tap.applied / tap.marked;
    bool saturates = ratio > 1.25 || (tap.knee > 0 && ratio > tap.knee);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(
            _("%s is marked %s but %s is measured across it: %s of its volts, at most %s "
              "is meant. %s"),
            tap.lead, VOLTS(tap.marked), VOLTS(tap.applied), PERCENT(100 * ratio),
            VOLTS(tap.range.high),
            saturates ? _("The core saturates, the winding draws many times its current "
                          "and burns or opens the fuse.")
                      : _("The core runs hot and the secondary stands too high.")),
        remedy(survey, &tap), tap.lead, NULL);
    note_remedy(context, finding, &tap);
    if (ratio <= 1.10)
      finding->signal = SIGNAL_CAUTION;
    else if (!saturates)
      finding->signal = SIGNAL_WARNING;
  }
}

void
check_tap_too_high(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    Tap tap;
    if (!tap_of(survey, c, &tap) || tap.applied >= tap.range.low)
      continue;
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s is marked %s but only %s is measured across it (%s); at least "
                          "%s is meant. Secondary volts fall by as much: relays may not pull "
                          "in."),
                        tap.lead, VOLTS(tap.marked), VOLTS(tap.applied),
                        PERCENT(100 * tap.applied / tap.marked), VOLTS(tap.range.low)),
        remedy(survey, &tap), tap.lead, NULL);
    note_remedy(context, finding, &tap);
  }
}

/* "24.6 V on T1.X1-T1.X2" with the lead changed: rated volts times applied over marked. */
static char *
predicted(const Survey *survey, guint core, double ratio)
{
  const GArray *secondaries = survey->cores[core].secondaries;
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < secondaries->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(secondaries, guint, i));
    const SurveyLead *first = survey_lead(winding, 0);
    const SurveyLead *last = survey_lead(winding, winding->leads->len - 1);
    g_string_append_printf(
        text, _("%s%s on %s-%s"), i > 0 ? ", " : "", VOLTS((last->volts - first->volts) * ratio),
        survey_node_name(survey, first->node), survey_node_name(survey, last->node));
  }
  return g_string_free(text, FALSE);
}

void
check_better_lead(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    Tap tap;
    if (!tap_of(survey, c, &tap))
      continue;
    const SurveyLead *best = best_lead(&tap);
    double here = misfit(tap.applied, tap.marked);
    double marked = best->volts - tap.low->volts;
    double there = misfit(tap.applied, marked);
    /* Clearly better: half the misfit or less, and worth the work. */
    if (best == tap.high || here < 0.05 || there > here / 2)
      continue;
    const char *name = survey_node_name(survey, best->node);
    g_autofree char *now = predicted(survey, c, tap.applied / tap.marked);
    g_autofree char *then = predicted(survey, c, tap.applied / marked);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s is measured; %s (%s) fits it better than %s (%s). At rated load that "
                          "gives %s instead of %s."),
                        VOLTS(tap.applied), name, VOLTS(marked), tap.lead, VOLTS(tap.marked), then,
                        now),
        g_strdup_printf(_("Lock out, land %s in place of %s and cap %s by itself."), name, tap.lead,
                        tap.lead),
        tap.lead, name, NULL);
    remedy_swap(context, finding, tap.high->node, best->node);
    if (tap.applied >= tap.range.low && tap.applied <= tap.range.high)
      finding->signal = SIGNAL_NOTICE;
  }
}
