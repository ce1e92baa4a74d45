/* SPDX-License-Identifier: MIT */
/* doorsheet quiz: deals versions with deliberate faults, proven fair, and grades what comes back.
 */
#include "base/language.h"
#include "base/text.h"
#include "command/sheet_words.h"
#include "command/verb.h"
#include "grade/class_table.h"
#include "handout/handout.h"
#include "parts/catalog.h"

enum {
  OPTION_OUTPUT,
  OPTION_VERSIONS,
  OPTION_SEED,
  OPTION_DIFFICULTY,
  OPTION_LEVEL,
  OPTION_TOPIC,
  OPTION_FAULTS,
  OPTION_MARKED,
  OPTION_LESSON,
  OPTION_PAPER,
  OPTION_MONO,
  OPTION_LANGUAGE,
  OPTION_DATE,
  OPTION_FORCE,
  OPTION_GRADE
};
static const VerbOption options[] = {
    [OPTION_OUTPUT] = {.name = "--output",
                       .letter = "-o",
                       .n_values = 1,
                       .values = "FOLDER",
                       .help = N_("Where student sheets, keys and the grading sheet go.")},
    [OPTION_VERSIONS] = {.name = "--versions",
                         .n_values = 1,
                         .values = "N",
                         .help = N_("How many versions that differ; normally 1.")},
    [OPTION_SEED] = {.name = "--seed",
                     .n_values = 1,
                     .values = "S",
                     .help = N_("The same seed deals the same set on every machine; normally 1.")},
    [OPTION_DIFFICULTY] = {.name = "--difficulty",
                           .n_values = 1,
                           .values = "D",
                           .help = N_("easy, medium or hard to find; normally any.")},
    [OPTION_LEVEL] = {.name = "--level",
                      .n_values = 1,
                      .values = "L",
                      .help = N_("No fault that the catalogue calls harder: easy, medium or hard; "
                                 "normally hard.")},
    [OPTION_TOPIC] = {.name = "--topic",
                      .n_values = 1,
                      .values = "T",
                      .help = N_("supply, taps, loads, control, protection, conductors or "
                                 "grounding; normally any.")},
    [OPTION_FAULTS] = {.name = "--faults",
                       .n_values = 1,
                       .values = "N",
                       .help = N_("Faults in each version, 1 to 5; normally 1.")},
    [OPTION_MARKED] = {.name = "--marked",
                       .help = N_("Only faults that the diagram itself has marked.")},
    [OPTION_LESSON] = {.name = "--lesson",
                       .n_values = 1,
                       .values = "TITLE",
                       .help = N_("Title on the student sheet; normally the diagram's.")},
    [OPTION_PAPER] = {.name = "--paper",
                      .n_values = 1,
                      .values = "P",
                      .help =
                          N_("letter, legal, tabloid, a4, a3 or label-4x6; normally the file's.")},
    [OPTION_MONO] = {.name = "--mono", .help = N_("Black ink only.")},
    [OPTION_LANGUAGE] = {.name = "--language",
                         .n_values = 1,
                         .values = "L",
                         .help = N_("en, es, or en+es (cautions in both); normally the file's.")},
    [OPTION_DATE] = {.name = "--date",
                     .n_values = 1,
                     .values = "D",
                     .help = N_("The date on the sheets, 2026-11-25; normally the diagram's.")},
    [OPTION_FORCE] = {.name = "--force", .help = N_("Write over a set that is there already.")},
    [OPTION_GRADE] = {.name = "--grade",
                      .n_values = 1,
                      .values = "FOLDER",
                      .help = N_("Grade the result files of a folder instead; FILE is the sound "
                                 "diagram.")},
};

static bool
read_count(const VerbWords *words, int option, guint64 most, guint64 *value, GString *err)
{
  const char *text = words->values[option][0];

  if (text == NULL ||
      g_ascii_string_to_unsigned(text, 10, option == OPTION_SEED ? 0 : 1, most, value, NULL))
    return true;
  g_autofree char *upper = g_strdup_printf("%" G_GUINT64_FORMAT, most);
  g_string_append_printf(
      err, _("doorsheet: \"%s\" is no number for %s. Write a whole number up to %s.\n"), text,
      options[option].name, upper);
  return false;
}

static bool
read_word(const char *text, const char *const *names, int option, int *value, GString *err)
{
  if (text == NULL)
    return true;
  for (int i = 0; names[i] != NULL; i++)
    if (g_str_equal(names[i], text)) {
      *value = i;
      return true;
    }
  const char *near = text_nearest(text, names);
  g_autofree char *all = g_strjoinv(", ", (char **)(guintptr)names);
  g_string_append_printf(err, _("doorsheet: there is no \"%s\" for %s."), text,
                         options[option].name);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append_printf(err, _(" It is one of %s.\n"), all);
  return false;
}

static bool
read_order(const VerbWords *words, DealOrder *order, GString *err)
{
  const char *levels[FAULT_HARD + 2] = {NULL}, *topics[FAULT_TOPIC_COUNT + 1] = {NULL};
  guint64 versions = 1, faults = 1, seed = 1;
  int level = FAULT_HARD;

  for (guint i = 0; i <= FAULT_HARD; i++)
    levels[i] = fault_level_word((FaultLevel)i);
  for (guint i = 0; i < FAULT_TOPIC_COUNT; i++)
    topics[i] = fault_topic_word((FaultTopic)i);
  *order = deal_order_default;
  if (!read_count(words, OPTION_VERSIONS, DEAL_MOST_VERSIONS, &versions, err) ||
      !read_count(words, OPTION_FAULTS, DEAL_MOST_FAULTS, &faults, err) ||
      !read_count(words, OPTION_SEED, G_MAXUINT64, &seed, err) ||
      !read_word(words->values[OPTION_DIFFICULTY][0], levels, OPTION_DIFFICULTY, &order->difficulty,
                 err) ||
      !read_word(words->values[OPTION_LEVEL][0], levels, OPTION_LEVEL, &level, err) ||
      !read_word(words->values[OPTION_TOPIC][0], topics, OPTION_TOPIC, &order->topic, err))
    return false;
  order->level = (FaultLevel)level;
  order->versions = (guint)versions;
  order->faults = (guint)faults;
  order->seed = seed;
  order->by_hand = words->given[OPTION_MARKED];
  return true;
}

static CommandStatus
grade(const VerbWords *words, const Document *master, GString *out, GString *err)
{
  g_autoptr(GError) error = NULL;
  guint rejected = 0;
  g_autofree char *text = class_table_grade_folder(words->values[OPTION_GRADE][0], parts_catalog(),
                                                   master, &rejected, &error);

  if (text == NULL) {
    g_string_append_printf(err, "doorsheet: %s\n", error->message);
    return COMMAND_FAILED;
  }
  g_string_append(out, text);
  return rejected > 0 ? COMMAND_FAILED : COMMAND_SOUND;
}

static void
print_set(const Deal *deal, const char *folder, GString *out)
{
  const guint n = deal->versions->len;

  g_string_append_printf(
      out, language_plural("%s: %u version, set %.12s\n", "%s: %u versions, set %.12s\n", n),
      folder, n, deal->digest);
  for (guint i = 0; i < deal->refusals->len; i++) {
    const DealRefusal *refusal = deal->refusals->pdata[i];
    g_string_append_printf(out, _("drawn and not dealt, %u times: %s\n"), refusal->count,
                           refusal->why);
  }
}

static CommandStatus
deal(const VerbWords *words, const Document *master, const DealOrder *order,
     const HandoutOptions *handout, GString *out, GString *err)
{
  const char *file = words->operands->pdata[0], *folder = words->values[OPTION_OUTPUT][0];
  g_autoptr(GError) error = NULL;
  g_autoptr(Deal) set = handout_deal(master, order, folder, handout, NULL, NULL, NULL, &error);

  if (set == NULL) {
    const bool said_of_file = error->domain == DEAL_ERROR || error->domain == SOLVE_ERROR;
    g_string_append_printf(err, "%s: %s\n", said_of_file ? file : "doorsheet", error->message);
    return COMMAND_FAILED;
  }
  print_set(set, folder, out);
  return COMMAND_SOUND;
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  DealOrder order;
  HandoutOptions handout = {
      .sheet = {.paper = words->values[OPTION_PAPER][0],
                .palette = words->given[OPTION_MONO] ? PALETTE_MONO : PALETTE_LIGHT,
                .date = words->values[OPTION_DATE][0]},
      .lesson = words->values[OPTION_LESSON][0],
      .replace = words->given[OPTION_FORCE],
  };

  if (!read_order(words, &order, err) || !sheet_words_paper(handout.sheet.paper, err) ||
      !sheet_words_date(handout.sheet.date, err) ||
      !sheet_words_language(words->values[OPTION_LANGUAGE][0], &handout.sheet, err))
    return COMMAND_FAILED;
  if (words->given[OPTION_GRADE] == words->given[OPTION_OUTPUT]) {
    g_string_append(err, _("doorsheet: \"quiz\" needs -o and a folder to deal into, or --grade "
                           "and a folder of results.\n"));
    return COMMAND_FAILED;
  }
  g_autoptr(Document) master = verb_load_open(words->operands->pdata[0], err);
  if (master == NULL)
    return COMMAND_FAILED;
  if (words->given[OPTION_GRADE])
    return grade(words, master, out, err);
  return deal(words, master, &order, &handout, out, err);
}

const Verb verb_quiz = {
    .name = "quiz",
    .usage =
        "quiz FILE -o FOLDER [--versions N] [--seed S] [--difficulty D] [--level L]\n"
        "      [--topic T] [--faults N] [--marked] [--lesson TITLE] [--paper P] [--language L]\n"
        "      [--mono]\n"
        "  doorsheet quiz FILE --grade FOLDER",
    .summary = N_("Deal exercises with deliberate faults from a sound diagram, or grade them."),
    .details = N_(
        "Every version is proven fair before it is dealt: its faults are the only findings,\n"
        "each shows, none hides another, and what a student may measure tells the answer.\n"
        "The folder gets student/ (sheets without answers, and exercises for the screen),\n"
        "key/ (answer keys), grading.csv and fairness.txt. An exercise is never for use on real\n"
        "equipment.\n"
        "With --grade, the result files of a folder become class.csv and faults.csv there.\n"
        "Exit code: 0 done; 2 not, or a result did not count.\n"),
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .min_operands = 1,
    .max_operands = 1,
    .operand = N_("a file"),
    .run = run,
};
