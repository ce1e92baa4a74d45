/* SPDX-License-Identifier: MIT */
/* A supply drafted by the name of its system, before anybody has measured: the meter reads what the
 * name says (nominal volts of ANSI C84.1 and IEC 60038), on every way of drawing the lines. */
#include "bench.h"
#include "parts/catalog.h"
#include "solve/meter.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define NONE ((double)NAN) /* no such terminals, or no fixed voltage */

static const struct {
  const char *lines, *system;
  SupplyClass class_;
  double line, ground[3]; /* L1-L2; each line to ground */
} rows[] = {
    {"1-phase-line-neutral", "120", SYSTEM_ONE_PHASE_2W, NONE, {120, NONE, NONE}},
    {"1-phase-2-wire", "120", SYSTEM_ONE_PHASE_2W, 120, {120, 0, NONE}},
    {"1-phase-3-wire", "120", SYSTEM_ONE_PHASE_3W, 240, {120, 120, NONE}},
    {"3-phase-4-wire", "120", SYSTEM_WYE_GROUNDED, 208, {120, 120, 120}},
    {"1-phase-line-neutral", "120/240", SYSTEM_ONE_PHASE_2W, NONE, {120, NONE, NONE}},
    {"1-phase-2-wire", "120/240", SYSTEM_ONE_PHASE_3W, 240, {120, 120, NONE}},
    {"1-phase-3-wire", "120/240", SYSTEM_ONE_PHASE_3W, 240, {120, 120, NONE}},
    {"3-phase-4-wire", "120/240", SYSTEM_DELTA_HIGH_LEG, 240, {120, 208, 120}},
    {"1-phase-2-wire", "208Y/120", SYSTEM_TWO_LINES_OF_WYE, 208, {120, 120, NONE}},
    {"3-phase-4-wire", "208Y/120", SYSTEM_WYE_GROUNDED, 208, {120, 120, 120}},
    {"1-phase-2-wire", "240-high-leg", SYSTEM_ONE_PHASE_3W, 240, {120, 120, NONE}},
    {"3-phase-4-wire", "240-high-leg", SYSTEM_DELTA_HIGH_LEG, 240, {120, 208, 120}},
    {"3-phase-3-wire", "240-delta", SYSTEM_UNGROUNDED, 240, {NONE, NONE, NONE}},
    {"1-phase-2-wire", "240-delta", SYSTEM_ONE_PHASE_UNGROUNDED, 240, {NONE, NONE, NONE}},
    {"3-phase-4-wire", "400Y/230", SYSTEM_WYE_GROUNDED, 400, {231, 231, 231}},
    {"1-phase-line-neutral", "480Y/277", SYSTEM_ONE_PHASE_2W, NONE, {277, NONE, NONE}},
    {"1-phase-2-wire", "480Y/277", SYSTEM_TWO_LINES_OF_WYE, 480, {277, 277, NONE}},
    {"3-phase-4-wire", "480Y/277", SYSTEM_WYE_GROUNDED, 480, {277, 277, 277}},
    {"3-phase-3-wire", "480-delta", SYSTEM_UNGROUNDED, 480, {NONE, NONE, NONE}},
    {"3-phase-4-wire", "600Y/347", SYSTEM_WYE_GROUNDED, 600, {346, 346, 346}},
};

static void
check_to_ground(const Circuit *circuit, const Solution *solution, int line, double want)
{
  static const char *const names[] = {"S1.L1", "S1.L2", "S1.L3"};
  Reading reading = solution_to_earth(solution, bench_node(circuit, names[line]));
  if (isnan(want)) {
    assert_int_equal(reading.state, READING_FLOATING);
    return;
  }
  bench_near(cabs(reading.volts), want, 0.005 * want + 1e-6);
}

static void
every_name_reads_as_it_says(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    bench_add(document, "S1", "supply", "lines", rows[i].lines, "system", rows[i].system, NULL);
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    g_autoptr(Solution) solution = solution_new(circuit, NULL);
    assert_non_null(solution);
    const SupplySystem *system = &circuit_item(circuit->supplies, CircuitSupply, 0)->system;
    if (system->class_ != rows[i].class_)
      fail_msg("%s on %s is taken as %s", rows[i].system, rows[i].lines, system->name);
    if (!isnan(rows[i].line))
      bench_near(bench_volts(solution, "S1.L1", "S1.L2"), rows[i].line, 0.005 * rows[i].line);
    const Device *supply = document_find_device(document, "S1");
    static const char *const lines[] = {"L1", "L2", "L3"};
    for (int line = 0; line < 3; line++)
      if (device_terminal_index(supply, lines[line]) >= 0)
        check_to_ground(circuit, solution, line, rows[i].ground[line]);
    assert_string_equal(system->problem, "");
  }
}

/* A delta by name is ungrounded, not unmeasured: nothing is left to ask. */
static void
a_named_delta_is_not_in_doubt(void **state)
{
  (void)state;
  static const char *const systems[] = {"240-delta", "480-delta"};
  for (int i = 0; i < 2; i++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    bench_add(document, "S1", "supply", "lines", "3-phase-3-wire", "system", systems[i], NULL);
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    const SupplySystem *system = &circuit_item(circuit->supplies, CircuitSupply, 0)->system;
    assert_false(system->ambiguous);
    assert_string_equal(system->ambiguity, "");
    assert_false(system->grounded);
    /* A digital meter shows a wye all the same, through the lines' capacitance. */
    g_autoptr(Solution) solution = solution_new(circuit, NULL);
    MeterReading ghost;
    assert_true(meter_volts(circuit, solution, bench_node(circuit, "S1.L1"), 0,
                            METER_HIGH_IMPEDANCE, &ghost, NULL));
    assert_int_equal(ghost.state, METER_GHOST);
    bench_near(ghost.value, (i == 0 ? 240 : 480) / sqrt(3), 6);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_name_reads_as_it_says),
      cmocka_unit_test(a_named_delta_is_not_in_doubt),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
