/* SPDX-License-Identifier: MIT */
#include "handout/seen.h"

#include "base/language.h"

/* The catalogue's faults that nobody sees. Everything else in it lies open: see seen.h. */
static const char *const measured_only[] = {
    "fuse-blown", "landing-loose", "conductor-broken",  "conductor-too-long", "load-too-large",
    "supply-low", "supply-high",   "supply-unbalanced", "line-lost-upstream", NULL,
};

bool
seen_fault(const Fault *fault)
{
  return !g_strv_contains(measured_only, fault->name);
}

/* As if nothing were known of its inside. */
static void
hide_conductors(const Document *document, Change *change)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    static const ConductorField hidden[] = {CONDUCTOR_CONDITION, CONDUCTOR_LENGTH, CONDUCTOR_NOTE};
    const Conductor *before = document_conductor(document, i);
    g_autoptr(Conductor) after = conductor_copy(before);

    for (gsize k = 0; k < G_N_ELEMENTS(hidden); k++)
      conductor_set(after, conductor_fields[hidden[k]].name, NULL, NULL);
    if (!conductor_equal(before, after))
      change_conductor(change, before, after);
  }
}

static void
clear_readings(Device *device)
{
  const PartKind *kind = device->kind;

  for (guint row = 0; row < device_row_count(device); row++)
    for (guint f = 0; f < kind->n_row_fields; f++)
      if (kind->row_fields[f].type == FIELD_QUANTITY)
        device_set_row(device, row, kind->row_fields[f].name, NULL, NULL);
}

static void
hide_devices(const Document *document, bool readings, Change *change)
{
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *before = document_device(document, i);
    const PartKind *kind = before->kind;
    g_autoptr(Device) after = device_copy(before);

    if (field_index(kind->fields, kind->n_fields, "note") >= 0)
      device_set(after, "note", NULL, NULL);
    if (kind->role == ROLE_FUSE && kind->operate_field != NULL)
      device_set(after, kind->operate_field, NULL, NULL);
    if (kind->role == ROLE_SUPPLY && readings)
      clear_readings(after);
    if (device_derive(after, NULL) && !device_equal(before, after))
      change_device(change, before, after);
  }
}

static void
drop_answers(const Document *document, Change *change)
{
  for (guint i = 0; i < document_measured_count(document); i++)
    change_measured(change, document_measured(document, i), NULL);
  for (guint i = 0; i < document_intended_count(document); i++)
    change_intended(change, document_intended(document, i), NULL);
}

static bool
hide(Document *document, bool readings, GError **error)
{
  g_autoptr(Change) change = change_new(_("Hide"));

  hide_conductors(document, change);
  hide_devices(document, readings, change);
  drop_answers(document, change);
  if (!document_apply(document, g_steal_pointer(&change), error))
    return false;
  document_clear_history(document);
  return true;
}

Document *
seen_document(const Document *exercise)
{
  Document *document = document_snapshot(exercise);

  /* Clearing optional fields of what a document holds leaves it valid. */
  if (!hide(document, true, NULL))
    g_assert_not_reached();
  return document;
}

Document *
seen_version(const Deal *deal, const DealtVersion *version, const FaultScene *scene,
             const Document *exercise, GError **error)
{
  g_autoptr(GPtrArray) faults = g_ptr_array_new(); /* borrows */
  DealtVersion seen = *version;

  for (guint i = 0; i < version->faults->len; i++) {
    DealtFault *dealt = version->faults->pdata[i];
    if (seen_fault(dealt->fault))
      g_ptr_array_add(faults, dealt);
  }
  seen.faults = faults;
  const char *lesson = sheet_exercise_text(document_sheet(exercise), EXERCISE_LESSON);
  g_autoptr(Document) document = deal_exercise_document(deal, &seen, scene, lesson, error);
  if (document == NULL || !hide(document, false, error))
    return NULL;
  /* It says how many faults there are, also of those that are not drawn. */
  Change *change = change_new(_("Exercise"));
  change_sheet(change, document_sheet(document), document_sheet(exercise));
  if (!document_apply(document, change, error))
    return NULL;
  document_clear_history(document);
  return g_steal_pointer(&document);
}
