/* SPDX-License-Identifier: MIT */
#include "small_catalog.h"

static void
test_new_has_rows_and_terminals(void **state)
{
  (void)state;
  g_autoptr(Device) bank = device_new(&bank_kind, "T1");
  assert_int_equal(device_row_count(bank), 4);
  assert_int_equal(device_terminal_count(bank), 4);
  assert_string_equal(device_terminal(bank, 1)->name, "H2");
  assert_int_equal(device_terminal(bank, 1)->row, 1);
  assert_int_equal(device_terminal_index(bank, "X2"), 3);
  assert_int_equal(device_terminal_index(bank, "X9"), -1);
  assert_true(device_row_number(bank, 1, 2, -1) == 480.0);
  assert_int_equal(device_row_choice(bank, 2, 1), 1);
  assert_int_equal(device_row_choice(bank, 0, 1), 0); /* by default */
  assert_true(device_number_named(bank, "rating", -1) == 250.0);
  assert_true(device_number_named(bank, "nothing", -1) == -1.0);
  assert_null(device_value_named(bank, "nothing"));
  assert_string_equal(device_designation(bank), "T1");
  assert_true(device_set(bank, "designation", "T-AUX", NULL));
  assert_string_equal(device_designation(bank), "T-AUX");
}

static void
test_missing_values(void **state)
{
  (void)state;
  g_autoptr(Device) device = device_new(&every_kind, "LD1");
  assert_string_equal(device_text(device, 0), "");
  assert_int_equal(device_choice(device, 5), -1);
  assert_false(device_flag(device, 5));
  assert_true(device_set(device, "sealed", "yes", NULL));
  assert_true(device_flag(device, 5));
  assert_string_equal(device_text(device, 4), "run"); /* also the default reads as text */
}

static void
assert_error(GError **error, const char *a, const char *b)
{
  assert_non_null(*error);
  assert_non_null(strstr((*error)->message, a));
  assert_non_null(strstr((*error)->message, b));
  g_clear_error(error);
}

static void
test_complaints(void **state)
{
  (void)state;
  g_autoptr(GError) error = NULL;
  g_autoptr(Device) bank = device_new(&bank_kind, "T1");
  assert_false(device_set(bank, "raiting", "1 VA", &error));
  assert_error(&error, "T1 has no field \"raiting\"", "did you mean rating");
  assert_false(device_set(bank, "zzzzz", "1 VA", &error));
  assert_error(&error, "it has: designation, rating", "T1");
  assert_false(device_set(bank, "rating", "0.5 VA", &error));
  assert_error(&error, "T1, rating:", "from 1 VA to 1000000 VA");
  assert_false(device_set_row(bank, 1, "volts", "700 V", &error));
  assert_error(&error, "T1, lead 2, volts:", "from 0 V to 600 V");
  assert_false(device_set_row(bank, 9, "volts", "7 V", &error));
  assert_error(&error, "T1 has no lead 10", "it has 4");
  assert_true(device_set_row(bank, 1, "name", "H1", NULL));
  assert_false(device_derive(bank, &error));
  assert_error(&error, "T1 has two terminals named \"H1\"", "its own");
  assert_true(device_set_row(bank, 1, "name", NULL, NULL));
  assert_false(device_derive(bank, &error));
  assert_error(&error, "terminal 2 has no proper name", "\"X1\"");
  assert_true(device_set_row(bank, 1, "name", "H2", NULL));
  assert_true(device_set(bank, "rating", "13 VA", NULL));
  assert_false(device_derive(bank, &error));
  assert_error(&error, "13 VA is made by nobody", "250 VA");
  assert_true(device_set(bank, "rating", "14 VA", NULL));
  for (int i = 0; i < 5; i++)
    device_add_row(bank);
  assert_false(device_derive(bank, &error));
  assert_error(&error, "T1 has 9 of <lead>", "at most 8");
}

static void
test_copy_is_deep(void **state)
{
  (void)state;
  g_autoptr(Device) bank = small_device(&bank_kind, "T1", 10, 20);
  g_autoptr(Device) copy = device_copy(bank);
  assert_true(device_equal(bank, copy));
  assert_int_equal(device_terminal_count(copy), 4);
  assert_true(device_set_row(copy, 0, "volts", "5 V", NULL));
  assert_false(device_equal(bank, copy));
  assert_true(device_row_number(bank, 0, 2, -1) == 0.0);
  assert_true(device_set_row(copy, 0, "volts", "0 V", NULL));
  assert_true(device_equal(bank, copy));
  device_remove_row(copy, 3);
  assert_false(device_equal(bank, copy));
  assert_true(device_derive(copy, NULL));
  assert_int_equal(device_terminal_count(copy), 3);
  copy->placement.turns = 1;
  assert_int_equal(bank->placement.turns, 0);
}

static void
test_terminals_on_the_sheet(void **state)
{
  (void)state;
  g_autoptr(Device) contact = small_device(&contact_kind, "CR1", 50, 50);
  Point point = device_terminal_point(contact, 1);
  assert_true(point_equal(point, (Point){70, 50}));
  assert_int_equal(device_terminal_side(contact, 1), 0);
  contact->placement.turns = 1; /* clockwise: right turns to down */
  point = device_terminal_point(contact, 1);
  assert_true(point_equal(point, (Point){50, 70}));
  assert_int_equal(device_terminal_side(contact, 1), 1);
  assert_int_equal(device_terminal_side(contact, 0), 3);
  contact->placement.turns = 0;
  contact->placement.mirrored = true;
  point = device_terminal_point(contact, 1);
  assert_true(point_equal(point, (Point){30, 50}));
  assert_int_equal(device_terminal_side(contact, 1), 2);
  contact->placement.turns = 1; /* mirrored left, then turned clockwise: up */
  point = device_terminal_point(contact, 1);
  assert_true(point_equal(point, (Point){50, 30}));
  assert_int_equal(device_terminal_side(contact, 1), 3);
}

/* The side must agree with geometry in every placement: a step out of the terminal that way leads
 * away from the device's other terminal. */
static void
test_sides_agree_with_points(void **state)
{
  (void)state;
  static const Point steps[] = {{1, 0}, {0, 1}, {-1, 0}, {0, -1}};
  for (int turns = 0; turns < 4; turns++)
    for (int mirrored = 0; mirrored < 2; mirrored++) {
      g_autoptr(Device) contact = small_device(&contact_kind, "CR1", 50, 50);
      contact->placement.turns = turns;
      contact->placement.mirrored = mirrored;
      for (guint i = 0; i < 2; i++) {
        Point own = device_terminal_point(contact, i);
        Point other = device_terminal_point(contact, 1 - i);
        Point out = point_add(own, steps[device_terminal_side(contact, i)]);
        assert_true(point_distance(out, other) == point_distance(own, other) + 1.0);
      }
    }
}

static void
test_conductor_names(void **state)
{
  (void)state;
  g_autoptr(Conductor) conductor = conductor_new("FU1", "2", "T1", "H3");
  g_autofree char *name = conductor_dup_name(conductor);
  assert_string_equal(name, "conductor FU1.2-T1.H3");
  assert_true(conductor_set(conductor, "number", "101", NULL));
  g_autofree char *numbered = conductor_dup_name(conductor);
  assert_string_equal(numbered, "conductor 101");
  assert_string_equal(conductor_text(conductor, CONDUCTOR_WIRING), "field");
  assert_string_equal(conductor_text(conductor, CONDUCTOR_NOTE), "");
  g_autoptr(Conductor) copy = conductor_copy(conductor);
  copy->key = 9;
  assert_true(conductor_equal(conductor, copy));
  Point bend = {10, 20};
  g_array_append_val(copy->via, bend);
  assert_false(conductor_equal(conductor, copy));
}

static void
test_catalog(void **state)
{
  (void)state;
  assert_ptr_equal(part_catalog_find(small_catalog, "joint"), &joint_kind);
  assert_null(part_catalog_find(small_catalog, "join"));
  for (int group = 0; group < GROUP_COUNT; group++)
    assert_true(*part_group_title((PartGroup)group) != '\0');
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_new_has_rows_and_terminals),
      cmocka_unit_test(test_missing_values),
      cmocka_unit_test(test_complaints),
      cmocka_unit_test(test_copy_is_deep),
      cmocka_unit_test(test_terminals_on_the_sheet),
      cmocka_unit_test(test_sides_agree_with_points),
      cmocka_unit_test(test_conductor_names),
      cmocka_unit_test(test_catalog),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
