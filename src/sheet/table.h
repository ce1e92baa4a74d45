/* SPDX-License-Identifier: MIT */
/* Tables of the sheet as plain texts, apart from how they are drawn: a test can read them. */
#pragma once

#include "pen/pen.h"
#include <stdbool.h>

G_BEGIN_DECLS

typedef struct {
  const char *title; /* static, marked with N_() */
  bool numeric;      /* set at the right */
  double blank; /* a column to be filled in by hand is at least this wide, mm; 0: by its texts */
} TableColumn;

typedef struct {
  char *title;       /* "Leads of T1" */
  char *note;        /* a sentence under the title, or NULL */
  GArray *columns;   /* of TableColumn */
  GPtrArray *rows;   /* of char **, each as long as columns, NULL-terminated */
  double row_height; /* rows to be written in by hand are at least so high, mm; 0: by their texts */
} Table;

/* Translates the columns' titles; what it takes is translated already. */
Table *table_new(char *take_title, char *take_note, const TableColumn *columns, guint n);
void table_free(Table *table);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Table, table_free)
/* n char *, each taken; NULL counts as "". Those beyond the columns are freed: a table with fewer
 * columns shows the first ones. */
void table_add_cells(Table *table, guint n, char *const *take_cells);
#define table_add(table, ...)                                                                      \
  table_add_cells((table), G_N_ELEMENTS(((char *[]){__VA_ARGS__})), (char *[]){__VA_ARGS__})
/* The table, or NULL (and it is freed) when it has no row: there is nothing to show. */
Table *table_unless_empty(Table *take_table);
const char *table_cell(const Table *table, guint row, guint column);

G_END_DECLS
