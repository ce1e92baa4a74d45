/* SPDX-License-Identifier: MIT */
/* From the file's text to the sheet's: how long each step takes for 20 to 20 000 devices, and how
 * it grows. Figures are the smallest of several runs in this process; nothing is asserted. */
#include "diagram/document_file.h"
#include "greenhouse_rows.h"
#include "parts/catalog.h"
#include "sheet/sheet.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef enum {
  STEP_WRITE,
  STEP_PARSE,
  STEP_BUILD,
  STEP_SOLVE,
  STEP_CHECK,
  STEP_SHEET,
  STEP_COUNT
} Step;
static const char *const titles[STEP_COUNT] = {"write", "parse", "build",
                                               "solve", "check", "sheet"};

static void
need(bool done, GError *error)
{
  if (!done)
    g_error("%s", error ? error->message : "a step failed");
}

static void
keep_best(double *best, Step step, gint64 *since)
{
  gint64 now = g_get_monotonic_time();
  double took = (double)(now - *since) / 1000.0;
  if (best[step] == 0 || took < best[step])
    best[step] = took;
  *since = g_get_monotonic_time();
}

static void
run_once(const Document *document, double *best)
{
  g_autoptr(GError) error = NULL;
  gint64 since = g_get_monotonic_time();
  g_autoptr(GBytes) bytes = document_write_memory(document);
  keep_best(best, STEP_WRITE, &since);

  gsize size = 0;
  const char *text = g_bytes_get_data(bytes, &size);
  g_autoptr(Document) read = document_read_memory(text, size, "bench", parts_catalog(), &error);
  need(read != NULL, error);
  keep_best(best, STEP_PARSE, &since);

  g_autoptr(Circuit) circuit = circuit_build(read, NULL);
  keep_best(best, STEP_BUILD, &since);
  g_autoptr(Solution) solution = solution_new(circuit, &error);
  need(solution != NULL, error);
  keep_best(best, STEP_SOLVE, &since);

  g_autoptr(Inspection) inspection = inspection_new(read);
  need(inspection->solution != NULL, inspection->error);
  keep_best(best, STEP_CHECK, &since);

  SheetOptions options = {.palette = PALETTE_LIGHT, .date = "2026-01-01"};
  g_autoptr(Sheet) sheet = sheet_compose(inspection, &options, &error);
  need(sheet != NULL, error);
  g_autoptr(GBytes) svg = sheet_export(sheet, SHEET_SVG, 0, &error);
  need(svg != NULL, error);
  keep_best(best, STEP_SHEET, &since);
}

int
main(void)
{
  static const guint sizes[] = {20, 200, 2000, 20000};
  double before[STEP_COUNT] = {0};
  setvbuf(stdout, NULL, _IOLBF, 0);
  printf("milliseconds, smallest of several runs; check = build, solve twice (as drawn and all "
         "closed) and every check; sheet = compose and write SVG\n");
  printf("%8s", "devices");
  for (Step step = 0; step < STEP_COUNT; step++)
    printf(" %10s", titles[step]);
  printf("\n");
  for (guint i = 0; i < G_N_ELEMENTS(sizes); i++) {
    g_autoptr(Document) document = greenhouse_rows(parts_catalog(), sizes[i]);
    double best[STEP_COUNT] = {0};
    guint runs = sizes[i] >= 20000 ? 2 : sizes[i] >= 2000 ? 3 : 10;
    for (guint run = 0; run < runs; run++)
      run_once(document, best);
    printf("%8u", sizes[i]);
    for (Step step = 0; step < STEP_COUNT; step++)
      printf(" %10.3f", best[step]);
    printf("\n");
    if (i > 0) {
      printf("%8s", "growth");
      for (Step step = 0; step < STEP_COUNT; step++)
        printf(" %10.2f", log(best[step] / before[step]) / log((double)sizes[i] / sizes[i - 1]));
      printf("   (exponent; 1 is linear)\n");
    }
    memcpy(before, best, sizeof before);
  }
  return 0;
}
