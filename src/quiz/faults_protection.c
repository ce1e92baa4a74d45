/* SPDX-License-Identifier: MIT */
/* Faults of fuses, breakers and disconnects. */
#include "quiz/site.h"

#include <math.h>

static bool
protects(const FaultSite *site)
{
  PartRole role = site->device->kind->role;
  return role == ROLE_FUSE || role == ROLE_BREAKER;
}

/* The transformer whose primary the device guards, and nothing else does; or -1. */
static int
guarded_core(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  const Circuit *circuit = site->scene->sound->circuit;
  for (guint c = 0; c < circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    if (core->feeding < 0 || !core->fed)
      continue;
    const Winding *winding = survey_winding(survey, (guint)core->feeding);
    const guint ends[2] = {survey_lead(winding, core->low)->node,
                           survey_lead(winding, core->high)->node};
    for (int k = 0; k < 2; k++) {
      int guard = site_hot(site, ends[k]) ? survey->guard[ends[k]] : -1;
      if (guard < 0)
        continue;
      Owner owner = circuit_item(circuit->joins, Join, guard)->owner;
      if (owner.kind == OWNER_DEVICE && owner.index == site->device_index)
        return (int)c;
    }
  }
  return -1;
}

/* One fuse for each of a transformer's leads, no larger than 40 A after the fault. */
static bool
primary_fuse(const FaultSite *site)
{
  return site->device->kind->role == ROLE_FUSE && guarded_core(site) >= 0;
}

/* A tenth of it is below the transformer's rated current, or below what it carries. */
static bool
too_small_by_ten(const FaultSite *site)
{
  double rating = site_figure(site, "rating") * site->fault->factor;
  int core = protects(site) ? guarded_core(site) : -1;
  double rated = core >= 0 ? survey_primary_amps(site->scene->survey, (guint)core) : 0;
  return protects(site) && (0.95 * rated > rating || site_amps(site) > 1.1 * rating);
}

static bool
on_secondary(const FaultSite *site)
{
  return site->device->kind->role == ROLE_FUSE &&
         survey_source_core(site->scene->survey, site->near) >= 0;
}

/* Its primary device is larger than it may be without one on the secondary. */
static bool
secondary_fuse_needed(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  int core = on_secondary(site) ? survey_source_core(survey, site->near) : -1;
  if (core < 0 || survey->cores[core].feeding < 0)
    return false;
  const Winding *winding = survey_winding(survey, (guint)survey->cores[core].feeding);
  double most = 0, rated = survey_primary_amps(survey, (guint)core);
  const guint ends[2] = {survey_lead(winding, survey->cores[core].low)->node,
                         survey_lead(winding, survey->cores[core].high)->node};
  for (int k = 0; k < 2; k++)
    if (site_hot(site, ends[k]))
      most = fmax(most, survey->device_amps[ends[k]]);
  return most > (rated < 2 ? 3.01 : rated < 9 ? 1.68 : 1.26) * rated && most < 1e6;
}

/* No protection lies ahead of the line side. */
static bool
only_protection(const FaultSite *site, guint line_side)
{
  return site->scene->survey->guard[line_side] < 0 && site_hot(site, line_side);
}

/* From the load side of a primary fuse to its line side. */
static bool
ahead_of_fuse(const FaultSite *site)
{
  return primary_fuse(site) && only_protection(site, site->to) &&
         site->device == site_device(site, site->to) &&
         site_terminal_role(site, site->near) == TERMINAL_LOAD_SIDE &&
         site_role(site, site->far) == ROLE_TRANSFORMER && site_hot(site, site->near);
}

static bool
across_fuse(const FaultSite *site)
{
  return primary_fuse(site) && site_hot(site, site->near) && site_hot(site, site->to) &&
         (only_protection(site, site->near) || only_protection(site, site->to));
}

/* Disconnects and breakers with two or more poles in ungrounded conductors. */
static guint
hot_poles(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  guint poles = 0;
  for (guint j = 0; j < circuit->joins->len; j++) {
    const Join *join = circuit_item(circuit->joins, Join, j);
    if (join->owner.kind == OWNER_DEVICE && join->owner.index == site->device_index &&
        join->lockable && site->scene->survey->landings[join->a] > 0 &&
        site->scene->survey->landings[join->b] > 0)
      poles += site_hot(site, join->a) && site_hot(site, join->b);
  }
  return poles;
}

/* The line and load sides of one pole. */
static bool
across_pole(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  for (guint j = 0; j < circuit->joins->len; j++) {
    const Join *join = circuit_item(circuit->joins, Join, j);
    if (join->owner.kind == OWNER_DEVICE && join->owner.index == site->device_index &&
        join->lockable &&
        ((join->a == site->near && join->b == site->to) ||
         (join->b == site->near && join->a == site->to)))
      return site_hot(site, site->near);
  }
  return false;
}

static bool
only_isolator(const FaultSite *site)
{
  const Document *document = site->scene->document;
  guint isolators = 0;
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    const Value *lockable = device_value_named(device, "lockable");
    PartRole role = device->kind->role;
    isolators += role == ROLE_DISCONNECT || role == ROLE_BREAKER ||
                 (lockable != NULL && survey_flag(device, "lockable"));
  }
  return isolators == 1;
}

static bool
across_one_of_several_poles(const FaultSite *site)
{
  return across_pole(site) && hot_poles(site) >= 2 && only_isolator(site);
}

static bool
across_the_one_pole(const FaultSite *site)
{
  return across_pole(site) && hot_poles(site) == 1 && only_isolator(site);
}

/* The conductor on that terminal leads to a fuse or to a device of one pole. */
static bool
one_pole_behind(const FaultSite *site, guint node)
{
  const Circuit *circuit = site->scene->sound->circuit;
  for (guint c = 0; c < document_conductor_count(site->scene->document); c++) {
    const Conductor *conductor = document_conductor(site->scene->document, c);
    guint ends[2] = {circuit_node_of_landing(circuit, &conductor->from),
                     circuit_node_of_landing(circuit, &conductor->to)};
    for (int k = 0; k < 2; k++) {
      const Device *device = site_device(site, ends[1 - k]);
      if (ends[k] != node || device == NULL)
        continue;
      PartRole role = device->kind->role;
      return role == ROLE_FUSE || ((role == ROLE_BREAKER || role == ROLE_DISCONNECT) &&
                                   device_number_named(device, "poles", 0) < 1.5);
    }
  }
  return false;
}

/* The supply's line and its grounded conductor, with volts between, and a pole ahead of it all. */
static bool
line_and_neutral(const FaultSite *site)
{
  if (site_role(site, site->near) != ROLE_SUPPLY)
    return false;
  bool a = site_terminal_role(site, site->near) == TERMINAL_NEUTRAL;
  bool b = site_terminal_role(site, site->to) == TERMINAL_NEUTRAL;
  guint line = a ? site->to : site->near;
  return a != b && site_sole(site, line) && one_pole_behind(site, line) && site_hot(site, line) &&
         site->scene->survey->landings[site->near] > 0 &&
         site->scene->survey->landings[site->to] > 0;
}

static bool
stands_at_volts(const FaultSite *site)
{
  PartRole role = site->device->kind->role;
  return (protects(site) || role == ROLE_DISCONNECT) &&
         site->scene->survey->circuit_volts[site->near] > 30 && site_hot(site, site->near);
}

/* A straight breaker on lines that stand at more than 24 V to ground. */
static bool
breaker_to_ground(const FaultSite *site)
{
  return site->device->kind->role == ROLE_BREAKER &&
         survey_source_core(site->scene->survey, site->near) < 0 &&
         site_to_earth(site, site->near) > 30 &&
         site->scene->survey->circuit_volts[site->near] > 30;
}

/* A supply that can deliver more than 100 A into a short, without a transformer before it. */
static bool
at_stiff_supply(const FaultSite *site)
{
  const GArray *supplies = site->scene->sound->circuit->supplies;
  return protects(site) && site_hot(site, site->near) && supplies->len == 1 &&
         circuit_item(supplies, CircuitSupply, 0)->fault_amps > 1000 &&
         survey_source_core(site->scene->survey, site->near) < 0;
}

static bool
supply_before_protection(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  if (site->device->kind->role != ROLE_SUPPLY || !(site_figure(site, "fault-current") > 0))
    return false;
  const Circuit *circuit = site->scene->sound->circuit;
  for (guint j = 0; j < circuit->joins->len; j++) {
    const Join *join = circuit_item(circuit->joins, Join, j);
    if ((join->role == JOIN_FUSE || join->role == JOIN_BREAKER) && site_hot(site, join->a) &&
        survey->root[join->a] != SITE_NONE && survey->winding_of[survey->root[join->a]] < 0)
      return true;
  }
  return false;
}

const Fault faults_protection[] = {
    {.name = "primary-fuse-too-large",
     .title = N_("A primary fuse forty times as large"),
     .symptom = N_("The transformer burnt out and the fuse is still good."),
     .check = "primary-protection-too-large",
     .also = "conductor-too-small secondary-unprotected secondary-protection-too-large",
     .why =
         N_("conductors, grounding and the secondary's protection were sized for the smaller fuse"),
     .topic = FAULT_PROTECTION,
     .level = FAULT_MEDIUM,
     .edit = FAULT_SCALE,
     .where = primary_fuse,
     .field = "rating",
     .factor = 40},
    {.name = "fuse-too-small",
     .title = N_("Protection of a tenth of its rating"),
     .symptom = N_("The fuse blows every time power comes on."),
     .check = "protection-too-small",
     .topic = FAULT_PROTECTION,
     .level = FAULT_MEDIUM,
     .edit = FAULT_SCALE,
     .where = too_small_by_ten,
     .field = "rating",
     .factor = 0.1},
    {.name = "secondary-fuse-too-large",
     .title = N_("A secondary fuse six times as large"),
     .symptom = N_("The secondary conductors are scorched and the fuse is still good."),
     .check = "secondary-protection-too-large",
     .also = "conductor-too-small",
     .why = N_("the primary fuse may be that large only with the right one on the secondary"),
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_SCALE,
     .where = secondary_fuse_needed,
     .field = "rating",
     .factor = 6},
    {.name = "fuse-bypassed",
     .title = N_("A transformer's conductor lies ahead of its fuse"),
     .symptom = N_("The fuse is out and the load still works."),
     .check = "primary-unprotected",
     .topic = FAULT_PROTECTION,
     .level = FAULT_MEDIUM,
     .edit = FAULT_RELAND,
     .where = ahead_of_fuse},
    {.name = "fuse-bridged",
     .title = N_("A conductor lies across a fuse"),
     .symptom = N_("The fuse is out and the load still works."),
     .check = "primary-unprotected",
     .topic = FAULT_PROTECTION,
     .level = FAULT_MEDIUM,
     .edit = FAULT_LAND,
     .where = across_fuse},
    {.name = "pole-bridged",
     .title = N_("A conductor lies across one pole of the disconnect"),
     .symptom = N_("One conductor is live after lock-out."),
     .check = "pole-not-opened",
     .also = "terminal-crowded no-disconnect",
     .why = N_("where the pole belongs to a breaker, its protection is bridged too; a winding "
               "in series takes all lines together"),
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_LAND,
     .where = across_one_of_several_poles},
    {.name = "disconnect-bridged",
     .title = N_("A conductor lies across the only pole"),
     .symptom = N_("Everything is live after lock-out."),
     .check = "no-disconnect",
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_LAND,
     .where = across_the_one_pole},
    {.name = "neutral-switched",
     .title = N_("Line and grounded conductor are exchanged at the supply"),
     .symptom = N_("With the switch open the load is still live."),
     .check = "opens-grounded-conductor",
     .also = "colour-misused no-disconnect primary-unprotected",
     .why = N_("the ungrounded conductor is now the one without protection and of the wrong "
               "colour"),
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_EXCHANGE,
     .where = line_and_neutral},
    {.name = "device-for-less-volts",
     .title = N_("A device rated 24 V"),
     .symptom = N_("The device's label does not suit this panel."),
     .check = "device-voltage-exceeded",
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_FIELD,
     .where = stands_at_volts,
     .field = "volts",
     .value = "24 V"},
    {.name = "slash-too-low",
     .title = N_("A breaker whose lower figure is 24 V to ground"),
     .symptom = N_("The breaker's label does not suit this system."),
     .check = "device-voltage-exceeded",
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_FIELD,
     .where = breaker_to_ground,
     .field = "volts-to-ground",
     .value = "24 V"},
    {.name = "fault-current-unasked",
     .title = N_("Nobody asked for the available fault current"),
     .symptom = N_("The sheet does not say what the supply can deliver into a short."),
     .check = "fault-current-unknown",
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_FIELD,
     .where = supply_before_protection,
     .field = "fault-current"},
    {.name = "interrupting-too-low",
     .title = N_("An interrupting rating of 100 A"),
     .symptom = N_("The device's label does not suit this panel."),
     .check = "interrupting-rating-exceeded",
     .topic = FAULT_PROTECTION,
     .level = FAULT_HARD,
     .edit = FAULT_FIELD,
     .where = at_stiff_supply,
     .field = "interrupting",
     .value = "100 A"},
    {0},
};
