/* SPDX-License-Identifier: MIT */
/* The command line's verbs. No function here opens a display. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

typedef enum {
  COMMAND_SOUND = 0,    /* done; for check: sound */
  COMMAND_FINDINGS = 1, /* check: findings above NOTICE */
  COMMAND_FAILED = 2,   /* unreadable, unknown words, cannot write */
  COMMAND_WINDOW = -1   /* not a verb: the window should open */
} CommandStatus;

/* argv as main got it. out and err take the texts (main prints them). Returns COMMAND_WINDOW when
 * the words ask for the window. */
CommandStatus command_run(int argc, const char *const *argv, GString *out, GString *err);

G_END_DECLS
