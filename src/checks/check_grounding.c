/* SPDX-License-Identifier: MIT */
/* Grounding of secondaries and frames, and currents where none belong. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "tables/egc.h"

#include <math.h>

/* Current in a bond that means the ground carries load; below it a meter shows nothing. */
#define GROUND_AMPS 1e-3

/* Highest volts to ground of the system that feeds a core; INFINITY when it has no fixed one. */
static double
supply_to_ground(const Survey *survey, guint core)
{
  const SurveyCore *fed = &survey->cores[core];
  if (fed->feeding < 0)
    return 0;
  const Winding *winding = survey_winding(survey, (guint)fed->feeding);
  const guint nodes[2] = {survey_lead(winding, fed->low)->node,
                          survey_lead(winding, fed->high)->node};
  double most = 0;
  for (int i = 0; i < 2; i++) {
    if (survey->volts == NULL)
      return 0;
    if (solution_to_earth(survey->volts, nodes[i]).state != READING_LIVE)
      return INFINITY;
    most = fmax(most, survey_to_earth(survey, nodes[i]));
    guint root = survey->root[nodes[i]];
    if (root == G_MAXUINT)
      continue;
    /* The system counts, not only the lines in use: every line of that supply. */
    const GArray *supplies = survey->context->circuit->supplies;
    for (guint k = 0; k < supplies->len; k++) {
      const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, k);
      if (supply->device == survey->context->circuit->places[root].device)
        for (int l = 0; l < 3; l++)
          most = fmax(most, survey_to_earth(survey, supply->line_nodes[l]));
    }
  }
  return most;
}

/* Nameplate volts between the landed leads of a winding, and whether one of the leads can be
 * grounded so that none stands above 150 V. grounded: some lead is. */
typedef struct {
  double volts, least_to_ground;
  bool grounded;
  guint landed, best; /* best: lead to bond */
} WindingUse;

static WindingUse
use_of_winding(const Survey *survey, const Winding *winding)
{
  WindingUse use = {.least_to_ground = INFINITY};
  double low = INFINITY, high = -INFINITY;
  for (guint k = 0; k < winding->leads->len; k++) {
    const SurveyLead *lead = survey_lead(winding, k);
    use.grounded = use.grounded || survey_same(survey, NET_WINDINGS, lead->node, 0);
    if (survey->landings[lead->node] == 0 || survey->capped[survey->nets[NET_METAL][lead->node]])
      continue;
    use.landed++;
    low = fmin(low, lead->volts);
    high = fmax(high, lead->volts);
  }
  use.volts = use.landed > 1 ? high - low : 0;
  for (guint k = 0; k < winding->leads->len && use.landed > 1; k++) {
    const SurveyLead *lead = survey_lead(winding, k);
    double most = fmax(high - lead->volts, lead->volts - low);
    if (most < use.least_to_ground - 1e-9) {
      use.least_to_ground = most;
      use.best = k;
    }
  }
  /* One side of a two-wire secondary: the common lead, as everybody expects. */
  if (use.landed == 2 && use.least_to_ground > use.volts / 2 + 1e-9)
    use.best = 0;
  return use;
}

void
check_secondary_not_grounded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) told = g_hash_table_new(NULL, NULL); /* windings in series: one bond */
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    if (!winding->secondary || !survey->cores[winding->core].fed)
      continue;
    WindingUse use = use_of_winding(survey, winding);
    if (use.grounded || use.volts <= 0)
      continue;
    double ground = supply_to_ground(survey, winding->core);
    bool low = use.volts < 50;
    guint group = survey->nets[NET_WINDINGS][survey_lead(winding, 0)->node];
    if ((low ? ground <= 150 : use.least_to_ground > 150) ||
        !g_hash_table_add(told, GUINT_TO_POINTER(group)))
      continue;
    const char *lead = survey_node_name(survey, survey_lead(winding, use.best)->node);
    g_autofree char *why =
        !low            ? g_strdup_printf(_("grounded there it stands at %s to ground at most"),
                                          VOLTS(use.least_to_ground))
        : isinf(ground) ? g_strdup(_("its supply is ungrounded"))
                        : g_strdup_printf(_("its supply stands at %s to ground, above %s"),
                                          VOLTS(ground), VOLTS(150));
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("The %s secondary at %s is not grounded, but has to be: %s."),
                        VOLTS(use.volts), lead, why),
        g_strdup_printf(_("Bond %s to the equipment ground at the transformer, once, unless "
                          "local code grants an exception."),
                        lead),
        lead, NULL);
    remedy_ground(context, finding, survey_lead(winding, use.best)->node);
  }
}

/* Bonds of each metal net that carry current. */
typedef struct {
  guint count;
  guint node[2];
  double amps; /* of the bond that carries most */
  Phasor sum;  /* into earth; next to nothing when the bonds only pass current on */
} NetBonds;

static GHashTable *
bonds_with_current(const Survey *survey)
{
  GHashTable *nets = g_hash_table_new_full(NULL, NULL, NULL, g_free);
  const GArray *joins = survey->context->circuit->joins;
  if (survey->volts == NULL || survey->shorted)
    return nets;
  for (guint i = 0; i < joins->len; i++) {
    const Join *join = circuit_item(joins, Join, i);
    double amps = join->role == JOIN_BOND ? survey_join_amps(survey, i) : 0;
    if (!(amps > GROUND_AMPS))
      continue;
    guint node = join->a != 0 ? join->a : join->b;
    gpointer key = GUINT_TO_POINTER(survey->nets[NET_METAL][node]);
    NetBonds *bonds = g_hash_table_lookup(nets, key);
    if (bonds == NULL) {
      bonds = g_new0(NetBonds, 1);
      g_hash_table_insert(nets, key, bonds);
    }
    if (bonds->count < 2)
      bonds->node[bonds->count] = node;
    bonds->count++;
    bonds->amps = fmax(bonds->amps, amps);
    if (isfinite(amps))
      bonds->sum += (join->a == node ? 1 : -1) * survey->volts->join_amps[i];
  }
  return nets;
}

/* The other end of what a supply's grounded conductor returns to: not a place to look at. */
static bool
is_supply_neutral(const Survey *survey, guint node)
{
  const GArray *supplies = survey->context->circuit->supplies;
  for (guint i = 0; i < supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(supplies, CircuitSupply, i);
    if (supply->neutral_node == node)
      return true;
    for (int k = 0; k < 3; k++)
      if (supply->line_nodes[k] == node)
        return true;
  }
  return false;
}

/* Current goes in at one bond and out at another: a conductor with ground beside it. Otherwise the
 * ground is the only way back. */
static bool
beside_ground(const NetBonds *bonds)
{
  return bonds->count >= 2 && cabs(bonds->sum) < 0.1 * bonds->amps;
}

void
check_grounded_twice(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) nets = bonds_with_current(survey);
  GHashTableIter iter;
  gpointer value;
  g_hash_table_iter_init(&iter, nets);
  while (g_hash_table_iter_next(&iter, NULL, &value)) {
    const NetBonds *bonds = value;
    if (!beside_ground(bonds))
      continue;
    const char *one = survey_node_name(survey, bonds->node[0]);
    const char *two = survey_node_name(survey, bonds->node[1]);
    check_report(check, context,
                 g_strdup_printf(_("A grounded conductor is bonded at %s and at %s: the ground "
                                   "between them carries %s of its current."),
                                 one, two, AMPS(bonds->amps)),
                 g_strdup(_("Keep the bond at the transformer or the service and take the other "
                            "away.")),
                 one, two, NULL);
  }
}

void
check_ground_carries_current(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) nets = bonds_with_current(survey);
  GHashTableIter iter;
  gpointer value;
  g_hash_table_iter_init(&iter, nets);
  while (g_hash_table_iter_next(&iter, NULL, &value)) {
    const NetBonds *bonds = value;
    if (beside_ground(bonds) || is_supply_neutral(survey, bonds->node[0]))
      continue;
    const char *place = survey_node_name(survey, bonds->node[0]);
    check_report(
        check, context,
        g_strdup_printf(_("The ground at %s carries %s: it serves as the return of a load."), place,
                        AMPS(bonds->amps)),
        g_strdup_printf(_("Run the return of that load on a grounded conductor of its own; "
                          "nothing but fault current belongs on %s."),
                        place),
        place, NULL);
  }
}

static bool
device_in_use(const Survey *survey, guint device)
{
  const Device *of = document_device(survey->context->document, device);
  for (guint i = 0; i < device_terminal_count(of); i++)
    if (device_terminal(of, i)->role != TERMINAL_FRAME &&
        survey->landings[circuit_node(survey->context->circuit, device, i)] > 0)
      return true;
  return false;
}

void
check_frame_not_grounded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint node = 1; node < survey->n_nodes; node++) {
    const Terminal *terminal = survey_terminal(survey, node);
    if (terminal == NULL || terminal->role != TERMINAL_FRAME ||
        survey_same(survey, NET_WIRE, node, 0) ||
        !device_in_use(survey, context->circuit->places[node].device))
      continue;
    const char *name = survey_node_name(survey, node);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s is exposed metal and no conductor bonds it to ground: a fault "
                          "inside makes it live and opens nothing."),
                        name),
        g_strdup_printf(_("Land an equipment grounding conductor from %s on the ground of "
                          "the supply."),
                        name),
        name, NULL);
    if (survey->landings[node] == 0)
      remedy_ground(context, finding, node);
  }
}

static bool
is_frame(const Survey *survey, guint node)
{
  const Terminal *terminal = survey_terminal(survey, node);
  return terminal != NULL && terminal->role == TERMINAL_FRAME;
}

void
check_line_to_ground(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint node = 1; node < survey->n_nodes; node++) {
    if (!is_frame(survey, node) || !survey_hot(survey, node))
      continue;
    const char *name = survey_node_name(survey, node);
    check_report(
        check, context,
        g_strdup_printf(_("%s is joined to an ungrounded conductor: the metal stands at %s "
                          "to ground."),
                        name, VOLTS(survey_to_earth(survey, node))),
        g_strdup_printf(_("Lock out, take that conductor off %s and bond the frame to "
                          "ground."),
                        name),
        name, NULL);
  }
  for (guint i = 0; i < context->circuit->supplies->len; i++) {
    const CircuitSupply *supply = circuit_item(context->circuit->supplies, CircuitSupply, i);
    for (int k = 0; k < 3 && !supply->system.grounded; k++) {
      guint node = supply->line_nodes[k];
      if (node == G_MAXUINT || !survey_same(survey, NET_SHORT, node, 0))
        continue;
      const char *name = survey_node_name(survey, node);
      check_report(
          check, context,
          g_strdup_printf(_("%s of an ungrounded system is joined to ground: the other lines "
                            "rise to full line volts and a second fault is a short circuit."),
                          name),
          g_strdup(_("Find and clear the ground fault; nothing has opened because of it.")), name,
          NULL)
          ->signal = SIGNAL_WARNING;
    }
  }
}

/* --- size of grounding conductors --- */

/* Largest circuit conductor on each device, mm2; 0: none of known size. */
static double *
circuit_areas(const Survey *survey)
{
  const CheckContext *context = survey->context;
  double *areas = g_new0(double, document_device_count(context->document) + 1);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    const guint nodes[2] = {circuit_node_of_landing(context->circuit, &conductor->from),
                            circuit_node_of_landing(context->circuit, &conductor->to)};
    if (!conductor->values[CONDUCTOR_GAUGE].has_value)
      continue;
    double area = quantity_in(conductor->values[CONDUCTOR_GAUGE].low, UNIT_SQUARE_MM);
    for (int k = 0; k < 2; k++)
      if (nodes[k] > 0 && nodes[k] < survey->n_nodes && survey_hot(survey, nodes[k])) {
        guint device = context->circuit->places[nodes[k]].device;
        areas[device] = fmax(areas[device], area);
      }
  }
  return areas;
}

/* Largest known device ahead of any terminal of a device; 0: none known. */
static double
device_ahead(const Survey *survey, guint device)
{
  const Circuit *circuit = survey->context->circuit;
  const Device *of = document_device(survey->context->document, device);
  double most = 0;
  for (guint i = 0; i < device_terminal_count(of); i++) {
    guint node = circuit_node(circuit, device, i);
    if (survey->device_amps[node] < SURVEY_UNKNOWN_RATING && survey_hot(survey, node))
      most = fmax(most, survey->device_amps[node]);
  }
  return most;
}

void
check_ground_conductor_too_small(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree double *areas = circuit_areas(survey);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    const guint nodes[2] = {circuit_node_of_landing(context->circuit, &conductor->from),
                            circuit_node_of_landing(context->circuit, &conductor->to)};
    const Value *gauge = &conductor->values[CONDUCTOR_GAUGE];
    int end = is_frame(survey, nodes[0]) ? 0 : is_frame(survey, nodes[1]) ? 1 : -1;
    if (end < 0 || !gauge->has_value)
      continue;
    guint device = context->circuit->places[nodes[end]].device;
    Metal metal =
        conductor->values[CONDUCTOR_MATERIAL].choice == 1 ? METAL_ALUMINIUM : METAL_COPPER;
    Quantity size;
    double amps = device_ahead(survey, device);
    if (!egc_size(amps, metal, &size))
      continue;
    double needed = quantity_in(size, UNIT_SQUARE_MM);
    /* 250.122(A): never larger than the circuit conductors. */
    if (areas[device] > 0)
      needed = fmin(needed, areas[device]);
    if (quantity_in(gauge->low, UNIT_SQUARE_MM) >= needed * 0.999)
      continue;
    const char *name = survey_conductor_name(survey, i);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s (%s) grounds %s behind protection of %s; that takes %s, or the "
                          "size of the circuit conductors when those are smaller."),
                        name, survey_size(survey, gauge->low), survey_device_name(survey, device),
                        AMPS(amps), survey_size(survey, size)),
        g_strdup_printf(_("Use %s for %s."), survey_size(survey, size), name), name, NULL);
    remedy_wire(context, finding, i, "gauge", quantity_format(size));
  }
}
