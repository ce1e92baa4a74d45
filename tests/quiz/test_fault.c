/* SPDX-License-Identifier: MIT */
/* The catalogue of faults against every sound diagram: the intended finding appears, nothing else
 * above NOTICE but what follows, and undo restores the document to the byte. */
#include "../checks/edit_script.h"

#include "quiz/fault.h"

typedef struct {
  GPtrArray *names; /* folder/file */
  GPtrArray *documents;
} Sheets;

static void
add_folder(Sheets *sheets, const char *folder)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  g_autofree char *path = g_build_filename(root != NULL ? root : ".", folder, NULL);
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  assert_non_null(dir);
  const char *name;
  while ((name = g_dir_read_name(dir)) != NULL) {
    if (!g_str_has_suffix(name, ".doorsheet") || g_str_has_prefix(name, "faulty-"))
      continue;
    g_ptr_array_add(sheets->names, g_build_filename(folder, name, NULL));
    g_ptr_array_add(sheets->documents, script_open(folder, name));
  }
}

static Sheets
sound_sheets(void)
{
  Sheets sheets = {g_ptr_array_new_with_free_func(g_free),
                   g_ptr_array_new_with_free_func((GDestroyNotify)document_free)};
  add_folder(&sheets, "samples");
  add_folder(&sheets, "tests/data/sound");
  add_folder(&sheets, "tests/data/checks");
  assert_true(sheets.names->len >= 25);
  return sheets;
}

static void
sheets_clear(Sheets *sheets)
{
  g_ptr_array_unref(sheets->names);
  g_ptr_array_unref(sheets->documents);
}

static bool
holds_check(const Inspection *inspection, const char *check)
{
  for (guint i = 0; i < inspection->findings->len; i++)
    if (strcmp(((const Finding *)g_ptr_array_index(inspection->findings, i))->check, check) == 0)
      return true;
  return false;
}

/* Nothing above NOTICE but the fault's own finding and what is listed to follow. */
static void
assert_only(const Fault *fault, const Inspection *inspection, const char *sheet)
{
  g_autofree char *also = g_strdup_printf(" %s ", fault->also != NULL ? fault->also : "");
  assert_true(holds_check(inspection, fault->check));
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    g_autofree char *word = g_strdup_printf(" %s ", finding->check);
    if (finding->signal != SIGNAL_NOTICE && strcmp(finding->check, fault->check) != 0 &&
        strstr(also, word) == NULL)
      fail_msg("%s on %s also finds %s: %s", fault->name, sheet, finding->check, finding->message);
  }
}

/* True when the fault has a place on the sheet. */
static bool
try_fault(const Fault *fault, Document *document, const char *sheet)
{
  g_autoptr(GBytes) before = document_write_memory(document);
  g_autoptr(Inspection) sound = inspection_new(document);
  g_autofree char *place = NULL;
  Change *change = fault_make(fault, sound, 0, &place);
  if (change == NULL)
    return false;
  assert_non_null(place);
  assert_false(holds_check(sound, fault->check));
  assert_true(document_apply(document, change, NULL));
  g_autoptr(Inspection) faulty = inspection_new(document);
  assert_only(fault, faulty, sheet);
  document_undo(document);
  g_autoptr(GBytes) after = document_write_memory(document);
  assert_true(g_bytes_equal(before, after));
  return true;
}

static void
test_matrix(void **state)
{
  (void)state;
  Sheets sheets = sound_sheets();
  guint unplaced = 0, placed = 0;
  for (const Fault *fault = fault_table; fault->name != NULL; fault++) {
    guint places = 0;
    for (guint i = 0; i < sheets.documents->len; i++)
      places += try_fault(fault, g_ptr_array_index(sheets.documents, i),
                          g_ptr_array_index(sheets.names, i));
    g_print("%-24s %-28s on %2u of %u sheets\n", fault->name, fault->check, places,
            sheets.documents->len);
    if (places == 0)
      unplaced++;
    placed += places;
  }
  sheets_clear(&sheets);
  assert_int_equal(unplaced, 0);
  assert_true(placed >= 60);
}

static void
test_table(void **state)
{
  (void)state;
  for (const Fault *fault = fault_table; fault->name != NULL; fault++) {
    assert_ptr_equal(fault_find(fault->name), fault);
    assert_non_null(check_find(fault->check));
    assert_true(strlen(fault->title) > 8);
    g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
    for (guint i = 0; also[i] != NULL; i++)
      assert_non_null(check_find(also[i]));
  }
  assert_null(fault_find("no-such-fault"));
}

/* Places are counted: the second differs from the first, and after the last there is none. */
static void
test_places(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("tests/data/checks", "control-480");
  g_autoptr(Inspection) sound = inspection_new(document);
  const Fault *fault = fault_find("lead-left-open");
  g_autofree char *one = NULL, *two = NULL, *three = NULL;
  Change *first = fault_make(fault, sound, 0, &one), *second = fault_make(fault, sound, 1, &two);
  assert_non_null(first);
  assert_non_null(second);
  assert_string_not_equal(one, two);
  assert_null(fault_make(fault, sound, 2, &three)); /* two capped leads */
  change_free(first);
  change_free(second);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_table),
      cmocka_unit_test(test_places),
      cmocka_unit_test(test_matrix),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
