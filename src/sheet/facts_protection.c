/* SPDX-License-Identifier: MIT */
/* The summary of protection and conductors: what each carries as drawn, what limits it, and the
 * clause behind the limit. Figures come from src/tables; the checks judge, this table only shows.
 */
#include "sheet/facts.h"

#include "base/language.h"
#include "tables/ampacity.h"
#include "tables/transformer_protection.h"
#include <math.h>
#include <string.h>

static char *
amps_text(double amps)
{
  if (isnan(amps))
    return g_strdup(_("not solved"));
  if (isinf(amps))
    return g_strdup(_("short circuit"));
  return amps < 0.0005 ? g_strdup("0 A") : quantity_display(amps, UNIT_AMPERE, 3);
}

/* The largest current in the poles of each fuse and breaker; rated 0: no such device. */
typedef struct {
  double rated, carried;
} Pole;

static Pole *
protection_poles(const Inspection *inspection)
{
  const GArray *joins = inspection->circuit->joins;
  Pole *poles = g_new0(Pole, MAX(document_device_count(inspection->document), 1));

  for (guint i = 0; i < joins->len; i++) {
    const Join *join = circuit_item(joins, Join, i);
    const bool protects = join->role == JOIN_FUSE || join->role == JOIN_BREAKER;
    if (!protects || join->owner.kind != OWNER_DEVICE || join->rated_amps <= 0)
      continue;
    Pole *pole = &poles[join->owner.index];
    const double amps =
        inspection->solution != NULL ? cabs(inspection->solution->join_amps[i]) : (double)NAN;
    pole->rated = join->rated_amps;
    pole->carried = isnan(amps) ? amps : MAX(pole->carried, amps);
  }
  return poles;
}

static void
add_devices(Table *table, const Inspection *inspection)
{
  g_autofree Pole *poles = protection_poles(inspection);

  for (guint d = 0; d < document_device_count(inspection->document); d++) {
    const Device *device = document_device(inspection->document, d);
    if (poles[d].rated <= 0)
      continue;
    g_autofree char *most = quantity_display(0.8 * poles[d].rated, UNIT_AMPERE, 3);
    table_add(table, g_strdup(device_designation(device)),
              device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL,
              amps_text(poles[d].carried), g_strdup_printf(_("continuous load up to %s"), most),
              g_strdup("210.20(A), 215.3"));
  }
}

Table *
facts_fuses_table(const Inspection *inspection)
{
  static const TableColumn columns[] = {{.title = N_("Fuse, breaker")},
                                        {.title = N_("Rating")},
                                        {.title = N_("Carries"), .numeric = true}};
  Table *table = table_new(g_strdup(_("Protection")), NULL, columns, G_N_ELEMENTS(columns));
  g_autofree Pole *poles = protection_poles(inspection);

  for (guint d = 0; d < document_device_count(inspection->document); d++) {
    const Device *device = document_device(inspection->document, d);
    if (poles[d].rated > 0)
      table_add(table, g_strdup(device_designation(device)),
                device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL,
                amps_text(poles[d].carried));
  }
  return table_unless_empty(table);
}

/* ------------------------------------------------------------------------------------------- */

/* One side of a transformer as it is landed. */
typedef struct {
  double volts;   /* nameplate volts between the outermost landed leads; 0: none landed */
  double carried; /* amperes of its most loaded stretch */
} Side;

static Side
landed_side(const Inspection *inspection, const Landings *landings, guint index, bool secondary)
{
  const Device *device = document_device(inspection->document, index);
  const PartKind *kind = device->kind;
  const int volts = field_index(kind->row_fields, kind->n_row_fields, "volts");
  const GArray *segments = inspection->circuit->segments;
  double low = INFINITY, high = -INFINITY;
  Side side = {.carried = inspection->solution != NULL ? 0 : (double)NAN};

  for (guint t = 0; volts >= 0 && t < device_terminal_count(device); t++) {
    const Terminal *terminal = device_terminal(device, t);
    bool unused = false;
    if (terminal->row < 0 || (terminal->role == TERMINAL_SECONDARY) != secondary)
      continue;
    g_free(facts_landed(landings, device, t, &unused, NULL));
    const double value = device_row_number(device, (guint)terminal->row, (guint)volts, NAN);
    if (unused || isnan(value))
      continue;
    low = MIN(low, value);
    high = MAX(high, value);
  }
  side.volts = high > low ? high - low : 0;
  for (guint i = 0; inspection->solution != NULL && i < segments->len; i++) {
    const Segment *segment = circuit_item(segments, Segment, i);
    if (segment->owner.kind == OWNER_DEVICE && segment->owner.index == index &&
        segment->secondary == secondary)
      side.carried = MAX(side.carried, cabs(inspection->solution->segment_amps[i]));
  }
  return side;
}

/* "device up to 1.3 A; 1 A with none on the secondary". New string. */
static char *
limit_text(const Inspection *inspection, double rated, bool secondary)
{
  const SheetData *sheet = document_sheet(inspection->document);
  g_autofree char *year =
      value_dup_text(&sheet->values[SHEET_CODE_EDITION], &sheet_data_fields[SHEET_CODE_EDITION]);
  const CodeEdition edition = code_edition_parse(year);
  const double both = transformer_protection_largest(
      secondary ? PROTECT_SECONDARY_OF_BOTH : PROTECT_PRIMARY_OF_BOTH, rated, edition, RATING_FUSE);
  g_autofree char *with = quantity_display(both, UNIT_AMPERE, 3);

  if (secondary)
    return g_strdup_printf(_("device up to %s"), with);
  const double alone =
      transformer_protection_largest(PROTECT_PRIMARY_ONLY, rated, edition, RATING_FUSE);
  g_autofree char *without = quantity_display(alone, UNIT_AMPERE, 3);
  return g_strdup_printf(_("device up to %s; %s with none on the secondary"), with, without);
}

static void
add_transformers(Table *table, const Inspection *inspection, const Landings *landings)
{
  const GArray *cores = inspection->circuit->cores;

  for (guint i = 0; i < cores->len; i++) {
    const Core *core = circuit_item(cores, Core, i);
    const Device *device = document_device(inspection->document, core->owner.index);
    for (int secondary = 0; secondary < 2; secondary++) {
      const Side side = landed_side(inspection, landings, core->owner.index, secondary == 1);
      if (side.volts <= 0)
        continue;
      const double rated = transformer_rated_amps(core->rating, side.volts, 1);
      g_autofree char *amps = quantity_display(rated, UNIT_AMPERE, 3);
      g_autofree char *volts = quantity_display(side.volts, UNIT_VOLT, 3);
      table_add(table,
                g_strdup_printf(secondary == 1 ? _("%s secondary") : _("%s primary"),
                                device_designation(device)),
                g_strdup_printf(_("%s at %s"), amps, volts), amps_text(side.carried),
                limit_text(inspection, rated, secondary == 1), g_strdup("450.3(B)"));
    }
  }
}

/* ------------------------------------------------------------------------------------------- */

typedef struct {
  const Conductor *first; /* of this size and metal */
  guint count;
  double carried;
  double ampacity; /* of the one that may carry least where it runs; NAN: unknown */
} SizeGroup;

static SizeGroup *
find_group(GArray *groups, const Conductor *conductor)
{
  const Value *gauge = &conductor->values[CONDUCTOR_GAUGE];

  for (guint i = 0; i < groups->len; i++) {
    SizeGroup *group = &g_array_index(groups, SizeGroup, i);
    if (quantity_equal(group->first->values[CONDUCTOR_GAUGE].low, gauge->low) &&
        group->first->values[CONDUCTOR_MATERIAL].choice ==
            conductor->values[CONDUCTOR_MATERIAL].choice)
      return group;
  }
  const SizeGroup group = {.first = conductor, .ampacity = NAN};
  g_array_append_val(groups, group);
  return &g_array_index(groups, SizeGroup, groups->len - 1);
}

static void
add_group(Table *table, const SizeGroup *group, Units units)
{
  const Quantity size = group->first->values[CONDUCTOR_GAUGE].low;
  const Metal metal =
      group->first->values[CONDUCTOR_MATERIAL].choice == 1 ? METAL_ALUMINIUM : METAL_COPPER;
  const double device = ampacity_small_conductor_limit(size, metal);
  g_autofree char *text = units_size(size, units);
  g_autofree char *may = quantity_display(group->ampacity, UNIT_AMPERE, 3);
  g_autofree char *most = quantity_display(device, UNIT_AMPERE, 3);

  table_add(table,
            g_strdup_printf(metal == METAL_ALUMINIUM ? _("%s aluminium (%u)") : _("%s copper (%u)"),
                            text, group->count),
            g_strdup(isnan(group->ampacity) ? "-" : may), amps_text(group->carried),
            isfinite(device) ? g_strdup_printf(_("device up to %s"), most)
                             : g_strdup(_("its ampacity")),
            g_strdup(isfinite(device) ? "310.16, 240.4(D)" : "310.16"));
}

static void
add_conductors(Table *table, const Inspection *inspection, Units units)
{
  const Document *document = inspection->document;
  g_autofree double *amps = facts_conductor_amps(inspection);
  g_autoptr(GArray) groups = g_array_new(FALSE, FALSE, sizeof(SizeGroup));

  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (!conductor->values[CONDUCTOR_GAUGE].has_value)
      continue;
    SizeGroup *group = find_group(groups, conductor);
    group->count++;
    group->carried = isnan(amps[i]) ? amps[i] : MAX(group->carried, amps[i]);
    group->ampacity = fmin(group->ampacity, inspection->ampacities[i]);
  }
  for (guint i = 0; i < groups->len; i++)
    add_group(table, &g_array_index(groups, SizeGroup, i), units);
}

Table *
facts_protection_table(const Inspection *inspection, const Landings *landings, Units units)
{
  static const TableColumn columns[] = {{.title = N_("Item")},
                                        {.title = N_("Rating")},
                                        {.title = N_("Carries"), .numeric = true},
                                        {.title = N_("Limit")},
                                        {.title = N_("Rule")}};
  Table *table =
      table_new(g_strdup(_("Protection and conductors")),
                g_strdup(_("Clauses of NFPA 70; ampacities for the air, raceway and terminals as "
                           "drawn. The nameplate's own maximum and local code go first.")),
                columns, G_N_ELEMENTS(columns));

  add_devices(table, inspection);
  add_transformers(table, inspection, landings);
  add_conductors(table, inspection, units);
  return table_unless_empty(table);
}
