/* SPDX-License-Identifier: MIT */
/* Conductors: size, insulation, landings. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "checks/wire.h"
#include "tables/motor_branch.h"
#include "tables/nominal_systems.h"

#include <math.h>

static char *
size_remedy(const Survey *survey, const Wire *wire, double amps, double device, bool overloaded)
{
  Quantity size;
  if (!wire_size_for(survey, wire, amps, device, &size))
    return g_strdup_printf(_("Use a larger conductor for %s, or less load."), wire->name);
  if (!overloaded)
    return g_strdup_printf(_("Use %s for %s, or protection of at most %s."),
                           survey_size(survey, size), wire->name,
                           AMPS(wire_device_limit(survey, wire)));
  return g_strdup_printf(_("Use %s for %s."), survey_size(survey, size), wire->name);
}

static void
note_size(CheckContext *context, const Finding *finding, const Wire *wire, guint index, double amps,
          double device)
{
  Quantity size;
  if (wire_size_for(context->survey, wire, amps, device, &size))
    remedy_wire(context, finding, index, "gauge", quantity_format(size));
}

/* The largest motor a conductor feeds, by nameplate; 0: none. Grounded conductors too. */
static double
motor_of(const Survey *survey, const Wire *wire)
{
  guint to = circuit_node_of_landing(survey->context->circuit, &wire->conductor->to);
  double other = to < survey->n_nodes ? survey->motor_amps[to] : 0;
  /* The end farther from the source feeds less; both ends of a return are alike. */
  return fmin(survey->motor_amps[wire->node], other);
}

static MotorDevice
motor_device(const Survey *survey, guint node)
{
  int guard = survey->guard[node];
  if (guard < 0)
    return MOTOR_BREAKER;
  const Join *join = circuit_item(survey->context->circuit->joins, Join, guard);
  const Device *device = document_device(survey->context->document, join->owner.index);
  if (join->role == JOIN_BREAKER)
    return MOTOR_BREAKER;
  return survey_flag(device, "time-delay") ? MOTOR_FUSE_TIME_DELAY : MOTOR_FUSE;
}

/* Amperes a conductor has to be sized for: everything on, and a quarter more of the largest motor
 * (430.22, 430.24). */
static double
needed_amps(const Survey *survey, const Wire *wire, double amps)
{
  double motor = motor_of(survey, wire);
  return motor > 0 && amps > 0.5 * motor ? motor_conductor_amps(motor, fmax(amps - motor, 0))
                                         : amps;
}

/* The device ahead when 240.4 asks for it: not for class 2, nor up to what 430.52 permits for
 * motors (240.4(G)). 0: none to judge by. */
static double
judged_device(const Survey *survey, const Wire *wire, double amps)
{
  double device = survey->device_amps[wire->node], motor = motor_of(survey, wire);
  if (!survey_hot(survey, wire->node) || device >= SURVEY_UNKNOWN_RATING ||
      survey_class2(survey, wire->node))
    return 0;
  if (motor > 0 &&
      device <= motor_device_largest(motor, fmax(amps - motor, 0), motor_device(survey, wire->node),
                                     survey->edition) *
                    1.0001)
    return 0;
  return device;
}

static char *
too_small_message(const Survey *survey, const Wire *wire, double amps, double needed)
{
  const char *size = survey_size(survey, wire->size), *why = wire_explain(survey, wire);
  if (needed > amps * 1.001)
    return g_strdup_printf(
        _("%s (%s) carries %s with everything on; with a quarter more of its "
          "largest motor it has to be good for %s and may carry %s where it runs "
          "(%s)."),
        wire->name, size, AMPS(amps), AMPS(needed), AMPS(wire->ampacity), why);
  return g_strdup_printf(_("%s (%s) carries %s with everything on; where it runs it may carry %s "
                           "(%s)."),
                         wire->name, size, AMPS(amps), AMPS(wire->ampacity), why);
}

static void
judge_size(const Check *check, CheckContext *context, const Wire *wire, double amps)
{
  const Survey *survey = context->survey;
  double needed = needed_amps(survey, wire, amps);
  double device = judged_device(survey, wire, amps), limit = wire_device_limit(survey, wire);
  bool overloaded = needed > wire->ampacity * 1.001;
  if (!overloaded && device <= limit * 1.0001)
    return;
  char *message =
      overloaded
          ? too_small_message(survey, wire, amps, needed)
          : g_strdup_printf(_("%s (%s) is protected by %s ahead of it; for its size %s is the most "
                              "(it may carry %s: %s)."),
                            wire->name, survey_size(survey, wire->size), AMPS(device), AMPS(limit),
                            AMPS(wire->ampacity), wire_explain(survey, wire));
  Finding *finding =
      check_report(check, context, message, size_remedy(survey, wire, needed, device, overloaded),
                   wire->name, NULL);
  note_size(context, finding, wire, wire->index, needed, device);
  if (!overloaded || amps <= wire->ampacity)
    finding->signal = SIGNAL_CAUTION;
}

void
check_conductor_too_small(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  bool amps_tell = survey->volts != NULL && !survey->shorted && !survey->amps_mislead;
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    Wire wire;
    if (wire_at(survey, i, &wire) && !isnan(wire.ampacity))
      judge_size(check, context, &wire, amps_tell ? fmax(survey_conductor_amps(survey, i), 0) : 0);
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
                     g_strdup_printf(_("The insulation of %s is rated %s and stands at %s (%s "
                                       "measured)."),
                                     wire.name, VOLTS(rated), VOLTS(nominal), VOLTS(volts)),
                     g_strdup_printf(_("Use conductors insulated for %s or more, as every other "
                                       "conductor in that enclosure."),
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
                 g_strdup_printf(_("%s holds %u conductors; it is made for %u."), name,
                                 survey->landings[node], most),
                 g_strdup_printf(_("Take %u of them to a splice or terminal strip and run one "
                                   "conductor from there to %s."),
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
                                   ? g_strdup_printf(_(" It carries %s."), AMPS(amps))
                                   : g_strdup("");
    Finding *finding = check_report(
        check, context,
        condition == LOOSE ? g_strdup_printf(_("%s is loose at a landing: it heats and opens and "
                                               "closes by itself.%s"),
                                             name, carries)
                           : g_strdup_printf(_("%s is broken: what lies behind it is dead or "
                                               "floats."),
                                             name),
        condition == LOOSE
            ? g_strdup_printf(_("Lock out and tighten both ends of %s to the marked torque."), name)
            : g_strdup_printf(_("Lock out and replace %s."), name),
        name, NULL);
    remedy_wire(context, finding, i, "condition", g_strdup("sound"));
    if (condition == BROKEN)
      finding->signal = SIGNAL_WARNING;
  }
}
