/* SPDX-License-Identifier: MIT */
#include "handout/key.h"

#include "base/language.h"

#include <string.h>

Table *
key_faults_table(const KeyFacts *facts)
{
  static const TableColumn columns[] = {{.title = N_("No.")},
                                        {.title = N_("Fault")},
                                        {.title = N_("Place")},
                                        {.title = N_("Somebody noticed")},
                                        {.title = N_("Equally right")}};
  const DealtVersion *version = facts->version;
  Table *table = table_new(g_strdup(_("Faults")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < version->faults->len; i++) {
    const DealtFault *dealt = version->faults->pdata[i];
    const GPtrArray *answers = version->answers->pdata[i];
    g_autoptr(GString) right = g_string_new(NULL);
    for (guint k = 0; k < answers->len; k++)
      g_string_append_printf(right, "%s%s", k > 0 ? "; " : "", (const char *)answers->pdata[k]);
    table_add(table, g_strdup_printf("%u", i + 1), g_strdup(_(dealt->fault->title)),
              g_strdup(dealt->place->name), g_strdup(_(dealt->fault->symptom)),
              g_strdup(right->len > 0 ? right->str : "-"));
  }
  return table;
}

Table *
key_findings_table(const KeyFacts *facts)
{
  static const TableColumn columns[] = {{.title = N_("Signal")},
                                        {.title = N_("Finding")},
                                        {.title = N_("Remedy")},
                                        {.title = N_("Source")}};
  Table *table = table_new(g_strdup(_("Findings")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < facts->faulty->findings->len; i++) {
    const Finding *finding = facts->faulty->findings->pdata[i];
    if (!fault_is_new(facts->sound, finding))
      continue;
    table_add(table, g_strdup(_(signal_word(finding->signal))), g_strdup(finding->message),
              g_strdup(finding->remedy), g_strdup(_(finding->source)));
  }
  return table_unless_empty(table);
}

static char *
way_text(EvidenceWay way)
{
  switch (way) {
  case EVIDENCE_VOLTS:
    return g_strdup(_("volts, energized"));
  case EVIDENCE_AMPS:
    return g_strdup(_("amperes, energized"));
  case EVIDENCE_DEAD:
    return g_strdup(_("volts, locked out"));
  case EVIDENCE_OHMS:
    return g_strdup(_("ohms, locked out"));
  case EVIDENCE_LOOK_DEVICE:
  case EVIDENCE_LOOK_CONDUCTOR:
  case EVIDENCE_WAY_COUNT:
    break;
  }
  return g_strdup(_("a look"));
}

/* The readings that one fault by itself changes: measurements first, as the evidence has them. */
static void
add_readings(const KeyFacts *facts, Table *table, guint number, const DealtFault *dealt)
{
  const Evidence *evidence = facts->evidence;
  const int index = evidence_find_row(evidence, dealt->fault->name, dealt->place->name);
  guint shown = 0, more = 0;

  if (index < 0)
    return;
  const EvidenceRow *row = evidence_row(evidence, (guint)index);
  const EvidenceCell *sound = evidence_sound(evidence);
  for (guint p = 0; p < evidence_point_count(evidence); p++) {
    const EvidencePoint *point = evidence_point(evidence, p);
    if (!evidence_differs(&row->cells[p], &sound[p]))
      continue;
    if (shown == KEY_MOST_READINGS) {
      more++;
      continue;
    }
    shown++;
    const bool look = evidence_is_look(point->way);
    table_add(table, g_strdup_printf("%u", number), g_strdup(point->name), way_text(point->way),
              look ? g_strdup(_("as drawn")) : evidence_cell_text(&sound[p]),
              look ? g_strdup(_("not as drawn")) : evidence_cell_text(&row->cells[p]));
  }
  if (more > 0)
    table_add(table, g_strdup_printf("%u", number),
              g_strdup_printf(language_plural("and %u more", "and %u more", more), more));
}

Table *
key_readings_table(const KeyFacts *facts)
{
  static const TableColumn columns[] = {{.title = N_("No.")},
                                        {.title = N_("Where")},
                                        {.title = N_("How")},
                                        {.title = N_("Sound"), .numeric = true},
                                        {.title = N_("With the fault"), .numeric = true}};
  Table *table = table_new(g_strdup(_("What shows each fault")),
                           g_strdup(_("Each fault by itself, against the sound diagram.")), columns,
                           G_N_ELEMENTS(columns));

  for (guint i = 0; i < facts->version->faults->len; i++)
    add_readings(facts, table, i + 1, facts->version->faults->pdata[i]);
  return table_unless_empty(table);
}

Table *
key_proof_table(const KeyFacts *facts)
{
  static const TableColumn columns[] = {{.title = N_("Condition")}, {.title = N_("How it is met")}};
  const FairProof *proof = &facts->version->proof;
  Table *table =
      table_new(g_strdup(_("Why this version is fair")), NULL, columns, G_N_ELEMENTS(columns));

  for (guint i = 0; i < proof->judged; i++)
    table_add(table, g_strdup(_(fair_condition_word((FairCondition)i))),
              g_strdup(proof->sentences[i]));
  return table;
}

GPtrArray *
key_path_steps(const KeyFacts *facts)
{
  GPtrArray *steps = g_ptr_array_new_with_free_func(g_free);
  const MeasuringPath *path = facts->version->path;

  for (guint i = 0; path != NULL && i < path->steps->len; i++)
    g_ptr_array_add(steps,
                    path_step_text(facts->evidence, &g_array_index(path->steps, PathStep, i)));
  return steps;
}
