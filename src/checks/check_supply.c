/* SPDX-License-Identifier: MIT */
/* The supply: what its readings say and whether they can be right. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/survey.h"
#include "tables/nominal_systems.h"
#include "tables/voltage_ranges.h"

#include <math.h>

static const CircuitSupply *
supply_at(const CheckContext *context, guint index)
{
  return circuit_item(context->circuit->supplies, CircuitSupply, index);
}

void
check_readings_impossible(const Check *check, CheckContext *context)
{
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = supply_at(context, i);
    if (supply->system.class_ != SYSTEM_IMPOSSIBLE)
      continue;
    const char *id = survey_device_name(context->survey, supply->device);
    check_report(check, context,
                 g_strdup_printf(_("The readings at %s cannot all be right: %s Nothing behind this "
                                   "supply can be predicted."),
                                 id, supply->system.problem),
                 g_strdup(_("Prove the meter on a known source, measure all six pairs again and "
                            "enter what it shows.")),
                 id, NULL);
  }
}

void
check_readings_ambiguous(const Check *check, CheckContext *context)
{
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = supply_at(context, i);
    if (!supply->system.ambiguous || supply->system.class_ == SYSTEM_IMPOSSIBLE ||
        supply->system.class_ == SYSTEM_UNKNOWN)
      continue;
    const char *id = survey_device_name(context->survey, supply->device);
    const char *why, *advice;
    survey_split_advice(context->survey, supply->system.ambiguity,
                        _("Read off the service equipment how the source is bonded."), &why,
                        &advice);
    check_report(
        check, context,
        g_strdup_printf(_("The readings at %s fit more than one system; it is taken as %s. "
                          "%s"),
                        id, supply->system.name, why),
        g_strdup(advice), id, NULL);
  }
}

void
check_supply_not_measured(const Check *check, CheckContext *context)
{
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = supply_at(context, i);
    const char *id = survey_device_name(context->survey, supply->device);
    const Device *device = document_device(context->document, supply->device);
    guint measured = 0;
    for (guint row = 0; row < device_row_count(device); row++)
      for (guint field = 0; field < device->kind->n_row_fields; field++)
        if (device->kind->row_fields[field].unit == UNIT_VOLT &&
            device_row(device, row)[field].has_value)
          measured++;
    const char *why, *advice;
    survey_split_advice(context->survey, supply->system.ambiguity,
                        _("Measure line to line, then each line to ground."), &why, &advice);
    if (supply->system.class_ == SYSTEM_UNKNOWN)
      check_report(check, context,
                   g_strdup_printf(_("The readings at %s (%u entered) do not tell which system it "
                                     "is, so no lead can be judged. %s"),
                                   id, measured, why),
                   g_strdup_printf(_("%s Use a proven meter and enter the volts."), advice), id,
                   NULL);
    else if (measured == 0)
      check_report(
          check, context,
          g_strdup_printf(_("%s stands on the nominal %s; nobody has measured it yet."), id,
                          supply->system.name),
          g_strdup(_("Measure line to line and line to ground with a proven meter and enter "
                     "the volts before a lead is chosen.")),
          id, NULL)
          ->signal = SIGNAL_NOTICE;
  }
}

/* "486 V, 485 V, 487 V": L1 to L2, L2 to L3, L3 to L1. */
static const char *
line_readings(const Survey *survey, const SupplySystem *system)
{
  const Phasor *line = system->line_phasor;
  return survey_keep(survey, g_strdup_printf("%s, %s, %s", VOLTS(cabs(line[0] - line[1])),
                                             VOLTS(cabs(line[1] - line[2])),
                                             VOLTS(cabs(line[2] - line[0]))));
}

/* Derating of motors over unbalance, NEMA MG 1 curve as published; here only its threshold: none
 * is needed below 1 %, no motor should run above 5 %. */
void
check_supply_unbalance(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const SupplySystem *system = &supply_at(context, i)->system;
    if (isnan(system->unbalance) || system->unbalance <= 0.01 || system->lost_phase ||
        system->class_ == SYSTEM_IMPOSSIBLE)
      continue;
    const char *id = survey_device_name(survey, supply_at(context, i)->device);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(
            _("The line-to-line volts at %s (%s) are unbalanced by %s; 1 %% is the limit "
              "for motors at full load."),
            id, line_readings(survey, system), PERCENT(100 * system->unbalance)),
        g_strdup(
            _("Look for a loose connection or a one-phase load on one leg; from 1 % a motor is "
              "derated, above 5 % it should not run.")),
        id, NULL);
    if (system->unbalance <= 0.02)
      finding->signal = SIGNAL_NOTICE;
    else if (system->unbalance > 0.05)
      finding->signal = SIGNAL_WARNING;
  }
}

static void
report_off_nominal(const Check *check, CheckContext *context, const CircuitSupply *supply,
                   double mean)
{
  const Survey *survey = context->survey;
  double nominal = supply->system.nominal_line;
  bool line_neutral = supply->line_nodes[1] == G_MAXUINT;
  const VoltageRange *a = voltage_range_find("service", "A", line_neutral ? "LN" : "LL", nominal);
  const VoltageRange *b =
      voltage_range_find("utilization", "B", line_neutral ? "LN" : "LL", nominal);
  if (a == NULL || b == NULL || (mean >= a->low && mean <= a->high))
    return;
  bool outside = mean < b->low || mean > b->high;
  const char *id = survey_device_name(survey, supply->device);
  Finding *finding = check_report(
      check, context,
      g_strdup_printf(
          outside ? _("%s measures %s; a %s system should keep to %s to %s even at the equipment.")
                  : _("%s measures %s; a %s system should keep to %s to %s at the service."),
          id, VOLTS(mean), VOLTS(nominal), VOLTS(outside ? b->low : a->low),
          VOLTS(outside ? b->high : a->high)),
      g_strdup(
          _("Choose leads by the measured volts, and ask the utility or look upstream when the "
            "reading stays there.")),
      id, NULL);
  if (!outside)
    finding->signal = SIGNAL_NOTICE;
}

static void
report_no_system(const Check *check, CheckContext *context, const CircuitSupply *supply,
                 double mean)
{
  const Survey *survey = context->survey;
  const char *id = survey_device_name(survey, supply->device);
  double nominal = nominal_volts_nearest(mean);
  check_report(
      check, context,
      g_strdup_printf(_("%s measures %s, which no standard system has; the nearest is %s, %s "
                        "away."),
                      id, VOLTS(mean), VOLTS(nominal), PERCENT(100 * fabs(mean / nominal - 1))),
      g_strdup(_("Prove the meter on a known source and measure again; then ask the utility "
                 "or look upstream before a lead is chosen.")),
      id, NULL);
}

void
check_supply_off_nominal(const Check *check, CheckContext *context)
{
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = supply_at(context, i);
    const SupplySystem *system = &supply->system;
    if (system->class_ == SYSTEM_UNKNOWN || system->class_ == SYSTEM_IMPOSSIBLE ||
        system->lost_phase)
      continue;
    double sum = 0;
    guint n = 0;
    for (int a = 0; a < 3; a++)
      for (int b = a + 1; b < 3; b++)
        if (supply->line_nodes[a] != G_MAXUINT && supply->line_nodes[b] != G_MAXUINT) {
          sum += cabs(system->line_phasor[a] - system->line_phasor[b]);
          n++;
        }
    if (n == 0) {
      sum = cabs(system->line_phasor[0] - system->neutral_phasor);
      n = 1;
    }
    if (system->nominal_line > 0)
      report_off_nominal(check, context, supply, sum / n);
    else if (sum > 0)
      report_no_system(check, context, supply, sum / n);
  }
}

void
check_phase_missing(const Check *check, CheckContext *context)
{
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = supply_at(context, i);
    if (!supply->system.lost_phase || supply->system.class_ == SYSTEM_IMPOSSIBLE)
      continue;
    const char *id = survey_device_name(context->survey, supply->device);
    g_autofree char *place = supply->system.lost_line >= 0 && supply->system.lost_line < 3
                                 ? g_strdup_printf("%s.L%d", id, supply->system.lost_line + 1)
                                 : g_strdup(id);
    check_report(check, context,
                 g_strdup_printf(_("The readings at %s show a lost phase (%s feeds nothing of its "
                                   "own): %s."),
                                 id, place, supply->system.name),
                 g_strdup(_("Find the blown fuse or open conductor upstream before anything is "
                            "connected; motors must not start on two lines.")),
                 place, NULL);
  }
}
