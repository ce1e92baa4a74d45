/* SPDX-License-Identifier: MIT */
#include "command/fleet.h"

#include "base/language.h"
#include "base/text.h"
#include <math.h>
#include <string.h>

typedef enum { COLUMN_IGNORED, COLUMN_EQUIPMENT, COLUMN_SHEET, COLUMN_READING, COLUMN_DEVICE } Kind;

typedef struct {
  Kind kind;
  char *name;            /* as the table has it */
  guint field;           /* of equipment_fields or sheet_data_fields */
  const Device *device;  /* of readings and overrides; the base holds it */
  const FieldSpec *spec; /* of the value that is set */
  char *between;         /* readings: "L1 L2" */
  int row;               /* overrides: row of the device, -1: its own field */
} Column;

struct Fleet {
  Document *base;
  GPtrArray *rows; /* the first one names the columns */
  GArray *columns; /* of Column */
  int tag;         /* column */
};

static void
column_clear(gpointer data)
{
  Column *column = data;
  g_free(column->name);
  g_free(column->between);
}

void
fleet_free(Fleet *fleet)
{
  if (fleet == NULL)
    return;
  document_free(fleet->base);
  g_ptr_array_unref(fleet->rows);
  g_array_unref(fleet->columns);
  g_free(fleet);
}

/* --- columns --------------------------------------------------------------------------------- */

static bool
find_reading_fields(const PartKind *kind, int *between, int *value)
{
  *between = *value = -1;
  for (guint i = 0; i < kind->n_row_fields; i++) {
    if (kind->row_fields[i].type == FIELD_TERMINALS && *between < 0)
      *between = (int)i;
    if (kind->row_fields[i].type == FIELD_QUANTITY && *value < 0)
      *value = (int)i;
  }
  return *between >= 0 && *value >= 0;
}

/* The device a reading's column means: the one before the dot, or the only supply. */
static const Device *
find_supply(const Document *base, const char *id)
{
  const Device *found = id != NULL ? document_find_device(base, id) : NULL;

  if (id != NULL)
    return found != NULL && found->kind->role == ROLE_SUPPLY ? found : NULL;
  for (guint i = 0; i < document_device_count(base); i++) {
    const Device *device = document_device(base, i);
    if (device->kind->role != ROLE_SUPPLY)
      continue;
    if (found != NULL)
      return NULL;
    found = device;
  }
  return found;
}

static bool
is_supply_point(const Device *supply, const char *name)
{
  return strcmp(name, "GND") == 0 || strcmp(name, "N") == 0 ||
         device_terminal_index(supply, name) >= 0;
}

static bool
read_reading_column(const Document *base, const char *name, Column *column)
{
  const char *dot = strchr(name, '.');
  g_autofree char *id = dot != NULL ? g_strndup(name, (gsize)(dot - name)) : NULL;
  g_auto(GStrv) points = g_strsplit(dot != NULL ? dot + 1 : name, "-", -1);
  int between = 0, value = 0;

  if (g_strv_length(points) != 2)
    return false;
  column->device = find_supply(base, id);
  if (column->device == NULL || !find_reading_fields(column->device->kind, &between, &value) ||
      !is_supply_point(column->device, points[0]) || !is_supply_point(column->device, points[1]))
    return false;
  column->kind = COLUMN_READING;
  column->spec = &column->device->kind->row_fields[value];
  column->between = g_strjoin(" ", points[0], points[1], NULL);
  return true;
}

static bool
read_device_column(const Document *base, const char *name, Column *column)
{
  g_auto(GStrv) parts = g_strsplit(name, ".", -1);
  const guint n = g_strv_length(parts);
  int field = -1;

  if (n != 2 && n != 3)
    return false;
  column->device = document_find_device(base, parts[0]);
  if (column->device == NULL)
    return false;
  const PartKind *kind = column->device->kind;
  column->kind = COLUMN_DEVICE;
  column->row = -1;
  if (n == 2) {
    field = field_index(kind->fields, kind->n_fields, parts[1]);
    column->spec = field >= 0 ? &kind->fields[field] : NULL;
    return field >= 0;
  }
  const int terminal = device_terminal_index(column->device, parts[1]);
  if (terminal < 0)
    return false;
  column->row = device_terminal(column->device, (guint)terminal)->row;
  field = field_index(kind->row_fields, kind->n_row_fields, parts[2]);
  column->spec = field >= 0 ? &kind->row_fields[field] : NULL;
  return field >= 0 && column->row >= 0;
}

static bool
read_column(const Document *base, const char *name, Column *column)
{
  int field = field_index(equipment_fields, EQUIPMENT_FIELD_COUNT, name);

  *column = (Column){.kind = COLUMN_IGNORED, .row = -1};
  if (name[0] == '#')
    return true;
  if (field >= 0) {
    column->kind = COLUMN_EQUIPMENT;
    column->field = (guint)field;
    column->spec = &equipment_fields[field];
    return true;
  }
  field = field_index(sheet_data_fields, SHEET_FIELD_COUNT, name);
  if (field >= 0) {
    column->kind = COLUMN_SHEET;
    column->field = (guint)field;
    column->spec = &sheet_data_fields[field];
    return true;
  }
  return read_reading_column(base, name, column) || read_device_column(base, name, column);
}

static void
add_device_names(const Device *device, GPtrArray *names)
{
  for (guint f = 0; f < device->kind->n_fields; f++)
    g_ptr_array_add(names, g_strconcat(device->id, ".", device->kind->fields[f].name, NULL));
  for (guint t = 0; t < device_terminal_count(device); t++)
    for (guint f = 0; device_terminal(device, t)->row >= 0 && f < device->kind->n_row_fields; f++)
      g_ptr_array_add(names, g_strconcat(device->id, ".", device_terminal(device, t)->name, ".",
                                         device->kind->row_fields[f].name, NULL));
}

/* Names that a column could have been meant as. Of char *, NULL at the end. */
static GPtrArray *
known_names(const Document *base)
{
  static const char *const readings[] = {"L1-L2", "L2-L3", "L3-L1", "L1-GND", "L2-GND", "L3-GND"};
  GPtrArray *names = g_ptr_array_new_with_free_func(g_free);

  for (guint i = 0; i < EQUIPMENT_FIELD_COUNT; i++)
    g_ptr_array_add(names, g_strdup(equipment_fields[i].name));
  for (guint i = 0; i < SHEET_FIELD_COUNT; i++)
    g_ptr_array_add(names, g_strdup(sheet_data_fields[i].name));
  for (guint i = 0; i < G_N_ELEMENTS(readings); i++)
    g_ptr_array_add(names, g_strdup(readings[i]));
  for (guint i = 0; i < document_device_count(base); i++)
    add_device_names(document_device(base, i), names);
  g_ptr_array_add(names, NULL);
  return names;
}

static void
complain_column(const Document *base, const char *name, GError **error)
{
  g_autoptr(GPtrArray) names = known_names(base);
  g_autofree char *clean = text_clean(name, 80);
  const char *near = text_nearest(name, (const char *const *)names->pdata);

  const char *columns =
      _("Columns are tag, location, model, note, sheet, readings such as L1-L2 or "
        "L1-GND, and DEVICE.field; one whose name begins with \"#\" is not read.");

  if (near != NULL)
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                _("There is no column \"%s\" for this diagram. Did you mean \"%s\"? %s"), clean,
                near, columns);
  else
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                _("There is no column \"%s\" for this diagram. %s"), clean, columns);
}

static bool
same_target(const Column *a, const Column *b)
{
  if (a->kind != b->kind || a->kind == COLUMN_IGNORED || a->spec != b->spec ||
      a->device != b->device || a->row != b->row || a->field != b->field)
    return false;
  if (a->kind != COLUMN_READING)
    return true;
  g_auto(GStrv) ends = g_strsplit(b->between, " ", 2);
  g_autofree char *turned = g_strjoin(" ", ends[1], ends[0], NULL);
  return strcmp(a->between, b->between) == 0 || strcmp(a->between, turned) == 0;
}

static bool
add_column(Fleet *fleet, const char *text, GError **error)
{
  g_autofree char *name = g_strstrip(g_strdup(text));
  Column column;

  if (!read_column(fleet->base, name, &column)) {
    column_clear(&column);
    complain_column(fleet->base, name, error);
    return false;
  }
  for (guint i = 0; i < fleet->columns->len; i++)
    if (same_target(&column, &g_array_index(fleet->columns, Column, i))) {
      column_clear(&column);
      g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                  _("The columns \"%s\" and \"%s\" mean the same thing. Take one away."),
                  g_array_index(fleet->columns, Column, i).name, name);
      return false;
    }
  if (column.kind == COLUMN_EQUIPMENT && column.field == EQUIPMENT_TAG)
    fleet->tag = (int)fleet->columns->len;
  column.name = g_steal_pointer(&name);
  g_array_append_val(fleet->columns, column);
  return true;
}

Fleet *
fleet_new(const Document *base, GPtrArray *take_rows, GError **error)
{
  g_autoptr(Fleet) fleet = g_new0(Fleet, 1);

  fleet->base = document_snapshot(base);
  fleet->rows = take_rows;
  fleet->columns = g_array_new(FALSE, FALSE, sizeof(Column));
  g_array_set_clear_func(fleet->columns, column_clear);
  fleet->tag = -1;
  const CsvRow *head = take_rows->len > 0 ? take_rows->pdata[0] : NULL;
  if (head != NULL && head->error != NULL) {
    g_set_error_literal(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, head->error);
    return NULL;
  }
  for (guint i = 0; head != NULL && i < head->fields->len; i++)
    if (!add_column(fleet, head->fields->pdata[i], error))
      return NULL;
  if (fleet->tag < 0 || take_rows->len < 2) {
    g_set_error_literal(
        error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
        _("The table needs a first row with column names, \"tag\" among them, and a "
          "row for each unit."));
    return NULL;
  }
  return g_steal_pointer(&fleet);
}

guint
fleet_count(const Fleet *fleet)
{
  return fleet->rows->len - 1;
}

static const CsvRow *
row_of(const Fleet *fleet, guint unit)
{
  return fleet->rows->pdata[unit + 1];
}

guint
fleet_line(const Fleet *fleet, guint unit)
{
  return row_of(fleet, unit)->line;
}

/* A cell without white space round it; "" where the row is too short. New string. */
static char *
cell_text(const Fleet *fleet, guint unit, guint column)
{
  const CsvRow *row = row_of(fleet, unit);
  return column < row->fields->len ? g_strstrip(g_strdup(row->fields->pdata[column]))
                                   : g_strdup("");
}

const char *
fleet_tag(const Fleet *fleet, guint unit)
{
  const CsvRow *row = row_of(fleet, unit);
  return (guint)fleet->tag < row->fields->len ? row->fields->pdata[fleet->tag] : "";
}

void
fleet_append_inputs(const Fleet *fleet, guint unit, GString *out)
{
  for (guint i = 0; i < fleet->columns->len; i++) {
    const Column *column = &g_array_index(fleet->columns, Column, i);
    g_autofree char *text = cell_text(fleet, unit, i);
    if (column->kind == COLUMN_IGNORED)
      continue;
    g_string_append(out, column->name);
    g_string_append_c(out, '\x1f'); /* so that cells cannot flow into one another */
    g_string_append(out, text);
    g_string_append_c(out, '\x1e');
  }
}

/* --- a unit ---------------------------------------------------------------------------------- */

/* "486" means 486 of the field's unit where that is volts: what a meter shows. New string. */
static char *
with_unit(const FieldSpec *spec, const char *text)
{
  char *end = NULL;
  const double number = g_ascii_strtod(text, &end);

  if (spec->type == FIELD_QUANTITY && spec->unit == UNIT_VOLT && end != text && *end == '\0' &&
      isfinite(number))
    return g_strconcat(text, " V", NULL);
  return g_strdup(text);
}

/* The row that holds the reading between two points, in either order; -1: none. */
static int
find_reading_row(const Device *device, int between, const char *points)
{
  g_auto(GStrv) ends = g_strsplit(points, " ", 2);
  g_autofree char *turned = g_strjoin(" ", ends[1], ends[0], NULL);

  for (guint r = 0; r < device_row_count(device); r++) {
    const char *text = device_row_text(device, r, (guint)between);
    if (strcmp(text, points) == 0 || strcmp(text, turned) == 0)
      return (int)r;
  }
  return -1;
}

static bool
set_reading(Device *device, const Column *column, const char *text, GError **error)
{
  int between = 0, value = 0;
  g_autofree char *volts = with_unit(column->spec, text);

  find_reading_fields(device->kind, &between, &value);
  if (text[0] == '\0') /* forgotten already */
    return true;
  int row = find_reading_row(device, between, column->between);
  if (row < 0) {
    device_add_row(device);
    row = (int)device_row_count(device) - 1;
    if (!device_set_row(device, (guint)row, device->kind->row_fields[between].name, column->between,
                        error))
      return false;
  }
  return device_set_row(device, (guint)row, column->spec->name, volts, error);
}

static bool
set_device_cell(Device *device, const Column *column, const char *text, GError **error)
{
  if (column->kind == COLUMN_READING)
    return set_reading(device, column, text, error);
  if (text[0] == '\0')
    return true;
  g_autofree char *value = with_unit(column->spec, text);
  return column->row < 0
             ? device_set(device, column->spec->name, value, error)
             : device_set_row(device, (guint)column->row, column->spec->name, value, error);
}

/* The diagram's readings are another unit's: with a column for one of them all others go. */
static bool
forget_readings(const Fleet *fleet, Device *device, const Device *before, GError **error)
{
  int between = 0, value = 0;
  bool measured = false;

  for (guint i = 0; i < fleet->columns->len; i++) {
    const Column *column = &g_array_index(fleet->columns, Column, i);
    measured = measured || (column->kind == COLUMN_READING && column->device == before);
  }
  if (!measured || !find_reading_fields(device->kind, &between, &value))
    return true;
  for (guint r = 0; r < device_row_count(device); r++)
    if (!device_set_row(device, r, device->kind->row_fields[value].name, NULL, error))
      return false;
  return true;
}

/* All cells of one device go into one copy, so that they are judged together. */
static bool
change_one_device(const Fleet *fleet, guint unit, const Device *before, Change *change,
                  GError **error)
{
  g_autoptr(Device) after = device_copy(before);

  if (!forget_readings(fleet, after, before, error))
    return false;
  for (guint i = 0; i < fleet->columns->len; i++) {
    const Column *column = &g_array_index(fleet->columns, Column, i);
    g_autofree char *text = cell_text(fleet, unit, i);
    if (column->device == before && !set_device_cell(after, column, text, error)) {
      g_prefix_error(error, _("Column %s: "), column->name);
      return false;
    }
  }
  if (!device_derive(after, error))
    return false;
  if (!device_equal(before, after))
    change_device(change, before, after);
  return true;
}

static bool
change_devices(const Fleet *fleet, guint unit, Change *change, GError **error)
{
  for (guint i = 0; i < fleet->columns->len; i++) {
    const Device *device = g_array_index(fleet->columns, Column, i).device;
    bool seen = device == NULL;
    for (guint j = 0; j < i && !seen; j++)
      seen = g_array_index(fleet->columns, Column, j).device == device;
    if (!seen && !change_one_device(fleet, unit, device, change, error))
      return false;
  }
  return true;
}

static bool
change_data(const Fleet *fleet, guint unit, Change *change, GError **error)
{
  const SheetData *before = document_sheet(fleet->base);
  g_autoptr(SheetData) after = sheet_data_copy(before);

  for (guint i = 0; i < fleet->columns->len; i++) {
    const Column *column = &g_array_index(fleet->columns, Column, i);
    g_autofree char *text = cell_text(fleet, unit, i);
    bool good = true;
    if (column->kind == COLUMN_EQUIPMENT)
      good = value_set_text(&after->equipment[column->field], column->spec, text, error);
    else if (column->kind == COLUMN_SHEET && text[0] != '\0')
      good = value_set_text(&after->values[column->field], column->spec, text, error);
    if (!good) {
      g_prefix_error(error, _("Column %s: "), column->name);
      return false;
    }
  }
  if (!sheet_data_equal(before, after))
    change_sheet(change, before, after);
  return true;
}

static bool
row_is_good(const Fleet *fleet, guint unit, GError **error)
{
  const CsvRow *row = row_of(fleet, unit);
  g_autofree char *tag = cell_text(fleet, unit, (guint)fleet->tag);

  if (row->error != NULL)
    g_set_error_literal(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, row->error);
  else if (row->fields->len > fleet->columns->len)
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                _("The row has %u cells, but there are %u columns. Put quotes round a cell with a "
                  "comma in it."),
                row->fields->len, fleet->columns->len);
  else if (tag[0] == '\0')
    g_set_error_literal(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, _("The row has no tag."));
  else
    return true;
  return false;
}

/* What was measured at the base is not true of another unit; its test points are the same. */
static void
clear_measured(const Document *document, Change *change)
{
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    g_autoptr(Measured) point = measured_point(measured) != NULL ? measured_new() : NULL;
    if (point != NULL) {
      point->key = measured->key;
      point->a = landing_make(measured->a.device, measured->a.terminal);
      point->b = landing_make(measured->b.device, measured->b.terminal);
      value_set_text(&point->values[MEASURED_POINT], &measured_fields[MEASURED_POINT],
                     measured_point(measured), NULL);
    }
    change_measured(change, measured, point);
  }
}

Document *
fleet_unit(const Fleet *fleet, guint unit, GError **error)
{
  if (!row_is_good(fleet, unit, error))
    return NULL;
  g_autoptr(Document) document = document_snapshot(fleet->base);
  Change *change = change_new(_("Unit of a fleet"));
  if (!change_data(fleet, unit, change, error) || !change_devices(fleet, unit, change, error)) {
    change_free(change);
    return NULL;
  }
  clear_measured(document, change);
  return document_apply(document, change, error) ? g_steal_pointer(&document) : NULL;
}
