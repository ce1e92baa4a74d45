/* SPDX-License-Identifier: MIT */
/* Where a transformer's leads go: fed, capped, joined. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"

#include <math.h>

/* "T1.H1 (0 V, not landed), T1.H4 (480 V, on a line)". */
static char *
describe_leads(const Survey *survey, const GArray *windings)
{
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < windings->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(windings, guint, i));
    for (guint k = 0; k < winding->leads->len; k++) {
      const SurveyLead *lead = survey_lead(winding, k);
      guint8 feed = survey_feed(survey, lead->node);
      const char *where = survey->landings[lead->node] == 0 ? _("not landed")
                          : feed & FEED_LINE                ? _("on a line")
                          : feed & FEED_SECONDARY           ? _("on another secondary")
                          : feed & FEED_RETURN              ? _("on the grounded conductor")
                                                            : _("reaches no supply");
      g_string_append_printf(text, "%s%s (%s) %s", text->len > 0 ? ", " : "",
                             survey_node_name(survey, lead->node), VOLTS(lead->volts), where);
    }
  }
  return g_string_free(text, FALSE);
}

void
check_primary_lead_missing(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    if (core->fed || core->fed_backwards)
      continue;
    const char *id = survey_device_name(survey, core->device);
    g_autofree char *leads = describe_leads(survey, core->primaries);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s is not fed: power reaches no pair of its primary leads. Now: %s."),
                        id, leads),
        g_strdup_printf(
            _("Land the common lead and the one lead that suits the measured volts of %s "
              "through protection, and cap the others."),
            id),
        id, NULL);
    if (!core->landed)
      finding->signal = SIGNAL_NOTICE; /* only placed so far */
  }
}

void
check_fed_from_secondary(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    if (!core->fed_backwards || core->feeding < 0)
      continue;
    const Winding *winding = survey_winding(survey, (guint)core->feeding);
    const SurveyLead *low = survey_lead(winding, core->low);
    const SurveyLead *high = survey_lead(winding, core->high);
    double marked = high->volts - low->volts;
    double applied = survey_between(survey, high->node, low->node), most = 0;
    for (guint i = 0; i < core->primaries->len; i++) {
      const Winding *primary = survey_winding(survey, g_array_index(core->primaries, guint, i));
      most = fmax(most, survey_between(survey, survey_lead(primary, 0)->node,
                                       survey_lead(primary, primary->leads->len - 1)->node));
    }
    const char *id = survey_device_name(survey, core->device);
    check_report(
        check, context,
        g_strdup_printf(_("%s is fed on its secondary: %s (%s) stands on a supply with %s. "
                          "Its primary leads then carry up to %s."),
                        id, survey_node_name(survey, high->node), VOLTS(marked), VOLTS(applied),
                        VOLTS(most)),
        g_strdup_printf(_("Land the supply on the primary leads of %s and the load on its "
                          "secondary leads; feed it backwards only when its nameplate "
                          "permits."),
                        id),
        survey_node_name(survey, low->node), survey_node_name(survey, high->node), NULL);
  }
}

void
check_leads_joined(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    guint first, second;
    if (winding->secondary || !survey_leads_shorted(survey, winding, &first, &second) ||
        survey->capped[survey->nets[NET_METAL][first]])
      continue;
    const char *one = survey_node_name(survey, first), *two = survey_node_name(survey, second);
    double difference = 0;
    for (guint k = 0; k < winding->leads->len; k++) {
      if (survey_lead(winding, k)->node == first)
        difference -= survey_lead(winding, k)->volts;
      if (survey_lead(winding, k)->node == second)
        difference += survey_lead(winding, k)->volts;
    }
    check_report(
        check, context,
        g_strdup_printf(_("%s and %s are joined, with %s of the winding between them: those "
                          "turns are shorted and burn as soon as the transformer is fed."),
                        one, two, VOLTS(fabs(difference))),
        g_strdup_printf(_("Part %s and %s; land the one that suits the measured volts and "
                          "cap the other by itself."),
                        one, two),
        one, two, NULL);
  }
}

/* Volts an unlanded lead stands at: to earth when that can be told, else to its winding's common.
 */
static char *
stands_at(const Survey *survey, guint node)
{
  double most = 0;
  const char *to = NULL;
  if (survey->volts != NULL && solution_to_earth(survey->volts, node).state == READING_LIVE) {
    most = survey_to_earth(survey, node);
    to = _("ground");
  }
  if (survey->winding_of[node] >= 0) {
    guint common = survey_lead(survey_winding(survey, (guint)survey->winding_of[node]), 0)->node;
    double volts = survey_between(survey, node, common);
    if (volts > most) {
      most = volts;
      to = survey_node_name(survey, common);
    }
  }
  return most > 0.5 ? g_strdup_printf(_("%s to %s"), VOLTS(most), to) : NULL;
}

void
check_lead_not_capped(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint node = 1; node < survey->n_nodes; node++) {
    const Terminal *terminal = survey_terminal(survey, node);
    if (terminal == NULL || !terminal->flying || survey->landings[node] > 0)
      continue;
    const char *name = survey_node_name(survey, node);
    g_autofree char *volts = stands_at(survey, node);
    g_autofree char *message =
        volts != NULL
            ? g_strdup_printf(_("%s hangs free. With the transformer fed it stands at %s."), name,
                              volts)
            : g_strdup_printf(_("%s hangs free. It becomes live as soon as the transformer "
                                "is fed."),
                              name);
    Finding *finding =
        check_report(check, context, g_steal_pointer(&message),
                     g_strdup_printf(_("Lock out and cap %s by itself with an insulated closed end "
                                       "rated 600 V (at least what it stands at), or land it."),
                                     name),
                     name, NULL);
    remedy_cap(context, finding, node);
  }
}

typedef struct {
  guint cap, leads;
  guint lead[2];
} CapNet;

/* Leads that end in one metal net with a closed end. */
static GHashTable *
cap_nets(const Survey *survey)
{
  GHashTable *nets = g_hash_table_new_full(NULL, NULL, NULL, g_free);
  const CheckContext *context = survey->context;
  for (guint d = 0; d < document_device_count(context->document); d++) {
    guint node = circuit_node(context->circuit, d, 0);
    if (document_device(context->document, d)->kind->role != ROLE_CAP || node >= survey->n_nodes)
      continue;
    CapNet *net = g_new0(CapNet, 1);
    net->cap = d;
    g_hash_table_replace(nets, GUINT_TO_POINTER(survey->nets[NET_METAL][node]), net);
  }
  for (guint node = 1; node < survey->n_nodes && g_hash_table_size(nets) > 0; node++) {
    const Terminal *terminal = survey_terminal(survey, node);
    CapNet *net = g_hash_table_lookup(nets, GUINT_TO_POINTER(survey->nets[NET_METAL][node]));
    if (net == NULL || terminal == NULL || !terminal->flying)
      continue;
    if (net->leads < 2)
      net->lead[net->leads] = node;
    net->leads++;
  }
  return nets;
}

void
check_caps_joined(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) nets = cap_nets(survey);
  GHashTableIter iter;
  gpointer value;
  g_hash_table_iter_init(&iter, nets);
  while (g_hash_table_iter_next(&iter, NULL, &value)) {
    const CapNet *net = value;
    if (net->leads < 2)
      continue;
    const char *one = survey_node_name(survey, net->lead[0]);
    const char *two = survey_node_name(survey, net->lead[1]);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s and %s end under one cap, %s (%u leads): leads of different "
                          "volts are shorted there."),
                        one, two, survey_device_name(survey, net->cap), net->leads),
        g_strdup_printf(_("Give %s and %s an insulated cap each."), one, two), one, two,
        survey_device_name(survey, net->cap), NULL);
    if (survey->landings[net->lead[1]] == 1) /* more is a person's puzzle */
      remedy_cap(context, finding, net->lead[1]);
  }
}

/* --- two secondary windings --- */

static void
report_opposed(const Check *check, CheckContext *context, const Winding *one, const Winding *two,
               bool parallel)
{
  const Survey *survey = context->survey;
  guint a = survey_lead(one, one->leads->len - 1)->node;
  guint b = survey_lead(two, two->leads->len - 1)->node;
  const char *first = survey_node_name(survey, a), *second = survey_node_name(survey, b);
  char *message =
      parallel
          ? g_strdup_printf(_("The windings of %s (%s) and %s (%s) are in parallel with "
                              "opposite polarity: they short each other."),
                            first, VOLTS(one->span), second, VOLTS(two->span))
          : g_strdup_printf(_("The windings of %s (%s) and %s (%s) are in series with opposite "
                              "polarity: only %s is left of %s."),
                            first, VOLTS(one->span), second, VOLTS(two->span),
                            VOLTS(fabs(one->span - two->span)), VOLTS(one->span + two->span));
  Finding *finding = check_report(
      check, context, message,
      g_strdup_printf(
          _("Turn one winding round: for series join %s to %s and nothing else of the two; "
            "for parallel join %s to %s and %s to %s."),
          first, survey_node_name(survey, survey_lead(two, 0)->node),
          survey_node_name(survey, survey_lead(one, 0)->node),
          survey_node_name(survey, survey_lead(two, 0)->node), first, second),
      first, second, NULL);
  if (parallel)
    finding->signal = SIGNAL_DANGER;
}

/* Two equal ends joined and nothing else there: a series connection that cancels. */
static bool
bare_junction(const Survey *survey, guint a, guint b)
{
  return survey_same(survey, NET_METAL, a, b) && !survey_grounded(survey, a) &&
         survey->circuit_volts[a] == 0 && survey->circuit_volts[b] == 0;
}

void
check_secondaries_opposed(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    const GArray *list = survey->cores[c].secondaries;
    for (guint i = 0; i < list->len; i++)
      for (guint k = i + 1; k < list->len; k++) {
        const Winding *one = survey_winding(survey, g_array_index(list, guint, i));
        const Winding *two = survey_winding(survey, g_array_index(list, guint, k));
        guint low1 = survey_lead(one, 0)->node, low2 = survey_lead(two, 0)->node;
        guint high1 = survey_lead(one, one->leads->len - 1)->node;
        guint high2 = survey_lead(two, two->leads->len - 1)->node;
        bool crossed = survey_same(survey, NET_SHORT, low1, high2) &&
                       survey_same(survey, NET_SHORT, high1, low2);
        if (crossed)
          report_opposed(check, context, one, two, true);
        else if (bare_junction(survey, high1, high2) != bare_junction(survey, low1, low2) &&
                 /* Both ends joined: rightly in parallel, whether or not it is fed. */
                 !(survey_same(survey, NET_METAL, high1, high2) &&
                   survey_same(survey, NET_METAL, low1, low2)) &&
                 !survey_same(survey, NET_METAL, high1, low2) &&
                 !survey_same(survey, NET_METAL, low1, high2) && survey->landings[low1] > 0 &&
                 survey->landings[low2] > 0 && survey->landings[high1] > 0 &&
                 survey->landings[high2] > 0)
          report_opposed(check, context, one, two, false);
      }
  }
}
