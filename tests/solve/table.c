/* SPDX-License-Identifier: MIT */
#include "network.h"

#include <string.h>

struct Table {
  GPtrArray *headings; /* of char * */
  GPtrArray *rows;     /* of GPtrArray of char * */
};

static GPtrArray *
split_fields(const char *line)
{
  GPtrArray *fields = g_ptr_array_new_with_free_func(g_free);
  GString *field = g_string_new(NULL);
  bool quoted = false;
  for (const char *at = line; *at != '\0'; at++) {
    if (*at == '"' && quoted && at[1] == '"')
      g_string_append_c(field, *at++);
    else if (*at == '"')
      quoted = !quoted;
    else if (*at == ',' && !quoted) {
      g_ptr_array_add(fields, g_strstrip(g_string_free(field, FALSE)));
      field = g_string_new(NULL);
    } else
      g_string_append_c(field, *at);
  }
  g_ptr_array_add(fields, g_strstrip(g_string_free(field, FALSE)));
  return fields;
}

Table *
table_read(const char *path, GError **error)
{
  g_autofree char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, error))
    return NULL;
  if (g_str_has_prefix(text, "\xef\xbb\xbf")) /* a byte order mark is no part of a heading */
    memmove(text, text + 3, strlen(text + 3) + 1);
  Table *table = g_new0(Table, 1);
  table->rows = g_ptr_array_new_with_free_func((GDestroyNotify)g_ptr_array_unref);
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (guint i = 0; lines[i] != NULL; i++) {
    char *line = g_strstrip(lines[i]);
    if (*line == '\0' || *line == '#')
      continue;
    if (table->headings == NULL)
      table->headings = split_fields(line);
    else
      g_ptr_array_add(table->rows, split_fields(line));
  }
  if (table->headings == NULL)
    table->headings = g_ptr_array_new_with_free_func(g_free);
  return table;
}

void
table_free(Table *table)
{
  if (table == NULL)
    return;
  g_ptr_array_unref(table->headings);
  g_ptr_array_unref(table->rows);
  g_free(table);
}

guint
table_length(const Table *table)
{
  return table->rows->len;
}

const char *
table_get(const Table *table, guint row, const char *column)
{
  const GPtrArray *fields = g_ptr_array_index(table->rows, row);
  for (guint i = 0; i < table->headings->len && i < fields->len; i++)
    if (strcmp(g_ptr_array_index(table->headings, i), column) == 0)
      return g_ptr_array_index(fields, i);
  return "";
}
