/* SPDX-License-Identifier: MIT */
/* Windings: stretches of one core that follow one another, lead by lead. */
#include "checks/survey.h"

#include <math.h>

static void
winding_clear(gpointer data)
{
  Winding *winding = data;
  g_clear_pointer(&winding->leads, g_array_unref);
}

static gint
lead_compare(gconstpointer a, gconstpointer b)
{
  double difference = ((const SurveyLead *)a)->volts - ((const SurveyLead *)b)->volts;
  return (difference > 0) - (difference < 0);
}

/* Stretches of one winding are stamped one after another from the common lead up, each beginning
 * where the one before ended. */
static bool
continues(const Segment *before, const Segment *next)
{
  return before->core == next->core && before->secondary == next->secondary && before->a == next->b;
}

static void
add_winding(Survey *survey, guint segment)
{
  const Segment *first = circuit_item(survey->context->circuit->segments, Segment, segment);
  Winding winding = {
      .core = first->core,
      .device = first->owner.index,
      .secondary = first->secondary,
      .leads = g_array_new(FALSE, TRUE, sizeof(SurveyLead)),
      .first_segment = segment,
  };
  SurveyLead common = {.node = first->b, .volts = 0};
  g_array_append_val(winding.leads, common);
  g_array_append_val(survey->windings, winding);
}

static void
extend_winding(Survey *survey, const Segment *segment)
{
  Winding *winding = &g_array_index(survey->windings, Winding, survey->windings->len - 1);
  winding->span += segment->rated_volts;
  SurveyLead lead = {.node = segment->a, .volts = winding->span};
  g_array_append_val(winding->leads, lead);
}

/* A lead that the part joined to another of the same volts is one lead twice: both belong. */
static void
add_twins(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  int *winding_of = survey->winding_of = g_new(int, survey->n_nodes);
  for (guint i = 0; i < survey->n_nodes; i++)
    winding_of[i] = -1;
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    for (guint k = 0; k < winding->leads->len; k++)
      winding_of[survey_lead(winding, k)->node] = (int)w;
  }
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->role != JOIN_INTERNAL || winding_of[join->a] < 0 || winding_of[join->b] >= 0)
      continue;
    Winding *winding = &g_array_index(survey->windings, Winding, winding_of[join->a]);
    for (guint k = 0; k < winding->leads->len; k++)
      if (survey_lead(winding, k)->node == join->a) {
        SurveyLead twin = {.node = join->b, .volts = survey_lead(winding, k)->volts};
        winding_of[join->b] = winding_of[join->a];
        g_array_append_val(winding->leads, twin);
        break;
      }
    g_array_sort(winding->leads, lead_compare);
  }
}

void
survey_windings(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  survey->windings = g_array_new(FALSE, TRUE, sizeof(Winding));
  g_array_set_clear_func(survey->windings, winding_clear);
  survey->segment_winding = g_new(guint, circuit->segments->len);
  for (guint i = 0; i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    bool same = i > 0 && continues(circuit_item(circuit->segments, Segment, i - 1), segment);
    if (!same)
      add_winding(survey, i);
    extend_winding(survey, segment);
    survey->segment_winding[i] = survey->windings->len - 1;
  }
  add_twins(survey);
  survey->cores = g_new0(SurveyCore, circuit->cores->len);
  for (guint c = 0; c < circuit->cores->len; c++) {
    SurveyCore *core = &survey->cores[c];
    core->device = circuit_item(circuit->cores, Core, c)->owner.index;
    core->primaries = g_array_new(FALSE, FALSE, sizeof(guint));
    core->secondaries = g_array_new(FALSE, FALSE, sizeof(guint));
    core->feeding = -1;
  }
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    SurveyCore *core = &survey->cores[winding->core];
    g_array_append_val(winding->secondary ? core->secondaries : core->primaries, w);
    for (guint k = 0; k < winding->leads->len; k++)
      core->landed = core->landed || survey->landings[survey_lead(winding, k)->node] > 0;
  }
}
