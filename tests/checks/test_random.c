/* SPDX-License-Identifier: MIT */
/* Every check survives any document: random kinds with random values, landed at random. Run under
 * sanitizers it finds reads past the ends too. The seed is printed; DOORSHEET_SEED repeats it. */
#include "edit_script.h"

#include "checks/explain.h"

#include <math.h>

static const char *const colours[] = {"white", "green", "black", "orange", "bare", "plaid"};
static const char *const gauges[] = {"18 AWG", "14 AWG", "4/0 AWG", "500 kcmil", "2.5 mm2"};

/* A value the field may accept: an end of its range, something between, or one of its words. */
static char *
random_value(GRand *rand, const FieldSpec *field)
{
  if (field->type == FIELD_BOOLEAN)
    return g_strdup(g_rand_boolean(rand) ? "yes" : "no");
  if (field->type == FIELD_CHOICE) {
    guint n = g_strv_length((char **)field->choices);
    return g_strdup(field->choices[g_rand_int_range(rand, 0, (gint32)n)]);
  }
  double low = field->minimum, high = field->maximum > low ? field->maximum : 1000;
  double at = g_rand_double(rand);
  double value = g_rand_int_range(rand, 0, 4) == 0 ? low : low + (high - low) * at * at * at * at;
  if (field->type == FIELD_INTEGER)
    return g_strdup_printf("%d", (int)value);
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd(number, sizeof number, "%.6g", value);
  if (field->type == FIELD_QUANTITY || field->type == FIELD_RANGE)
    return g_strdup_printf("%s %s", number, unit_symbol(field->unit));
  return NULL;
}

static void
add_device(GRand *rand, Document *document)
{
  PartCatalog catalog = parts_catalog();
  guint kinds = 0;
  while (catalog[kinds] != NULL)
    kinds++;
  const PartKind *kind = catalog[g_rand_int_range(rand, 0, (gint32)kinds)];
  /* Something has to feed the rest. */
  if (g_rand_int_range(rand, 0, 4) == 0)
    kind = part_catalog_find(catalog, g_rand_boolean(rand) ? "supply" : "transformer");
  g_autofree char *id = NULL;
  Point at = {g_rand_int_range(rand, -20, 120) * GRID_STEP_MM,
              g_rand_int_range(rand, -20, 90) * GRID_STEP_MM};
  document_apply(document, edit_place(document, kind, at, &id), NULL);
  for (guint i = 0; i < 3 && kind->n_fields > 0; i++) {
    const FieldSpec *field = &kind->fields[g_rand_int_range(rand, 0, (gint32)kind->n_fields)];
    g_autofree char *value = random_value(rand, field);
    Change *change = edit_set_field(document, id, field->name, value, NULL);
    if (change != NULL)
      document_apply(document, change, NULL);
  }
  guint rows = device_row_count(document_find_device(document, id));
  for (guint i = 0; i < 6 && rows > 0; i++) {
    const FieldSpec *field =
        &kind->row_fields[g_rand_int_range(rand, 0, (gint32)kind->n_row_fields)];
    g_autofree char *value = random_value(rand, field);
    Change *change = edit_set_row_field(
        document, id, (guint)g_rand_int_range(rand, 0, (gint32)rows), field->name, value, NULL);
    if (change != NULL)
      document_apply(document, change, NULL);
  }
}

static bool
random_landing(GRand *rand, const Document *document, Landing *landing)
{
  const Device *device = document_device(
      document, (guint)g_rand_int_range(rand, 0, (gint32)document_device_count(document)));
  guint n = device_terminal_count(device);
  if (n == 0)
    return false;
  landing->device = device->id;
  landing->terminal =
      (char *)device_terminal(device, (guint)g_rand_int_range(rand, 0, (gint32)n))->name;
  return true;
}

static void
add_conductor(GRand *rand, Document *document)
{
  Landing from, to;
  if (!random_landing(rand, document, &from) || !random_landing(rand, document, &to))
    return;
  Change *land = edit_land(document, &from, &to, NULL);
  if (land == NULL || !document_apply(document, land, NULL))
    return;
  guint last = document_conductor_count(document) - 1;
  const struct {
    const char *field, *value;
  } fields[] = {
      {"colour", colours[g_rand_int_range(rand, 0, G_N_ELEMENTS(colours))]},
      {"gauge", gauges[g_rand_int_range(rand, 0, G_N_ELEMENTS(gauges))]},
      {"length", g_rand_boolean(rand) ? "40 ft" : NULL},
      {"insulation", g_rand_boolean(rand) ? "300 V" : NULL},
      {"number", g_rand_boolean(rand) ? "7" : NULL},
      {"raceway", g_rand_boolean(rand) ? "R1" : NULL},
      {"bundled", g_rand_int_range(rand, 0, 4) == 0 ? "45" : NULL},
      {"temperature", g_rand_boolean(rand) ? "90 C" : NULL},
      {"condition", g_rand_int_range(rand, 0, 6) == 0 ? "broken" : "sound"},
      {"condition", g_rand_int_range(rand, 0, 6) == 0 ? "loose" : NULL},
  };
  for (guint i = 0; i < G_N_ELEMENTS(fields); i++) {
    guint32 key = document_conductor(document, last)->key;
    Change *change =
        edit_set_conductor_field(document, key, fields[i].field, fields[i].value, NULL);
    if (change != NULL)
      document_apply(document, change, NULL);
  }
}

static void
assert_sane(const Finding *finding)
{
  assert_non_null(finding->check);
  assert_true(g_utf8_validate(finding->message, -1, NULL));
  assert_true(*finding->message != '\0' && *finding->remedy != '\0');
  static const char *const never[] = {"(null)", "nan", "inf ", "- V", "- A", "- VA"};
  for (guint i = 0; i < G_N_ELEMENTS(never); i++)
    if (strstr(finding->message, never[i]) != NULL || strstr(finding->remedy, never[i]) != NULL)
      fail_msg("%s: %s -> %s", finding->check, finding->message, finding->remedy);
}

/* Whatever a remedy proposes can be applied and taken back. */
static void
try_remedy(Document *document, const Inspection *inspection, const Finding *finding)
{
  if (!inspection_has_remedy(inspection, finding))
    return;
  assert_non_null(check_explanation(finding->check)->remedy);
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) before = document_write_memory(document);
  Change *change = inspection_remedy(inspection, finding, &error);
  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("remedy of %s (%s): %s", finding->check, finding->remedy,
             error != NULL ? error->message : "no change");
  document_undo(document);
  g_autoptr(GBytes) after = document_write_memory(document);
  assert_true(g_bytes_equal(before, after));
}

/* Nothing is sound that was not computed. */
static bool
says_not_solved(const Inspection *inspection)
{
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (strcmp(finding->check, "not-solved") != 0)
      continue;
    assert_true(finding->signal <= SIGNAL_WARNING && finding->places->len > 0);
    assert_false(findings_sound(inspection->findings));
    return true;
  }
  return false;
}

static void
test_random_documents(void **state)
{
  (void)state;
  const char *given = g_getenv("DOORSHEET_SEED");
  guint32 seed = given != NULL ? (guint32)g_ascii_strtoull(given, NULL, 10) : g_random_int();
  g_print("seed %u\n", seed);
  GRand *rand = g_rand_new_with_seed(seed);
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  for (int run = 0; run < 400; run++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    int devices = g_rand_int_range(rand, 1, 25);
    for (int i = 0; i < devices; i++)
      add_device(rand, document);
    int conductors = g_rand_int_range(rand, 0, 3 * devices);
    for (int i = 0; i < conductors; i++)
      add_conductor(rand, document);
    g_autoptr(Inspection) inspection = inspection_new(document);
    assert_int_equal(inspection->error != NULL || inspection->closed_error != NULL,
                     says_not_solved(inspection));
    for (guint i = 0; i < inspection->findings->len; i++) {
      const Finding *finding = g_ptr_array_index(inspection->findings, i);
      assert_sane(finding);
      g_hash_table_add(seen, (gpointer)finding->check);
      try_remedy(document, inspection, finding);
    }
  }
  g_rand_free(rand);
  g_print("%u different checks found something\n", g_hash_table_size(seen));
  /* Random documents that trigger next to nothing would test nothing. */
  assert_true(g_hash_table_size(seen) >= 25);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_random_documents),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
