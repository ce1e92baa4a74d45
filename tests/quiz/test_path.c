/* SPDX-License-Identifier: MIT */
/* Evidence and measuring paths against brute force that shares no code with them: uniqueness by
 * comparing every pair of faults, and paths by trying every smaller set of measurements. */
#include "../checks/edit_script.h"

#include "quiz/path.h"

#include <math.h>

/* The bounds of evidence.h, written out once more. */
static bool
apart(const EvidenceCell *a, const EvidenceCell *b)
{
  if (a->unit == UNIT_NONE)
    return a->look != b->look;
  bool figure_a =
      a->state == METER_READS || a->state == METER_DRIFTS || a->state == METER_SATURATED;
  bool figure_b =
      b->state == METER_READS || b->state == METER_DRIFTS || b->state == METER_SATURATED;
  if (!figure_a || !figure_b)
    return a->state != b->state;
  double large = a->value > b->value ? (double)a->value : (double)b->value;
  double share = a->unit == UNIT_VOLT ? 0.03 : a->unit == UNIT_AMPERE ? 0.10 : 0.30;
  double least = a->unit == UNIT_AMPERE ? 0.1 : 0.5;
  bool saturated = a->state == METER_SATURATED || b->state == METER_SATURATED;
  if (saturated)
    share = 0.5;
  double bound = share * large > least ? share * large : least;
  return fabs((double)a->value - (double)b->value) > bound;
}

static bool
is_look(const Evidence *evidence, guint point)
{
  EvidenceWay way = evidence_point(evidence, point)->way;
  return way == EVIDENCE_LOOK_DEVICE || way == EVIDENCE_LOOK_CONDUCTOR;
}

/* Cells of row r, or of the sound diagram behind the last. */
static const EvidenceCell *
cells_of(const Evidence *evidence, guint r)
{
  return r < evidence_row_count(evidence) ? evidence_row(evidence, r)->cells
                                          : evidence_sound(evidence);
}

/* Whether the points of the set tell all that is to be told of row r from it by measuring. */
static bool
set_tells(const Evidence *evidence, guint r, const guint *set, guint n)
{
  guint points = evidence_point_count(evidence);
  const EvidenceRow *own = evidence_row(evidence, r);
  for (guint k = 0; k <= evidence_row_count(evidence); k++) {
    const EvidenceCell *other = cells_of(evidence, k);
    bool can = false, does = false;
    if (k < evidence_row_count(evidence) && evidence_row(evidence, k)->answer == own->answer)
      continue;
    for (guint p = 0; p < points && !can; p++)
      can = !is_look(evidence, p) && apart(&own->cells[p], &other[p]);
    for (guint i = 0; i < n && !does; i++)
      does = apart(&own->cells[set[i]], &other[set[i]]);
    if (can && !does)
      return false;
  }
  return true;
}

/* Any set of `n` measurements, n at most 2, that tells it. */
static bool
smaller_set(const Evidence *evidence, guint r, guint n)
{
  guint points = 0;
  while (points < evidence_point_count(evidence) && !is_look(evidence, points))
    points++;
  if (n == 0)
    return set_tells(evidence, r, NULL, 0);
  for (guint a = 0; a < points; a++)
    for (guint b = n == 1 ? a : a + 1; b < (n == 1 ? a + 1 : points); b++)
      if (set_tells(evidence, r, (const guint[]){a, b}, n))
        return true;
  return false;
}

static void
try_sheet(const char *name)
{
  g_autoptr(Document) document = script_open("samples", name);
  g_autoptr(Inspection) sound = inspection_new(document);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  g_autoptr(Evidence) evidence = evidence_new(scene, NULL, NULL);
  guint unique = 0, exact = 0, proven = 0, rows = evidence_row_count(evidence);
  guint lengths[8] = {0};
  for (guint r = 0; r < rows; r++) {
    const EvidenceRow *row = evidence_row(evidence, r);
    g_autoptr(MeasuringPath) path = path_find(evidence, row->cells, row->answer);
    bool alike = false;
    for (guint k = 0; k <= rows; k++) {
      bool told = k < rows && evidence_row(evidence, k)->answer == row->answer;
      for (guint p = 0; p < evidence_point_count(evidence) && !told; p++)
        told = apart(&row->cells[p], &cells_of(evidence, k)[p]);
      alike = alike || !told;
    }
    assert_int_equal(alike, path->same->len > 0);
    unique += !alike;
    exact += path->exact;
    lengths[MIN(path->steps->len, 7)]++;
    if (path->measurements == 0)
      continue;
    guint set[64];
    for (guint i = 0; i < path->measurements; i++)
      set[i] = g_array_index(path->steps, PathStep, i).point;
    assert_true(set_tells(evidence, r, set, path->measurements));
    if (path->exact && path->measurements <= 3) {
      assert_false(smaller_set(evidence, r, path->measurements - 1));
      proven++;
    }
  }
  g_print("%s: %u of %u unique, %u paths exact, %u held against brute force; lengths", name, unique,
          rows, exact, proven);
  for (guint i = 0; i < 8; i++)
    g_print(" %u", lengths[i]);
  g_print("\n");
  assert_true(unique * 100 >= rows * 95);
  assert_true(proven > 0);
}

static void
test_brute_force(void **state)
{
  (void)state;
  try_sheet("sensor-208");
  try_sheet("pump-208");
  try_sheet("vent-400");
}

static const struct {
  EvidenceCell a, b;
  bool differ;
} bounds[] = {
    {{METER_READS, UNIT_VOLT, 120, 0}, {METER_READS, UNIT_VOLT, 117, 0}, false},
    {{METER_READS, UNIT_VOLT, 120, 0}, {METER_READS, UNIT_VOLT, 116, 0}, true},
    {{METER_READS, UNIT_VOLT, 0, 0}, {METER_READS, UNIT_VOLT, 0.4f, 0}, false},
    {{METER_DRIFTS, UNIT_VOLT, 0, 0}, {METER_READS, UNIT_VOLT, 0, 0}, false},
    {{METER_DRIFTS, UNIT_VOLT, 0, 0}, {METER_READS, UNIT_VOLT, 24, 0}, true},
    {{METER_SATURATED, UNIT_VOLT, 50, 0}, {METER_READS, UNIT_VOLT, 30, 0}, false},
    {{METER_SATURATED, UNIT_VOLT, 50, 0}, {METER_READS, UNIT_VOLT, 20, 0}, true},
    {{METER_OPEN, UNIT_OHM, 0, 0}, {METER_READS, UNIT_OHM, 0, 0}, true},
    {{METER_OPEN, UNIT_OHM, 0, 0}, {METER_OPEN, UNIT_OHM, 0, 0}, false},
    {{METER_REFUSED, UNIT_OHM, 0, 0}, {METER_OPEN, UNIT_OHM, 0, 0}, true},
    {{METER_READS, UNIT_OHM, 100, 0}, {METER_READS, UNIT_OHM, 75, 0}, false},
    {{METER_READS, UNIT_OHM, 100, 0}, {METER_READS, UNIT_OHM, 65, 0}, true},
    {{METER_READS, UNIT_AMPERE, 0, 0}, {METER_READS, UNIT_AMPERE, 0.09f, 0}, false},
    {{METER_READS, UNIT_AMPERE, 0, 0}, {METER_READS, UNIT_AMPERE, 0.2f, 0}, true},
    {{.unit = UNIT_NONE, .look = 4}, {.unit = UNIT_NONE, .look = 4}, false},
    {{.unit = UNIT_NONE, .look = 4}, {.unit = UNIT_NONE, .look = 5}, true},
};

static void
test_bounds(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(bounds); i++) {
    assert_int_equal(evidence_differs(&bounds[i].a, &bounds[i].b), bounds[i].differ);
    assert_int_equal(evidence_differs(&bounds[i].b, &bounds[i].a), bounds[i].differ);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_bounds),
      cmocka_unit_test(test_brute_force),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
