/* SPDX-License-Identifier: MIT */
/* Relay logic drawn as documents: what holds, what races, what chatters, and what a coil draws
 * before and after it has pulled in. */
#include "bench.h"
#include "parts/catalog.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

typedef struct {
  Circuit *circuit;
  Solution *solution;
} Case;

static Case
solve_at(const Document *document, double scale, const Case *before)
{
  GError *error = NULL;
  Case it = {.circuit = circuit_build(document, &(CircuitOptions){.supply_scale = scale})};
  it.solution = solution_new_warm(it.circuit, before != NULL ? before->solution : NULL, &error);
  if (it.solution == NULL)
    fail_msg("%s", error->message);
  return it;
}

static void
case_clear(Case *it)
{
  solution_free(it->solution);
  circuit_free(it->circuit);
}

static Document *
control_24v(void)
{
  Document *document = document_new(parts_catalog());
  const char *readings[6] = {"24 V", NULL, NULL, "24 V", "0 V", NULL};
  bench_supply(document, "S1", "1-phase-2-wire", readings);
  return document;
}

static void
add_relay(Document *document, const char *id)
{
  bench_add(document, id, "relay", "coil-volts", "24 V", "sealed", "5 VA", "inrush", "15 VA",
            "pick-up", "85 %", "drop-out", "50 %", NULL);
  g_autofree char *a2 = g_strconcat(id, ".A2", NULL);
  bench_land(document, "S1.L2", a2);
}

static CoilState
coil(const Case *it, const char *id)
{
  for (guint i = 0; i < it->circuit->coils->len; i++) {
    Owner owner = circuit_item(it->circuit->coils, Coil, i)->owner;
    if (g_str_equal(document_device(it->circuit->document, owner.index)->id, id))
      return it->solution->coils[i];
  }
  fail_msg("no coil of %s", id);
  return (CoilState){0};
}

/* Pull-in at 85 % on the way up, drop-out at 50 % on the way down; between the two it stays as it
 * was. */
static void
pick_up_and_drop_out(void **state)
{
  (void)state;
  g_autoptr(Document) document = control_24v();
  add_relay(document, "CR1");
  bench_land(document, "S1.L1", "CR1.A1");
  static const struct {
    double scale;
    bool in;
  } steps[] = {{0.30, false}, {0.84, false}, {0.86, true},  {0.60, true},
               {0.51, true},  {0.49, false}, {0.60, false}, {0.84, false}};
  Case before = {0};
  for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
    Case it = solve_at(document, steps[i].scale, i > 0 ? &before : NULL);
    if (coil(&it, "CR1").pulled_in != steps[i].in)
      fail_msg("at %.0f %% it is %s", 100 * steps[i].scale, steps[i].in ? "out" : "in");
    case_clear(&before);
    before = it;
  }
  case_clear(&before);
}

/* Held out it draws its inrush volt-amperes, pulled in the sealed ones (V times I at rated volts
 * goes with the square of the volts). */
static void
inrush_and_sealed(void **state)
{
  (void)state;
  g_autoptr(Document) document = control_24v();
  add_relay(document, "CR1");
  bench_land(document, "S1.L1", "CR1.A1");
  Case low = solve_at(document, 0.8, NULL);
  bench_near(cabs(low.solution->coil_amps[0]) * 24, 15 * 0.8, 1e-6);
  case_clear(&low);
  Case in = solve_at(document, 1, NULL);
  bench_near(cabs(in.solution->coil_amps[0]) * 24, 5, 1e-6);
  case_clear(&in);
}

/* A 10 VA transformer cannot lift a coil of 60 VA inrush: it hums and stays out, though the open
 * secondary reads well above 24 V. With 75 VA it pulls in. */
static void
transformer_too_small_to_lift(void **state)
{
  (void)state;
  for (int large = 0; large < 2; large++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    const char *readings[6] = {"120 V", NULL, NULL, "120 V", "0 V", NULL};
    bench_supply(document, "S1", "1-phase-2-wire", readings);
    bench_transformer(document, "T1", large ? "75 VA" : "10 VA", "H1 primary 0 V",
                      "H2 primary 120 V", "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    bench_land(document, "S1.L1", "T1.H2");
    bench_land(document, "S1.L2", "T1.H1");
    bench_add(document, "CR1", "relay", "coil-volts", "24 V", "sealed", "9 VA", "inrush", "60 VA",
              NULL);
    Case open = solve_at(document, 1, NULL);
    assert_true(bench_volts(open.solution, "T1.X2", "T1.X1") > 24);
    case_clear(&open);
    bench_land(document, "T1.X2", "CR1.A1");
    bench_land(document, "T1.X1", "CR1.A2");
    Case it = solve_at(document, 1, NULL);
    assert_int_equal(coil(&it, "CR1").pulled_in, large);
    assert_false(coil(&it, "CR1").chatters);
    if (!large)
      assert_true(bench_volts(it.solution, "CR1.A1", "CR1.A2") < 0.85 * 24);
    case_clear(&it);
  }
}

/* Start and stop buttons with a contact that seals in. */
static Document *
seal_in(void)
{
  Document *document = control_24v();
  add_relay(document, "CR1");
  bench_add(document, "PB1", "switch", "type", "push-button", "form", "normally-closed", NULL);
  bench_add(document, "PB2", "switch", "type", "push-button", "form", "normally-open", NULL);
  bench_land(document, "S1.L1", "PB1.1");
  bench_land(document, "PB1.2", "PB2.1");
  bench_land(document, "PB2.2", "CR1.A1");
  bench_land(document, "PB1.2", "CR1.C1");
  bench_land(document, "CR1.NO1", "CR1.A1");
  return document;
}

static void
seals_in_and_drops(void **state)
{
  (void)state;
  g_autoptr(Document) document = seal_in();
  Case cold = solve_at(document, 1, NULL);
  assert_false(coil(&cold, "CR1").pulled_in);
  bench_set(document, "PB2", "actuated", "yes");
  Case started = solve_at(document, 1, &cold);
  assert_true(coil(&started, "CR1").pulled_in);
  bench_set(document, "PB2", "actuated", "no");
  Case holds = solve_at(document, 1, &started);
  assert_true(coil(&holds, "CR1").pulled_in);
  /* After a power failure it has forgotten. */
  Case forgot = solve_at(document, 1, NULL);
  assert_false(coil(&forgot, "CR1").pulled_in);
  bench_set(document, "PB1", "actuated", "yes");
  Case stopped = solve_at(document, 1, &holds);
  assert_false(coil(&stopped, "CR1").pulled_in);
  bench_set(document, "PB1", "actuated", "no");
  Case rests = solve_at(document, 1, &stopped);
  assert_false(coil(&rests, "CR1").pulled_in);
  case_clear(&rests);
  case_clear(&stopped);
  case_clear(&forgot);
  case_clear(&holds);
  case_clear(&started);
  case_clear(&cold);
}

/* Each coil through the other's normally-closed contact: fed together, which one wins is a race;
 * fed one after the other it is not. */
static void
interlock(void **state)
{
  (void)state;
  g_autoptr(Document) document = control_24v();
  add_relay(document, "CR1");
  add_relay(document, "CR2");
  bench_add(document, "SW1", "switch", "type", "toggle", NULL);
  bench_add(document, "SW2", "switch", "type", "toggle", NULL);
  bench_land(document, "S1.L1", "SW1.1");
  bench_land(document, "S1.L1", "SW2.1");
  bench_land(document, "SW1.2", "CR2.C1");
  bench_land(document, "CR2.NC1", "CR1.A1");
  bench_land(document, "SW2.2", "CR1.C1");
  bench_land(document, "CR1.NC1", "CR2.A1");
  bench_set(document, "SW1", "actuated", "yes");
  Case first = solve_at(document, 1, NULL);
  assert_true(coil(&first, "CR1").pulled_in && !coil(&first, "CR1").race);
  bench_set(document, "SW2", "actuated", "yes");
  Case second = solve_at(document, 1, &first);
  assert_true(coil(&second, "CR1").pulled_in && !coil(&second, "CR2").pulled_in);
  assert_false(coil(&second, "CR1").race || coil(&second, "CR2").race);
  Case together = solve_at(document, 1, NULL);
  CoilState one = coil(&together, "CR1"), two = coil(&together, "CR2");
  assert_true(one.race && two.race);
  assert_false(one.chatters || two.chatters);
  assert_int_not_equal(one.pulled_in, two.pulled_in);
  case_clear(&together);
  case_clear(&second);
  case_clear(&first);
}

/* A coil through its own normally-closed contact is a buzzer. */
static void
buzzer(void **state)
{
  (void)state;
  g_autoptr(Document) document = control_24v();
  add_relay(document, "CR1");
  bench_land(document, "S1.L1", "CR1.C1");
  bench_land(document, "CR1.NC1", "CR1.A1");
  Case it = solve_at(document, 1, NULL);
  assert_true(coil(&it, "CR1").chatters);
  assert_false(coil(&it, "CR1").race);
  case_clear(&it);
}

/* The load that the relay switches drags its own transformer below drop-out. */
static void
load_that_drops_its_relay(void **state)
{
  (void)state;
  for (int heavy = 0; heavy < 2; heavy++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    const char *readings[6] = {"120 V", NULL, NULL, "120 V", "0 V", NULL};
    bench_supply(document, "S1", "1-phase-2-wire", readings);
    bench_transformer(document, "T1", "20 VA", "H1 primary 0 V", "H2 primary 120 V",
                      "X1 secondary 0 V", "X2 secondary 24 V", NULL);
    bench_land(document, "S1.L1", "T1.H2");
    bench_land(document, "S1.L2", "T1.H1");
    bench_add(document, "CR1", "relay", "coil-volts", "24 V", "sealed", "4 VA", "inrush", "6 VA",
              NULL);
    bench_land(document, "T1.X2", "CR1.A1");
    bench_land(document, "T1.X1", "CR1.A2");
    bench_land(document, "T1.X2", "CR1.C1");
    bench_add(document, "HTR1", "heater", "rated-volts", "24 V", "power", heavy ? "300 W" : "8 W",
              NULL);
    bench_land(document, "CR1.NO1", "HTR1.1");
    bench_land(document, "T1.X1", "HTR1.2");
    Case it = solve_at(document, 1, NULL);
    assert_int_equal(coil(&it, "CR1").chatters, heavy);
    if (!heavy)
      assert_true(coil(&it, "CR1").pulled_in);
    case_clear(&it);
  }
}

/* Twelve relays, each through a contact of the last that is drawn apart from it: twelve rounds, no
 * race. Opening the first one's feed takes them all down. */
static void
chain(void **state)
{
  (void)state;
  enum { N = 12 };
  g_autoptr(Document) document = control_24v();
  bench_add(document, "SW1", "switch", "type", "float", "actuated", "yes", NULL);
  bench_land(document, "S1.L1", "SW1.1");
  for (int i = 1; i <= N; i++) {
    g_autofree char *id = g_strdup_printf("CR%d", i), *a1 = g_strdup_printf("CR%d.A1", i);
    add_relay(document, id);
    if (i == 1) {
      bench_land(document, "SW1.2", a1);
      continue;
    }
    g_autofree char *last = g_strdup_printf("CR%d", i - 1), *k = g_strdup_printf("K%d", i);
    g_autofree char *one = g_strdup_printf("K%d.1", i), *two = g_strdup_printf("K%d.2", i);
    bench_add(document, k, "contact", "coil", last, NULL);
    bench_land(document, "S1.L1", one);
    bench_land(document, two, a1);
  }
  Case up = solve_at(document, 1, NULL);
  for (int i = 1; i <= N; i++) {
    g_autofree char *id = g_strdup_printf("CR%d", i);
    assert_true(coil(&up, id).pulled_in && !coil(&up, id).race && !coil(&up, id).chatters);
  }
  assert_in_range(up.solution->rounds, N, N + 1);
  bench_set(document, "SW1", "actuated", "no");
  Case down = solve_at(document, 1, &up);
  for (int i = 1; i <= N; i++) {
    g_autofree char *id = g_strdup_printf("CR%d", i);
    assert_false(coil(&down, id).pulled_in);
  }
  case_clear(&down);
  case_clear(&up);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pick_up_and_drop_out),
      cmocka_unit_test(inrush_and_sealed),
      cmocka_unit_test(transformer_too_small_to_lift),
      cmocka_unit_test(seals_in_and_drops),
      cmocka_unit_test(interlock),
      cmocka_unit_test(buzzer),
      cmocka_unit_test(load_that_drops_its_relay),
      cmocka_unit_test(chain),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
