/* SPDX-License-Identifier: MIT */
/* doorsheet schema: the file format, generated from the same tables that read it. */
#include "command/verb.h"

#include "base/language.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  (void)words;
  (void)err;
  g_autofree char *schema = document_schema(parts_catalog());
  g_string_append(out, schema);
  if (!g_str_has_suffix(schema, "\n"))
    g_string_append_c(out, '\n');
  return COMMAND_SOUND;
}

const Verb verb_schema = {
    .name = "schema",
    .usage = "schema",
    .summary = N_("Print the RELAX NG schema of .doorsheet files."),
    .details = N_("Any XML editor that knows RELAX NG can use it to check and complete a file.\n"),
    .max_operands = 0,
    .operand = "nothing",
    .run = run,
};
