/* SPDX-License-Identifier: MIT */
/* Nameplates: what can be read off a device, apart from where it stands, what it is called on its
 * sheet and how it is switched. */
#include "diagram/edit_private.h"

#include "base/language.h"

#include <string.h>

/* A property that belongs to the device on its sheet, not to its nameplate. */
static bool
is_of_sheet(const PartKind *kind, const FieldSpec *field, const Value *value)
{
  if (strcmp(field->name, "designation") == 0 || field->refers)
    return true;
  if (kind->operate_field != NULL && strcmp(field->name, kind->operate_field) == 0)
    return true;
  /* "T1.X1" lies on the sheet, "L1 L2" are terminals of its own. */
  return field->type == FIELD_TERMINALS && value->is_set && strchr(value->text, '.') != NULL;
}

static void
forget_sheet(Device *device)
{
  const PartKind *kind = device->kind;
  for (guint i = 0; i < kind->n_fields; i++)
    if (is_of_sheet(kind, &kind->fields[i], &device->values[i]))
      value_set_text(&device->values[i], &kind->fields[i], NULL, NULL);
  for (guint r = 0; r < device->rows->len; r++) {
    Value *row = g_array_index(device->rows, Value *, r);
    for (guint i = 0; i < kind->n_row_fields; i++)
      if (is_of_sheet(kind, &kind->row_fields[i], &row[i]))
        value_set_text(&row[i], &kind->row_fields[i], NULL, NULL);
  }
}

Device *
edit_dup_nameplate(const Device *device)
{
  Device *nameplate = device_copy(device);
  g_free(nameplate->id);
  nameplate->id = g_strdup_printf("%s1", device->kind->designation);
  nameplate->placement = (Placement){0};
  forget_sheet(nameplate);
  if (!device_derive(nameplate, NULL)) { /* it needs what it referred to: as it was, then */
    device_unref(nameplate);
    nameplate = device_copy(device);
    nameplate->placement = (Placement){0};
  }
  return nameplate;
}

bool
edit_same_nameplate(const Device *a, const Device *b)
{
  g_autoptr(Device) one = edit_dup_nameplate(a);
  g_autoptr(Device) other = edit_dup_nameplate(b);
  return device_equal(one, other);
}

Change *
edit_place_nameplate(const Document *document, const Device *nameplate, Placement at, char **id)
{
  g_autofree char *own_id = document_free_id(document, nameplate->kind->designation);
  g_autoptr(Device) device = device_copy(nameplate);
  g_free(device->id);
  device->id = g_strdup(own_id);
  device->placement = at;
  device->placement.at = edit_place_point(at.at);
  g_autofree char *title = g_strdup_printf(_("Place %s"), own_id);
  Change *change = change_new(title);
  change_device(change, NULL, device);
  if (id != NULL)
    *id = g_steal_pointer(&own_id);
  return change;
}

/* Something is landed on a terminal the new nameplate has not. */
static bool
check_landings(const Document *document, const Device *before, const Device *after, GError **error)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    const Landing *ends[] = {&conductor->from, &conductor->to};
    for (guint e = 0; e < G_N_ELEMENTS(ends); e++) {
      if (g_strcmp0(ends[e]->device, before->id) != 0 ||
          device_terminal_index(after, ends[e]->terminal) >= 0)
        continue;
      g_autofree char *name = conductor_dup_name(conductor);
      g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING,
                  _("%s is landed on %s.%s, and the other nameplate has no %s. Land it on a "
                    "terminal that both have, then replace the nameplate"),
                  name, before->id, ends[e]->terminal, ends[e]->terminal);
      return false;
    }
  }
  return true;
}

/* What was measured on terminals that are gone goes with them. */
static void
drop_measured(const Document *document, Change *change, const Device *before, const Device *after)
{
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    const Landing *ends[] = {&measured->a, &measured->b};
    bool gone = false;
    for (guint e = 0; e < G_N_ELEMENTS(ends); e++)
      gone = gone || (g_strcmp0(ends[e]->device, before->id) == 0 &&
                      device_terminal_index(after, ends[e]->terminal) < 0);
    if (gone)
      change_measured(change, measured, NULL);
  }
}

Change *
edit_set_nameplate(const Document *document, const char *id, const Device *nameplate,
                   GError **error)
{
  const Device *before = document_find_device(document, id);
  g_autoptr(Device) after = device_copy(nameplate);
  if (before == NULL || before->kind != nameplate->kind) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE,
                _("The nameplate is that of a %s: choose a device of that kind on the sheet"),
                _(nameplate->kind->title));
    return NULL;
  }
  const PartKind *kind = before->kind;
  g_free(after->id);
  after->id = g_strdup(id);
  after->placement = before->placement;
  for (guint i = 0; i < kind->n_fields; i++)
    if (is_of_sheet(kind, &kind->fields[i], &before->values[i]) && before->values[i].is_set &&
        !value_set_text(&after->values[i], &kind->fields[i], before->values[i].text, error))
      return NULL;
  if (!device_derive(after, error) || !check_landings(document, before, after, error))
    return NULL;
  g_autofree char *title = g_strdup_printf(_("Nameplate of %s"), device_designation(before));
  Change *change = change_new(title);
  if (!device_equal(before, after)) {
    change_device(change, before, after);
    drop_measured(document, change, before, after);
  }
  return change;
}
