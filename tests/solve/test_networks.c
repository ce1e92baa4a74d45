/* SPDX-License-Identifier: MIT */
/* Every case of the published networks in tests/data/networks; each file names its source. */
#include "network.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

static void
run(const char *name, guint quantities)
{
  g_autoptr(GError) error = NULL;
  const char *root = g_getenv("DOORSHEET_SOURCE");
  g_autofree char *data =
      g_build_filename(root, "tests", "data", "networks", name, "data.csv", NULL);
  g_autofree char *expected =
      g_build_filename(root, "tests", "data", "networks", name, "expected.csv", NULL);
  NetworkTally tally;
  assert_non_null(root);
  assert_true(network_compare(data, expected, stdout, &tally, &error));
  assert_null(error);
  assert_int_equal(tally.failed, 0);
  assert_int_equal(tally.quantities, quantities);
}

static void
test_ieee_4_bus(void **state)
{
  (void)state;
  run("ieee4node_closed", 120);
}

static void
test_centre_tap(void **state)
{
  (void)state;
  run("centre_tapped_120_240", 5);
}

static void
test_four_wire_loads(void **state)
{
  (void)state;
  run("lv_4wire_loads", 36);
}

static void
test_textbook(void **state)
{
  (void)state;
  run("textbook_regulation_and_open_phase", 51);
}

static void
test_meter_signatures(void **state)
{
  (void)state;
  run("meter_signatures", 32);
}

static void
test_small_transformer(void **state)
{
  (void)state;
  run("small_transformer_oc_sc", 5);
}

/* The comparison itself can fail: a changed value and an unknown name are noticed. */
static void
compare_texts(const char *data, const char *expected, guint failed)
{
  g_autoptr(GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-networks-XXXXXX", NULL);
  g_autofree char *data_path = g_build_filename(folder, "data.csv", NULL);
  g_autofree char *expected_path = g_build_filename(folder, "expected.csv", NULL);
  NetworkTally tally;
  assert_true(g_file_set_contents(data_path, data, -1, NULL));
  assert_true(g_file_set_contents(expected_path, expected, -1, NULL));
  assert_true(network_compare(data_path, expected_path, stdout, &tally, &error));
  assert_int_equal(tally.failed, failed);
  remove(data_path);
  remove(expected_path);
  remove(folder);
}

static void
test_comparison_can_fail(void **state)
{
  (void)state;
  const char *data = "case,kind,name,nodes,values,units,note\n"
                     "a,vsrc,V,1;0,100;0,,\na,imp,R,1;2,3;4,,\na,zload,L,2;0,7;0,,\n";
  const char *heading = "case,quantity,type,spec,mag,deg,tol_mag,tol_deg\n";
  g_autofree char *good = g_strconcat(heading, "a,i,I,L,9.2848,-21.80,0.0005,0.005\n", NULL);
  g_autofree char *wrong = g_strconcat(heading, "a,i,I,L,9.2868,-21.80,0.0005,0.005\n", NULL);
  g_autofree char *turned = g_strconcat(heading, "a,i,I,-L,9.2848,-21.80,0.0005,0.005\n", NULL);
  g_autofree char *unknown = g_strconcat(heading, "a,i,I,X,8.9,,1,\na,v,V,9;0,1,,1,\n", NULL);
  compare_texts(data, good, 0);
  compare_texts(data, wrong, 1);
  compare_texts(data, turned, 1);
  compare_texts(data, unknown, 2);
}

/* Kinds and types the published cases do not use, by hand. Delta of three equal admittances y from
 * its line currents: Ia = y Vab - y Vca. Constant current 10 A at pf 0.8 lagging behind 1 ohm. */
static void
test_other_kinds(void **state)
{
  (void)state;
  const char *data = "case,kind,name,nodes,values,units,note\n"
                     "d,vsrc,A,a;0,120;0,,\nd,vsrc,B,b;0,120;-120,,\nd,vsrc,C,c;0,120;120,,\n"
                     "d,ydelta,D,a;b;c,0.1;0;0;0;-0.1;0;-0.1;0;0.1;0;0;0;0;0;-0.1;0;0.1;0,,\n"
                     "i,vsrc,V,1;0,100;0,,\ni,imp,Z,1;2,1;0,,\ni,iload,L,2;0,960;0;96,,\n"
                     "w,vsrc,V,1;0,120;0,,\nw,wind,T:p,1;0,120;0;0,,\nw,wind,T:s,2;3,24;1;0,,\n"
                     "w,core,T,,120;0.001;-0.002,,\nw,zload,R,2;3,11;0,,\n";
  const char *expected =
      "case,quantity,type,spec,mag,deg,tol_mag,tol_deg\n"
      "d,ia,I,D,36,0,1e-9,1e-7\nd,ib,I,D#2,36,-120,1e-9,1e-7\nd,s,S,D,12960,0,1e-6,1e-6\n"
      "d,nv,NV,a;b;c,0,,1e-9,\nd,ni,NI,A;B;-D#3,0,,1e-9,\n"
      "i,v,V,2;0,90,0,1e-9,1e-9\ni,i,I,L,10,0,1e-9,1e-9\ni,d,D,Z,10,0,1e-9,1e-9\n"
      "i,p,SP,1;0@-V,1000,,1e-8,\ni,q,S,L,900,0,1e-8,1e-8\n"
      "w,e,E,T:s,24,0,1e-9,1e-9\nw,i,I,R,2,0,1e-9,1e-9\nw,s,I,-T:s,2,0,1e-9,1e-9\n"
      "w,p,I,T:p,0.572712843,-24.7751406,1e-6,1e-3\n";
  compare_texts(data, expected, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_ieee_4_bus),          cmocka_unit_test(test_centre_tap),
      cmocka_unit_test(test_four_wire_loads),     cmocka_unit_test(test_textbook),
      cmocka_unit_test(test_meter_signatures),    cmocka_unit_test(test_small_transformer),
      cmocka_unit_test(test_comparison_can_fail), cmocka_unit_test(test_other_kinds),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
