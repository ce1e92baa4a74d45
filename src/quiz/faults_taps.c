/* SPDX-License-Identifier: MIT */
/* Faults at a transformer's leads. */
#include "quiz/site.h"

#include <math.h>

/* The exchange puts the supply on an unused lead of the same winding; its marked volts from the
 * lead that stays, and what was applied. */
static bool
moves_to_lead(const FaultSite *site, double *marked, double *now, double *applied)
{
  const Survey *survey = site->scene->survey;
  guint pair[2] = {site->near, site->to};
  for (int i = 0; i < 2; i++) {
    guint used = pair[i], unused = pair[1 - i], stays;
    if (!site_fed_lead(site, used, &stays, now) || !site_unused_lead(site, unused) ||
        survey->winding_of[used] != survey->winding_of[unused])
      continue;
    const Winding *winding = survey_winding(survey, (guint)survey->winding_of[used]);
    double at[2] = {0, 0};
    for (guint k = 0; k < winding->leads->len; k++) {
      const SurveyLead *lead = survey_lead(winding, k);
      if (lead->node == unused)
        at[0] = lead->volts;
      if (lead->node == stays)
        at[1] = lead->volts;
    }
    *marked = fabs(at[0] - at[1]);
    *applied = site_between(site, used, stays);
    return *marked > 0 && *applied > 0;
  }
  return false;
}

static bool
to_lower_lead(const FaultSite *site)
{
  double marked, now, applied;
  return moves_to_lead(site, &marked, &now, &applied) && applied / marked > 1.12;
}

static bool
to_higher_lead(const FaultSite *site)
{
  double marked, now, applied;
  return moves_to_lead(site, &marked, &now, &applied) && applied / marked < 0.88;
}

/* One of the two is its winding's common: leads are compared from there. */
static bool
moves_common(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  int index = survey->winding_of[site->near];
  const Winding *winding = survey_winding(survey, (guint)MAX(index, 0));
  guint common = survey_lead(winding, 0)->node;
  return index < 0 || site->near == common || site->to == common;
}

/* Misfit beyond 5 % where the lead in use fits at least twice as well. */
static bool
to_worse_lead(const FaultSite *site)
{
  double marked, now, applied;
  if (!moves_to_lead(site, &marked, &now, &applied) || moves_common(site))
    return false;
  double there = fabs(log(applied / marked)), here = fabs(log(applied / now));
  return there > 0.051 && here < 0.49 * there;
}

/* The exchange puts what a secondary lead feeds on an unused lead of the same winding; the volts of
 * that one over those of the lead in use, from the common. 0: it is no such exchange. */
static double
secondary_ratio(const FaultSite *site, guint *used)
{
  const Survey *survey = site->scene->survey;
  int index = site_secondary(site, site->near) ? survey->winding_of[site->near] : -1;
  bool near_unused = site_unused_lead(site, site->near);
  if (index < 0 || survey->winding_of[site->to] != index ||
      near_unused == site_unused_lead(site, site->to))
    return 0;
  *used = near_unused ? site->to : site->near;
  const Winding *winding = survey_winding(survey, (guint)index);
  double now = 0, then = 0;
  for (guint k = 0; k < winding->leads->len; k++) {
    const SurveyLead *lead = survey_lead(winding, k);
    if (lead->node == *used)
      now = lead->volts;
    else if (lead->node == site->near || lead->node == site->to)
      then = lead->volts;
  }
  return now > 0 ? then / now : 0;
}

/* A load behind that lead would then get more than factor times the high end of what it accepts (or
 * less than factor times the low end, but still something). */
static bool
load_leaves_range(const FaultSite *site, bool upwards)
{
  const Survey *survey = site->scene->survey;
  guint used;
  double ratio = secondary_ratio(site, &used);
  const GArray *loads = site->scene->sound->circuit->loads;
  for (guint i = 0; ratio > 0 && i < loads->len; i++) {
    const Load *load = circuit_item(loads, Load, i);
    double volts = site_between(site, load->a, load->b) * ratio;
    if (survey->root[load->a] != used && survey->root[load->b] != used)
      continue;
    if (upwards ? load->accepts_high > 0 && volts > 1.05 * load->accepts_high
                : volts < 0.9 * load->accepts_low && volts > 0.2 * load->accepts_low)
      return true;
  }
  return false;
}

static bool
to_higher_secondary(const FaultSite *site)
{
  return load_leaves_range(site, true);
}

static bool
to_lower_secondary(const FaultSite *site)
{
  return load_leaves_range(site, false);
}

static bool
capped_lead(const FaultSite *site)
{
  return site_unused_lead(site, site->near) && site_sole(site, site->near) &&
         site_role(site, site->far) == ROLE_CAP;
}

/* From its own cap under the cap of another lead of the same winding. */
static bool
under_another_cap(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  if (site_role(site, site->near) != ROLE_CAP || !site_unused_lead(site, site->far) ||
      !site_sole(site, site->to) || site_metal(site, site->near, site->to))
    return false;
  for (guint node = 1; node < survey->n_nodes; node++)
    if (survey->winding_of[node] == survey->winding_of[site->far] &&
        site_metal(site, node, site->to))
      return true;
  return false;
}

static bool
capped_pair(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  return survey->capped[survey->nets[NET_METAL][site->near]] ||
         survey->capped[survey->nets[NET_METAL][site->to]];
}

/* A used lead and an unused one of the same primary; a capped one is the caps' matter. */
static bool
used_and_unused(const FaultSite *site)
{
  double marked, now, applied;
  return moves_to_lead(site, &marked, &now, &applied) && !capped_pair(site);
}

static bool
fed_lead_alone(const FaultSite *site)
{
  guint other;
  double marked;
  return site_sole(site, site->near) && site_fed_lead(site, site->near, &other, &marked);
}

/* A pair that steps down by two or more: turned round it cannot pass for another winding. */
static bool
steps_down(const FaultSite *site)
{
  guint other;
  double marked;
  const Survey *survey = site->scene->survey;
  for (guint c = 0; c < site->scene->sound->circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    if (core->device != site->device_index || core->feeding < 0 || core->secondaries->len != 1)
      continue;
    guint high = survey_lead(survey_winding(survey, (guint)core->feeding), core->high)->node;
    const Winding *secondary = survey_winding(survey, g_array_index(core->secondaries, guint, 0));
    return site_fed_lead(site, high, &other, &marked) && marked > 1.9 * secondary->span;
  }
  return false;
}

/* The two ends of one of several secondary windings of equal volts that work together. */
static bool
winding_of_several(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  int core = site_core(site, site->near);
  if (core < 0 || core != site_core(site, site->to) || !site_secondary(site, site->near) ||
      survey->winding_of[site->near] != survey->winding_of[site->to])
    return false;
  const Winding *own = survey_winding(survey, (guint)survey->winding_of[site->near]);
  const GArray *all = survey->cores[core].secondaries;
  guint joined = 0;
  for (guint i = 0; i < all->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(all, guint, i));
    if (winding == own)
      continue;
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node;
      /* Two grounded ends on one bond are neither in series nor in parallel. */
      joined += !survey_grounded(survey, node) &&
                (site_metal(site, node, site->near) || site_metal(site, node, site->to));
    }
  }
  return joined > 0 && own->leads->len == 2;
}

/* The row of an unused lead between its winding's ends. */
static bool
unused_row(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  for (guint i = 0; i < device_terminal_count(site->device); i++) {
    guint node = circuit_node(site->scene->sound->circuit, site->device_index, i);
    if (device_terminal(site->device, i)->row != (int)site->second || !site_unused_lead(site, node))
      continue;
    const Winding *winding = survey_winding(survey, (guint)survey->winding_of[node]);
    return winding->leads->len >= 3 && node != survey_lead(winding, 0)->node;
  }
  return false;
}

/* Less than what the secondaries deliver. */
static bool
delivers_more(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  for (guint c = 0; c < circuit->cores->len; c++)
    if (site->scene->survey->cores[c].device == site->device_index && site->scene->survey->volts)
      return survey_delivered(site->scene->survey, c) >
             1.1 * site->fault->factor * circuit_item(circuit->cores, Core, c)->rating;
  return false;
}

static bool
class2_beyond(const FaultSite *site)
{
  return survey_flag(site->device, "class-2") &&
         site_figure(site, "rating") * site->fault->factor > 100.5;
}

/* A lead that brings line power and an ungrounded class 2 lead of the same unit. */
static bool
line_and_class2(const FaultSite *site)
{
  guint other;
  double marked;
  if (site_role(site, site->near) != ROLE_TRANSFORMER || !survey_flag(site->device, "class-2"))
    return false;
  guint primary = site_secondary(site, site->near) ? site->to : site->near;
  guint secondary = primary == site->near ? site->to : site->near;
  return site_secondary(site, secondary) && site_fed_lead(site, primary, &other, &marked) &&
         site_hot(site, secondary) && site_hot(site, primary);
}

const Fault faults_taps[] = {
    {.name = "lead-too-low",
     .title = N_("The supply lies on a lead marked too low for it"),
     .symptom = N_("The transformer hums, gets hot and smells; the load gets too many volts."),
     .check = "tap-too-low",
     .also = "load-overvoltage better-lead device-voltage-exceeded protection-too-small",
     .why = N_("secondary volts rise by the same ratio, and the rated primary current is that "
               "of the lead in use"),
     .topic = FAULT_TAPS,
     .level = FAULT_EASY,
     .edit = FAULT_EXCHANGE,
     .where = to_lower_lead},
    {.name = "lead-too-high",
     .title = N_("The supply lies on a lead marked too high for it"),
     .symptom = N_("Relays pull in weakly or not at all; the load is slow or dim."),
     .check = "tap-too-high",
     .also = "primary-protection-too-large secondary-protection-too-large better-lead "
             "load-undervoltage",
     .why = N_("secondary volts fall by the same ratio, and the rated primary current, by which "
               "both protections are judged, is that of the lead in use"),
     .topic = FAULT_TAPS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_EXCHANGE,
     .where = to_higher_lead},
    {.name = "lead-not-the-best",
     .title = N_("The supply lies on a lead that fits worse than another"),
     .symptom = N_("Everything works, yet not as well as it should."),
     .check = "better-lead",
     .also = "primary-protection-too-large secondary-protection-too-large tap-too-low "
             "tap-too-high load-overvoltage device-voltage-exceeded load-undervoltage",
     .why = N_("a lead far off is too low or too high as well, and the rated primary current, by "
               "which both protections are judged, is that of the lead in use"),
     .topic = FAULT_TAPS,
     .level = FAULT_HARD,
     .edit = FAULT_EXCHANGE,
     .where = to_worse_lead},
    {.name = "secondary-lead-too-high",
     .title = N_("The load lies on a secondary lead of more volts"),
     .symptom = N_("The load runs hot or has failed."),
     .check = "load-overvoltage",
     .also = "transformer-overloaded",
     .why = N_("a load on more volts draws more"),
     .topic = FAULT_TAPS,
     .level = FAULT_EASY,
     .edit = FAULT_EXCHANGE,
     .where = to_higher_secondary},
    {.name = "secondary-lead-too-low",
     .title = N_("The load lies on a secondary lead of fewer volts"),
     .symptom = N_("The load is weak or does not start."),
     .check = "load-undervoltage",
     .topic = FAULT_TAPS,
     .level = FAULT_EASY,
     .edit = FAULT_EXCHANGE,
     .where = to_lower_secondary},
    {.name = "lead-left-open",
     .title = N_("An unused lead is not capped"),
     .symptom = N_("A bare end hangs in the box."),
     .check = "lead-not-capped",
     .topic = FAULT_TAPS,
     .level = FAULT_EASY,
     .edit = FAULT_CUT,
     .where = capped_lead},
    {.name = "leads-under-one-cap",
     .title = N_("Two unused leads share a cap"),
     .symptom = N_("The transformer hums loudly and its protection opens."),
     .check = "caps-joined",
     .also = "terminal-crowded",
     .why = N_("the cap holds one conductor more than it is made for"),
     .topic = FAULT_TAPS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_RELAND,
     .where = under_another_cap},
    {.name = "leads-joined",
     .title = N_("An unused lead is joined to the lead in use"),
     .symptom = N_("The transformer hums loudly and its protection opens."),
     .check = "leads-joined",
     .also = "primary-protection-too-large",
     .why = N_("the pair in use then counts by its higher lead, and so does the rated current"),
     .topic = FAULT_TAPS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_LAND,
     .where = used_and_unused},
    {.name = "lead-off",
     .title = N_("A primary lead in use is not landed"),
     .symptom = N_("Nothing on the secondary has volts."),
     .check = "primary-lead-missing",
     .also = "lead-not-capped load-not-fed load-undervoltage",
     .why = N_("the lead hangs free, and what a series winding should add is missing"),
     .topic = FAULT_TAPS,
     .level = FAULT_EASY,
     .edit = FAULT_CUT,
     .where = fed_lead_alone},
    {.name = "transformer-backwards",
     .title = N_("Supply and load have changed sides of the transformer"),
     .symptom = N_("Protection opens at once, or the load gets far too many volts."),
     .check = "fed-from-secondary",
     .also = "load-overvoltage load-undervoltage load-not-fed device-voltage-exceeded "
             "secondary-not-grounded colour-misused ground-carries-current class2-mixed "
             "tap-too-low",
     .why = N_("volts step up where they should step down, and all that was chosen for the low "
               "side meets them"),
     .topic = FAULT_TAPS,
     .level = FAULT_HARD,
     .edit = FAULT_BACKWARDS,
     .where = steps_down},
    {.name = "winding-turned",
     .title = N_("One of two secondary windings is turned round"),
     .symptom = N_("No volts where two windings should add, or protection opens where they share."),
     .check = "secondaries-opposed",
     .also = "load-not-fed conductor-too-small protection-too-small winding-overloaded",
     .why = N_("in series the windings cancel, in parallel they short each other"),
     .topic = FAULT_TAPS,
     .level = FAULT_HARD,
     .edit = FAULT_EXCHANGE,
     .where = winding_of_several},
    {.name = "lead-without-volts",
     .title = N_("The volts of an unused lead are not on the sheet"),
     .symptom = N_("The sheet does not say what one lead is for."),
     .check = "nameplate-incomplete",
     .topic = FAULT_TAPS,
     .level = FAULT_EASY,
     .edit = FAULT_ROW,
     .where = unused_row,
     .field = "volts"},
    {.name = "transformer-too-small",
     .title = N_("The transformer is a fraction of the size needed"),
     .symptom = N_("The transformer is too hot to touch after an hour."),
     .check = "transformer-overloaded",
     .also = "primary-protection-too-large secondary-protection-too-large load-undervoltage "
             "coil-will-not-pull-in",
     .why = N_("volts fall further in a small transformer, and its protection is sized by its "
               "rating"),
     .topic = FAULT_TAPS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_SCALE,
     .where = delivers_more,
     .field = "rating",
     .factor = 0.3},
    {.name = "class-2-too-large",
     .title = N_("A transformer marked class 2 of more than 100 VA"),
     .symptom = N_("The nameplate and the thin wiring do not go together."),
     .check = "class2-limit",
     .also = "protection-too-small",
     .why = N_("protection that suited the smaller unit is too small for its inrush"),
     .topic = FAULT_TAPS,
     .level = FAULT_HARD,
     .edit = FAULT_SCALE,
     .where = class2_beyond,
     .field = "rating",
     .factor = 6},
    {.name = "class-2-joined",
     .title = N_("A line conductor is joined to a class 2 lead"),
     .symptom = N_("Thin control wiring stands at line volts."),
     .check = "class2-mixed",
     .also = "load-overvoltage colour-misused ground-carries-current primary-unprotected "
             "device-voltage-exceeded",
     .why = N_("the two circuits are one circuit now, and the class 2 bond may short it"),
     .topic = FAULT_TAPS,
     .level = FAULT_HARD,
     .edit = FAULT_LAND,
     .where = line_and_class2},
    {0},
};
