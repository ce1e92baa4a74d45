/* SPDX-License-Identifier: MIT */
/* Available fault currents against closed forms, a published example, and a second solution with
 * the short drawn in. */
#include "bench.h"
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include "solve/fault.h"
#include "solve/fault_table.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  Circuit *circuit;
  Solution *solution;
  GArray *rows;
} Case;

static Case
study(const Document *document)
{
  GError *error = NULL;
  Case it = {.circuit = circuit_build(document, NULL)};
  it.solution = solution_new(it.circuit, &error);
  if (it.solution == NULL)
    fail_msg("%s", error->message);
  it.rows = fault_table_new(it.circuit, it.solution, &error);
  if (it.rows == NULL)
    fail_msg("%s", error->message);
  return it;
}

static void
case_clear(Case *it)
{
  g_array_unref(it->rows);
  solution_free(it->solution);
  circuit_free(it->circuit);
}

static const FaultRow *
find_or_null(const Case *it, const char *name)
{
  for (guint i = 0; i < it->rows->len; i++)
    if (g_str_equal(g_array_index(it->rows, FaultRow, i).name, name))
      return &g_array_index(it->rows, FaultRow, i);
  return NULL;
}

static const FaultRow *
find(const Case *it, const char *name)
{
  const FaultRow *row = find_or_null(it, name);
  if (row == NULL)
    fail_msg("no row for %s", name);
  return row;
}

static const char *const wye_480[6] = {"480 V",     "480 V",     "480 V",
                                       "277.128 V", "277.128 V", "277.128 V"};

/* The definition of the stated figure: 10 kA with three lines together; line to line is sqrt 3 / 2
 * of it; to ground the same as three-phase where zero and positive sequence are alike. */
static void
at_a_three_phase_supply(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_supply(document, "S1", "3-phase-4-wire", wye_480);
  bench_set(document, "S1", "fault-current", "10 kA");
  bench_set(document, "S1", "x-over-r", "6.6");
  Case it = study(document);
  const FaultRow *row = find(&it, "S1.L1");
  bench_near(row->three_phase, 10000, 0.5);
  bench_near(row->line_line, 10000 * sqrt(3) / 2, 0.5);
  bench_near(row->line_ground, 10000, 0.5);
  bench_near(row->x_over_r, 6.6, 1e-6);
  bench_near(row->volts, 480, 1e-3);
  assert_false(row->secondary);
  assert_null(find_or_null(&it, "S1.N")); /* grounded */
  case_clear(&it);
}

static void
an_unstated_fault_current_is_no_number(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_supply(document, "S1", "3-phase-4-wire", wye_480);
  Case it = study(document);
  const FaultRow *row = find(&it, "S1.L2");
  assert_true(isinf(row->line_line) && isinf(row->three_phase) && isinf(row->line_ground));
  case_clear(&it);
}

/* 100 ft of 12 AWG to a load: NFPA 70 Chapter 9 Table 8 gives 1.98 ohm for 1000 ft of stranded
 * copper at 75 C, Table 9 0.054 ohm of reactance in PVC. */
static void
conductors_limit(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_supply(document, "S1", "3-phase-4-wire", wye_480);
  bench_set(document, "S1", "fault-current", "10 kA");
  bench_add(document, "HTR1", "heater", "rated-volts", "480 V", "power", "1000 W", NULL);
  bench_land_sized(document, "S1.L1", "HTR1.1", "12 AWG", "100 ft");
  bench_land_sized(document, "S1.L2", "HTR1.2", "12 AWG", "100 ft");
  Case it = study(document);
  double z_line = 480 / sqrt(3) / 10000, r = z_line / sqrt(1 + 4.9 * 4.9);
  double volts = find(&it, "HTR1.1")->volts;
  double amps = volts / (2 * hypot(r + 0.198, 4.9 * r + 0.0054));
  bench_near(find(&it, "HTR1.1")->line_line, amps, 0.005 * amps);
  bench_near(find(&it, "HTR1.1")->line_ground, amps * 2 / sqrt(3), 0.01 * amps);
  assert_true(isnan(find(&it, "HTR1.1")->three_phase));
  assert_string_equal(find(&it, "HTR1.1")->across, "HTR1.2");
  case_clear(&it);
}

/* %Z by its definition: rated current over per-unit impedance, then with a supply of its own
 * impedance ahead, referred by the square of the ratio. */
static void
at_a_secondary(void **state)
{
  (void)state;
  for (int stiff = 1; stiff >= 0; stiff--) {
    g_autoptr(Document) document = document_new(parts_catalog());
    bench_supply(document, "S1", "3-phase-4-wire", wye_480);
    if (!stiff)
      bench_set(document, "S1", "fault-current", "200 A");
    bench_transformer(document, "T1", "2000 VA", "H1 primary 0 V", "H2 primary 480 V",
                      "X1 secondary 0 V", "X2 secondary 120 V", NULL);
    bench_set(document, "T1", "impedance", "5 %");
    bench_set(document, "T1", "x-over-r", "4.9");
    bench_set(document, "T1", "no-load-rise", "0 %");
    bench_set(document, "T1", "no-load-current", "0.01 %");
    bench_add(document, "GRD1", "ground", NULL);
    bench_land(document, "S1.L1", "T1.H2");
    bench_land(document, "S1.L2", "T1.H1");
    bench_land(document, "T1.X1", "GRD1.1");
    Case it = study(document);
    double z_unit = 0.05 * 120 * 120 / 2000, z_source = 2 * 480 / sqrt(3) / 200 / 16;
    double amps = 120 / (z_unit + (stiff ? 0 : z_source));
    bench_near(find(&it, "T1.X2")->line_line, amps, 1e-3 * amps);
    bench_near(find(&it, "T1.X2")->line_ground, amps, 1e-3 * amps);
    assert_true(find(&it, "T1.X2")->secondary);
    assert_false(find(&it, "T1.H2")->secondary);
    case_clear(&it);
  }
}

/* Published (IAEI magazine, infinite bus): 1500 kVA, 480 V, 5.75 % gives 31 374 A, from a rated
 * current rounded to 1804 A; 31 377.7 A without that rounding. */
static void
a_published_bank(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  const char *readings[6] = {"600 V", "600 V", "600 V", "346.41 V", "346.41 V", "346.41 V"};
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_add(document, "GRD1", "ground", NULL);
  bench_add(document, "TB1", "terminal-strip", "positions", "4", NULL);
  static const char *const from[] = {"S1.L1", "S1.L2", "S1.L3"};
  for (int i = 0; i < 3; i++) {
    g_autofree char *id = g_strdup_printf("T%d", i + 1), *out = g_strdup_printf("TB1.%dA", i + 1);
    bench_transformer(document, id, "500000 VA", "H1 primary 0 V", "H2 primary 600 V",
                      "X1 secondary 0 V", "X2 secondary 277.128 V", NULL);
    bench_set(document, id, "impedance", "5.75 %");
    bench_set(document, id, "no-load-rise", "0 %");
    bench_set(document, id, "no-load-current", "0.01 %");
    g_autofree char *h1 = g_strconcat(id, ".H1", NULL), *h2 = g_strconcat(id, ".H2", NULL);
    g_autofree char *x1 = g_strconcat(id, ".X1", NULL), *x2 = g_strconcat(id, ".X2", NULL);
    bench_land(document, from[i], h2);
    bench_land(document, from[(i + 1) % 3], h1);
    bench_land(document, x1, "TB1.4A");
    bench_land(document, x2, out);
  }
  bench_land(document, "TB1.4B", "GRD1.1");
  bench_add(document, "DISC1", "disconnect", "poles", "3", NULL);
  bench_land(document, "TB1.1B", "DISC1.L1");
  bench_land(document, "TB1.2B", "DISC1.L2");
  bench_land(document, "TB1.3B", "DISC1.L3");
  Case it = study(document);
  bench_near(find(&it, "DISC1.T1")->three_phase, 31377.7, 10);
  bench_near(find(&it, "DISC1.T1")->line_line, 31377.7 * sqrt(3) / 2, 10);
  bench_near(find(&it, "DISC1.T1")->line_ground, 31377.7, 10);
  assert_true(find(&it, "DISC1.T1")->secondary);
  case_clear(&it);
}

/* --- a second solution with the short drawn in -------------------------------------------------
 */

/* Contacts as they stood, impedances instead of loads, straight cores: what the table assumes. */
static void
freeze(Circuit *circuit, const Solution *solution)
{
  for (guint i = 0; i < circuit->joins->len; i++) {
    circuit_item(circuit->joins, Join, i)->coil = -1;
    circuit_item(circuit->joins, Join, i)->closed = solution->join_closed[i];
  }
  for (guint i = 0; i < circuit->loads->len; i++)
    circuit_item(circuit->loads, Load, i)->behaviour = LOAD_CONSTANT_IMPEDANCE;
  for (guint i = 0; i < circuit->cores->len; i++)
    circuit_item(circuit->cores, Core, i)->knee = 0;
  for (guint i = 0; i < circuit->coils->len; i++) {
    Coil *coil = circuit_item(circuit->coils, Coil, i);
    if (solution->coils[i].pulled_in)
      coil->inrush_va = coil->sealed_va;
    else
      coil->sealed_va = coil->inrush_va;
  }
}

static double
amps_of_drawn_short(const Document *document, const Solution *solution, guint a, guint b)
{
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  freeze(circuit, solution);
  Join join = {.a = a, .b = b, .role = JOIN_CONDUCTOR, .closed = true, .coil = -1};
  g_array_append_val(circuit->joins, join);
  g_autoptr(Solution) shorted = solution_new(circuit, NULL);
  assert_non_null(shorted);
  return cabs(shorted->join_amps[circuit->joins->len - 1]);
}

static guint
compare(const Document *document)
{
  Case it = study(document);
  guint compared = 0;
  for (guint i = 0; i < it.rows->len; i++) {
    const FaultRow *row = &g_array_index(it.rows, FaultRow, i);
    if (row->across != NULL && isfinite(row->line_line)) {
      guint other = bench_node(it.circuit, row->across);
      double amps = amps_of_drawn_short(document, it.solution, row->node, other);
      bench_near(row->line_line, amps, 1e-6 * amps + 1e-6);
      compared++;
    }
    if (isfinite(row->line_ground)) {
      double amps = amps_of_drawn_short(document, it.solution, row->node, 0);
      bench_near(row->line_ground, amps, 1e-6 * amps + 1e-6);
      compared++;
    }
  }
  case_clear(&it);
  return compared;
}

static void
every_sample_agrees_with_a_drawn_short(void **state)
{
  (void)state;
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  guint compared = 0;
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
    if (!g_str_has_suffix(name, ".doorsheet"))
      continue;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(Document) document = document_read(path, parts_catalog(), NULL);
    assert_non_null(document);
    compared += compare(document);
  }
  print_message("%u fault currents agree with the short drawn in\n", compared);
  assert_true(compared > 200);
}

/* Two systems on one sheet are solved together, and each pair gets what it gets alone. */
static void
many_at_once_are_as_one_by_one(void **state)
{
  (void)state;
  static const char *const samples[] = {"pump-208.doorsheet", "uv-480.doorsheet"};
  g_autoptr(Document) document = document_new(parts_catalog());
  for (guint i = 0; i < 2 * G_N_ELEMENTS(samples); i++) {
    g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples",
                                             samples[i % G_N_ELEMENTS(samples)], NULL);
    g_autoptr(Document) read = document_read(path, parts_catalog(), NULL);
    assert_non_null(read);
    assert_true(
        document_apply(document, edit_paste(document, read, (Point){300.0 * i, 0}, NULL), NULL));
  }
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(FaultStudy) together = fault_study_new(circuit, NULL, NULL);
  g_autoptr(FaultStudy) alone = fault_study_new(circuit, NULL, NULL);
  assert_non_null(together);
  g_autoptr(GArray) pairs = g_array_new(FALSE, FALSE, sizeof(FaultPair));
  for (guint a = 0; a < circuit->n_nodes; a++)
    for (guint b = 0; b < a; b += 1 + a % 7) {
      const FaultPair pair = {a, b};
      g_array_append_val(pairs, pair);
    }
  g_autofree Phasor *ohms = g_new(Phasor, pairs->len);
  fault_study_impedances(together, (const FaultPair *)(gpointer)pairs->data, pairs->len, ohms);
  guint finite = 0;
  for (guint i = 0; i < pairs->len; i++) {
    const FaultPair *pair = &g_array_index(pairs, FaultPair, i);
    Phasor one = fault_study_impedance(alone, pair->a, pair->b);
    assert_true(cabs(ohms[i] - one) <= 1e-9 * cabs(one));
    finite += cabs(one) > 1e-6;
  }
  print_message("%u of %u impedances above nothing\n", finite, pairs->len);
  assert_true(finite > 100);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(at_a_three_phase_supply),
      cmocka_unit_test(an_unstated_fault_current_is_no_number),
      cmocka_unit_test(conductors_limit),
      cmocka_unit_test(at_a_secondary),
      cmocka_unit_test(a_published_bank),
      cmocka_unit_test(every_sample_agrees_with_a_drawn_short),
      cmocka_unit_test(many_at_once_are_as_one_by_one),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
