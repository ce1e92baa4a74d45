/* SPDX-License-Identifier: MIT */
/* Conductors and measured readings of a .doorsheet file, and the document made from all of it. */
#include "diagram/file_reader.h"

#include "base/language.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/* --- conductors and measured readings --- */

static bool
read_end(Reader *reader, const char *name, Landing *out)
{
  const char *text = reader_need_attribute(reader, FILE_CONDUCTOR, name, "T1.X1");
  if (text == NULL)
    return false;
  g_autofree char *trimmed = g_strstrip(g_strdup(text));
  if (text_split_terminal(trimmed, &out->device, &out->terminal))
    return true;
  g_autofree char *shown = text_clean(text, 70);
  reader_fail(
      reader, FILE_ERROR_VALUE, reader->offset, name,
      _("a conductor's %s is \"%s\"; expected a device and its terminal with a dot between, "
        "for example \"T1.X1\""),
      name, shown);
  return false;
}

static bool
read_bend(const char *word, Point *out)
{
  g_auto(GStrv) pair = g_strsplit(word, ",", 3);
  Quantity x, y;
  if (g_strv_length(pair) != 2 || !quantity_parse(pair[0], UNIT_NONE, &x, NULL) ||
      !quantity_parse(pair[1], UNIT_NONE, &y, NULL) || fabs(x.value) > DOCUMENT_MAX_MM ||
      fabs(y.value) > DOCUMENT_MAX_MM)
    return false;
  *out = (Point){x.value, y.value};
  return true;
}

static bool
read_via(Reader *reader, GArray *via)
{
  const char *text = reader_find_attribute(reader, "via");
  if (text == NULL)
    return true;
  g_auto(GStrv) words = g_strsplit_set(text, " \t\r\n", -1);
  for (guint i = 0; words[i] != NULL; i++) {
    Point point;
    if (*words[i] == '\0')
      continue;
    if (!read_bend(words[i], &point)) {
      g_autofree char *shown = text_clean(words[i], 40);
      reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "via",
                  _("\"%s\" is no bend of a conductor; expected millimetres x,y, for example "
                    "\"40,30 40,60\""),
                  shown);
      return false;
    }
    if (via->len >= DOCUMENT_MAX_BENDS) {
      reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "via",
                  _("a conductor has more than %d bends; expected at most that many"),
                  DOCUMENT_MAX_BENDS);
      return false;
    }
    g_array_append_val(via, point);
  }
  return true;
}

void
reader_read_conductor(Reader *reader)
{
  static const char *const own[] = {"from", "to", "via", NULL};
  if (reader->conductors->len >= DOCUMENT_MAX_CONDUCTORS) {
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("there are more than %d conductors; split the diagram over several sheets"),
                DOCUMENT_MAX_CONDUCTORS);
    return;
  }
  g_autoptr(Conductor) conductor = conductor_new(NULL, NULL, NULL, NULL);
  if (!read_end(reader, "from", &conductor->from) || !read_end(reader, "to", &conductor->to) ||
      !read_via(reader, conductor->via))
    return;
  reader_set_fields(reader, "<" FILE_CONDUCTOR ">", own, conductor->values, conductor_fields,
                    CONDUCTOR_FIELD_COUNT);
  Pending pending = {g_steal_pointer(&conductor), reader->offset};
  g_array_append_val(reader->conductors, pending);
}

static bool
read_probe(const char *word, Landing *out)
{
  return strcmp(word, "GND") == 0 || text_split_terminal(word, &out->device, &out->terminal);
}

static bool
read_between(Reader *reader, Measured *measured)
{
  const char *text = reader_need_attribute(reader, FILE_MEASURED, "between", "T1.X1 T1.X3");
  if (text == NULL)
    return false;
  g_autofree char *trimmed = g_strstrip(g_strdup(text));
  char *gap = strpbrk(trimmed, " \t\r\n");
  if (gap != NULL)
    *gap++ = '\0';
  if (gap != NULL && read_probe(trimmed, &measured->a) &&
      read_probe(g_strstrip(gap), &measured->b) && !landing_equal(&measured->a, &measured->b))
    return true;
  g_autofree char *shown = text_clean(text, 80);
  reader_fail(
      reader, FILE_ERROR_VALUE, reader->offset, "between",
      _("\"%s\" does not name two points; expected two different terminals, or one and GND, "
        "for example \"T1.X1 T1.X3\""),
      shown);
  return false;
}

static bool
says_something(Reader *reader, const Value *values)
{
  bool ohms = values[MEASURED_OHMS].has_value;
  if (reader->error != NULL)
    return false;
  if (!ohms && !values[MEASURED_VALUE].has_value && !values[MEASURED_POINT].has_value)
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("<%s> has no value; expected value=\"118 V\", or ohms of a reading "
                  "locked out, or the number of a test point"),
                FILE_MEASURED);
  else if (ohms && values[MEASURED_STATE].choice != MEASURED_LOCKED_OUT)
    reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "ohms",
                _("<%s>, ohms: only a circuit that is locked out gives ohms; expected "
                  "state=\"locked-out\" beside them"),
                FILE_MEASURED);
  return reader->error == NULL;
}

void
reader_read_measured(Reader *reader)
{
  static const char *const own[] = {"between", NULL};
  if (reader->measured->len >= DOCUMENT_MAX_CONDUCTORS) {
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("there are more than %d measured readings; expected at most that many"),
                DOCUMENT_MAX_CONDUCTORS);
    return;
  }
  g_autoptr(Measured) measured = measured_new();
  if (!read_between(reader, measured))
    return;
  reader_set_fields(reader, "<" FILE_MEASURED ">", own, measured->values, measured_fields,
                    MEASURED_FIELD_COUNT);
  if (!says_something(reader, measured->values))
    return;
  Pending pending = {g_steal_pointer(&measured), reader->offset};
  g_array_append_val(reader->measured, pending);
}

void
reader_read_intended(Reader *reader)
{
  static const char *const own[] = {NULL};
  if (reader->intended->len >= DOCUMENT_MAX_INTENDED) {
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("there are more than %d intended faults; expected at most that many"),
                DOCUMENT_MAX_INTENDED);
    return;
  }
  g_autoptr(Intended) intended = intended_new();
  reader_set_fields(reader, "<" FILE_INTENDED ">", own, intended->values, intended_fields,
                    INTENDED_FIELD_COUNT);
  if (reader->error == NULL && *intended_at(intended) == '\0')
    reader_fail(reader, FILE_ERROR_VALUE, reader->offset, "at",
                _("<%s>, at: expected the name of a place, for example \"T1.H3\""), FILE_INTENDED);
  g_ptr_array_add(reader->intended, g_steal_pointer(&intended));
}

/* --- the document --- */

static bool
check_landed(Reader *reader, const Document *document, const Landing *landing, const char *what,
             gsize offset, const char *attribute)
{
  const Device *device;
  guint terminal;
  if (landing->device == NULL || document_resolve(document, landing, &device, &terminal))
    return true;
  g_autofree char *why = document_explain_landing(document, landing);
  g_autofree char *name = landing_dup_name(landing);
  reader_fail(reader, FILE_ERROR_MEANING, offset, attribute, _("%s lands on %s: %s"), what, name,
              why);
  return false;
}

static void
check_landings(Reader *reader, const Document *document)
{
  for (guint i = 0; i < reader->conductors->len && reader->error == NULL; i++) {
    const Pending *pending = &g_array_index(reader->conductors, Pending, i);
    const Conductor *conductor = pending->value;
    g_autofree char *name = conductor_dup_name(conductor);
    if (check_landed(reader, document, &conductor->from, name, pending->offset, "from") &&
        check_landed(reader, document, &conductor->to, name, pending->offset, "to") &&
        landing_equal(&conductor->from, &conductor->to))
      reader_fail(reader, FILE_ERROR_MEANING, pending->offset, "to",
                  _("%s starts and ends on the same terminal; land its other end elsewhere"), name);
  }
  for (guint i = 0; i < reader->measured->len && reader->error == NULL; i++) {
    const Pending *pending = &g_array_index(reader->measured, Pending, i);
    const Measured *measured = pending->value;
    if (check_landed(reader, document, &measured->a, _("a measured reading"), pending->offset,
                     "between"))
      check_landed(reader, document, &measured->b, _("a measured reading"), pending->offset,
                   "between");
  }
}

static void
apply(Reader *reader, Document *document, Change *take_change)
{
  g_autoptr(GError) error = NULL;
  if (!document_apply(document, take_change, &error))
    reader_fail(reader, FILE_ERROR_MEANING, 0, NULL, "%s", error->message);
}

Document *
reader_build(Reader *reader)
{
  g_autoptr(Document) document = document_new(reader->catalog);
  Change *change = change_new(_("Open"));
  change_sheet(change, document_sheet(document), reader->sheet);
  for (guint i = 0; i < reader->devices->len; i++)
    change_device(change, NULL, reader->devices->pdata[i]);
  apply(reader, document, change);
  if (reader->error == NULL)
    check_landings(reader, document);
  if (reader->error != NULL)
    return NULL;
  change = change_new(_("Open"));
  for (guint i = 0; i < reader->conductors->len; i++)
    change_conductor(change, NULL, g_array_index(reader->conductors, Pending, i).value);
  for (guint i = 0; i < reader->measured->len; i++)
    change_measured(change, NULL, g_array_index(reader->measured, Pending, i).value);
  for (guint i = 0; i < reader->intended->len; i++)
    change_intended(change, NULL, reader->intended->pdata[i]);
  apply(reader, document, change);
  if (reader->error != NULL)
    return NULL;
  document_clear_history(document);
  document_mark_saved(document);
  return g_steal_pointer(&document);
}
