/* SPDX-License-Identifier: MIT */
#include "checks/describe.h"

#include "base/language.h"

#include <math.h>

static G_GNUC_PRINTF(2, 3) void add(GPtrArray *lines, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_ptr_array_add(lines, g_strdup_vprintf(format, arguments));
  va_end(arguments);
}

static void
compare_values(GPtrArray *lines, const char *name, const FieldSpec *fields, guint n,
               const Value *before, const Value *after)
{
  for (guint i = 0; i < n; i++) {
    if (value_equal(&fields[i], &before[i], &after[i]))
      continue;
    g_autofree char *was = value_dup_text(&before[i], &fields[i]);
    g_autofree char *now = value_dup_text(&after[i], &fields[i]);
    add(lines, "%s: %s %s -> %s", name, fields[i].name, was != NULL ? was : _("(empty)"),
        now != NULL ? now : _("(empty)"));
  }
}

static void
add_move(GPtrArray *lines, const char *id, double right, double down)
{
  g_autofree char *x = quantity_format(quantity_make(fabs(right), UNIT_MILLIMETRE));
  g_autofree char *y = quantity_format(quantity_make(fabs(down), UNIT_MILLIMETRE));
  if (right != 0)
    add(lines, right > 0 ? _("%s: moved %s to the right") : _("%s: moved %s to the left"), id, x);
  if (down != 0)
    add(lines, down > 0 ? _("%s: moved %s down") : _("%s: moved %s up"), id, y);
}

static void
compare_device(GPtrArray *lines, const Device *before, const Device *after)
{
  compare_values(lines, after->id, after->kind->fields, after->kind->n_fields, before->values,
                 after->values);
  guint rows = MIN(device_row_count(before), device_row_count(after));
  for (guint r = 0; r < rows; r++) {
    g_autofree char *name = g_strdup_printf("%s %s %u", after->id, _(after->kind->row_name), r + 1);
    compare_values(lines, name, after->kind->row_fields, after->kind->n_row_fields,
                   device_row(before, r), device_row(after, r));
  }
  if (device_row_count(before) != device_row_count(after))
    add(lines, _("%s: %u rows -> %u rows"), after->id, device_row_count(before),
        device_row_count(after));
  Point was = before->placement.at, now = after->placement.at;
  if (!point_equal(was, now))
    add_move(lines, after->id, now.x - was.x, now.y - was.y);
}

static void
compare_conductor(GPtrArray *lines, const Conductor *before, const Conductor *after)
{
  g_autofree char *name = conductor_dup_name(before);
  const Landing *was[2] = {&before->from, &before->to}, *now[2] = {&after->from, &after->to};
  for (int i = 0; i < 2; i++) {
    g_autofree char *from = landing_dup_name(was[i]);
    g_autofree char *to = landing_dup_name(now[i]);
    if (!landing_equal(was[i], now[i]))
      add(lines, _("%s: moved from %s to %s"), name, from, to);
  }
  compare_values(lines, name, conductor_fields, CONDUCTOR_FIELD_COUNT, before->values,
                 after->values);
}

static void
compare_sheet(GPtrArray *lines, const SheetData *before, const SheetData *after)
{
  compare_values(lines, _("sheet"), sheet_data_fields, SHEET_FIELD_COUNT, before->values,
                 after->values);
  compare_values(lines, _("equipment"), equipment_fields, EQUIPMENT_FIELD_COUNT, before->equipment,
                 after->equipment);
}

GPtrArray *
describe_difference(const Document *before, const Document *after)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func(g_free);
  compare_sheet(lines, document_sheet(before), document_sheet(after));
  for (guint i = 0; i < document_device_count(after); i++) {
    const Device *now = document_device(after, i);
    const Device *was = document_find_device(before, now->id);
    if (was == NULL)
      add(lines, _("%s: placed (%s)"), now->id, _(now->kind->title));
    else if (was != now)
      compare_device(lines, was, now);
  }
  for (guint i = 0; i < document_device_count(before); i++) {
    const char *id = document_device(before, i)->id;
    if (document_find_device(after, id) == NULL)
      add(lines, _("%s: removed"), id);
  }
  for (guint i = 0; i < document_conductor_count(after); i++) {
    const Conductor *now = document_conductor(after, i);
    const Conductor *was = document_find_conductor(before, now->key);
    g_autofree char *name = conductor_dup_name(now);
    if (was == NULL)
      add(lines, _("%s: landed"), name);
    else if (was != now)
      compare_conductor(lines, was, now);
  }
  for (guint i = 0; i < document_conductor_count(before); i++) {
    const Conductor *was = document_conductor(before, i);
    g_autofree char *name = conductor_dup_name(was);
    if (document_find_conductor(after, was->key) == NULL)
      add(lines, _("%s: taken out"), name);
  }
  return lines;
}
