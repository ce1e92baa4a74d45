/* SPDX-License-Identifier: MIT */
/* A small diagram of the workshop's add-on, built through the edits people make. */
#pragma once

#include "diagram/edit.h"
#include "parts/catalog.h"
#include "figure/figure_cache.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void
apply(Document *document, Change *take_change)
{
  g_autoptr(GError) error = NULL;
  assert_non_null(take_change);
  if (!document_apply(document, take_change, &error))
    fail_msg("%s", error->message);
}

/* Returns the id it was given, owned by a table that lives as long as the program. */
static const char *
place(Document *document, const char *kind, double x, double y, int turns)
{
  char *id = NULL;
  const PartKind *found = part_catalog_find(parts_catalog(), kind);
  assert_non_null(found);
  apply(document, edit_place(document, found, (Point){x, y}, &id));
  const char *kept = g_intern_string(id);
  g_free(id);
  for (int i = 0; i < turns; i++)
    apply(document, edit_turn(document, (const char *const[]){kept, NULL}, 1));
  return kept;
}

static void
set(Document *document, const char *id, const char *field, const char *text)
{
  g_autoptr(GError) error = NULL;
  Change *change = edit_set_field(document, id, field, text, &error);
  if (change == NULL)
    fail_msg("%s", error->message);
  apply(document, change);
}

/* from and to: "T1.H1". */
static const Conductor *
land(Document *document, const char *from, const char *to, const char *number, const char *colour,
     const char *wiring)
{
  g_autoptr(GError) error = NULL;
  g_auto(GStrv) a = g_strsplit(from, ".", 2), b = g_strsplit(to, ".", 2);
  g_autoptr(Conductor) conductor = conductor_new(a[0], a[1], b[0], b[1]);
  if (!conductor_set(conductor, "number", number, &error) ||
      !conductor_set(conductor, "colour", colour, &error) ||
      !conductor_set(conductor, "wiring", wiring, &error))
    fail_msg("%s", error->message);
  Change *change = change_new("Land");
  change_conductor(change, NULL, conductor);
  apply(document, change);
  return document_conductor(document, document_conductor_count(document) - 1);
}
