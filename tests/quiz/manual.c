/* SPDX-License-Identifier: MIT */
/* Two chapters of the manual from the tables themselves. */
#include "matrix.h"

#include <string.h>

/* A table's cell: no bars, no line ends. */
static void
append_cell(GString *text, const char *cell)
{
  g_string_append(text, " ");
  for (; *cell != '\0'; cell++)
    g_string_append_c(text, *cell == '|' || *cell == '\n' ? '/' : *cell);
  g_string_append(text, " |");
}

static void
append_topic(GString *text, const Matrix *matrix, FaultTopic topic)
{
  g_string_append_printf(text, "\n## Topic: %s\n\n", fault_topic_word(topic));
  g_string_append(text,
                  "| fault | what was done | what somebody noticed | level | finding | places "
                  "| sheets |\n|---|---|---|---|---|---|---|\n");
  for (guint f = 0; f < matrix->n_faults; f++) {
    const Fault *fault = fault_at(f);
    if (fault->topic != topic)
      continue;
    g_string_append(text, "|");
    append_cell(text, fault->name);
    append_cell(text, fault->title);
    append_cell(text, fault->symptom);
    append_cell(text, fault_level_word(fault->level));
    append_cell(text, fault->check);
    g_string_append_printf(text, " %u | %u |\n", matrix->places[f], matrix->sheets[f]);
  }
}

/* A check's line: every fault that makes it find something. */
static void
append_check(GString *text, const Matrix *matrix, guint check)
{
  g_string_append(text, "|");
  append_cell(text, checks_table[check].name);
  for (int intended = 1; intended >= 0; intended--) {
    GString *cell = g_string_new(NULL);
    for (guint f = 0; f < matrix->n_faults; f++) {
      const Fault *fault = fault_at(f);
      guint hits = matrix->hits[f * matrix->n_checks + check];
      if (hits == 0 || (strcmp(fault->check, checks_table[check].name) == 0) != (intended == 1))
        continue;
      g_string_append_printf(cell, "%s%s %u/%u", cell->len > 0 ? ", " : "", fault->name, hits,
                             matrix->places[f]);
    }
    append_cell(text, cell->str);
    g_string_free(cell, TRUE);
  }
  g_string_append(text, "\n");
}

static void
append_followers(GString *text, const Matrix *matrix)
{
  g_string_append(text, "\n## What may follow, and why\n\n| fault | may follow | because |\n"
                        "|---|---|---|\n");
  for (guint f = 0; f < matrix->n_faults; f++) {
    const Fault *fault = fault_at(f);
    if (fault->also == NULL)
      continue;
    g_auto(GStrv) words = g_strsplit(fault->also, " ", -1);
    GString *cell = g_string_new(NULL);
    for (guint i = 0; words[i] != NULL; i++)
      if (*words[i] != '\0')
        g_string_append_printf(cell, "%s%s", cell->len > 0 ? ", " : "", words[i]);
    g_string_append(text, "|");
    append_cell(text, fault->name);
    append_cell(text, cell->str);
    append_cell(text, fault->why);
    g_string_append(text, "\n");
    g_string_free(cell, TRUE);
  }
}

char *
manual_faults(const Matrix *matrix)
{
  GString *text = g_string_new(
      "# Faults, and what the checks say to them\n\n"
      "This chapter is generated; the tests compare it with the program. A fault is a reversible "
      "change that an instructor makes in a sound diagram. It is made at every place where roles, "
      "nameplates and the solved diagram say it belongs, and undone again; after that the file is "
      "the same to the byte. At every place the finding meant appears, and nothing else above "
      "NOTICE but what is listed to follow.\n\n"
      "A diagram without a finding is not thereby safe or approved. The local code and the "
      "judgement "
      "of a licensed person come before this program.\n\n");
  g_string_append_printf(
      text,
      "%u faults, %u checks, %u sound diagrams, %u places. *Places* counts where "
      "the fault was made over all diagrams, *sheets* the diagrams that have such "
      "a place.\n",
      matrix->n_faults, matrix->n_checks, matrix->n_sheets, matrix->tried);
  for (FaultTopic topic = 0; topic < FAULT_TOPIC_COUNT; topic++)
    append_topic(text, matrix, topic);
  g_string_append(text, "\n## The matrix\n\nFor each check the faults it answers to: first those "
                        "made for it, then those it follows from; of how many places.\n\n"
                        "| check | made for it | follows from |\n|---|---|---|\n");
  for (guint c = 0; c < matrix->n_checks; c++)
    append_check(text, matrix, c);
  append_followers(text, matrix);
  return g_string_free(text, FALSE);
}

char *
manual_checks(void)
{
  GString *text = g_string_new(
      "# What the checks look at\n\n"
      "This chapter is generated from the program's own table. Each check compares figures of the "
      "solved diagram and of its nameplates; it reports the numbers, the places, a remedy and its "
      "source. The signal word is the usual one: a finding may raise or lower it. Clauses are "
      "those "
      "of the edition the sheet chooses; where local code differs, local code holds. No finding is "
      "no approval.\n");
  for (const Check *check = checks_table; check->name != NULL; check++) {
    g_string_append_printf(text, "\n## %s: %s\n\n", check->name, check->title);
    g_string_append_printf(text, "- Signal word: %s\n- Looks at: %s\n- Source: %s\n- Faults: ",
                           signal_word(check->signal), check->looks_at, check->source);
    const char *comma = "";
    for (guint f = 0; fault_at(f) != NULL; f++)
      if (strcmp(fault_at(f)->check, check->name) == 0) {
        g_string_append_printf(text, "%s%s", comma, fault_at(f)->name);
        comma = ", ";
      }
    g_string_append(text, "\n");
  }
  return g_string_free(text, FALSE);
}
