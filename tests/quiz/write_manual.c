/* SPDX-License-Identifier: MIT */
/* Writes the manual's generated chapters: ui/manual/faults.md and ui/manual/checks.md. Run it after
 * a change of checks, faults or sound diagrams; the test tells when it is needed. */
#include "matrix.h"

static bool
write_chapter(const char *name, const char *text)
{
  g_autofree char *path = manual_path("ui/manual", name);
  g_autoptr(GError) error = NULL;
  if (g_file_set_contents(path, text, -1, &error))
    return true;
  g_printerr("%s\n", error->message);
  return false;
}

int
main(void)
{
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  Matrix matrix = matrix_run(&sheets, problems);
  g_autofree char *faults = manual_faults(&matrix), *checks = manual_checks();
  g_printerr("%s%u faults, %u checks, %u diagrams, %u places\n", problems->str, matrix.n_faults,
             matrix.n_checks, matrix.n_sheets, matrix.tried);
  bool good = problems->len == 0 && write_chapter("faults.md", faults) &&
              write_chapter("checks.md", checks);
  matrix_clear(&matrix);
  sheets_clear(&sheets);
  return good ? 0 : 1;
}
