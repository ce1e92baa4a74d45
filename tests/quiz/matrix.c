/* SPDX-License-Identifier: MIT */
#include "matrix.h"

#include "diagram/document_file.h"
#include "parts/catalog.h"

#include <string.h>

char *
manual_path(const char *folder, const char *name)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  return g_build_filename(root != NULL ? root : ".", folder, name, NULL);
}

static gint
compare_names(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static void
add_folder(Sheets *sheets, const char *folder, GString *problems)
{
  g_autofree char *path = manual_path(folder, NULL);
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  g_autoptr(GPtrArray) names = g_ptr_array_new_with_free_func(g_free);
  for (const char *name; dir != NULL && (name = g_dir_read_name(dir)) != NULL;)
    if (g_str_has_suffix(name, ".doorsheet") && !g_str_has_prefix(name, "faulty-"))
      g_ptr_array_add(names, g_strdup(name));
  g_ptr_array_sort(names, compare_names);
  for (guint i = 0; i < names->len; i++) {
    const char *name = g_ptr_array_index(names, i);
    g_autofree char *file = g_build_filename(path, name, NULL);
    g_autoptr(GError) error = NULL;
    Document *document = document_read(file, parts_catalog(), &error);
    if (document == NULL) {
      g_string_append_printf(problems, "%s: %s\n", name, error->message);
      continue;
    }
    g_ptr_array_add(sheets->names, g_build_filename(folder, name, NULL));
    g_ptr_array_add(sheets->documents, document);
  }
}

Sheets
sheets_open(GString *problems)
{
  Sheets sheets = {g_ptr_array_new_with_free_func(g_free),
                   g_ptr_array_new_with_free_func((GDestroyNotify)document_free)};
  add_folder(&sheets, "samples", problems);
  add_folder(&sheets, "tests/data/sound", problems);
  add_folder(&sheets, "tests/data/checks", problems);
  return sheets;
}

void
sheets_clear(Sheets *sheets)
{
  g_ptr_array_unref(sheets->names);
  g_ptr_array_unref(sheets->documents);
}

guint
matrix_check_count(void)
{
  guint n = 0;
  while (checks_table[n].name != NULL)
    n++;
  return n;
}

/* Which checks newly find something, at any signal word. */
static void
count_hits(Matrix *matrix, guint fault, const Inspection *sound, const Inspection *faulty)
{
  g_autofree bool *seen = g_new0(bool, matrix->n_checks);
  for (guint i = 0; i < faulty->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(faulty->findings, i);
    const Check *check = check_find(finding->check);
    if (check == NULL || !fault_is_new(sound, finding))
      continue;
    /* Notices of other checks are no part of what the fault shows. */
    if (finding->signal == SIGNAL_NOTICE && strcmp(fault_at(fault)->check, check->name) != 0)
      continue;
    seen[check - checks_table] = true;
  }
  for (guint c = 0; c < matrix->n_checks; c++)
    matrix->hits[fault * matrix->n_checks + c] += seen[c];
}

static void
try_place(Matrix *matrix, guint index, Document *document, const FaultScene *scene,
          const Inspection *sound, const FaultPlace *place, const char *sheet, GString *problems)
{
  const Fault *fault = fault_at(index);
  g_autoptr(GBytes) before = document_write_memory(document);
  Change *change = fault_change(fault, scene, place);
  g_autoptr(GError) error = NULL;
  if (change == NULL || !document_apply(document, change, &error)) {
    g_string_append_printf(problems, "%s at %s of %s: cannot be made: %s\n", fault->name,
                           place->name, sheet, error != NULL ? error->message : "no change");
    return;
  }
  g_autoptr(Inspection) faulty = inspection_new(document);
  const char *other = NULL;
  if (!fault_is_found(fault, sound, faulty))
    g_string_append_printf(problems, "%s at %s of %s: %s is not found\n", fault->name, place->name,
                           sheet, fault->check);
  if (!fault_is_alone(fault, sound, faulty, &other))
    g_string_append_printf(problems, "%s at %s of %s: also finds %s\n", fault->name, place->name,
                           sheet, other);
  count_hits(matrix, index, sound, faulty);
  document_undo(document);
  g_autoptr(GBytes) after = document_write_memory(document);
  if (!g_bytes_equal(before, after))
    g_string_append_printf(problems, "%s at %s of %s: undo does not restore it\n", fault->name,
                           place->name, sheet);
}

static void
try_sheet(Matrix *matrix, Document *document, const char *sheet, GString *problems)
{
  g_autoptr(Inspection) sound = inspection_new(document);
  if (!findings_sound(sound->findings) || sound->error != NULL)
    g_string_append_printf(problems, "%s is not sound\n", sheet);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  for (guint f = 0; f < matrix->n_faults; f++) {
    g_autoptr(GPtrArray) places = fault_places(fault_at(f), scene);
    for (guint p = 0; p < places->len; p++)
      try_place(matrix, f, document, scene, sound, g_ptr_array_index(places, p), sheet, problems);
    matrix->places[f] += places->len;
    matrix->sheets[f] += places->len > 0;
    matrix->tried += places->len;
  }
}

Matrix
matrix_run(const Sheets *sheets, GString *problems)
{
  Matrix matrix = {.n_faults = fault_count(),
                   .n_checks = matrix_check_count(),
                   .n_sheets = sheets->documents->len};
  matrix.places = g_new0(guint, matrix.n_faults);
  matrix.sheets = g_new0(guint, matrix.n_faults);
  matrix.hits = g_new0(guint, matrix.n_faults * matrix.n_checks);
  for (guint i = 0; i < sheets->documents->len; i++)
    try_sheet(&matrix, g_ptr_array_index(sheets->documents, i), g_ptr_array_index(sheets->names, i),
              problems);
  return matrix;
}

void
matrix_clear(Matrix *matrix)
{
  g_free(matrix->places);
  g_free(matrix->sheets);
  g_free(matrix->hits);
}
