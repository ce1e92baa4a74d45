/* SPDX-License-Identifier: MIT */
#include "handout/handout.h"

#include "base/language.h"
#include "diagram/document_file.h"
#include "handout/key.h"
#include "handout/student.h"

#include <errno.h>
#include <string.h>

GQuark
handout_error_quark(void)
{
  return g_quark_from_static_string("doorsheet-handout");
}

typedef struct {
  const Deal *deal;
  const Evidence *evidence;
  const HandoutOptions *options;
  char *student, *key; /* folders */
} Set;

static bool
make_folder(const char *path, GError **error)
{
  if (g_mkdir_with_parents(path, 0777) == 0)
    return true;
  g_set_error(error, G_FILE_ERROR, (gint)g_file_error_from_errno(errno),
              _("%s: the folder cannot be made: %s. Choose another."), path, g_strerror(errno));
  return false;
}

static char *
version_file(const char *folder, guint number, const char *ending)
{
  return g_strdup_printf("%s" G_DIR_SEPARATOR_S "version-%02u.%s", folder, number, ending);
}

static bool
is_free(const char *path, GError **error)
{
  if (!g_file_test(path, G_FILE_TEST_EXISTS))
    return true;
  g_set_error(error, HANDOUT_ERROR, HANDOUT_ERROR_EXISTS,
              _("%s is there already. Choose an empty folder, or say that it may be replaced."),
              path);
  return false;
}

/* Before anything is written, so that a set is whole or not begun. */
static bool
all_free(const Set *set, const char *folder, GError **error)
{
  static const char *const student[] = {"svg", "pdf", "doorsheet"};
  static const char *const single[] = {"grading.csv", "fairness.txt"};

  for (gsize i = 0; i < G_N_ELEMENTS(single); i++) {
    g_autofree char *path = g_build_filename(folder, single[i], NULL);
    if (!is_free(path, error))
      return false;
  }
  for (guint v = 0; v < set->deal->versions->len; v++) {
    const DealtVersion *version = set->deal->versions->pdata[v];
    g_autofree char *key = version_file(set->key, version->number, "pdf");
    if (!is_free(key, error))
      return false;
    for (gsize i = 0; i < G_N_ELEMENTS(student); i++) {
      g_autofree char *path = version_file(set->student, version->number, student[i]);
      if (!is_free(path, error))
        return false;
    }
  }
  return true;
}

static bool
write_sheet(const Sheet *sheet, const char *folder, guint number, SheetFormat format,
            GError **error)
{
  g_autofree char *path = version_file(folder, number, format == SHEET_SVG ? "svg" : "pdf");
  g_autoptr(GBytes) bytes = sheet_export(sheet, format, 0, error);
  gsize size = 0;

  if (bytes == NULL)
    return false;
  const void *data = g_bytes_get_data(bytes, &size);
  return file_write_atomic(path, data, size, error);
}

static bool
write_version(const Set *set, const DealtVersion *version, GError **error)
{
  const FaultScene *scene = evidence_scene(set->evidence);
  const SheetOptions *options = &set->options->sheet;
  g_autoptr(Document) exercise =
      deal_exercise_document(set->deal, version, scene, set->options->lesson, error);
  if (exercise == NULL)
    return false;
  g_autoptr(Document) seen = seen_version(set->deal, version, scene, exercise, error);
  if (seen == NULL)
    return false;
  g_autoptr(Sheet) student = student_sheet_compose(seen, options, error);
  if (student == NULL)
    return false;
  g_autoptr(Sheet) key = key_sheet_compose(version, set->evidence, exercise, options, error);
  if (key == NULL)
    return false;
  g_autofree char *file = version_file(set->student, version->number, "doorsheet");
  return write_sheet(student, set->student, version->number, SHEET_SVG, error) &&
         write_sheet(student, set->student, version->number, SHEET_PDF, error) &&
         write_sheet(key, set->key, version->number, SHEET_PDF, error) &&
         document_save(exercise, file, error);
}

static bool
write_text(const char *folder, const char *name, const char *text, GError **error)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  return file_write_atomic(path, text, strlen(text), error);
}

static bool
write_set(const Set *set, const char *folder, HandoutProgress progress, gpointer data,
          GCancellable *cancellable, GError **error)
{
  const GPtrArray *versions = set->deal->versions;
  g_autofree char *grading = grading_csv(set->deal);
  g_autofree char *fairness = grading_fairness(set->deal, set->evidence);

  if (!set->options->replace && !all_free(set, folder, error))
    return false;
  if (!make_folder(set->student, error) || !make_folder(set->key, error))
    return false;
  for (guint v = 0; v < versions->len; v++) {
    if (g_cancellable_set_error_if_cancelled(cancellable, error) ||
        !write_version(set, versions->pdata[v], error))
      return false;
    if (progress != NULL)
      progress(v + 1, versions->len, data);
  }
  return write_text(folder, "grading.csv", grading, error) &&
         write_text(folder, "fairness.txt", fairness, error);
}

bool
handout_write(const Deal *deal, const Evidence *evidence, const char *folder,
              const HandoutOptions *options, HandoutProgress progress, gpointer data,
              GCancellable *cancellable, GError **error)
{
  Set set = {deal, evidence, options, g_build_filename(folder, "student", NULL),
             g_build_filename(folder, "key", NULL)};
  const char *before = language_choose(
      sheet_language(fault_scene_sound(evidence_scene(evidence))->document, &options->sheet));
  const bool done = write_set(&set, folder, progress, data, cancellable, error);

  language_choose(before);
  g_free(set.student);
  g_free(set.key);
  return done;
}
