/* SPDX-License-Identifier: MIT */
/* Writing; reading is in result_read.c. */
#include "grade/result_private.h"

#include "base/language.h"

#include <libxml/xmlwriter.h>
#include <string.h>

G_DEFINE_QUARK(result - error - quark, result_error)

/* With the exercise's own digest the key of the digest: see the header. */
#define DIGEST_CONSTANT "doorsheet result 1"

/* XML 1.0 has no place for control characters, and a name has no use for them. */
static char *
clean(const char *text)
{
  char *valid = g_utf8_make_valid(text != NULL ? text : "", -1);
  for (char *c = valid; *c != '\0'; c++)
    if (((guchar)*c < 0x20 && *c != '\n') || *c == 0x7f)
      *c = ' ';
  return valid;
}

Result *
result_new(Attempt *take_attempt, const Document *exercise, const Document *final, double points,
           const char *summary)
{
  Result *result = g_new0(Result, 1);
  result->attempt = take_attempt;
  result->exercise = document_snapshot(exercise);
  result->final = document_snapshot(final);
  result->points = points;
  result->summary = clean(summary);
  char *student = clean(take_attempt->student);
  g_free(take_attempt->student);
  take_attempt->student = student;
  return result;
}

void
result_free(Result *result)
{
  if (result == NULL)
    return;
  attempt_free(result->attempt);
  g_clear_pointer(&result->exercise, document_free);
  g_clear_pointer(&result->final, document_free);
  g_free(result->summary);
  g_free(result);
}

/* --- elements --- */

static void
attribute(xmlTextWriter *writer, const char *name, const char *value)
{
  g_autofree char *text = clean(value);
  if (*text != '\0')
    xmlTextWriterWriteAttribute(writer, BAD_CAST name, BAD_CAST text);
}

static void
number(xmlTextWriter *writer, const char *name, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  attribute(writer, name, g_ascii_formatd(text, sizeof text, "%.3f", value));
}

static void
begin(xmlTextWriter *writer, const char *name)
{
  xmlTextWriterStartElement(writer, BAD_CAST name);
}

static void
finish(xmlTextWriter *writer)
{
  xmlTextWriterEndElement(writer);
}

static void
element(xmlTextWriter *writer, const char *name, const char *text)
{
  xmlTextWriterWriteElement(writer, BAD_CAST name, BAD_CAST text);
}

static void
write_log(xmlTextWriter *writer, const Attempt *attempt)
{
  begin(writer, "log");
  for (guint i = 0; i < attempt->steps->len; i++) {
    const AttemptStep *step = attempt->steps->pdata[i];
    begin(writer, "step");
    attribute(writer, "kind", step_kind_word(step->kind));
    number(writer, "at", step->seconds);
    attribute(writer, "energized", step->energized ? "yes" : "no");
    attribute(writer, "a", step->a);
    attribute(writer, "b", step->b);
    attribute(writer, "reads", step->reads);
    attribute(writer, "text", step->text);
    finish(writer);
  }
  finish(writer);
  begin(writer, "safety");
  for (guint i = 0; i < attempt->errors->len; i++) {
    const SafetyError *error = attempt->errors->pdata[i];
    begin(writer, "error");
    attribute(writer, "kind", safety_kind_word(error->kind));
    number(writer, "at", error->seconds);
    attribute(writer, "place", error->place);
    attribute(writer, "text", error->text);
    finish(writer);
  }
  finish(writer);
  begin(writer, "answers");
  for (guint i = 0; i < attempt->answers->len; i++) {
    const AttemptAnswer *answer = attempt->answers->pdata[i];
    begin(writer, "answer");
    attribute(writer, "place", answer->place);
    attribute(writer, "fault", answer->fault);
    finish(writer);
  }
  finish(writer);
}

static void
write_document(xmlTextWriter *writer, const char *name, const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  element(writer, name, g_bytes_get_data(bytes, NULL));
}

static void
write_root(xmlTextWriter *writer, const Result *result, const char *digest)
{
  const SheetData *sheet = document_sheet(result->exercise);
  begin(writer, "doorsheet-result");
  attribute(writer, "xmlns", RESULT_NAMESPACE);
  attribute(writer, "version", "1");
  attribute(writer, "student", result->attempt->student);
  attribute(writer, "began", result->attempt->began);
  attribute(writer, "exercise", sheet_exercise_text(sheet, EXERCISE_NUMBER));
  attribute(writer, "set", sheet_exercise_text(sheet, EXERCISE_SET));
  write_log(writer, result->attempt);
  begin(writer, "score");
  number(writer, "points", result->points);
  xmlTextWriterWriteString(writer, BAD_CAST result->summary);
  finish(writer);
  write_document(writer, "given", result->exercise);
  write_document(writer, "handed-in", result->final);
  if (digest != NULL) {
    begin(writer, "digest");
    attribute(writer, "hmac-sha256", digest);
    finish(writer);
  }
  finish(writer);
}

static GBytes *
write_with(const Result *result, const char *digest)
{
  xmlBuffer *buffer = xmlBufferCreate();
  xmlTextWriter *writer = xmlNewTextWriterMemory(buffer, 0);
  xmlTextWriterSetIndent(writer, 1);
  xmlTextWriterSetIndentString(writer, BAD_CAST "  ");
  xmlTextWriterStartDocument(writer, "1.0", "UTF-8", NULL);
  write_root(writer, result, digest);
  xmlTextWriterEndDocument(writer);
  xmlFreeTextWriter(writer);
  gsize size = (gsize)xmlBufferLength(buffer);
  char *text = g_strndup((const char *)xmlBufferContent(buffer), size);
  xmlBufferFree(buffer);
  return g_bytes_new_take(text, size);
}

char *
result_dup_digest(const Result *result)
{
  g_autoptr(GBytes) content = write_with(result, NULL);
  g_autoptr(GBytes) exercise = document_write_memory(result->exercise);
  g_autofree char *own = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, exercise);
  g_autofree char *key = g_strconcat(DIGEST_CONSTANT, " ", own, NULL);
  g_autoptr(GBytes) secret = g_bytes_new(key, strlen(key));
  return g_compute_hmac_for_bytes(G_CHECKSUM_SHA256, secret, content);
}

GBytes *
result_write_memory(const Result *result)
{
  g_autofree char *digest = result_dup_digest(result);
  return write_with(result, digest);
}

bool
result_save(const Result *result, const char *path, GError **error)
{
  g_autoptr(GBytes) bytes = result_write_memory(result);
  return file_write_atomic(path, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), error);
}

char *
result_dup_name(const Result *result)
{
  const SheetData *sheet = document_sheet(result->exercise);
  g_autofree char *ascii = g_str_to_ascii(result->attempt->student, "C");
  GString *name = g_string_new(NULL);
  g_string_printf(name, "exercise-%s", sheet_exercise_text(sheet, EXERCISE_NUMBER));
  bool dash = true;
  for (const char *c = ascii; *c != '\0' && name->len < 60; c++) {
    if (!g_ascii_isalnum(*c)) {
      dash = true;
      continue;
    }
    if (dash)
      g_string_append_c(name, '-');
    dash = false;
    g_string_append_c(name, g_ascii_tolower(*c));
  }
  g_string_append(name, RESULT_SUFFIX);
  return g_string_free(name, FALSE);
}
