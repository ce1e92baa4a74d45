/* SPDX-License-Identifier: MIT */
/* Reads a comma-separated file of tests/data/tables: '#' lines are comments, the first other line
 * names the columns, a quoted cell may hold commas. */
#pragma once

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>
#include <glib.h>
#include <math.h>
#include <string.h>

typedef struct {
  char **columns;
  GPtrArray *rows; /* of char ** */
} Csv;

static char **
csv_split(const char *line)
{
  GPtrArray *cells = g_ptr_array_new();
  GString *cell = g_string_new(NULL);
  gboolean quoted = FALSE;
  for (const char *at = line;; at++) {
    if (*at == '"') {
      quoted = !quoted;
    } else if (*at == '\0' || (*at == ',' && !quoted)) {
      g_ptr_array_add(cells, g_strdup(cell->str));
      g_string_truncate(cell, 0);
      if (*at == '\0')
        break;
    } else {
      g_string_append_c(cell, *at);
    }
  }
  g_string_free(cell, TRUE);
  g_ptr_array_add(cells, NULL);
  return (char **)g_ptr_array_free(cells, FALSE);
}

static Csv
csv_read(const char *name)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  g_autofree char *path =
      g_build_filename(root != NULL ? root : ".", "tests", "data", "tables", name, NULL);
  g_autofree char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, NULL))
    fail_msg("cannot read %s", path);
  Csv csv = {.rows = g_ptr_array_new_with_free_func((GDestroyNotify)g_strfreev)};
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (guint i = 0; lines[i] != NULL; i++) {
    if (lines[i][0] == '#' || lines[i][0] == '\0')
      continue;
    char **cells = csv_split(lines[i]);
    if (csv.columns == NULL)
      csv.columns = cells;
    else
      g_ptr_array_add(csv.rows, cells);
  }
  assert_true(csv.rows->len > 0); /* an empty file would test nothing */
  return csv;
}

static void
csv_clear(Csv *csv)
{
  g_strfreev(csv->columns);
  g_ptr_array_unref(csv->rows);
}

static const char *
csv_text(const Csv *csv, guint row, const char *column)
{
  char **cells = g_ptr_array_index(csv->rows, row);
  for (guint i = 0; csv->columns[i] != NULL; i++)
    if (strcmp(csv->columns[i], column) == 0) {
      assert_true(i < g_strv_length(cells));
      return cells[i];
    }
  fail_msg("no column %s", column);
  return "";
}

/* empty: the value of an empty cell. */
static double
csv_number(const Csv *csv, guint row, const char *column, double empty)
{
  const char *text = csv_text(csv, row, column);
  if (*text == '\0')
    return empty;
  char *end = NULL;
  double value = g_ascii_strtod(text, &end);
  if (*end != '\0')
    fail_msg("%s is no number", text);
  return value;
}

#define assert_close(actual, expected, tolerance)                                                  \
  do {                                                                                             \
    double actual_ = (actual), expected_ = (expected);                                             \
    if (!(fabs(actual_ - expected_) <= (tolerance)))                                               \
      fail_msg("%s is %.9g, expected %.9g", #actual, actual_, expected_);                          \
  } while (0)
