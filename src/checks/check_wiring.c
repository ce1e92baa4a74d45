/* SPDX-License-Identifier: MIT */
/* Short circuits. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/survey.h"

#include <math.h>

/* "10 kA" or what is known of it. */
static const char *
fault_text(const Survey *survey, double amps)
{
  return amps > 0 && isfinite(amps) ? AMPS(amps) : _("a current that nothing stated here limits");
}

static void
report_supply(const Check *check, CheckContext *context, const CircuitSupply *supply, guint first,
              guint second)
{
  const Survey *survey = context->survey;
  const char *one = survey_node_name(survey, first), *two = survey_node_name(survey, second);
  check_report(
      check, context,
      g_strdup_printf(_("%s and %s are one conductor once protection is closed: a short "
                        "circuit of %s."),
                      one, two, fault_text(survey, supply->fault_amps)),
      g_strdup_printf(_("Do not close anything. Lock out, find where %s and %s meet and part "
                        "them."),
                      one, two),
      one, two, NULL);
}

/* Amperes in a shorted winding as solved. */
static double
winding_amps(const Survey *survey, const Winding *winding)
{
  double most = 0;
  if (survey->volts == NULL)
    return 0;
  guint index = survey->segment_winding[winding->first_segment];
  for (guint s = winding->first_segment;
       s < survey->context->circuit->segments->len && survey->segment_winding[s] == index; s++)
    most = fmax(most, cabs(survey->volts->segment_amps[s]));
  return most;
}

/* Lines of two supplies on one net: each feeds back into the other. */
static void
look_for_two_supplies(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree guint *line = g_new0(guint, survey->n_nodes); /* by net: a line of some supply */
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(context->circuit->supplies, CircuitSupply, i);
    for (int k = 0; k < 3; k++) {
      guint node = supply->line_nodes[k];
      if (node == G_MAXUINT || survey_line_is_grounded(supply, k))
        continue;
      guint net = survey->nets[NET_SHORT][node];
      if (line[net] == 0 || context->circuit->places[line[net]].device == supply->device) {
        line[net] = node;
        continue;
      }
      const char *one = survey_node_name(survey, line[net]);
      const char *two = survey_node_name(survey, node);
      check_report(
          check, context,
          g_strdup_printf(_("%s and %s are one conductor: two supplies feed into each other, "
                            "and opening one leaves everything live."),
                          one, two),
          g_strdup_printf(_("Do not close anything. Part %s and %s; only a transfer switch "
                            "may choose between two supplies."),
                          one, two),
          one, two, NULL);
    }
  }
}

void
check_short_circuit(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  guint first, second;
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(context->circuit->supplies, CircuitSupply, i);
    if (survey_supply_shorted(survey, supply, &first, &second))
      report_supply(check, context, supply, first, second);
  }
  look_for_two_supplies(check, context);
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    /* Primary leads are another check's matter. */
    if (!winding->secondary || !survey_leads_shorted(survey, winding, &first, &second))
      continue;
    const char *one = survey_node_name(survey, first), *two = survey_node_name(survey, second);
    double amps = winding_amps(survey, winding);
    if (survey->capped[survey->nets[NET_METAL][first]])
      continue; /* caps-joined */
    check_report(check, context,
                 g_strdup_printf(_("%s and %s are one conductor once protection is closed: the "
                                   "secondary is shorted and drives %s."),
                                 one, two, fault_text(survey, amps)),
                 g_strdup_printf(_("Lock out, find where %s and %s meet and part them."), one, two),
                 one, two, NULL);
  }
}

/* The largest user of power: the first suspect when nothing settles. */
static const char *
largest_load(const Survey *survey)
{
  const GArray *loads = survey->context->circuit->loads;
  const Load *largest = NULL;
  for (guint i = 0; i < loads->len; i++) {
    const Load *load = circuit_item(loads, Load, i);
    if (largest == NULL || cabs(load->power) > cabs(largest->power))
      largest = load;
  }
  return largest != NULL ? survey_owner_name(survey, largest->owner) : NULL;
}

/* The solver's sentence says why; what follows the first full stop says what to do. */
static void
report_not_solved(const Check *check, CheckContext *context, const GError *error, const char *what,
                  const char *consequence, Signal signal)
{
  const Survey *survey = context->survey;
  const char *why, *advice;
  survey_split_advice(survey, error->message, _("Take back what was changed last."), &why, &advice);
  char *remedy = g_strdup_printf(_("%s Leave the circuit off until it can be computed."), advice);
  const char *load = largest_load(survey);
  Finding *finding = check_report(
      check, context, g_strdup_printf(_("%s cannot be computed, %s. %s"), what, consequence, why),
      remedy, NULL);
  for (guint i = 0; i < context->circuit->supplies->len && i < 3; i++)
    finding_add_place(
        finding, "%s",
        survey_device_name(survey,
                           circuit_item(context->circuit->supplies, CircuitSupply, i)->device));
  if (load != NULL)
    finding_add_place(finding, "%s", load);
  if (finding->places->len == 0)
    finding_add_place(finding, "%s", survey_device_name(survey, 0));
  finding->signal = signal;
}

void
check_not_solved(const Check *check, CheckContext *context)
{
  if (context->error != NULL)
    report_not_solved(check, context, context->error, _("This diagram"),
                      _("so no check of volts and amperes as drawn has been made"), SIGNAL_DANGER);
  else if (context->closed_error != NULL)
    report_not_solved(check, context, context->closed_error,
                      _("This diagram with every switch, contact and breaker closed"),
                      _("so only what is on as drawn has been checked"), SIGNAL_WARNING);
}

void
check_noted_while_building(const Check *check, CheckContext *context)
{
  (void)check;
  (void)context;
}
