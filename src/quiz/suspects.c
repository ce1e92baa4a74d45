/* SPDX-License-Identifier: MIT */
#include "quiz/suspects.h"

#include "base/language.h"
#include "quiz/bench.h"

#include "solve/expected.h"

#include <math.h>
#include <string.h>

G_DEFINE_QUARK(suspects - error - quark, suspects_error)

#define MOST_DISTANCE 10.0 /* one wild reading does not decide alone */

/* Something measured: where, what, and what the diagram as drawn gives. */
typedef struct {
  EvidenceWay way;
  guint a, b; /* nodes of the inspection's circuit; 0: earth */
  EvidenceCell measured, drawn;
  char *name;    /* "T1.X1 to T1.X3" */
  char *written; /* as it was typed: "0.3 V" */
} Measurement;

static void
measurement_clear(gpointer data)
{
  Measurement *measurement = data;
  g_free(measurement->name);
  g_free(measurement->written);
}

typedef struct {
  const Inspection *inspection;
  FaultScene *scene;
  GArray *measurements;
  bool locked_out; /* some were taken locked out */
  GPtrArray *suspects;
  guint mismatches;
} Search;

void
suspect_free(Suspect *suspect)
{
  if (suspect == NULL)
    return;
  g_free(suspect->place);
  g_free(suspect->sentence);
  g_free(suspect);
}

/* --- what was measured --- */

static void
add_measurement(GArray *measurements, const Circuit *circuit, const Measured *measured,
                MeasuredField field)
{
  const Value *value = &measured->values[field];
  bool locked = measured_state(measured) == MEASURED_LOCKED_OUT;
  bool ohms = field == MEASURED_OHMS;
  guint a = circuit_node_of_landing(circuit, &measured->a);
  guint b = circuit_node_of_landing(circuit, &measured->b);
  if (!value->has_value || a == G_MAXUINT || b == G_MAXUINT || (ohms && !locked))
    return;
  double number = value_number(value, &measured_fields[field], 0);
  g_autofree char *one = circuit_node_name(circuit, a);
  g_autofree char *two = circuit_node_name(circuit, b);
  Measurement measurement = {
      .way = ohms     ? EVIDENCE_OHMS
             : locked ? EVIDENCE_DEAD
                      : EVIDENCE_VOLTS,
      .a = a,
      .b = b,
      .measured = {.state = ohms && number >= METER_OPEN_OHMS ? METER_OPEN : METER_READS,
                   .unit = ohms ? UNIT_OHM : UNIT_VOLT,
                   .value = ohms && number >= METER_OPEN_OHMS ? 0 : (float)number},
      .name = g_strdup_printf(_("%s to %s"), one, two),
      .written = value_dup_text(value, &measured_fields[field]),
  };
  g_array_append_val(measurements, measurement);
}

static GArray *
measurements_of(const Inspection *inspection)
{
  GArray *measurements = g_array_new(FALSE, FALSE, sizeof(Measurement));
  g_array_set_clear_func(measurements, measurement_clear);
  for (guint i = 0; i < document_measured_count(inspection->document); i++) {
    const Measured *measured = document_measured(inspection->document, i);
    add_measurement(measurements, inspection->circuit, measured, MEASURED_VALUE);
    add_measurement(measurements, inspection->circuit, measured, MEASURED_OHMS);
  }
  return measurements;
}

static bool
any_locked_out(const GArray *measurements)
{
  for (guint i = 0; i < measurements->len; i++)
    if (g_array_index(measurements, Measurement, i).way != EVIDENCE_VOLTS)
      return true;
  return false;
}

/* Nodes of a changed diagram: no fault takes a device away or changes its terminals, but ask by
 * name all the same. */
static guint
node_on(const Bench *bench, const Circuit *from, guint node)
{
  if (node == 0)
    return 0;
  const Device *device = document_device(from->document, from->places[node].device);
  const char *name = device_terminal(device, from->places[node].terminal)->name;
  Landing landing = {device->id, (char *)(guintptr)name};
  return circuit_node_of_landing(bench->circuit, &landing);
}

static EvidenceCell
read_on(const Bench *bench, const Circuit *from, const Measurement *measurement)
{
  guint a = node_on(bench, from, measurement->a), b = node_on(bench, from, measurement->b);
  if (a == G_MAXUINT || b == G_MAXUINT)
    return (EvidenceCell){.state = METER_REFUSED, .unit = measurement->measured.unit};
  if (measurement->way == EVIDENCE_VOLTS)
    return bench_volts(bench, a, b);
  return measurement->way == EVIDENCE_DEAD ? bench_dead(bench, a, b) : bench_ohms(bench, a, b);
}

/* A meter may show a ghost where nothing fixes the volts: whatever was measured there says nothing
 * against it. */
static bool
disagrees(const EvidenceCell *measured, const EvidenceCell *computed)
{
  return computed->state != METER_DRIFTS && evidence_differs(measured, computed);
}

/* Reads the diagram as drawn into the measurements; how many disagree. */
static bool
read_drawn(GArray *measurements, const Inspection *inspection, guint *mismatches, GError **error)
{
  Bench bench;
  bool good = bench_energize(&bench, inspection->document, error) &&
              (!any_locked_out(measurements) || bench_lock_out(&bench, error));
  *mismatches = 0;
  for (guint i = 0; good && i < measurements->len; i++) {
    Measurement *measurement = &g_array_index(measurements, Measurement, i);
    measurement->drawn = read_on(&bench, inspection->circuit, measurement);
    *mismatches += disagrees(&measurement->measured, &measurement->drawn);
  }
  bench_clear(&bench);
  return good;
}

/* --- one suspect --- */

/* In bounds of what can be told, at most MOST_DISTANCE. */
static double
distance(const EvidenceCell *measured, const EvidenceCell *computed)
{
  if (computed->state == METER_DRIFTS)
    return 0;
  if (measured->state == METER_OPEN || computed->state == METER_OPEN ||
      computed->state == METER_REFUSED || computed->state == METER_OVERRANGE)
    return measured->state == computed->state ? 0 : MOST_DISTANCE;
  double share = EVIDENCE_VOLTS_SHARE, least = EVIDENCE_VOLTS_LEAST;
  if (measured->unit == UNIT_OHM) {
    share = EVIDENCE_OHMS_SHARE;
    least = EVIDENCE_OHMS_LEAST;
  }
  double a = measured->value, b = computed->value;
  double bound = fmax(share * fmax(fabs(a), fabs(b)), least);
  return fmin(fabs(a - b) / bound, MOST_DISTANCE);
}

/* To a tenth of a volt, as a meter on a panel shows it. New string. */
static char *
cell_words(const EvidenceCell *cell)
{
  char digits[G_ASCII_DTOSTR_BUF_SIZE];
  if (cell->state != METER_READS || cell->unit != UNIT_VOLT)
    return evidence_cell_text(cell);
  double volts = (double)cell->value < EXPECTED_ZERO_VOLTS ? 0 : (double)cell->value;
  g_ascii_formatd(digits, sizeof digits, "%.1f", volts);
  char *dot = strstr(digits, ".0");
  if (dot != NULL)
    *dot = '\0';
  return g_strdup_printf("%s V", digits);
}

/* The sentence tells of the mismatch that the fault moves most. */
static char *
sentence_of(const Search *search, const EvidenceCell *cells)
{
  const Measurement *told = NULL;
  const EvidenceCell *cell = NULL;
  double best = -INFINITY;
  for (guint i = 0; i < search->measurements->len; i++) {
    const Measurement *at = &g_array_index(search->measurements, Measurement, i);
    double moved = distance(&at->measured, &at->drawn) - distance(&at->measured, &cells[i]);
    if (disagrees(&at->measured, &at->drawn) && !disagrees(&at->measured, &cells[i]) &&
        moved > best) {
      best = moved;
      told = at;
      cell = &cells[i];
    }
  }
  if (told == NULL)
    return g_strdup("");
  g_autofree char *would = cell_words(cell);
  g_autofree char *drawn = cell_words(&told->drawn);
  return g_strdup_printf(_("Would make %s read %s; %s was measured and %s expected."), told->name,
                         would, told->written, drawn);
}

static void
judge(Search *search, const Fault *fault, const FaultPlace *place, const Bench *bench)
{
  guint n = search->measurements->len, explained = 0, contradicted = 0;
  double sum = 0;
  g_autofree EvidenceCell *cells = g_new(EvidenceCell, n);
  for (guint i = 0; i < n; i++) {
    const Measurement *at = &g_array_index(search->measurements, Measurement, i);
    cells[i] = read_on(bench, search->inspection->circuit, at);
    bool wrong = disagrees(&at->measured, &cells[i]);
    contradicted += wrong;
    explained += !wrong && disagrees(&at->measured, &at->drawn);
    sum += distance(&at->measured, &cells[i]);
  }
  if (explained == 0)
    return;
  Suspect *suspect = g_new0(Suspect, 1);
  *suspect = (Suspect){.fault = fault,
                       .place = g_strdup(place->name),
                       .explained = explained,
                       .contradicted = contradicted,
                       .distance = sum,
                       .sentence = sentence_of(search, cells)};
  g_ptr_array_add(search->suspects, suspect);
}

bool
suspects_on_paper(const Fault *fault)
{
  static const char *const checks[] = {"readings-impossible",
                                       "readings-ambiguous",
                                       "supply-not-measured",
                                       "nameplate-incomplete",
                                       "contact-without-coil",
                                       "fault-current-unknown",
                                       NULL};
  return g_strv_contains(checks, fault->check);
}

/* Least contradicted and most explained first, then what is in the panel before what is on its
 * paper, then the nearest; the array's order is the catalogue's and the sort is stable. Distances
 * are compared in hundredths, so that the last bits of a solution do not decide. */
static gint
compare(gconstpointer a, gconstpointer b, gpointer unused)
{
  (void)unused;
  const Suspect *one = *(const Suspect *const *)a, *two = *(const Suspect *const *)b;
  if (one->contradicted != two->contradicted)
    return one->contradicted < two->contradicted ? -1 : 1;
  if (one->explained != two->explained)
    return one->explained > two->explained ? -1 : 1;
  bool paper = suspects_on_paper(one->fault);
  if (paper != suspects_on_paper(two->fault))
    return paper ? 1 : -1;
  double difference = round(one->distance * 100) - round(two->distance * 100);
  return difference < 0 ? -1 : difference > 0;
}

/* --- the search --- */

/* Colours, numbers and ratings move no reading; neither does where a device lies. */
static bool
moves_readings(const Fault *fault)
{
  static const char *const still[] = {"colour",       "number",          "insulation",
                                      "designation",  "volts-to-ground", "interrupting",
                                      "fault-current"};
  if (fault->edit == FAULT_MOVE)
    return false;
  for (gsize i = 0; fault->field != NULL && i < G_N_ELEMENTS(still); i++)
    if (g_str_equal(fault->field, still[i]))
      return false;
  return true;
}

static void
try_place(Search *search, const Fault *fault, const FaultPlace *place)
{
  g_autoptr(Document) document = document_snapshot(search->inspection->document);
  Change *change = fault_change(fault, search->scene, place);
  Bench bench;
  if (change == NULL || !document_apply(document, change, NULL))
    return;
  if (bench_energize(&bench, document, NULL) &&
      (!search->locked_out || bench_lock_out(&bench, NULL)))
    judge(search, fault, place, &bench);
  bench_clear(&bench);
}

static bool
try_all(Search *search, GCancellable *cancellable, GError **error)
{
  for (guint f = 0; fault_at(f) != NULL; f++) {
    const Fault *fault = fault_at(f);
    if (!moves_readings(fault))
      continue;
    if (g_cancellable_set_error_if_cancelled(cancellable, error))
      return false;
    g_autoptr(GPtrArray) places = fault_places(fault, search->scene);
    for (guint p = 0; p < places->len; p++) {
      if (g_cancellable_set_error_if_cancelled(cancellable, error))
        return false;
      try_place(search, fault, g_ptr_array_index(places, p));
    }
  }
  return true;
}

static bool
ready(Search *search, GError **error)
{
  const Inspection *inspection = search->inspection;
  if (inspection->solution == NULL || inspection->closed_solution == NULL) {
    g_set_error(error, SUSPECTS_ERROR, SUSPECTS_ERROR_NO_SOLUTION,
                _("The diagram as drawn cannot be computed; clear what the checks find first."));
    return false;
  }
  if (search->measurements->len == 0) {
    g_set_error(error, SUSPECTS_ERROR, SUSPECTS_ERROR_NO_READINGS,
                _("Nothing was measured yet: type what the meter showed beside an expected "
                  "reading."));
    return false;
  }
  if (!read_drawn(search->measurements, inspection, &search->mismatches, error))
    return false;
  if (search->mismatches > 0)
    return true;
  g_set_error(error, SUSPECTS_ERROR, SUSPECTS_ERROR_AGREES,
              _("Everything measured is as expected; there is nothing to explain."));
  return false;
}

GPtrArray *
suspects_rank(const Inspection *inspection, guint most, GCancellable *cancellable, GError **error)
{
  Search search = {.inspection = inspection, .measurements = measurements_of(inspection)};
  search.suspects = g_ptr_array_new_with_free_func((GDestroyNotify)suspect_free);
  search.locked_out = any_locked_out(search.measurements);
  bool good = ready(&search, error);
  if (good) {
    search.scene = fault_scene_new(inspection);
    good = try_all(&search, cancellable, error);
    fault_scene_free(search.scene);
  }
  g_array_unref(search.measurements);
  if (!good) {
    g_ptr_array_unref(search.suspects);
    return NULL;
  }
  g_ptr_array_sort_with_data(search.suspects, compare, NULL);
  if (search.suspects->len > most)
    g_ptr_array_set_size(search.suspects, (gint)most);
  return search.suspects;
}

guint
suspects_mismatches(const Inspection *inspection)
{
  guint mismatches = 0;
  g_autoptr(GArray) measurements = measurements_of(inspection);
  if (inspection->solution == NULL || measurements->len == 0 ||
      !read_drawn(measurements, inspection, &mismatches, NULL))
    return 0;
  return mismatches;
}
