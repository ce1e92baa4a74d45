/* SPDX-License-Identifier: MIT */
/* Where power comes from: supplies first, then transformers in the order they are fed. */
#include "checks/survey.h"

#include <math.h>

/* A cascade deeper than this is no sheet anybody drew; it bounds the work on hostile documents. */
#define MAX_CASCADE 64

bool
survey_line_is_grounded(const CircuitSupply *supply, int line)
{
  SupplyClass class_ = supply->system.class_;
  return line == supply->system.special_line &&
         (class_ == SYSTEM_DELTA_CORNER_GROUNDED || class_ == SYSTEM_ONE_PHASE_2W);
}

static void
feed_supply(Survey *survey, const CircuitSupply *supply)
{
  for (int i = 0; i < 3; i++) {
    guint node = supply->line_nodes[i];
    if (node == G_MAXUINT)
      continue;
    bool grounded = survey_line_is_grounded(supply, i);
    survey->feed[survey->nets[NET_CLOSED][node]] |= grounded ? FEED_RETURN : FEED_LINE;
    if (grounded)
      continue;
    survey->line_unprotected[survey->nets[NET_UNPROTECTED][node]] = 1;
    survey->line_isolated[survey->nets[NET_ISOLATED][node]] = 1;
  }
  if (supply->neutral_node != G_MAXUINT)
    survey->feed[survey->nets[NET_CLOSED][supply->neutral_node]] |= FEED_RETURN;
  if (supply->system.grounded)
    survey->feed[survey->nets[NET_CLOSED][0]] |= FEED_RETURN;
}

/* Leads of these windings that power can reach, in nets of their own; true when two of them do and
 * one is not the grounded conductor. */
static bool
windings_fed(const Survey *survey, const GArray *windings)
{
  guint first = G_MAXUINT;
  bool two = false, hot = false;
  for (guint i = 0; i < windings->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(windings, guint, i));
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node;
      guint8 feed = survey->landings[node] > 0 ? survey_feed(survey, node) : 0;
      guint net = survey->nets[NET_CLOSED][node];
      if (feed == 0)
        continue;
      hot = hot || (feed & (FEED_LINE | FEED_SECONDARY)) != 0;
      two = two || (first != G_MAXUINT && net != first);
      first = net;
    }
  }
  return two && hot;
}

/* The lowest and the highest fed lead of the winding that has two of them. */
static void
find_pair(const Survey *survey, SurveyCore *core, const GArray *windings)
{
  for (guint i = 0; i < windings->len && core->feeding < 0; i++) {
    guint w = g_array_index(windings, guint, i);
    const Winding *winding = survey_winding(survey, w);
    int low = -1, high = -1;
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node;
      if (survey->landings[node] == 0 || survey_feed(survey, node) == 0)
        continue;
      if (low < 0)
        low = (int)k;
      else if (!survey_same(survey, NET_CLOSED, node, survey_lead(winding, (guint)low)->node))
        high = (int)k;
    }
    if (high < 0)
      continue;
    core->feeding = (int)w;
    core->low = (guint)low;
    core->high = (guint)high;
  }
}

static void
feed_from_core(Survey *survey, const GArray *windings)
{
  for (guint i = 0; i < windings->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(windings, guint, i));
    for (guint k = 0; k < winding->leads->len; k++) {
      guint net = survey->nets[NET_CLOSED][survey_lead(winding, k)->node];
      survey->feed[net] |= net == survey->nets[NET_CLOSED][0] ? FEED_RETURN : FEED_SECONDARY;
    }
  }
}

/* One pass over the cores that are not fed yet. backwards: look at secondaries. */
static bool
pass(Survey *survey, bool backwards)
{
  guint n = survey->context->circuit->cores->len;
  g_autofree bool *now = g_new0(bool, MAX(n, 1));
  bool any = false;
  for (guint c = 0; c < n; c++) {
    SurveyCore *core = &survey->cores[c];
    if (core->fed || core->fed_backwards)
      continue;
    const GArray *from = backwards ? core->secondaries : core->primaries;
    if (!windings_fed(survey, from))
      continue;
    find_pair(survey, core, from);
    *(backwards ? &core->fed_backwards : &core->fed) = true;
    now[c] = any = true;
  }
  for (guint c = 0; c < n; c++) {
    if (!now[c])
      continue;
    feed_from_core(survey, survey->cores[c].secondaries);
    if (backwards)
      feed_from_core(survey, survey->cores[c].primaries);
  }
  return any;
}

void
survey_feeds(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  survey->feed = g_new0(guint8, survey->n_nodes);
  survey->line_unprotected = g_new0(guint8, survey->n_nodes);
  survey->line_isolated = g_new0(guint8, survey->n_nodes);
  for (guint i = 0; i < circuit->supplies->len; i++)
    feed_supply(survey, circuit_item(circuit->supplies, CircuitSupply, i));
  /* A transformer fed on both sides counts as fed by its primary, so primaries go first. */
  for (guint depth = 0; depth < MAX_CASCADE; depth++)
    if (!pass(survey, false) && !pass(survey, true))
      break;
}

bool
survey_hot(const Survey *survey, guint node)
{
  return (survey_feed(survey, node) & (FEED_LINE | FEED_SECONDARY)) != 0 &&
         !survey_grounded(survey, node);
}
