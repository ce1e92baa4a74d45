/* SPDX-License-Identifier: MIT */
/* What an edit costs where conductors are drawn: one device is dragged step by step, and after each
 * step routes and labels are brought up to date. On heaps thrown together at random, where devices
 * lie over each other and conductors go from anywhere to anywhere, and on tidy rows of cabinets.
 * Milliseconds of this process's time; nothing is asserted.
 *
 *   bench-routes [DEVICES]   all of them, or one heap */
#include "diagram/edit.h"
#include "figure/figure_cache.h"
#include "greenhouse_rows.h"
#include "parts/catalog.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define SEED 20261125
#define DRAGS 15
#define STEPS 8 /* of each drag */
#define CONDUCTORS_PER_DEVICE 1.5
#define AREA_MM2 1100.0 /* of sheet for each device of a heap: symbols alone take about as much */

static double
now_ms(void)
{
  struct timespec time;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
  return (double)time.tv_sec * 1e3 + (double)time.tv_nsec / 1e6;
}

static const Device *
any_device(const Document *document, GRand *random)
{
  gint n = (gint)document_device_count(document);
  return document_device(document, (guint)g_rand_int_range(random, 0, n));
}

static void
place_at_random(Document *document, guint devices, GRand *random)
{
  PartCatalog catalog = parts_catalog();
  gint kinds = 0;
  while (catalog[kinds] != NULL)
    kinds++;
  double side = sqrt(AREA_MM2 * devices);
  for (guint i = 0; i < devices; i++) {
    Point at = {g_rand_double_range(random, 10, 10 + 1.2 * side),
                g_rand_double_range(random, 10, 10 + side / 1.2)};
    g_autofree char *id = NULL;
    Change *change =
        edit_place(document, catalog[g_rand_int_range(random, 0, kinds)], point_snap(at), &id);
    if (!document_apply(document, change, NULL))
      g_error("a device could not be placed");
  }
}

static Document *
heap_of(guint devices)
{
  g_autoptr(GRand) random = g_rand_new_with_seed(SEED);
  Document *document = document_new(parts_catalog());
  place_at_random(document, devices, random);
  Change *change = change_new("Land");
  for (guint i = 0; i < (guint)(devices * CONDUCTORS_PER_DEVICE);) {
    const Device *a = any_device(document, random), *b = any_device(document, random);
    gint s = (gint)device_terminal_count(a), t = (gint)device_terminal_count(b);
    if (s == 0 || t == 0 || a == b)
      continue;
    const char *from = device_terminal(a, (guint)g_rand_int_range(random, 0, s))->name;
    const char *to = device_terminal(b, (guint)g_rand_int_range(random, 0, t))->name;
    g_autoptr(Conductor) conductor = conductor_new(a->id, from, b->id, to);
    g_autofree char *number = g_strdup_printf("%u", ++i);
    if (!conductor_set(conductor, "number", number, NULL))
      g_error("a conductor could not be numbered");
    change_conductor(change, NULL, conductor);
  }
  if (!document_apply(document, change, NULL))
    g_error("the conductors could not be landed");
  return document;
}

static int
compare_doubles(const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

static void
measure(const char *name, Document *document)
{
  g_autoptr(GRand) random = g_rand_new_with_seed(SEED + 1);
  g_autoptr(FigureCache) cache = figure_cache_new();
  double start = now_ms();
  figure_cache_update(cache, document);
  double anew = now_ms() - start;
  double took[DRAGS * STEPS];
  guint n = 0;
  for (guint drag = 0; drag < DRAGS; drag++) {
    g_autofree char *id = g_strdup(any_device(document, random)->id);
    const char *const ids[] = {id, NULL};
    double angle = g_rand_double_range(random, 0, 2 * G_PI);
    for (guint step = 0; step < STEPS; step++) {
      /* Away and back again, so that a heap stays a heap. */
      double along = (step < STEPS / 2 ? 1 : -1) * 3 * GRID_STEP_MM;
      Point by = point_snap((Point){along * cos(angle), along * sin(angle)});
      if (!document_apply(document, edit_move(document, ids, by), NULL))
        g_error("%s could not be moved", id);
      start = now_ms();
      figure_cache_update(cache, document);
      took[n++] = now_ms() - start;
    }
  }
  qsort(took, n, sizeof *took, compare_doubles);
  printf("%-16s %8u %11u %10.2f %10.2f %10.2f %10.2f\n", name, document_device_count(document),
         document_conductor_count(document), anew, took[n / 2], took[n * 95 / 100], took[n - 1]);
}

int
main(int argc, char **argv)
{
  setvbuf(stdout, NULL, _IOLBF, 0);
  printf("milliseconds: everything anew, then an update after one device moved\n");
  printf("%-16s %8s %11s %10s %10s %10s %10s\n", "sheet", "devices", "conductors", "anew", "median",
         "95 of 100", "longest");
  static const guint heaps[] = {16, 40, 200}, rows[] = {40, 200, 10000};
  if (argc > 1) {
    g_autoptr(Document) document = heap_of((guint)atoi(argv[1]));
    measure("crowded heap", document);
    return 0;
  }
  for (guint i = 0; i < G_N_ELEMENTS(heaps); i++) {
    g_autoptr(Document) document = heap_of(heaps[i]);
    measure("crowded heap", document);
  }
  for (guint i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autoptr(Document) document = greenhouse_rows(parts_catalog(), rows[i]);
    measure("tidy rows", document);
  }
  return 0;
}
