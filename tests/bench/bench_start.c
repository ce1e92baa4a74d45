/* SPDX-License-Identifier: MIT */
/* From the start of a process to the first frame the display server has taken: a bare GTK window,
 * the same with a header bar, the program, and the program with a sheet to open, by turns in one
 * run, all with the same theme and font. Prints the ratios to the bare window, by the clock and by
 * the processor time of the process itself (all threads); nothing is asserted. Runs under
 * tests/window/under-display.sh.
 *
 * The bare window shows one colour: its title bar is the window manager's. With a header bar it
 * has a title and three buttons, as any GTK program with one. The program's first frame shows its
 * header with every button but the window's own, the sheet on its bench, and the start page with
 * what it offers, or the diagram. The window's buttons, menus, tooltips, samples, parts shelf,
 * clipboard and meter come in right after it, in room kept for them: "complete" is until they are
 * drawn and nothing more waits to be done.
 *
 *   bench-start BARE PROGRAM SHEET [TIMES] */
#include <gio/gio.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#define TIMES 15
#define MOST 200

typedef struct {
  double wall[MOST], own[MOST]; /* ms */
} Series;

static int
compare(const void *a, const void *b)
{
  double left = *(const double *)a, right = *(const double *)b;
  return left < right ? -1 : left > right;
}

static void
start_once(Series *series, int at, const char *program, const char *sheet, bool complete)
{
  const char *const arguments[] = {program, sheet, NULL};
  g_autoptr(GSubprocessLauncher) launcher =
      g_subprocess_launcher_new(G_SUBPROCESS_FLAGS_STDOUT_PIPE);
  if (complete)
    g_subprocess_launcher_setenv(launcher, "DOORSHEET_FIRST_FRAME_CALM", "1", TRUE);
  double since = (double)g_get_monotonic_time() / 1e3;
  g_autoptr(GError) error = NULL;
  g_autoptr(GSubprocess) child = g_subprocess_launcher_spawnv(launcher, arguments, &error);
  g_autofree char *text = NULL;
  if (child == NULL || !g_subprocess_communicate_utf8(child, NULL, NULL, &text, NULL, &error))
    g_error("%s", error->message);
  char *end = text;
  series->wall[at] = g_ascii_strtod(text, &end) - since;
  series->own[at] = g_ascii_strtod(end, NULL);
  if (end == text)
    g_error("%s showed no frame", program);
}

static void
say(const char *what, Series *series, const Series *bare, int times)
{
  qsort(series->wall, (size_t)times, sizeof(double), compare);
  qsort(series->own, (size_t)times, sizeof(double), compare);
  int middle = times / 2, low = times / 4;
  printf("%-22s %6.0f ms (lower quarter %4.0f)  ratio %.2f (%.2f) | own CPU %6.0f ms  ratio %.2f\n",
         what, series->wall[middle], series->wall[low], series->wall[middle] / bare->wall[middle],
         series->wall[low] / bare->wall[low], series->own[middle],
         series->own[middle] / bare->own[middle]);
}

int
main(int argc, char **argv)
{
  if (argc < 4) {
    fputs("bench-start BARE PROGRAM SHEET [TIMES]\n", stderr);
    return 2;
  }
  int times = argc > 4 ? CLAMP(atoi(argv[4]), 1, MOST) : TIMES;
  static Series bare, header, whole, opening, complete, complete_sheet;
  for (int i = -1; i < times; i++) { /* once before, for files to be in memory */
    int at = MAX(i, 0);
    start_once(&bare, at, argv[1], NULL, false);
    start_once(&header, at, argv[1], "header", false);
    start_once(&whole, at, argv[2], NULL, false);
    start_once(&opening, at, argv[2], argv[3], false);
    start_once(&complete, at, argv[2], NULL, true);
    start_once(&complete_sheet, at, argv[2], argv[3], true);
  }
  printf("start to first frame, median of %d\n", times);
  say("bare window", &bare, &bare, times);
  say("bare with header bar", &header, &bare, times);
  say("doorsheet", &whole, &bare, times);
  say("doorsheet with a sheet", &opening, &bare, times);
  say("complete", &complete, &bare, times);
  say("complete with a sheet", &complete_sheet, &bare, times);
  return 0;
}
