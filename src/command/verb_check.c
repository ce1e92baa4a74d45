/* SPDX-License-Identifier: MIT */
/* doorsheet check: findings of each file, most severe first. */
#include "base/text.h"
#include "checks/check.h"
#include "command/json.h"
#include "command/verb.h"
#include <string.h>

enum { OPTION_JSON };
static const VerbOption options[] = {
    [OPTION_JSON] = {.name = "--json", .help = "One JSON object a file, each on its own line."},
};

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
print_finding(const Finding *finding, GString *out)
{
  g_string_append_printf(out, "%-8s %s", signal_word(finding->signal), finding->check);
  for (guint i = 0; i < finding->places->len; i++)
    g_string_append_printf(out, "%s%s", i == 0 ? " at " : ", ",
                           (const char *)finding->places->pdata[i]);
  g_string_append_printf(out, "\n  %s\n  Remedy: %s\n  Source: %s\n", finding->message,
                         finding->remedy, finding->source);
}

static void
print_text(const char *path, const Inspection *inspection, GString *out)
{
  g_autofree char *counts = count_text(inspection->findings);

  if (inspection->error != NULL)
    g_string_append_printf(out, "%s: not solved; the checks that need volts did not run%s%s\n",
                           path, counts[0] != '\0' ? "; " : "", counts);
  else if (inspection->findings->len == 0)
    g_string_append_printf(out, "%s: sound, nothing found (a check is not an approval)\n", path);
  else if (findings_sound(inspection->findings))
    g_string_append_printf(out, "%s: sound, %s (a check is not an approval)\n", path, counts);
  else
    g_string_append_printf(out, "%s: not sound, %s\n", path, counts);
  for (guint i = 0; i < inspection->findings->len; i++)
    print_finding(inspection->findings->pdata[i], out);
}

static void
append_finding(const Finding *finding, GString *out)
{
  json_next(out);
  g_string_append_c(out, '{');
  json_pair_text(out, "check", finding->check);
  json_pair_text(out, "title", finding->title);
  json_pair_text(out, "signal", signal_word(finding->signal));
  json_key(out, "at");
  g_string_append_c(out, '[');
  for (guint i = 0; i < finding->places->len; i++) {
    json_next(out);
    text_append_json(out, finding->places->pdata[i]);
  }
  g_string_append_c(out, ']');
  json_pair_text(out, "message", finding->message);
  json_pair_text(out, "remedy", finding->remedy);
  json_pair_text(out, "source", finding->source);
  g_string_append_c(out, '}');
}

static void
print_json(const char *path, const Inspection *inspection, GString *out)
{
  g_string_append_c(out, '{');
  json_pair_text(out, "file", path);
  json_pair_bool(out, "sound", inspection->error == NULL && findings_sound(inspection->findings));
  json_key(out, "findings");
  g_string_append_c(out, '[');
  for (guint i = 0; i < inspection->findings->len; i++)
    append_finding(inspection->findings->pdata[i], out);
  g_string_append_c(out, ']');
  json_key(out, "solution");
  if (inspection->solution == NULL)
    g_string_append(out, "null");
  else {
    const Trust *trust = &inspection->solution->trust;
    g_string_append_c(out, '{');
    json_pair_number(out, "backward_error", trust->backward_error);
    json_pair_number(out, "power_balance", trust->power_balance);
    json_pair_number(out, "current_balance", trust->current_balance);
    json_pair_number(out, "iterations", trust->iterations);
    g_string_append_c(out, '}');
  }
  if (inspection->error != NULL)
    json_pair_text(out, "error", inspection->error->message);
  g_string_append(out, "}\n");
}

static CommandStatus
check_file(const char *path, bool json, GString *out, GString *err)
{
  const gsize err_before = err->len;
  g_autoptr(Document) document = verb_load(path, err);

  if (document == NULL) {
    if (json) {
      g_autofree char *sentence = g_strchomp(g_strdup(err->str + err_before));
      g_string_append_c(out, '{');
      json_pair_text(out, "file", path);
      json_pair_text(out, "sound", NULL);
      json_pair_text(out, "error", sentence);
      g_string_append(out, "}\n");
    }
    return COMMAND_FAILED;
  }
  g_autoptr(Inspection) inspection = inspection_new(document);
  if (json)
    print_json(path, inspection, out);
  else
    print_text(path, inspection, out);
  if (inspection->error != NULL) {
    g_string_append_printf(err, "%s: %s\n", path, inspection->error->message);
    return COMMAND_FAILED;
  }
  return findings_sound(inspection->findings) ? COMMAND_SOUND : COMMAND_FINDINGS;
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  CommandStatus worst = COMMAND_SOUND;

  for (guint i = 0; i < words->operands->len; i++) {
    const CommandStatus status =
        check_file(words->operands->pdata[i], words->given[OPTION_JSON], out, err);
    worst = MAX(worst, status);
  }
  return worst;
}

const Verb verb_check = {
    .name = "check",
    .usage = "check FILE... [--json]",
    .summary = "Solve each diagram and say what is wrong with it, where, and what to do.",
    .details = "Exit code: 0 sound (a NOTICE is allowed), 1 findings above NOTICE, 2 a file could\n"
               "not be read or solved. With several files the highest of them.\n",
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .min_operands = 1,
    .max_operands = G_MAXUINT,
    .operand = "at least one file",
    .run = run,
};
