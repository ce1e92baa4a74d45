/* SPDX-License-Identifier: MIT */
#include "sheet/table.h"

#include "base/language.h"

Table *
table_new(char *take_title, char *take_note, const TableColumn *columns, guint n)
{
  Table *table = g_new0(Table, 1);

  table->title = take_title;
  table->note = take_note;
  table->columns = g_array_sized_new(FALSE, FALSE, sizeof(TableColumn), n);
  for (guint i = 0; i < n; i++) {
    TableColumn column = columns[i];
    column.title = _(column.title);
    g_array_append_val(table->columns, column);
  }
  table->rows = g_ptr_array_new_with_free_func((GDestroyNotify)g_strfreev);
  return table;
}

void
table_free(Table *table)
{
  if (table == NULL)
    return;
  g_free(table->title);
  g_free(table->note);
  g_array_unref(table->columns);
  g_ptr_array_unref(table->rows);
  g_free(table);
}

void
table_add_cells(Table *table, guint n, char *const *take_cells)
{
  char **row = g_new0(char *, table->columns->len + 1);

  for (guint i = 0; i < MAX(n, table->columns->len); i++) {
    char *cell = i < n ? take_cells[i] : NULL;
    if (i < table->columns->len)
      row[i] = cell != NULL ? cell : g_strdup("");
    else
      g_free(cell);
  }
  g_ptr_array_add(table->rows, row);
}

const char *
table_cell(const Table *table, guint row, guint column)
{
  return ((char **)table->rows->pdata[row])[column];
}

Table *
table_unless_empty(Table *table)
{
  if (table->rows->len > 0)
    return table;
  table_free(table);
  return NULL;
}
