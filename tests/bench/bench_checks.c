/* SPDX-License-Identifier: MIT */
/* What all checks cost, without the circuit and its solutions that they are given: against the
 * solve, by number of devices. Figures are the smallest of several runs in this process; nothing is
 * asserted. Two kinds of sheet: sound ones, and ones with something wrong in every bay. */
#include "checks/remedy.h"
#include "checks/survey.h"
#include "diagram/edit.h"
#include "greenhouse_rows.h"
#include "parts/catalog.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  double build, solve, check; /* milliseconds */
  guint findings;
  const char *slowest;
  double survey, slowest_took;
} Cost;

typedef struct {
  double survey, took; /* of the last run */
  const char *name;
} Slowest;

static double
since(gint64 *start)
{
  gint64 now = g_get_monotonic_time();
  double took = (double)(now - *start) / 1000.0;
  *start = g_get_monotonic_time();
  return took;
}

/* All checks on what inspection_new has prepared. */
static guint
run_checks(const Inspection *inspection, Slowest *slowest)
{
  gint64 start = g_get_monotonic_time();
  g_autoptr(GPtrArray) findings = g_ptr_array_new_with_free_func((GDestroyNotify)finding_free);
  g_autoptr(GHashTable) remedies = remedy_table_new();
  CheckContext context = {.document = inspection->document,
                          .circuit = inspection->circuit,
                          .solution = inspection->solution,
                          .closed_circuit = inspection->closed_circuit,
                          .closed_solution = inspection->closed_solution,
                          .closed_partly = inspection->closed_partly,
                          .working_solution = inspection->working_solution,
                          .findings = findings,
                          .remedies = remedies};
  g_autoptr(Survey) survey = survey_new(&context);
  context.survey = survey;
  slowest->survey = since(&start);
  for (const Check *check = checks_table; check->name != NULL; check++) {
    check->run(check, &context);
    double took = since(&start);
    if (took > slowest->took) {
      slowest->took = took;
      slowest->name = check->name;
    }
  }
  return findings->len;
}

static void
keep(double *best, double took)
{
  if (*best == 0 || took < *best)
    *best = took;
}

static Cost
measure(const Document *document, guint runs)
{
  Cost best = {0};
  g_autoptr(Inspection) inspection = inspection_new(document);
  for (guint run = 0; run < runs; run++) {
    gint64 start = g_get_monotonic_time();
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    keep(&best.build, since(&start));
    g_autoptr(Solution) solution = solution_new(circuit, NULL);
    keep(&best.solve, since(&start));
    if (!solution)
      g_error("the bench's own sheet cannot be solved");
    Slowest slowest = {0};
    best.findings = run_checks(inspection, &slowest);
    keep(&best.check, since(&start));
    keep(&best.survey, slowest.survey);
    best.slowest = slowest.name;
    best.slowest_took = slowest.took;
  }
  return best;
}

/* Every fuse too large, every conductor too thin: two findings and more in every bay. */
static Document *
spoiled(guint devices)
{
  Document *document = greenhouse_rows(parts_catalog(), devices);
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    if (device->kind->role == ROLE_FUSE)
      document_apply(document, edit_set_field(document, device->id, "rating", "400 A", NULL), NULL);
  }
  for (guint i = 0; i < document_conductor_count(document); i++) {
    guint32 key = document_conductor(document, i)->key;
    document_apply(document, edit_set_conductor_field(document, key, "gauge", "18 AWG", NULL),
                   NULL);
  }
  return document;
}

static void
report(const char *title, Document *(*make)(guint devices))
{
  static const guint sizes[] = {20, 200, 2000, 20000};
  Cost costs[G_N_ELEMENTS(sizes)];
  printf("%s\n%8s %10s %10s %10s %10s %10s\n", title, "devices", "build", "solve", "checks",
         "findings", "growth");
  for (guint i = 0; i < G_N_ELEMENTS(sizes); i++) {
    g_autoptr(Document) document = make(sizes[i]);
    costs[i] = measure(document, sizes[i] >= 20000 ? 2 : sizes[i] >= 2000 ? 5 : 20);
    printf("%8u %10.3f %10.3f %10.3f %10u", sizes[i], costs[i].build, costs[i].solve,
           costs[i].check, costs[i].findings);
    if (i > 0)
      printf(" %10.2f",
             log(costs[i].check / costs[i - 1].check) / log((double)sizes[i] / sizes[i - 1]));
    printf("   survey %.3f, slowest %s %.3f\n", costs[i].survey, costs[i].slowest,
           costs[i].slowest_took);
  }
  printf("checks on 200 devices over solve on 2000: %.2f (target: below 1)\n\n",
         costs[1].check / costs[2].solve);
}

static Document *
sound(guint devices)
{
  return greenhouse_rows(parts_catalog(), devices);
}

int
main(void)
{
  setvbuf(stdout, NULL, _IOLBF, 0);
  printf(
      "milliseconds, smallest of several runs; growth is the exponent of checks by devices, 1 is "
      "linear\n\n");
  report("sound sheets", sound);
  report("400 A fuses and 18 AWG everywhere", spoiled);
  return 0;
}
