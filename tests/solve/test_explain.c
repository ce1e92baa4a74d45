/* SPDX-License-Identifier: MIT */
/* Kirchhoff's voltage law as a check on the solver: along the path that an explanation lists, volts
 * from each branch's own law add up to the reading. */
#include "bench.h"
#include "diagram/document_file.h"
#include "parts/catalog.h"
#include "solve/explain.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static Solution *
solved(const Circuit *circuit)
{
  GError *error = NULL;
  Solution *solution = solution_new(circuit, &error);
  if (solution == NULL)
    fail_msg("%s", error->message);
  return solution;
}

static Explanation *
explained(const Solution *solution, const char *a, const char *b)
{
  GError *error = NULL;
  const Circuit *circuit = solution->circuit;
  Explanation *it =
      solution_explain(circuit, solution, bench_node(circuit, a), bench_node(circuit, b), &error);
  if (it == NULL)
    fail_msg("%s", error->message);
  return it;
}

static void
assert_holds(const char *text, const char *part)
{
  if (strstr(text, part) == NULL)
    fail_msg("\"%s\" is not in:\n%s", part, text);
}

static void
assert_lacks(const char *text, const char *part)
{
  if (strstr(text, part) != NULL)
    fail_msg("\"%s\" is in:\n%s", part, text);
}

/* 486 V between two lines of a wye, 250 VA unit, a heater of 100 W over 30 ft of 14 AWG. */
static Document *
panel(void)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {"486 V", "484 V", "485 V", "281 V", "280 V", "280 V"};
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_set(document, "S1", "fault-current", "10 kA");
  bench_add(document, "DISC1", "disconnect", "poles", "2", NULL);
  bench_add(document, "FU1", "fuse", NULL);
  bench_transformer(document, "T1", "250 VA", "H1 primary 0 V", "H4 primary 480 V",
                    "X1 secondary 0 V", "X2 secondary 120 V", NULL);
  bench_set(document, "T1", "regulation", "6 %");
  bench_add(document, "GRD1", "ground", NULL);
  bench_add(document, "HTR1", "heater", "rated-volts", "120 V", "power", "100 W", NULL);
  bench_land_sized(document, "S1.L1", "DISC1.L1", "12 AWG", "10 ft");
  bench_land_sized(document, "S1.L2", "DISC1.L2", "12 AWG", "10 ft");
  bench_land(document, "DISC1.T1", "FU1.1");
  bench_land(document, "DISC1.T2", "T1.H1");
  bench_land(document, "FU1.2", "T1.H4");
  bench_land(document, "T1.X1", "GRD1.1");
  bench_land_sized(document, "T1.X2", "HTR1.1", "14 AWG", "30 ft");
  bench_land_sized(document, "T1.X1", "HTR1.2", "14 AWG", "30 ft");
  return document;
}

/* The numbers named in the text are those of the circuit, worked here by hand. */
static void
a_secondary_to_ground(void **state)
{
  (void)state;
  g_autoptr(Document) document = panel();
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solved(circuit);
  g_autoptr(Explanation) it = explained(solution, "HTR1.1", "GND");
  assert_int_equal(it->steps->len, 4); /* conductor, winding, conductor to the ground lug, bond */
  const ExplainStep *steps = (const ExplainStep *)(const void *)it->steps->data;
  assert_int_equal(steps[0].branch, EXPLAIN_IMPEDANCE);
  assert_int_equal(steps[1].branch, EXPLAIN_SEGMENT);
  assert_int_equal(steps[2].branch, EXPLAIN_JOIN);
  assert_int_equal(steps[3].branch, EXPLAIN_JOIN);
  /* Against the load's current, so the conductor counts negative: 0.83 A in 30 ft of 3.14 ohm per
   * 1000 ft (NFPA 70 Chapter 9 Table 8). */
  double amps = cabs(steps[0].amps);
  bench_near(amps, cabs(it->reading.volts) / 144, 0.01);
  bench_near(creal(steps[0].drop / steps[0].amps), 3.14 * 0.030, 1e-3);
  /* The open secondary's volts less half of the regulation at 100 of 250 VA: the primary's half. */
  double open = 120 * 1.06 * 486 / 480;
  bench_near(cabs(steps[1].driving), open * (1 - 0.06 / 2 * 100 / 250), 0.3);
  bench_near(cabs(it->sum), cabs(it->reading.volts), 1e-9);
  bench_near(it->misfit, 0, 1e-9);
  g_autofree char *text = explanation_text(it);
  assert_holds(text, "HTR1.1 - GND: live");
  assert_holds(text, "secondary winding of T1, 120.0 V on the nameplate");
  assert_holds(text, "bond to ground at GRD1");
  assert_holds(text, "T1.H4 - T1.H1 48");
  assert_holds(text, "Sum of the steps:");
  assert_holds(text, "backward error");
  assert_lacks(text, "saturated");
}

static void
a_supply_behind_its_impedance(void **state)
{
  (void)state;
  g_autoptr(Document) document = panel();
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solved(circuit);
  g_autoptr(Explanation) it = explained(solution, "T1.H4", "T1.H1");
  bench_near(it->misfit, 0, 1e-9);
  g_autofree char *text = explanation_text(it);
  /* The winding is the short way; the supply is named from line to line. */
  assert_holds(text, "primary winding of T1");
  g_autoptr(Explanation) lines = explained(solution, "S1.L1", "S1.L2");
  g_autofree char *supply = explanation_text(lines);
  assert_holds(supply, "supply S1, 280.7 V");
  assert_holds(supply, "reactance");
  bench_near(lines->misfit, 0, 1e-9);
}

/* A number that does not obey the branch's law is seen at once. */
static void
a_wrong_current_does_not_add_up(void **state)
{
  (void)state;
  g_autoptr(Document) document = panel();
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solved(circuit);
  for (guint i = 0; i < circuit->segments->len; i++)
    solution->segment_amps[i] *= 1.001;
  g_autoptr(Explanation) it = explained(solution, "T1.X2", "GND");
  assert_true(it->misfit > 1e-4);
}

static void
what_is_open_is_named(void **state)
{
  (void)state;
  g_autoptr(Document) document = panel();
  g_autoptr(Circuit) locked = circuit_build(document, &(CircuitOptions){.locked_out = true});
  g_autoptr(Solution) dead = solved(locked);
  g_autoptr(Explanation) it = explained(dead, "HTR1.1", "HTR1.2");
  assert_int_equal(it->reading.state, READING_DEAD);
  g_autofree char *text = explanation_text(it);
  assert_holds(text, "Open on the way from HTR1.1 to a supply: switch DISC1");
  assert_lacks(text, "fuse FU1");
  bench_set(document, "FU1", "blown", "yes");
  g_autoptr(Circuit) blown = circuit_build(document, NULL);
  g_autoptr(Solution) after = solved(blown);
  g_autoptr(Explanation) fuse = explained(after, "T1.X2", "T1.X1");
  g_autofree char *why = explanation_text(fuse);
  assert_int_equal(fuse->reading.state, READING_DEAD);
  assert_lacks(why, "DISC1");
  /* The other pole is closed, so the primary is not cut off: the open fuse takes its volts. */
  g_autoptr(Explanation) across = explained(after, "FU1.1", "FU1.2");
  g_autofree char *held = explanation_text(across);
  assert_int_equal(across->reading.state, READING_LIVE);
  bench_near(cabs(across->reading.volts), 486, 0.1);
  bench_near(across->misfit, 0, 1e-9);
  assert_holds(held, "supply S1");
}

static void
what_floats_is_named(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  const char *readings[6] = {"240 V", NULL, NULL, "120 V", "120 V", NULL};
  bench_supply(document, "S1", "1-phase-3-wire", readings);
  bench_transformer(document, "T1", "75 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "X1 secondary 0 V", "X2 secondary 24 V", NULL);
  bench_land(document, "S1.L1", "T1.H2");
  bench_land(document, "S1.L2", "T1.H1");
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  g_autoptr(Solution) solution = solved(circuit);
  g_autoptr(Explanation) it = explained(solution, "T1.X2", "GND");
  assert_int_equal(it->reading.state, READING_FLOATING);
  assert_int_equal(it->steps->len, 0);
  g_autofree char *text = explanation_text(it);
  assert_holds(text, "T1.X2 belongs to a live part that is grounded nowhere");
  GError *error = NULL;
  assert_null(solution_explain(circuit, solution, 9999, 0, &error));
  assert_non_null(error);
  g_error_free(error);
}

/* --- every sample, random pairs ----------------------------------------------------------------
 */

typedef struct {
  guint paths, steps, pairs, longest;
  double worst; /* misfit over the largest volts of the sheet */
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
try_pairs(GRand *rand, const Document *document, bool locked_out, Tally *tally)
{
  g_autoptr(Circuit) circuit = circuit_build(document, &(CircuitOptions){.locked_out = locked_out});
  g_autoptr(Solution) solution = solved(circuit);
  double largest = largest_volts(solution);
  for (guint round = 0; round < 200; round++) {
    guint a = (guint)g_rand_int_range(rand, 0, (gint32)circuit->n_nodes);
    guint b = (guint)g_rand_int_range(rand, 0, (gint32)circuit->n_nodes);
    g_autoptr(Explanation) it = solution_explain(circuit, solution, a, b, NULL);
    assert_non_null(it);
    tally->pairs++;
    g_autofree char *text = explanation_text(it);
    assert_null(strstr(text, "nan"));
    if (it->reading.state != READING_LIVE)
      continue;
    assert_true(a == b || it->steps->len > 0);
    tally->paths++;
    tally->steps += it->steps->len;
    tally->longest = MAX(tally->longest, it->steps->len);
    tally->worst = MAX(tally->worst, it->misfit / largest);
    if (it->misfit > 1e-9 * largest)
      fail_msg("%s\n%s is off", text, it->a_name);
  }
}

static void
every_sample_adds_up(void **state)
{
  (void)state;
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  GRand *rand = g_rand_new_with_seed(4711);
  Tally tally = {0};
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
    if (!g_str_has_suffix(name, ".doorsheet"))
      continue;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(Document) document = document_read(path, parts_catalog(), NULL);
    assert_non_null(document);
    try_pairs(rand, document, false, &tally);
    try_pairs(rand, document, true, &tally);
  }
  g_rand_free(rand);
  print_message("%u pairs, %u with a path of up to %u steps; worst sum %.1e of the largest volts\n",
                tally.pairs, tally.paths, tally.longest, tally.worst);
  assert_true(tally.paths > 1000 && tally.longest > 8);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_secondary_to_ground),
      cmocka_unit_test(a_supply_behind_its_impedance),
      cmocka_unit_test(a_wrong_current_does_not_add_up),
      cmocka_unit_test(what_is_open_is_named),
      cmocka_unit_test(what_floats_is_named),
      cmocka_unit_test(every_sample_adds_up),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
