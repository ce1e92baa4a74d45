/* SPDX-License-Identifier: MIT */
/* Class 2: limits of the source, and separation from other wiring. */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/wire.h"
#include "tables/class2.h"

#include <math.h>

static bool
is_class2(const Survey *survey, guint core)
{
  const Device *device = document_device(survey->context->document, survey->cores[core].device);
  return survey_flag(device, "class-2");
}

void
check_class2_limit(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint c = 0; c < context->circuit->cores->len; c++) {
    if (!is_class2(survey, c))
      continue;
    double rating = circuit_item(context->circuit->cores, Core, c)->rating, volts = 0;
    const GArray *list = survey->cores[c].secondaries;
    for (guint i = 0; i < list->len; i++)
      volts = fmax(volts, survey_winding(survey, g_array_index(list, guint, i))->span);
    Class2Limit limit;
    const char *id = survey_device_name(survey, survey->cores[c].device);
    if (!class2_limit(true, volts, &limit) || volts > 30)
      check_report(
          check, context,
          g_strdup_printf(_("%s is marked class 2 but its secondary is %s; a class 2 power "
                            "circuit ends at %s."),
                          id, VOLTS(volts), VOLTS(30)),
          g_strdup(_("Read the nameplate again; a higher secondary is an ordinary circuit "
                     "and needs its own protection.")),
          id, NULL);
    else if (rating > limit.nameplate_va)
      check_report(
          check, context,
          g_strdup_printf(_("%s is marked class 2 but rated %s; at %s a class 2 source is at "
                            "most %s."),
                          id, VA(rating), VOLTS(volts), VA(limit.nameplate_va)),
          g_strdup_printf(_("Read the nameplate again, or use one of %s or less."),
                          VA(limit.nameplate_va)),
          id, NULL);
  }
}

/* One bit for class 2 and one for anything else, by the net that closing things can make. */
enum { FROM_CLASS2 = 1, FROM_POWER = 2 };

static void
mark_sources(const Survey *survey, guint8 *marks)
{
  const Circuit *circuit = survey->context->circuit;
  for (guint i = 0; i < circuit->supplies->len; i++)
    for (int k = 0; k < 3; k++) {
      guint node = circuit_item(circuit->supplies, CircuitSupply, i)->line_nodes[k];
      if (node != G_MAXUINT)
        marks[survey->nets[NET_CLOSED][node]] |= FROM_POWER;
    }
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    bool class2 = winding->secondary && is_class2(survey, winding->core);
    for (guint k = 0; k < winding->leads->len; k++)
      if (winding->secondary)
        marks[survey->nets[NET_CLOSED][survey_lead(winding, k)->node]] |=
            class2 ? FROM_CLASS2 : FROM_POWER;
  }
}

/* A terminal strip with a class 2 conductor beside a power conductor: separation, not contact. */
static void
look_at_strips(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  for (guint d = 0; d < document_device_count(context->document); d++) {
    const Device *device = document_device(context->document, d);
    guint class2 = 0, power = 0;
    for (guint i = 0; device->kind->role == ROLE_STRIP && i < device_terminal_count(device); i++) {
      guint node = circuit_node(context->circuit, d, i);
      int core = survey_source_core(survey, node);
      if (survey->landings[node] == 0 || !survey_hot(survey, node))
        continue;
      *(core >= 0 && is_class2(survey, (guint)core) ? &class2 : &power) = node;
    }
    if (class2 == 0 || power == 0)
      continue;
    check_report(check, context,
                 g_strdup_printf(_("%s holds class 2 wiring (%s) beside power wiring (%s, %s to "
                                   "ground)."),
                                 device->id, survey_node_name(survey, class2),
                                 survey_node_name(survey, power),
                                 VOLTS(survey_to_earth(survey, power))),
                 g_strdup(_("Give class 2 wiring a strip and compartment of its own, a barrier, or "
                            "conductors insulated and treated as power wiring.")),
                 device->id, NULL)
        ->signal = SIGNAL_CAUTION;
  }
}

/* Conductors that carry current in one raceway or cable, by whose power they carry. */
typedef struct {
  guint class2, power; /* conductor + 1; 0: none */
} Company;

static const char *
conductor_text_of(const Survey *survey, guint number)
{
  return survey_conductor_name(survey, number - 1);
}

static void
report_raceway(const Check *check, CheckContext *context, const char *raceway,
               const Company *company)
{
  const Survey *survey = context->survey;
  const char *class2 = conductor_text_of(survey, company->class2);
  const char *power = conductor_text_of(survey, company->power);
  check_report(
      check, context,
      g_strdup_printf(_("Raceway or cable %s holds class 2 wiring (%s) beside power wiring "
                        "(%s)."),
                      raceway, class2, power),
      g_strdup_printf(_("Run %s and the other class 2 conductors in a raceway or cable of "
                        "their own."),
                      class2),
      class2, power, NULL);
}

static void
look_at_raceways(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autoptr(GHashTable) raceways = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, g_free);
  for (guint i = 0; i < document_conductor_count(context->document); i++) {
    const Conductor *conductor = document_conductor(context->document, i);
    const char *raceway = conductor_text(conductor, CONDUCTOR_RACEWAY);
    guint node = circuit_node_of_landing(context->circuit, &conductor->from);
    if (*raceway == '\0' || wire_carries_nothing(survey, i) || survey_feed(survey, node) == 0)
      continue;
    Company *company = g_hash_table_lookup(raceways, raceway);
    if (company == NULL) {
      company = g_new0(Company, 1);
      g_hash_table_insert(raceways, (gpointer)raceway, company);
    }
    guint *side = survey_class2(survey, node) ? &company->class2 : &company->power;
    guint other = company->class2 != 0 && company->power != 0;
    *side = *side == 0 ? i + 1 : *side;
    if (!other && company->class2 != 0 && company->power != 0)
      report_raceway(check, context, raceway, company);
  }
}

/* Landed terminals of each device that carry class 2 or other power; 0: none. */
static Company *
company_of_devices(const Survey *survey)
{
  const CheckContext *context = survey->context;
  guint n = document_device_count(context->document);
  Company *company = g_new0(Company, MAX(n, 1));
  for (guint node = 1; node < survey->n_nodes; node++) {
    guint device = context->circuit->places[node].device;
    if (device >= n || survey->landings[node] == 0 || !survey_hot(survey, node))
      continue;
    *(survey_class2(survey, node) ? &company[device].class2 : &company[device].power) = node;
  }
  return company;
}

/* Class 2 and power wiring in one enclosure are permitted with 1/4 in between them or a barrier:
 * that a sheet cannot show, so it is said and not judged. */
static void
look_at_enclosures(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  guint n = document_device_count(context->document);
  g_autofree Company *company = company_of_devices(survey);
  for (guint d = 0; d < n; d++) {
    const Device *outline = document_device(context->document, d);
    if (outline->kind->role != ROLE_OUTLINE)
      continue;
    Rect box = survey_outline_box(outline);
    guint class2 = 0, power = 0;
    for (guint i = 0; i < n && (class2 == 0 || power == 0); i++) {
      if (!rect_contains(box, document_device(context->document, i)->placement.at))
        continue;
      class2 = class2 == 0 ? company[i].class2 : class2;
      power = power == 0 ? company[i].power : power;
    }
    if (class2 == 0 || power == 0)
      continue;
    check_report(
        check, context,
        g_strdup_printf(_("%s holds class 2 wiring (%s) and power wiring (%s, %s to ground); "
                          "a sheet cannot show how far apart they run."),
                        outline->id, survey_node_name(survey, class2),
                        survey_node_name(survey, power), VOLTS(survey_to_earth(survey, power))),
        g_strdup_printf(_("In %s keep class 2 conductors 1/4 in (6 mm) from all others or "
                          "behind a barrier, and bring them out by an opening of their own."),
                        outline->id),
        outline->id, NULL)
        ->signal = SIGNAL_NOTICE;
  }
}

static bool
any_class2(const Survey *survey)
{
  for (guint c = 0; c < survey->context->circuit->cores->len; c++)
    if (is_class2(survey, c))
      return true;
  return false;
}

void
check_class2_mixed(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree guint8 *marks = g_new0(guint8, survey->n_nodes);
  if (!any_class2(survey))
    return;
  look_at_strips(check, context);
  look_at_raceways(check, context);
  look_at_enclosures(check, context);
  mark_sources(survey, marks);
  guint earth = survey->nets[NET_CLOSED][0];
  for (guint w = 0; w < survey->windings->len; w++) {
    const Winding *winding = survey_winding(survey, w);
    for (guint k = 0; k < winding->leads->len; k++) {
      guint node = survey_lead(winding, k)->node, net = survey->nets[NET_CLOSED][node];
      if (net == earth || !winding->secondary || !is_class2(survey, winding->core) ||
          marks[net] != (FROM_CLASS2 | FROM_POWER))
        continue;
      const char *name = survey_node_name(survey, node);
      check_report(check, context,
                   g_strdup_printf(_("The class 2 circuit of %s is joined to a circuit that is not "
                                     "class 2: it can carry more than the %s of a class 2 source."),
                                   name, VA(100.0)),
                   g_strdup(_("Keep class 2 wiring apart from power wiring, or treat all of it as "
                              "ordinary wiring.")),
                   name, NULL);
      marks[net] = 0; /* one finding a net */
    }
  }
}
