/* SPDX-License-Identifier: MIT */
#include "diagram/device.h"

#include "base/language.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

#define MAX_TERMINALS 64

static Value *
row_new(const PartKind *kind)
{
  Value *row = g_new0(Value, MAX(kind->n_row_fields, 1));
  value_init_defaults(row, kind->row_fields, kind->n_row_fields);
  return row;
}

static void
row_free(const PartKind *kind, Value *row)
{
  value_clear_all(row, kind->n_row_fields);
  g_free(row);
}

static Device *
device_alloc(const PartKind *kind, const char *id)
{
  Device *device = g_new0(Device, 1);
  g_atomic_ref_count_init(&device->references);
  device->id = g_strdup(id);
  device->kind = kind;
  device->values = g_new0(Value, MAX(kind->n_fields, 1));
  device->rows = g_array_new(FALSE, FALSE, sizeof(Value *));
  device->terminals = g_array_new(FALSE, TRUE, sizeof(Terminal));
  return device;
}

Device *
device_new(const PartKind *kind, const char *id)
{
  Device *device = device_alloc(kind, id);
  value_init_defaults(device->values, kind->fields, kind->n_fields);
  for (guint i = 0; i < kind->n_initial_rows; i++) {
    Value *row = row_new(kind);
    for (guint j = 0; j < kind->n_row_fields; j++) {
      const char *text = kind->initial_rows[i * kind->n_row_fields + j];
      g_autoptr(GError) error = NULL;
      if (text != NULL && !value_set_text(&row[j], &kind->row_fields[j], text, &error))
        g_critical("initial row of kind \"%s\": %s", kind->name, error->message);
    }
    g_array_append_val(device->rows, row);
  }
  device_derive(device, NULL); /* a kind may want more than its defaults; that is judged later */
  return device;
}

Device *
device_copy(const Device *device)
{
  const PartKind *kind = device->kind;
  Device *copy = device_alloc(kind, device->id);
  copy->placement = device->placement;
  value_copy_all(copy->values, device->values, kind->n_fields);
  for (guint i = 0; i < device->rows->len; i++) {
    Value *row = g_new0(Value, MAX(kind->n_row_fields, 1));
    value_copy_all(row, device_row(device, i), kind->n_row_fields);
    g_array_append_val(copy->rows, row);
  }
  if (device->terminals->len > 0)
    g_array_append_vals(copy->terminals, device->terminals->data, device->terminals->len);
  return copy;
}

Device *
device_ref(const Device *device)
{
  Device *shared = (Device *)(guintptr)device;
  g_atomic_ref_count_inc(&shared->references);
  return shared;
}

void
device_unref(Device *device)
{
  if (device == NULL || !g_atomic_ref_count_dec(&device->references))
    return;
  for (guint i = 0; i < device->rows->len; i++)
    row_free(device->kind, g_array_index(device->rows, Value *, i));
  g_array_unref(device->rows);
  g_array_unref(device->terminals);
  value_clear_all(device->values, device->kind->n_fields);
  g_free(device->values);
  g_free(device->id);
  g_free(device);
}

static bool
values_equal(const FieldSpec *fields, const Value *a, const Value *b, guint n)
{
  for (guint i = 0; i < n; i++)
    if (!value_equal(&fields[i], &a[i], &b[i]))
      return false;
  return true;
}

bool
device_equal(const Device *a, const Device *b)
{
  if (a == b)
    return true;
  if (a->kind != b->kind || strcmp(a->id, b->id) != 0 || a->rows->len != b->rows->len)
    return false;
  if (a->placement.at.x != b->placement.at.x || a->placement.at.y != b->placement.at.y ||
      a->placement.turns != b->placement.turns || a->placement.mirrored != b->placement.mirrored)
    return false;
  if (!values_equal(a->kind->fields, a->values, b->values, a->kind->n_fields))
    return false;
  for (guint i = 0; i < a->rows->len; i++)
    if (!values_equal(a->kind->row_fields, device_row(a, i), device_row(b, i),
                      a->kind->n_row_fields))
      return false;
  return true;
}

/* Sets one of n fields; the error names the place and the field. */
static bool
set_named(Value *values, const FieldSpec *fields, guint n, const char *place, const char *field,
          const char *text, GError **error)
{
  int index = field_index(fields, n, field);
  if (index >= 0) {
    if (value_set_text(&values[index], &fields[index], text, error))
      return true;
    g_prefix_error(error, "%s, %s: ", place, field);
    return false;
  }
  g_autofree const char **names = g_new0(const char *, n + 1);
  for (guint i = 0; i < n; i++)
    names[i] = fields[i].name;
  const char *nearest = text_nearest(field, names);
  g_autofree char *shown = text_clean(field, 40);
  g_autofree char *all = g_strjoinv(", ", (char **)names);
  g_set_error(error, FIELD_ERROR, FIELD_ERROR_CHOICE,
              nearest != NULL ? _("%s has no field \"%s\"; did you mean %s")
                              : _("%s has no field \"%s\"; it has: %s"),
              place, shown, nearest != NULL ? nearest : all);
  return false;
}

bool
device_set(Device *device, const char *field, const char *text, GError **error)
{
  return set_named(device->values, device->kind->fields, device->kind->n_fields, device->id, field,
                   text, error);
}

bool
device_set_row(Device *device, guint row, const char *field, const char *text, GError **error)
{
  const PartKind *kind = device->kind;
  const char *row_name = kind->row_name != NULL ? _(kind->row_name) : _("row");
  if (row >= device->rows->len) {
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_RANGE, _("%s has no %s %u; it has %u"), device->id,
                row_name, row + 1, device->rows->len);
    return false;
  }
  g_autofree char *place = g_strdup_printf("%s, %s %u", device->id, row_name, row + 1);
  return set_named(g_array_index(device->rows, Value *, row), kind->row_fields, kind->n_row_fields,
                   place, field, text, error);
}

void
device_add_row(Device *device)
{
  g_return_if_fail(device->kind->row_name != NULL);
  Value *row = row_new(device->kind);
  g_array_append_val(device->rows, row);
}

void
device_remove_row(Device *device, guint row)
{
  g_return_if_fail(row < device->rows->len);
  row_free(device->kind, g_array_index(device->rows, Value *, row));
  g_array_remove_index(device->rows, row);
}

/* Terminal names come from what people type, so they are judged like any other input. */
static bool
check_terminals(const Device *device, GError **error)
{
  guint n = device->terminals->len;
  if (n > MAX_TERMINALS) {
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_RANGE,
                _("%s has %u terminals; at most %d can be used"), device->id, n, MAX_TERMINALS);
    return false;
  }
  for (guint i = 0; i < n; i++) {
    const Terminal *terminal = device_terminal(device, i);
    if (!text_is_name(terminal->name)) {
      g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                  _("%s: terminal %u has no proper name; expected one such as \"X1\""), device->id,
                  i + 1);
      return false;
    }
    if (device_terminal_index(device, terminal->name) != (int)i) {
      g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                  _("%s has two terminals named \"%s\"; give each a name of its own"), device->id,
                  terminal->name);
      return false;
    }
  }
  return true;
}

bool
device_derive(Device *device, GError **error)
{
  const PartKind *kind = device->kind;
  g_array_set_size(device->terminals, 0);
  if (kind->row_name != NULL && device->rows->len > kind->max_rows) {
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_RANGE,
                _("%s has %u of <%s>; at most %u can be used"), device->id, device->rows->len,
                kind->row_name, kind->max_rows);
    return false;
  }
  if (kind->terminals != NULL)
    kind->terminals(device, device->terminals);
  if (!check_terminals(device, error))
    return false;
  return kind->validate == NULL || kind->validate(device, error);
}

double
device_number(const Device *device, guint field, double fallback)
{
  g_return_val_if_fail(field < device->kind->n_fields, fallback);
  return value_number(&device->values[field], &device->kind->fields[field], fallback);
}

int
device_choice(const Device *device, guint field)
{
  g_return_val_if_fail(field < device->kind->n_fields, -1);
  return device->values[field].has_value ? device->values[field].choice : -1;
}

bool
device_flag(const Device *device, guint field)
{
  return device_choice(device, field) > 0;
}

static const char *
value_text(const Value *value)
{
  return value->has_value && value->text != NULL ? value->text : "";
}

const char *
device_text(const Device *device, guint field)
{
  g_return_val_if_fail(field < device->kind->n_fields, "");
  return value_text(&device->values[field]);
}

const Value *
device_value_named(const Device *device, const char *field)
{
  int index = field_index(device->kind->fields, device->kind->n_fields, field);
  return index < 0 ? NULL : &device->values[index];
}

double
device_number_named(const Device *device, const char *field, double fallback)
{
  int index = field_index(device->kind->fields, device->kind->n_fields, field);
  return index < 0 ? fallback : device_number(device, (guint)index, fallback);
}

guint
device_row_count(const Device *device)
{
  return device->rows->len;
}

const Value *
device_row(const Device *device, guint row)
{
  g_return_val_if_fail(row < device->rows->len, NULL);
  return g_array_index(device->rows, Value *, row);
}

double
device_row_number(const Device *device, guint row, guint field, double fallback)
{
  g_return_val_if_fail(row < device->rows->len && field < device->kind->n_row_fields, fallback);
  return value_number(&device_row(device, row)[field], &device->kind->row_fields[field], fallback);
}

const char *
device_row_text(const Device *device, guint row, guint field)
{
  g_return_val_if_fail(row < device->rows->len && field < device->kind->n_row_fields, "");
  return value_text(&device_row(device, row)[field]);
}

int
device_row_choice(const Device *device, guint row, guint field)
{
  g_return_val_if_fail(row < device->rows->len && field < device->kind->n_row_fields, -1);
  const Value *value = &device_row(device, row)[field];
  return value->has_value ? value->choice : -1;
}

const char *
device_designation(const Device *device)
{
  const Value *value = device_value_named(device, "designation");
  const char *text = value != NULL ? value_text(value) : "";
  return *text != '\0' ? text : device->id;
}

guint
device_terminal_count(const Device *device)
{
  return device->terminals->len;
}

const Terminal *
device_terminal(const Device *device, guint index)
{
  g_return_val_if_fail(index < device->terminals->len, NULL);
  return &g_array_index(device->terminals, Terminal, index);
}

int
device_terminal_index(const Device *device, const char *name)
{
  for (guint i = 0; i < device->terminals->len; i++)
    if (strcmp(g_array_index(device->terminals, Terminal, i).name, name) == 0)
      return (int)i;
  return -1;
}

Point
device_terminal_point(const Device *device, guint index)
{
  return placement_apply(device->placement, device_terminal(device, index)->at);
}

int
device_terminal_side(const Device *device, guint index)
{
  int side = device_terminal(device, index)->side;
  if (device->placement.mirrored && side % 2 == 0)
    side = 2 - side;
  return (side + device->placement.turns) & 3;
}
