/* SPDX-License-Identifier: MIT */
/* Volts lost in conductors on the way to what uses power, and the sizes that would not lose them.
 */
#include "checks/check_list.h"

#include "base/language.h"
#include "checks/remedy.h"
#include "checks/use.h"
#include "tables/ampacity.h"
#include "tables/voltage_ranges.h"

#include <math.h>

#define ADVISED 0.03 /* informational notes to 210.19(A) and 215.2(A) */

static bool
use_of_load(const Survey *survey, guint index, Use *use)
{
  const Load *load = circuit_item(survey->context->circuit->loads, Load, index);
  *use = (Use){.a = load->a,
               .b = load->b,
               .low = load->accepts_low,
               .high = load->accepts_high,
               .volts = survey_between(survey, load->a, load->b),
               .id = survey_owner_name(survey, load->owner)};
  if (use->low > 0 && use->low == use->high) { /* one figure on the nameplate: 10 % either way */
    use->low *= 0.9;
    use->high *= 1.1;
  }
  return use->high > 0;
}

static bool
use_of_coil(const Survey *survey, guint index, Use *use)
{
  const Coil *coil = circuit_item(survey->context->circuit->coils, Coil, index);
  *use = (Use){.a = coil->a,
               .b = coil->b,
               .low = coil->pick_up,
               .high = coil->rated_volts * COIL_MOST,
               .volts = survey_between(survey, coil->a, coil->b),
               .coil = true,
               .id = survey_owner_name(survey, coil->owner)};
  return coil->rated_volts > 0;
}

bool
use_at(const Survey *survey, guint index, Use *use)
{
  guint loads = survey->context->circuit->loads->len;
  return index < loads ? use_of_load(survey, index, use) : use_of_coil(survey, index - loads, use);
}

guint
use_count(const CheckContext *context)
{
  return context->circuit->loads->len + context->circuit->coils->len;
}

bool
use_judged(const Survey *survey, const Use *use)
{
  return survey->volts != NULL && !survey->shorted && use->volts > DEAD_SHARE * use->low;
}

/* The source end of a terminal: where its path begins, or earth for the grounded side. */
static guint
source_end(const Survey *survey, guint node)
{
  if (survey->root[node] != G_MAXUINT)
    return survey->root[node];
  return survey_grounded(survey, node) ? 0 : node;
}

/* By node: the conductor of known length that leads from it to its parent, or -1. */
static int *
wires_to_parents(const Survey *survey)
{
  const Circuit *circuit = survey->context->circuit;
  int *wires = g_new(int, MAX(survey->n_nodes, 1));
  for (guint i = 0; i < survey->n_nodes; i++)
    wires[i] = -1;
  for (guint i = 0; i < document_conductor_count(survey->context->document); i++) {
    int index = survey->conductor_impedance[i];
    if (index < 0)
      continue;
    const Impedance *impedance = circuit_item(circuit->impedances, Impedance, index);
    if (survey->parent[impedance->a] == impedance->b)
      wires[impedance->a] = (int)i;
    else if (survey->parent[impedance->b] == impedance->a)
      wires[impedance->b] = (int)i;
  }
  return wires;
}

static void
add_way(const Survey *survey, const int *wires, guint node, GArray *way)
{
  while (survey->parent[node] != G_MAXUINT && survey->parent[node] != node) {
    if (wires[node] >= 0)
      g_array_append_val(way, wires[node]);
    node = survey->parent[node];
  }
}

/* The smallest listed size with so many times the area. */
static bool
larger_size(Quantity size, double times, Quantity *larger)
{
  guint n;
  const AmpacityRow *rows = ampacity_rows(&n);
  double area = quantity_in(size, UNIT_SQUARE_MM) * times;
  for (guint i = 0; i < n; i++)
    if (quantity_in(rows[i].size, UNIT_SQUARE_MM) >= area) {
      *larger = rows[i].size;
      return true;
    }
  return false;
}

/* "10 AWG for conductor 202"; the same sizes as steps. NULL: the way is not known, or no listed
 * size does. take: where to note the steps, NULL: nowhere. */
static char *
name_sizes(const Survey *survey, const GArray *way, double times, CheckContext *context,
           const Finding *finding)
{
  g_autoptr(GString) text = g_string_new(NULL);
  for (guint i = 0; i < way->len; i++) {
    guint index = (guint)g_array_index(way, int, i);
    const Conductor *conductor = document_conductor(survey->context->document, index);
    Quantity larger;
    if (!larger_size(conductor->values[CONDUCTOR_GAUGE].low, times, &larger))
      return NULL;
    if (finding != NULL)
      remedy_wire(context, finding, index, "gauge", quantity_format(larger));
    if (i < 3)
      g_string_append_printf(text, _("%s%s for %s"), i > 0 ? ", " : "", survey_size(survey, larger),
                             survey_conductor_name(survey, index));
  }
  if (way->len > 3)
    g_string_append_printf(text, _(" and the like for %u more"), way->len - 3);
  return way->len > 0 ? g_string_free(g_steal_pointer(&text), FALSE) : NULL;
}

static void
report_drop(const Check *check, CheckContext *context, const Use *use, double source,
            const int *wires)
{
  const Survey *survey = context->survey;
  double drop = 1 - use->volts / source;
  /* With less drop a resistance draws more: the volts left count twice. */
  double times = drop / (0.97 * ADVISED * (1 - drop));
  g_autoptr(GArray) way = g_array_new(FALSE, FALSE, sizeof(int));
  add_way(survey, wires, use->a, way);
  add_way(survey, wires, use->b, way);
  g_autofree char *sizes = name_sizes(survey, way, times, NULL, NULL);
  Finding *finding = check_report(
      check, context,
      g_strdup_printf(
          _("The conductors to %s lose %s of %s (%s); 3 %% in one branch and 5 %% in all "
            "are the usual limits."),
          use->id, VOLTS(source - use->volts), VOLTS(source), PERCENT(100 * drop)),
      sizes != NULL
          ? g_strdup_printf(_("Use %s, or bring the source nearer."), sizes)
          : g_strdup_printf(
                _("Use conductors to %s of %s times the area, or bring the source nearer."),
                use->id, survey_show(survey, times, UNIT_NONE)),
      use->id, NULL);
  if (sizes != NULL)
    g_free(name_sizes(survey, way, times, context, finding));
  if (drop <= 0.05)
    finding->signal = SIGNAL_NOTICE;
}

void
check_voltage_drop(const Check *check, CheckContext *context)
{
  const Survey *survey = context->survey;
  g_autofree int *wires = wires_to_parents(survey);
  for (guint i = 0; i < use_count(context); i++) {
    Use use;
    if (!use_at(survey, i, &use) || !use_judged(survey, &use))
      continue;
    double source = survey_between(survey, source_end(survey, use.a), source_end(survey, use.b));
    if (source > 0 && 1 - use.volts / source > ADVISED)
      report_drop(check, context, &use, source, wires);
  }
}
