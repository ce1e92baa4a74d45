/* SPDX-License-Identifier: MIT */
/* Every fault on any document the reader accepts: sound diagrams shaken by random edits, and heaps
 * of random devices landed at random. Whatever places a fault finds there can be made, inspected
 * and undone to the byte. Run under sanitizers it finds reads past the ends too. The seed is
 * printed; DOORSHEET_SEED repeats it. */
#include "../checks/edit_script.h"

#include "matrix.h"

#define RUNS 120
#define MOST_PLACES 2 /* of one fault on one document */

static gint32
pick(GRand *rand, guint n)
{
  return n > 0 ? g_rand_int_range(rand, 0, (gint32)n) : 0;
}

static bool
random_landing(GRand *rand, const Document *document, Landing *landing)
{
  guint devices = document_device_count(document);
  if (devices == 0)
    return false;
  const Device *device = document_device(document, (guint)pick(rand, devices));
  guint n = device_terminal_count(device);
  if (n == 0)
    return false;
  const Terminal *terminal = device_terminal(device, (guint)pick(rand, n));
  *landing = (Landing){device->id, (char *)(guintptr)terminal->name};
  return true;
}

/* NULL and refused changes are part of the game. */
static void
try_apply(Document *document, Change *change)
{
  if (change != NULL)
    document_apply(document, change, NULL);
}

static void
shake_conductor(GRand *rand, Document *document)
{
  static const char *const values[][2] = {
      {"gauge", "18 AWG"},     {"gauge", NULL},           {"length", "300 ft"}, {"colour", "white"},
      {"condition", "broken"}, {"condition", "loose"},    {"number", NULL},     {"number", "7"},
      {"insulation", "300 V"}, {"material", "aluminium"},
  };
  guint n = document_conductor_count(document);
  if (n == 0)
    return;
  const Conductor *conductor = document_conductor(document, (guint)pick(rand, n));
  Landing to;
  switch (pick(rand, 4)) {
  case 0:
    try_apply(document, edit_delete(document, (const char *const[]){NULL}, &conductor->key, 1));
    break;
  case 1:
    if (random_landing(rand, document, &to))
      try_apply(document, edit_reland(document, conductor->key, g_rand_boolean(rand), &to, NULL));
    break;
  default: {
    guint v = (guint)pick(rand, G_N_ELEMENTS(values));
    try_apply(document,
              edit_set_conductor_field(document, conductor->key, values[v][0], values[v][1], NULL));
  }
  }
}

static void
shake_device(GRand *rand, Document *document)
{
  guint n = document_device_count(document);
  if (n == 0)
    return;
  const Device *device = document_device(document, (guint)pick(rand, n));
  if (pick(rand, 8) == 0) {
    try_apply(document, edit_delete(document, (const char *const[]){device->id, NULL}, NULL, 0));
  } else if (device->kind->n_row_fields > 0 && device_row_count(device) > 0 && pick(rand, 2)) {
    guint field = (guint)pick(rand, device->kind->n_row_fields);
    guint row = (guint)pick(rand, device_row_count(device));
    try_apply(document,
              edit_set_row_field(document, device->id, row, device->kind->row_fields[field].name,
                                 pick(rand, 2) ? "1 V" : NULL, NULL));
  } else if (device->kind->n_fields > 0) {
    guint field = (guint)pick(rand, device->kind->n_fields);
    try_apply(document, edit_set_field(document, device->id, device->kind->fields[field].name,
                                       pick(rand, 2) ? "1 A" : NULL, NULL));
  }
}

static void
add_something(GRand *rand, Document *document)
{
  PartCatalog catalog = parts_catalog();
  guint kinds = 0;
  while (catalog[kinds] != NULL)
    kinds++;
  Point at = {pick(rand, 100) * GRID_STEP_MM, pick(rand, 80) * GRID_STEP_MM};
  Landing from, to;
  if (pick(rand, 3) == 0)
    try_apply(document, edit_place(document, catalog[pick(rand, kinds)], at, NULL));
  else if (random_landing(rand, document, &from) && random_landing(rand, document, &to))
    try_apply(document, edit_land(document, &from, &to, NULL));
}

static void
shake(GRand *rand, Document *document, int times)
{
  for (int i = 0; i < times; i++)
    switch (pick(rand, 3)) {
    case 0:
      shake_conductor(rand, document);
      break;
    case 1:
      shake_device(rand, document);
      break;
    default:
      add_something(rand, document);
    }
}

static void
assert_sane(const Inspection *inspection, const Fault *fault)
{
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    assert_non_null(check_find(finding->check));
    assert_true(g_utf8_validate(finding->message, -1, NULL));
    if (strstr(finding->message, "(null)") != NULL || strstr(finding->message, "nan") != NULL)
      fail_msg("%s: %s: %s", fault->name, finding->check, finding->message);
  }
}

static guint
try_faults(GRand *rand, Document *document, GHashTable *placed)
{
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(FaultScene) scene = fault_scene_new(inspection);
  g_autoptr(GBytes) before = document_write_memory(document);
  guint tried = 0;
  for (guint f = 0; fault_at(f) != NULL; f++) {
    const Fault *fault = fault_at(f);
    g_autoptr(GPtrArray) places = fault_places(fault, scene);
    for (guint p = 0; p < MIN(places->len, MOST_PLACES); p++) {
      const FaultPlace *place = g_ptr_array_index(places, (guint)pick(rand, places->len));
      assert_true(place->name != NULL && *place->name != '\0');
      g_autoptr(GError) error = NULL;
      Change *change = fault_change(fault, scene, place);
      assert_non_null(change);
      /* A landing that cannot be, such as one that is there twice, is refused with a sentence. */
      if (!document_apply(document, change, &error)) {
        assert_true(strlen(error->message) > 10);
        continue;
      }
      g_autoptr(Inspection) faulty = inspection_new(document);
      assert_sane(faulty, fault);
      document_undo(document);
      g_hash_table_add(placed, (gpointer)fault);
      tried++;
    }
  }
  g_autoptr(GBytes) after = document_write_memory(document);
  assert_true(g_bytes_equal(before, after));
  return tried;
}

static void
test_random(void **state)
{
  (void)state;
  const char *given = g_getenv("DOORSHEET_SEED");
  guint32 seed = given != NULL ? (guint32)g_ascii_strtoull(given, NULL, 10) : g_random_int();
  g_print("seed %u\n", seed);
  GRand *rand = g_rand_new_with_seed(seed);
  g_autoptr(GString) problems = g_string_new(NULL);
  g_autoptr(GHashTable) placed = g_hash_table_new(NULL, NULL);
  Sheets sheets = sheets_open(problems);
  guint tried = 0;
  for (int run = 0; run < RUNS; run++) {
    const Document *base = g_ptr_array_index(sheets.documents, (guint)run % sheets.documents->len);
    bool heap = run % 4 == 3; /* from an empty sheet */
    g_autoptr(Document) document = heap ? document_new(parts_catalog()) : document_snapshot(base);
    shake(rand, document, heap ? 80 : 1 + pick(rand, 12));
    tried += try_faults(rand, document, placed);
  }
  sheets_clear(&sheets);
  g_rand_free(rand);
  g_print("%u faults made, of %u kinds\n", tried, g_hash_table_size(placed));
  assert_true(g_hash_table_size(placed) >= 50);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_random),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
