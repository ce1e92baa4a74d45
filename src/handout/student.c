/* SPDX-License-Identifier: MIT */
/* The facts behind the cautions and the order of work: see sheet/cautions.c. */
#include "handout/student.h"

#include "base/language.h"
#include "handout/layout.h"
#include "sheet/block.h"
#include "sheet/facts.h"

#include <string.h>

#define WRITTEN_ROW 9.0 /* mm of a row to be written in */

typedef struct {
  const Inspection *inspection; /* circuit only: nothing is computed */
  const Landings *landings;
} Student;

static guint
fault_number(const SheetData *data)
{
  return (guint)MAX(
      1, value_number(&data->exercise[EXERCISE_FAULTS], &exercise_fields[EXERCISE_FAULTS], 1));
}

static Caution *
exercise_caution(void)
{
  Caution *caution = caution_new("exercise", SIGNAL_WARNING,
                                 g_strdup(_("Exercise: this diagram has faults made on purpose.")));
  const char *text =
      _("Never use it on real equipment: not to wire, not to energize, not to mend.");

  g_ptr_array_add(caution->paragraphs, g_strdup(text));
  g_ptr_array_add(caution->essentials, g_strdup(text));
  return caution;
}

static Caution *
line_side_caution(void)
{
  Caution *caution = caution_new("line-side", SIGNAL_DANGER,
                                 g_strdup(_("The line side stays live with the disconnect open.")));

  g_ptr_array_add(caution->paragraphs,
                  g_strdup(_("So may anything that was wired wrongly. Measure, never assume.")));
  return caution;
}

/* Those of the usual cautions that neither compute nor judge the diagram. */
static GPtrArray *
cautions_of(const Student *student)
{
  static const char *const general[] = {"lockout", "verify",    "backfeed",   "capacitors",
                                        "class-2", "qualified", "local-code", NULL};
  g_autoptr(GPtrArray) all = cautions_new(student->inspection, student->landings);
  GPtrArray *kept = g_ptr_array_new_with_free_func((GDestroyNotify)caution_free);

  g_ptr_array_add(kept, exercise_caution());
  for (guint i = 0; i < all->len; i++) {
    Caution *caution = all->pdata[i];
    if (!g_strv_contains(general, caution->name))
      continue;
    all->pdata[i] = NULL;
    g_ptr_array_add(kept, caution);
  }
  g_ptr_array_add(kept, line_side_caution());
  return kept;
}

static GPtrArray *
steps_of(const Student *student)
{
  GPtrArray *steps = g_ptr_array_new_with_free_func(g_free);
  g_autofree char *points = facts_lockout_points(student->inspection);
  const char *const rest[] = {
      _("Wait for capacitors. Try the tester on a live source, test every conductor to every other "
        "and to ground, try the tester again."),
      _("Look first: landings, caps, colours, numbers, nameplates against this sheet."),
      _("Measure ohms only now, locked out and proven dead. Lift one end where another way round "
        "would be measured too."),
      _("Write down what each point should read before you energize."),
      _("Energize for volts and amperes only: covers where they belong, protection worn, hands "
        "off. Then lock out again."),
      _("Re-land, replace or cap only locked out and proven dead, each time anew."),
      _("Write down place, fault, what showed it, and the remedy."),
  };

  g_ptr_array_add(steps,
                  points != NULL
                      ? g_strdup_printf(_("Shut the unit down. Open, lock and tag %s."), points)
                      : g_strdup(_("Shut the unit down. Lock and tag its source.")));
  for (gsize i = 0; i < G_N_ELEMENTS(rest); i++)
    g_ptr_array_add(steps, g_strdup(rest[i]));
  return steps;
}

static Table *
noticed_table(const SheetData *data)
{
  static const TableColumn columns[] = {{.title = N_("What somebody noticed")}};
  const guint faults = fault_number(data);
  Table *table =
      table_new(faults == 1 ? g_strdup(_("One fault")) : g_strdup_printf(_("%u faults"), faults),
                NULL, columns, 1);
  g_auto(GStrv) lines = g_strsplit(sheet_exercise_text(data, EXERCISE_SYMPTOM), "\n", -1);

  for (guint i = 0; lines[i] != NULL; i++)
    if (lines[i][0] != '\0')
      table_add(table, g_strdup(lines[i]));
  return table;
}

static Table *
who_table(void)
{
  static const TableColumn columns[] = {{.title = N_("Worked by")}, {.title = "", .blank = 40}};
  Table *table = table_new(g_strdup(_("Student")), NULL, columns, G_N_ELEMENTS(columns));

  table->row_height = WRITTEN_ROW;
  table_add(table, g_strdup(_("Name")));
  table_add(table, g_strdup(_("Date")));
  return table;
}

static Table *
answer_table(guint faults)
{
  static const TableColumn columns[] = {{.title = N_("No.")},
                                        {.title = N_("Place"), .blank = 35},
                                        {.title = N_("Fault"), .blank = 50},
                                        {.title = N_("What showed it"), .blank = 50},
                                        {.title = N_("Remedy"), .blank = 50}};
  Table *table = table_new(g_strdup(_("Your answer")), NULL, columns, G_N_ELEMENTS(columns));

  table->row_height = 2.2 * WRITTEN_ROW;
  for (guint i = 0; i < faults; i++)
    table_add(table, g_strdup_printf("%u", i + 1));
  return table;
}

static void
add_cautions(const Layout *layout, GPtrArray *cautions, bool key)
{
  static const char *const first[] = {"exercise", "lockout", "verify", NULL};

  for (guint i = 0; i < cautions->len; i++) {
    Caution *caution = cautions->pdata[i];
    if (caution == NULL || g_strv_contains(first, caution->name) != key)
      continue;
    cautions->pdata[i] = NULL;
    flow_add(layout->flow, block_panel_new(caution, &layout->frame->lettering));
  }
}

static void
add_label_cautions(const Layout *layout, GPtrArray *cautions)
{
  for (int signal = SIGNAL_DANGER; signal <= SIGNAL_NOTICE; signal++) {
    Caution *merged = cautions_merge(cautions, (Signal)signal);
    if (merged != NULL)
      flow_add(layout->flow, block_panel_new(merged, &layout->frame->lettering));
  }
}

static void
add(Flow *flow, const Frame *frame, double column_width, guint *key, bool *legend,
    gconstpointer data)
{
  const Student *student = data;
  const Document *document = student->inspection->document;
  const SheetData *sheet = document_sheet(document);
  const Layout layout = {flow, frame, column_width};
  g_autoptr(GPtrArray) cautions = cautions_of(student);

  if (frame->label)
    add_label_cautions(&layout, cautions);
  else
    add_cautions(&layout, cautions, true);
  layout_table(&layout, noticed_table(sheet), false);
  *key = flow->blocks->len;
  *legend = !frame->label && document_conductor_count(document) > 0;
  if (*legend)
    flow_add(flow, block_legend_new(document, &frame->lettering));
  layout_table(&layout, who_table(), false);
  layout_table(&layout, answer_table(fault_number(sheet)), true);
  layout_table(&layout, student_points_table(document), true);
  layout_table(&layout, student_supply_table(document), true);
  for (guint i = 0; i < document_device_count(document); i++)
    layout_table(&layout, student_leads_table(document, i), false);
  layout_table(&layout, student_wires_table(document), false);
  layout_table(&layout, student_parts_table(document), false);
  flow_add(flow, block_steps_new(_("Order of work"), steps_of(student), &frame->lettering));
  if (!frame->label)
    add_cautions(&layout, cautions, false);
}

static char *
in_words(const Document *document)
{
  GString *text = g_string_new(NULL);

  g_string_append_printf(text, _("%u devices and %u conductors."), document_device_count(document),
                         document_conductor_count(document));
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    g_autofree char *rating =
        device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
    g_string_append_printf(text, "\n%s: %s%s%s", device_designation(device), _(device->kind->title),
                           rating != NULL && *rating != '\0' ? ", " : "",
                           rating != NULL ? rating : "");
  }
  return g_string_free(text, FALSE);
}

Sheet *
student_sheet_compose(const Document *seen, const SheetOptions *options, GError **error)
{
  /* Only what the circuit is made of: nothing of it is solved, so nothing of it can be told. */
  Inspection inspection = {.document = (Document *)(guintptr)seen};
  g_autoptr(Landings) landings = landings_new(seen);
  g_autoptr(Circuit) circuit = circuit_build(seen, NULL);
  g_autoptr(GPtrArray) none = g_ptr_array_new();

  inspection.circuit = circuit;
  inspection.findings = none;
  const Student student = {&inspection, landings};
  const SheetContents contents = {
      .title = layout_title(document_sheet(seen), NULL, options),
      .add = add,
      .data = &student,
      .alternative = in_words(seen),
      .label_figure = true,
      .quiet = true,
  };
  return sheet_compose_contents(seen, &contents, options, error);
}
