/* SPDX-License-Identifier: MIT */
/* The class table as CSV and as text. */
#include "base/language.h"
#include "grade/class_table.h"

#include <string.h>

/* --- CSV, RFC 4180 --- */

/* A field that begins like a formula is quoted with a leading apostrophe: a student's name must not
 * run anything in the instructor's spreadsheet. */
static void
field(GString *out, const char *text)
{
  if (out->len > 0 && out->str[out->len - 1] != '\n')
    g_string_append_c(out, ',');
  bool formula = *text != '\0' && strchr("=+-@\t", *text) != NULL &&
                 g_ascii_strtod(text, NULL) == 0 && strcmp(text, "-") != 0;
  if (!formula && strpbrk(text, ",\"\r\n") == NULL) {
    g_string_append(out, text);
    return;
  }
  g_string_append(out, formula ? "\"'" : "\"");
  for (const char *c = text; *c != '\0'; c++) {
    if (*c == '"')
      g_string_append_c(out, '"');
    g_string_append_c(out, *c);
  }
  g_string_append_c(out, '"');
}

static void
number_field(GString *out, double value, const char *format)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  field(out, g_ascii_formatd(text, sizeof text, format, value));
}

static void
count_field(GString *out, guint value)
{
  number_field(out, value, "%.0f");
}

static void
end_row(GString *out)
{
  g_string_append(out, "\r\n");
}

static guint
count_truths(const Score *score, bool mended)
{
  guint n = 0;
  for (guint i = 0; i < score->truths->len; i++) {
    const ScoreFault *truth = score->truths->pdata[i];
    n += mended ? truth->mended : truth->named;
  }
  return n;
}

static void
csv_row(GString *out, const ClassRow *row)
{
  const SheetData *sheet = document_sheet(row->result->exercise);
  const Attempt *attempt = row->result->attempt;
  field(out, row->file);
  field(out, attempt->student);
  field(out, sheet_exercise_text(sheet, EXERCISE_NUMBER));
  field(out, sheet_exercise_text(sheet, EXERCISE_SET));
  number_field(out, row->score->total, "%.1f");
  number_field(out, row->result->points, "%.1f");
  count_field(out, row->score->faults);
  count_field(out, count_truths(row->score, false));
  count_field(out, count_truths(row->score, true));
  count_field(out, row->score->readings);
  if (row->score->shortest > 0)
    count_field(out, row->score->shortest);
  else
    field(out, "");
  count_field(out, attempt->errors->len);
  for (guint kind = 0; kind < SAFETY_COUNT; kind++)
    count_field(out, attempt_errors_of(attempt, (SafetyKind)kind));
  field(out, "");
  end_row(out);
}

char *
class_table_csv(const ClassTable *table)
{
  static const char *const columns[] = {"file",   "student",     "exercise",      "set",
                                        "points", "points-seen", "faults",        "named",
                                        "mended", "readings",    "shortest-path", "safety-errors"};
  GString *out = g_string_new(NULL);
  for (guint i = 0; i < G_N_ELEMENTS(columns); i++)
    field(out, columns[i]);
  for (guint kind = 0; kind < SAFETY_COUNT; kind++)
    field(out, safety_kind_word((SafetyKind)kind));
  field(out, "note");
  end_row(out);
  for (guint i = 0; i < table->rows->len; i++)
    csv_row(out, table->rows->pdata[i]);
  for (guint i = 0; i < table->rejects->len; i++) {
    const ClassReject *reject = table->rejects->pdata[i];
    field(out, reject->file);
    for (guint k = 1; k < G_N_ELEMENTS(columns) + SAFETY_COUNT; k++)
      field(out, "");
    field(out, reject->why);
    end_row(out);
  }
  return g_string_free(out, FALSE);
}

char *
class_table_faults_csv(const ClassTable *table)
{
  static const char *const columns[] = {"fault",  "title",           "dealt",        "named",
                                        "mended", "median-readings", "safety-errors"};
  GString *out = g_string_new(NULL);
  for (guint i = 0; i < G_N_ELEMENTS(columns); i++)
    field(out, columns[i]);
  end_row(out);
  for (guint i = 0; i < table->faults->len; i++) {
    const ClassFault *fault = table->faults->pdata[i];
    field(out, fault->fault);
    field(out, fault->title);
    count_field(out, fault->dealt);
    count_field(out, fault->named);
    count_field(out, fault->mended);
    number_field(out, fault->readings, "%.1f");
    count_field(out, fault->errors);
    end_row(out);
  }
  return g_string_free(out, FALSE);
}

/* --- text --- */

/* Padded by characters, not bytes. */
static void
cell(GString *out, const char *text, glong width, bool right)
{
  g_autofree char *cut =
      g_utf8_strlen(text, -1) > width ? g_utf8_substring(text, 0, width) : g_strdup(text);
  glong pad = width - g_utf8_strlen(cut, -1);
  for (glong i = 0; right && i < pad; i++)
    g_string_append_c(out, ' ');
  g_string_append(out, cut);
  for (glong i = 0; !right && i < pad; i++)
    g_string_append_c(out, ' ');
  g_string_append(out, "  ");
}

static void
number_cell(GString *out, double value, const char *format, glong width)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  cell(out, g_ascii_formatd(text, sizeof text, format, value), width, true);
}

static void
end_line(GString *out)
{
  while (out->len > 0 && out->str[out->len - 1] == ' ')
    g_string_truncate(out, out->len - 1);
  g_string_append_c(out, '\n');
}

static void
text_rows(GString *out, const ClassTable *table)
{
  cell(out, _("Student"), 24, false);
  cell(out, _("Exercise"), 8, true);
  cell(out, _("Points"), 6, true);
  cell(out, _("Seen"), 6, true);
  cell(out, _("Named"), 6, true);
  cell(out, _("Mended"), 6, true);
  cell(out, _("Readings"), 8, true);
  cell(out, _("Safety errors"), 13, true);
  end_line(out);
  for (guint i = 0; i < table->rows->len; i++) {
    const ClassRow *row = table->rows->pdata[i];
    const SheetData *sheet = document_sheet(row->result->exercise);
    g_autofree char *named =
        g_strdup_printf("%u/%u", count_truths(row->score, false), row->score->faults);
    g_autofree char *mended =
        g_strdup_printf("%u/%u", count_truths(row->score, true), row->score->faults);
    cell(out, row->result->attempt->student, 24, false);
    cell(out, sheet_exercise_text(sheet, EXERCISE_NUMBER), 8, true);
    number_cell(out, row->score->total, "%.1f", 6);
    number_cell(out, row->result->points, "%.1f", 6);
    cell(out, named, 6, true);
    cell(out, mended, 6, true);
    number_cell(out, row->score->readings, "%.0f", 8);
    number_cell(out, row->result->attempt->errors->len, "%.0f", 13);
    end_line(out);
  }
}

static void
text_faults(GString *out, const ClassTable *table)
{
  cell(out, _("Fault"), 52, false);
  cell(out, _("Dealt"), 6, true);
  cell(out, _("Named"), 6, true);
  cell(out, _("Mended"), 6, true);
  cell(out, _("Readings"), 8, true);
  cell(out, _("Safety errors"), 13, true);
  end_line(out);
  for (guint i = 0; i < table->faults->len; i++) {
    const ClassFault *fault = table->faults->pdata[i];
    cell(out, fault->title, 52, false);
    number_cell(out, fault->dealt, "%.0f", 6);
    number_cell(out, fault->named, "%.0f", 6);
    number_cell(out, fault->mended, "%.0f", 6);
    number_cell(out, fault->readings, "%.1f", 8);
    number_cell(out, fault->errors, "%.0f", 13);
    end_line(out);
  }
}

/* By kind, those that were made: how often, and by how many. */
static void
text_safety(GString *out, const ClassTable *table)
{
  bool titled = false;
  for (guint kind = 0; kind < SAFETY_COUNT; kind++) {
    guint errors = 0, students = 0;
    for (guint i = 0; i < table->rows->len; i++) {
      const ClassRow *row = table->rows->pdata[i];
      guint n = attempt_errors_of(row->result->attempt, (SafetyKind)kind);
      errors += n;
      students += n > 0;
    }
    if (errors == 0)
      continue;
    if (!titled) {
      g_string_append_c(out, '\n');
      cell(out, _("Safety errors, apart from the points"), 52, false);
      cell(out, _("Errors"), 6, true);
      cell(out, _("Results"), 7, true);
      end_line(out);
    }
    titled = true;
    cell(out, safety_kind_title((SafetyKind)kind), 52, false);
    number_cell(out, errors, "%.0f", 6);
    number_cell(out, students, "%.0f", 7);
    end_line(out);
  }
}

char *
class_table_text(const ClassTable *table)
{
  GString *out = g_string_new(NULL);
  guint rows = table->rows->len, rejects = table->rejects->len;
  g_string_append_printf(out, language_plural("%u result graded.", "%u results graded.", rows),
                         rows);
  if (rejects > 0) {
    g_string_append_c(out, ' ');
    g_string_append_printf(
        out, language_plural("%u file not counted.", "%u files not counted.", rejects), rejects);
  }
  g_string_append(out, "\n\n");
  if (table->rows->len > 0) {
    text_rows(out, table);
    g_string_append_c(out, '\n');
    text_faults(out, table);
    text_safety(out, table);
  }
  if (table->rejects->len > 0)
    g_string_append_printf(out, "\n%s\n", _("Not counted:"));
  for (guint i = 0; i < table->rejects->len; i++)
    g_string_append_printf(out, "  %s\n", ((const ClassReject *)table->rejects->pdata[i])->why);
  return g_string_free(out, FALSE);
}

static bool
save(const char *folder, const char *name, char *take_text, GError **error)
{
  g_autofree char *text = take_text;
  g_autofree char *path = g_build_filename(folder, name, NULL);
  return file_write_atomic(path, text, strlen(text), error);
}

char *
class_table_grade_folder(const char *folder, PartCatalog catalog, const Document *master,
                         guint *rejected, GError **error)
{
  g_autoptr(ClassTable) table = class_table_new(folder, catalog, master, error);
  if (table == NULL || !save(folder, "class.csv", class_table_csv(table), error) ||
      !save(folder, "faults.csv", class_table_faults_csv(table), error))
    return NULL;
  if (rejected != NULL)
    *rejected = table->rejects->len;
  return class_table_text(table);
}
