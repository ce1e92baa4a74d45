/* SPDX-License-Identifier: MIT */
/* Writing: one element a line, attributes in the order of the tables, only what was set. */
#include "diagram/document_file.h"

#include "diagram/file_names.h"

#include <libxml/xmlwriter.h>

#define XML(text) ((const xmlChar *)(text))

/* libxml2 reports a failure (out of memory) on every later call too, so one look at the end does.
 */
typedef struct {
  xmlTextWriterPtr writer;
  bool failed;
} Output;

static void
note(Output *out, int result)
{
  out->failed = out->failed || result < 0;
}

static void
start(Output *out, const char *name)
{
  note(out, xmlTextWriterStartElement(out->writer, XML(name)));
}

static void
end(Output *out)
{
  note(out, xmlTextWriterEndElement(out->writer));
}

static void
attribute(Output *out, const char *name, const char *value)
{
  note(out, xmlTextWriterWriteAttribute(out->writer, XML(name), XML(value)));
}

static void
values(Output *out, const FieldSpec *fields, const Value *list, guint n)
{
  for (guint i = 0; i < n; i++)
    if (list[i].is_set)
      attribute(out, fields[i].name, list[i].text);
}

static bool
any_set(const Value *list, guint n)
{
  for (guint i = 0; i < n; i++)
    if (list[i].is_set)
      return true;
  return false;
}

/* New string. Adding zero takes the sign off a negative zero, which reads back without one. */
static char *
dup_coordinate(double value)
{
  return number_format(value + 0.0);
}

static void
coordinate(Output *out, const char *name, double value)
{
  g_autofree char *text = dup_coordinate(value);
  attribute(out, name, text);
}

static void
write_device(Output *out, const Device *device)
{
  static const char *const turns[] = {NULL, "90", "180", "270"};
  const PartKind *kind = device->kind;
  start(out, FILE_DEVICE);
  attribute(out, "id", device->id);
  attribute(out, "kind", kind->name);
  coordinate(out, "x", device->placement.at.x);
  coordinate(out, "y", device->placement.at.y);
  if (turns[device->placement.turns & 3] != NULL)
    attribute(out, "turn", turns[device->placement.turns & 3]);
  if (device->placement.mirrored)
    attribute(out, "mirror", "yes");
  values(out, kind->fields, device->values, kind->n_fields);
  for (guint i = 0; i < device_row_count(device); i++) {
    start(out, kind->row_name);
    values(out, kind->row_fields, device_row(device, i), kind->n_row_fields);
    end(out);
  }
  end(out);
}

static void
write_conductor(Output *out, const Conductor *conductor)
{
  g_autofree char *from = landing_dup_name(&conductor->from);
  g_autofree char *to = landing_dup_name(&conductor->to);
  start(out, FILE_CONDUCTOR);
  attribute(out, "from", from);
  attribute(out, "to", to);
  values(out, conductor_fields, conductor->values, CONDUCTOR_FIELD_COUNT);
  if (conductor->via->len > 0) {
    g_autoptr(GString) via = g_string_new(NULL);
    for (guint i = 0; i < conductor->via->len; i++) {
      g_autofree char *x = dup_coordinate(g_array_index(conductor->via, Point, i).x);
      g_autofree char *y = dup_coordinate(g_array_index(conductor->via, Point, i).y);
      g_string_append_printf(via, "%s%s,%s", i > 0 ? " " : "", x, y);
    }
    attribute(out, "via", via->str);
  }
  end(out);
}

static void
write_measured(Output *out, const Measured *measured)
{
  g_autofree char *a = landing_dup_name(&measured->a);
  g_autofree char *b = landing_dup_name(&measured->b);
  g_autofree char *between = g_strdup_printf("%s %s", a, b);
  start(out, FILE_MEASURED);
  attribute(out, "between", between);
  values(out, measured_fields, measured->values, MEASURED_FIELD_COUNT);
  end(out);
}

static void
write_intended(Output *out, const Intended *intended)
{
  start(out, FILE_INTENDED);
  values(out, intended_fields, intended->values, INTENDED_FIELD_COUNT);
  end(out);
}

static void
write_group(Output *out, const char *name, const FieldSpec *fields, const Value *list, guint n)
{
  if (!any_set(list, n))
    return;
  start(out, name);
  values(out, fields, list, n);
  end(out);
}

static void
write_document(Output *out, const Document *document)
{
  const SheetData *sheet = document_sheet(document);
  g_autofree char *version = g_strdup_printf("%d", DOCUMENT_VERSION);
  note(out, xmlTextWriterStartDocument(out->writer, NULL, "UTF-8", NULL));
  start(out, FILE_ROOT);
  attribute(out, "xmlns", DOCUMENT_NAMESPACE);
  attribute(out, "version", version);
  values(out, sheet_data_fields, sheet->values, SHEET_FIELD_COUNT);
  write_group(out, FILE_EQUIPMENT, equipment_fields, sheet->equipment, EQUIPMENT_FIELD_COUNT);
  write_group(out, FILE_EXERCISE, exercise_fields, sheet->exercise, EXERCISE_FIELD_COUNT);
  for (guint i = 0; i < document_device_count(document); i++)
    write_device(out, document_device(document, i));
  for (guint i = 0; i < document_conductor_count(document); i++)
    write_conductor(out, document_conductor(document, i));
  for (guint i = 0; i < document_measured_count(document); i++)
    write_measured(out, document_measured(document, i));
  for (guint i = 0; i < document_intended_count(document); i++)
    write_intended(out, document_intended(document, i));
  end(out);
  note(out, xmlTextWriterEndDocument(out->writer));
}

GBytes *
document_write_memory(const Document *document)
{
  xmlBufferPtr buffer = xmlBufferCreate();
  if (buffer != NULL) /* its default is to grow by ten bytes at a time */
    xmlBufferSetAllocationScheme(buffer, XML_BUFFER_ALLOC_DOUBLEIT);
  Output out = {.writer = buffer != NULL ? xmlNewTextWriterMemory(buffer, 0) : NULL};
  if (out.writer == NULL)
    g_error("out of memory while writing a diagram");
  xmlTextWriterSetIndent(out.writer, 1);
  xmlTextWriterSetIndentString(out.writer, XML("  "));
  write_document(&out, document);
  xmlFreeTextWriter(out.writer);
  if (out.failed) /* only memory can fail here; GLib ends the program for that as well */
    g_error("out of memory while writing a diagram");
  gsize size = (gsize)xmlBufferLength(buffer);
  /* One byte more than counted: the text ends with a NUL for those who take it as a string. */
  GBytes *bytes = g_bytes_new_take(g_memdup2(xmlBufferContent(buffer), size + 1), size);
  xmlBufferFree(buffer);
  return bytes;
}

bool
document_save(const Document *document, const char *path, GError **error)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const void *data = g_bytes_get_data(bytes, &size);
  return file_write_atomic(path, data, size, error);
}
