/* SPDX-License-Identifier: MIT */
/* Edits as lines of text, for cases: each becomes a Change of diagram/edit.h, so that undo takes
 * all of them back.
 *
 *   set ID FIELD VALUE...          row ID N FIELD VALUE...      addrow ID
 *   wire NAME FIELD VALUE...       reland NAME from|to D.T      land D.T D.T
 *   cut NAME                       delete ID                    place KIND ID X Y
 *   move ID DX DY                  sheet FIELD VALUE...
 *
 * NAME is a wire number or "D.T-D.T"; a missing VALUE clears the field. */
#pragma once

#include "base/text.h"
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
/* cmocka wants the four above first */
#include <cmocka.h>
#include <string.h>

static Document *
script_open(const char *folder, const char *name)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  g_autofree char *file =
      g_strconcat(name, g_str_has_suffix(name, ".doorsheet") ? "" : ".doorsheet", NULL);
  g_autofree char *path = g_build_filename(root != NULL ? root : ".", folder, file, NULL);
  g_autoptr(GError) error = NULL;
  Document *document = document_read(path, parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

static const Conductor *
script_conductor(const Document *document, const char *name)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *ends =
        g_strdup_printf("%s.%s-%s.%s", conductor->from.device, conductor->from.terminal,
                        conductor->to.device, conductor->to.terminal);
    if (strcmp(conductor_text(conductor, CONDUCTOR_NUMBER), name) == 0 || strcmp(ends, name) == 0)
      return conductor;
  }
  fail_msg("no conductor %s", name);
  return NULL;
}

/* Words of a line: the first n, then the rest as one. */
static char **
script_words(const char *line, int n)
{
  return g_strsplit(line, " ", n);
}

static Change *
script_landing_edit(const Document *document, char **words, GError **error)
{
  char *parts[4] = {NULL};
  bool reland = strcmp(words[0], "reland") == 0;
  assert_true(text_split_terminal(words[reland ? 3 : 1], &parts[0], &parts[1]));
  Landing one = {parts[0], parts[1]};
  Change *change;
  if (reland) {
    const Conductor *conductor = script_conductor(document, words[1]);
    change = edit_reland(document, conductor->key, strcmp(words[2], "from") == 0, &one, error);
  } else {
    assert_true(text_split_terminal(words[2], &parts[2], &parts[3]));
    Landing two = {parts[2], parts[3]};
    change = edit_land(document, &one, &two, error);
  }
  for (int i = 0; i < 4; i++)
    g_free(parts[i]);
  return change;
}

static Change *
script_place(Document *document, char **words, GError **error)
{
  const PartKind *kind = part_catalog_find(parts_catalog(), words[1]);
  assert_non_null(kind);
  Point at = {g_ascii_strtod(words[3], NULL), g_ascii_strtod(words[4], NULL)};
  g_autofree char *id = NULL;
  Change *place = edit_place(document, kind, at, &id);
  assert_true(document_apply(document, place, error));
  return strcmp(id, words[2]) == 0 ? NULL : edit_set_id(document, id, words[2], error);
}

static Change *
script_change(Document *document, const char *line, GError **error)
{
  g_auto(GStrv) words = script_words(line, 5);
  guint n = g_strv_length(words);
  const char *verb = words[0];
  if (strcmp(verb, "reland") == 0 || strcmp(verb, "land") == 0)
    return script_landing_edit(document, words, error);
  if (strcmp(verb, "place") == 0)
    return script_place(document, words, error);
  if (strcmp(verb, "delete") == 0)
    return edit_delete(document, (const char *const[]){words[1], NULL}, NULL, 0);
  if (strcmp(verb, "cut") == 0) {
    guint32 key = script_conductor(document, words[1])->key;
    return edit_delete(document, (const char *const[]){NULL}, &key, 1);
  }
  if (strcmp(verb, "move") == 0)
    return edit_move(document, (const char *const[]){words[1], NULL},
                     (Point){g_ascii_strtod(words[2], NULL), g_ascii_strtod(words[3], NULL)});
  if (strcmp(verb, "addrow") == 0)
    return edit_add_row(document, words[1], error);
  if (strcmp(verb, "row") == 0)
    return edit_set_row_field(document, words[1], (guint)g_ascii_strtoull(words[2], NULL, 10),
                              words[3], n > 4 ? words[4] : NULL, error);
  g_auto(GStrv) rest = script_words(line, strcmp(verb, "sheet") == 0 ? 3 : 4);
  guint last = g_strv_length(rest);
  if (strcmp(verb, "sheet") == 0)
    return edit_set_sheet_field(document, false, rest[1], last > 2 ? rest[2] : NULL, error);
  const char *value = last > 3 ? rest[3] : NULL;
  if (strcmp(verb, "set") == 0)
    return edit_set_field(document, rest[1], rest[2], value, error);
  if (strcmp(verb, "wire") == 0)
    return edit_set_conductor_field(document, script_conductor(document, rest[1])->key, rest[2],
                                    value, error);
  fail_msg("no such edit: %s", line);
  return NULL;
}

/* Applies one line; fails the test when it cannot. */
static void
script_apply(Document *document, const char *line)
{
  g_autoptr(GError) error = NULL;
  Change *change = script_change(document, line, &error);
  if (error != NULL)
    fail_msg("%s: %s", line, error->message);
  if (change != NULL && !document_apply(document, change, &error))
    fail_msg("%s: %s", line, error->message);
}
