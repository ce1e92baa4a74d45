/* SPDX-License-Identifier: MIT */
#include "base/csv.h"

#include "base/language.h"

#include <stdbool.h>
#include <string.h>

typedef struct {
  const char *at, *end;
  char separator;
  guint line;
} Scan;

static void
csv_row_free(gpointer data)
{
  CsvRow *row = data;
  g_ptr_array_unref(row->fields);
  g_free(row->error);
  g_free(row);
}

static bool
at_line_end(const Scan *scan)
{
  return scan->at >= scan->end || *scan->at == '\n' || *scan->at == '\r';
}

/* Steps over CRLF, LF or CR. */
static void
end_line(Scan *scan)
{
  if (scan->at >= scan->end)
    return;
  if (*scan->at == '\r' && scan->at + 1 < scan->end && scan->at[1] == '\n')
    scan->at++;
  scan->at++;
  scan->line++;
}

/* From the opening quote to behind the closing one. false: it is never closed. Stops early in a
 * field that is too long, so that a lost quote does not cost a walk to the end for each row. */
static bool
read_quoted(Scan *scan, GString *field)
{
  for (scan->at++; scan->at < scan->end && field->len <= CSV_LONGEST_FIELD; scan->at++) {
    const char c = *scan->at;
    if (c == '"') {
      if (scan->at + 1 >= scan->end || scan->at[1] != '"') {
        scan->at++;
        return true;
      }
      scan->at++;
    } else if (c == '\n' || (c == '\r' && !(scan->at + 1 < scan->end && scan->at[1] == '\n'))) {
      scan->line++;
    }
    g_string_append_c(field, c);
  }
  return false;
}

static void
read_plain(Scan *scan, GString *field)
{
  while (!at_line_end(scan) && *scan->at != scan->separator)
    g_string_append_c(field, *scan->at++);
}

/* One field with what is wrong with it, NULL: nothing. New string. */
static char *
read_field(Scan *scan, GString *field)
{
  const guint line = scan->line;

  if (scan->at < scan->end && *scan->at == '"') {
    const bool closed = read_quoted(scan, field);
    if (field->len <= CSV_LONGEST_FIELD && !closed)
      return g_strdup_printf(
          _("The quote that opens on line %u is never closed. Close it, and write "
            "a quote inside a field twice."),
          line);
    if (closed && !at_line_end(scan) && *scan->at != scan->separator)
      return g_strdup_printf(
          _("Line %u goes on after a closing quote. Write a quote inside a field "
            "twice."),
          scan->line);
  } else {
    read_plain(scan, field);
  }
  if (field->len > CSV_LONGEST_FIELD)
    return g_strdup_printf(_("A field is longer than %u bytes."), CSV_LONGEST_FIELD);
  if (memchr(field->str, '\0', field->len) != NULL || !g_utf8_validate(field->str, -1, NULL))
    return g_strdup(_("A field is no text in UTF-8. Save the file as \"CSV UTF-8\"."));
  return NULL;
}

static void
read_row(Scan *scan, CsvRow *row)
{
  for (;;) {
    g_autoptr(GString) field = g_string_new(NULL);
    row->error = read_field(scan, field);
    if (row->error != NULL)
      return;
    g_ptr_array_add(row->fields, g_strndup(field->str, field->len));
    if (at_line_end(scan))
      break;
    if (row->fields->len >= CSV_MOST_FIELDS) {
      row->error = g_strdup_printf(_("The row has more than %u fields."), CSV_MOST_FIELDS);
      return;
    }
    scan->at++; /* the separator */
  }
  end_line(scan);
}

/* After a bad row only its first line is lost: what follows may be sound. */
static void
skip_line(Scan *scan, const char *start, guint line)
{
  scan->at = start;
  scan->line = line;
  while (!at_line_end(scan))
    scan->at++;
  end_line(scan);
}

static char
find_separator(const char *at, const char *end)
{
  char found = ',';
  bool quoted = false;

  for (; at < end && (quoted || (*at != '\n' && *at != '\r')); at++) {
    if (*at == '"')
      quoted = !quoted;
    else if (!quoted && *at == ',')
      return ',';
    else if (!quoted && (*at == ';' || *at == '\t') && found == ',')
      found = *at;
  }
  return found;
}

static bool
is_blank(const CsvRow *row)
{
  return row->error == NULL && row->fields->len == 1 &&
         ((const char *)row->fields->pdata[0])[0] == '\0';
}

GPtrArray *
csv_read(const char *data, gsize size, GError **error)
{
  Scan scan = {.at = data, .end = data + size, .line = 1};

  if (size >= 2 && (memcmp(data, "\xff\xfe", 2) == 0 || memcmp(data, "\xfe\xff", 2) == 0)) {
    g_set_error_literal(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                        _("The table is UTF-16. Save it as \"CSV UTF-8\"."));
    return NULL;
  }
  if (size >= 3 && memcmp(data, "\xef\xbb\xbf", 3) == 0)
    scan.at += 3;
  scan.separator = find_separator(scan.at, scan.end);
  g_autoptr(GPtrArray) rows = g_ptr_array_new_with_free_func(csv_row_free);
  while (scan.at < scan.end) {
    const char *start = scan.at;
    CsvRow *row = g_new(CsvRow, 1);
    *row = (CsvRow){.line = scan.line, .fields = g_ptr_array_new_with_free_func(g_free)};
    read_row(&scan, row);
    if (row->error != NULL)
      skip_line(&scan, start, row->line);
    if (is_blank(row))
      csv_row_free(row);
    else
      g_ptr_array_add(rows, row);
    if (rows->len > CSV_MOST_ROWS) {
      g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                  _("The table has more than %u rows. Split it."), CSV_MOST_ROWS);
      return NULL;
    }
  }
  return g_steal_pointer(&rows);
}

void
csv_append(GString *out, const char *text)
{
  const bool quote = strpbrk(text, ",;\t\"\r\n") != NULL || text[0] == ' ' ||
                     (text[0] != '\0' && text[strlen(text) - 1] == ' ');

  if (out->len > 0 && out->str[out->len - 1] != '\n')
    g_string_append_c(out, ',');
  else if (text[0] == '\0') { /* else a row's empty first field could not be told from none */
    g_string_append(out, "\"\"");
    return;
  }
  if (!quote) {
    g_string_append(out, text);
    return;
  }
  g_string_append_c(out, '"');
  for (const char *c = text; *c != '\0'; c++) {
    if (*c == '"')
      g_string_append_c(out, '"');
    g_string_append_c(out, *c);
  }
  g_string_append_c(out, '"');
}

static bool
is_number(const char *text)
{
  char *end = NULL;
  const char *digit = text[0] == '-' ? text + 1 : text;

  if (!g_ascii_isdigit(*digit) || g_str_has_prefix(digit, "0x") || g_str_has_prefix(digit, "0X"))
    return false;
  g_ascii_strtod(text, &end);
  return *end == '\0';
}

void
csv_append_text(GString *out, const char *text)
{
  const char *first = text + strspn(text, " \302\240");
  const bool runs = *first != '\0' && strchr("=+-@\t\r\n", *first) != NULL && !is_number(text);
  g_autofree char *plain = runs ? g_strconcat("'", text, NULL) : NULL;

  csv_append(out, runs ? plain : text);
}

void
csv_end_row(GString *out)
{
  g_string_append(out, "\r\n");
}
