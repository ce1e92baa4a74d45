/* SPDX-License-Identifier: MIT */
#include "diagram/edit_private.h"

#include "base/language.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

static gint
compare_indices(gconstpointer a, gconstpointer b)
{
  return *(const int *)a - *(const int *)b;
}

GPtrArray *
edit_selected(const Document *document, const char *const *ids)
{
  g_autoptr(GArray) indices = g_array_new(FALSE, FALSE, sizeof(int));
  for (; ids != NULL && *ids != NULL; ids++) {
    int index = document_device_index(document, *ids);
    if (index >= 0)
      g_array_append_val(indices, index);
  }
  g_array_sort(indices, compare_indices);
  GPtrArray *devices = g_ptr_array_new();
  int last = -1;
  for (guint i = 0; i < indices->len; i++) {
    int index = g_array_index(indices, int, i);
    if (index != last)
      g_ptr_array_add(devices, (Device *)(guintptr)document_device(document, (guint)index));
    last = index;
  }
  return devices;
}

char *
edit_title(EditVerb verb, const GPtrArray *devices)
{
  const guint n = devices->len;

  if (n == 1) {
    static const char *const one[] = {
        [EDIT_MOVE] = N_("Move %s"),           [EDIT_TURN] = N_("Turn %s"),
        [EDIT_MIRROR] = N_("Mirror %s"),       [EDIT_DELETE] = N_("Delete %s"),
        [EDIT_DUPLICATE] = N_("Duplicate %s"), [EDIT_PASTE] = N_("Paste %s"),
        [EDIT_GROUP] = N_("Group %s"),         [EDIT_UNGROUP] = N_("Ungroup %s")};
    return language_fill(_(one[verb]), device_designation(devices->pdata[0]), NULL);
  }
  static const char *const many[] = {
      [EDIT_MOVE] = N_("Move %s devices"),           [EDIT_TURN] = N_("Turn %s devices"),
      [EDIT_MIRROR] = N_("Mirror %s devices"),       [EDIT_DELETE] = N_("Delete %s devices"),
      [EDIT_DUPLICATE] = N_("Duplicate %s devices"), [EDIT_PASTE] = N_("Paste %s devices"),
      [EDIT_GROUP] = N_("Group %s devices"),         [EDIT_UNGROUP] = N_("Ungroup %s devices")};
  g_autofree char *number = g_strdup_printf("%u", n);
  return language_fill(_(many[verb]), number, NULL);
}

static double
place_coordinate(double value)
{
  if (!isfinite(value))
    return 0.0;
  return grid_snap(CLAMP(value, -DOCUMENT_MAX_MM, DOCUMENT_MAX_MM)) + 0.0; /* no negative zero */
}

Point
edit_place_point(Point point)
{
  return (Point){place_coordinate(point.x), place_coordinate(point.y)};
}

Device *
edit_copy_device(const Document *document, const char *id, GError **error)
{
  const Device *device = document_find_device(document, id);
  if (device != NULL)
    return device_copy(device);
  g_autofree char *shown = text_clean(id, 40);
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE, _(EDIT_ERROR_MISSING), shown);
  return NULL;
}

const Conductor *
edit_find_conductor(const Document *document, guint32 key, GError **error)
{
  const Conductor *conductor = document_find_conductor(document, key);
  if (conductor == NULL)
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE,
                _("this conductor is no longer on the sheet"));
  return conductor;
}

bool
edit_check_landing(const Document *document, const Landing *landing, GError **error)
{
  const Device *device;
  guint terminal;
  if (document_resolve(document, landing, &device, &terminal))
    return true;
  g_autofree char *why = document_explain_landing(document, landing);
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING, _("nothing to land on: %s"), why);
  return false;
}

bool
edit_check_pair(const Document *document, const Landing *a, const Landing *b,
                const Conductor *except, GError **error)
{
  g_autofree char *a_name = landing_dup_name(a);
  g_autofree char *b_name = landing_dup_name(b);
  if (landing_equal(a, b)) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING,
                _("a conductor cannot start and end on the same terminal %s; land its other end "
                  "elsewhere"),
                a_name);
    return false;
  }
  if (document_landings(document, a->device, a->terminal) == 0)
    return true;
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *other = document_conductor(document, i);
    bool same = (landing_equal(&other->from, a) && landing_equal(&other->to, b)) ||
                (landing_equal(&other->from, b) && landing_equal(&other->to, a));
    if (!same || other == except)
      continue;
    g_autofree char *name = conductor_dup_name(other);
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING, _("%s already joins %s and %s"),
                name, a_name, b_name);
    return false;
  }
  return true;
}

char *
edit_rename_terminals(const char *text, const char *from, const char *to)
{
  g_auto(GStrv) words = g_strsplit(text, " ", -1);
  size_t length = strlen(from);
  bool found = false;
  for (guint i = 0; words[i] != NULL; i++) {
    if (strncmp(words[i], from, length) != 0 || words[i][length] != '.')
      continue;
    char *renamed = g_strconcat(to, words[i] + length, NULL);
    g_free(words[i]);
    words[i] = renamed;
    found = true;
  }
  return found ? g_strjoinv(" ", words) : NULL;
}

static bool
rename_in_values(Value *values, const FieldSpec *fields, guint n, const char *from, const char *to)
{
  bool changed = false;
  for (guint i = 0; i < n; i++) {
    if (fields[i].type != FIELD_TERMINALS || !values[i].is_set)
      continue;
    g_autofree char *text = edit_rename_terminals(values[i].text, from, to);
    changed = (text != NULL && value_set_text(&values[i], &fields[i], text, NULL)) || changed;
  }
  return changed;
}

bool
edit_rename_references(Device *device, const char *from, const char *to)
{
  const PartKind *kind = device->kind;
  bool changed = rename_in_values(device->values, kind->fields, kind->n_fields, from, to);
  for (guint i = 0; i < device->rows->len; i++)
    changed = rename_in_values(g_array_index(device->rows, Value *, i), kind->row_fields,
                               kind->n_row_fields, from, to) ||
              changed;
  return changed;
}

static bool
names_a_device(const Value *values, const FieldSpec *fields, guint n)
{
  for (guint i = 0; i < n; i++)
    if (values[i].is_set && (fields[i].refers || (fields[i].type == FIELD_TERMINALS &&
                                                  strchr(values[i].text, '.') != NULL)))
      return true;
  return false;
}

bool
edit_has_references(const Device *device)
{
  const PartKind *kind = device->kind;
  if (names_a_device(device->values, kind->fields, kind->n_fields))
    return true;
  for (guint i = 0; i < device_row_count(device); i++)
    if (names_a_device(device_row(device, i), kind->row_fields, kind->n_row_fields))
      return true;
  return false;
}

static bool
refer_in_values(Value *values, const FieldSpec *fields, guint n, const char *from, const char *to)
{
  bool changed = false;
  for (guint i = 0; i < n; i++)
    if (fields[i].refers && values[i].is_set && strcmp(values[i].text, from) == 0)
      changed = value_set_text(&values[i], &fields[i], to, NULL) || changed;
  return changed;
}

bool
edit_rename_designation(Device *device, const char *from, const char *to)
{
  const PartKind *kind = device->kind;
  bool changed = refer_in_values(device->values, kind->fields, kind->n_fields, from, to);
  for (guint i = 0; i < device->rows->len; i++)
    changed = refer_in_values(g_array_index(device->rows, Value *, i), kind->row_fields,
                              kind->n_row_fields, from, to) ||
              changed;
  return changed;
}
