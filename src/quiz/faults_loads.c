/* SPDX-License-Identifier: MIT */
/* Faults at and by the loads. */
#include "quiz/site.h"

#include "tables/conductor.h"

#include <math.h>

/* The only conductor on a terminal of something that draws current from two terminals. */
static bool
feeds_load(const FaultSite *site)
{
  bool lead_hangs_free = site_core(site, site->far) >= 0 && site_sole(site, site->far);
  return site_one_phase(site, site->near) && site_sole(site, site->near) && !lead_hangs_free;
}

static bool
fed_load(const FaultSite *site)
{
  return site_one_phase(site, site->near) && site_role(site, site->near) != ROLE_COIL &&
         site_volts(site) > 5;
}

/* Made for 12 V where it gets more than 14 V. */
static bool
gets_more(const FaultSite *site)
{
  return fed_load(site) && site_volts(site) > 14;
}

static bool
gets_less(const FaultSite *site)
{
  return fed_load(site) && site_volts(site) > 15 && site_volts(site) < 250;
}

/* Its transformer would have to deliver more than it is rated for. */
static bool
overloads_core(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  if (!fed_load(site) || survey->volts == NULL)
    return false;
  int core = survey_source_core(survey, site->near);
  core = core >= 0 ? core : survey_source_core(survey, site->to);
  double power = site_figure(site, "power");
  if (core < 0 || isnan(power))
    return false;
  double rating = circuit_item(site->scene->sound->circuit->cores, Core, core)->rating;
  double total = survey_delivered(survey, (guint)core) + (site->fault->factor - 1) * power;
  /* Far beyond it the volts fold and the load draws what is left. */
  return total > 1.15 * rating && total < 4 * rating;
}

/* On a part of the secondaries: that part is beyond its share, the transformer is not. */
static bool
overloads_winding(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  if (!fed_load(site) || survey->volts == NULL)
    return false;
  guint hot = survey_source_core(survey, site->near) >= 0 ? site->near : site->to;
  int core = survey_source_core(survey, hot);
  double power = site_figure(site, "power"), volts = site_volts(site);
  if (core < 0 || isnan(power))
    return false;
  const Circuit *circuit = site->scene->sound->circuit;
  double rating = circuit_item(circuit->cores, Core, core)->rating;
  double added = (site->fault->factor - 1) * power;
  for (guint s = 0; s < circuit->segments->len; s++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, s);
    bool own = segment->a == survey->root[hot] || segment->b == survey->root[hot];
    if (segment->core == (guint)core && segment->secondary && own)
      return survey_delivered(survey, (guint)core) + added < 0.97 * rating &&
             survey_segment_amps(survey, s) + added / volts > 1.1 * segment->rated_amps;
  }
  return false;
}

/* 1 500 ft drop more than a twelfth of its circuit's volts and leave it most of them. */
static bool
drops_volts(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  const Value *values = site->conductor->values;
  if (!site_one_phase(site, site->near) || !site_one_source(site, site->near) ||
      survey->volts == NULL || !values[CONDUCTOR_GAUGE].has_value || site_frame(site, site->near))
    return false;
  double amps = survey_conductor_amps(survey, site->first);
  double ohms = conductor_ohms_per_metre(
                    values[CONDUCTOR_GAUGE].low,
                    values[CONDUCTOR_MATERIAL].choice == 1 ? METAL_ALUMINIUM : METAL_COPPER, 75) *
                1500 * 0.3048;
  double volts = survey->circuit_volts[site->near];
  volts = volts > 0 ? volts : survey->circuit_volts[site->far];
  return amps * ohms > 0.08 * volts && amps * ohms < 0.4 * volts;
}

/* On the way from a node back to its source. */
static bool
on_the_way(const FaultSite *site, guint node)
{
  const Survey *survey = site->scene->survey;
  const Circuit *circuit = site->scene->sound->circuit;
  while (survey->parent[node] != SITE_NONE && survey->parent[node] != node) {
    int join = survey->parent_join[node];
    if (join >= 0) {
      Owner owner = circuit_item(circuit->joins, Join, join)->owner;
      if (owner.kind == OWNER_DEVICE && owner.index == site->device_index)
        return true;
    }
    node = survey->parent[node];
  }
  return false;
}

/* In the only way to a load. */
static bool
fuse_of_load(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  if (site->device->kind->role != ROLE_FUSE)
    return false;
  for (guint node = 1; node < survey->n_nodes; node++)
    if (site_one_phase(site, node) && survey->landings[node] > 0 && on_the_way(site, node))
      return true;
  return false;
}

const Fault faults_loads[] = {
    {.name = "load-cut-off",
     .title = N_("A conductor to a load is missing"),
     .symptom = N_("The load does not work at all."),
     .check = "load-not-fed",
     .also = "rotation-wrong primary-protection-too-large",
     .why = N_("of two contactors for both ways only one still works; a secondary fuse that "
               "feeds nothing does not count for the primary one"),
     .topic = FAULT_LOADS,
     .level = FAULT_EASY,
     .edit = FAULT_CUT,
     .where = feeds_load},
    {.name = "fuse-blown",
     .title = N_("A fuse is blown"),
     .symptom = N_("Nothing behind the fuse has volts."),
     .check = "load-not-fed",
     .topic = FAULT_LOADS,
     .level = FAULT_EASY,
     .edit = FAULT_FIELD,
     .where = fuse_of_load,
     .field = "blown",
     .value = "yes"},
    {.name = "load-for-less",
     .title = N_("The load was exchanged for one made for 12 V"),
     .symptom = N_("The new load failed within minutes."),
     .check = "load-overvoltage",
     .also = "winding-overloaded voltage-drop tap-too-high load-undervoltage "
             "coil-will-not-pull-in transformer-overloaded conductor-too-small "
             "protection-too-small contact-overloaded",
     .why = N_("for its power a load made for fewer volts draws more amperes, and volts fall "
               "on the way"),
     .topic = FAULT_LOADS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_FIELD,
     .where = gets_more,
     .field = "accepts",
     .value = "11..13 V"},
    {.name = "load-for-more",
     .title = N_("The load was exchanged for one made for 277 V"),
     .symptom = N_("The new load does next to nothing."),
     .check = "load-undervoltage",
     .topic = FAULT_LOADS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_FIELD,
     .where = gets_less,
     .field = "accepts",
     .value = "260..290 V"},
    {.name = "load-too-large",
     .title = N_("The load draws four times what the sheet says"),
     .symptom = N_("The transformer is too hot to touch after an hour."),
     .check = "transformer-overloaded",
     .also = "conductor-too-small protection-too-small voltage-drop load-undervoltage "
             "coil-will-not-pull-in",
     .why = N_("the amperes are beyond whatever they pass, and volts fall on the way"),
     .topic = FAULT_LOADS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_SCALE,
     .where = overloads_core,
     .field = "power",
     .factor = 4},
    {.name = "winding-too-small",
     .title = N_("A load larger than its winding's share of the rating"),
     .symptom = N_("The transformer runs hot although its rating is not reached."),
     .check = "winding-overloaded",
     .also = "protection-too-small",
     .why = N_("the breaker was sized for that share"),
     .topic = FAULT_LOADS,
     .level = FAULT_HARD,
     .edit = FAULT_SCALE,
     .where = overloads_winding,
     .field = "power",
     .factor = 2},
    {.name = "conductor-too-long",
     .title = N_("A conductor to the load is 1 500 ft long"),
     .symptom = N_("The load is weak although the transformer's volts are right."),
     .check = "voltage-drop",
     .also = "load-undervoltage coil-will-not-pull-in load-overvoltage",
     .why = N_("the volts lost on the way are missing at the load; of two contactors only one "
               "may still pull in; a long neutral shifts the volts of two halves"),
     .topic = FAULT_LOADS,
     .level = FAULT_HARD,
     .edit = FAULT_WIRE,
     .where = drops_volts,
     .field = "length",
     .value = "1500 ft"},
    {0},
};
