/* SPDX-License-Identifier: MIT */
/* Faults of relays, contacts and motors. */
#include "quiz/site.h"

#include <math.h>
#include <string.h>

static bool
names_its_coil(const FaultSite *site)
{
  const Value *coil = device_value_named(site->device, "coil");
  return site->device->kind->role == ROLE_CONTACT && coil != NULL && coil->has_value;
}

static bool
coil_below(const FaultSite *site)
{
  return site->device->kind->role == ROLE_COIL && site_volts(site) > 15 && site_volts(site) < 60;
}

/* Switches and contacts of their own that carry more than the fault's rating. */
static bool
switch_with_current(const FaultSite *site)
{
  PartRole role = site->device->kind->role;
  return (role == ROLE_CONTACT || role == ROLE_SWITCH || role == ROLE_DISCONNECT) &&
         isfinite(site_figure(site, "rating")) && site_amps(site) > 0.11;
}

/* A contact of a coil device with current. */
static bool
row_contact_with_current(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  if (site->device->kind->role != ROLE_COIL)
    return false;
  for (guint j = 0; j < circuit->joins->len; j++) {
    const Join *join = circuit_item(circuit->joins, Join, j);
    const Terminal *terminal = survey_terminal(site->scene->survey, join->a);
    if (join->role != JOIN_CONTACT || join->owner.kind != OWNER_DEVICE ||
        join->owner.index != site->device_index || terminal == NULL)
      continue;
    if (terminal->row == (int)site->second && survey_join_amps(site->scene->survey, j) > 0.11)
      return true;
  }
  return false;
}

/* One side lies on the coil, dead as drawn; the other has volts before the coil has. */
static bool
holds(const FaultSite *site, guint one, guint other, guint coil)
{
  const Solution *solution = site->scene->sound->solution;
  return site_metal(site, one, coil) && solution != NULL &&
         cabs(solution_to_earth(solution, other).volts) > 5 &&
         cabs(solution_to_earth(solution, coil).volts) < 5;
}

/* A normally open contact of the relay in the only way to the relay's own coil but a button: it
 * lies between a terminal of the coil's net and another live net. */
static bool
holds_its_coil(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  if (site->device->kind->role != ROLE_COIL)
    return false;
  for (guint c = 0; c < circuit->coils->len; c++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, c);
    if (coil->owner.index != site->device_index)
      continue;
    for (guint j = 0; j < circuit->joins->len; j++) {
      const Join *join = circuit_item(circuit->joins, Join, j);
      if (join->role != JOIN_CONTACT || join->coil != (int)c || join->closed ||
          join->owner.index != site->device_index || !site_hot(site, join->a) ||
          !site_hot(site, join->b) ||
          survey_terminal(site->scene->survey, join->a)->row != (int)site->second)
        continue;
      guint hot = site_hot(site, coil->a) ? coil->a : coil->b;
      if (holds(site, join->a, join->b, hot) || holds(site, join->b, join->a, hot))
        return true;
    }
  }
  return false;
}

static const Motor *
motor_of(const FaultSite *site, guint node)
{
  const GArray *motors = site->scene->sound->circuit->motors;
  for (guint i = 0; i < motors->len; i++) {
    const Motor *motor = circuit_item(motors, Motor, i);
    if (node == motor->a || node == motor->b || node == motor->c)
      return motor;
  }
  return NULL;
}

static bool
two_motor_lines(const FaultSite *site)
{
  /* Contacts that exclude one another: that motor is made to turn both ways. */
  return motor_of(site, site->near) != NULL && motor_of(site, site->to) != NULL &&
         !site->scene->context.closed_partly;
}

static bool
motor_line(const FaultSite *site)
{
  return motor_of(site, site->near) != NULL && !site->scene->context.closed_partly &&
         site_sole(site, site->near);
}

const Fault faults_control[] = {
    {.name = "contact-misnamed",
     .title = N_("A contact is named after a relay that is not there"),
     .symptom = N_("What the contact works never comes on."),
     .check = "contact-without-coil",
     .topic = FAULT_CONTROL,
     .level = FAULT_EASY,
     .edit = FAULT_FIELD,
     .where = names_its_coil,
     .field = "coil",
     .value = "CR99"},
    {.name = "coil-for-more",
     .title = N_("The coil was exchanged for one made for 120 V"),
     .symptom = N_("The relay hums and does not pull in."),
     .check = "coil-will-not-pull-in",
     .topic = FAULT_CONTROL,
     .level = FAULT_MEDIUM,
     .edit = FAULT_FIELD,
     .where = coil_below,
     .field = "coil-volts",
     .value = "120 V"},
    {.name = "relay-chatters",
     .title = N_("The holding contact is a normally closed one"),
     .symptom = N_("The relay buzzes and its contacts arc."),
     .check = "coil-chatter",
     .topic = FAULT_CONTROL,
     .level = FAULT_HARD,
     .edit = FAULT_ROW,
     .where = holds_its_coil,
     .field = "form",
     .value = "normally-closed"},
    {.name = "switch-too-small",
     .title = N_("A switch or contact rated 0.1 A"),
     .symptom = N_("The switch is burnt or has welded shut."),
     .check = "contact-overloaded",
     .topic = FAULT_CONTROL,
     .level = FAULT_HARD,
     .edit = FAULT_FIELD,
     .where = switch_with_current,
     .field = "rating",
     .value = "0.1 A"},
    {.name = "relay-contact-too-small",
     .title = N_("A relay's contact rated 0.1 A"),
     .symptom = N_("The contact is burnt or has welded shut."),
     .check = "contact-overloaded",
     .topic = FAULT_CONTROL,
     .level = FAULT_HARD,
     .edit = FAULT_ROW,
     .where = row_contact_with_current,
     .field = "rating",
     .value = "0.1 A"},
    {.name = "motor-reversed",
     .title = N_("Two lines of a motor are exchanged"),
     .symptom = N_("The fan blows little and the wrong way."),
     .check = "rotation-wrong",
     .topic = FAULT_CONTROL,
     .level = FAULT_MEDIUM,
     .edit = FAULT_EXCHANGE,
     .where = two_motor_lines},
    {.name = "motor-line-missing",
     .title = N_("One line of a motor is missing"),
     .symptom = N_("The motor hums and does not start."),
     .check = "single-phased",
     .topic = FAULT_CONTROL,
     .level = FAULT_EASY,
     .edit = FAULT_CUT,
     .where = motor_line},
    {0},
};
