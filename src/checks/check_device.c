/* SPDX-License-Identifier: MIT */
/* Ratings of protective and switching devices against the system they stand in. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "solve/fault.h"
#include "tables/nominal_systems.h"

#include <math.h>

/* A bolted fault is worked out exactly for this many devices of a sheet; beyond it the upper bound
 * (what the source itself can deliver) is used, so that large sheets stay quick. */
#define MAX_EXACT_FAULTS 256

/* The supply a terminal's power comes from, or NULL. */
static const CircuitSupply *
source_supply(const Survey *survey, guint node)
{
  guint root = survey->root[node];
  const GArray *supplies = survey->context->circuit->supplies;
  guint device = root != G_MAXUINT ? survey->context->circuit->places[root].device : G_MAXUINT;
  for (guint i = 0; i < supplies->len && device != G_MAXUINT; i++)
    if (circuit_item(supplies, CircuitSupply, i)->device == device)
      return circuit_item(supplies, CircuitSupply, i);
  return NULL;
}

/* End of a join that lies nearer the source; G_MAXUINT when power does not come through it. */
static guint
line_side(const Survey *survey, guint index)
{
  const Join *join = circuit_item(survey->context->circuit->joins, Join, index);
  if (survey->parent_join[join->b] == (int)index)
    return join->a;
  return survey->parent_join[join->a] == (int)index ? join->b : G_MAXUINT;
}

static guint
load_side(const Survey *survey, guint index)
{
  const Join *join = circuit_item(survey->context->circuit->joins, Join, index);
  return line_side(survey, index) == join->a ? join->b : join->a;
}

/* Impedance and volts of a whole winding; its stretches follow one another. */
static void
sum_winding(const Survey *survey, guint index, Phasor *z, double *volts)
{
  const GArray *segments = survey->context->circuit->segments;
  *z = 0;
  *volts = 0;
  for (guint s = survey_winding(survey, index)->first_segment;
       s < segments->len && survey->segment_winding[s] == index; s++) {
    *z += circuit_item(segments, Segment, s)->z;
    *volts += circuit_item(segments, Segment, s)->turns;
  }
}

/* Amperes the winding at a root delivers into a bolted short from an unlimited primary. */
static double
winding_fault(const Survey *survey, guint root, guint *other)
{
  guint index = (guint)survey->winding_of[root];
  const Winding *winding = survey_winding(survey, index);
  const SurveyCore *core = &survey->cores[winding->core];
  guint first = survey_lead(winding, 0)->node;
  *other = first != root ? first : survey_lead(winding, winding->leads->len - 1)->node;
  Phasor z, primary;
  double volts, primary_volts;
  sum_winding(survey, index, &z, &volts);
  if (core->feeding >= 0 && (guint)core->feeding != index) {
    sum_winding(survey, (guint)core->feeding, &primary, &primary_volts);
    z += primary * (volts / primary_volts) * (volts / primary_volts);
  }
  return cabs(z) > 0 ? volts / cabs(z) : (double)INFINITY;
}

/* Upper bound of the fault current at a node and the node to short it to. 0: cannot be told. */
static double
fault_bound(const Survey *survey, guint node, guint *other)
{
  guint root = survey->root[node];
  if (root == G_MAXUINT)
    return 0;
  if (survey->winding_of[root] >= 0)
    return winding_fault(survey, root, other);
  const CircuitSupply *supply = source_supply(survey, node);
  if (supply == NULL || supply->fault_amps <= 0)
    return 0;
  *other = supply->neutral_node != G_MAXUINT ? supply->neutral_node : 0;
  for (int i = 0; i < 3; i++)
    if (supply->line_nodes[i] != G_MAXUINT && supply->line_nodes[i] != root)
      *other = supply->line_nodes[i];
  return supply->fault_amps;
}

/* Three lines shorted together at a device draw line-to-neutral volts over the impedance of one
 * line up to there: what is seen from the device to another line of the supply, less that other
 * line's half of the supply. Two conductors: over the impedance up to there, the way back counted
 * as nothing (a fault to grounded metal has many ways back). */
static double
exact_fault(const Survey *survey, FaultStudy *study, guint node, guint other)
{
  const CircuitSupply *supply = source_supply(survey, node);
  if (supply == NULL || supply->line_nodes[2] == G_MAXUINT)
    return fault_study_amps(study, node, other);
  guint root = survey->root[node];
  Phasor line =
      fault_study_impedance(study, node, other) - fault_study_impedance(study, root, other) / 2;
  double volts = cabs(fault_study_volts(study, root, other));
  return cabs(line) > 0 ? volts / sqrt(3) / cabs(line) : (double)NAN;
}

/* Interrupting ratings the trade stocks, amperes; common practice, no source. */
static double
next_interrupting(double amps)
{
  static const double ratings[] = {5e3,  10e3, 14e3, 18e3,  22e3,  25e3,
                                   35e3, 42e3, 65e3, 100e3, 200e3, 300e3};
  for (gsize i = 0; i < G_N_ELEMENTS(ratings); i++)
    if (ratings[i] >= amps)
      return ratings[i];
  return amps;
}

/* What a device opens at least: its marking, or what the standards give one without (NFPA 70
 * 240.83(C) breakers, 240.60(C) cartridge fuses; from memory). */
static double
least_interrupting(const Join *join)
{
  if (join->interrupting_amps > 0)
    return join->interrupting_amps;
  return join->role == JOIN_BREAKER ? 5000 : 10000;
}

/* Fault current on the line side of a join when it is more than the device opens; else 0. study is
 * made when it is first needed. */
static double
fault_beyond(const Survey *survey, guint index, FaultStudy **study, guint *solved)
{
  const CheckContext *context = survey->context;
  const Join *join = circuit_item(context->circuit->joins, Join, index);
  guint node = line_side(survey, index), other = 0;
  double least = least_interrupting(join), amps = 0;
  if (node != G_MAXUINT)
    amps = fault_bound(survey, node, &other);
  if (amps <= least)
    return 0;
  if (*study == NULL && *solved == 0 && context->closed_solution != NULL)
    *study = fault_study_new(context->closed_circuit, context->closed_solution, NULL);
  if (*study != NULL && (*solved)++ < MAX_EXACT_FAULTS) {
    double exact = exact_fault(survey, *study, node, other);
    if (!isnan(exact) && exact < amps)
      amps = exact;
  }
  return amps > least ? amps : 0;
}

static void
report_interrupting(const Check *check, CheckContext *context, const Join *join, guint node,
                    double amps)
{
  const Survey *survey = context->survey;
  const char *id = survey_owner_name(survey, join->owner);
  double next = next_interrupting(amps);
  Finding *finding = check_report(
      check, context,
      g_strdup_printf(_("A bolted fault at %s draws up to %s; %s can open %s at most."),
                      survey_node_name(survey, node), AMPS(amps), id,
                      AMPS(join->interrupting_amps)),
      g_strdup_printf(_("Put a device with an interrupting rating of %s or more in place of %s."),
                      AMPS(next), id),
      id, NULL);
  if (next <= 300e3) /* nothing is made for more */
    remedy_set_number(context, finding, join->owner.index, "interrupting", next, UNIT_AMPERE);
}

/* One notice for all devices whose rating was not entered and that might not do. */
static void
report_unmarked(const Check *check, CheckContext *context, const GArray *joins, double amps)
{
  const Survey *survey = context->survey;
  Finding *finding = check_report(
      check, context,
      g_strdup_printf(
          language_plural("A bolted fault draws up to %s, and %u device has no interrupting rating "
                          "entered: a breaker without a marking opens 5 kA, a fuse 10 kA.",
                          "A bolted fault draws up to %s, and %u devices have no interrupting "
                          "rating entered: a breaker without a marking opens 5 kA, a fuse 10 kA.",
                          joins->len),
          AMPS(amps), joins->len),
      g_strdup_printf(_("Read the interrupting rating (AIC, IR) on each label and enter it; less "
                        "than %s will not do there."),
                      AMPS(amps)),
      NULL);
  for (guint i = 0; i < joins->len; i++) {
    const Join *join = circuit_item(context->circuit->joins, Join, g_array_index(joins, guint, i));
    finding_add_place(finding, "%s", survey_owner_name(survey, join->owner));
  }
  finding->signal = SIGNAL_NOTICE;
}

void
check_interrupting_rating_exceeded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  FaultStudy *study = NULL;
  guint solved = 0;
  double most = 0;
  g_autoptr(GArray) unmarked = g_array_new(FALSE, FALSE, sizeof(guint));
  g_autoptr(GHashTable) told = g_hash_table_new(NULL, NULL); /* one finding a device */
  if (survey->shorted)
    return;
  for (guint i = 0; i < context->circuit->joins->len; i++) {
    const Join *join = circuit_item(context->circuit->joins, Join, i);
    if ((join->role != JOIN_FUSE && join->role != JOIN_BREAKER) ||
        join->owner.kind != OWNER_DEVICE ||
        g_hash_table_contains(told, GUINT_TO_POINTER(join->owner.index)))
      continue;
    double amps = fault_beyond(survey, i, &study, &solved);
    if (amps <= 0)
      continue;
    g_hash_table_add(told, GUINT_TO_POINTER(join->owner.index));
    if (join->interrupting_amps > 0) {
      report_interrupting(check, context, join, line_side(survey, i), amps);
    } else {
      g_array_append_val(unmarked, i);
      most = fmax(most, amps);
    }
  }
  if (unmarked->len > 0)
    report_unmarked(check, context, unmarked, most);
  fault_study_free(study);
}

void
check_fault_current_unknown(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint s = 0; s < context->circuit->supplies->len; s++) {
    const CircuitSupply *supply = circuit_item(context->circuit->supplies, CircuitSupply, s);
    g_autoptr(GHashTable) devices = g_hash_table_new(NULL, NULL);
    for (guint i = 0; i < context->circuit->joins->len && supply->fault_amps <= 0; i++) {
      const Join *join = circuit_item(context->circuit->joins, Join, i);
      guint node =
          join->role == JOIN_FUSE || join->role == JOIN_BREAKER ? line_side(survey, i) : G_MAXUINT;
      if (node != G_MAXUINT && join->owner.kind == OWNER_DEVICE &&
          source_supply(survey, node) == supply)
        g_hash_table_add(devices, GUINT_TO_POINTER(join->owner.index));
    }
    guint n = g_hash_table_size(devices);
    if (n == 0)
      continue;
    const char *id = survey_device_name(survey, supply->device);
    check_report(check, context,
                 g_strdup_printf(_("The available fault current of %s is not entered, so the "
                                   "interrupting rating of %u %s behind it was not judged."),
                                 id, n, n == 1 ? _("device") : _("devices")),
                 g_strdup_printf(_("Read it off the label at the service equipment or ask the "
                                   "utility, and enter it as fault-current of %s, such as 10 kA."),
                                 id),
                 id, NULL);
  }
}

/* The circuit's nominal volts: measured volts wander, ratings are compared with the nominal. */
static double
nominal_of(double measured)
{
  double nominal = nominal_volts_near(measured);
  return nominal > 0 ? nominal : measured;
}

/* Voltage ratings the trade stocks; common practice, no source. */
static double
next_volts(double volts)
{
  static const double ratings[] = {120, 240, 480, 600, 1000};
  for (gsize i = 0; i < G_N_ELEMENTS(ratings); i++)
    if (ratings[i] >= volts * 0.999)
      return ratings[i];
  return volts;
}

static void
report_voltage(const Check *check, CheckContext *context, const Join *join, char *take_why,
               double volts)
{
  const Survey *survey = context->survey;
  const char *id = survey_owner_name(survey, join->owner);
  bool slash = join->rated_volts_to_ground > 0;
  double needed = slash ? fmax(volts, join->rated_volts) : volts;
  Finding *finding = check_report(
      check, context, take_why,
      g_strdup_printf(_("Use a device with a %s of %s or more in place of %s, such as one for %s."),
                      slash ? _("straight rating (no slash)") : _("voltage rating"), VOLTS(needed),
                      id, VOLTS(next_volts(needed))),
      id, NULL);
  const Device *device = document_device(context->document, join->owner.index);
  if (device_value_named(device, "volts") == NULL || volts > 1000)
    return; /* a relay's contacts have theirs in rows; nothing here is made for more than 1000 V */
  if (join->rated_volts_to_ground > 0)
    remedy_set(context, finding, join->owner.index, "volts-to-ground", NULL);
  if (volts > join->rated_volts)
    remedy_set_number(context, finding, join->owner.index, "volts", next_volts(volts), UNIT_VOLT);
}

static bool
slash_fits(const Survey *survey, const CircuitSupply *supply, const Join *join, guint node)
{
  SupplyClass class_ = supply->system.class_;
  return supply->system.grounded && class_ != SYSTEM_DELTA_CORNER_GROUNDED &&
         nominal_of(survey_to_earth(survey, node)) <= join->rated_volts_to_ground * 1.001;
}

void
check_device_voltage_exceeded(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) told = g_hash_table_new(NULL, NULL); /* one finding a device */
  if (survey->volts == NULL || survey->shorted)
    return;
  for (guint i = 0; i < context->circuit->joins->len; i++) {
    const Join *join = circuit_item(context->circuit->joins, Join, i);
    guint line = line_side(survey, i);
    if (join->rated_volts <= 0 || line == G_MAXUINT || join->owner.kind != OWNER_DEVICE ||
        g_hash_table_contains(told, GUINT_TO_POINTER(join->owner.index)))
      continue;
    guint node = load_side(survey, i);
    double volts = survey->circuit_volts[node] > 0 ? survey->circuit_volts[node]
                                                   : survey_to_earth(survey, line);
    double nominal = nominal_of(volts);
    const CircuitSupply *supply = source_supply(survey, line);
    const char *id = survey_owner_name(survey, join->owner);
    char *why = NULL;
    if (nominal > join->rated_volts * 1.001)
      why = g_strdup_printf(_("%s is rated %s and stands in a circuit of %s (%s measured)."), id,
                            VOLTS(join->rated_volts), VOLTS(nominal), VOLTS(volts));
    else if (join->rated_volts_to_ground > 0 && supply != NULL && survey_hot(survey, line) &&
             supply->system.class_ != SYSTEM_UNKNOWN &&
             supply->system.class_ != SYSTEM_IMPOSSIBLE && !slash_fits(survey, supply, join, line))
      why = g_strdup_printf(_("%s has a slash rating of %s/%s, meant for a solidly grounded system "
                              "with at most %s to ground; this one is %s."),
                            id, VOLTS(join->rated_volts), VOLTS(join->rated_volts_to_ground),
                            VOLTS(join->rated_volts_to_ground), supply->system.name);
    if (why == NULL)
      continue;
    report_voltage(check, context, join, why, nominal);
    g_hash_table_add(told, GUINT_TO_POINTER(join->owner.index));
  }
}
