/* SPDX-License-Identifier: MIT */
/* What is not computed again is what computing would give: shortcuts of the evidence against the
 * bench and the meter, for every fault of every sound sample. */
#include "../checks/edit_script.h"

#include "diagram/document_file.h"
#include "parts/catalog.h"
#include "quiz/bench.h"
#include "quiz/difference.h"
#include "solve/meter.h"

#include <math.h>
#include <string.h>

static const char *const samples[] = {
    "controller-600", "damper-480",  "fan-480",           "heater-240",
    "lamp-high-leg",  "lesson-taps", "lesson-protection", "pump-208",
    "sensor-208",     "uv-480",      "vent-400",          "lesson-grounding",
};

typedef struct {
  Document *document;
  Inspection *sound;
  FaultScene *scene;
} Master;

static Master
open_master(const char *name)
{
  g_autofree char *file = g_strconcat(name, ".doorsheet", NULL);
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", file, NULL);
  g_autoptr(GError) error = NULL;
  Document *document = document_read(path, parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  Inspection *sound = inspection_new(document);
  return (Master){document, sound, fault_scene_new(sound)};
}

static void
close_master(Master *master)
{
  fault_scene_free(master->scene);
  inspection_free(master->sound);
  document_free(master->document);
}

static Document *
faulty_of(const Master *master, const EvidenceRow *row)
{
  Document *faulty = document_snapshot(master->document);
  Change *change = fault_change(row->fault, master->scene, row->place);
  assert_true(document_apply(faulty, change, NULL));
  return faulty;
}

static guint32
look_again(const Master *master, const Document *faulty, const EvidencePoint *point)
{
  if (point->way == EVIDENCE_LOOK_DEVICE) {
    const char *id = document_device(master->document, point->index)->id;
    return look_at_device(faulty, (guint)document_device_index(faulty, id));
  }
  const guint32 key = document_conductor(master->document, point->index)->key;
  for (guint i = 0; i < document_conductor_count(faulty); i++)
    if (document_conductor(faulty, i)->key == key)
      return look_at_conductor(faulty, i);
  return LOOK_GONE;
}

static EvidenceCell
read_again(const Bench *bench, const EvidencePoint *point)
{
  switch (point->way) {
  case EVIDENCE_VOLTS:
    return bench_volts(bench, point->a, point->b);
  case EVIDENCE_DEAD:
    return bench_dead(bench, point->a, point->b);
  case EVIDENCE_OHMS:
    return bench_ohms(bench, point->a, point->b);
  default:
    return bench_amps(bench, point->index);
  }
}

static void
assert_row_is_true(const Master *master, const Evidence *evidence, const EvidenceRow *row,
                   guint *spared)
{
  g_autoptr(Document) faulty = faulty_of(master, row);
  Difference difference;
  Bench bench = {0};
  difference_init(&difference, master->document, faulty);
  if (!difference.electrical) {
    assert_true(bench_energize(&bench, faulty, NULL) && bench_lock_out(&bench, NULL));
    bench_clamp(&bench);
    ++*spared;
  }
  for (guint p = 0; p < evidence_point_count(evidence); p++) {
    const EvidencePoint *point = evidence_point(evidence, p);
    const EvidenceCell *cell = &row->cells[p];
    if (evidence_is_look(point->way)) {
      if (row->solved && cell->look != look_again(master, faulty, point))
        fail_msg("%s at %s: %s looks other", row->fault->name, row->place->name, point->name);
    } else if (!difference.electrical) {
      /* Devices and conductors are in their places: so are the nodes. */
      EvidenceCell again = read_again(&bench, point);
      if (cell->state != again.state || fabsf(cell->value - again.value) > 1e-6f * again.value)
        fail_msg("%s at %s: %s reads other", row->fault->name, row->place->name, point->name);
    }
  }
  bench_clear(&bench);
  difference_clear(&difference);
}

static void
what_is_spared_is_the_same(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(samples); i++) {
    Master master = open_master(samples[i]);
    g_autoptr(Evidence) evidence = evidence_new(master.scene, NULL, NULL);
    guint spared = 0;
    assert_non_null(evidence);
    for (guint r = 0; r < evidence_row_count(evidence); r++)
      assert_row_is_true(&master, evidence, evidence_row(evidence, r), &spared);
    assert_true(spared > 0); /* numbers, colours, insulation */
    assert_true(spared < evidence_row_count(evidence));
    close_master(&master);
  }
}

/* One factored network against one solution for each pair, in the sound diagram and with a fault of
 * every kind. */
static void
compare_ohms(const Document *document, guint *compared)
{
  Bench bench = {0};
  if (bench_energize(&bench, document, NULL) && bench_lock_out(&bench, NULL)) {
    const guint n = bench.locked_circuit->n_nodes;
    for (guint a = 0; a < n; a += 3)
      for (guint b = a + 1; b < n; b += 5) {
        MeterReading reading;
        EvidenceCell cell = bench_ohms(&bench, a, b);
        assert_true(meter_ohms(bench.locked_circuit, bench.locked_solution, a, b, &reading, NULL));
        assert_int_equal(cell.state, reading.state);
        if (fabs((double)cell.value - reading.value) > 1e-5 * reading.value)
          fail_msg("node %u to %u: %g and %g ohm", a, b, (double)cell.value, reading.value);
        *compared += reading.state == METER_READS && reading.value > 0;
      }
  }
  bench_clear(&bench);
}

static void
ohms_of_many_pairs_are_the_meters(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(samples); i++) {
    Master master = open_master(samples[i]);
    guint compared = 0;
    compare_ohms(master.document, &compared);
    for (guint f = 0; f < fault_count(); f += 7) {
      g_autoptr(GPtrArray) places = fault_places(fault_at(f), master.scene);
      if (places->len == 0)
        continue;
      const EvidenceRow row = {.fault = fault_at(f), .place = places->pdata[0]};
      g_autoptr(Document) faulty = faulty_of(&master, &row);
      compare_ohms(faulty, &compared);
    }
    assert_true(compared > 20);
    close_master(&master);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(what_is_spared_is_the_same),
      cmocka_unit_test(ohms_of_many_pairs_are_the_meters),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
