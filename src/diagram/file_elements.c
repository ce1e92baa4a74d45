/* SPDX-License-Identifier: MIT */
/* What the elements of a .doorsheet file mean: root, equipment, devices and their rows. */
#include "diagram/file_reader.h"

#include "base/language.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

const char *
reader_find_attribute(const Reader *reader, const char *name)
{
  for (guint i = 0; i < reader->attributes->len; i++) {
    const Attribute *attribute = &g_array_index(reader->attributes, Attribute, i);
    if (strcmp(attribute->name, name) == 0)
      return attribute->value;
  }
  return NULL;
}

/* A required attribute; complains when it is missing. */
const char *
reader_need_attribute(Reader *reader, const char *element, const char *name, const char *example)
{
  const char *value = reader_find_attribute(reader, name);
  if (value == NULL && reader->error == NULL)
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("<%s> has no %s; expected for example %s=\"%s\""), element, name, name, example);
  return value;
}

static bool
is_one_of(const char *name, const char *const *names)
{
  for (; *names != NULL; names++)
    if (strcmp(*names, name) == 0)
      return true;
  return false;
}

static void
refuse_attribute(Reader *reader, const char *place, const char *name, const char *const *own,
                 const FieldSpec *fields, guint n)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (guint i = 0; own[i] != NULL; i++)
    g_ptr_array_add(names, (char *)(guintptr)own[i]);
  for (guint i = 0; i < n; i++)
    g_ptr_array_add(names, (char *)(guintptr)fields[i].name);
  g_ptr_array_add(names, NULL);
  const char *nearest = text_nearest(name, (const char *const *)names->pdata);
  g_autofree char *shown = text_clean(name, 40);
  g_autofree char *all = g_strjoinv(", ", (char **)names->pdata);
  if (nearest != NULL)
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, name,
                _("%s has no attribute \"%s\"; did you mean \"%s\"?"), place, shown, nearest);
  else
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, name,
                _("%s has no attribute \"%s\"; expected one of: %s"), place, shown, all);
}

/* Sets the fields among the attributes. own: names that the element itself takes care of. */
void
reader_set_fields(Reader *reader, const char *place, const char *const *own, Value *values,
                  const FieldSpec *fields, guint n)
{
  for (guint i = 0; i < reader->attributes->len && reader->error == NULL; i++) {
    const Attribute *attribute = &g_array_index(reader->attributes, Attribute, i);
    if (is_one_of(attribute->name, own))
      continue;
    int index = field_index(fields, n, attribute->name);
    g_autoptr(GError) error = NULL;
    if (index < 0)
      refuse_attribute(reader, place, attribute->name, own, fields, n);
    else if (!value_set_text(&values[index], &fields[index], attribute->value, &error))
      reader_fail(reader, FILE_ERROR_VALUE, reader->offset, attribute->name, "%s, %s: %s", place,
                  attribute->name, error->message);
  }
  for (guint i = 0; i < n && reader->error == NULL; i++)
    if (fields[i].required && reader_find_attribute(reader, fields[i].name) == NULL)
      reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL, _("%s has no %s; %s"), place,
                  fields[i].name, fields[i].help);
}

/* --- root and equipment --- */

static void
read_root(Reader *reader)
{
  static const char *const own[] = {"version", NULL};
  const char *version = reader_need_attribute(reader, FILE_ROOT, "version", "1");
  if (version == NULL)
    return;
  guint64 number = 0;
  if (!g_ascii_string_to_unsigned(version, 10, 1, G_MAXUINT32, &number, NULL)) {
    g_autofree char *shown = text_clean(version, 40);
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, "version",
                _("\"%s\" is not a version of the format; expected version=\"%d\""), shown,
                DOCUMENT_VERSION);
    return;
  }
  if (number > DOCUMENT_VERSION) {
    reader_fail(reader, FILE_ERROR_NEWER, reader->offset, "version",
                _("this sheet was written by a newer Doorsheet (format %u, this one reads up to "
                  "%d); update Doorsheet to open it"),
                (guint)number, DOCUMENT_VERSION);
    return;
  }
  reader_set_fields(reader, "<" FILE_ROOT ">", own, reader->sheet->values, sheet_data_fields,
                    SHEET_FIELD_COUNT);
}

static void
read_equipment(Reader *reader)
{
  static const char *const own[] = {NULL};
  if (reader->has_equipment) {
    reader_fail(reader, FILE_ERROR_MEANING, reader->offset, NULL,
                _("there is a second <%s>; a sheet describes one equipment"), FILE_EQUIPMENT);
    return;
  }
  reader->has_equipment = true;
  reader_set_fields(reader, "<" FILE_EQUIPMENT ">", own, reader->sheet->equipment, equipment_fields,
                    EQUIPMENT_FIELD_COUNT);
}

static void
read_exercise(Reader *reader)
{
  static const char *const own[] = {NULL};
  if (reader->has_exercise) {
    reader_fail(reader, FILE_ERROR_MEANING, reader->offset, NULL,
                _("there is a second <%s>; a sheet is one version of one set"), FILE_EXERCISE);
    return;
  }
  reader->has_exercise = true;
  reader_set_fields(reader, "<" FILE_EXERCISE ">", own, reader->sheet->exercise, exercise_fields,
                    EXERCISE_FIELD_COUNT);
}

/* --- devices --- */

static bool
read_coordinate(Reader *reader, const char *id, const char *name, double *out)
{
  const char *text = reader_need_attribute(reader, FILE_DEVICE, name, "40");
  Quantity quantity;
  if (text == NULL)
    return false;
  if (quantity_parse(text, UNIT_NONE, &quantity, NULL) && fabs(quantity.value) <= DOCUMENT_MAX_MM) {
    *out = quantity.value;
    return true;
  }
  g_autofree char *shown = text_clean(text, 40);
  reader_fail(
      reader, FILE_ERROR_VALUE, reader->offset, name,
      _("%s, %s: \"%s\" is no place on a sheet; expected millimetres from -%.0f to %.0f, for "
        "example \"40\""),
      id, name, shown, DOCUMENT_MAX_MM, DOCUMENT_MAX_MM);
  return false;
}

static bool
read_placement(Reader *reader, const char *id, Placement *out)
{
  static const char *const turns[] = {"0", "90", "180", "270", NULL};
  const char *turn = reader_find_attribute(reader, "turn"),
             *mirror = reader_find_attribute(reader, "mirror");
  if (!read_coordinate(reader, id, "x", &out->at.x) ||
      !read_coordinate(reader, id, "y", &out->at.y))
    return false;
  if (turn != NULL && !is_one_of(turn, turns)) {
    g_autofree char *shown = text_clean(turn, 40);
    reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "turn",
                _("%s, turn: \"%s\" is no quarter turn; expected 0, 90, 180 or 270"), id, shown);
    return false;
  }
  while (turn != NULL && strcmp(turns[out->turns], turn) != 0)
    out->turns++;
  if (mirror != NULL && strcmp(mirror, "yes") != 0 && strcmp(mirror, "no") != 0) {
    g_autofree char *shown = text_clean(mirror, 40);
    reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "mirror",
                _("%s, mirror: \"%s\" is not a choice here; expected yes or no"), id, shown);
    return false;
  }
  out->mirrored = g_strcmp0(mirror, "yes") == 0;
  return true;
}

static const char *
read_id(Reader *reader)
{
  const char *id = reader_need_attribute(reader, FILE_DEVICE, "id", "T1");
  if (id == NULL)
    return NULL;
  g_autofree char *shown = text_clean(id, 40);
  if (!text_is_name(id)) {
    reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "id",
                _("\"%s\" is not a name for a device; expected letters and digits, for example "
                  "\"T1\""),
                shown);
    return NULL;
  }
  gsize earlier = GPOINTER_TO_SIZE(g_hash_table_lookup(reader->ids, id));
  if (earlier > 0) {
    guint line = 1;
    for (gsize i = 0; i + 1 < earlier; i++)
      line += reader->data[i] == '\n';
    reader_fail(
        reader, FILE_ERROR_MEANING, reader->offset, "id",
        _("there is already a device \"%s\" at line %u; every device needs a name of its own"),
        shown, line);
    return NULL;
  }
  return id;
}

static const PartKind *
read_kind(Reader *reader, const char *id)
{
  const char *name = reader_need_attribute(reader, FILE_DEVICE, "kind", "fuse");
  const PartKind *kind = name != NULL ? part_catalog_find(reader->catalog, name) : NULL;
  if (kind != NULL || name == NULL)
    return kind;
  g_autoptr(GPtrArray) names = g_ptr_array_new();
  for (PartCatalog entry = reader->catalog; *entry != NULL; entry++)
    g_ptr_array_add(names, (char *)(guintptr)(*entry)->name);
  g_ptr_array_add(names, NULL);
  const char *nearest = text_nearest(name, (const char *const *)names->pdata);
  g_autofree char *shown = text_clean(name, 40);
  g_autofree char *all = g_strjoinv(", ", (char **)names->pdata);
  if (nearest != NULL)
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, "kind",
                _("%s: there is no kind of device \"%s\"; did you mean \"%s\"?"), id, shown,
                nearest);
  else
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, "kind",
                _("%s: there is no kind of device \"%s\"; expected one of: %s"), id, shown, all);
  return NULL;
}

static void
read_device(Reader *reader)
{
  static const char *const own[] = {"id", "kind", "x", "y", "turn", "mirror", NULL};
  if (reader->devices->len >= DOCUMENT_MAX_DEVICES) {
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("there are more than %d devices; split the diagram over several sheets"),
                DOCUMENT_MAX_DEVICES);
    return;
  }
  const char *id = read_id(reader);
  const PartKind *kind = id != NULL ? read_kind(reader, id) : NULL;
  if (kind == NULL)
    return;
  reader->device = device_new(kind, id);
  reader->device_offset = reader->offset;
  while (device_row_count(reader->device) > 0) /* the file says which rows there are */
    device_remove_row(reader->device, device_row_count(reader->device) - 1);
  if (read_placement(reader, id, &reader->device->placement))
    reader_set_fields(reader, id, own, reader->device->values, kind->fields, kind->n_fields);
}

static void
read_row(Reader *reader, const char *name)
{
  static const char *const own[] = {NULL};
  Device *device = reader->device;
  const PartKind *kind = device->kind;
  if (kind->row_name == NULL || strcmp(kind->row_name, name) != 0) {
    g_autofree char *shown = text_clean(name, 40);
    if (kind->row_name == NULL)
      reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                  _("%s: a device of kind \"%s\" holds no <%s> nor anything else"), device->id,
                  kind->name, shown);
    else
      reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                  _("%s: a device of kind \"%s\" holds no <%s>; expected <%s>"), device->id,
                  kind->name, shown, kind->row_name);
    return;
  }
  guint row = device_row_count(device);
  if (row >= kind->max_rows) {
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("%s has more than %u of <%s>; expected at most that many"), device->id,
                kind->max_rows, kind->row_name);
    return;
  }
  device_add_row(device);
  g_autofree char *place = g_strdup_printf("%s, %s %u", device->id, kind->row_name, row + 1);
  reader_set_fields(reader, place, own, g_array_index(device->rows, Value *, row), kind->row_fields,
                    kind->n_row_fields);
}

static void
end_device(Reader *reader)
{
  g_autoptr(GError) error = NULL;
  if (!device_derive(reader->device, &error)) {
    reader_fail(reader, FILE_ERROR_MEANING, reader->device_offset, NULL, "%s", error->message);
    return;
  }
  g_hash_table_insert(reader->ids, reader->device->id, GSIZE_TO_POINTER(reader->device_offset + 1));
  g_ptr_array_add(reader->devices, g_steal_pointer(&reader->device));
}

/* --- elements --- */

static void
refuse_element(Reader *reader, const char *name)
{
  static const char *const names[] = {FILE_EQUIPMENT, FILE_EXERCISE, FILE_DEVICE, FILE_CONDUCTOR,
                                      FILE_MEASURED,  FILE_INTENDED, NULL};
  const char *nearest = text_nearest(name, names);
  g_autofree char *shown = text_clean(name, 40);
  if (nearest != NULL)
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("there is no element <%s>; did you mean <%s>?"), shown, nearest);
  else
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("there is no element <%s>; expected <%s>, <%s>, <%s>, <%s>, <%s> or <%s>"), shown,
                FILE_EQUIPMENT, FILE_DEVICE, FILE_CONDUCTOR, FILE_MEASURED, FILE_EXERCISE,
                FILE_INTENDED);
}

void
reader_start_element(Reader *reader, guint level, const char *name)
{
  if (level == 0)
    read_root(reader);
  else if (level == 1 && strcmp(name, FILE_EQUIPMENT) == 0)
    read_equipment(reader);
  else if (level == 1 && strcmp(name, FILE_DEVICE) == 0)
    read_device(reader);
  else if (level == 1 && strcmp(name, FILE_CONDUCTOR) == 0)
    reader_read_conductor(reader);
  else if (level == 1 && strcmp(name, FILE_MEASURED) == 0)
    reader_read_measured(reader);
  else if (level == 1 && strcmp(name, FILE_EXERCISE) == 0)
    read_exercise(reader);
  else if (level == 1 && strcmp(name, FILE_INTENDED) == 0)
    reader_read_intended(reader);
  else if (level == 1)
    refuse_element(reader, name);
  else if (level == 2 && reader->device != NULL)
    read_row(reader, name);
  else {
    g_autofree char *shown = text_clean(name, 40);
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("<%s> lies inside <%s>, which holds no elements; close that one before it"),
                shown, (const char *)reader->node->name);
  }
}

void
reader_end_element(Reader *reader, guint level)
{
  if (level == 1 && reader->device != NULL)
    end_device(reader);
}
