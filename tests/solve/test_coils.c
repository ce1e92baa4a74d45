/* SPDX-License-Identifier: MIT */
/* Relay circuits of the trade: seal-in, interlock, buzzer, chain, and supplies too weak. */
#include "rig.h"
#include "solve/internal.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

enum { HOT = 1 };

static Solution *
solve(const Circuit *circuit, const Solution *before)
{
  g_autoptr(GError) error = NULL;
  Solution *solution = solution_new_warm(circuit, before, &error);
  if (solution == NULL)
    fail_msg("%s", error->message);
  return solution;
}

/* 24 V behind a small impedance from HOT to earth. */
static Circuit *
control_circuit(guint nodes, double ohms)
{
  Circuit *c = circuit_new_bare(nodes);
  rig_source(c, HOT, 0, 24, ohms);
  return c;
}

static int
relay(Circuit *c, guint node)
{
  return (int)rig_coil(c, node, 0, 24, 19.2, 12, rig_polar(7, 60), rig_polar(20, 50));
}

static void
test_pulls_in(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_circuit(3, 0.1);
  int coil = relay(c, HOT);
  guint makes = rig_contact(c, HOT, 2, false, coil), breaks = rig_contact(c, HOT, 2, true, coil);
  g_autoptr(Solution) s = solve(c, NULL);
  assert_true(s->coils[0].pulled_in);
  assert_false(s->coils[0].chatters || s->coils[0].race);
  assert_true(s->join_closed[makes]);
  assert_false(s->join_closed[breaks]);
  /* sealed: 7 VA at 24 V */
  double y = 7.0 / (24 * 24);
  assert_true(fabs(cabs(s->coil_amps[0]) - 24 / cabs(0.1 + 1 / (y * rig_polar(1, -60)))) < 1e-9);
}

static void
test_seal_in(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_circuit(3, 0.1);
  guint button = rig_join(c, HOT, 2, false);
  int coil = relay(c, 2);
  rig_contact(c, HOT, 2, false, coil);
  g_autoptr(Solution) rest = solve(c, NULL);
  assert_false(rest->coils[0].pulled_in);
  circuit_item(c->joins, Join, button)->closed = true;
  g_autoptr(Solution) pressed = solve(c, rest);
  assert_true(pressed->coils[0].pulled_in);
  circuit_item(c->joins, Join, button)->closed = false;
  g_autoptr(Solution) released = solve(c, pressed);
  assert_true(released->coils[0].pulled_in);
  g_autoptr(Solution) cold = solve(c, NULL);
  assert_false(cold->coils[0].pulled_in);
}

/* A coil in series with its own normally closed contact. */
static void
test_buzzer(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_circuit(4, 0.1);
  int coil = relay(c, 2);
  rig_contact(c, HOT, 2, true, coil);
  relay(c, 3); /* an honest relay beside it, pulled in by a contact of the buzzer's neighbour */
  rig_join(c, HOT, 3, true);
  g_autoptr(Solution) s = solve(c, NULL);
  assert_true(s->coils[0].chatters);
  assert_false(s->coils[0].race);
  assert_false(s->coils[1].chatters || s->coils[1].race);
  assert_true(s->coils[1].pulled_in);
}

/* Two relays, each held off by the other's normally closed contact: whoever is first stays. */
static void
test_interlock(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_circuit(4, 0.1);
  int first = relay(c, 2), second = relay(c, 3);
  rig_contact(c, HOT, 2, true, second);
  rig_contact(c, HOT, 3, true, first);
  g_autoptr(Solution) s = solve(c, NULL);
  assert_true(s->coils[0].race && s->coils[1].race);
  assert_false(s->coils[0].chatters || s->coils[1].chatters);
  assert_true(s->coils[0].pulled_in != s->coils[1].pulled_in);
}

static void
test_chain(void **state)
{
  (void)state;
  enum { LENGTH = 12 };
  g_autoptr(Circuit) c = control_circuit(2 + LENGTH, 0.01);
  rig_join(c, HOT, 2, true);
  int coil = relay(c, 2);
  for (guint k = 1; k < LENGTH; k++) {
    rig_contact(c, HOT, 2 + k, false, coil);
    coil = relay(c, 2 + k);
  }
  g_autoptr(Solution) s = solve(c, NULL);
  for (guint k = 0; k < LENGTH; k++)
    assert_true(s->coils[k].pulled_in && !s->coils[k].chatters && !s->coils[k].race);
  assert_int_equal(s->rounds, LENGTH + 1);
}

/* A contact that puts so much on a weak supply that its own coil lets go. */
static void
test_load_that_drops_its_coil(void **state)
{
  (void)state;
  g_autoptr(Circuit) c = control_circuit(3, 3);
  int coil = relay(c, HOT);
  rig_contact(c, HOT, 2, false, coil);
  rig_impedance(c, 2, 0, 2);
  g_autoptr(Solution) s = solve(c, NULL);
  assert_true(s->coils[0].chatters);
  circuit_item(c->impedances, Impedance, 0)->z = 60;
  g_autoptr(Solution) light = solve(c, NULL);
  assert_false(light->coils[0].chatters);
  assert_true(light->coils[0].pulled_in);
}

/* A unit of 10 VA cannot lift a contactor of 60 VA inrush: it hums and stays out. */
static void
test_inrush_too_large(void **state)
{
  (void)state;
  double ohms = 0.35 * 24 * 24 / 10; /* a third of its volts are gone at 10 VA */
  g_autoptr(Circuit) c = control_circuit(2, ohms);
  rig_coil(c, HOT, 0, 24, 19.2, 12, rig_polar(8, 60), rig_polar(60, 50));
  g_autoptr(Solution) s = solve(c, NULL);
  assert_false(s->coils[0].pulled_in);
  assert_false(s->coils[0].chatters);
  Phasor inrush = 24.0 * 24 / conj(rig_polar(60, 50));
  assert_true(fabs(cabs(solution_to_earth(s, HOT).volts) - cabs(24 * inrush / (inrush + ohms))) <
              1e-9);
  assert_true(cabs(solution_to_earth(s, HOT).volts) < 19.2);
  /* Already in, it would stay: the sealed coil asks for little. */
  Solution warm = *s;
  CoilState in = {.pulled_in = true};
  warm.coils = &in;
  g_autoptr(Solution) held = solve(c, &warm);
  assert_true(held->coils[0].pulled_in);
}

/* Contacts and coils at random: always an answer, and an answer that agrees with itself. */
static void
test_random_relays(void **state)
{
  (void)state;
  g_autoptr(GRand) random = g_rand_new_with_seed(7);
  guint settled = 0, races = 0, chatters = 0;
  for (guint k = 0; k < 500; k++) {
    guint coils = 1 + k % 9, nodes = 3 + coils;
    g_autoptr(Circuit) c = control_circuit(nodes, 0.05);
    for (guint i = 0; i < coils; i++)
      relay(c, 2 + i);
    for (guint i = 0; i < 2 * coils; i++)
      rig_contact(c, (guint)g_rand_int_range(random, 1, (gint)nodes),
                  (guint)g_rand_int_range(random, 1, (gint)nodes), g_rand_boolean(random),
                  (int)g_rand_int_range(random, 0, (gint)coils));
    g_autoptr(Solution) s = solve(c, NULL);
    bool chatter = false, race = false;
    for (guint i = 0; i < coils; i++) {
      chatter |= s->coils[i].chatters;
      race |= s->coils[i].race;
    }
    for (guint i = 0; i < coils && !chatter; i++) {
      double volts = cabs(solution_reading(s, 2 + i, 0).volts);
      assert_true(s->coils[i].pulled_in ? volts >= 12 : volts < 19.2);
    }
    settled += !chatter && !race;
    races += race && !chatter;
    chatters += chatter;
  }
  printf("500 relay circuits: %u settle, %u race, %u chatter\n", settled, races, chatters);
  assert_true(settled > 50 && chatters > 50);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_pulls_in),
      cmocka_unit_test(test_seal_in),
      cmocka_unit_test(test_buzzer),
      cmocka_unit_test(test_interlock),
      cmocka_unit_test(test_chain),
      cmocka_unit_test(test_load_that_drops_its_coil),
      cmocka_unit_test(test_inrush_too_large),
      cmocka_unit_test(test_random_relays),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
