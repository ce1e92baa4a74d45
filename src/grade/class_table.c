/* SPDX-License-Identifier: MIT */
/* Reading and grading a folder; its tables as text are in class_print.c. */
#include "grade/class_table.h"

#include "base/language.h"
#include "quiz/fault.h"
#include "quiz/sealed.h"

#include <stdlib.h>
#include <string.h>

static void
row_free(gpointer data)
{
  ClassRow *row = data;
  g_free(row->file);
  result_free(row->result);
  score_free(row->score);
  g_free(row);
}

static void
reject_free(gpointer data)
{
  ClassReject *reject = data;
  g_free(reject->file);
  g_free(reject->why);
  g_free(reject);
}

static void
fault_row_free(gpointer data)
{
  ClassFault *fault = data;
  g_free(fault->fault);
  g_free(fault->title);
  g_free(fault);
}

void
class_table_free(ClassTable *table)
{
  if (table == NULL)
    return;
  g_ptr_array_unref(table->rows);
  g_ptr_array_unref(table->rejects);
  g_ptr_array_unref(table->faults);
  g_free(table);
}

/* --- reading --- */

static void
reject(ClassTable *table, const char *file, char *take_why)
{
  ClassReject *one = g_new0(ClassReject, 1);
  *one = (ClassReject){g_strdup(file), take_why};
  g_ptr_array_add(table->rejects, one);
}

static bool
passed_over(const char *file)
{
  static const char *const endings[] = {".doorsheet", ".svg", ".pdf", ".csv", ".txt", NULL};
  for (guint i = 0; endings[i] != NULL; i++)
    if (g_str_has_suffix(file, endings[i]))
      return true;
  return *file == '.';
}

/* Every device of one is in the other. */
static bool
holds_all(const Document *one, const Document *other)
{
  for (guint i = 0; i < document_device_count(one); i++) {
    const Device *device = document_device(one, i);
    const Device *there = document_find_device(other, device->id);
    if (there == NULL || there->kind != device->kind)
      return false;
  }
  return true;
}

/* The exercise was dealt from a diagram of other devices. Faults add grounds, and take no device
 * away. */
static bool
of_another_quiz(const Document *exercise, const Document *master)
{
  g_autoptr(Document) sealed = sealed_open(exercise);
  if (sealed != NULL)
    return !holds_all(master, sealed) || !holds_all(sealed, master);
  return !holds_all(master, exercise);
}

/* The same file handed in twice, under whatever name: the file it is a copy of, else NULL. */
static const char *
copy_of(GHashTable *seen, const char *path, const char *file)
{
  g_autofree char *text = NULL;
  gsize size;
  if (!g_file_get_contents(path, &text, &size, NULL))
    return NULL;
  char *sum = g_compute_checksum_for_data(G_CHECKSUM_SHA256, (const guchar *)text, size);
  const char *first = g_hash_table_lookup(seen, sum);
  if (first == NULL)
    g_hash_table_insert(seen, sum, g_strdup(file));
  else
    g_free(sum);
  return first;
}

typedef struct {
  PartCatalog catalog;
  const Document *master; /* nullable */
  GHashTable *seen;       /* by check sum: the file's name */
} ReadingWith;

static char *
why_not_counted(const ReadingWith *with, const char *path, const char *file, Result **result)
{
  g_autoptr(GError) error = NULL;
  *result = result_read(path, with->catalog, &error);
  if (*result == NULL)
    return g_strdup(error->message);
  const char *first = copy_of(with->seen, path, file);
  char *why = NULL;
  if (first != NULL)
    why = g_strdup_printf(_("%s: a copy of %s, which is counted."), file, first);
  else if (with->master != NULL && of_another_quiz((*result)->exercise, with->master))
    why = g_strdup_printf(_("%s: the result of another quiz: its exercise was not dealt from this "
                            "diagram."),
                          file);
  if (why != NULL)
    g_clear_pointer(result, result_free);
  return why;
}

static void
read_file(ClassTable *table, const char *folder, const char *file, const ReadingWith *with)
{
  g_autofree char *path = g_build_filename(folder, file, NULL);
  if (g_file_test(path, G_FILE_TEST_IS_DIR))
    return;
  if (!g_str_has_suffix(file, RESULT_SUFFIX)) {
    if (!passed_over(file))
      reject(table, file, g_strdup_printf(_("%s: a foreign file, not a result."), file));
    return;
  }
  Result *result;
  char *why = why_not_counted(with, path, file, &result);
  if (why != NULL) {
    reject(table, file, why);
    return;
  }
  ClassRow *row = g_new0(ClassRow, 1);
  *row = (ClassRow){.file = g_strdup(file), .result = result};
  g_ptr_array_add(table->rows, row);
}

static gint
by_text(gconstpointer a, gconstpointer b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static GPtrArray *
list_files(const char *folder, GError **error)
{
  g_autoptr(GDir) dir = g_dir_open(folder, 0, error);
  if (dir == NULL)
    return NULL;
  GPtrArray *files = g_ptr_array_new_with_free_func(g_free);
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir))
    g_ptr_array_add(files, g_strdup(name));
  g_ptr_array_sort(files, by_text);
  return files;
}

/* --- grading --- */

static char *
exercise_key(const Document *exercise)
{
  g_autoptr(GBytes) bytes = document_write_memory(exercise);
  return g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
}

/* By exercise the diagram some student mended it to. A mended one is its own reference, and one
 * that carries its master needs none. */
static GHashTable *
find_references(const ClassTable *table)
{
  GHashTable *references = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < table->rows->len; i++) {
    const ClassRow *row = table->rows->pdata[i];
    const SheetData *sheet = document_sheet(row->result->exercise);
    if (*sheet_exercise_text(sheet, EXERCISE_SEALED) != '\0')
      continue;
    char *key = exercise_key(row->result->exercise);
    if (g_hash_table_contains(references, key)) {
      g_free(key);
      continue;
    }
    g_autoptr(Inspection) handed = inspection_new(row->result->final);
    if (score_is_mended(row->result->exercise, handed, NULL, NULL))
      g_hash_table_insert(references, key, row->result->final);
    else
      g_free(key);
  }
  return references;
}

static void
grade_rows(ClassTable *table, const Document *master)
{
  g_autoptr(GHashTable) references = find_references(table);
  for (guint i = 0; i < table->rows->len; i++) {
    ClassRow *row = table->rows->pdata[i];
    const Result *result = row->result;
    g_autofree char *key = exercise_key(result->exercise);
    const Document *reference = master != NULL ? master : g_hash_table_lookup(references, key);
    row->score = score_new(result->exercise, result->final, reference, result->attempt);
  }
}

static gint
by_student(gconstpointer a, gconstpointer b)
{
  const ClassRow *one = *(ClassRow *const *)a, *two = *(ClassRow *const *)b;
  int order = g_utf8_collate(one->result->attempt->student, two->result->attempt->student);
  if (order != 0)
    return order;
  const SheetData *left = document_sheet(one->result->exercise);
  const SheetData *right = document_sheet(two->result->exercise);
  order = atoi(sheet_exercise_text(left, EXERCISE_NUMBER)) -
          atoi(sheet_exercise_text(right, EXERCISE_NUMBER));
  return order != 0 ? order : strcmp(one->file, two->file);
}

/* --- statistics --- */

typedef struct {
  ClassFault *row;
  GArray *readings; /* of guint */
} Count;

static void
count_free(gpointer data)
{
  Count *count = data;
  g_array_unref(count->readings);
  g_free(count);
}

static const char *
title_of(const ScoreFault *truth)
{
  const Fault *fault = truth->fault != NULL ? fault_find(truth->fault) : NULL;
  const Check *check = check_find(truth->check);
  return fault != NULL ? _(fault->title) : check != NULL ? check->title : truth->check;
}

static void
count_truth(GHashTable *counts, const ScoreFault *truth, const ClassRow *row)
{
  const char *name = truth->fault != NULL ? truth->fault : truth->check;
  Count *count = g_hash_table_lookup(counts, name);
  if (count == NULL) {
    count = g_new0(Count, 1);
    count->row = g_new0(ClassFault, 1);
    count->row->fault = g_strdup(name);
    count->row->title = g_strdup(title_of(truth));
    count->readings = g_array_new(FALSE, FALSE, sizeof(guint));
    g_hash_table_insert(counts, count->row->fault, count);
  }
  count->row->dealt++;
  count->row->named += truth->named;
  count->row->mended += truth->mended;
  count->row->errors += row->result->attempt->errors->len;
  g_array_append_val(count->readings, row->score->readings);
}

static gint
by_number(gconstpointer a, gconstpointer b)
{
  guint one = *(const guint *)a, two = *(const guint *)b;
  return one < two ? -1 : one > two;
}

static double
median(GArray *values)
{
  g_array_sort(values, by_number);
  guint n = values->len;
  if (n == 0)
    return 0;
  return n % 2 == 1 ? g_array_index(values, guint, n / 2)
                    : (g_array_index(values, guint, n / 2 - 1) +
                       (double)g_array_index(values, guint, n / 2)) /
                          2;
}

static gint
by_fault(gconstpointer a, gconstpointer b)
{
  return strcmp((*(ClassFault *const *)a)->fault, (*(ClassFault *const *)b)->fault);
}

static void
count_faults(ClassTable *table)
{
  g_autoptr(GHashTable) counts = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, count_free);
  for (guint i = 0; i < table->rows->len; i++) {
    const ClassRow *row = table->rows->pdata[i];
    for (guint t = 0; t < row->score->truths->len; t++)
      count_truth(counts, row->score->truths->pdata[t], row);
  }
  GHashTableIter iter;
  gpointer value;
  g_hash_table_iter_init(&iter, counts);
  while (g_hash_table_iter_next(&iter, NULL, &value)) {
    Count *count = value;
    count->row->readings = median(count->readings);
    g_ptr_array_add(table->faults, count->row);
  }
  g_ptr_array_sort(table->faults, by_fault);
}

ClassTable *
class_table_new(const char *folder, PartCatalog catalog, const Document *master, GError **error)
{
  g_autoptr(GPtrArray) files = list_files(folder, error);
  if (files == NULL)
    return NULL;
  ClassTable *table = g_new0(ClassTable, 1);
  table->rows = g_ptr_array_new_with_free_func(row_free);
  table->rejects = g_ptr_array_new_with_free_func(reject_free);
  table->faults = g_ptr_array_new_with_free_func(fault_row_free);
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, g_free);
  const ReadingWith with = {catalog, master, seen};
  for (guint i = 0; i < files->len; i++)
    read_file(table, folder, files->pdata[i], &with);
  grade_rows(table, master);
  g_ptr_array_sort(table->rows, by_student);
  count_faults(table);
  return table;
}
