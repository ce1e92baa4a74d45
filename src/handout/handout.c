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

static bool
writes(const HandoutOptions *options, HandoutLeft part)
{
  return (options->left_out & (guint)part) == 0;
}

/* The files of one version, by what they belong to. */
static const struct {
  const char *folder, *ending;
  HandoutLeft part;
} version_files[] = {
    {"student", "svg", HANDOUT_NO_SHEETS},
    {"student", "pdf", HANDOUT_NO_SHEETS},
    {"student", "doorsheet", HANDOUT_NO_EXERCISE},
    {"key", "pdf", HANDOUT_NO_KEY},
};

bool
handout_is_free(guint versions, const char *folder, const HandoutOptions *options, GError **error)
{
  static const struct {
    const char *name;
    HandoutLeft part;
  } single[] = {{"grading.csv", HANDOUT_NO_GRADING}, {"fairness.txt", HANDOUT_NO_PROOF}};

  for (gsize i = 0; i < G_N_ELEMENTS(single); i++) {
    g_autofree char *path = g_build_filename(folder, single[i].name, NULL);
    if (writes(options, single[i].part) && !is_free(path, error))
      return false;
  }
  for (guint v = 1; v <= versions; v++)
    for (gsize i = 0; i < G_N_ELEMENTS(version_files); i++) {
      g_autofree char *in = g_build_filename(folder, version_files[i].folder, NULL);
      g_autofree char *path = version_file(in, v, version_files[i].ending);
      if (writes(options, version_files[i].part) && !is_free(path, error))
        return false;
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
write_student(const Set *set, const DealtVersion *version, const Document *exercise, GError **error)
{
  const FaultScene *scene = evidence_scene(set->evidence);
  g_autoptr(Document) seen = seen_version(set->deal, version, scene, exercise, error);
  if (seen == NULL)
    return false;
  g_autoptr(Sheet) student = student_sheet_compose(seen, &set->options->sheet, error);
  return student != NULL && write_sheet(student, set->student, version->number, SHEET_SVG, error) &&
         write_sheet(student, set->student, version->number, SHEET_PDF, error);
}

static bool
write_key(const Set *set, const DealtVersion *version, const Document *exercise, GError **error)
{
  g_autoptr(Sheet) key =
      key_sheet_compose(version, set->evidence, exercise, &set->options->sheet, error);
  return key != NULL && write_sheet(key, set->key, version->number, SHEET_PDF, error);
}

static bool
write_version(const Set *set, const DealtVersion *version, GError **error)
{
  g_autoptr(Document) exercise = deal_exercise_document(
      set->deal, version, evidence_scene(set->evidence), set->options->lesson, error);
  if (exercise == NULL)
    return false;
  if (writes(set->options, HANDOUT_NO_SHEETS) && !write_student(set, version, exercise, error))
    return false;
  if (writes(set->options, HANDOUT_NO_KEY) && !write_key(set, version, exercise, error))
    return false;
  g_autofree char *file = version_file(set->student, version->number, "doorsheet");
  return !writes(set->options, HANDOUT_NO_EXERCISE) || document_save(exercise, file, error);
}

static bool
write_text(const char *folder, const char *name, const char *text, GError **error)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  return file_write_atomic(path, text, strlen(text), error);
}

static bool
make_folders(const Set *set, const char *folder, GError **error)
{
  const bool student =
      writes(set->options, HANDOUT_NO_SHEETS) || writes(set->options, HANDOUT_NO_EXERCISE);

  return make_folder(folder, error) && (!student || make_folder(set->student, error)) &&
         (!writes(set->options, HANDOUT_NO_KEY) || make_folder(set->key, error));
}

static bool
write_single(const Set *set, const char *folder, GError **error)
{
  if (writes(set->options, HANDOUT_NO_GRADING)) {
    g_autofree char *grading = grading_csv(set->deal);
    if (!write_text(folder, "grading.csv", grading, error))
      return false;
  }
  if (!writes(set->options, HANDOUT_NO_PROOF))
    return true;
  g_autofree char *fairness = grading_fairness(set->deal, set->evidence);
  return write_text(folder, "fairness.txt", fairness, error);
}

static bool
write_set(const Set *set, const char *folder, HandoutProgress progress, gpointer data,
          GCancellable *cancellable, GError **error)
{
  const GPtrArray *versions = set->deal->versions;

  if (!set->options->replace && !handout_is_free(versions->len, folder, set->options, error))
    return false;
  if (!make_folders(set, folder, error))
    return false;
  for (guint v = 0; v < versions->len; v++) {
    if (g_cancellable_set_error_if_cancelled(cancellable, error) ||
        !write_version(set, versions->pdata[v], error))
      return false;
    if (progress != NULL)
      progress(v + 1, versions->len, data);
  }
  return write_single(set, folder, error);
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
