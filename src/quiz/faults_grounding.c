/* SPDX-License-Identifier: MIT */
/* Faults of grounding and bonding, and short circuits. */
#include "quiz/site.h"

#include <math.h>

static bool
frame_alone(const FaultSite *site)
{
  return site_frame(site, site->near) && site_sole(site, site->near);
}

/* From a secondary's grounded lead, or what is one piece of metal with it, to a ground: the only
 * such way. */
static bool
only_bond(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  const Document *document = site->scene->document;
  const Circuit *circuit = site->scene->sound->circuit;
  if (site_role(site, site->far) != ROLE_GROUND || site_frame(site, site->near) ||
      site_role(site, site->near) == ROLE_GROUND || site_role(site, site->near) == ROLE_SUPPLY)
    return false;
  guint root = survey->root[site->near];
  if (root == SITE_NONE || !site_secondary(site, root))
    return false;
  guint bonds = 0;
  for (guint c = 0; c < document_conductor_count(document); c++) {
    const Conductor *conductor = document_conductor(document, c);
    guint a = circuit_node_of_landing(circuit, &conductor->from);
    guint b = circuit_node_of_landing(circuit, &conductor->to);
    if (site_role(site, a) == ROLE_SUPPLY || site_role(site, b) == ROLE_SUPPLY)
      continue; /* its grounding conductor bonds nothing */
    bool ground_a = site_role(site, a) == ROLE_GROUND, ground_b = site_role(site, b) == ROLE_GROUND;
    if (ground_a != ground_b && !site_frame(site, a) && !site_frame(site, b) &&
        survey->root[ground_a ? b : a] == root)
      bonds++;
  }
  const Winding *winding = survey_winding(survey, (guint)survey->winding_of[root]);
  guint landed = 0;
  for (guint k = 0; k < winding->leads->len; k++)
    landed += survey->landings[survey_lead(winding, k)->node] > 0;
  return bonds == 1 && landed >= 2; /* a winding nobody uses needs none */
}

/* The supply stands above 150 V to ground, or the secondary at 50 V or more. */
static bool
needed_bond(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  const GArray *supplies = site->scene->sound->circuit->supplies;
  if (!only_bond(site))
    return false;
  int winding = survey->winding_of[survey->root[site->near]];
  double span = survey_winding(survey, (guint)winding)->span;
  for (guint i = 0; i < supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, i);
    if (!supply->system.grounded)
      return true;
    for (int k = 0; k < 3; k++)
      if (supply->line_nodes[k] != SITE_NONE && site_to_earth(site, supply->line_nodes[k]) > 155)
        return true;
  }
  return span >= 50;
}

/* The grounded terminal of something that draws current. */
static bool
grounded_side(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  return site_draws(site, site->near) && survey->landings[site->near] > 0 &&
         survey_grounded(survey, site->near) && !site_hot(site, site->near) &&
         site_to_earth(site, site->near) < 5 &&
         (survey_feed(survey, site->near) & FEED_RETURN) != 0;
}

/* The one conductor from a load back to its grounded source is put on a ground of its own: the
 * moved end is at the source. */
static bool
return_of_load(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  return site_draws(site, site->far) && site_sole(site, site->far) &&
         survey_grounded(survey, site->far) && !site_hot(site, site->far) &&
         (survey_feed(survey, site->far) & FEED_RETURN) != 0 &&
         survey_conductor_amps(survey, site->first) > 5e-3 && site_sole(site, site->far);
}

/* A grounding conductor far thinner than both the table and the circuit ask for. */
static bool
frame_behind_device(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  const Circuit *circuit = site->scene->sound->circuit;
  if (!site_frame(site, site->near) || !site->conductor->values[CONDUCTOR_GAUGE].has_value)
    return false;
  for (guint i = 0; i < device_terminal_count(site->device); i++) {
    guint node = circuit_node(circuit, site->device_index, i);
    if (site_hot(site, node) && survey->device_amps[node] < SURVEY_UNKNOWN_RATING &&
        survey->landings[node] > 0)
      return true;
  }
  return false;
}

static bool
live_as_drawn(const FaultSite *site, guint node)
{
  const Solution *solution = site->scene->sound->solution;
  return solution != NULL && cabs(solution_to_earth(solution, node).volts) > 5;
}

/* A frame and an ungrounded terminal of the same load. */
static bool
frame_and_line(const FaultSite *site)
{
  bool a = site_frame(site, site->near), b = site_frame(site, site->to);
  guint line = a ? site->to : site->near;
  if (!site_one_phase(site, line) || !site_one_source(site, line))
    return false;
  return a != b && site_hot(site, line) && site_to_earth(site, line) > 5 &&
         site->scene->survey->landings[a ? site->near : site->to] > 0 &&
         site->scene->survey->landings[line] > 0 && live_as_drawn(site, line);
}

/* Nothing else hangs on that frame or that line. */
static bool
frame_and_line_alone(const FaultSite *site)
{
  return frame_and_line(site) && site_sole(site, site->near) && site_sole(site, site->to);
}

static bool
ungrounded_line(const FaultSite *site)
{
  const GArray *supplies = site->scene->sound->circuit->supplies;
  for (guint i = 0; i < supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, i);
    if (supply->device == site->device_index && !supply->system.grounded)
      return site_terminal_role(site, site->near) == TERMINAL_LINE;
  }
  return false;
}

/* The two terminals of a load that is fed. */
static bool
both_sides_of_load(const FaultSite *site)
{
  return site_one_phase(site, site->near) && site_one_phase(site, site->to) &&
         site_one_source(site, site->near) && site_drawn_volts(site) > 5;
}

const Fault faults_grounding[] = {
    {.name = "frame-not-grounded",
     .title = N_("A frame is not grounded"),
     .symptom = N_("The enclosure tingles when touched."),
     .check = "frame-not-grounded",
     .topic = FAULT_GROUNDING,
     .level = FAULT_EASY,
     .edit = FAULT_CUT,
     .where = frame_alone},
    {.name = "bond-missing",
     .title = N_("The secondary's bond to ground is missing"),
     .symptom = N_("Both secondary conductors read odd volts to ground."),
     .check = "secondary-not-grounded",
     .also = "secondary-unprotected primary-unprotected primary-protection-too-large",
     .why = N_("an ungrounded secondary has two conductors to protect, and what it feeds has two "
               "as well"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_MEDIUM,
     .edit = FAULT_CUT,
     .where = needed_bond},
    {.name = "bonded-again",
     .title = N_("A grounded conductor is bonded a second time at the load"),
     .symptom = N_("A clamp meter shows amperes in the grounding conductor."),
     .check = "grounded-twice",
     .also = "terminal-crowded colour-misused",
     .why = N_("the green bond carries load current now, and one more conductor lies on the "
               "terminal"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_HARD,
     .edit = FAULT_GROUND,
     .where = grounded_side},
    {.name = "ground-as-return",
     .title = N_("A load returns through the ground"),
     .symptom = N_("A clamp meter shows the load's amperes in the ground."),
     .check = "ground-carries-current",
     .also = "colour-misused",
     .why = N_("where the source is bonded as well the current goes in at one bond and out at "
               "another; the green bond carries load current"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_HARD,
     .edit = FAULT_RETURN,
     .where = return_of_load},
    {.name = "ground-conductor-thin",
     .title = N_("A grounding conductor of 24 AWG"),
     .symptom = N_("The green conductor is far thinner than the others."),
     .check = "ground-conductor-too-small",
     .topic = FAULT_GROUNDING,
     .level = FAULT_HARD,
     .edit = FAULT_WIRE,
     .where = frame_behind_device,
     .field = "gauge",
     .value = "24 AWG"},
    {.name = "line-on-frame",
     .title = N_("A line is joined to a grounded frame"),
     .symptom = N_("Protection opens the moment power comes on."),
     .check = "short-circuit",
     .also = "terminal-crowded primary-protection-too-large colour-misused",
     .why = N_("one more conductor lies on both terminals, and a line's insulation on a frame"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_MEDIUM,
     .edit = FAULT_LAND,
     .where = frame_and_line},
    {.name = "frame-live",
     .title = N_("A line and the grounding conductor are exchanged at a device"),
     .symptom = N_("The enclosure is live."),
     .check = "line-to-ground",
     .also = "frame-not-grounded load-not-fed colour-misused ground-carries-current "
             "load-undervoltage primary-protection-too-large",
     .why = N_("the frame has lost its ground, and what the line fed has the ground instead"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_HARD,
     .edit = FAULT_EXCHANGE,
     .where = frame_and_line_alone},
    {.name = "line-on-earth",
     .title = N_("One line of an ungrounded system is joined to earth"),
     .symptom = N_("One line reads nothing to ground, the others line volts."),
     .check = "line-to-ground",
     .also = "opens-grounded-conductor colour-misused",
     .why = N_("the conductors of that line stand at ground, and fuses lie in them"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_HARD,
     .edit = FAULT_GROUND,
     .where = ungrounded_line},
    {.name = "load-shorted",
     .title = N_("A conductor too many shorts a load"),
     .symptom = N_("Protection opens the moment power comes on."),
     .check = "short-circuit",
     .also = "terminal-crowded leads-joined colour-misused primary-lead-missing "
             "primary-protection-too-large",
     .why = N_("one more conductor lies on both terminals, and windings on the same lines are "
               "joined with them"),
     .topic = FAULT_GROUNDING,
     .level = FAULT_EASY,
     .edit = FAULT_LAND,
     .where = both_sides_of_load},
    {0},
};
