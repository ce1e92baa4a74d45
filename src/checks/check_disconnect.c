/* SPDX-License-Identifier: MIT */
/* Opening: what stays connected when everything that can be locked open is open. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/survey.h"

#include <math.h>

/* Ungrounded supply conductors of one consumer, and those that opening leaves connected. */
typedef struct {
  guint hot, still;
  guint node;   /* one that stays */
  guint opened; /* one that opens */
  const char *name;
} Isolation;

static void
look(const Survey *survey, Isolation *isolation, guint node)
{
  if (!(survey_feed(survey, node) & FEED_LINE) || survey_grounded(survey, node))
    return;
  isolation->hot++;
  if (survey->line_isolated[survey->nets[NET_ISOLATED][node]]) {
    isolation->still++;
    isolation->node = node;
  } else {
    isolation->opened = node;
  }
}

/* Transformers by their landed primary leads, then loads, coils and motors by their terminals.
 * False: past the last one. */
static bool
isolation_at(const Survey *survey, guint index, Isolation *isolation)
{
  const Circuit *circuit = survey->context->circuit;
  *isolation = (Isolation){0};
  if (index < circuit->cores->len) {
    const SurveyCore *core = &survey->cores[index];
    isolation->name = survey_device_name(survey, core->device);
    for (guint i = 0; i < core->primaries->len; i++) {
      const Winding *winding = survey_winding(survey, g_array_index(core->primaries, guint, i));
      for (guint k = 0; k < winding->leads->len; k++)
        if (survey->landings[survey_lead(winding, k)->node] > 0)
          look(survey, isolation, survey_lead(winding, k)->node);
    }
    return true;
  }
  index -= circuit->cores->len;
  if (index < circuit->loads->len) {
    const Load *load = circuit_item(circuit->loads, Load, index);
    isolation->name = survey_owner_name(survey, load->owner);
    look(survey, isolation, load->a);
    look(survey, isolation, load->b);
    return true;
  }
  index -= circuit->loads->len;
  if (index < circuit->coils->len) {
    const Coil *coil = circuit_item(circuit->coils, Coil, index);
    isolation->name = survey_owner_name(survey, coil->owner);
    look(survey, isolation, coil->a);
    look(survey, isolation, coil->b);
    return true;
  }
  index -= circuit->coils->len;
  if (index >= circuit->motors->len)
    return false;
  const Motor *motor = circuit_item(circuit->motors, Motor, index);
  isolation->name = survey_owner_name(survey, motor->owner);
  look(survey, isolation, motor->a);
  look(survey, isolation, motor->b);
  look(survey, isolation, motor->c);
  return true;
}

void
check_pole_not_opened(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  Isolation isolation;
  for (guint i = 0; isolation_at(survey, i, &isolation); i++) {
    if (isolation.still == 0 || isolation.still == isolation.hot)
      continue;
    const char *stays = survey_node_name(survey, isolation.node);
    check_report(
        check, context,
        g_strdup_printf(_("With every disconnect open %s still stands on a line (%s to "
                          "ground) while %s is dead: %s looks off and is live."),
                        stays, VOLTS(survey_to_earth(survey, isolation.node)),
                        survey_node_name(survey, isolation.opened), isolation.name),
        g_strdup_printf(_("Use a disconnect with one pole for each ungrounded conductor and "
                          "take %s through it."),
                        stays),
        stays, NULL);
  }
}

void
check_no_disconnect(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  Isolation isolation;
  for (guint i = 0; isolation_at(survey, i, &isolation); i++) {
    if (isolation.hot == 0 || isolation.still < isolation.hot)
      continue;
    check_report(
        check, context,
        g_strdup_printf(_("Nothing between the supply and %s can be opened: it cannot be "
                          "locked out here (%s to ground at %s)."),
                        isolation.name, VOLTS(survey_to_earth(survey, isolation.node)),
                        survey_node_name(survey, isolation.node)),
        g_strdup_printf(_("Put a disconnect that can be locked open ahead of %s, with a pole "
                          "for each of its %u ungrounded conductors."),
                        isolation.name, isolation.hot),
        isolation.name, NULL);
  }
}

/* How many poles of its device open together with an ungrounded conductor. */
static GHashTable *
gangs_with_hot_pole(const Survey *survey)
{
  GHashTable *gangs = g_hash_table_new(NULL, NULL);
  const GArray *joins = survey->context->circuit->joins;
  for (guint i = 0; i < joins->len; i++) {
    const Join *join = circuit_item(joins, Join, i);
    bool gangs_poles = join->role == JOIN_DISCONNECT || join->role == JOIN_BREAKER;
    if (gangs_poles && join->owner.kind == OWNER_DEVICE && survey_hot(survey, join->a))
      g_hash_table_add(gangs, GUINT_TO_POINTER(join->owner.index));
  }
  return gangs;
}

void
check_opens_grounded_conductor(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  if (survey->shorted)
    return;
  g_autoptr(GHashTable) gangs = gangs_with_hot_pole(survey);
  for (guint i = 0; i < context->circuit->joins->len; i++) {
    const Join *join = circuit_item(context->circuit->joins, Join, i);
    bool fuse = join->role == JOIN_FUSE;
    bool opens = fuse || join->role == JOIN_DISCONNECT || join->role == JOIN_BREAKER ||
                 join->role == JOIN_CONTACT || join->role == JOIN_SWITCH;
    bool used = survey->landings[join->a] > 0 && survey->landings[join->b] > 0;
    if (!opens || !used || !survey_grounded(survey, join->a) || !survey_grounded(survey, join->b))
      continue;
    if (!fuse && g_hash_table_contains(gangs, GUINT_TO_POINTER(join->owner.index)))
      continue; /* every conductor at once */
    const char *id = survey_owner_name(survey, join->owner);
    Finding *finding = check_report(
        check, context,
        g_strdup_printf(
            _("%s can open the grounded conductor between %s and %s by itself: the load "
              "is then off but stays live."),
            id, survey_node_name(survey, join->a), survey_node_name(survey, join->b)),
        g_strdup_printf(_("Run the grounded conductor past %s and put %s in the ungrounded "
                          "conductor."),
                        id, id),
        id, NULL);
    double volts = fmax(survey->circuit_volts[join->a], survey->circuit_volts[join->b]);
    if (!fuse && volts < 50)
      finding->signal = SIGNAL_NOTICE; /* control practice differs below 50 V */
  }
}
