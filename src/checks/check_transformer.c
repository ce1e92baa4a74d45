/* SPDX-License-Identifier: MIT */
/* What a transformer delivers against its nameplate. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"

#include <math.h>

/* Sizes the trade stocks, VA; common practice, no source. */
static const double stock_va[] = {20,  40,   50,   75,     100,  150,  200,   250,   300,
                                  350, 500,  750,  1000,   1500, 2000, 3000,  5000,  7500,
                                  1e4, 15e3, 25e3, 37.5e3, 50e3, 75e3, 100e3, 167e3, 250e3};

static double
next_stock_va(double va)
{
  for (gsize i = 0; i < G_N_ELEMENTS(stock_va); i++)
    if (stock_va[i] >= va)
      return stock_va[i];
  return NAN;
}

static bool
judged(const Survey *survey, guint core)
{
  /* A saturated core delivers too many volts: that is another finding's matter. */
  return survey->volts != NULL && !survey->shorted && !survey->amps_mislead &&
         survey->cores[core].fed;
}

/* Volts of a winding's stretches at rated flux, from lead to lead. */
static double
turns_between(const Survey *survey, guint winding, guint low, guint high)
{
  const GArray *segments = survey->context->circuit->segments;
  guint first = survey_winding(survey, winding)->first_segment;
  double turns = 0;
  for (guint s = first + low; s < first + high && s < segments->len; s++)
    if (survey->segment_winding[s] == winding)
      turns += circuit_item(segments, Segment, s)->turns;
  return turns;
}

/* How far the volts of a loaded secondary would rise if they did not fall under load. */
static double
rise_without_drop(const Survey *survey, guint index)
{
  const SurveyCore *core = &survey->cores[index];
  const GArray *segments = survey->context->circuit->segments;
  double most = 1;
  if (core->feeding < 0)
    return most;
  double flux = survey_pair_volts(survey, index) /
                turns_between(survey, (guint)core->feeding, core->low, core->high);
  for (guint s = 0; s < segments->len; s++) {
    const Segment *segment = circuit_item(segments, Segment, s);
    if (segment->core != index || !segment->secondary)
      continue;
    double volts = survey_between(survey, segment->a, segment->b);
    if (volts > 0.2 * segment->turns)
      most = fmax(most, flux * segment->turns / volts);
  }
  return isfinite(most) ? most : 1;
}

static bool
fed_by(const Survey *survey, const Load *load, guint core)
{
  return survey_source_core(survey, load->a) == (int)core ||
         survey_source_core(survey, load->b) == (int)core;
}

/* What the loads would draw of a transformer whose volts do not fall: a resistance takes more then,
 * by the square of the volts. The new size has to serve that. */
static double
stiff_demand(const Survey *survey, guint core, double used)
{
  const GArray *loads = survey->context->circuit->loads;
  double rise = rise_without_drop(survey, core), now = 0, then = 0;
  for (guint i = 0; i < loads->len; i++) {
    const Load *load = circuit_item(loads, Load, i);
    if (!fed_by(survey, load, core))
      continue;
    double va = survey_between(survey, load->a, load->b) * cabs(survey->volts->load_amps[i]);
    double power = load->behaviour == LOAD_CONSTANT_POWER     ? 1
                   : load->behaviour == LOAD_CONSTANT_CURRENT ? rise
                                                              : rise * rise;
    now += va;
    then += va * power;
  }
  return now > 0 ? used * then / now : used;
}

/* A load on this transformer that stands at far more volts than it accepts: that comes first. */
static const Load *
overvolted_load(const Survey *survey, guint core)
{
  const GArray *loads = survey->context->circuit->loads;
  for (guint i = 0; i < loads->len; i++) {
    const Load *load = circuit_item(loads, Load, i);
    if (fed_by(survey, load, core) && load->accepts_high > 0 &&
        survey_between(survey, load->a, load->b) > 1.1 * load->accepts_high)
      return load;
  }
  return NULL;
}

static char *
overload_remedy(const Survey *survey, guint core, const char *id, double next)
{
  const Load *load = overvolted_load(survey, core);
  if (load != NULL) {
    const char *name = survey_owner_name(survey, load->owner);
    return g_strdup_printf(
        _("%s stands at %s and accepts %s at most: put that right first, then it "
          "draws less."),
        name, VOLTS(survey_between(survey, load->a, load->b)), VOLTS(load->accepts_high));
  }
  return isnan(next) ? g_strdup_printf(_("Share the load or use a larger transformer than %s."), id)
                     : g_strdup_printf(_("Use a transformer of %s or more, or take load off %s."),
                                       VA(next), id);
}

void
check_transformer_overloaded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    double rating = circuit_item(context->circuit->cores, Core, c)->rating;
    double used = judged(survey, c) ? survey_delivered(survey, c) : 0;
    if (!(used > 1.02 * rating)) /* a nameplate's last digit */
      continue;
    const char *id = survey_device_name(survey, survey->cores[c].device);
    double next = next_stock_va(stiff_demand(survey, c, used));
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s delivers %s with everything on; its nameplate says %s (%s)."), id,
                        VA(used), VA(rating), PERCENT(100 * used / rating)),
        overload_remedy(survey, c, id, next), id, NULL);
    if (!isnan(next) && overvolted_load(survey, c) == NULL)
      remedy_set_number(context, finding, survey->cores[c].device, "rating", next,
                        UNIT_VOLT_AMPERE);
    if (used > 1.5 * rating)
      finding->signal = SIGNAL_WARNING;
  }
}

static char *
winding_remedy(const Survey *survey, double needed)
{
  double next = next_stock_va(needed);
  return isnan(next)
             ? g_strdup(_("Spread the load over the windings, or use a larger transformer."))
             : g_strdup_printf(_("Spread the load over the windings, or use a transformer of "
                                 "%s or more."),
                               VA(next));
}

void
check_winding_overloaded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  guint last = G_MAXUINT;
  for (guint s = 0; s < context->circuit->segments->len; s++) {
    const Segment *segment = circuit_item(context->circuit->segments, Segment, s);
    guint winding = survey->segment_winding[s];
    if (!segment->secondary || !judged(survey, segment->core) || winding == last ||
        segment->rated_amps <= 0)
      continue;
    double amps = survey_segment_amps(survey, s);
    double rating = circuit_item(context->circuit->cores, Core, segment->core)->rating;
    /* When the whole transformer is overloaded that finding says it. */
    if (!(amps > 1.05 * segment->rated_amps) ||
        survey_delivered(survey, segment->core) > 1.02 * rating)
      continue;
    last = winding;
    check_report(check, context,
                 g_strdup_printf(_("The winding at %s carries %s; its share of the rating is %s."),
                                 survey_node_name(survey, segment->a), AMPS(amps),
                                 AMPS(segment->rated_amps)),
                 winding_remedy(survey, rating * amps / segment->rated_amps),
                 survey_node_name(survey, segment->a), NULL);
  }
}
