/* SPDX-License-Identifier: MIT */
#include "checks/survey.h"

#include "base/union_find.h"

#include <math.h>

static bool
is_protection(const Join *join)
{
  return join->role == JOIN_FUSE || join->role == JOIN_BREAKER;
}

bool
survey_join_is_metal(const Document *document, const Join *join)
{
  enum { SOUND, LOOSE, BROKEN };
  if (join->role != JOIN_CONDUCTOR)
    return join->closed && (join->role == JOIN_SPLICE || join->role == JOIN_INTERNAL);
  if (join->closed || join->owner.kind != OWNER_CONDUCTOR ||
      join->owner.index >= document_conductor_count(document))
    return join->closed;
  return document_conductor(document, join->owner.index)->values[CONDUCTOR_CONDITION].choice ==
         LOOSE;
}

static bool
in_view(const Survey *survey, NetView view, const Join *join, guint index)
{
  const Solution *now = survey->context->solution;
  switch (join->role) {
  case JOIN_CONDUCTOR:
  case JOIN_SPLICE:
  case JOIN_INTERNAL:
    return survey_join_is_metal(survey->context->document, join);
  case JOIN_BOND:
    return join->closed && view != NET_METAL;
  case JOIN_DISCONNECT:
  case JOIN_BREAKER:
  case JOIN_FUSE:
    break;
  case JOIN_CONTACT:
  case JOIN_SWITCH:
    if (view == NET_SHORT)
      return now != NULL ? now->join_closed[index] : join->closed;
    break;
  }
  switch (view) {
  case NET_METAL:
  case NET_WIRE:
    return false;
  case NET_UNPROTECTED:
    return !is_protection(join);
  case NET_ISOLATED: /* a breaker opens every pole by hand as well */
    return join->role != JOIN_DISCONNECT && join->role != JOIN_BREAKER && !join->lockable;
  case NET_CLOSED:
  case NET_WINDINGS:
  case NET_SHORT:
  case NET_COUNT:
    break;
  }
  return true;
}

static guint *
nets_of(const Survey *survey, NetView view)
{
  const Circuit *circuit = survey->context->circuit;
  guint *parent = union_singletons(survey->n_nodes);
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (in_view(survey, view, join, i))
      union_join(parent, join->a, join->b);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->role == IMPEDANCE_CONDUCTOR)
      union_join(parent, impedance->a, impedance->b);
  }
  for (guint i = 0; view == NET_WINDINGS && i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    union_join(parent, segment->a, segment->b);
  }
  union_flatten(parent, survey->n_nodes);
  return parent;
}

static void
note_conductor_branches(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  guint n = document_conductor_count(survey->context->document);
  survey->conductor_join = g_new(int, n);
  survey->conductor_impedance = g_new(int, n);
  for (guint i = 0; i < n; i++)
    survey->conductor_join[i] = survey->conductor_impedance[i] = -1;
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->owner.kind == OWNER_CONDUCTOR && join->owner.index < n)
      survey->conductor_join[join->owner.index] = (int)i;
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->owner.kind == OWNER_CONDUCTOR && impedance->owner.index < n)
      survey->conductor_impedance[impedance->owner.index] = (int)i;
  }
}

void
survey_nets(Survey *survey)
{
  const CheckContext *context = survey->context;
  for (int view = 0; view < NET_COUNT; view++)
    survey->nets[view] = nets_of(survey, (NetView)view);
  survey->landings = g_new0(guint, survey->n_nodes);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    guint ends[2] = {circuit_node_of_landing(context->circuit, &conductor->from),
                     circuit_node_of_landing(context->circuit, &conductor->to)};
    for (int k = 0; k < 2; k++)
      if (ends[k] < survey->n_nodes)
        survey->landings[ends[k]]++;
  }
  survey->capped = g_new0(guint8, survey->n_nodes);
  for (guint d = 0; d < document_device_count(context->document); d++) {
    guint node = circuit_node(context->circuit, d, 0);
    if (document_device(context->document, d)->kind->role == ROLE_CAP && node < survey->n_nodes)
      survey->capped[survey->nets[NET_METAL][node]] = 1;
  }
  note_conductor_branches(survey);
}

/* Supply conductors that must never meet: the lines that are not grounded, and the grounded
 * conductor once. Returns how many. */
static guint
supply_nodes(const CircuitSupply *supply, guint *nodes)
{
  guint n = 0;
  for (int i = 0; i < 3; i++)
    if (supply->line_nodes[i] != G_MAXUINT && !survey_line_is_grounded(supply, i))
      nodes[n++] = supply->line_nodes[i];
  if (supply->neutral_node != G_MAXUINT)
    nodes[n++] = supply->neutral_node;
  else if (supply->system.grounded)
    nodes[n++] = 0;
  return n;
}

static bool
ends_meet(const Circuit *circuit, guint *parent)
{
  for (guint i = 0; i < circuit->segments->len; i++) {
    const Segment *segment = circuit_item(circuit->segments, Segment, i);
    if (union_find(parent, segment->a) == union_find(parent, segment->b))
      return true;
  }
  for (guint s = 0; s < circuit->supplies->len; s++) {
    guint nodes[5], n = supply_nodes(circuit_item(circuit->supplies, CircuitSupply, s), nodes);
    for (guint i = 0; i < n; i++)
      for (guint k = i + 1; k < n; k++)
        if (union_find(parent, nodes[i]) == union_find(parent, nodes[k]))
          return true;
  }
  return false;
}

bool
survey_circuit_shorted(const Circuit *circuit, const bool *join_closed)
{
  g_autofree guint *parent = union_singletons(circuit->n_nodes);
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join_closed[i])
      union_join(parent, join->a, join->b);
  }
  for (guint i = 0; i < circuit->impedances->len; i++) {
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, i);
    if (impedance->role == IMPEDANCE_CONDUCTOR)
      union_join(parent, impedance->a, impedance->b);
  }
  return ends_meet(circuit, parent);
}

bool
survey_leads_shorted(const Survey *survey, const Winding *winding, guint *first, guint *second)
{
  for (guint i = 0; i + 1 < winding->leads->len; i++)
    for (guint k = i + 1; k < winding->leads->len; k++) {
      const SurveyLead *one = survey_lead(winding, i), *two = survey_lead(winding, k);
      if (one->volts == two->volts || !survey_same(survey, NET_SHORT, one->node, two->node))
        continue;
      *first = one->node;
      *second = two->node;
      return true;
    }
  return false;
}

bool
survey_supply_shorted(const Survey *survey, const CircuitSupply *supply, guint *first,
                      guint *second)
{
  guint nodes[5], n = supply_nodes(supply, nodes);
  for (guint i = 0; i < n; i++)
    for (guint k = i + 1; k < n; k++)
      if (survey_same(survey, NET_SHORT, nodes[i], nodes[k])) {
        *first = nodes[i];
        *second = nodes[k];
        return true;
      }
  return false;
}

/* Excitation above which a core's current is no longer that of its load; common practice. */
#define SATURATED_FLUX 1.15

static void
find_shorts(Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  for (guint c = 0; c < circuit->cores->len && survey->volts != NULL; c++)
    survey->amps_mislead =
        survey->amps_mislead || cabs(survey->volts->core_flux[c]) > SATURATED_FLUX;
  for (guint i = 0; i < circuit->motors->len && survey->volts != NULL; i++)
    survey->amps_mislead =
        survey->amps_mislead ||
        survey_single_phased(survey->volts, circuit_item(circuit->motors, Motor, i));
  guint first, second;
  for (guint i = 0; i < circuit->supplies->len; i++)
    survey->shorted =
        survey->shorted ||
        survey_supply_shorted(survey, circuit_item(circuit->supplies, CircuitSupply, i), &first,
                              &second);
  for (guint w = 0; w < survey->windings->len; w++)
    survey->shorted =
        survey->shorted || survey_leads_shorted(survey, survey_winding(survey, w), &first, &second);
}

Survey *
survey_new(const CheckContext *context)
{
  Survey *survey = g_new0(Survey, 1);
  survey->context = context;
  survey->volts = context->closed_solution != NULL ? context->closed_solution : context->solution;
  if (context->working_solution != NULL)
    survey->amps[survey->n_amps++] = context->working_solution;
  if (context->working_solution != NULL && context->solution != NULL)
    survey->amps[survey->n_amps++] = context->solution;
  if (survey->n_amps == 0 && survey->volts != NULL)
    survey->amps[survey->n_amps++] = survey->volts;
  survey->n_nodes = context->circuit->n_nodes;
  survey->texts = g_string_chunk_new(512);
  const SheetData *sheet = document_sheet(context->document);
  g_autofree char *edition =
      value_dup_text(&sheet->values[SHEET_CODE_EDITION], &sheet_data_fields[SHEET_CODE_EDITION]);
  survey->edition = code_edition_parse(edition);
  survey_nets(survey);
  survey_windings(survey);
  find_shorts(survey);
  survey_feeds(survey);
  survey_paths(survey);
  survey_raceways(survey);
  return survey;
}

void
survey_free(Survey *survey)
{
  if (survey == NULL)
    return;
  for (int view = 0; view < NET_COUNT; view++)
    g_free(survey->nets[view]);
  for (guint i = 0; i < survey->context->circuit->cores->len; i++) {
    g_array_unref(survey->cores[i].primaries);
    g_array_unref(survey->cores[i].secondaries);
  }
  g_array_unref(survey->windings);
  g_array_unref(survey->airs);
  void *arrays[] = {survey->feed,         survey->line_unprotected, survey->line_isolated,
                    survey->landings,     survey->capped,           survey->root,
                    survey->winding_of,   survey->conductor_join,   survey->conductor_impedance,
                    survey->cores,        survey->segment_winding,  survey->order,
                    survey->parent,       survey->parent_join,      survey->device_amps,
                    survey->guard,        survey->nearest,          survey->circuit_volts,
                    survey->serves_motor, survey->bundled,          survey->motor_amps};
  for (gsize i = 0; i < G_N_ELEMENTS(arrays); i++)
    g_free(arrays[i]);
  g_string_chunk_free(survey->texts);
  g_free(survey);
}
