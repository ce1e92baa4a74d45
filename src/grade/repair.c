/* SPDX-License-Identifier: MIT */
#include "grade/repair.h"

#include "base/language.h"
#include "grade/touch.h"

#include <string.h>

G_DEFINE_QUARK(repair - error - quark, repair_error)

/* Figures printed on what is bought in several ratings. Leads and poles are not among them: they
 * are what the diagram is landed on. */
static const char *const protection_fields[] = {
    "class", "rating", "volts", "volts-to-ground", "interrupting", "time-delay", NULL};
static const char *const transformer_fields[] = {"rating", NULL};

static bool
refuse(GError **error, char *take_text)
{
  g_set_error_literal(error, REPAIR_ERROR, REPAIR_ERROR_NOT_HERE, take_text);
  g_free(take_text);
  return false;
}

bool
repair_offers(const PartKind *kind)
{
  return kind->role == ROLE_CAP || kind->role == ROLE_SPLICE || kind->role == ROLE_GROUND;
}

bool
repair_may_differ(const Device *device, guint field)
{
  const char *name = device->kind->fields[field].name;
  switch (device->kind->role) {
  case ROLE_FUSE:
  case ROLE_BREAKER:
    return g_strv_contains(protection_fields, name);
  case ROLE_TRANSFORMER:
    return g_strv_contains(transformer_fields, name);
  default:
    return false;
  }
}

bool
repair_conductor_may_differ(ConductorField field)
{
  switch (field) {
  case CONDUCTOR_NUMBER:
  case CONDUCTOR_COLOUR:
  case CONDUCTOR_GAUGE:
  case CONDUCTOR_MATERIAL:
  case CONDUCTOR_INSULATION:
  case CONDUCTOR_TEMPERATURE:
    return true;
  default:
    return false;
  }
}

/* --- devices --- */

Device *
repair_dup_as(const Device *after, const Device *before)
{
  const PartKind *kind = before->kind;
  if (after->kind != kind)
    return NULL;
  g_autoptr(Device) copy = device_copy(after);
  copy->placement = before->placement;
  for (guint i = 0; i < kind->n_fields; i++) {
    const char *name = kind->fields[i].name;
    if (!repair_may_differ(before, i) && g_strcmp0(name, kind->operate_field) != 0)
      continue;
    const Value *value = &before->values[i];
    g_autofree char *text = value->is_set ? value_dup_text(value, &kind->fields[i]) : NULL;
    if (!device_set(copy, name, text, NULL))
      return NULL;
  }
  return device_derive(copy, NULL) ? g_steal_pointer(&copy) : NULL;
}

static bool
allows_other(const Device *before, const Device *after, GError **error)
{
  const char *name = device_designation(before);
  bool same_kind = before->kind == after->kind && strcmp(before->id, after->id) == 0;
  if (same_kind && repair_offers(before->kind))
    return true;
  g_autoptr(Device) as_before = same_kind ? repair_dup_as(after, before) : NULL;
  if (as_before != NULL && device_equal(before, as_before))
    return true;
  if (before->kind->role == ROLE_SUPPLY)
    return refuse(
        error,
        g_strdup_printf(_("%s is what the exercise says it is. Measure it with the meter."), name));
  if (before->kind->role == ROLE_TRANSFORMER || touch_is_replaceable(before))
    return refuse(error,
                  g_strdup_printf(_("Of %s only the ratings can be others here: replace it by one "
                                    "with another rating, or land its leads elsewhere."),
                                  name));
  return refuse(error,
                g_strdup_printf(_("The nameplate of %s says what is there and stays as it is. If "
                                  "it is the fault, name it in your answer."),
                                name));
}

bool
repair_allows_device(const Device *before, const Device *after, GError **error)
{
  if (before != NULL && after != NULL)
    return allows_other(before, after, error);
  const Device *device = before != NULL ? before : after;
  if (repair_offers(device->kind))
    return true;
  if (before != NULL)
    return refuse(error, g_strdup_printf(
                             _("%s stays in an exercise: that it is there is no fault. Conductors, "
                               "caps, splices and grounds can be taken off."),
                             device_designation(device)));
  return refuse(error,
                g_strdup_printf(_("An exercise is mended with conductors, caps, splices and "
                                  "grounds, and by replacing what is there; a further device (%s) "
                                  "is not needed."),
                                _(device->kind->title)));
}

/* --- conductors --- */

/* Replaced means whole: nobody breaks one. */
static bool
condition_kept(const Conductor *before, const Conductor *after)
{
  const FieldSpec *field = &conductor_fields[CONDUCTOR_CONDITION];
  const Value *value = &after->values[CONDUCTOR_CONDITION];
  return !value->is_set ||
         strcmp(conductor_text(after, CONDUCTOR_CONDITION), field->initial) == 0 ||
         (before != NULL && value_equal(field, &before->values[CONDUCTOR_CONDITION], value));
}

/* What is printed on a conductor may be something else, not nothing: what is not known is not
 * checked either. The field that was emptied, or NULL. */
static const FieldSpec *
emptied(const Conductor *before, const Conductor *after)
{
  for (guint i = 0; i < CONDUCTOR_FIELD_COUNT; i++)
    if (repair_conductor_may_differ((ConductorField)i) && before->values[i].has_value &&
        !after->values[i].has_value)
      return &conductor_fields[i];
  return NULL;
}

static bool
allows_conductor(const Conductor *before, const Conductor *after, GError **error)
{
  if (after == NULL)
    return true;
  g_autofree char *name = conductor_dup_name(before != NULL ? before : after);
  const FieldSpec *empty = before != NULL ? emptied(before, after) : NULL;
  bool kept = condition_kept(before, after);
  if (empty != NULL)
    return refuse(error, g_strdup_printf(_("%s: write what stands on the new conductor under "
                                           "\"%s\"; it cannot be left empty."),
                                         name, _(empty->title)));
  for (guint i = 0; i < CONDUCTOR_FIELD_COUNT && before != NULL; i++)
    kept &= repair_conductor_may_differ((ConductorField)i) || i == CONDUCTOR_CONDITION ||
            value_equal(&conductor_fields[i], &before->values[i], &after->values[i]);
  return kept ||
         refuse(error, g_strdup_printf(_("Of %s its ends, colour, size, metal, insulation and wire "
                                         "number can be others here; the rest is how it runs."),
                                       name));
}

/* --- changes --- */

static bool
allows_pair(ChangeItem item, gconstpointer before, gconstpointer after, gpointer data)
{
  GError **error = data;
  switch (item) {
  case CHANGE_DEVICE:
    return repair_allows_device(before, after, error);
  case CHANGE_CONDUCTOR:
    return allows_conductor(before, after, error);
  case CHANGE_MEASURED:
    return refuse(error, g_strdup(_("Readings of an exercise go into its log by themselves: hold "
                                    "both probes where you measure.")));
  case CHANGE_INTENDED:
    return refuse(error, g_strdup(_("An exercise has its faults already: find them.")));
  case CHANGE_SHEET:
    break;
  }
  return refuse(error, g_strdup(_("The title block of an exercise stays as it was handed out. Your "
                                  "name goes into the field on the Exercise page.")));
}

bool
repair_allows(const Change *change, GError **error)
{
  return change_visit(change, allows_pair, error);
}
