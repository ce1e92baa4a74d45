/* SPDX-License-Identifier: MIT */
#include "command/check_print.h"

#include "base/language.h"
#include "base/text.h"
#include "command/json.h"

guint
check_remedy_count(const Inspection *inspection)
{
  guint n = 0;
  for (guint i = 0; i < inspection->findings->len; i++)
    n += inspection_has_remedy(inspection, inspection->findings->pdata[i]);
  return n;
}

const Finding *
check_remedy_numbered(const Inspection *inspection, guint number)
{
  guint n = 0;
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    if (inspection_has_remedy(inspection, finding) && ++n == number)
      return finding;
  }
  return NULL;
}

/* "2 DANGER, 1 CAUTION"; "" when there is nothing. New string. */
static char *
count_text(const GPtrArray *findings)
{
  guint counts[SIGNAL_NOTICE + 1] = {0};
  GString *text = g_string_new(NULL);

  for (guint i = 0; i < findings->len; i++)
    counts[((const Finding *)findings->pdata[i])->signal]++;
  for (int s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++)
    if (counts[s] > 0)
      g_string_append_printf(text, "%s%u %s", text->len > 0 ? ", " : "", counts[s],
                             signal_word((Signal)s));
  return g_string_free(text, FALSE);
}

static void
append_at(const Finding *finding, GString *out)
{
  for (guint i = 0; i < finding->places->len; i++)
    g_string_append_printf(out, "%s%s", i == 0 ? _(" at ") : ", ",
                           (const char *)finding->places->pdata[i]);
}

/* number 0: no remedy to carry out. */
static void
print_finding(const Finding *finding, guint number, GString *out)
{
  g_string_append_printf(out, "%-8s %s", signal_word(finding->signal), finding->check);
  append_at(finding, out);
  g_string_append_printf(out, "\n  %s\n  ", finding->message);
  if (number > 0)
    g_string_append_printf(out, _("Remedy %u: %s"), number, finding->remedy);
  else
    g_string_append_printf(out, _("Remedy: %s"), finding->remedy);
  g_string_append_c(out, '\n');
  g_string_append_printf(out, _("  Source: %s\n"), finding->source);
}

static void
print_applied(const char *path, const CheckApplied *applied, GString *out)
{
  g_string_append_printf(out, _("%s: remedy %u carried out, for %s"), path, applied->number,
                         applied->finding->check);
  append_at(applied->finding, out);
  g_string_append_c(out, '\n');
  for (guint i = 0; i < applied->changes->len; i++)
    g_string_append_printf(out, "  %s\n", (const char *)applied->changes->pdata[i]);
}

void
check_print_text(const char *path, const Inspection *inspection, const CheckApplied *applied,
                 GString *out)
{
  g_autofree char *counts = count_text(inspection->findings);
  guint number = 0;

  if (applied != NULL)
    print_applied(path, applied, out);
  if (inspection->error != NULL)
    g_string_append_printf(out,
                           _("%s: not sound, not computed: volts and amperes were not checked; "
                             "%s\n"),
                           path, counts);
  else if (inspection->findings->len == 0)
    g_string_append_printf(out, _("%s: sound, nothing found (a check is not an approval)\n"), path);
  else if (findings_sound(inspection->findings))
    g_string_append_printf(out, _("%s: sound, %s (a check is not an approval)\n"), path, counts);
  else
    g_string_append_printf(out, _("%s: not sound, %s\n"), path, counts);
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    bool offered = inspection_has_remedy(inspection, finding);
    number += offered;
    print_finding(finding, offered ? number : 0, out);
  }
  if (number > 0)
    g_string_append_printf(out, _("doorsheet check %s --apply N carries out remedy N.\n"), path);
}

static void
append_places(const Finding *finding, GString *out)
{
  json_key(out, "at");
  g_string_append_c(out, '[');
  for (guint i = 0; i < finding->places->len; i++) {
    json_next(out);
    text_append_json(out, finding->places->pdata[i]);
  }
  g_string_append_c(out, ']');
}

static void
append_finding(const Finding *finding, guint number, GString *out)
{
  json_next(out);
  g_string_append_c(out, '{');
  json_pair_text(out, "check", finding->check);
  json_pair_text(out, "title", finding->title);
  json_pair_text(out, "signal", signal_word(finding->signal));
  append_places(finding, out);
  json_pair_text(out, "message", finding->message);
  json_pair_text(out, "remedy", finding->remedy);
  if (number > 0)
    json_pair_number(out, "remedy_number", number);
  else
    json_pair_text(out, "remedy_number", NULL);
  json_pair_text(out, "source", finding->source);
  g_string_append_c(out, '}');
}

static void
append_applied(const CheckApplied *applied, GString *out)
{
  json_key(out, "applied");
  g_string_append_c(out, '{');
  json_pair_text(out, "check", applied->finding->check);
  append_places(applied->finding, out);
  json_pair_number(out, "remedy_number", applied->number);
  json_key(out, "changes");
  g_string_append_c(out, '[');
  for (guint i = 0; i < applied->changes->len; i++) {
    json_next(out);
    text_append_json(out, applied->changes->pdata[i]);
  }
  g_string_append(out, "]}");
}

static void
append_solution(const Inspection *inspection, GString *out)
{
  json_key(out, "solution");
  if (inspection->solution == NULL) {
    g_string_append(out, "null");
    return;
  }
  const Trust *trust = &inspection->solution->trust;
  g_string_append_c(out, '{');
  json_pair_number(out, "backward_error", trust->backward_error);
  json_pair_number(out, "power_balance", trust->power_balance);
  json_pair_number(out, "current_balance", trust->current_balance);
  json_pair_number(out, "iterations", trust->iterations);
  g_string_append_c(out, '}');
}

void
check_print_json(const char *path, const Inspection *inspection, const CheckApplied *applied,
                 GString *out)
{
  guint number = 0;

  g_string_append_c(out, '{');
  json_pair_text(out, "file", path);
  if (applied != NULL)
    append_applied(applied, out);
  json_pair_bool(out, "sound", inspection->error == NULL && findings_sound(inspection->findings));
  json_key(out, "findings");
  g_string_append_c(out, '[');
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = inspection->findings->pdata[i];
    bool offered = inspection_has_remedy(inspection, finding);
    number += offered;
    append_finding(finding, offered ? number : 0, out);
  }
  g_string_append_c(out, ']');
  append_solution(inspection, out);
  if (inspection->error != NULL)
    json_pair_text(out, "error", inspection->error->message);
  g_string_append(out, "}\n");
}
