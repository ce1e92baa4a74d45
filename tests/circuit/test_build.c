/* SPDX-License-Identifier: MIT */
#include "base/finding.h"
#include "kit.h"
#include "tables/conductor.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static void
an_empty_sheet(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(kit_catalog);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit->n_nodes, 1);
  assert_int_equal(circuit->joins->len, 0);
  assert_int_equal(circuit->findings->len, 0);
  kit_near(circuit->options.supply_scale, 1, 0);
}

static void
nodes_and_names(void **state)
{
  (void)state;
  g_autoptr(Document) document = kit_document("A box", "G1 earth", "B box", NULL);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit->n_nodes, 6);
  assert_int_equal(circuit_node(circuit, 0, 0), 1);
  assert_int_equal(circuit_node(circuit, 2, 1), 5);
  assert_int_equal(circuit_node(circuit, 2, 2), G_MAXUINT);
  assert_int_equal(circuit_node(circuit, 3, 0), G_MAXUINT);
  assert_int_equal(circuit->places[5].device, 2);
  assert_int_equal(circuit->places[5].terminal, 1);
  g_autofree char *name = circuit_node_name(circuit, 5), *ground = circuit_node_name(circuit, 0);
  assert_string_equal(name, "B.2");
  assert_string_equal(ground, "GND");
  char device[] = "B", terminal[] = "2", nowhere[] = "9";
  assert_int_equal(
      circuit_node_of_landing(circuit, &(Landing){.device = device, .terminal = terminal}), 5);
  assert_int_equal(
      circuit_node_of_landing(circuit, &(Landing){.device = device, .terminal = nowhere}),
      G_MAXUINT);
  assert_int_equal(circuit_node_of_landing(circuit, &(Landing){0}), 0);
  char gnd[] = "GND";
  assert_int_equal(circuit_node_of_landing(circuit, &(Landing){.device = gnd}), 0);
  g_autofree char *owner = circuit_owner_name(circuit, (Owner){OWNER_DEVICE, 2, 0});
  assert_string_equal(owner, "B");
}

static void
earth_is_bonded_once(void **state)
{
  (void)state;
  g_autoptr(Document) document = kit_document("G1 earth", NULL);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit->joins->len, 1);
  const Join *join = circuit_item(circuit->joins, Join, 0);
  assert_int_equal(join->role, JOIN_BOND);
  assert_true(join->closed);
  assert_int_equal(join->b, 0);
  assert_int_equal(join->coil, -1);
}

static void
locking_out_opens(void **state)
{
  (void)state;
  g_autoptr(Document) document = kit_document("A box", NULL);
  g_autoptr(Circuit) energized = circuit_build(document, NULL);
  assert_true(circuit_item(energized->joins, Join, 0)->closed);
  g_autoptr(Circuit) locked = circuit_build(document, &(CircuitOptions){.locked_out = true});
  assert_false(circuit_item(locked->joins, Join, 0)->closed);
  assert_true(circuit_item(locked->joins, Join, 0)->lockable);
}

static const Impedance *
only_impedance(const Circuit *circuit)
{
  assert_int_equal(circuit->impedances->len, 1);
  return circuit_item(circuit->impedances, Impedance, 0);
}

/* NFPA 70 Chapter 9 Table 8: 14 AWG stranded copper 3.14 ohm for 1000 ft at 75 C; aluminium
 * 12 AWG 3.25; note 2: alpha 0.00323. */
static void
conductors_have_impedance(void **state)
{
  (void)state;
  g_autoptr(Document) document = kit_document("A box", "B box", NULL);
  kit_land(document, "A.1", "B.1", "gauge", "14 AWG", "length", "100 ft", NULL);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  const Impedance *z = only_impedance(circuit);
  kit_near(creal(z->z), 0.314, 0.002);
  assert_true(cimag(z->z) > 0 && cimag(z->z) < 0.02);
  assert_int_equal(z->role, IMPEDANCE_CONDUCTOR);
  assert_int_equal(z->owner.kind, OWNER_CONDUCTOR);
  assert_int_equal(z->a, 1);
  assert_int_equal(z->b, 3);
}

static void
conductor_temperature(void **state)
{
  (void)state;
  static const struct {
    const char *rating;
    double celsius;
  } rows[] = {{"60 C", 60}, {"75 C", 75}, {"90 C", 75}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    g_autoptr(Document) document = kit_document("A box", "B box", NULL);
    kit_land(document, "A.1", "B.1", "gauge", "12 AWG", "length", "10 m", "temperature",
             rows[i].rating, "material", "aluminium", NULL);
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    kit_near(creal(only_impedance(circuit)->z),
             10 * conductor_ohms_per_metre(quantity_make(12, UNIT_AWG), METAL_ALUMINIUM,
                                           rows[i].celsius),
             1e-12);
  }
}

static void
other_conductors_join(void **state)
{
  (void)state;
  static const struct {
    const char *field, *text;
    bool closed;
  } rows[] = {{"gauge", "14 AWG", true},
              {"length", "3 m", true},
              {"number", "101", true},
              {"condition", "broken", false},
              {"condition", "loose", false}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    g_autoptr(Document) document = kit_document("A box", "B box", NULL);
    kit_land(document, "A.1", "B.1", rows[i].field, rows[i].text, NULL);
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    assert_int_equal(circuit->impedances->len, 0);
    const Join *join = circuit_item(circuit->joins, Join, circuit->joins->len - 1);
    assert_int_equal(join->role, JOIN_CONDUCTOR);
    assert_int_equal(join->closed, rows[i].closed);
    assert_int_equal(join->owner.kind, OWNER_CONDUCTOR);
  }
}

static void
a_broken_conductor_has_no_impedance(void **state)
{
  (void)state;
  g_autoptr(Document) document = kit_document("A box", "B box", NULL);
  kit_land(document, "A.1", "B.1", "gauge", "14 AWG", "length", "3 m", "condition", "broken", NULL);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit->impedances->len, 0);
  assert_false(circuit_item(circuit->joins, Join, circuit->joins->len - 1)->closed);
}

/* Two conductors of 10 m and 4 m between the same two devices: 4 m beside each other, half at each
 * end, and each to earth in proportion to its own length. */
static void
strays_follow_length(void **state)
{
  (void)state;
  g_autoptr(Document) document = kit_document("A box", "B box", NULL);
  kit_land(document, "A.1", "B.1", "length", "10 m", NULL);
  kit_land(document, "A.2", "B.2", "length", "4 m", NULL);
  kit_land(document, "A.2", "B.1", "number", "3", NULL); /* length unknown: no strays */
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  double earth[2] = {0, 0}, between = 0;
  for (guint i = 0; i < circuit->strays->len; i++) {
    const Stray *stray = circuit_item(circuit->strays, Stray, i);
    assert_true(stray->owner.index < 2);
    if (stray->b == 0)
      earth[stray->owner.index] += stray->farads;
    else
      between += stray->farads;
  }
  kit_near(earth[0] / earth[1], 2.5, 1e-9);
  kit_near(between / earth[1], 0.6, 1e-9);
}

static void
contacts_find_their_coil(void **state)
{
  (void)state;
  /* The contact stands before its coil; the coil answers to its designation, not to its place. */
  g_autoptr(Document) document = kit_document("C1 contact", "K9 coil", "K2 coil", NULL);
  kit_set(document, "K2", "designation", "CR1");
  kit_set(document, "C1", "coil", "CR1");
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  assert_int_equal(circuit_item(circuit->joins, Join, 0)->coil, 1);
  assert_int_equal(circuit->findings->len, 0);
  assert_int_equal(circuit->contact_links->len, 0);
  kit_set(document, "C1", "coil", "K9"); /* by id */
  g_autoptr(Circuit) by_id = circuit_build(document, NULL);
  assert_int_equal(circuit_item(by_id->joins, Join, 0)->coil, 0);
  kit_set(document, "C1", "coil", "CR7");
  g_autoptr(Circuit) lost = circuit_build(document, NULL);
  assert_int_equal(circuit_item(lost->joins, Join, 0)->coil, -1);
  assert_int_equal(lost->findings->len, 1);
  const Finding *finding = g_ptr_array_index(lost->findings, 0);
  assert_non_null(strstr(finding->message, "CR7"));
  assert_string_equal(g_ptr_array_index(finding->places, 0), "C1");
}

static void
the_snapshot_outlives_the_document(void **state)
{
  (void)state;
  Document *document = kit_document("A box", "B box", NULL);
  kit_land(document, "A.1", "B.1", "number", "101", NULL);
  g_autoptr(Circuit) circuit = circuit_build(document, NULL);
  document_free(document);
  const Join *join = circuit_item(circuit->joins, Join, circuit->joins->len - 1);
  g_autofree char *name = circuit_owner_name(circuit, join->owner);
  assert_string_equal(name, "conductor 101");
}

static double
cpu_seconds(void)
{
  struct timespec now;
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

/* A chain of n boxes; processor seconds for one build, the best of five. */
static double
time_of_chain(guint n)
{
  g_autoptr(Document) document = document_new(kit_catalog);
  Change *change = change_new("chain");
  for (guint i = 0; i < n; i++) {
    g_autofree char *id = g_strdup_printf("K%u", i);
    g_autoptr(Device) device = device_new(kit_catalog[0], id);
    assert_true(device_derive(device, NULL));
    change_device(change, NULL, device);
  }
  for (guint i = 1; i < n; i++) {
    g_autofree char *from = g_strdup_printf("K%u", i - 1), *to = g_strdup_printf("K%u", i);
    g_autoptr(Conductor) conductor = conductor_new(from, "2", to, "1");
    change_conductor(change, NULL, conductor);
  }
  assert_true(document_apply(document, change, NULL));
  double best = INFINITY;
  for (int round = 0; round < 5; round++) {
    double start = cpu_seconds();
    g_autoptr(Circuit) circuit = circuit_build(document, NULL);
    best = fmin(best, cpu_seconds() - start);
    assert_int_equal(circuit->joins->len, 2 * n - 1);
  }
  return best;
}

static void
growth_is_near_linear(void **state)
{
  (void)state;
  /* Both sizes are beyond the processor's caches, which would flatter the small one. */
  double small = time_of_chain(12000), large = time_of_chain(48000);
  print_message("12 000 devices %.2f ms, 48 000 devices %.2f ms\n", 1e3 * small, 1e3 * large);
  assert_true(large < 10 * small); /* quadratic growth would be 16 times */
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(an_empty_sheet),
      cmocka_unit_test(nodes_and_names),
      cmocka_unit_test(earth_is_bonded_once),
      cmocka_unit_test(locking_out_opens),
      cmocka_unit_test(conductors_have_impedance),
      cmocka_unit_test(conductor_temperature),
      cmocka_unit_test(other_conductors_join),
      cmocka_unit_test(a_broken_conductor_has_no_impedance),
      cmocka_unit_test(strays_follow_length),
      cmocka_unit_test(contacts_find_their_coil),
      cmocka_unit_test(the_snapshot_outlives_the_document),
      cmocka_unit_test(growth_is_near_linear),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
