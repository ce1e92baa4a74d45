/* SPDX-License-Identifier: MIT */
/* Volts at loads and coils with everything closed and on, regulation and conductors included. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "checks/use.h"
#include "tables/voltage_ranges.h"

#include <math.h>

/* Whether everything that hangs on a secondary lead accepts other volts, by ratio. */
static bool
all_accept(const Survey *survey, guint root, double ratio)
{
  for (guint i = 0; i < use_count(survey->context); i++) {
    Use use;
    if (!use_at(survey, i, &use) || (survey->root[use.a] != root && survey->root[use.b] != root))
      continue;
    if (use.volts * ratio < use.low || use.volts * ratio > use.high)
      return false;
  }
  return true;
}

/* The lead of the feeding transformer's secondaries that would serve the load: its marked volts
 * times applied over marked volts of the primary. */
typedef struct {
  const SurveyCore *core; /* NULL: fed straight from a supply */
  bool primary_wrong;     /* that comes first */
  const SurveyLead *lead; /* NULL: none serves */
  guint root;             /* the lead in use */
  double volts;           /* at the load with the other lead */
  double high_marked, high_applied;
  guint high;
} Better;

static Better
better_secondary(const Survey *survey, const Use *use)
{
  guint hot = survey_source_core(survey, use->a) >= 0 ? use->a : use->b;
  int index = survey_source_core(survey, hot);
  Better better = {.core = index >= 0 ? &survey->cores[index] : NULL};
  if (better.core == NULL || !better.core->fed || better.core->feeding < 0)
    return better;
  const Winding *fed = survey_winding(survey, (guint)better.core->feeding);
  double marked =
      survey_lead(fed, better.core->high)->volts - survey_lead(fed, better.core->low)->volts;
  double ratio = survey_pair_volts(survey, (guint)index) / marked;
  TapRange range = tap_range(marked);
  better.high = survey_lead(fed, better.core->high)->node;
  better.high_marked = marked;
  better.high_applied = ratio * marked;
  better.primary_wrong = ratio * marked < range.low || ratio * marked > range.high;
  better.root = survey->root[hot];
  if (better.primary_wrong)
    return better;
  for (guint i = 0; i < better.core->secondaries->len && better.lead == NULL; i++) {
    const Winding *winding =
        survey_winding(survey, g_array_index(better.core->secondaries, guint, i));
    for (guint k = 1; k < winding->leads->len && better.lead == NULL; k++) {
      const SurveyLead *lead = survey_lead(winding, k);
      better.volts = lead->volts * ratio;
      if (lead->node != better.root && better.volts >= use->low && better.volts <= use->high)
        better.lead = lead;
    }
  }
  return better;
}

/* Takes what to say when no lead would help. */
static char *
load_remedy(const Survey *survey, const Use *use, const Better *better, char *take_otherwise)
{
  char *text = take_otherwise;
  if (better->primary_wrong)
    text = g_strdup_printf(_("Put the primary lead right first: %s is marked %s and stands at %s."),
                           survey_node_name(survey, better->high), VOLTS(better->high_marked),
                           VOLTS(better->high_applied));
  else if (better->lead != NULL)
    text =
        g_strdup_printf(_("Lock out and land %s (%s) in place of %s: it would give %s about %s."),
                        survey_node_name(survey, better->lead->node), VOLTS(better->lead->volts),
                        survey_node_name(survey, better->root), use->id, VOLTS(better->volts));
  else if (better->core == NULL)
    text =
        g_strdup_printf(_("%s is fed straight from the supply: feed it through a transformer with "
                          "a secondary of %s to %s, or use one that accepts %s."),
                        use->id, VOLTS(use->low), VOLTS(use->high), VOLTS(use->volts));
  if (text != take_otherwise)
    g_free(take_otherwise);
  return text;
}

/* The lead exchanged, where nothing else that hangs on it would suffer. */
static void
note_lead(CheckContext *context, const Finding *finding, const Use *use, const Better *better)
{
  const Survey *survey = context->survey;
  if (better->lead == NULL || better->primary_wrong || use->volts <= 0)
    return;
  int here = survey->winding_of[better->root], there = survey->winding_of[better->lead->node];
  if (here == there && all_accept(survey, better->root, better->volts / use->volts))
    remedy_swap(context, finding, better->root, better->lead->node);
}

void
check_load_overvoltage(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint i = 0; i < use_count(context); i++) {
    Use use;
    if (!use_at(survey, i, &use) || !use_judged(survey, &use) || use.volts <= use.high * 1.001)
      continue;
    Better better = better_secondary(survey, &use);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s gets %s; it accepts at most %s (%s more)."), use.id, VOLTS(use.volts),
                        VOLTS(use.high), PERCENT(100 * (use.volts / use.high - 1))),
        load_remedy(
            survey, &use, &better,
            g_strdup_printf(_("No secondary lead suits %s: feed it from a transformer with a "
                              "secondary of %s to %s, or use one that accepts %s."),
                            use.id, VOLTS(use.low), VOLTS(use.high), VOLTS(use.volts))),
        use.id, NULL);
    note_lead(context, finding, &use, &better);
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
    if (!use_at(survey, i, &use) || !use_judged(survey, &use) || use.volts >= use.low * 0.999)
      continue;
    Better better = better_secondary(survey, &use);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s gets %s with everything on; it needs at least %s (%s less)."), use.id,
                        VOLTS(use.volts), VOLTS(use.low), PERCENT(100 * (1 - use.volts / use.low))),
        load_remedy(survey, &use, &better,
                    g_strdup_printf(_("No secondary lead suits %s: look at the drop in its "
                                      "conductors, use a transformer with more VA, or one "
                                      "with a secondary of %s to %s."),
                                    use.id, VOLTS(use.low), VOLTS(use.high))),
        use.id, NULL);
    note_lead(context, finding, &use, &better);
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
    return _("power reaches");
  if (survey_feed(survey, node) != 0 || survey_grounded(survey, node))
    return _("the grounded conductor reaches");
  return survey->landings[node] > 0 ? _("nothing fed reaches") : _("nothing is landed on");
}

static void
report_not_fed(const Check *check, CheckContext *context, const Use *use, bool only_as_drawn)
{
  const Survey *survey = context->survey;
  const char *a = survey_node_name(survey, use->a), *b = survey_node_name(survey, use->b);
  if (only_as_drawn) {
    check_report(check, context,
                 g_strdup_printf(_("%s is dead as drawn: a fuse is blown or a breaker is off ahead "
                                   "of it. With it closed %s gets %s."),
                                 use->id, use->id, VOLTS(use->volts)),
                 g_strdup(_("Find out why the protection opened before it is closed again.")),
                 use->id, NULL)
        ->signal = SIGNAL_NOTICE;
    return;
  }
  Finding *finding = check_report(
      check, context,
      g_strdup_printf(_("%s gets %s even with everything closed: %s %s, %s %s."), use->id,
                      VOLTS(use->volts), reach(survey, use->a), a, reach(survey, use->b), b),
      g_strdup_printf(_("Land both terminals of %s on the two sides of one source."), use->id),
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
