/* SPDX-License-Identifier: MIT */
#include "handout/handout.h"

#include "base/csv.h"
#include "base/language.h"

static void
append_number(GString *out, guint number)
{
  g_autofree char *text = g_strdup_printf("%u", number);
  csv_append(out, text);
}

static char *
right_answers(const DealtVersion *version, guint index)
{
  const GPtrArray *answers = version->answers->pdata[index];
  GString *text = g_string_new(NULL);

  for (guint i = 0; i < answers->len; i++)
    g_string_append_printf(text, "%s%s", i > 0 ? "; " : "", (const char *)answers->pdata[i]);
  return g_string_free(text, FALSE);
}

static void
append_fault(GString *out, const Deal *deal, const DealtVersion *version, guint index)
{
  const DealtFault *dealt = version->faults->pdata[index];
  g_autofree char *right = right_answers(version, index);

  append_number(out, version->number);
  csv_append(out, deal->digest);
  append_number(out, index + 1);
  csv_append(out, dealt->fault->name);
  csv_append_text(out, dealt->place->name);
  csv_append_text(out, right);
  csv_append(out, _(dealt->fault->symptom));
  csv_append(out, fault_level_word(version->difficulty));
  append_number(out, version->path != NULL ? version->path->measurements : 0);
  append_number(out, version->path != NULL ? version->path->steps->len : 0);
  append_number(out, GRADING_POINTS);
  csv_append(out, "");
  csv_append(out, "");
  csv_end_row(out);
}

char *
grading_csv(const Deal *deal)
{
  static const char *const heads[] = {
      "version",    "set",          "fault", "name",   "place",  "equally-right", "symptom",
      "difficulty", "measurements", "steps", "points", "answer", "marks"};
  GString *out = g_string_new(NULL);

  for (gsize i = 0; i < G_N_ELEMENTS(heads); i++)
    csv_append(out, heads[i]);
  csv_end_row(out);
  for (guint v = 0; v < deal->versions->len; v++) {
    const DealtVersion *version = deal->versions->pdata[v];
    for (guint i = 0; i < version->faults->len; i++)
      append_fault(out, deal, version, i);
  }
  return g_string_free(out, FALSE);
}

static void
append_proof(GString *out, const DealtVersion *version, const Evidence *evidence)
{
  g_string_append_printf(out, _("Version %u"), version->number);
  g_string_append(out, "\n");
  for (guint i = 0; i < version->faults->len; i++) {
    const DealtFault *dealt = version->faults->pdata[i];
    g_string_append_printf(out, "  %u. %s: %s\n", i + 1, dealt->place->name,
                           _(dealt->fault->title));
  }
  for (guint i = 0; i < version->proof.judged; i++)
    g_string_append_printf(out, "  %s: %s\n", _(fair_condition_word((FairCondition)i)),
                           version->proof.sentences[i]);
  for (guint i = 0; version->path != NULL && i < version->path->steps->len; i++) {
    g_autofree char *step =
        path_step_text(evidence, &g_array_index(version->path->steps, PathStep, i));
    g_string_append_printf(out, "  > %s\n", step);
  }
  g_string_append(out, "\n");
}

char *
grading_fairness(const Deal *deal, const Evidence *evidence)
{
  GString *out = g_string_new(NULL);

  for (guint v = 0; v < deal->versions->len; v++)
    append_proof(out, deal->versions->pdata[v], evidence);
  g_string_append_printf(out,
                         language_plural("%u version was drawn and not dealt.",
                                         "%u versions were drawn and not dealt.", deal->refused),
                         deal->refused);
  g_string_append(out, "\n");
  for (guint i = 0; i < deal->refusals->len; i++) {
    const DealRefusal *refusal = deal->refusals->pdata[i];
    g_string_append_printf(out, "  %u x %s\n", refusal->count, refusal->why);
  }
  return g_string_free(out, FALSE);
}
