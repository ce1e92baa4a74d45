/* SPDX-License-Identifier: MIT */
/* The sound diagrams: written as the program writes them, quiet but for NOTICE, and over every
 * class of supply. */
#include "../checks/edit_script.h"

#include "matrix.h"

static void
test_canonical(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  guint sound = 0;
  for (guint i = 0; i < sheets.documents->len; i++) {
    const char *name = g_ptr_array_index(sheets.names, i);
    if (!g_str_has_prefix(name, "tests/data/sound"))
      continue;
    g_autofree char *path = manual_path(name, NULL);
    g_autofree char *text = NULL;
    gsize length, written;
    assert_true(g_file_get_contents(path, &text, &length, NULL));
    g_autoptr(GBytes) bytes = document_write_memory(g_ptr_array_index(sheets.documents, i));
    const char *canonical = g_bytes_get_data(bytes, &written);
    if (length != written || memcmp(text, canonical, length) != 0)
      g_string_append_printf(problems, "%s is not as the program writes it\n", name);
    sound++;
  }
  sheets_clear(&sheets);
  assert_true(sound >= 20);
  if (problems->len > 0)
    fail_msg("%s", problems->str);
}

static void
test_quiet(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  for (guint i = 0; i < sheets.documents->len; i++) {
    g_autoptr(Inspection) inspection = inspection_new(g_ptr_array_index(sheets.documents, i));
    assert_null(inspection->error);
    for (guint f = 0; f < inspection->findings->len; f++) {
      const Finding *finding = g_ptr_array_index(inspection->findings, f);
      if (finding->signal != SIGNAL_NOTICE)
        g_string_append_printf(problems, "%s: %s %s\n", (char *)g_ptr_array_index(sheets.names, i),
                               finding->check, finding->message);
    }
  }
  sheets_clear(&sheets);
  if (problems->len > 0)
    fail_msg("%s", problems->str);
}

typedef struct {
  SupplyClass class_;
  double nominal; /* line to line, or of the one line */
  double hertz;
} Wanted;

/* Systems of ANSI C84.1 and IEC 60038 that this trade meets. */
static const Wanted wanted[] = {
    {SYSTEM_ONE_PHASE_2W, 120, 60},
    {SYSTEM_ONE_PHASE_3W, 240, 60},
    {SYSTEM_TWO_LINES_OF_WYE, 208, 60},
    {SYSTEM_WYE_GROUNDED, 208, 60},
    {SYSTEM_UNGROUNDED, 240, 60},
    {SYSTEM_UNGROUNDED, 480, 60},
    {SYSTEM_DELTA_CORNER_GROUNDED, 480, 60},
    {SYSTEM_DELTA_CORNER_GROUNDED, 240, 60},
    {SYSTEM_DELTA_HIGH_LEG, 240, 60},
    {SYSTEM_WYE_GROUNDED, 480, 60},
    {SYSTEM_WYE_GROUNDED, 600, 60},
    {SYSTEM_WYE_GROUNDED, 400, 50},
};

static bool
is_wanted(const Wanted *want, const CircuitSupply *supply)
{
  return supply->system.class_ == want->class_ && supply->system.nominal_line == want->nominal &&
         supply->frequency == want->hertz;
}

static void
test_every_supply(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  guint seen[G_N_ELEMENTS(wanted)] = {0}, missing = 0;
  for (guint i = 0; i < sheets.documents->len; i++) {
    g_autoptr(Circuit) circuit = circuit_build(g_ptr_array_index(sheets.documents, i), NULL);
    for (guint s = 0; s < circuit->supplies->len; s++)
      for (gsize w = 0; w < G_N_ELEMENTS(wanted); w++)
        seen[w] += is_wanted(&wanted[w], circuit_item(circuit->supplies, CircuitSupply, s));
  }
  sheets_clear(&sheets);
  for (gsize w = 0; w < G_N_ELEMENTS(wanted); w++)
    if (seen[w] == 0) {
      g_printerr("no sound diagram on %g V %g Hz, %s\n", wanted[w].nominal, wanted[w].hertz,
                 supply_class_title(wanted[w].class_));
      missing++;
    }
  assert_int_equal(missing, 0);
}

/* And with every part that may stand on such a sheet. */
static void
test_every_role(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  guint missing = 0;
  for (PartCatalog kind = parts_catalog(); *kind != NULL; kind++) {
    bool seen = (*kind)->role == ROLE_TEST_POINT;
    for (guint i = 0; i < sheets.documents->len && !seen; i++) {
      const Document *document = g_ptr_array_index(sheets.documents, i);
      for (guint d = 0; d < document_device_count(document); d++)
        seen = seen || document_device(document, d)->kind == *kind;
    }
    if (!seen) {
      g_printerr("no sound diagram with a %s\n", (*kind)->name);
      missing++;
    }
  }
  sheets_clear(&sheets);
  assert_int_equal(missing, 0);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_canonical),
      cmocka_unit_test(test_quiet),
      cmocka_unit_test(test_every_supply),
      cmocka_unit_test(test_every_role),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
