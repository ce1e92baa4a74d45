/* SPDX-License-Identifier: MIT */
/* Documents for the tests of the sheet: the one beside this file and every sample. */
#pragma once

#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include "pen/pen_record.h"
#include "sheet/sheet.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static inline Document *
fixture_read(const char *path)
{
  g_autoptr(GError) error = NULL;
  Document *document = document_read(path, parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

static inline char *
fixture_path(const char *relative)
{
  const char *source = g_getenv("DOORSHEET_SOURCE");
  assert_non_null(source);
  return g_build_filename(source, relative, NULL);
}

static inline Document *
fixture_pump(void)
{
  g_autofree char *path = fixture_path("tests/sheet/pump.doorsheet");
  return fixture_read(path);
}

static inline gint
fixture_compare(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Adds the diagrams of a folder, in order. */
static inline void
fixture_add_paths(GPtrArray *paths, const char *relative)
{
  g_autofree char *folder = fixture_path(relative);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name(dir)) != NULL)
    if (g_str_has_suffix(name, ".doorsheet"))
      g_ptr_array_add(paths, g_build_filename(folder, name, NULL));
  g_ptr_array_sort(paths, fixture_compare);
}

/* Paths of the fixture and of all samples. Of char *. */
static inline GPtrArray *
fixture_all_paths(void)
{
  GPtrArray *paths = g_ptr_array_new_with_free_func(g_free);

  fixture_add_paths(paths, "samples");
  g_ptr_array_insert(paths, 0, fixture_path("tests/sheet/pump.doorsheet"));
  return paths;
}

static inline Sheet *
fixture_sheet(const Document *document, const char *paper, Palette palette)
{
  g_autoptr(GError) error = NULL;
  const SheetOptions options = {.paper = paper, .palette = palette, .date = "2026-11-25"};
  g_autoptr(Inspection) inspection = inspection_new(document);
  Sheet *sheet = sheet_compose(inspection, &options, &error);
  if (sheet == NULL)
    fail_msg("%s", error->message);
  return sheet;
}

static inline Pen *
fixture_record(const Sheet *sheet)
{
  g_autoptr(GError) error = NULL;
  Pen *record = pen_record_new();
  for (guint i = 0; i < sheet_page_count(sheet); i++)
    sheet_draw_page(sheet, i, record);
  if (!pen_finish(record, &error))
    fail_msg("%s", error->message);
  return record;
}

/* Whether some text of the sheet holds part. Wrapped texts are joined by spaces, per page. */
static inline bool
fixture_says(const Sheet *sheet, const char *part)
{
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  g_autoptr(GString) all = g_string_new(NULL);

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT)
      g_string_append_printf(all, "%s ", item->text);
  }
  g_string_replace(all, "\u00a0", " ", 0); /* holds a unit to its number */
  return strstr(all->str, part) != NULL;
}
