/* SPDX-License-Identifier: MIT */
/* What stands on a sheet, in reading order: key cautions and legend beside the diagram, findings,
 * leads, readings, the other cautions, steps, wires, parts, signatures. Label stock has room for
 * what one needs at the open door and names the full sheet for the rest. */
#include "base/language.h"
#include "sheet/block.h"
#include "sheet/facts.h"
#include "sheet/sheet_private.h"

typedef struct {
  Flow *flow;
  const Frame *frame;
  double column_width;
} Adder;

/* In a column where it fits there and is not full of sentences, else over the whole width. NULL:
 * there is no table. */
static Block *
add_table(const Adder *adder, Table *table, bool sentences)
{
  if (table == NULL)
    return NULL;
  Block *block = block_table_new(table, &adder->frame->lettering);
  block->wide = sentences || block_table_least_width(block) > adder->column_width;
  flow_add(adder->flow, block);
  return block;
}

/* What one looks something up in may stand on an earlier page that has room for it. */
static void
add_reference(const Adder *adder, Table *table, bool sentences)
{
  Block *block = add_table(adder, table, sentences);

  if (block != NULL)
    block->loose = true;
}

/* The same cautions in the other language of a bilingual sheet; NULL: one language only. */
static GPtrArray *
cautions_second(const DoorContents *door)
{
  if (door->second_language == NULL)
    return NULL;
  const char *before = language_choose(door->second_language);
  GPtrArray *cautions = cautions_new(door->inspection, door->landings);

  language_choose(before);
  return cautions;
}

static void
add_caution(const Adder *adder, GPtrArray *cautions, guint i)
{
  Caution *caution = cautions->pdata[i];

  cautions->pdata[i] = NULL;
  Block *block = block_panel_new(caution, &adder->frame->lettering);
  block->loose = !caution->key; /* the sooner it is read the better */
  flow_add(adder->flow, block);
}

/* Each caution is followed by the same in the second language: which circuit decides what there is
 * and its order, not the language. */
static void
add_cautions(const Adder *adder, GPtrArray *cautions, GPtrArray *second, bool key)
{
  for (guint i = 0; i < cautions->len; i++) {
    const Caution *caution = cautions->pdata[i];
    if (caution == NULL || caution->key != key)
      continue;
    add_caution(adder, cautions, i);
    if (second != NULL && i < second->len && second->pdata[i] != NULL)
      add_caution(adder, second, i);
  }
}

static void
add_leads(const Adder *adder, const Inspection *inspection, const Landings *landings)
{
  for (guint i = 0; i < document_device_count(inspection->document); i++)
    if (document_device(inspection->document, i)->kind->role == ROLE_TRANSFORMER)
      add_table(adder, facts_leads_table(inspection, landings, i, adder->frame->label), false);
}

static void
add_signatures(const Adder *adder)
{
  static const TableColumn columns[] = {{.title = N_("Signed off")},
                                        {.title = N_("Name"), .blank = 35},
                                        {.title = N_("Date"), .blank = 22}};
  static const char *const roles[] = {N_("Installed by"), N_("Measured by"), N_("Accepted by")};
  Table *table = table_new(g_strdup(_("Signatures")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < G_N_ELEMENTS(roles); i++)
    table_add(table, g_strdup(_(roles[i])), NULL, NULL);
  Block *block = add_table(adder, table, false);
  if (block != NULL)
    block->keeps = true; /* nobody signs a page that says nothing */
}

/* What the title block of a full sheet says, for a label. */
static Table *
label_identity(const Inspection *inspection, const TitleData *title)
{
  static const TableColumn columns[] = {{.title = N_("Sheet")}, {.title = N_("Says")}};
  Table *table = table_new(g_strdup(_("This label")), NULL, columns, 2);

  table_add(table, g_strdup(_("Number")), g_strdup(title->number));
  table_add(table, g_strdup(_("Drawing")), g_strdup(title->title));
  table_add(table, g_strdup(_("Place")), g_strdup(title->location));
  table_add(table, g_strdup(_("Drawn")), g_strdup_printf("%s, %s", title->author, title->date));
  for (guint i = 0; i < inspection->circuit->supplies->len; i++)
    table_add(table, g_strdup(_("Supply")),
              g_strdup(circuit_item(inspection->circuit->supplies, CircuitSupply, i)->system.name));
  table_add(table, g_strdup(_("Checks")), g_strdup(title->checked));
  return table;
}

/* One panel for each signal word. */
static void
add_label_cautions(const Adder *adder, const DoorContents *door, bool shows_figure)
{
  g_autoptr(GPtrArray) cautions = cautions_new(door->inspection, door->landings);
  const TitleData *title = adder->frame->title;

  for (int signal = SIGNAL_DANGER; signal <= SIGNAL_NOTICE; signal++) {
    Caution *caution = cautions_merge(cautions, (Signal)signal);
    if (caution == NULL)
      continue;
    if (signal == SIGNAL_NOTICE)
      g_ptr_array_add(
          caution->paragraphs,
          g_strdup_printf(shows_figure
                              ? _("This label is an extract. Wire schedule, parts and steps are on "
                                  "sheet %s.")
                              : _("This label is an extract. Diagram, wire schedule, parts and "
                                  "steps are on sheet %s."),
                          title->number));
    flow_add(adder->flow, block_panel_new(caution, &adder->frame->lettering));
  }
}

/* Label stock: what one needs at the open door. */
static void
add_label(const Adder *adder, const DoorContents *door)
{
  const Inspection *inspection = door->inspection;
  const Landings *landings = door->landings;
  const TitleData *title = adder->frame->title;
  const bool shows_figure = sheet_figure_fits(inspection->document, adder->frame);

  add_label_cautions(adder, door, shows_figure);
  if (door->second_language != NULL) {
    const char *before = language_choose(door->second_language);
    add_label_cautions(adder, door, shows_figure);
    language_choose(before);
  }
  add_reference(adder, label_identity(inspection, title), false);
  add_reference(adder, facts_findings_table(inspection, true), true);
  add_reference(adder, facts_fuses_table(inspection), false);
  add_leads(adder, inspection, landings);
  add_table(adder, facts_readings_table(inspection, true), false);
  if (!shows_figure)
    add_table(adder, facts_connections_table(inspection), false);
}

void
contents_add_door(Flow *flow, const Frame *frame, double column_width, guint *key, bool *legend,
                  gconstpointer data)
{
  const DoorContents *door = data;
  const Inspection *inspection = door->inspection;
  const Landings *landings = door->landings;
  const Adder adder = {flow, frame, column_width};
  g_autoptr(GPtrArray) cautions = NULL, second = NULL;

  if (frame->label) {
    add_label(&adder, door);
    return;
  }
  cautions = cautions_new(inspection, landings);
  second = cautions_second(door);
  add_cautions(&adder, cautions, second, true);
  *key = flow->blocks->len;
  *legend = document_conductor_count(inspection->document) > 0;
  if (*legend)
    flow_add(flow, block_legend_new(inspection->document, &frame->lettering));
  add_table(&adder, facts_findings_table(inspection, false), true);
  add_table(&adder, facts_supply_table(inspection), true);
  add_leads(&adder, inspection, landings);
  add_cautions(&adder, cautions, second, false);
  add_table(&adder, facts_readings_table(inspection, false), false);
  add_table(&adder, facts_wires_table(inspection, frame->units), false);
  add_reference(&adder, facts_protection_table(inspection, landings, frame->units), true);
  add_reference(&adder, facts_parts_table(inspection, frame->units), false);
  flow_add(flow, block_steps_new(_("Order of work"), cautions_steps(inspection, landings),
                                 &frame->lettering));
  add_signatures(&adder);
}
