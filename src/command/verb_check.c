/* SPDX-License-Identifier: MIT */
/* doorsheet check: findings of each file, most severe first; remedies carried out; what each check
 * looks at. */
#include "base/text.h"

#include "base/language.h"
#include "checks/describe.h"
#include "checks/explain.h"
#include "command/check_print.h"
#include "command/json.h"
#include "command/verb.h"
#include "diagram/document_file.h"

#include <string.h>

enum { OPTION_JSON, OPTION_APPLY, OPTION_OUTPUT, OPTION_EXPLAIN };
static const VerbOption options[] = {
    [OPTION_JSON] = {.name = "--json", .help = N_("One JSON object a file, each on its own line.")},
    [OPTION_APPLY] = {.name = "--apply",
                      .n_values = 1,
                      .values = "N",
                      .help =
                          N_("Carry out the remedy that is listed with number N and check again.")},
    [OPTION_OUTPUT] = {.name = "--output",
                       .letter = "-o",
                       .n_values = 1,
                       .values = "OUT",
                       .help = N_("With --apply: write there and leave FILE as it is.")},
    [OPTION_EXPLAIN] = {.name = "--explain",
                        .n_values = 1,
                        .values = "NAME",
                        .help = N_("What a check looks at, formula, table and source; or all.")},
};

/* The file could not be read: JSON says so too. */
static void
print_unread(const char *path, const char *sentence, GString *out)
{
  g_autofree char *text = g_strchomp(g_strdup(sentence));
  g_string_append_c(out, '{');
  json_pair_text(out, "file", path);
  json_pair_text(out, "sound", NULL);
  json_pair_text(out, "error", text);
  g_string_append(out, "}\n");
}

static CommandStatus
show(const char *path, const Inspection *inspection, const CheckApplied *applied, bool json,
     GString *out)
{
  if (json)
    check_print_json(path, inspection, applied, out);
  else
    check_print_text(path, inspection, applied, out);
  /* A circuit that cannot be computed has a finding that says so. */
  return findings_sound(inspection->findings) ? COMMAND_SOUND : COMMAND_FINDINGS;
}

static CommandStatus
check_file(const char *path, bool json, GString *out, GString *err)
{
  const gsize err_before = err->len;
  g_autoptr(Document) document = verb_load_open(path, err);

  if (document == NULL) {
    if (json)
      print_unread(path, err->str + err_before, out);
    return COMMAND_FAILED;
  }
  g_autoptr(Inspection) inspection = inspection_new(document);
  return show(path, inspection, NULL, json, out);
}

static bool
read_number(const char *word, guint *number, GString *err)
{
  guint64 value = 0;
  if (g_ascii_string_to_unsigned(word, 10, 1, G_MAXUINT, &value, NULL)) {
    *number = (guint)value;
    return true;
  }
  g_autofree char *shown = text_clean(word, 40);
  g_string_append_printf(err,
                         _("doorsheet: --apply needs the number of a remedy, such as 1, not "
                           "\"%s\". Usage: doorsheet %s\n"),
                         shown, verb_check.usage);
  return false;
}

static const Finding *
pick(const char *path, const Inspection *inspection, guint number, GString *err)
{
  const Finding *finding = check_remedy_numbered(inspection, number);
  const guint n = check_remedy_count(inspection);

  if (finding != NULL)
    return finding;
  if (n == 0)
    g_string_append_printf(err,
                           _("%s: no finding here has a remedy that can be carried out; those "
                             "without a number take a person's judgement.\n"),
                           path);
  else
    g_string_append_printf(err,
                           _("%s: there is no remedy %u; they are numbered 1 to %u. \"doorsheet "
                             "check %s\" lists them.\n"),
                           path, number, n, path);
  return NULL;
}

/* A drawing that carries a diagram would be lost if the diagram were written over it. */
static bool
is_drawing(const char *path)
{
  g_autofree char *lower = g_ascii_strdown(path, -1);
  return g_str_has_suffix(lower, ".svg");
}

/* Changes the document and writes it to target. */
static bool
carry_out(Document *document, const Inspection *inspection, const Finding *finding,
          const char *target, GString *err)
{
  g_autoptr(GError) error = NULL;
  Change *change = inspection_remedy(inspection, finding, &error);

  if (change != NULL && document_apply(document, change, &error) &&
      document_save(document, target, &error))
    return true;
  g_string_append_printf(err, _("%s: remedy not carried out, nothing was written: %s\n"), target,
                         error != NULL ? error->message : _("no change"));
  return false;
}

static CommandStatus
apply(const char *path, const VerbWords *words, GString *out, GString *err)
{
  const char *target = words->given[OPTION_OUTPUT] ? words->values[OPTION_OUTPUT][0] : path;
  guint number;

  if (!read_number(words->values[OPTION_APPLY][0], &number, err))
    return COMMAND_FAILED;
  if (is_drawing(target)) {
    g_string_append_printf(err,
                           _("%s: a diagram is not written over a drawing; give another file "
                             "with -o OUT.doorsheet.\n"),
                           target);
    return COMMAND_FAILED;
  }
  g_autoptr(Document) document = verb_load_open(path, err);
  if (document == NULL)
    return COMMAND_FAILED;
  g_autoptr(Inspection) before = inspection_new(document);
  const Finding *finding = pick(path, before, number, err);
  if (finding == NULL || !carry_out(document, before, finding, target, err))
    return COMMAND_FAILED;
  g_autoptr(GPtrArray) changes = describe_difference(before->document, document);
  g_autoptr(Inspection) after = inspection_new(document);
  const CheckApplied applied = {.number = number, .finding = finding, .changes = changes};
  return show(target, after, &applied, words->given[OPTION_JSON], out);
}

static CommandStatus
explain(const char *name, GString *out, GString *err)
{
  g_autofree char *text = NULL;
  const Check *check = check_find(name);

  if (strcmp(name, "all") == 0)
    text = check_explain_all(EXPLAIN_PLAIN);
  else if (check != NULL)
    text = check_explain(check, EXPLAIN_PLAIN);
  if (text != NULL) {
    g_string_append(out, text);
    return COMMAND_SOUND;
  }
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (const Check *one = checks_table; one->name != NULL; one++)
    g_ptr_array_add(names, (gpointer)(guintptr)one->name);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(name, (const char *const *)names->pdata);
  g_autofree char *shown = text_clean(name, 40);
  g_string_append_printf(err, _("doorsheet: there is no check \"%s\"."), shown);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append(err, _(" \"doorsheet check --explain all\" lists them.\n"));
  return COMMAND_FAILED;
}

/* A sentence in err when these words do not go together. */
static bool
words_agree(const VerbWords *words, GString *err)
{
  const char *problem = NULL;

  if (words->given[OPTION_EXPLAIN] && (words->operands->len > 0 || words->given[OPTION_JSON] ||
                                       words->given[OPTION_APPLY] || words->given[OPTION_OUTPUT]))
    problem = _("--explain NAME stands alone");
  else if (!words->given[OPTION_EXPLAIN] && words->operands->len == 0)
    problem = _("\"check\" needs at least one file");
  else if (words->given[OPTION_APPLY] && words->operands->len != 1)
    problem = _("--apply takes one file at a time");
  else if (words->given[OPTION_OUTPUT] && !words->given[OPTION_APPLY])
    problem = _("-o OUT goes with --apply N");
  if (problem != NULL)
    g_string_append_printf(err, _("doorsheet: %s. Usage: doorsheet %s\n"), problem,
                           verb_check.usage);
  return problem == NULL;
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  CommandStatus worst = COMMAND_SOUND;

  if (!words_agree(words, err))
    return COMMAND_FAILED;
  if (words->given[OPTION_EXPLAIN])
    return explain(words->values[OPTION_EXPLAIN][0], out, err);
  if (words->given[OPTION_APPLY])
    return apply(words->operands->pdata[0], words, out, err);
  for (guint i = 0; i < words->operands->len; i++) {
    const CommandStatus status =
        check_file(words->operands->pdata[i], words->given[OPTION_JSON], out, err);
    worst = MAX(worst, status);
  }
  return worst;
}

const Verb verb_check = {
    .name = "check",
    .usage = "check FILE... [--json] | check FILE --apply N [-o OUT] | check --explain NAME",
    .summary = N_("Solve each diagram and say what is wrong with it, where, and what to do."),
    .details = N_(
        "Findings whose remedy the program can carry out have a numbered remedy; --apply N does\n"
        "what remedy N says, writes the file and checks the result. Every such change is one step\n"
        "that a person has to judge; undo it by keeping the old file (-o OUT).\n"
        "Exit code: 0 sound (a NOTICE is allowed), 1 findings above NOTICE (a circuit that cannot\n"
        "be computed is one), 2 a file could not be read or written or there is no such remedy.\n"
        "With several files the highest of them. An exercise is refused: its findings are put\n"
        "away.\n"),
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .min_operands = 0,
    .max_operands = G_MAXUINT,
    .operand = N_("at least one file"),
    .run = run,
};
