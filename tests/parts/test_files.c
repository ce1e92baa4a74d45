/* SPDX-License-Identifier: MIT */
/* Every kind goes through a file and comes back the same, and the samples are what the program
 * itself would write. */
#include "bench.h"
#include "diagram/document_file.h"
#include "random_device.h"

#include <setjmp.h>
#include <stddef.h>

#include <cmocka.h>

static Document *
read_bytes(GBytes *bytes)
{
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autoptr(GError) error = NULL;
  Document *document = document_read_memory(data, size, "memory", parts_catalog(), &error);
  if (!document)
    fail_msg("%s\n%.*s", error->message, (int)MIN(size, 2000), data);
  return document;
}

static void
check_round_trip(const Document *document)
{
  g_autoptr(GBytes) first = document_write_memory(document);
  g_autoptr(Document) again = read_bytes(first);
  assert_true(document_equal(document, again));
  g_autoptr(GBytes) second = document_write_memory(again);
  assert_true(g_bytes_equal(first, second));
}

static void
test_defaults(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(parts_catalog());
  PartCatalog catalog = parts_catalog();
  for (guint i = 0; catalog[i]; i++) {
    g_autofree char *id = document_free_id(document, catalog[i]->designation);
    bench_add(document, device_new(catalog[i], id));
  }
  check_round_trip(document);
}

static void
test_random_values(void **state)
{
  (void)state;
  PartCatalog catalog = parts_catalog();
  GRand *rand = g_rand_new_with_seed(2023);
  for (guint round = 0; round < 60; round++) {
    g_autoptr(Document) document = document_new(catalog);
    for (guint i = 0; catalog[i]; i++) {
      g_autofree char *id = document_free_id(document, catalog[i]->designation);
      Device *device = random_device(rand, catalog[i], id);
      device->placement = (Placement){{g_rand_int_range(rand, 0, 80) * GRID_STEP_MM,
                                       g_rand_int_range(rand, 0, 80) * GRID_STEP_MM},
                                      g_rand_int_range(rand, 0, 4),
                                      g_rand_boolean(rand)};
      if (device_derive(device, NULL))
        bench_add(document, device);
      else
        device_unref(device);
    }
    assert_true(document_device_count(document) > 5);
    check_round_trip(document);
  }
  g_rand_free(rand);
}

/* A sample that somebody edited by hand into another form would make every diff noisy. */
static void
test_samples_canonical(void **state)
{
  (void)state;
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  guint sound = 0, faulty = 0;
  for (const char *name = g_dir_read_name(dir); name; name = g_dir_read_name(dir)) {
    if (!g_str_has_suffix(name, ".doorsheet"))
      continue;
    *(g_str_has_prefix(name, "faulty-") ? &faulty : &sound) += 1;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autoptr(GError) error = NULL;
    g_autoptr(Document) document = document_read(path, parts_catalog(), &error);
    if (!document)
      fail_msg("%s", error->message);
    g_autofree char *data = NULL;
    gsize size = 0;
    assert_true(g_file_get_contents(path, &data, &size, NULL));
    g_autoptr(GBytes) read = g_bytes_new_static(data, size);
    g_autoptr(GBytes) written = document_write_memory(document);
    if (!g_bytes_equal(read, written))
      fail_msg("%s is not as the program writes it", name);
  }
  assert_true(sound >= 6 && faulty >= 6);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_defaults),
      cmocka_unit_test(test_random_values),
      cmocka_unit_test(test_samples_canonical),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
