/* SPDX-License-Identifier: MIT */
/* Sheets of random devices, randomly wired: whatever can be solved can also be explained, measured,
 * studied for faults and given ranges, and no number shown is none. */
#include "../parts/random_device.h"
#include "bench.h"
#include "parts/catalog.h"
#include "solve/expected.h"
#include "solve/explain.h"
#include "solve/fault_table.h"
#include "solve/meter.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

enum { SHEETS = 120, PAIRS = 40 };

static void
put_device(Document *document, Device *take_device)
{
  Change *change = change_new("Add");
  change_device(change, NULL, take_device);
  device_unref(take_device);
  assert_true(document_apply(document, change, NULL));
}

static const char *
random_terminal(GRand *rand, const Device *device)
{
  guint n = device_terminal_count(device);
  return n == 0 ? NULL : device_terminal(device, (guint)g_rand_int_range(rand, 0, (gint32)n))->name;
}

static void
land_at_random(GRand *rand, Document *document)
{
  static const char *const gauges[] = {"18 AWG", "14 AWG", "10 AWG", "4 AWG"};
  guint n = document_device_count(document);
  for (guint i = 0; i < 2 * n; i++) {
    const Device *a = document_device(document, (guint)g_rand_int_range(rand, 0, (gint32)n));
    const Device *b = document_device(document, (guint)g_rand_int_range(rand, 0, (gint32)n));
    const char *from = random_terminal(rand, a), *to = random_terminal(rand, b);
    if (from == NULL || to == NULL || a == b)
      continue;
    g_autoptr(Conductor) conductor = conductor_new(a->id, from, b->id, to);
    if (g_rand_boolean(rand)) {
      g_autofree char *length = g_strdup_printf("%d ft", g_rand_int_range(rand, 1, 300));
      assert_true(conductor_set(conductor, "gauge", gauges[g_rand_int_range(rand, 0, 4)], NULL));
      assert_true(conductor_set(conductor, "length", length, NULL));
    }
    Change *change = change_new("Land");
    change_conductor(change, NULL, conductor);
    assert_true(document_apply(document, change, NULL));
  }
}

static Document *
random_sheet(GRand *rand)
{
  PartCatalog catalog = parts_catalog();
  Document *document = document_new(catalog);
  bench_add(document, "S0", "supply", "system", g_rand_boolean(rand) ? "480Y/277" : "208Y/120",
            NULL);
  for (guint i = 0; catalog[i]; i++) {
    g_autofree char *id = document_free_id(document, catalog[i]->designation);
    Device *device = random_device(rand, catalog[i], id);
    if (device_derive(device, NULL))
      put_device(document, device);
    else
      device_unref(device);
  }
  land_at_random(rand, document);
  return document;
}

typedef struct {
  guint solved, live, rows, ranges, refused_ranges;
  double worst; /* misfit over the sheet's largest volts */
} Tally;

static double
largest_volts(const Solution *solution)
{
  double largest = 1;
  for (guint i = 0; i < solution->n_nets; i++)
    largest = MAX(largest, cabs(solution->net_volts[i]));
  return largest;
}

static void
explain_and_measure(GRand *rand, const Circuit *circuit, const Solution *solution, Tally *tally)
{
  double largest = largest_volts(solution);
  for (guint round = 0; round < PAIRS; round++) {
    guint a = (guint)g_rand_int_range(rand, 0, (gint32)circuit->n_nodes);
    guint b = (guint)g_rand_int_range(rand, 0, (gint32)circuit->n_nodes);
    g_autoptr(Explanation) it = solution_explain(circuit, solution, a, b, NULL);
    assert_non_null(it);
    g_autofree char *text = explanation_text(it);
    assert_null(strstr(text, "nan"));
    if (it->reading.state == READING_LIVE && a != b) {
      assert_true(it->steps->len > 0);
      tally->worst = MAX(tally->worst, it->misfit / largest);
      tally->live++;
    }
    MeterReading volts, ohms;
    g_autoptr(GError) error = NULL;
    if (meter_volts(circuit, solution, a, b, METER_HIGH_IMPEDANCE, &volts, &error))
      assert_true(isfinite(volts.value) && volts.value >= 0);
    else
      assert_non_null(error);
    g_clear_error(&error);
    if (meter_ohms(circuit, solution, a, b, &ohms, &error))
      assert_true(isfinite(ohms.value) && ohms.value >= 0);
    else
      assert_non_null(error);
  }
}

static void
study(const Circuit *circuit, const Solution *solution, Tally *tally)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GArray) faults = fault_table_new(circuit, solution, &error);
  for (guint i = 0; faults != NULL && i < faults->len; i++) {
    const FaultRow *row = &g_array_index(faults, FaultRow, i);
    assert_true(row->across == NULL || row->line_line >= 0);
    assert_true(isnan(row->line_ground) || row->line_ground >= 0);
    assert_true(isnan(row->three_phase) || row->three_phase >= 0);
    tally->rows++;
  }
  assert_true(faults != NULL || error != NULL);
  g_clear_error(&error);
  g_autoptr(GArray) readings = expected_readings(circuit, solution, NULL, &error);
  assert_true(readings != NULL || error != NULL);
  tally->refused_ranges += readings == NULL;
  for (guint i = 0; readings != NULL && i < readings->len; i++) {
    const ExpectedReading *r = &g_array_index(readings, ExpectedReading, i);
    assert_true(isfinite(r->low) && isfinite(r->high));
    assert_true(r->low <= r->volts && r->volts <= r->high);
    g_autofree char *text = expected_reading_text(r, 4);
    g_autofree char *range = expected_reading_range_text(r, 4);
    assert_true(*text != '\0' && range != NULL);
    tally->ranges++;
  }
  for (guint i = 0; i < document_conductor_count(circuit->document); i++) {
    MeterReading amps;
    if (meter_amps(circuit, solution, (Owner){.kind = OWNER_CONDUCTOR, .index = i}, &amps, NULL))
      assert_true(isfinite(amps.value) && amps.value >= 0);
  }
}

static void
random_sheets(void **state)
{
  (void)state;
  GRand *rand = g_rand_new_with_seed(271);
  Tally tally = {0};
  for (guint round = 0; round < SHEETS; round++) {
    g_autoptr(Document) document = random_sheet(rand);
    g_autoptr(Circuit) circuit =
        circuit_build(document, &(CircuitOptions){.locked_out = round % 4 == 3});
    g_autoptr(Solution) solution = solution_new(circuit, NULL);
    if (solution == NULL)
      continue;
    tally.solved++;
    explain_and_measure(rand, circuit, solution, &tally);
    study(circuit, solution, &tally);
  }
  g_rand_free(rand);
  print_message("%u of %d sheets solved; %u live pairs explained, worst sum %.1e of the largest "
                "volts; %u fault rows; %u ranges, %u sheets without\n",
                tally.solved, SHEETS, tally.live, tally.worst, tally.rows, tally.ranges,
                tally.refused_ranges);
  assert_true(tally.solved > SHEETS * 9 / 10);
  assert_true(tally.live > 200);
  assert_true(tally.worst < 1e-9);
  assert_true(tally.refused_ranges < SHEETS / 10);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(random_sheets)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
