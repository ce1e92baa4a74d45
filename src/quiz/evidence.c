/* SPDX-License-Identifier: MIT */
#include "quiz/evidence.h"

#include "base/language.h"
#include "diagram/document_file.h"
#include "quiz/bench.h"
#include "quiz/difference.h"
#include "quiz/site.h"
#include "solve/expected.h"

#include <math.h>

struct Evidence {
  const FaultScene *scene;
  GArray *points;    /* of EvidencePoint */
  GArray *rows;      /* of EvidenceRow */
  GPtrArray *places; /* of GPtrArray of FaultPlace *: keeps them */
  EvidenceCell *sound;
  GHashTable *answers; /* digest of a faulty diagram -> answer + 1; only while it is made */
};

static const struct {
  const char *word;
  bool look;
} ways[EVIDENCE_WAY_COUNT] = {
    [EVIDENCE_VOLTS] = {"volts", false},       [EVIDENCE_AMPS] = {"amps", false},
    [EVIDENCE_DEAD] = {"dead", false},         [EVIDENCE_OHMS] = {"ohms", false},
    [EVIDENCE_LOOK_DEVICE] = {"device", true}, [EVIDENCE_LOOK_CONDUCTOR] = {"conductor", true},
};

const char *
evidence_way_word(EvidenceWay way)
{
  return way < EVIDENCE_WAY_COUNT ? ways[way].word : "";
}

bool
evidence_is_look(EvidenceWay way)
{
  return way < EVIDENCE_WAY_COUNT && ways[way].look;
}

/* --- telling cells apart --- */

static bool
beyond(double a, double b, double share, double least)
{
  double larger = fmax(fabs(a), fabs(b));
  return fabs(a - b) > fmax(share * larger, least);
}

static bool
figures_differ(const EvidenceCell *a, const EvidenceCell *b)
{
  bool saturated = a->state == METER_SATURATED || b->state == METER_SATURATED;
  if (a->unit == UNIT_VOLT)
    return beyond(a->value, b->value, saturated ? EVIDENCE_SATURATED_SHARE : EVIDENCE_VOLTS_SHARE,
                  EVIDENCE_VOLTS_LEAST);
  if (a->unit == UNIT_AMPERE)
    return beyond(a->value, b->value, saturated ? EVIDENCE_SATURATED_SHARE : EVIDENCE_AMPS_SHARE,
                  EVIDENCE_AMPS_LEAST);
  return beyond(a->value, b->value, EVIDENCE_OHMS_SHARE, EVIDENCE_OHMS_LEAST);
}

/* Open, overrange and refused are no figures: they differ from every figure and from one another.
 * What drifts is loaded down to 0 V. */
static bool
is_figure(const EvidenceCell *cell)
{
  return cell->state == METER_READS || cell->state == METER_SATURATED ||
         cell->state == METER_DRIFTS || cell->state == METER_GHOST;
}

bool
evidence_differs(const EvidenceCell *a, const EvidenceCell *b)
{
  if (a->unit == UNIT_NONE)
    return a->look != b->look;
  if (!is_figure(a) || !is_figure(b))
    return a->state != b->state;
  return figures_differ(a, b);
}

char *
evidence_cell_text(const EvidenceCell *cell)
{
  if (cell->unit == UNIT_NONE)
    return g_strdup("");
  if (cell->unit == UNIT_OHM && cell->state == METER_REFUSED)
    return g_strdup(_("no ohms, it is live"));
  MeterReading reading = {.state = cell->state, .unit = cell->unit, .value = (double)cell->value};
  if (cell->state == METER_DRIFTS || cell->state == METER_GHOST) {
    reading.state = METER_READS; /* the low-impedance range */
    reading.value = 0;
  }
  if (reading.state == METER_READS && reading.unit == UNIT_VOLT &&
      reading.value < EXPECTED_ZERO_VOLTS)
    reading.value = 0;
  return meter_reading_text(&reading);
}

bool
evidence_told(const Evidence *evidence, const EvidenceCell *a, const EvidenceCell *b, bool looks)
{
  for (guint p = 0; p < evidence->points->len; p++) {
    if (!looks && evidence_is_look(evidence_point(evidence, p)->way))
      continue;
    if (evidence_differs(&a[p], &b[p]))
      return true;
  }
  return false;
}

/* --- points --- */

static void
point_clear(gpointer data)
{
  g_free(((EvidencePoint *)data)->name);
}

static void
add_pair(Evidence *evidence, EvidenceWay way, guint a, guint b)
{
  const Circuit *circuit = evidence->scene->sound->circuit;
  g_autofree char *one = circuit_node_name(circuit, a);
  g_autofree char *two = circuit_node_name(circuit, b);
  EvidencePoint point = {way, a, b, G_MAXUINT, g_strdup_printf("%s to %s", one, two)};
  g_array_append_val(evidence->points, point);
}

static void
add_index(Evidence *evidence, EvidenceWay way, guint index)
{
  const Document *document = evidence->scene->document;
  EvidencePoint point = {way, G_MAXUINT, G_MAXUINT, index, NULL};
  point.name = way == EVIDENCE_LOOK_DEVICE
                   ? g_strdup(device_designation(document_device(document, index)))
                   : conductor_dup_name(document_conductor(document, index));
  g_array_append_val(evidence->points, point);
}

static void
add_new_pair(Evidence *evidence, EvidenceWay way, guint a, guint b, GHashTable *seen)
{
  gint64 pair = (gint64)((guint64)MIN(a, b) << 32 | MAX(a, b));
  if (a != G_MAXUINT && b != G_MAXUINT && g_hash_table_add(seen, g_memdup2(&pair, sizeof pair)))
    add_pair(evidence, way, a, b);
}

/* Between the points of the readings, and along each conductor where `along`. */
static void
add_pairs(Evidence *evidence, EvidenceWay way, const GArray *readings, bool along)
{
  const Circuit *circuit = evidence->scene->sound->circuit;
  const Document *document = evidence->scene->document;
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_int64_hash, g_int64_equal, g_free, NULL);
  for (guint i = 0; i < readings->len; i++)
    add_new_pair(evidence, way, g_array_index(readings, ExpectedReading, i).a,
                 g_array_index(readings, ExpectedReading, i).b, seen);
  for (guint i = 0; along && i < document_conductor_count(document); i++)
    add_new_pair(evidence, way,
                 circuit_node_of_landing(circuit, &document_conductor(document, i)->from),
                 circuit_node_of_landing(circuit, &document_conductor(document, i)->to), seen);
}

/* Pinned test points are the instructor's and no student's sheet carries them: they are no part of
 * what is offered. */
static GArray *
readings_of(const FaultScene *scene, GError **error)
{
  g_autoptr(Document) bare = document_snapshot(scene->document);
  Change *change = change_new(_("Without readings"));
  for (guint i = 0; i < document_measured_count(bare); i++)
    change_measured(change, document_measured(bare, i), NULL);
  if (!document_apply(bare, change, error))
    return NULL;
  g_autoptr(Circuit) circuit = circuit_build(bare, NULL);
  g_autoptr(Solution) solution = solution_new(circuit, error);
  return solution != NULL ? expected_readings(circuit, solution, NULL, error) : NULL;
}

static bool
make_points(Evidence *evidence, GError **error)
{
  const Document *document = evidence->scene->document;
  g_autoptr(GArray) readings = readings_of(evidence->scene, error);
  if (readings == NULL)
    return false;
  add_pairs(evidence, EVIDENCE_VOLTS, readings, true);
  for (guint i = 0; i < document_conductor_count(document); i++)
    add_index(evidence, EVIDENCE_AMPS, i);
  add_pairs(evidence, EVIDENCE_DEAD, readings, false);
  add_pairs(evidence, EVIDENCE_OHMS, readings, true);
  for (guint i = 0; i < document_device_count(document); i++)
    add_index(evidence, EVIDENCE_LOOK_DEVICE, i);
  for (guint i = 0; i < document_conductor_count(document); i++)
    add_index(evidence, EVIDENCE_LOOK_CONDUCTOR, i);
  return true;
}

/* --- cells --- */

/* Nodes of a changed diagram by those of the sound one; G_MAXUINT: gone. */
static guint *
map_nodes(const Evidence *evidence, const Bench *bench)
{
  const FaultScene *scene = evidence->scene;
  const Circuit *sound = scene->sound->circuit;
  guint *nodes = g_new(guint, sound->n_nodes);
  nodes[0] = 0;
  for (guint node = 1; node < sound->n_nodes; node++) {
    const Device *device = document_device(scene->document, sound->places[node].device);
    const char *name = device_terminal(device, sound->places[node].terminal)->name;
    int there = document_device_index(bench->document, device->id);
    int terminal = there >= 0
                       ? device_terminal_index(document_device(bench->document, (guint)there), name)
                       : -1;
    nodes[node] =
        terminal >= 0 ? circuit_node(bench->circuit, (guint)there, (guint)terminal) : G_MAXUINT;
  }
  return nodes;
}

static guint32
look(const Evidence *evidence, const Document *document, const Difference *difference,
     const EvidencePoint *point)
{
  if (point->way == EVIDENCE_LOOK_CONDUCTOR) {
    guint index = difference->conductors[point->index];
    return index != G_MAXUINT ? look_at_conductor(document, index) : LOOK_GONE;
  }
  const Device *device = document_device(evidence->scene->document, point->index);
  int index = document_device_index(document, device->id);
  return index >= 0 ? look_at_device(document, (guint)index) : LOOK_GONE;
}

static void
fill_looks(const Evidence *evidence, const Document *document, const Difference *difference,
           EvidenceCell *cells)
{
  for (guint p = 0; p < evidence->points->len; p++) {
    const EvidencePoint *point = evidence_point(evidence, p);
    if (!evidence_is_look(point->way))
      continue;
    bool other = point->way == EVIDENCE_LOOK_CONDUCTOR ? difference->seen_conductor[point->index]
                                                       : difference->seen_device[point->index];
    if (evidence->sound != NULL && !other)
      cells[p] = evidence->sound[p];
    else
      cells[p] =
          (EvidenceCell){.unit = UNIT_NONE, .look = look(evidence, document, difference, point)};
  }
}

static EvidenceCell
cell_at(const Bench *bench, const guint *nodes, const Difference *difference,
        const EvidencePoint *point)
{
  if (point->way == EVIDENCE_AMPS)
    return bench_amps(bench, difference->conductors[point->index]);
  guint a = nodes[point->a], b = nodes[point->b];
  if (a == G_MAXUINT || b == G_MAXUINT)
    return (EvidenceCell){.state = METER_REFUSED,
                          .unit = point->way == EVIDENCE_OHMS ? UNIT_OHM : UNIT_VOLT};
  if (point->way == EVIDENCE_VOLTS)
    return bench_volts(bench, a, b);
  return point->way == EVIDENCE_DEAD ? bench_dead(bench, a, b) : bench_ohms(bench, a, b);
}

static bool
fill_readings(const Evidence *evidence, const Document *document, const Difference *difference,
              EvidenceCell *cells)
{
  Bench bench;
  bool solved = bench_energize(&bench, document, NULL) && bench_lock_out(&bench, NULL);
  if (solved) {
    bench_clamp(&bench);
    g_autofree guint *nodes = map_nodes(evidence, &bench);
    for (guint p = 0; p < evidence->points->len; p++)
      if (!evidence_is_look(evidence_point(evidence, p)->way))
        cells[p] = cell_at(&bench, nodes, difference, evidence_point(evidence, p));
  }
  bench_clear(&bench);
  return solved;
}

EvidenceCell *
evidence_cells(const Evidence *evidence, const Document *document)
{
  Difference difference;
  difference_init(&difference, evidence->scene->document, document);
  bool solve = evidence->sound == NULL || difference.electrical;
  g_autofree EvidenceCell *cells =
      solve ? g_new(EvidenceCell, evidence->points->len + 1)
            : g_memdup2(evidence->sound, (evidence->points->len + 1) * sizeof *cells);
  bool solved = !solve || fill_readings(evidence, document, &difference, cells);
  if (solved)
    fill_looks(evidence, document, &difference, cells);
  difference_clear(&difference);
  return solved ? g_steal_pointer(&cells) : NULL;
}

/* --- rows --- */

static void
row_clear(gpointer data)
{
  g_free((gpointer)(guintptr)((EvidenceRow *)data)->cells);
}

/* A diagram that cannot be computed: everything about it is over the meter's range. */
static EvidenceCell *
unsolved_cells(const Evidence *evidence)
{
  EvidenceCell *cells = g_memdup2(evidence->sound, evidence->points->len * sizeof *cells);
  for (guint p = 0; p < evidence->points->len; p++)
    if (cells[p].unit != UNIT_NONE)
      cells[p] = (EvidenceCell){.state = METER_OVERRANGE, .unit = cells[p].unit};
  return cells;
}

static void
add_row(Evidence *evidence, const Fault *fault, const FaultPlace *place)
{
  g_autoptr(Document) document = document_snapshot(evidence->scene->document);
  Change *change = fault_change(fault, evidence->scene, place);
  if (change == NULL || !document_apply(document, change, NULL))
    return;
  EvidenceRow row = {.fault = fault, .place = place, .cells = evidence_cells(evidence, document)};
  row.solved = row.cells != NULL;
  if (!row.solved)
    row.cells = unsolved_cells(evidence);
  g_autoptr(GBytes) bytes = document_write_memory(document);
  char *digest = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
  guint known = GPOINTER_TO_UINT(g_hash_table_lookup(evidence->answers, digest));
  row.answer = known > 0 ? known - 1 : g_hash_table_size(evidence->answers);
  if (known > 0)
    g_free(digest);
  else
    g_hash_table_insert(evidence->answers, digest, GUINT_TO_POINTER(row.answer + 1));
  g_array_append_val(evidence->rows, row);
}

/* How often a row was added, and how often one will be. */
typedef struct {
  QuizProgress progress;
  gpointer data;
  guint done, total;
} Through;

static bool
make_rows(Evidence *evidence, Through *through, GCancellable *cancellable, GError **error)
{
  for (guint f = 0; f < fault_count(); f++) {
    GPtrArray *places = fault_places(fault_at(f), evidence->scene);
    g_ptr_array_add(evidence->places, places);
    through->total += places->len;
  }
  for (guint f = 0; f < fault_count(); f++) {
    const GPtrArray *places = g_ptr_array_index(evidence->places, f);
    for (guint p = 0; p < places->len; p++) {
      if (g_cancellable_set_error_if_cancelled(cancellable, error))
        return false;
      add_row(evidence, fault_at(f), g_ptr_array_index(places, p));
      if (through->progress != NULL)
        through->progress(++through->done, through->total, through->data);
    }
  }
  return true;
}

Evidence *
evidence_new(const FaultScene *scene, GCancellable *cancellable, GError **error)
{
  return evidence_new_watched(scene, NULL, NULL, cancellable, error);
}

Evidence *
evidence_new_watched(const FaultScene *scene, QuizProgress progress, gpointer data,
                     GCancellable *cancellable, GError **error)
{
  g_autoptr(Evidence) evidence = g_new0(Evidence, 1);
  evidence->scene = scene;
  evidence->points = g_array_new(FALSE, FALSE, sizeof(EvidencePoint));
  g_array_set_clear_func(evidence->points, point_clear);
  evidence->rows = g_array_new(FALSE, FALSE, sizeof(EvidenceRow));
  g_array_set_clear_func(evidence->rows, row_clear);
  evidence->places = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
  evidence->answers = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  if (!make_points(evidence, error))
    return NULL;
  evidence->sound = evidence_cells(evidence, scene->document);
  if (evidence->sound == NULL) {
    g_set_error(error, SOLVE_ERROR, SOLVE_ERROR_SINGULAR,
                _("The diagram cannot be computed locked out; see what the checks say about it."));
    return NULL;
  }
  Through through = {.progress = progress, .data = data};
  if (!make_rows(evidence, &through, cancellable, error))
    return NULL;
  g_clear_pointer(&evidence->answers, g_hash_table_unref);
  return g_steal_pointer(&evidence);
}

void
evidence_free(Evidence *evidence)
{
  if (evidence == NULL)
    return;
  g_array_unref(evidence->points);
  g_array_unref(evidence->rows);
  g_ptr_array_unref(evidence->places);
  g_clear_pointer(&evidence->answers, g_hash_table_unref);
  g_free(evidence->sound);
  g_free(evidence);
}

const FaultScene *
evidence_scene(const Evidence *evidence)
{
  return evidence->scene;
}

guint
evidence_point_count(const Evidence *evidence)
{
  return evidence->points->len;
}

const EvidencePoint *
evidence_point(const Evidence *evidence, guint index)
{
  return &g_array_index(evidence->points, EvidencePoint, index);
}

guint
evidence_row_count(const Evidence *evidence)
{
  return evidence->rows->len;
}

const EvidenceRow *
evidence_row(const Evidence *evidence, guint index)
{
  return &g_array_index(evidence->rows, EvidenceRow, index);
}

int
evidence_find_row(const Evidence *evidence, const char *fault, const char *place)
{
  for (guint r = 0; r < evidence->rows->len; r++) {
    const EvidenceRow *row = evidence_row(evidence, r);
    if (g_str_equal(row->fault->name, fault) && g_str_equal(row->place->name, place))
      return (int)r;
  }
  return -1;
}

const EvidenceCell *
evidence_sound(const Evidence *evidence)
{
  return evidence->sound;
}
