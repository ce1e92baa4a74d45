/* SPDX-License-Identifier: MIT */
/* Disjoint sets against labels that are rewritten at every join. */
#include "base/union_find.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define MEMBERS 60

static void
sets_are_those_of_plain_labels(void **state)
{
  (void)state;
  g_autoptr(GRand) rand = g_rand_new_with_seed(7);
  for (int round = 0; round < 200; round++) {
    g_autofree guint *parent = union_singletons(MEMBERS);
    guint label[MEMBERS];
    for (guint i = 0; i < MEMBERS; i++)
      label[i] = i;
    for (int joins = g_rand_int_range(rand, 0, MEMBERS); joins > 0; joins--) {
      guint a = (guint)g_rand_int_range(rand, 0, MEMBERS);
      guint b = (guint)g_rand_int_range(rand, 0, MEMBERS);
      guint low = MIN(label[a], label[b]), high = MAX(label[a], label[b]);
      union_join(parent, a, b);
      for (guint i = 0; i < MEMBERS; i++)
        label[i] = label[i] == high ? low : label[i];
    }
    for (guint i = 0; i < MEMBERS; i++)
      assert_int_equal(union_find(parent, i), label[i]);
    union_flatten(parent, MEMBERS);
    assert_memory_equal(parent, label, sizeof label);
  }
}

static void
no_members_are_no_sets(void **state)
{
  (void)state;
  g_autofree guint *parent = union_singletons(0);
  union_flatten(parent, 0);
  assert_non_null(parent);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(sets_are_those_of_plain_labels),
      cmocka_unit_test(no_members_are_no_sets),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
