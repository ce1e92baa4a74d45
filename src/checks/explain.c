/* SPDX-License-Identifier: MIT */
#include "checks/explain.h"

#include "base/language.h"

#include <string.h>

const CheckExplanation *
check_explanation(const char *check)
{
  for (const CheckExplanation *one = explain_table; one->check != NULL; one++)
    if (strcmp(one->check, check) == 0)
      return one;
  return NULL;
}

static void
paragraph(GString *out, ExplainForm form, const char *title, const char *text)
{
  if (form == EXPLAIN_MARKDOWN)
    g_string_append_printf(out, "- *%s:* %s\n", title, text);
  else
    g_string_append_printf(out, "  %s: %s\n", title, text);
}

/* The first line of the rows is their title. */
static void
table(GString *out, ExplainForm form, ExplainRows rows)
{
  g_autoptr(GString) text = g_string_new(NULL);
  rows(text);
  g_auto(GStrv) lines = g_strsplit(g_strchomp(text->str), "\n", -1);
  paragraph(out, form, _("Rows"), lines[0]);
  for (guint i = 1; lines[0] != NULL && lines[i] != NULL; i++)
    g_string_append_printf(out, form == EXPLAIN_MARKDOWN ? "  - %s\n" : "    %s\n", lines[i]);
}

static bool
has_code(const Check *check)
{
  return strstr(check->source, "NFPA 70") != NULL;
}

static void
append(GString *out, const Check *check, ExplainForm form)
{
  const CheckExplanation *more = check_explanation(check->name);
  if (form == EXPLAIN_MARKDOWN)
    g_string_append_printf(out, _("### %s\n\n`%s`, usually %s\n\n"), _(check->title), check->name,
                           signal_word(check->signal));
  else
    g_string_append_printf(out, _("%s (usually %s)\n  %s\n"), check->name,
                           signal_word(check->signal), _(check->title));
  paragraph(out, form, _("Looks at"), _(check->looks_at));
  if (more != NULL) {
    paragraph(out, form, _("Formula"), _(more->formula));
    for (gsize i = 0; i < G_N_ELEMENTS(more->rows) && more->rows[i] != NULL; i++)
      table(out, form, more->rows[i]);
  }
  if (more != NULL && more->remedy != NULL)
    paragraph(out, form, _("Remedy that can be carried out"), _(more->remedy));
  paragraph(out, form, _("Source"), _(check->source));
  if (more != NULL && more->editions != NULL)
    paragraph(out, form, _("Editions"), _(more->editions));
  else
    paragraph(out, form, _("Editions"),
              has_code(check) ? _("2020 and 2023 agree as used here; the code adopted where the "
                                  "equipment stands goes first.")
                              : _("no clause of the code is involved; local code may add to it."));
  if (more != NULL && more->unseen != NULL)
    paragraph(out, form, _("Cannot see"), _(more->unseen));
}

char *
check_explain(const Check *check, ExplainForm form)
{
  GString *out = g_string_new(NULL);
  append(out, check, form);
  return g_string_free(out, FALSE);
}

char *
check_explain_all(ExplainForm form)
{
  GString *out = g_string_new(NULL);
  for (const Check *check = checks_table; check->name != NULL; check++) {
    if (out->len > 0)
      g_string_append_c(out, '\n');
    append(out, check, form);
  }
  return g_string_free(out, FALSE);
}
