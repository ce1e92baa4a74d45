/* SPDX-License-Identifier: MIT */
/* A student sheet gives nothing away: for every fault of the catalogue at a place of several
 * samples, neither what is drawn nor what a file carries beside it says what was done, where, what
 * is found or what is computed. Faults that only a meter finds leave no trace at all. */
#include "diagram/document_file.h"
#include "handout/student.h"
#include "set.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const char *const samples[] = {"pump-208", "fan-480", "lesson-taps", "lesson-protection",
                                      "lesson-grounding"};

/* The student's document of one version; without its own symptom and difficulty where `plain`, so
 * that versions can be compared. */
static Document *
exercise_of(const Master *master, const Deal *deal, const DealtVersion *version, bool plain)
{
  GError *error = NULL;
  DealtVersion it = *version;
  if (plain) {
    it.symptom = (char *)"Something is wrong.";
    it.difficulty = FAULT_EASY;
  }
  Document *exercise = deal_exercise_document(deal, &it, master->scene, NULL, &error);
  if (exercise == NULL)
    fail_msg("%s", error->message);
  return exercise;
}

static char *
student_svg(const Master *master, const Deal *deal, const DealtVersion *version, bool plain)
{
  GError *error = NULL;
  const SheetOptions options = {.date = "2026-11-25", .language = "en"};
  g_autoptr(Document) exercise = exercise_of(master, deal, version, plain);
  g_autoptr(Document) seen = seen_version(deal, version, master->scene, exercise, &error);
  if (seen == NULL)
    fail_msg("%s", error->message);
  g_autoptr(Sheet) sheet = student_sheet_compose(seen, &options, &error);
  if (sheet == NULL)
    fail_msg("%s", error->message);
  g_autoptr(GBytes) bytes = sheet_export(sheet, SHEET_SVG, 0, &error);
  if (bytes == NULL)
    fail_msg("%s", error->message);
  gsize size = 0;
  const char *data = g_bytes_get_data(bytes, &size);
  return g_strndup(data, size);
}

/* Sentences are looked for whole in the document's text alternative and by what fits on a line. */
static void
lacks(const char *text, const char *what, const Fault *fault, const char *sample)
{
  if (*what != '\0' && strstr(text, what) != NULL)
    fail_msg("%s with %s: the student sheet says \"%s\"", sample, fault->name, what);
}

static void
check_version(const Master *master, const Deal *deal, const DealtVersion *version,
              const char *sample)
{
  const DealtFault *dealt = version->faults->pdata[0];
  g_autofree char *svg = student_svg(master, deal, version, false);
  g_autoptr(Document) exercise = exercise_of(master, deal, version, false);
  g_autoptr(Inspection) faulty = inspection_new(exercise);

  lacks(svg, dealt->fault->name, dealt->fault, sample);
  lacks(svg, dealt->fault->check, dealt->fault, sample);
  lacks(svg, dealt->fault->title, dealt->fault, sample);
  lacks(svg, "urn:doorsheet", dealt->fault, sample);
  lacks(svg, "device-", dealt->fault, sample);
  lacks(svg, "broken", dealt->fault, sample);
  lacks(svg, "blown", dealt->fault, sample);
  for (guint i = 0; i < faulty->findings->len; i++) {
    const Finding *finding = faulty->findings->pdata[i];
    lacks(svg, finding->message, dealt->fault, sample);
    lacks(svg, finding->title, dealt->fault, sample);
  }
  g_autoptr(GBytes) file = document_write_memory(exercise);
  g_autofree char *text = g_strndup(g_bytes_get_data(file, NULL), g_bytes_get_size(file));
  lacks(text, dealt->fault->name, dealt->fault, sample);
  lacks(text, dealt->fault->title, dealt->fault, sample);
  lacks(text, "expected-fault", dealt->fault, sample);
}

static void
nothing_is_given_away(void **state)
{
  (void)state;
  guint versions = 0;

  for (gsize s = 0; s < G_N_ELEMENTS(samples); s++) {
    Master master = master_open(samples[s]);
    for (guint f = 0; f < fault_count(); f++) {
      Deal deal;
      g_autoptr(DealtVersion) version = master_version(&master, fault_at(f), &deal);
      if (version == NULL)
        continue;
      check_version(&master, &deal, version, samples[s]);
      versions++;
    }
    master_close(&master);
  }
  g_print("%u versions\n", versions);
  assert_true(versions > 100);
}

/* Two versions whose faults only a meter finds look the same to the last byte. */
static void
hidden_faults_leave_no_trace(void **state)
{
  (void)state;
  guint compared = 0;

  for (gsize s = 0; s < G_N_ELEMENTS(samples); s++) {
    Master master = master_open(samples[s]);
    g_autofree char *first = NULL;
    for (guint f = 0; f < fault_count(); f++) {
      Deal deal;
      if (seen_fault(fault_at(f)))
        continue;
      g_autoptr(DealtVersion) version = master_version(&master, fault_at(f), &deal);
      if (version == NULL)
        continue;
      g_autofree char *svg = student_svg(&master, &deal, version, true);
      if (first == NULL) {
        first = g_steal_pointer(&svg);
        continue;
      }
      compared++;
      if (strcmp(first, svg) != 0)
        fail_msg("%s with %s: the student sheet differs", samples[s], fault_at(f)->name);
    }
    master_close(&master);
  }
  g_print("%u compared\n", compared);
  assert_true(compared > 10);
}

/* The sheet has room for everything the exercise asks for. */
static void
has_room_for_answers(void **state)
{
  (void)state;
  Master master = master_open("pump-208");
  Deal deal;
  g_autoptr(DealtVersion) version = master_version(&master, fault_find("lead-left-open"), &deal);
  assert_non_null(version);
  g_autofree char *svg = student_svg(&master, &deal, version, false);
  static const char *const wanted[] = {"Version 1",         "Your answer",
                                       "Points to measure", "Student",
                                       "Order of work",     "never for use on real equipment"};
  for (gsize i = 0; i < G_N_ELEMENTS(wanted); i++)
    if (strstr(svg, wanted[i]) == NULL)
      fail_msg("no \"%s\" on the student sheet", wanted[i]);
  master_close(&master);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nothing_is_given_away),
      cmocka_unit_test(hidden_faults_leave_no_trace),
      cmocka_unit_test(has_room_for_answers),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
