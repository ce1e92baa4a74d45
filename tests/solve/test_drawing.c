/* SPDX-License-Identifier: MIT */
/* Invariance on the sheet: turning, mirroring or moving a device, or splitting a conductor by a
 * splice, changes no reading. */
#include "bench.h"
#include "diagram/edit.h"
#include "parts/catalog.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

static const char *const places[] = {"S1.L1", "S1.L2", "T1.H1", "T1.H2", "T1.H3",
                                     "T1.X1", "T1.X2", "LD1.1", "LD1.2"};
static const char *const ids[] = {"S1", "T1", "LD1"};

/* A measured 480Y/277 supply, a 480/240 to 120 V transformer bonded at X1, a pump. */
static Document *
drawing(void)
{
  const char *const readings[6] = {"486 V", "483 V", "485 V", "281 V", "279 V", "280 V"};
  Document *document = document_new(parts_catalog());
  bench_supply(document, "S1", "3-phase-4-wire", readings);
  bench_transformer(document, "T1", "250 VA", "H1 primary 0 V", "H2 primary 240 V",
                    "H3 primary 480 V", "X1 secondary 0 V", "X2 secondary 120 V", NULL);
  bench_add(document, "LD1", "load", "accepts", "110..125 V", "power", "90 VA", NULL);
  bench_land_sized(document, "S1.L1", "T1.H1", "14 AWG", "60 ft");
  bench_land_sized(document, "S1.L2", "T1.H3", "14 AWG", "60 ft");
  bench_land_sized(document, "T1.X2", "LD1.1", "16 AWG", "90 ft");
  bench_land_sized(document, "T1.X1", "LD1.2", "16 AWG", "90 ft");
  return document;
}

static void
apply(Document *document, Change *change)
{
  g_autoptr(GError) error = NULL;
  assert_non_null(change);
  if (!document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

/* Both documents read the same between every two places. */
static void
assert_same_readings(const Document *document, const Document *other)
{
  g_autoptr(Circuit) c = circuit_build(document, NULL);
  g_autoptr(Circuit) d = circuit_build(other, NULL);
  g_autoptr(Solution) s = solution_new(c, NULL);
  g_autoptr(Solution) t = solution_new(d, NULL);
  guint live = 0;
  assert_non_null(s);
  assert_non_null(t);
  for (gsize i = 0; i < G_N_ELEMENTS(places); i++)
    for (gsize k = 0; k < i; k++) {
      Reading mine = solution_reading(s, bench_node(c, places[i]), bench_node(c, places[k]));
      Reading theirs = solution_reading(t, bench_node(d, places[i]), bench_node(d, places[k]));
      assert_int_equal(mine.state, theirs.state);
      assert_true(cabs(mine.volts - theirs.volts) <= 1e-9 * 486);
      live += mine.state == READING_LIVE && cabs(mine.volts) > 1;
    }
  assert_true(live > 10); /* there is something to compare */
}

static void
test_turning(void **state)
{
  (void)state;
  for (gsize i = 0; i < G_N_ELEMENTS(ids); i++)
    for (int turns = 1; turns < 4; turns++) {
      g_autoptr(Document) plain = drawing();
      g_autoptr(Document) turned = drawing();
      const char *const which[] = {ids[i], NULL};
      apply(turned, edit_turn(turned, which, turns));
      assert_same_readings(plain, turned);
      apply(turned, edit_mirror(turned, which));
      assert_same_readings(plain, turned);
      apply(turned, edit_move(turned, which, (Point){.x = 25, .y = 10}));
      assert_same_readings(plain, turned);
    }
}

static void
test_splice(void **state)
{
  (void)state;
  g_autoptr(Document) plain = drawing();
  for (guint i = 0; i < document_conductor_count(plain); i++) {
    g_autoptr(Document) spliced = drawing();
    g_autoptr(GError) error = NULL;
    bench_add(spliced, "TP1", "test-point", NULL);
    const Conductor *conductor = document_conductor(spliced, i);
    const Device *point = document_find_device(spliced, "TP1");
    g_autofree char *device = g_strdup("TP1");
    g_autofree char *terminal = g_strdup(device_terminal(point, 0)->name);
    Landing from = {.device = device, .terminal = terminal};
    Change *change =
        edit_land_on_conductor(spliced, &from, conductor->key, (Point){.x = 100, .y = 100}, &error);
    if (change == NULL)
      fail_msg("%s", error->message);
    apply(spliced, change);
    assert_same_readings(plain, spliced);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_turning),
      cmocka_unit_test(test_splice),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
