/* SPDX-License-Identifier: MIT */
/* Volts at loads and coils with everything closed and on, regulation and conductors included. */
#include "checks/check_list.h"
#include "checks/survey.h"
#include "tables/voltage_ranges.h"

#include <math.h>

/* Below this share of the least accepted volts a load counts as not fed. */
#define DEAD_SHARE 0.05

/* A load or a coil and the volts at it. */
typedef struct {
  guint a, b;
  double low, high; /* accepted; 0: not stated */
  double volts;
  bool coil;
  const char *id;
} Use;

static bool
use_of_load(const Survey *survey, guint index, Use *use)
{
  const Load *load = circuit_item(survey->context->circuit->loads, Load, index);
  *use = (Use){.a = load->a,
               .b = load->b,
               .low = load->accepts_low,
               .high = load->accepts_high,
               .volts = survey_between(survey, load->a, load->b),
               .id = survey_owner_name(survey, load->owner)};
  if (use->low > 0 && use->low == use->high) { /* one figure on the nameplate: 10 % either way */
    use->low *= 0.9;
    use->high *= 1.1;
  }
  return use->high > 0;
}

static bool
use_of_coil(const Survey *survey, guint index, Use *use)
{
  const Coil *coil = circuit_item(survey->context->circuit->coils, Coil, index);
  *use = (Use){.a = coil->a,
               .b = coil->b,
               .low = coil->pick_up,
               .high = coil->rated_volts * COIL_MOST,
               .volts = survey_between(survey, coil->a, coil->b),
               .coil = true,
               .id = survey_owner_name(survey, coil->owner)};
  return coil->rated_volts > 0;
}

/* Loads first, then coils. */
static bool
use_at(const Survey *survey, guint index, Use *use)
{
  guint loads = survey->context->circuit->loads->len;
  return index < loads ? use_of_load(survey, index, use) : use_of_coil(survey, index - loads, use);
}

static guint
use_count(const CheckContext *context)
{
  return context->circuit->loads->len + context->circuit->coils->len;
}

static bool
judged(const Survey *survey, const Use *use)
{
  return survey->volts != NULL && !survey->shorted && use->volts > DEAD_SHARE * use->low;
}

/* The lead of the feeding transformer's secondaries that would serve the load: its marked volts
 * times applied over marked volts of the primary. NULL: none, or no transformer. */
static char *
better_secondary(const Survey *survey, const Use *use)
{
  guint hot = survey_source_core(survey, use->a) >= 0 ? use->a : use->b;
  int index = survey_source_core(survey, hot);
  const SurveyCore *core = index >= 0 ? &survey->cores[index] : NULL;
  if (core == NULL || !core->fed || core->feeding < 0)
    return NULL;
  const Winding *fed = survey_winding(survey, (guint)core->feeding);
  double marked = survey_lead(fed, core->high)->volts - survey_lead(fed, core->low)->volts;
  double ratio = survey_pair_volts(survey, (guint)index) / marked;
  TapRange range = tap_range(marked);
  if (ratio * marked < range.low || ratio * marked > range.high)
    return g_strdup_printf("Put the primary lead right first: %s (%s) stands at %s.",
                           survey_node_name(survey, survey_lead(fed, core->high)->node),
                           VOLTS(marked), VOLTS(ratio * marked));
  for (guint i = 0; i < core->secondaries->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(core->secondaries, guint, i));
    for (guint k = 1; k < winding->leads->len; k++) {
      const SurveyLead *lead = survey_lead(winding, k);
      double volts = lead->volts * ratio;
      if (lead->node != survey->root[hot] && volts >= use->low && volts <= use->high)
        return g_strdup_printf("Land %s (%s) instead: it would give %s about %s.",
                               survey_node_name(survey, lead->node), VOLTS(lead->volts), use->id,
                               VOLTS(volts));
    }
  }
  return NULL;
}

/* Takes what to say when no lead would help. */
static char *
load_remedy(const Survey *survey, const Use *use, char *take_otherwise)
{
  char *lead = better_secondary(survey, use);
  if (lead == NULL)
    return take_otherwise;
  g_free(take_otherwise);
  return lead;
}

void
check_load_overvoltage(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint i = 0; i < use_count(context); i++) {
    Use use;
    if (!use_at(survey, i, &use) || !judged(survey, &use) || use.volts <= use.high * 1.001)
      continue;
    Finding *finding = check_report(
        check, context,
        g_strdup_printf("%s gets %s; it accepts at most %s (%s more).", use.id, VOLTS(use.volts),
                        VOLTS(use.high), PERCENT(100 * (use.volts / use.high - 1))),
        load_remedy(survey, &use,
                    g_strdup_printf("Feed %s from a secondary lead that suits it, or check the "
                                    "primary lead against the measured volts.",
                                    use.id)),
        use.id, NULL);
    /* A small transformer stands 10 % and more above its mark when little hangs on it, and coils
     * live with it (common practice). */
    if (use.coil && use.volts <= use.high * 1.10)
      finding->signal = SIGNAL_NOTICE;
    else if (use.volts > use.high * 1.5)
      finding->signal = SIGNAL_DANGER;
  }
}

void
check_load_undervoltage(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint i = 0; i < context->circuit->loads->len; i++) {
    Use use;
    if (!use_at(survey, i, &use) || !judged(survey, &use) || use.volts >= use.low * 0.999)
      continue;
    check_report(check, context,
                 g_strdup_printf("%s gets %s with everything on; it needs at least %s (%s less).",
                                 use.id, VOLTS(use.volts), VOLTS(use.low),
                                 PERCENT(100 * (1 - use.volts / use.low))),
                 load_remedy(survey, &use,
                             g_strdup_printf("Feed %s from a higher secondary lead, shorten or "
                                             "thicken its conductors, or use a larger transformer.",
                                             use.id)),
                 use.id, NULL);
  }
}

/* Whether a use hangs on a transformer that is not fed: another finding says that. */
static bool
behind_dead_transformer(const Survey *survey, const guint8 *dead, const Use *use)
{
  return dead[survey->nets[NET_CLOSED][use->a]] || dead[survey->nets[NET_CLOSED][use->b]];
}

static guint8 *
dead_transformer_nets(const Survey *survey)
{
  guint8 *dead = g_new0(guint8, survey->n_nodes);
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    if (survey->cores[winding->core].fed || survey->cores[winding->core].fed_backwards)
      continue;
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node;
      dead[survey->nets[NET_CLOSED][node]] = winding->secondary && !survey_grounded(survey, node);
    }
  }
  return dead;
}

static const char *
reach(const Survey *survey, guint node)
{
  if (survey_hot(survey, node))
    return "power reaches";
  if (survey_feed(survey, node) != 0 || survey_grounded(survey, node))
    return "the grounded conductor reaches";
  return survey->landings[node] > 0 ? "nothing fed reaches" : "nothing is landed on";
}

static void
report_not_fed(const Check *check, CheckContext *context, const Use *use, bool only_as_drawn)
{
  const Survey *survey = context->survey;
  const char *a = survey_node_name(survey, use->a), *b = survey_node_name(survey, use->b);
  if (only_as_drawn) {
    check_report(check, context,
                 g_strdup_printf("%s is dead as drawn: a fuse is blown or a breaker is off ahead "
                                 "of it. With it closed %s gets %s.",
                                 use->id, use->id, VOLTS(use->volts)),
                 g_strdup("Find out why the protection opened before it is closed again."), use->id,
                 NULL)
        ->signal = SIGNAL_NOTICE;
    return;
  }
  Finding *finding = check_report(
      check, context,
      g_strdup_printf("%s gets %s even with everything closed: %s %s, %s %s.", use->id,
                      VOLTS(use->volts), reach(survey, use->a), a, reach(survey, use->b), b),
      g_strdup_printf("Land both terminals of %s on the two sides of one source.", use->id),
      use->id, NULL);
  if (survey->landings[use->a] + survey->landings[use->b] == 0)
    finding->signal = SIGNAL_NOTICE; /* only placed so far */
}

/* With interlocked contacts not everything is fed at once: what closing can feed counts as fed. */
static bool
fed_by_turns(const CheckContext *context, const Use *use)
{
  const Survey *survey = context->survey;
  return context->closed_partly && !survey_same(survey, NET_CLOSED, use->a, use->b) &&
         survey_feed(survey, use->a) != 0 && survey_feed(survey, use->b) != 0;
}

static bool
protection_open(const Circuit *circuit)
{
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if ((join->role == JOIN_FUSE || join->role == JOIN_BREAKER) && !join->closed)
      return true;
  }
  return false;
}

void
check_load_not_fed(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted)
    return;
  bool open = context->solution != NULL && protection_open(context->circuit);
  g_autofree guint8 *dead = dead_transformer_nets(survey);
  for (guint i = 0; i < use_count(context); i++) {
    Use use;
    if (!use_at(survey, i, &use) || behind_dead_transformer(survey, dead, &use))
      continue;
    if (use.volts <= DEAD_SHARE * use.low) {
      if (fed_by_turns(context, &use))
        continue;
      report_not_fed(check, context, &use, false);
    } else if (open) {
      Reading now = solution_reading(context->solution, use.a, use.b);
      if (now.state != READING_LIVE || cabs(now.volts) <= DEAD_SHARE * use.low)
        report_not_fed(check, context, &use, true);
    }
  }
}

/* The source end of a terminal: where its path begins, or earth for the grounded side. */
static guint
source_end(const Survey *survey, guint node)
{
  if (survey->root[node] != G_MAXUINT)
    return survey->root[node];
  return survey_grounded(survey, node) ? 0 : node;
}

void
check_voltage_drop(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint i = 0; i < use_count(context); i++) {
    Use use;
    if (!use_at(survey, i, &use) || !judged(survey, &use))
      continue;
    double source = survey_between(survey, source_end(survey, use.a), source_end(survey, use.b));
    double drop = source > 0 ? 1 - use.volts / source : 0;
    if (!(drop > 0.03))
      continue;
    Finding *finding = check_report(
        check, context,
        g_strdup_printf("The conductors to %s lose %s of %s (%s); 3 %% in one branch and 5 %% in "
                        "all are the usual limits.",
                        use.id, VOLTS(source - use.volts), VOLTS(source), PERCENT(100 * drop)),
        g_strdup_printf("Use conductors to %s of %s times the area, or bring the source nearer.",
                        use.id, survey_show(survey, drop / 0.03, UNIT_NONE)),
        use.id, NULL);
    if (drop <= 0.05)
      finding->signal = SIGNAL_NOTICE;
  }
}
