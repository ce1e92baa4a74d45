/* SPDX-License-Identifier: MIT */
#include "quiz/site.h"

#include <math.h>
#include <string.h>

typedef enum {
  SHAPE_END,            /* a conductor, either end near */
  SHAPE_END_TERMINAL,   /* that, and any terminal */
  SHAPE_CONDUCTOR_PAIR, /* two conductors */
  SHAPE_DEVICE,
  SHAPE_ROW,           /* a row of a device */
  SHAPE_TERMINAL,      /* a terminal of a device */
  SHAPE_TERMINAL_PAIR, /* two of them */
  SHAPE_DEVICE_PAIR
} Shape;

static const Shape shapes[FAULT_EDIT_COUNT] = {
    [FAULT_CUT] = SHAPE_END,
    [FAULT_RELAND] = SHAPE_END_TERMINAL,
    [FAULT_LAND] = SHAPE_TERMINAL_PAIR,
    [FAULT_EXCHANGE] = SHAPE_TERMINAL_PAIR,
    [FAULT_BACKWARDS] = SHAPE_DEVICE,
    [FAULT_GROUND] = SHAPE_TERMINAL,
    [FAULT_RETURN] = SHAPE_END,
    [FAULT_FIELD] = SHAPE_DEVICE,
    [FAULT_SCALE] = SHAPE_DEVICE,
    [FAULT_ROW] = SHAPE_ROW,
    [FAULT_ROW_SCALE] = SHAPE_ROW,
    [FAULT_ROWS_SCALE] = SHAPE_DEVICE,
    [FAULT_ROWS_CLEAR] = SHAPE_DEVICE,
    [FAULT_LINE_TIED] = SHAPE_DEVICE,
    [FAULT_WIRE] = SHAPE_END,
    [FAULT_COPY_WIRE] = SHAPE_CONDUCTOR_PAIR,
    [FAULT_COPY_FIELD] = SHAPE_DEVICE_PAIR,
    [FAULT_MOVE] = SHAPE_DEVICE,
};

bool
site_once(FaultEdit edit)
{
  return edit == FAULT_CUT || edit == FAULT_WIRE;
}

static bool
of_conductor(FaultEdit edit)
{
  return shapes[edit] == SHAPE_END || shapes[edit] == SHAPE_END_TERMINAL ||
         shapes[edit] == SHAPE_CONDUCTOR_PAIR;
}

guint
site_firsts(const FaultScene *scene, FaultEdit edit)
{
  return of_conductor(edit) ? document_conductor_count(scene->document)
                            : document_device_count(scene->document);
}

guint
site_seconds(const FaultScene *scene, FaultEdit edit, guint first)
{
  guint terminals =
      of_conductor(edit) ? 0 : device_terminal_count(document_device(scene->document, first));
  switch (shapes[edit]) {
  case SHAPE_END:
    return 2;
  case SHAPE_END_TERMINAL:
    return 2 * scene->sound->circuit->n_nodes;
  case SHAPE_CONDUCTOR_PAIR:
    return document_conductor_count(scene->document);
  case SHAPE_DEVICE:
    return 1;
  case SHAPE_ROW:
    return device_row_count(document_device(scene->document, first));
  case SHAPE_TERMINAL:
    return terminals;
  case SHAPE_TERMINAL_PAIR:
    return terminals * terminals;
  case SHAPE_DEVICE_PAIR:
    return document_device_count(scene->document);
  }
  return 0;
}

static bool
resolve_conductor(FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  site->conductor = document_conductor(site->scene->document, site->first);
  if (shapes[site->fault->edit] == SHAPE_CONDUCTOR_PAIR) {
    site->other = document_conductor(site->scene->document, site->second);
    site->from = true;
  } else {
    site->from = site->second % 2 == 1;
  }
  if (shapes[site->fault->edit] == SHAPE_END_TERMINAL)
    site->to = site->second / 2;
  guint ends[2] = {circuit_node_of_landing(circuit, &site->conductor->to),
                   circuit_node_of_landing(circuit, &site->conductor->from)};
  site->near = ends[site->from];
  site->far = ends[!site->from];
  if (site->near >= circuit->n_nodes || site->far >= circuit->n_nodes || site->near == 0)
    return false;
  site->device_index = circuit->places[site->near].device;
  site->device = document_device(site->scene->document, site->device_index);
  if (shapes[site->fault->edit] != SHAPE_END_TERMINAL)
    return true;
  return site->to != 0 && site->to != site->near && site->to != site->far &&
         site_role(site, site->to) == site->device->kind->role;
}

static bool
resolve_device(FaultSite *site)
{
  site->device_index = site->first;
  site->device = document_device(site->scene->document, site->first);
  guint n = device_terminal_count(site->device), a = 0, b = 1;
  if (shapes[site->fault->edit] == SHAPE_TERMINAL) {
    a = site->second;
    b = n;
  }
  if (shapes[site->fault->edit] == SHAPE_TERMINAL_PAIR) {
    a = site->second / n;
    b = site->second % n;
    if (a >= b)
      return false;
  }
  const Circuit *circuit = site->scene->sound->circuit;
  if (a < n)
    site->near = circuit_node(circuit, site->first, a);
  if (b < n)
    site->to = circuit_node(circuit, site->first, b);
  return true;
}

bool
site_resolve(FaultSite *site)
{
  if (site->first >= site_firsts(site->scene, site->fault->edit) ||
      site->second >= site_seconds(site->scene, site->fault->edit, site->first))
    return false;
  return of_conductor(site->fault->edit) ? resolve_conductor(site) : resolve_device(site);
}

/* --- questions --- */

const Device *
site_device(const FaultSite *site, guint node)
{
  const Circuit *circuit = site->scene->sound->circuit;
  if (node == 0 || node >= circuit->n_nodes)
    return NULL;
  return document_device(site->scene->document, circuit->places[node].device);
}

PartRole
site_role(const FaultSite *site, guint node)
{
  const Device *device = site_device(site, node);
  return device != NULL ? device->kind->role : ROLE_OUTLINE;
}

TerminalRole
site_terminal_role(const FaultSite *site, guint node)
{
  const Device *device = site_device(site, node);
  if (device == NULL)
    return node == 0 ? TERMINAL_EARTH : TERMINAL_PLAIN;
  return device_terminal(device, site->scene->sound->circuit->places[node].terminal)->role;
}

bool
site_frame(const FaultSite *site, guint node)
{
  return site_terminal_role(site, node) == TERMINAL_FRAME;
}

bool
site_draws(const FaultSite *site, guint node)
{
  const Circuit *circuit = site->scene->sound->circuit;
  PartRole role = site_role(site, node);
  if (role == ROLE_LOAD || role == ROLE_MOTOR)
    return site_terminal_role(site, node) != TERMINAL_FRAME;
  for (guint c = 0; role == ROLE_COIL && c < circuit->coils->len; c++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, c);
    if (node == coil->a || node == coil->b)
      return true;
  }
  return false;
}

bool
site_one_phase(const FaultSite *site, guint node)
{
  const Device *device = site_device(site, node);
  guint draws = 0;
  if (!site_draws(site, node))
    return false;
  for (guint i = 0; i < device_terminal_count(device); i++)
    draws += device_terminal(device, i)->role != TERMINAL_FRAME;
  return site_role(site, node) == ROLE_COIL || draws == 2;
}

static int
source_winding(const FaultSite *site, guint node)
{
  guint root = site->scene->survey->root[node];
  return root == SITE_NONE ? -2 : site->scene->survey->winding_of[root];
}

bool
site_one_source(const FaultSite *site, guint node)
{
  const Circuit *circuit = site->scene->sound->circuit;
  if (site->scene->boosts)
    return false;
  guint device = circuit->places[node].device;
  for (guint i = 0; i < device_terminal_count(site_device(site, node)); i++) {
    guint other = circuit_node(circuit, device, i);
    if (site_draws(site, other) && source_winding(site, other) != source_winding(site, node))
      return false;
  }
  return true;
}

double
site_drawn_volts(const FaultSite *site)
{
  const Solution *solution = site->scene->sound->solution;
  if (solution == NULL || site->near == SITE_NONE || site->to == SITE_NONE)
    return 0;
  return cabs(solution_reading(solution, site->near, site->to).volts);
}

bool
site_sole(const FaultSite *site, guint node)
{
  return node < site->scene->survey->n_nodes && site->scene->survey->landings[node] == 1;
}

bool
site_metal(const FaultSite *site, guint a, guint b)
{
  return survey_same(site->scene->survey, NET_METAL, a, b);
}

bool
site_hot(const FaultSite *site, guint node)
{
  return node < site->scene->survey->n_nodes && survey_hot(site->scene->survey, node);
}

double
site_to_earth(const FaultSite *site, guint node)
{
  return site->scene->survey->volts != NULL ? survey_to_earth(site->scene->survey, node) : 0;
}

double
site_between(const FaultSite *site, guint a, guint b)
{
  if (site->scene->survey->volts == NULL || a == SITE_NONE || b == SITE_NONE)
    return 0;
  return survey_between(site->scene->survey, a, b);
}

int
site_core(const FaultSite *site, guint node)
{
  if (node >= site->scene->survey->n_nodes)
    return -1;
  int winding = site->scene->survey->winding_of[node];
  return winding < 0 ? -1 : (int)survey_winding(site->scene->survey, (guint)winding)->core;
}

bool
site_secondary(const FaultSite *site, guint node)
{
  int winding = site_core(site, node) < 0 ? -1 : site->scene->survey->winding_of[node];
  return winding >= 0 && survey_winding(site->scene->survey, (guint)winding)->secondary;
}

bool
site_unused_lead(const FaultSite *site, guint node)
{
  const Survey *survey = site->scene->survey;
  return site_core(site, node) >= 0 &&
         (survey->landings[node] == 0 || survey->capped[survey->nets[NET_METAL][node]]);
}

bool
site_fed_lead(const FaultSite *site, guint node, guint *other, double *marked)
{
  const Survey *survey = site->scene->survey;
  int core = site_core(site, node);
  if (core < 0 || survey->cores[core].feeding < 0 || !survey->cores[core].fed)
    return false;
  const SurveyCore *of = &survey->cores[core];
  const Winding *winding = survey_winding(survey, (guint)of->feeding);
  const SurveyLead *low = survey_lead(winding, of->low), *high = survey_lead(winding, of->high);
  if (node != low->node && node != high->node)
    return false;
  *other = node == low->node ? high->node : low->node;
  *marked = fabs(high->volts - low->volts);
  return true;
}

double
site_figure(const FaultSite *site, const char *field)
{
  return device_number_named(site->device, field, NAN);
}

double
site_volts(const FaultSite *site)
{
  return site_between(site, site->near, site->to);
}

double
site_amps(const FaultSite *site)
{
  const Circuit *circuit = site->scene->sound->circuit;
  double most = 0;
  for (guint j = 0; j < circuit->joins->len; j++) {
    const Join *join = circuit_item(circuit->joins, Join, j);
    if (join->owner.kind == OWNER_DEVICE && join->owner.index == site->device_index)
      most = fmax(most, survey_join_amps(site->scene->survey, j));
  }
  return most;
}
