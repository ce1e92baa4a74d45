/* SPDX-License-Identifier: MIT */
#include "grade/touch.h"

#include "base/language.h"

#include <string.h>

static void
touch_free(gpointer data)
{
  Touch *touch = data;
  g_free(touch->place);
  g_free(touch->text);
  g_array_unref(touch->terminals);
  g_free(touch);
}

static void
clear_landing(gpointer data)
{
  landing_clear(data);
}

static Touch *
add(GPtrArray *list, StepKind kind, char *take_place, char *take_text)
{
  Touch *touch = g_new0(Touch, 1);
  *touch = (Touch){kind, take_place, take_text, g_array_new(FALSE, FALSE, sizeof(Landing))};
  g_array_set_clear_func(touch->terminals, clear_landing);
  g_ptr_array_add(list, touch);
  return touch;
}

static void
touch_terminal(Touch *touch, const Landing *landing)
{
  Landing copy = landing_make(landing->device, landing->terminal);
  g_array_append_val(touch->terminals, copy);
}

bool
touch_is_replaceable(const Device *device)
{
  return device->kind->role == ROLE_FUSE || device->kind->role == ROLE_BREAKER;
}

bool
touch_is_material(const Device *device)
{
  switch (device->kind->role) {
  case ROLE_CAP:
  case ROLE_SPLICE:
  case ROLE_GROUND:
  case ROLE_TEST_POINT:
  case ROLE_OUTLINE:
    return true;
  default:
    return false;
  }
}

int
touch_concealed_field(const Device *device)
{
  const PartKind *kind = device->kind;
  if (kind->role != ROLE_FUSE || kind->operate_field == NULL)
    return -1;
  for (guint i = 0; i < kind->n_fields; i++)
    if (strcmp(kind->fields[i].name, kind->operate_field) == 0)
      return (int)i;
  return -1;
}

bool
touch_is_blown(const Device *device)
{
  int field = touch_concealed_field(device);
  return field >= 0 && device_flag(device, (guint)field);
}

/* --- conductors --- */

static void
compare_conductor(GPtrArray *list, const Conductor *before, const Conductor *after)
{
  char *name = conductor_dup_name(before);
  bool from = !landing_equal(&before->from, &after->from);
  bool to = !landing_equal(&before->to, &after->to);
  for (int end = 0; end < 2; end++) {
    if (!(end == 0 ? from : to))
      continue;
    const Landing *old = end == 0 ? &before->from : &before->to;
    const Landing *new = end == 0 ? &after->from : &after->to;
    g_autofree char *there = landing_dup_name(old), *here = landing_dup_name(new);
    Touch *touch = add(list, STEP_LAND, g_strdup(name),
                       g_strdup_printf(_("One end of %s moved from %s to %s"), name, there, here));
    touch_terminal(touch, old);
    touch_terminal(touch, new);
  }
  bool same = true;
  for (guint i = 0; i < CONDUCTOR_FIELD_COUNT; i++)
    same &= i == CONDUCTOR_NOTE || i == CONDUCTOR_NUMBER || i == CONDUCTOR_RACEWAY ||
            value_equal(&conductor_fields[i], &before->values[i], &after->values[i]);
  if (!same) {
    Touch *touch = add(list, STEP_REPLACE, g_strdup(name), g_strdup_printf(_("%s replaced"), name));
    touch_terminal(touch, &before->from);
    touch_terminal(touch, &before->to);
  }
  g_free(name);
}

static void
lone_conductor(GPtrArray *list, const Conductor *conductor, bool added)
{
  char *name = conductor_dup_name(conductor);
  g_autofree char *from = landing_dup_name(&conductor->from);
  g_autofree char *to = landing_dup_name(&conductor->to);
  Touch *touch = add(list, STEP_LAND, name,
                     added ? g_strdup_printf(_("New conductor landed from %s to %s"), from, to)
                           : g_strdup_printf(_("%s taken off between %s and %s"), name, from, to));
  touch_terminal(touch, &conductor->from);
  touch_terminal(touch, &conductor->to);
}

/* --- devices --- */

static void
touch_device(Touch *touch, const Device *device)
{
  for (guint i = 0; i < device_terminal_count(device); i++) {
    const Landing here = {.device = device->id,
                          .terminal = (char *)(guintptr)device_terminal(device, i)->name};
    touch_terminal(touch, &here);
  }
}

static bool
values_same(const Device *a, const Device *b, const char *but)
{
  const PartKind *kind = a->kind;
  for (guint i = 0; i < kind->n_fields; i++)
    if (g_strcmp0(kind->fields[i].name, but) != 0 &&
        !value_equal(&kind->fields[i], &a->values[i], &b->values[i]))
      return false;
  if (device_row_count(a) != device_row_count(b))
    return false;
  for (guint row = 0; row < device_row_count(a); row++)
    for (guint i = 0; i < kind->n_row_fields; i++)
      if (!value_equal(&kind->row_fields[i], &device_row(a, row)[i], &device_row(b, row)[i]))
        return false;
  return true;
}

static bool
operated(const Device *a, const Device *b)
{
  const char *field = a->kind->operate_field;
  if (field == NULL)
    return false;
  for (guint i = 0; i < a->kind->n_fields; i++)
    if (strcmp(a->kind->fields[i].name, field) == 0)
      return !value_equal(&a->kind->fields[i], &a->values[i], &b->values[i]);
  return false;
}

static void
compare_device(GPtrArray *list, const Device *before, const Device *after)
{
  const char *name = device_designation(before);
  bool thrown = operated(before, after);
  bool other = before->kind != after->kind ||
               !values_same(before, after, before->kind->operate_field) ||
               (thrown && touch_concealed_field(before) >= 0);
  if (other) {
    Touch *touch =
        add(list, STEP_REPLACE, g_strdup(before->id), g_strdup_printf(_("%s replaced"), name));
    touch_device(touch, before);
  } else if (thrown)
    add(list, STEP_OPERATE, g_strdup(before->id), g_strdup_printf(_("%s operated"), name));
}

GPtrArray *
touches_new(const Document *before, const Document *after)
{
  GPtrArray *list = g_ptr_array_new_with_free_func(touch_free);
  for (guint i = 0; i < document_conductor_count(before); i++) {
    const Conductor *old = document_conductor(before, i);
    const Conductor *new = document_find_conductor(after, old->key);
    if (new == NULL)
      lone_conductor(list, old, false);
    else if (new != old)
      compare_conductor(list, old, new);
  }
  for (guint i = 0; i < document_conductor_count(after); i++) {
    const Conductor *new = document_conductor(after, i);
    if (document_find_conductor(before, new->key) == NULL)
      lone_conductor(list, new, true);
  }
  for (guint i = 0; i < document_device_count(before); i++) {
    const Device *old = document_device(before, i);
    const Device *new = document_find_device(after, old->id);
    if (new != NULL &&new != old)
      compare_device(list, old, new);
  }
  return list;
}
