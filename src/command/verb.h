/* SPDX-License-Identifier: MIT */
/* What a verb of the command line is: one table for each, in one file for each. Help texts, the
 * reading of words and the answers to unknown words all come from the table. */
#pragma once

#include "command/command.h"
#include "diagram/document.h"
#include <stdbool.h>

G_BEGIN_DECLS

#define VERB_MAX_OPTIONS 16

typedef struct {
  const char *name;   /* "--paper" */
  const char *letter; /* "-o", or NULL */
  int n_values;       /* 0, 1 or 2 words that follow it */
  const char *values; /* how help names them: "A B"; NULL when there are none */
  const char *help;   /* one line */
} VerbOption;

/* The words after the verb, sorted out. Everything is borrowed from argv. */
typedef struct {
  GPtrArray *operands;                     /* of const char * */
  bool given[VERB_MAX_OPTIONS];            /* by index in the verb's options */
  const char *values[VERB_MAX_OPTIONS][2]; /* NULL where not given */
} VerbWords;

typedef struct {
  const char *name;    /* "check" */
  const char *usage;   /* "check FILE... [--json]" */
  const char *summary; /* one line for the list of verbs */
  const char *details; /* more lines for `help VERB`, with exit codes; ends in a newline */
  const VerbOption *options;
  guint n_options;
  guint min_operands, max_operands;
  const char *operand; /* what the operands are, for the message when one is missing */
  CommandStatus (*run)(const VerbWords *words, GString *out, GString *err);
} Verb;

extern const Verb verb_check, verb_parts, verb_quiz, verb_readings, verb_schema, verb_sheet;

/* NULL-terminated, alphabetical: the list that help prints and that command_run looks through. */
extern const Verb *const verb_table[];
const Verb *verb_find(const char *name);

/* argv[0] is the first word after the verb. false after a sentence in err. */
bool verb_words_read(const Verb *verb, int argc, const char *const *argv, VerbWords *words,
                     GString *err);
void verb_words_clear(VerbWords *words);
/* Usage, details and options of one verb. */
void verb_print_help(const Verb *verb, GString *out);

/* Reads a file with every kind of the catalog. NULL after the reader's sentence in err. */
Document *verb_load(const char *path, GString *err);
/* The same for verbs that tell what a student has to find out: an exercise is refused. */
Document *verb_load_open(const char *path, GString *err);

G_END_DECLS
