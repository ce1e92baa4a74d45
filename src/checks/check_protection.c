/* SPDX-License-Identifier: MIT */
/* Overcurrent protection of transformers, traced through the wiring to the source. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "checks/wire.h"
#include "tables/transformer_protection.h"

#include <math.h>

/* How the secondary of each core is used and protected. */
typedef struct {
  bool unprotected;   /* something is fed without a device on the secondary */
  double device_amps; /* largest device of the secondary; 0: none */
  guint device_node;
  double ampacity;    /* weakest known conductor before any secondary device; INFINITY */
  guint weakest;      /* that conductor */
  bool motor_control; /* works a contact that a motor depends on, and feeds coils only */
  guint hot_leads;    /* landed, ungrounded */
} SecondaryUse;

static void
note_use(const Survey *survey, SecondaryUse *uses, guint node, bool coil)
{
  int core = survey_source_core(survey, node);
  if (core < 0 || survey_grounded(survey, node))
    return;
  double amps = survey->device_amps[node];
  if (isinf(amps)) {
    uses[core].unprotected = true;
  } else if (amps > uses[core].device_amps) {
    uses[core].device_amps = amps;
    uses[core].device_node = node;
  }
  if (!coil)
    uses[core].motor_control = false;
}

static void
note_conductors(const Survey *survey, SecondaryUse *uses)
{
  const Document *document = survey->context->document;
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    guint node = circuit_node_of_landing(survey->context->circuit, &conductor->from);
    if (node >= survey->n_nodes || !conductor->values[CONDUCTOR_GAUGE].has_value)
      continue;
    int core = survey_source_core(survey, node);
    if (core < 0 || survey_grounded(survey, node) || isfinite(survey->device_amps[node]) ||
        survey->capped[survey->nets[NET_METAL][node]])
      continue;
    double amps = wire_ampacity(survey, i);
    if (amps < uses[core].ampacity) {
      uses[core].ampacity = amps;
      uses[core].weakest = i;
    }
  }
}

static void
note_motor_control(const Survey *survey, SecondaryUse *uses)
{
  const Circuit *circuit = survey->context->circuit;
  g_autofree bool *works_motor = g_new0(bool, MAX(circuit->coils->len, 1));
  for (guint i = 0; i < circuit->joins->len; i++) {
    const Join *join = circuit_item(circuit->joins, Join, i);
    if (join->coil >= 0 && (survey->serves_motor[join->a] || survey->serves_motor[join->b]))
      works_motor[join->coil] = true;
  }
  for (guint i = 0; i < circuit->coils->len; i++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, i);
    int core = MAX(survey_source_core(survey, coil->a), survey_source_core(survey, coil->b));
    if (core >= 0 && works_motor[i])
      uses[core].motor_control = true;
  }
}

/* Ungrounded conductors that leave the secondaries; two leads joined in series leave nothing. */
static void
count_hot_leads(const Survey *survey, SecondaryUse *uses)
{
  g_autofree bool *counted = g_new0(bool, survey->n_nodes);
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node, net = survey->nets[NET_METAL][node];
      if (!winding->secondary || survey->landings[node] == 0 || counted[net] ||
          survey_grounded(survey, node) || survey->circuit_volts[node] <= 0)
        continue;
      counted[net] = true;
      uses[winding->core].hot_leads++;
    }
  }
}

static SecondaryUse *
secondary_uses(const Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  SecondaryUse *uses = g_new0(SecondaryUse, MAX(circuit->cores->len, 1));
  for (guint c = 0; c < circuit->cores->len; c++)
    uses[c].ampacity = INFINITY;
  note_motor_control(survey, uses);
  for (guint i = 0; i < circuit->loads->len; i++) {
    const Load *load = circuit_item(circuit->loads, Load, i);
    note_use(survey, uses, load->a, false);
    note_use(survey, uses, load->b, false);
  }
  for (guint i = 0; i < circuit->coils->len; i++) {
    const Coil *coil = circuit_item(circuit->coils, Coil, i);
    note_use(survey, uses, coil->a, true);
    note_use(survey, uses, coil->b, true);
  }
  note_conductors(survey, uses);
  count_hot_leads(survey, uses);
  return uses;
}

/* Device ahead of the pair of primary leads: of two unequal ones the larger (it lets most through)
 * or the smaller (it opens first). 0: both leads grounded, or not fed. INFINITY: no device. Sets
 * node to the lead. */
typedef enum { THE_LARGER, THE_SMALLER } Choice;
static double
primary_device(const Survey *survey, guint core, Choice choice, guint *node)
{
  const SurveyCore *fed = &survey->cores[core];
  double chosen = 0;
  if (!fed->fed || fed->feeding < 0)
    return 0;
  const Winding *winding = survey_winding(survey, (guint)fed->feeding);
  const guint nodes[2] = {survey_lead(winding, fed->low)->node,
                          survey_lead(winding, fed->high)->node};
  for (int i = 0; i < 2; i++) {
    double amps = survey->device_amps[nodes[i]];
    bool better = choice == THE_LARGER ? amps > chosen : chosen == 0 || amps < chosen;
    if (!survey_hot(survey, nodes[i]) || !better)
      continue;
    chosen = amps;
    *node = nodes[i];
  }
  return chosen;
}

static RatingDevice
device_kind(const Survey *survey, guint node)
{
  int guard = survey->guard[node];
  const Join *join = guard >= 0 ? circuit_item(survey->context->circuit->joins, Join, guard) : NULL;
  return join != NULL && join->role == JOIN_BREAKER ? RATING_BREAKER : RATING_FUSE;
}

static const char *
guard_name(const Survey *survey, guint node)
{
  int guard = survey->guard[node];
  return guard >= 0 ? survey_owner_name(
                          survey, circuit_item(survey->context->circuit->joins, Join, guard)->owner)
                    : "";
}

/* "a 0.6 A fuse" */
static char *
advise(const Survey *survey, ProtectionMethod method, double rated, RatingDevice device)
{
  double amps = transformer_protection_rating(method, rated, survey->edition, device);
  if (isnan(amps) && device == RATING_BREAKER) {
    device = RATING_FUSE;
    amps = transformer_protection_rating(method, rated, survey->edition, device);
  }
  if (isnan(amps))
    return g_strdup(_("a fuse below the smallest in stock"));
  return g_strdup_printf(device == RATING_FUSE ? _("a %s fuse") : _("a %s breaker"), AMPS(amps));
}

/* Ungrounded primary leads of a core that some way reaches without protection: "T1.H1 and T1.H4".
 * Their names go to places, too; NULL: none. */
static char *
bare_leads(const Survey *survey, guint core, GPtrArray *places)
{
  const GArray *list = survey->cores[core].primaries;
  for (guint i = 0; i < list->len; i++) {
    const Winding *winding = survey_winding(survey, g_array_index(list, guint, i));
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node;
      if (survey->landings[node] > 0 && survey_hot(survey, node) &&
          !isfinite(survey->device_amps[node]))
        g_ptr_array_add(places, (gpointer)survey_node_name(survey, node));
    }
  }
  return language_list((const char *const *)places->pdata, places->len);
}

void
check_primary_unprotected(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    double rated = survey_primary_amps(survey, c);
    if (!survey->cores[c].fed)
      continue;
    g_autoptr(GPtrArray) places = g_ptr_array_new();
    g_autofree char *leads = bare_leads(survey, c, places);
    if (places->len == 0)
      continue;
    g_autofree char *advice = isnan(rated)
                                  ? g_strdup(_("a fuse"))
                                  : advise(survey, PROTECT_PRIMARY_ONLY, rated, RATING_FUSE);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("Between the source and %s there is no fuse or breaker on at least one "
                          "way; a fault in the transformer burns unprotected."),
                        leads),
        g_strdup_printf(places->len == 1
                            ? _("Put %s or smaller in the ungrounded conductor to %s.")
                            : _("Put %s or smaller in each ungrounded conductor to %s."),
                        advice, leads),
        NULL);
    for (guint i = 0; i < places->len; i++)
      finding_add_place(finding, "%s", (const char *)g_ptr_array_index(places, i));
  }
}

/* The device behind a guard gets another rating. */
static void
note_rating(CheckContext *context, const Finding *finding, guint node, double amps)
{
  int guard = context->survey->guard[node];
  if (guard < 0 || isnan(amps))
    return;
  const Join *join = circuit_item(context->circuit->joins, Join, guard);
  remedy_set_number(context, finding, join->owner.index, "rating", amps, UNIT_AMPERE);
}

/* Every device ahead of the pair of leads that is above a limit, or below one given as negative. */
static void
note_primary_ratings(CheckContext *context, const Finding *finding, guint core, double limit,
                     double amps)
{
  const Survey *survey = context->survey;
  const SurveyCore *fed = &survey->cores[core];
  const Winding *winding = survey_winding(survey, (guint)fed->feeding);
  const guint nodes[2] = {survey_lead(winding, fed->low)->node,
                          survey_lead(winding, fed->high)->node};
  for (int i = 0; i < 2; i++) {
    double device = survey->device_amps[nodes[i]];
    if (survey_hot(survey, nodes[i]) && device < SURVEY_UNKNOWN_RATING &&
        (limit >= 0 ? device > limit : device < -limit))
      note_rating(context, finding, nodes[i], amps);
  }
}

/* The most the tables permit ahead of the primary, and by which method. */
static ProtectionMethod
primary_method(double rated, const SecondaryUse *use)
{
  if (use->motor_control && transformer_protection_row(PROTECT_MOTOR_CONTROL, rated) != NULL)
    return PROTECT_MOTOR_CONTROL;
  double both = transformer_protection_limit(PROTECT_PRIMARY_OF_BOTH, rated);
  bool secondary = use->device_amps > 0 && !use->unprotected;
  return secondary && both > transformer_protection_limit(PROTECT_PRIMARY_ONLY, rated)
             ? PROTECT_PRIMARY_OF_BOTH
             : PROTECT_PRIMARY_ONLY;
}

void
check_primary_protection_too_large(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree SecondaryUse *uses = secondary_uses(survey);
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    guint node = 0;
    double device = primary_device(survey, c, THE_LARGER, &node),
           rated = survey_primary_amps(survey, c);
    if (device <= 0 || device >= SURVEY_UNKNOWN_RATING || isnan(rated))
      continue;
    ProtectionMethod method = primary_method(rated, &uses[c]);
    RatingDevice kind = device_kind(survey, node);
    double most = transformer_protection_largest(method, rated, survey->edition, kind);
    if (device <= most * 1.0001)
      continue;
    const ProtectionRow *row = transformer_protection_row(method, rated);
    g_autofree char *advice = advise(survey, method, rated, kind);
    const char *guard = guard_name(survey, node),
               *id = survey_device_name(survey, survey->cores[c].device);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s (%s) is the smallest protection ahead of %s, whose rated "
                          "primary current is %s. %s permits %s of it, at most %s."),
                        guard, AMPS(device), id, AMPS(rated), row->clause, PERCENT(row->percent),
                        AMPS(most)),
        g_strdup_printf(_("Use %s or smaller in place of %s, or add one for %s."), advice, guard,
                        id),
        guard, survey_node_name(survey, node), NULL);
    note_primary_ratings(context, finding, c, most,
                         transformer_protection_rating(method, rated, survey->edition, kind));
  }
}

static void
report_many_leads(const Check *check, CheckContext *context, const char *id,
                  const SecondaryUse *use)
{
  const Survey *survey = context->survey;
  double fuse = isfinite(use->ampacity) ? fuse_rating_down(use->ampacity) : (double)NAN;
  check_report(
      check, context,
      g_strdup_printf(
          _("%s feeds %u ungrounded secondary leads without protection of their own; the "
            "primary device protects two-wire secondaries only."),
          id, use->hot_leads),
      isnan(fuse)
          ? g_strdup(_("Put a fuse in each ungrounded secondary lead, no larger than its conductor "
                       "may carry."))
          : g_strdup_printf(_("Put a fuse of %s or less in each ungrounded secondary lead; its "
                              "conductor may carry %s."),
                            AMPS(fuse), AMPS(use->ampacity)),
      id, NULL);
}

void
check_secondary_unprotected(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree SecondaryUse *uses = secondary_uses(survey);
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    const Device *device = document_device(context->document, core->device);
    if (!core->fed || core->feeding < 0 || !uses[c].unprotected || survey_flag(device, "class-2"))
      continue;
    guint node = 0;
    double primary = primary_device(survey, c, THE_LARGER, &node);
    double volts = 0;
    for (guint i = 0; i < core->secondaries->len; i++)
      volts = fmax(volts, survey_winding(survey, g_array_index(core->secondaries, guint, i))->span);
    const Winding *fed = survey_winding(survey, (guint)core->feeding);
    double marked = survey_lead(fed, core->high)->volts - survey_lead(fed, core->low)->volts;
    double carried =
        primary * marked / volts; /* what the primary device lets the secondary carry */
    if (uses[c].hot_leads > 2)
      report_many_leads(check, context, device->id, &uses[c]);
    else if (isfinite(uses[c].ampacity) && primary < SURVEY_UNKNOWN_RATING &&
             carried > uses[c].ampacity * 1.0001)
      check_report(
          check, context,
          g_strdup_printf(_("The primary device of %s (%s) lets its secondary carry %s before it "
                            "opens; %s carries %s."),
                          device->id, AMPS(primary), AMPS(carried),
                          survey_conductor_name(survey, uses[c].weakest), AMPS(uses[c].ampacity)),
          g_strdup_printf(
              _("Use a primary device of %s or less, a secondary fuse of %s or less, or a "
                "larger conductor."),
              AMPS(transformer_secondary_by_primary(uses[c].ampacity, marked, volts)),
              AMPS(fuse_rating_down(uses[c].ampacity))),
          device->id, survey_conductor_name(survey, uses[c].weakest), NULL);
  }
}

void
check_secondary_protection_too_large(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree SecondaryUse *uses = secondary_uses(survey);
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    guint node = 0;
    double primary = primary_device(survey, c, THE_LARGER, &node),
           rated = survey_primary_amps(survey, c);
    if (primary <= 0 || isinf(primary) || isnan(rated) || uses[c].device_amps <= 0 ||
        uses[c].device_amps >= SURVEY_UNKNOWN_RATING)
      continue;
    RatingDevice kind = device_kind(survey, node);
    /* With the primary alone within its limit the table asks nothing of the secondary. */
    if (primary <=
        transformer_protection_largest(PROTECT_PRIMARY_ONLY, rated, survey->edition, kind))
      continue;
    int winding = survey->winding_of[survey->root[uses[c].device_node]];
    double volts = survey_winding(survey, (guint)winding)->span;
    double amps = circuit_item(context->circuit->cores, Core, c)->rating / volts;
    RatingDevice secondary_kind = device_kind(survey, uses[c].device_node);
    double most = transformer_protection_largest(PROTECT_SECONDARY_OF_BOTH, amps, survey->edition,
                                                 secondary_kind);
    if (uses[c].device_amps <= most * 1.0001)
      continue;
    g_autofree char *advice = advise(survey, PROTECT_SECONDARY_OF_BOTH, amps, secondary_kind);
    const char *guard = guard_name(survey, uses[c].device_node);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(_("%s (%s) protects a secondary rated %s; with %s ahead of the "
                          "primary it may be at most %s."),
                        guard, AMPS(uses[c].device_amps), AMPS(amps), AMPS(primary), AMPS(most)),
        g_strdup_printf(_("Use %s or smaller in place of %s."), advice, guard), guard, NULL);
    note_rating(context, finding, uses[c].device_node,
                transformer_protection_rating(PROTECT_SECONDARY_OF_BOTH, amps, survey->edition,
                                              secondary_kind));
  }
}

/* The smallest fuse not below; beyond the list the amperes themselves. */
static const char *
fuse_at_least(const Survey *survey, double amps)
{
  double rating = fuse_rating_up(amps);
  return AMPS(isnan(rating) ? amps : rating);
}

static const char *
breaker_at_least(const Survey *survey, double amps)
{
  double rating = standard_rating_up(amps, survey->edition, RATING_BREAKER);
  return AMPS(isnan(rating) ? amps : rating);
}

/* From 125 % of rated current, for the inrush, to the largest the table permits alone. */
static char *
start_remedy(const Survey *survey, double rated)
{
  double least = fuse_rating_up(1.25 * rated);
  double most =
      transformer_protection_rating(PROTECT_PRIMARY_ONLY, rated, survey->edition, RATING_FUSE);
  if (isnan(least) || isnan(most) || most <= least * 1.0001)
    return g_strdup_printf(_("Use a time-delay fuse of %s."), fuse_at_least(survey, 1.25 * rated));
  return g_strdup_printf(_("Use a time-delay fuse of %s to %s."), AMPS(least), AMPS(most));
}

/* Protection of overloaded transformers: the overload is the finding, not the device. */
static bool *
excused(const Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  bool *joins = g_new0(bool, MAX(circuit->joins->len, 1));
  for (guint c = 0; c < circuit->cores->len; c++) {
    const SurveyCore *core = &survey->cores[c];
    double rating = circuit_item(circuit->cores, Core, c)->rating;
    if (core->feeding < 0 || survey_delivered(survey, c) <= 1.02 * rating)
      continue;
    const Winding *winding = survey_winding(survey, (guint)core->feeding);
    const guint leads[2] = {core->low, core->high};
    for (int i = 0; i < 2; i++) {
      int nearest = survey->nearest[survey_lead(winding, leads[i])->node];
      if (nearest >= 0)
        joins[nearest] = true;
    }
  }
  return joins;
}

static void
opens_in_service(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->volts == NULL || survey->shorted || survey->amps_mislead)
    return;
  g_autofree bool *excuse = excused(survey);
  g_autoptr(GHashTable) told = g_hash_table_new(NULL, NULL); /* one finding a device */
  for (guint i = 0; i < context->circuit->joins->len; i++) {
    const Join *join = circuit_item(context->circuit->joins, Join, i);
    bool protects = join->role == JOIN_FUSE || join->role == JOIN_BREAKER;
    double amps = protects && join->rated_amps > 0 ? survey_join_amps(survey, i) : 0;
    if (!(amps > join->rated_amps * 1.001) || isinf(amps) || excuse[i] ||
        !g_hash_table_add(told, GUINT_TO_POINTER(join->owner.index)))
      continue;
    const char *id = survey_owner_name(survey, join->owner);
    check_report(check, context,
                 g_strdup_printf(_("%s carries %s with everything on and is rated %s: it opens in "
                                   "service."),
                                 id, AMPS(amps), AMPS(join->rated_amps)),
                 g_strdup_printf(_("Take load off, or use %s of %s where the conductors behind it "
                                   "permit that."),
                                 join->role == JOIN_FUSE ? _("a fuse") : _("a breaker"),
                                 join->role == JOIN_FUSE ? fuse_at_least(survey, 1.25 * amps)
                                                         : breaker_at_least(survey, 1.25 * amps)),
                 id, NULL);
  }
}

void
check_protection_too_small(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    guint node = 0;
    double device = primary_device(survey, c, THE_SMALLER, &node),
           rated = survey_primary_amps(survey, c);
    if (device <= 0 || device >= SURVEY_UNKNOWN_RATING || !(device < 1.25 * rated))
      continue;
    const char *guard = guard_name(survey, node);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(
            _("%s (%s) is small for %s, whose rated primary current is %s: inrush of 10 "
              "to 40 times that opens it when the transformer is switched on."),
            guard, AMPS(device), survey_device_name(survey, survey->cores[c].device), AMPS(rated)),
        start_remedy(survey, rated), guard, NULL);
    note_primary_ratings(context, finding, c, -1.25 * rated, fuse_rating_up(1.25 * rated));
    if (device >= rated)
      finding->signal = SIGNAL_NOTICE;
  }
  opens_in_service(check, context);
}
