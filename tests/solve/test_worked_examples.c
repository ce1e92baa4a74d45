/* SPDX-License-Identifier: MIT */
/* Published worked examples: Lessons In Electric Circuits vol. I and II, OpenStax College Physics
 * 2e and University Physics vol. 2, the DOE electrical science handbook, NEMA MG 1 and trade
 * articles. Each case in tests/data/networks/worked_examples names its own. Six of them print
 * digits from rounded steps; those agree with the answer recomputed to more figures. */
#include "network.h"
#include "rig.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static char *
path_of(const char *folder, const char *file)
{
  return g_build_filename(g_getenv("DOORSHEET_SOURCE"), "tests", "data", "networks", folder, file,
                          NULL);
}

static void
test_cases(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  g_autofree char *data = path_of("worked_examples", "data.csv");
  g_autofree char *expected = path_of("worked_examples", "expected.csv");
  NetworkTally tally;
  assert_true(network_compare(data, expected, stdout, &tally, &error));
  assert_int_equal(tally.failed, 0);
  assert_int_equal(tally.quantities, 83);
  assert_int_equal(tally.beside_print, 6);
}

static double
volts_of_case(const Table *data, const char *name)
{
  g_autoptr(Network) network = network_new(data, name, NULL);
  g_autoptr(Solution) s = solution_new(network_circuit(network), NULL);
  Phasor volts;
  assert_non_null(s);
  assert_true(network_quantity(network, s, "V", "2;0", &volts, NULL));
  return cabs(volts);
}

/* Lessons In Electric Circuits vol. II, ch. 9 sec. 6: regulation 6.8678 % from the printed 9.990
 * and 9.348 V, so to half a digit of those. */
static void
test_regulation(void **state)
{
  (void)state;
  g_autofree char *path = path_of("textbook_regulation_and_open_phase", "data.csv");
  g_autoptr(Table) data = table_read(path, NULL);
  assert_non_null(data);
  double open = volts_of_case(data, "reg_no_load"), full = volts_of_case(data, "reg_200ohm");
  assert_true(fabs(100 * (open - full) / full - 6.8678) < 100 * 2 * 0.0005 / 9.348);
}

/* IAEI magazine's infinite-bus example by the fault study: 1500 kVA, 480 V, 5.75 % and an unlimited
 * primary give 31 377.7 A (printed 31 374 from a rounded full-load current). */
static void
test_available_fault_current(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = circuit_new_bare(4);
  double volts = 480 / sqrt(3), ohms = 0.0575 * 480 * 480 / 1.5e6;
  for (guint k = 0; k < 3; k++)
    rig_source(c, 1 + k, 0, rig_polar(volts, -120.0 * k), CMPLX(0, ohms));
  assert_true(fabs(solution_fault_amps(c, 1, 0) - 31377.7) < 0.05);
  /* between two lines: sqrt(3)/2 of it */
  assert_true(fabs(solution_fault_amps(c, 1, 2) - 31377.7 * sqrt(3) / 2) < 0.05);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_cases),
      cmocka_unit_test(test_regulation),
      cmocka_unit_test(test_available_fault_current),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
