/* SPDX-License-Identifier: MIT */
/* Faults of conductors, their landings and marks, and of the sheet itself. */
#include "quiz/site.h"

#include "tables/colours.h"

#include <math.h>
#include <string.h>

static double
site_circuit_volts(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  double volts = fmax(survey->circuit_volts[site->near], survey->circuit_volts[site->far]);
  return volts > 0 ? volts : site_to_earth(site, site->near);
}

/* Field wiring, ungrounded, from 50 V. */
static bool
field_line(const FaultSite *site)
{
  return site->conductor->values[CONDUCTOR_WIRING].choice == 1 &&
         site->conductor->values[CONDUCTOR_COLOUR].has_value && site_hot(site, site->near) &&
         !site_unused_lead(site, site->near) && !site_unused_lead(site, site->far) &&
         site_circuit_volts(site) > 51 && !site_frame(site, site->near) &&
         !site_frame(site, site->far);
}

/* That grounds a frame, or is the grounded conductor of a circuit from 50 V. */
static bool
ground_or_return(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  if (!survey_grounded(survey, site->near) || !site->conductor->values[CONDUCTOR_COLOUR].has_value)
    return false;
  if (site_frame(site, site->near) || site_frame(site, site->far))
    return site->conductor->values[CONDUCTOR_WIRING].choice == 1;
  double amps = survey_conductor_amps(survey, site->first);
  return site->conductor->values[CONDUCTOR_WIRING].choice == 1 && site_circuit_volts(site) > 51 &&
         isfinite(amps) && amps > 2e-3;
}

static bool
behind_large_device(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  double device = survey->device_amps[site->near];
  int core = survey_source_core(survey, site->near);
  bool class2 =
      core >= 0 &&
      survey_flag(document_device(site->scene->document, survey->cores[core].device), "class-2");
  return site_hot(site, site->near) && device > 7.5 && device < SURVEY_UNKNOWN_RATING &&
         !survey->serves_motor[site->near] && !survey->serves_motor[site->far] && !class2 &&
         site->conductor->values[CONDUCTOR_GAUGE].has_value;
}

/* A secondary conductor that its primary device protects through the turns as it is, and would not
 * at 18 AWG (6 A, Table 402.5) times secondary over primary volts. */
static bool
protected_through_turns(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  int core = survey_source_core(survey, site->near);
  if (core < 0 || !site_hot(site, site->near) || !site_secondary(site, site->near) ||
      isfinite(survey->device_amps[site->near]) ||
      !site->conductor->values[CONDUCTOR_GAUGE].has_value || survey->cores[core].feeding < 0 ||
      survey->cores[core].secondaries->len != 1 || site_role(site, site->far) == ROLE_FUSE ||
      site_role(site, site->far) == ROLE_BREAKER ||
      survey_flag(document_device(site->scene->document, survey->cores[core].device), "class-2"))
    return false;
  const SurveyCore *of = &survey->cores[core];
  const Winding *primary = survey_winding(survey, (guint)of->feeding);
  const SurveyLead *low = survey_lead(primary, of->low), *high = survey_lead(primary, of->high);
  double span = survey_winding(survey, (guint)survey->winding_of[site->near])->span;
  double device = fmin(survey->device_amps[low->node], survey->device_amps[high->node]);
  return device * (high->volts - low->volts) / span > 6.5;
}

/* To a terminal of the same piece of metal that holds all it is made for. */
static bool
onto_full_terminal(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  const Device *device = site_device(site, site->to);
  if (device == NULL || site_frame(site, site->near) || site_frame(site, site->to) ||
      device == site_device(site, site->far) || device->kind->role == ROLE_TRANSFORMER)
    return false;
  const Terminal *terminal = device_terminal(device, circuit->places[site->to].terminal);
  guint most = terminal->capacity > 0 ? terminal->capacity : 2;
  return site_metal(site, site->near, site->to) && site->scene->survey->landings[site->to] == most;
}

static bool
stands_at_24(const FaultSite *site)
{
  const Survey *survey = site->scene->survey;
  double volts = fmax(site_to_earth(site, site->near), survey->circuit_volts[site->near]);
  return volts > 22 && site_hot(site, site->near);
}

static bool
carries(const FaultSite *site)
{
  double amps = survey_conductor_amps(site->scene->survey, site->first);
  return isfinite(amps) && amps > 1e-3;
}

/* Another number, on another piece of metal, both with volts. */
static bool
numbers_differ(const FaultSite *site)
{
  guint there = circuit_node_of_landing(site->scene->sound->circuit, &site->other->from);
  const char *own = conductor_text(site->conductor, CONDUCTOR_NUMBER);
  const char *other = conductor_text(site->other, CONDUCTOR_NUMBER);
  return *own != '\0' && *other != '\0' && strcmp(own, other) != 0 && there != SITE_NONE &&
         site_hot(site, site->near) && site_hot(site, there) &&
         site_between(site, site->near, there) > 5;
}

static bool
numbered_line(const FaultSite *site)
{
  return *conductor_text(site->conductor, CONDUCTOR_NUMBER) != '\0' && site_hot(site, site->near) &&
         !site_unused_lead(site, site->near) && !site_unused_lead(site, site->far) && carries(site);
}

static bool
same_role(const FaultSite *site)
{
  const Device *other = document_device(site->scene->document, site->second);
  return site->first < site->second && site->device->kind == other->kind &&
         strcmp(device_designation(other), other->id) == 0 && device_terminal_count(other) > 0 &&
         site->device->kind->role != ROLE_SPLICE && site->device->kind->role != ROLE_CAP &&
         site->device->kind->role != ROLE_CONTACT && site->device->kind->role != ROLE_COIL;
}

static bool
landed_device(const FaultSite *site)
{
  return device_terminal_count(site->device) > 0;
}

const Fault faults_conductors[] = {
    {.name = "white-on-a-line",
     .title = N_("An ungrounded conductor is white"),
     .symptom = N_("A white conductor is live."),
     .check = "colour-misused",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_WIRE,
     .where = field_line,
     .field = "colour",
     .value = "white"},
    {.name = "green-on-a-line",
     .title = N_("A circuit conductor is green"),
     .symptom = N_("A green conductor is live."),
     .check = "colour-misused",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_WIRE,
     .where = field_line,
     .field = "colour",
     .value = "green"},
    {.name = "black-on-a-ground",
     .title = N_("A grounding or grounded conductor is black"),
     .symptom = N_("A black conductor reads nothing to ground."),
     .check = "colour-misused",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_WIRE,
     .where = ground_or_return,
     .field = "colour",
     .value = "black"},
    {.name = "conductor-too-thin",
     .title = N_("A conductor of 18 AWG behind a large device"),
     .symptom = N_("The insulation is brittle from heat."),
     .check = "conductor-too-small",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_HARD,
     .edit = FAULT_WIRE,
     .where = behind_large_device,
     .field = "gauge",
     .value = "18 AWG"},
    {.name = "secondary-too-thin",
     .title = N_("A secondary conductor of 18 AWG without protection of its own"),
     .symptom = N_("The secondary conductor is scorched, no fuse has opened."),
     .check = "secondary-unprotected",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_HARD,
     .edit = FAULT_WIRE,
     .where = protected_through_turns,
     .field = "gauge",
     .value = "18 AWG"},
    {.name = "terminal-crowded",
     .title = N_("A conductor too many on a terminal"),
     .symptom = N_("A conductor slips out of its terminal when pulled."),
     .check = "terminal-crowded",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_RELAND,
     .where = onto_full_terminal},
    {.name = "insulation-too-low",
     .title = N_("Insulation rated 20 V"),
     .symptom = N_("The marking on the insulation does not suit this panel."),
     .check = "insulation-voltage",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_WIRE,
     .where = stands_at_24,
     .field = "insulation",
     .value = "20 V"},
    {.name = "landing-loose",
     .title = N_("A landing is loose"),
     .symptom = N_("The load comes and goes by itself."),
     .check = "landing-loose",
     .also = "single-phased",
     .why = N_("a loose line of a motor is taken for open"),
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_WIRE,
     .where = carries,
     .field = "condition",
     .value = "loose"},
    {.name = "conductor-broken",
     .title = N_("A conductor is broken inside its insulation"),
     .symptom = N_("The load does not work although every landing is tight."),
     .check = "landing-loose",
     .also = "load-not-fed primary-lead-missing secondary-not-grounded single-phased "
             "load-undervoltage load-overvoltage coil-will-not-pull-in secondary-unprotected "
             "wire-number-conflict rotation-wrong winding-overloaded colour-misused "
             "primary-protection-too-large",
     .why = N_("what lies behind the break is dead or finds another way back, and the two "
               "halves of one number no longer are one piece of metal"),
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_MEDIUM,
     .edit = FAULT_WIRE,
     .where = carries,
     .field = "condition",
     .value = "broken"},
    {.name = "number-twice",
     .title = N_("A wire number is used twice"),
     .symptom = N_("Two conductors of one number read volts between them."),
     .check = "wire-number-conflict",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_COPY_WIRE,
     .where = numbers_differ,
     .field = "number"},
    {.name = "number-missing",
     .title = N_("A wire number is missing"),
     .symptom = N_("A conductor without a number."),
     .check = "wire-number-missing",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_WIRE,
     .where = numbered_line,
     .field = "number"},
    {.name = "designation-twice",
     .title = N_("Two devices carry one designation"),
     .symptom = N_("The sheet names two devices alike."),
     .check = "designation-duplicate",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_COPY_FIELD,
     .where = same_role,
     .field = "designation"},
    {.name = "off-the-paper",
     .title = N_("A device lies off the paper"),
     .symptom = N_("Conductors lead off the sheet to nothing."),
     .check = "device-outside-sheet",
     .topic = FAULT_CONDUCTORS,
     .level = FAULT_EASY,
     .edit = FAULT_MOVE,
     .where = landed_device},
    {0},
};
