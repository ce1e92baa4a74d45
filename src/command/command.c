/* SPDX-License-Identifier: MIT */
#include "command/command.h"

#include "base/language.h"

#include "base/text.h"
#include "command/verb.h"
#include <string.h>

static void
print_help(GString *out)
{
  g_string_append(out,
                  _("Doorsheet draws, solves and checks the wiring of an added circuit and prints "
                    "the sheet for the panel door.\n\n"
                    "  doorsheet [FILE]\n      Open the window.\n"));
  for (guint i = 0; verb_table[i] != NULL; i++)
    g_string_append_printf(out, "  doorsheet %s\n      %s\n", verb_table[i]->usage,
                           _(verb_table[i]->summary));
  g_string_append(out, _("  doorsheet help VERB\n      More about one verb.\n"
                         "  doorsheet --version\n      The version.\n\n"
                         "A check is not an approval: the adopted local code and qualified people "
                         "decide.\n"));
}

/* The nearest of verbs and the two general options. */
static const char *
nearest_word(const char *word)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; verb_table[i] != NULL; i++)
    g_ptr_array_add(names, (gpointer)(guintptr)verb_table[i]->name);
  g_ptr_array_add(names, (gpointer)(guintptr) "help");
  g_ptr_array_add(names, (gpointer)(guintptr) "--help");
  g_ptr_array_add(names, (gpointer)(guintptr) "--version");
  g_ptr_array_add(names, NULL);
  return text_nearest(word, (const char *const *)names->pdata);
}

static CommandStatus
complain_word(const char *word, GString *err)
{
  const char *near = nearest_word(word);

  g_string_append_printf(err, _("doorsheet: \"%s\" is neither a verb nor a file."), word);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append(err, _(" \"doorsheet --help\" lists the verbs.\n"));
  return COMMAND_FAILED;
}

static CommandStatus
run_help(int argc, const char *const *argv, GString *out, GString *err)
{
  if (argc < 3) {
    print_help(out);
    return COMMAND_SOUND;
  }
  const Verb *verb = verb_find(argv[2]);
  if (verb == NULL)
    return complain_word(argv[2], err);
  verb_print_help(verb, out);
  return COMMAND_SOUND;
}

/* JSON is for programs: it speaks one language, whoever runs it. */
static CommandStatus
run_words(const Verb *verb, const VerbWords *words, GString *out, GString *err)
{
  bool json = false;

  for (guint i = 0; i < verb->n_options; i++)
    json = json || (words->given[i] && strcmp(verb->options[i].name, "--json") == 0);
  const char *before = language_choose(json ? "en" : language_now());
  const CommandStatus status = verb->run(words, out, err);
  language_choose(before);
  return status;
}

static CommandStatus
run_verb(const Verb *verb, int argc, const char *const *argv, GString *out, GString *err)
{
  VerbWords words;
  CommandStatus status = COMMAND_FAILED;

  for (int i = 0; i < argc && strcmp(argv[i], "--") != 0; i++)
    if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0) {
      verb_print_help(verb, out);
      return COMMAND_SOUND;
    }
  if (verb_words_read(verb, argc, argv, &words, err))
    status = run_words(verb, &words, out, err);
  verb_words_clear(&words);
  return status;
}

/* Words that can only be meant for the window: a file, or what a desktop passes along. */
static bool
looks_like_file(const char *word)
{
  return strchr(word, '.') != NULL || strchr(word, '/') != NULL ||
         g_file_test(word, G_FILE_TEST_EXISTS);
}

static CommandStatus
run_line(int argc, const char *const *argv, GString *out, GString *err)
{
  if (argc < 2)
    return COMMAND_WINDOW;
  const char *word = argv[1];

  if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
    print_help(out);
    return COMMAND_SOUND;
  }
  if (strcmp(word, "--version") == 0) {
    g_string_append(out, "doorsheet " DOORSHEET_VERSION "\n");
    return COMMAND_SOUND;
  }
  if (strcmp(word, "help") == 0)
    return run_help(argc, argv, out, err);
  const Verb *verb = verb_find(word);
  if (verb != NULL)
    return run_verb(verb, argc - 2, argv + 2, out, err);
  if (strcmp(word, "--") == 0 || g_str_has_prefix(word, "--gapplication-"))
    return COMMAND_WINDOW;
  if (word[0] == '-' || !looks_like_file(word))
    return complain_word(word, err);
  return COMMAND_WINDOW;
}

CommandStatus
command_run(int argc, const char *const *argv, GString *out, GString *err)
{
  const CommandStatus status = run_line(argc, argv, out, err);

  /* A word of the command line or a file's name may hold what steers a terminal. */
  text_disarm(out);
  text_disarm(err);
  return status;
}
