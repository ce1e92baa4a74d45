/* SPDX-License-Identifier: MIT */
/* Coils, contacts and three-phase motors. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "tables/voltage_ranges.h"

#include <math.h>

/* Volts coils are made for; common practice, no source. */
static double
coil_volts_near(double volts)
{
  static const double made[] = {12, 24, 48, 120, 208, 240, 277, 480, 600};
  for (gsize i = 0; i < G_N_ELEMENTS(made); i++)
    if (volts >= made[i] * COIL_PICK_UP && volts <= made[i] * COIL_MOST)
      return made[i];
  return 0;
}

static char *
coil_remedy(const Survey *survey, const Coil *coil, const char *id, double volts)
{
  double made = coil_volts_near(volts);
  if (made > 0 && fabs(made - coil->rated_volts) > 0.01 * made)
    return g_strdup_printf(_("Use a coil for %s at %s, or feed it %s."), VOLTS(made), id,
                           VOLTS(coil->rated_volts));
  return g_strdup_printf(
      _("Check the primary lead against the measured volts, then use a transformer "
        "with more VA, thicker conductors to %s, or a coil with less inrush than "
        "%s."),
      id, VA(cabs(coil->inrush_va)));
}

void
check_coil_will_not_pull_in(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted)
    return;
  for (guint i = 0; i < context->circuit->coils->len; i++) {
    const Coil *coil = circuit_item(context->circuit->coils, Coil, i);
    double volts = survey_between(survey, coil->a, coil->b);
    /* The solver begins with the coil let go, drawing its inrush. */
    if (survey->volts->coils[i].pulled_in || volts <= 0.05 * coil->rated_volts)
      continue;
    const char *id = survey_owner_name(survey, coil->owner);
    check_report(
        check, context,
        g_strdup_printf(_("%s gets %s while it draws its inrush of %s; it pulls in from %s "
                          "(%s of %s)."),
                        id, VOLTS(volts), VA(cabs(coil->inrush_va)), VOLTS(coil->pick_up),
                        PERCENT(100 * coil->pick_up / coil->rated_volts), VOLTS(coil->rated_volts)),
        coil_remedy(survey, coil, id, volts), id, NULL);
  }
}

void
check_coil_chatter(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (context->solution == NULL)
    return;
  for (guint i = 0; i < context->circuit->coils->len; i++) {
    const CoilState *state = &context->solution->coils[i];
    if (!state->chatters && !state->race)
      continue;
    const Coil *coil = circuit_item(context->circuit->coils, Coil, i);
    const char *id = survey_owner_name(survey, coil->owner);
    Finding *finding = check_report(
        check, context,
        state->chatters
            ? g_strdup_printf(
                  _("%s never settles: pulled in it cuts its own feed, let go it closes "
                    "it again. It chatters and its contacts burn."),
                  id)
            : g_strdup_printf(
                  _("%s settles pulled in or let go depending on which relay is quicker."), id),
        g_strdup_printf(
            _("Take the feed of %s from ahead of the contacts it opens, or interlock the "
              "relays."),
            id),
        id, NULL);
    if (!state->chatters)
      finding->signal = SIGNAL_NOTICE;
  }
}

void
check_contact_overloaded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted || survey->amps_mislead)
    return;
  for (guint i = 0; i < context->circuit->joins->len; i++) {
    const Join *join = circuit_item(context->circuit->joins, Join, i);
    bool contact =
        join->role == JOIN_CONTACT || join->role == JOIN_SWITCH || join->role == JOIN_DISCONNECT;
    double amps = contact && join->rated_amps > 0 ? survey_join_amps(survey, i) : 0;
    if (!(amps > join->rated_amps * 1.001))
      continue;
    const char *id = survey_owner_name(survey, join->owner);
    check_report(check, context,
                 g_strdup_printf(_("The contact %s-%s carries %s; it is rated %s."),
                                 survey_node_name(survey, join->a),
                                 survey_node_name(survey, join->b), AMPS(amps),
                                 AMPS(join->rated_amps)),
                 g_strdup_printf(_("Use a contact rated %s or more, or let it work a contactor."),
                                 AMPS(ceil(amps))),
                 id, NULL);
  }
}

/* Two lines carry current and one does not: a motor that already runs makes nearly the right volts
 * on its open lead by itself, so the volts alone would hide it. */
static bool
line_open(const Solution *solution, guint motor)
{
  double least = INFINITY, most = 0;
  for (guint k = 0; k < 3; k++) {
    double amps = cabs(solution->motor_amps[3 * motor + k]);
    least = fmin(least, amps);
    most = fmax(most, amps);
  }
  return most > 1e-3 && least < 1e-3 * most;
}

void
check_single_phased(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted)
    return;
  for (guint i = 0; i < context->circuit->motors->len; i++) {
    const Motor *motor = circuit_item(context->circuit->motors, Motor, i);
    bool wired = survey_single_phased(survey->volts, motor) || line_open(survey->volts, i);
    bool drawn = context->solution != NULL && (survey_single_phased(context->solution, motor) ||
                                               line_open(context->solution, i));
    if (!wired && !drawn)
      continue;
    const Solution *at = wired ? survey->volts : context->solution;
    const char *id = survey_owner_name(survey, motor->owner);
    double ab = cabs(solution_reading(at, motor->a, motor->b).volts);
    double bc = cabs(solution_reading(at, motor->b, motor->c).volts);
    double ca = cabs(solution_reading(at, motor->c, motor->a).volts);
    check_report(
        check, context,
        g_strdup_printf(wired ? _("%s runs on one phase: %s, %s and %s between its leads (rated "
                                  "%s). It will not start, or overheats running.")
                              : _("%s runs on one phase as drawn: %s, %s and %s between its leads "
                                  "(rated %s). It will not start, or overheats running."),
                        id, VOLTS(ab), VOLTS(bc), VOLTS(ca), VOLTS(motor->rated_volts)),
        g_strdup_printf(_("Find the open line, blown fuse or wrong landing ahead of %s; each "
                          "lead needs a line of its own."),
                        id),
        id, NULL);
  }
}

void
check_rotation_wrong(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted)
    return;
  for (guint i = 0; i < context->circuit->motors->len; i++) {
    const Motor *motor = circuit_item(context->circuit->motors, Motor, i);
    double positive, negative;
    survey_sequences(survey->volts, motor, &positive, &negative);
    if (negative < 0.3 * motor->rated_volts || negative < 2 * positive)
      continue;
    const char *id = survey_owner_name(survey, motor->owner);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s turns the wrong way: the lines reach its leads in reverse "
                          "order (reverse sequence %s, forward %s)."),
                        id, VOLTS(negative / 3), VOLTS(positive / 3)),
        g_strdup_printf(_("Exchange any two of the three conductors at %s."), id), id, NULL);
    remedy_swap(context, finding, motor->a, motor->b);
  }
}
