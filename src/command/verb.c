/* SPDX-License-Identifier: MIT */
#include "command/verb.h"

#include "base/language.h"
#include "base/text.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"
#include <string.h>

const Verb *const verb_table[] = {
    &verb_check, &verb_parts, &verb_quiz, &verb_readings, &verb_schema, &verb_sheet, NULL,
};

const Verb *
verb_find(const char *name)
{
  for (guint i = 0; verb_table[i] != NULL; i++)
    if (strcmp(verb_table[i]->name, name) == 0)
      return verb_table[i];
  return NULL;
}

/* The index of the option that a word names, or -1. *inline_value gets what follows "=". */
static int
find_option(const Verb *verb, const char *word, const char **inline_value)
{
  const char *equals = strchr(word, '=');
  const gsize length = equals != NULL ? (gsize)(equals - word) : strlen(word);

  *inline_value = equals != NULL ? equals + 1 : NULL;
  for (guint i = 0; i < verb->n_options; i++) {
    const VerbOption *option = &verb->options[i];
    if (strlen(option->name) == length && strncmp(option->name, word, length) == 0)
      return (int)i;
    if (option->letter != NULL && strcmp(option->letter, word) == 0)
      return (int)i;
  }
  return -1;
}

static void
complain_option(const Verb *verb, const char *word, GString *err)
{
  const char *names[VERB_MAX_OPTIONS + 1] = {NULL};
  for (guint i = 0; i < verb->n_options; i++)
    names[i] = verb->options[i].name;
  const char *near = text_nearest(word, names);

  g_string_append_printf(err, _("doorsheet: \"%s\" has no option \"%s\"."), verb->name, word);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append_printf(err, _(" Usage: doorsheet %s\n"), verb->usage);
}

/* Takes the option at argv[*i] with its values; leaves *i at the last word used. */
static bool
take_option(const Verb *verb, int argc, const char *const *argv, int *i, VerbWords *words,
            GString *err)
{
  const char *word = argv[*i];
  const char *inline_value = NULL;
  const int index = find_option(verb, word, &inline_value);

  if (index < 0) {
    complain_option(verb, word, err);
    return false;
  }
  const VerbOption *option = &verb->options[index];
  if (inline_value != NULL && option->n_values != 1) {
    g_string_append_printf(err, _("doorsheet: write \"%s%s%s\" without \"=\".\n"), option->name,
                           option->values != NULL ? " " : "",
                           option->values != NULL ? option->values : "");
    return false;
  }
  words->given[index] = true;
  if (inline_value != NULL) {
    words->values[index][0] = inline_value;
    return true;
  }
  for (int v = 0; v < option->n_values; v++) {
    if (*i + 1 >= argc) {
      g_string_append_printf(err, _("doorsheet: %s needs %s after it. Usage: doorsheet %s\n"),
                             option->name, option->values, verb->usage);
      return false;
    }
    words->values[index][v] = argv[++*i];
  }
  return true;
}

bool
verb_words_read(const Verb *verb, int argc, const char *const *argv, VerbWords *words, GString *err)
{
  bool options_over = false;

  *words = (VerbWords){.operands = g_ptr_array_new()};
  for (int i = 0; i < argc; i++) {
    const char *word = argv[i];
    if (!options_over && strcmp(word, "--") == 0)
      options_over = true;
    else if (!options_over && word[0] == '-' && word[1] != '\0') {
      if (!take_option(verb, argc, argv, &i, words, err))
        return false;
    } else
      g_ptr_array_add(words->operands, (gpointer)(guintptr)word);
  }
  if (words->operands->len < verb->min_operands) {
    g_string_append_printf(err, _("doorsheet: \"%s\" needs %s. Usage: doorsheet %s\n"), verb->name,
                           _(verb->operand), verb->usage);
    return false;
  }
  if (words->operands->len > verb->max_operands) {
    const char *extra = words->operands->pdata[verb->max_operands];
    g_string_append_printf(err, _("doorsheet: \"%s\" is one word too many. Usage: doorsheet %s\n"),
                           extra, verb->usage);
    return false;
  }
  return true;
}

void
verb_words_clear(VerbWords *words)
{
  g_clear_pointer(&words->operands, g_ptr_array_unref);
}

void
verb_print_help(const Verb *verb, GString *out)
{
  g_string_append_printf(out, "doorsheet %s\n\n%s\n\n%s", verb->usage, _(verb->summary),
                         _(verb->details));
  if (verb->n_options == 0)
    return;
  g_string_append(out, _("\nOptions:\n"));
  for (guint i = 0; i < verb->n_options; i++) {
    const VerbOption *option = &verb->options[i];
    g_autofree char *words = g_strconcat(option->letter != NULL ? option->letter : "",
                                         option->letter != NULL ? ", " : "", option->name,
                                         option->values != NULL ? " " : "",
                                         option->values != NULL ? option->values : "", NULL);
    g_string_append_printf(out, "  %-24s %s\n", words, _(option->help));
  }
}

Document *
verb_load(const char *path, GString *err)
{
  g_autoptr(GError) error = NULL;
  Document *document = document_read(path, parts_catalog(), &error);

  if (document == NULL)
    g_string_append_printf(err, "%s\n", error->message);
  return document;
}

Document *
verb_load_open(const char *path, GString *err)
{
  Document *document = verb_load(path, err);

  if (document == NULL || !sheet_is_exercise(document_sheet(document)))
    return document;
  g_string_append_printf(err,
                         _("%s: this is an exercise, and what is found and computed in it is put "
                           "away. Work it in the window, or print it with \"doorsheet sheet\".\n"),
                         path);
  document_free(document);
  return NULL;
}
