/* SPDX-License-Identifier: MIT */
/* The program: the command line first, so that nothing touches a display unless the window is
 * asked for; then the window. */
#include "base/language.h"
#include "command/command.h"
#include <stdio.h>

#ifdef DOORSHEET_WINDOW
#include "window/window_main.h"
#include <gtk/gtk.h>
#include <malloc.h>

static int
open_window(int argc, char **argv)
{
  /* A software renderer allocates and frees whole images for every frame; keeping those blocks
   * with the allocator instead of giving them back to the system each time saves the page faults,
   * which cost more than the drawing. */
  mallopt(M_MMAP_THRESHOLD, 64 << 20);
  mallopt(M_TRIM_THRESHOLD, 128 << 20);
  if (!gtk_init_check()) {
    fputs(_("doorsheet: there is no display to open a window on. \"doorsheet --help\" lists what "
            "works without one.\n"),
          stderr);
    return COMMAND_FAILED;
  }
  return window_main(argc, argv);
}
#else
static int
open_window(int argc, char **argv)
{
  (void)argc;
  (void)argv;
  fputs(_("doorsheet: this build has no window. \"doorsheet --help\" lists what it does.\n"),
        stderr);
  return COMMAND_FAILED;
}
#endif

/* A full disk or a closed pipe must not look like success. */
static int
print_all(GString *out, GString *err, int status)
{
  fwrite(err->str, 1, err->len, stderr);
  if (fwrite(out->str, 1, out->len, stdout) != out->len || fflush(stdout) != 0) {
    fputs(_("doorsheet: the output could not be written.\n"), stderr);
    return COMMAND_FAILED;
  }
  return status;
}

int
main(int argc, char **argv)
{
  g_autoptr(GString) out = g_string_new(NULL);
  g_autoptr(GString) err = g_string_new(NULL);

  language_set_default(language_of_user());
  const CommandStatus status = command_run(argc, (const char *const *)argv, out, err);

  if (status == COMMAND_WINDOW)
    return open_window(argc, argv);
  return print_all(out, err, status);
}
