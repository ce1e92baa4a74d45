/* SPDX-License-Identifier: MIT */
/* Conductors: size, insulation, landings. */
#include "checks/check_list.h"
#include "checks/remedy.h"
#include "checks/wire.h"
#include "tables/nominal_systems.h"

#include <math.h>

static char *
size_remedy(const Survey *survey, const Wire *wire, double amps, double device, bool overloaded)
{
  Quantity size;
  if (!wire_size_for(survey, wire, amps, device, &size))
    return g_strdup_printf("Use a larger conductor for %s, or less load.", wire->name);
  if (!overloaded)
    return g_strdup_printf("Use %s for %s, or protection of at most %s.", survey_size(survey, size),
                           wire->name, AMPS(wire_device_limit(survey, wire)));
  return g_strdup_printf("Use %s for %s.", survey_size(survey, size), wire->name);
}

static void
note_size(CheckContext *context, const Finding *finding, const Wire *wire, guint index, double amps,
          double device)
{
  Quantity size;
  if (wire_size_for(context->survey, wire, amps, device, &size))
    remedy_wire(context, finding, index, "gauge", quantity_format(size));
}

/* The device ahead when 240.4 asks for it: not for motors (240.4(G)), class 2, or unknown. 0: none
 * to judge by. */
static double
judged_device(const Survey *survey, const Wire *wire)
{
  double device = survey->device_amps[wire->node];
  bool judged = survey_hot(survey, wire->node) && device < SURVEY_UNKNOWN_RATING &&
                !survey->serves_motor[wire->node] && !survey_class2(survey, wire->node);
  return judged ? device : 0;
}

void
check_conductor_too_small(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  bool amps_tell = survey->volts != NULL && !survey->shorted && !survey->amps_mislead;
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    Wire wire;
    if (!wire_at(survey, i, &wire) || isnan(wire.ampacity))
      continue;
    double amps = amps_tell ? fmax(survey_conductor_amps(survey, i), 0) : 0;
    double device = judged_device(survey, &wire);
    double limit = wire_device_limit(survey, &wire);
    bool overloaded = amps > wire.ampacity * 1.001;
    if (!overloaded && device <= limit * 1.0001)
      continue;
    const char *size = survey_size(survey, wire.size), *why = wire_explain(survey, &wire);
    char *message =
        overloaded
            ? g_strdup_printf("%s (%s) carries %s with everything on; where it runs it may carry "
                              "%s (%s).",
                              wire.name, size, AMPS(amps), AMPS(wire.ampacity), why)
            : g_strdup_printf("%s (%s) is protected by %s ahead of it; for its size %s is the most "
                              "(it may carry %s: %s).",
                              wire.name, size, AMPS(device), AMPS(limit), AMPS(wire.ampacity), why);
    Finding *finding =
        check_report(check, context, message, size_remedy(survey, &wire, amps, device, overloaded),
                     wire.name, NULL);
    note_size(context, finding, &wire, i, amps, device);
    if (!overloaded)
      finding->signal = SIGNAL_CAUTION;
  }
}

void
check_insulation_voltage(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted || survey->amps_mislead)
    return;
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    Wire wire;
    const Value *insulation =
        &document_conductor(context->document, i)->values[CONDUCTOR_INSULATION];
    if (!insulation->has_value || !wire_at(survey, i, &wire))
      continue;
    double rated = quantity_value(insulation->low);
    double volts = fmax(survey_to_earth(survey, wire.node), survey->circuit_volts[wire.node]);
    double nominal = nominal_volts_near(volts) > 0 ? nominal_volts_near(volts) : volts;
    if (nominal <= rated * 1.001)
      continue;
    Finding *finding =
        check_report(check, context,
                     g_strdup_printf("The insulation of %s is rated %s and stands at %s (%s "
                                     "measured).",
                                     wire.name, VOLTS(rated), VOLTS(nominal), VOLTS(volts)),
                     g_strdup_printf("Use conductors insulated for %s or more, as every other "
                                     "conductor in that enclosure.",
                                     VOLTS(nominal)),
                     wire.name, NULL);
    remedy_wire(context, finding, i, "insulation",
                quantity_format(quantity_make(nominal > 600 ? 1000 : 600, UNIT_VOLT)));
  }
}

void
check_terminal_crowded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint node = 1; node < survey->n_nodes; node++) {
    const Terminal *terminal = survey_terminal(survey, node);
    if (terminal == NULL)
      continue;
    guint most = terminal->capacity > 0 ? terminal->capacity : 2;
    if (survey->landings[node] <= most)
      continue;
    const char *name = survey_node_name(survey, node);
    check_report(check, context,
                 g_strdup_printf("%s holds %u conductors; it is made for %u.", name,
                                 survey->landings[node], most),
                 g_strdup_printf("Take %u of them to a splice or terminal strip and run one "
                                 "conductor from there to %s.",
                                 survey->landings[node] - most + 1, name),
                 name, NULL);
  }
}

void
check_landing_loose(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  enum { SOUND, LOOSE, BROKEN };
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    int condition = conductor->values[CONDUCTOR_CONDITION].choice;
    if (!conductor->values[CONDUCTOR_CONDITION].has_value || condition == SOUND)
      continue;
    const char *name = survey_conductor_name(survey, i);
    double amps = survey_conductor_amps(survey, i);
    g_autofree char *carries = amps > 0.001 && isfinite(amps)
                                   ? g_strdup_printf(" It carries %s.", AMPS(amps))
                                   : g_strdup("");
    Finding *finding = check_report(
        check, context,
        condition == LOOSE ? g_strdup_printf("%s is loose at a landing: it heats and opens and "
                                             "closes by itself.%s",
                                             name, carries)
                           : g_strdup_printf("%s is broken: what lies behind it is dead or "
                                             "floats.",
                                             name),
        condition == LOOSE
            ? g_strdup_printf("Lock out and tighten both ends of %s to the marked torque.", name)
            : g_strdup_printf("Lock out and replace %s.", name),
        name, NULL);
    remedy_wire(context, finding, i, "condition", g_strdup("sound"));
    if (condition == BROKEN)
      finding->signal = SIGNAL_WARNING;
  }
}
