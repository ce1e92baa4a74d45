/* SPDX-License-Identifier: MIT */
/* Setting fields of devices, conductors, the sheet; rows; names; operating a device. */
#include "diagram/edit_private.h"

#include "base/language.h"
#include "base/text.h"

#include <string.h>

/* A change that replaces one device, when it is different and consistent. */
static Change *
replace_device(const Document *document, Device *after, const char *title, GError **error)
{
  if (!device_derive(after, error))
    return NULL;
  const Device *before = document_find_device(document, after->id);
  Change *change = change_new(title);
  if (!device_equal(before, after))
    change_device(change, before, after);
  return change;
}

/* What refers to a device by its designation follows, unless another device has that designation
 * as well; what names one of its terminals follows its id. */
static void
follow_references(const Document *document, Change *change, const Device *before,
                  const Device *after)
{
  const char *from = device_designation(before), *to = device_designation(after);
  bool follow = strcmp(from, to) != 0;
  for (guint i = 0; follow && i < document_device_count(document); i++) {
    const Device *other = document_device(document, i);
    follow = other == before || strcmp(device_designation(other), from) != 0;
  }
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *other = document_device(document, i);
    if (other == before || !edit_has_references(other))
      continue;
    g_autoptr(Device) copy = device_copy(other);
    bool changed = follow && edit_rename_designation(copy, from, to);
    if (edit_rename_references(copy, before->id, after->id) || changed)
      change_device(change, other, copy);
  }
}

Change *
edit_set_field(const Document *document, const char *id, const char *field, const char *text,
               GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL || !device_set(after, field, text, error))
    return NULL;
  const Device *before = document_find_device(document, id);
  g_autofree char *title = g_strdup_printf(_("Set %s of %s"), field, device_designation(before));
  Change *change = replace_device(document, after, title, error);
  if (change != NULL && strcmp(device_designation(before), device_designation(after)) != 0)
    follow_references(document, change, before, after);
  return change;
}

/* --- landings that follow a changed name --- */

/* The device as it was and as it will be. */
typedef struct {
  const Device *before, *after;
  int row; /* only terminals of this row follow; -1: the device's id changed */
} Renaming;

static bool
follow_landing(Landing *landing, const Renaming *renaming)
{
  if (landing->device == NULL || strcmp(landing->device, renaming->before->id) != 0)
    return false;
  if (renaming->row < 0) {
    g_free(landing->device);
    landing->device = g_strdup(renaming->after->id);
    return true;
  }
  int index = device_terminal_index(renaming->before, landing->terminal);
  if (index < 0 || device_terminal(renaming->before, (guint)index)->row != renaming->row ||
      (guint)index >= device_terminal_count(renaming->after))
    return false;
  const char *name = device_terminal(renaming->after, (guint)index)->name;
  if (strcmp(name, landing->terminal) == 0)
    return false;
  g_free(landing->terminal);
  landing->terminal = g_strdup(name);
  return true;
}

static void
follow_all(const Document *document, Change *change, const Renaming *renaming)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *before = document_conductor(document, i);
    if (strcmp(before->from.device, renaming->before->id) != 0 &&
        strcmp(before->to.device, renaming->before->id) != 0)
      continue;
    g_autoptr(Conductor) after = conductor_copy(before);
    bool from = follow_landing(&after->from, renaming);
    if (follow_landing(&after->to, renaming) || from)
      change_conductor(change, before, after);
  }
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *before = document_measured(document, i);
    g_autoptr(Measured) after = measured_copy(before);
    bool a = follow_landing(&after->a, renaming);
    if (follow_landing(&after->b, renaming) || a)
      change_measured(change, before, after);
  }
}

/* The name a terminal has once its row's marking is another. Borrowed. */
static const char *
name_now(gconstpointer data, const char *terminal)
{
  const Renaming *renaming = data;
  int index = device_terminal_index(renaming->before, terminal);
  if (index < 0 || device_terminal(renaming->before, (guint)index)->row != renaming->row)
    return terminal;
  return device_terminal(renaming->after, (guint)index)->name;
}

Change *
edit_set_row_field(const Document *document, const char *id, guint row, const char *field,
                   const char *text, GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL || !device_set_row(after, row, field, text, error))
    return NULL;
  g_autofree char *title = g_strdup_printf(
      _("Set %s of %s, %s %u"), field, device_designation(after),
      after->kind->row_title != NULL ? _(after->kind->row_title) : _("row"), row + 1);
  Change *change = replace_device(document, after, title, error);
  const Device *before = document_find_device(document, id);
  /* A lead that got another marking keeps what lands on it. */
  Renaming renaming = {before, after, (int)row};
  if (change != NULL && device_terminal_count(before) == device_terminal_count(after)) {
    follow_all(document, change, &renaming);
    edit_follow_terminals(document, change, before, name_now, &renaming);
  }
  return change;
}

static bool
check_has_rows(const Device *device, GError **error)
{
  if (device->kind->row_name != NULL)
    return true;
  g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE, _("%s is a %s and has no rows"),
              device_designation(device), _(device->kind->title));
  return false;
}

/* "X3" after "X2": the last row's name counted on to one no row and no terminal has. New string. */
static char *
next_row_name(const Device *device, guint field)
{
  guint last = device_row_count(device) - 2; /* the new row is the last one */
  const char *previous = device_row_count(device) >= 2 ? device_row_text(device, last, field) : "";
  size_t length = strlen(previous);
  while (length > 0 && g_ascii_isdigit(previous[length - 1]))
    length--;
  guint64 number = g_ascii_strtoull(previous + length, NULL, 10) % 1000000;
  g_autofree char *letters = length > 0 ? g_strndup(previous, MIN(length, 24)) : g_strdup("X");
  for (;;) {
    g_autofree char *name = g_strdup_printf("%s%" G_GUINT64_FORMAT, letters, ++number);
    bool taken = device_terminal_index(device, name) >= 0;
    for (guint i = 0; i < device_row_count(device) && !taken; i++)
      taken = strcmp(device_row_text(device, i, field), name) == 0;
    if (!taken)
      return g_steal_pointer(&name);
  }
}

Change *
edit_add_row(const Document *document, const char *id, GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL || !check_has_rows(after, error))
    return NULL;
  const PartKind *kind = after->kind;
  device_add_row(after);
  Value *row = g_array_index(after->rows, Value *, after->rows->len - 1);
  for (guint i = 0; i < kind->n_row_fields; i++) {
    if (kind->row_fields[i].type != FIELD_NAME || row[i].has_value)
      continue;
    g_autofree char *name = next_row_name(after, i);
    value_set_text(&row[i], &kind->row_fields[i], name, NULL);
  }
  g_autofree char *title =
      g_strdup_printf(_("Add a %s to %s"), _(kind->row_name), device_designation(after));
  return replace_device(document, after, title, error);
}

Change *
edit_remove_row(const Document *document, const char *id, guint row, GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL || !check_has_rows(after, error))
    return NULL;
  if (row >= device_row_count(after)) {
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_RANGE, _("%s has no %s %u; it has %u"),
                device_designation(after), _(after->kind->row_name), row + 1,
                device_row_count(after));
    return NULL;
  }
  device_remove_row(after, row);
  g_autofree char *title = g_strdup_printf(_("Remove %s %u of %s"), _(after->kind->row_name),
                                           row + 1, device_designation(after));
  return replace_device(document, after, title, error);
}

static bool
check_new_id(const Document *document, const char *new_id, GError **error)
{
  g_autofree char *shown = text_clean(new_id, 40);
  if (!text_is_name(new_id))
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE,
                _("\"%s\" is not a name for a device; expected letters and digits, for example "
                  "\"T1\""),
                shown);
  else if (document_find_device(document, new_id) != NULL)
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE,
                _("the sheet already has a device \"%s\"; every device needs a name of its own"),
                shown);
  else
    return true;
  return false;
}

Change *
edit_set_id(const Document *document, const char *id, const char *new_id, GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL)
    return NULL;
  g_autofree char *title = g_strdup_printf(_("Rename %s to %s"), id, new_id);
  if (strcmp(id, new_id) == 0)
    return change_new(title);
  if (!check_new_id(document, new_id, error))
    return NULL;
  const Device *before = document_find_device(document, id);
  g_free(after->id);
  after->id = g_strdup(new_id);
  edit_rename_references(after, id, new_id);
  Change *change = change_new(title);
  change_device(change, before, after);
  follow_references(document, change, before, after);
  Renaming renaming = {before, after, -1};
  follow_all(document, change, &renaming);
  edit_follow_intended(document, change, id, new_id);
  return change;
}

Change *
edit_set_conductor_field(const Document *document, guint32 key, const char *field, const char *text,
                         GError **error)
{
  const Conductor *before = edit_find_conductor(document, key, error);
  if (before == NULL)
    return NULL;
  g_autoptr(Conductor) after = conductor_copy(before);
  if (!conductor_set(after, field, text, error))
    return NULL;
  g_autofree char *name = conductor_dup_name(before);
  g_autofree char *title = g_strdup_printf(_("Set %s of %s"), field, name);
  Change *change = change_new(title);
  if (!conductor_equal(before, after))
    change_conductor(change, before, after);
  return change;
}

Change *
edit_set_sheet_field(const Document *document, bool equipment, const char *field, const char *text,
                     GError **error)
{
  const FieldSpec *fields = equipment ? equipment_fields : sheet_data_fields;
  guint n = equipment ? (guint)EQUIPMENT_FIELD_COUNT : (guint)SHEET_FIELD_COUNT;
  const char *place = equipment ? _("equipment") : _("sheet");
  int index = field_index(fields, n, field);
  if (index < 0) {
    g_autofree char *shown = text_clean(field, 40);
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_CHOICE,
                equipment ? _("the equipment has no field \"%s\"")
                          : _("the sheet has no field \"%s\""),
                shown);
    return NULL;
  }
  const SheetData *before = document_sheet(document);
  g_autoptr(SheetData) after = sheet_data_copy(before);
  Value *values = equipment ? after->equipment : after->values;
  if (!value_set_text(&values[index], &fields[index], text, error)) {
    g_prefix_error(error, "%s, %s: ", place, field);
    return NULL;
  }
  g_autofree char *title =
      g_strdup_printf(equipment ? _("Set %s of the equipment") : _("Set %s of the sheet"), field);
  Change *change = change_new(title);
  if (!sheet_data_equal(before, after))
    change_sheet(change, before, after);
  return change;
}

Change *
edit_operate(const Document *document, const char *id, GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL)
    return NULL;
  const PartKind *kind = after->kind;
  const char *name = kind->operate_field;
  int index = name != NULL ? field_index(kind->fields, kind->n_fields, name) : -1;
  if (index < 0) {
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE, _("%s is a %s; there is nothing to operate"),
                device_designation(after), _(kind->title));
    return NULL;
  }
  const FieldSpec *field = &kind->fields[index];
  bool is_flag = field->type == FIELD_BOOLEAN;
  int choice = device_choice(after, (guint)index) + 1;
  const char *text =
      is_flag ? (choice == 2 ? "no" : "yes")
              : (field->choices[choice] != NULL ? field->choices[choice] : field->choices[0]);
  if (!value_set_text(&after->values[index], field, text, error))
    return NULL;
  const char *designation = device_designation(after);
  g_autofree char *title =
      strcmp(name, "closed") == 0
          ? g_strdup_printf("%s %s", strcmp(text, "yes") == 0 ? _("Close") : _("Open"), designation)
          : g_strdup_printf(_("Set %s of %s to %s"), name, designation, text);
  return replace_device(document, after, title, error);
}
