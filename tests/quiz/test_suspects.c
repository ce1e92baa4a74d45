/* SPDX-License-Identifier: MIT */
/* Every fault at every place of the samples, its own readings typed in as measured: the suspects
 * have it, or one that reads the same everywhere it was measured, first. */
#include "../checks/edit_script.h"

#include "base/text.h"
#include "diagram/edit.h"
#include "matrix.h"
#include "quiz/suspects.h"

/* The volts of a row, as a technician would note them, into the document. False when nothing
 * disagrees with the sound diagram. */
static bool
note_readings(Document *document, const Evidence *evidence, const EvidenceRow *row)
{
  bool any = false;
  for (guint p = 0; p < evidence_point_count(evidence); p++) {
    const EvidencePoint *point = evidence_point(evidence, p);
    if (point->way != EVIDENCE_VOLTS)
      continue;
    g_auto(GStrv) names = g_strsplit(point->name, " to ", 2);
    Landing ends[2] = {{NULL, NULL}, {NULL, NULL}};
    for (int i = 0; i < 2; i++)
      if (strcmp(names[i], "GND") != 0)
        assert_true(text_split_terminal(names[i], &ends[i].device, &ends[i].terminal));
    g_autofree char *value = g_strdup_printf("%.1f V", (double)row->cells[p].value);
    g_autoptr(GError) error = NULL;
    Change *change = edit_set_measured(document, &ends[0], &ends[1], value, "2026-11-25", &error);
    if (change == NULL || !document_apply(document, change, &error))
      fail_msg("%s", error->message);
    landing_clear(&ends[0]);
    landing_clear(&ends[1]);
    any = any || evidence_differs(&row->cells[p], &evidence_sound(evidence)[p]);
  }
  return any;
}

/* Reads the same wherever volts were measured. */
static bool
same_volts(const Evidence *evidence, const EvidenceRow *a, const EvidenceRow *b)
{
  for (guint p = 0; p < evidence_point_count(evidence); p++)
    if (evidence_point(evidence, p)->way == EVIDENCE_VOLTS &&
        evidence_differs(&a->cells[p], &b->cells[p]))
      return false;
  return true;
}

typedef struct {
  guint tried, first, among, agreeing;
  guint ties; /* a fault in the panel and one on paper explain as much */
} Tally;

/* Where both explain as much, what is in the panel stands before what is on paper. */
static void
panel_before_paper(const GPtrArray *suspects, Tally *tally)
{
  for (guint i = 1; i < suspects->len; i++) {
    const Suspect *one = g_ptr_array_index(suspects, i - 1), *two = g_ptr_array_index(suspects, i);
    bool before = suspects_on_paper(one->fault), after = suspects_on_paper(two->fault);
    if (one->explained != two->explained || one->contradicted != two->contradicted)
      continue;
    if (before && !after)
      fail_msg("%s stands before %s", one->fault->name, two->fault->name);
    tally->ties += !before && after;
  }
}

/* A sentence: capital, stop, volts as somebody would read them out. */
static void
reads_well(const char *sentence)
{
  assert_true(g_str_has_prefix(sentence, "Would make "));
  assert_true(g_str_has_suffix(sentence, "."));
  for (const char *at = strstr(sentence, " V"); at != NULL; at = strstr(at + 1, " V")) {
    const char *digits = at;
    while (digits > sentence && (g_ascii_isdigit(digits[-1]) || digits[-1] == '.'))
      digits--;
    const char *dot = memchr(digits, '.', (gsize)(at - digits));
    if (dot != NULL && at - dot > 2)
      fail_msg("\"%s\" has more digits than a meter shows", sentence);
  }
}

static void
try_sheet(Document *document, Tally *tally)
{
  g_autoptr(Inspection) sound = inspection_new(document);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  g_autoptr(Evidence) evidence = evidence_new(scene, NULL, NULL);
  assert_non_null(evidence);
  for (guint r = 0; r < evidence_row_count(evidence); r++) {
    const EvidenceRow *row = evidence_row(evidence, r);
    g_autoptr(Document) noted = document_snapshot(document);
    if (!note_readings(noted, evidence, row))
      continue;
    g_autoptr(Inspection) inspection = inspection_new(noted);
    g_autoptr(GError) error = NULL;
    g_autoptr(GPtrArray) suspects = suspects_rank(inspection, 50, NULL, &error);
    tally->tried++;
    if (suspects == NULL) { /* what drifts agrees with anything */
      assert_true(g_error_matches(error, SUSPECTS_ERROR, SUSPECTS_ERROR_AGREES));
      tally->agreeing++;
      continue;
    }
    panel_before_paper(suspects, tally);
    guint before = tally->among;
    for (guint i = 0; i < suspects->len; i++) {
      const Suspect *suspect = g_ptr_array_index(suspects, i);
      int found = evidence_find_row(evidence, suspect->fault->name, suspect->place);
      assert_true(found >= 0);
      reads_well(suspect->sentence);
      if (!same_volts(evidence, row, evidence_row(evidence, (guint)found)))
        continue;
      tally->first += i == 0;
      tally->among++;
      break;
    }
    if (tally->among == before)
      g_print("%s at %s is not listed; first of %u is %s\n", row->fault->name, row->place->name,
              suspects->len,
              suspects->len > 0 ? ((Suspect *)g_ptr_array_index(suspects, 0))->fault->name : "-");
  }
}

static void
test_own_readings(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  Tally tally = {0};
  for (guint i = 0; i < sheets.documents->len; i++)
    if (g_str_has_prefix(g_ptr_array_index(sheets.names, i), "samples/"))
      try_sheet(g_ptr_array_index(sheets.documents, i), &tally);
  sheets_clear(&sheets);
  g_print("%u faults with readings of their own: %u ranked first (%.2f %%), %u listed, %u agree, "
          "%u ties\n",
          tally.tried, tally.first, 100.0 * tally.first / tally.tried, tally.among, tally.agreeing,
          tally.ties);
  assert_true(tally.ties > 0);
  assert_true(tally.tried > 300);
  assert_true(tally.first * 100 >= tally.tried * 98);
}

static void
test_nothing_to_say(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(GError) error = NULL;
  if (document_measured_count(document) == 0) {
    assert_null(suspects_rank(inspection, 5, NULL, &error));
    assert_true(g_error_matches(error, SUSPECTS_ERROR, SUSPECTS_ERROR_NO_READINGS));
    assert_int_equal(suspects_mismatches(inspection), 0);
  }
  g_autoptr(FaultScene) scene = fault_scene_new(inspection);
  g_autoptr(Evidence) evidence = evidence_new(scene, NULL, NULL);
  EvidenceRow sound = {.cells = evidence_sound(evidence)};
  g_autoptr(Document) noted = document_snapshot(document);
  assert_false(note_readings(noted, evidence, &sound));
  g_autoptr(Inspection) agreeing = inspection_new(noted);
  g_autoptr(GError) agrees = NULL;
  assert_null(suspects_rank(agreeing, 5, NULL, &agrees));
  assert_true(g_error_matches(agrees, SUSPECTS_ERROR, SUSPECTS_ERROR_AGREES));
  g_autoptr(Document) wrong = document_snapshot(noted);
  const Measured *before = document_measured(wrong, 0);
  assert_true(document_apply(
      wrong, edit_set_measured(wrong, &before->a, &before->b, "3 V", "2026-11-25", NULL), NULL));
  g_autoptr(Inspection) mismatched = inspection_new(wrong);
  assert_int_equal(suspects_mismatches(mismatched), 1);
  g_autoptr(GCancellable) cancellable = g_cancellable_new();
  g_cancellable_cancel(cancellable);
  g_autoptr(GError) cancelled = NULL;
  assert_null(suspects_rank(mismatched, 5, cancellable, &cancelled));
  assert_true(g_error_matches(cancelled, G_IO_ERROR, G_IO_ERROR_CANCELLED));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_nothing_to_say),
      cmocka_unit_test(test_own_readings),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
