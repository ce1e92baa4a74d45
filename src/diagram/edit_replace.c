/* SPDX-License-Identifier: MIT */
/* One sheet in the place of another, as an edit like any other: so that what a file held meanwhile
 * can be loaded, and what was here be brought back. */
#include "diagram/edit.h"

#include <string.h>

/* Replaced where it stands when both sheets name the same devices in the same order; from the first
 * that differs on all go and all come, because what is added comes last. Returns whether a device
 * that goes comes back: then nothing may stay landed on it. */
static bool
replace_devices(Change *change, const Document *document, const Document *by)
{
  guint n = document_device_count(document), m = document_device_count(by), first = 0;
  while (first < MIN(n, m) &&
         strcmp(document_device(document, first)->id, document_device(by, first)->id) == 0)
    first++;
  for (guint i = 0; i < first; i++)
    if (!device_equal(document_device(document, i), document_device(by, i)))
      change_device(change, document_device(document, i), document_device(by, i));
  for (guint i = first; i < n; i++)
    change_device(change, document_device(document, i), NULL);
  for (guint i = first; i < m; i++)
    change_device(change, NULL, document_device(by, i));
  return first < n && first < m;
}

static void
replace_conductors(Change *change, const Document *document, const Document *by, bool all)
{
  guint n = document_conductor_count(document), m = document_conductor_count(by);
  for (guint i = 0; i < MAX(n, m); i++) {
    const Conductor *before = i < n ? document_conductor(document, i) : NULL;
    g_autoptr(Conductor) after = i < m ? conductor_copy(document_conductor(by, i)) : NULL;
    if (!all && before != NULL && after != NULL && conductor_equal(before, after))
      continue;
    if (after != NULL)
      after->key = before != NULL ? before->key : 0; /* keys are each document's own */
    change_conductor(change, before, after);
  }
}

static void
replace_measured(Change *change, const Document *document, const Document *by, bool all)
{
  guint n = document_measured_count(document), m = document_measured_count(by);
  for (guint i = 0; i < MAX(n, m); i++) {
    const Measured *before = i < n ? document_measured(document, i) : NULL;
    g_autoptr(Measured) after = i < m ? measured_copy(document_measured(by, i)) : NULL;
    if (!all && before != NULL && after != NULL && measured_equal(before, after))
      continue;
    if (after != NULL)
      after->key = before != NULL ? before->key : 0;
    change_measured(change, before, after);
  }
}

static void
replace_intended(Change *change, const Document *document, const Document *by)
{
  guint n = document_intended_count(document), m = document_intended_count(by);
  for (guint i = 0; i < MAX(n, m); i++) {
    const Intended *before = i < n ? document_intended(document, i) : NULL;
    const Intended *after = i < m ? document_intended(by, i) : NULL;
    if (before == NULL || after == NULL || !intended_equal(before, after))
      change_intended(change, before, after);
  }
}

Change *
edit_replace(const Document *document, const Document *by, const char *title)
{
  Change *change = change_new(title);
  bool all = replace_devices(change, document, by);
  replace_conductors(change, document, by, all);
  replace_measured(change, document, by, all);
  replace_intended(change, document, by);
  if (!sheet_data_equal(document_sheet(document), document_sheet(by)))
    change_sheet(change, document_sheet(document), document_sheet(by));
  return change;
}
