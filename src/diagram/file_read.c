/* SPDX-License-Identifier: MIT */
/* Reading: the parser, its limits, and complaints with their place. */
#include "diagram/file_reader.h"

#include "base/language.h"
#include "base/text.h"

#include <libxml/parserInternals.h>
#include <string.h>

#define SVG_NAMESPACE "http://www.w3.org/2000/svg"
#define MAX_ATTRIBUTES 100

/* --- places and complaints --- */

static void
locate(const Reader *reader, gsize offset, guint *line, guint *column)
{
  const char *start = reader->data;
  *line = 1;
  for (gsize i = 0; i < offset && i < reader->size; i++) {
    if (reader->data[i] == '\n') {
      ++*line;
      start = reader->data + i + 1;
    }
  }
  *column = (guint)g_utf8_strlen(start, reader->data + offset - start) + 1;
}

/* Where an attribute stands inside its tag: a name outside quotes, after white space. */
static gsize
attribute_offset(const Reader *reader, gsize tag, const char *name)
{
  size_t length = strlen(name);
  char quote = '\0';
  for (gsize i = tag; i + length < reader->size; i++) {
    char c = reader->data[i];
    if (quote != '\0') {
      quote = c == quote ? '\0' : quote;
    } else if (c == '"' || c == '\'') {
      quote = c;
    } else if (c == '>') {
      break;
    } else if (i > tag && g_ascii_isspace(reader->data[i - 1]) &&
               strncmp(reader->data + i, name, length) == 0 &&
               strchr("= \t\r\n", reader->data[i + length]) != NULL) {
      return i;
    }
  }
  return tag;
}

static void
set_error(Reader *reader, FileErrorCode code, guint line, guint column, const char *message)
{
  if (reader->error != NULL)
    return;
  if (column > 0)
    reader->error = g_error_new(FILE_ERROR, (gint)code, "%s:%u: %s (column %u)", reader->file,
                                MAX(line, 1), message, column);
  else
    reader->error =
        g_error_new(FILE_ERROR, (gint)code, "%s:%u: %s", reader->file, MAX(line, 1), message);
  if (reader->parser != NULL)
    xmlStopParser(reader->parser);
}

void
reader_fail(Reader *reader, FileErrorCode code, gsize offset, const char *attribute,
            const char *format, ...)
{
  va_list args;
  va_start(args, format);
  g_autofree char *message = g_strdup_vprintf(format, args);
  va_end(args);
  guint line, column;
  locate(reader, attribute != NULL ? attribute_offset(reader, offset, attribute) : offset, &line,
         &column);
  set_error(reader, code, line, attribute != NULL ? column : 0, message);
}

void
reader_fail_line(Reader *reader, FileErrorCode code, int line, int column, const char *message)
{
  set_error(reader, code, (guint)MAX(line, 1), (guint)MAX(column, 0), message);
}

/* --- what the parser calls --- */

/* The '<' of the tag whose end the parser has just reached. No attribute value holds a bare '<'. */
static gsize
tag_offset(const Reader *reader)
{
  const xmlParserInput *input = reader->parser->input;
  gsize offset = MIN((gsize)input->consumed + (gsize)(input->cur - input->base), reader->size);
  while (offset > 0 && reader->data[offset - 1] != '<')
    offset--;
  return offset > 0 ? offset - 1 : 0;
}

static void
clear_attribute(gpointer data)
{
  g_free(((Attribute *)data)->value);
}

/* The parser gives five pointers an attribute: name, prefix, namespace, value, its end. */
static bool
take_attributes(Reader *reader, const char *element, int n, const xmlChar **list)
{
  g_array_set_size(reader->attributes, 0);
  if (n > MAX_ATTRIBUTES) {
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("<%s> has %d attributes; expected at most %d"), element, n, MAX_ATTRIBUTES);
    return false;
  }
  for (int i = 0; i < n; i++) {
    const xmlChar **five = list + (gsize)i * 5;
    if (five[2] != NULL) {
      g_autofree char *shown = text_clean((const char *)five[0], 40);
      reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                  _("<%s> has an attribute \"%s\" of a foreign namespace; a diagram has none of "
                    "those, take it out"),
                  element, shown);
      return false;
    }
    Attribute attribute = {(const char *)five[0],
                           g_strndup((const char *)five[3], (gsize)(five[4] - five[3]))};
    g_array_append_val(reader->attributes, attribute);
  }
  return true;
}

static void
add_to_tree(Reader *reader, const char *name)
{
  xmlNodePtr node = xmlNewDocNode(reader->tree, NULL, (const xmlChar *)name, NULL);
  if (reader->node == NULL) {
    xmlDocSetRootElement(reader->tree, node);
    xmlSetNs(node, xmlNewNs(node, (const xmlChar *)DOCUMENT_NAMESPACE, NULL));
  } else {
    xmlAddChild(reader->node, node);
    xmlSetNs(node, reader->node->ns);
  }
  node->_private = GSIZE_TO_POINTER(reader->offset);
  for (guint i = 0; i < reader->attributes->len; i++) {
    const Attribute *attribute = &g_array_index(reader->attributes, Attribute, i);
    xmlNewProp(node, (const xmlChar *)attribute->name, (const xmlChar *)attribute->value);
  }
  reader->node = node;
  reader->elements++;
}

/* A root that is no diagram we can read. */
static void
refuse_root(Reader *reader, const char *name, const char *uri)
{
  const char *prefix = "urn:doorsheet:";
  g_autofree char *shown = text_clean(name, 40);
  if (uri != NULL && g_str_has_prefix(uri, prefix) &&
      g_ascii_strtoull(uri + strlen(prefix), NULL, 10) > DOCUMENT_VERSION)
    reader_fail(reader, FILE_ERROR_NEWER, reader->offset, NULL,
                _("this sheet was written by a newer Doorsheet; update Doorsheet to open it"));
  else
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("this is no Doorsheet diagram: it starts with <%s>; expected <%s xmlns=\"%s\" "
                  "version=\"%d\">"),
                shown, FILE_ROOT, DOCUMENT_NAMESPACE, DOCUMENT_VERSION);
}

/* Whether the element is <doorsheet>: the root, or in the metadata of an SVG. */
static bool
is_diagram(Reader *reader, const char *name, const char *uri)
{
  bool named = strcmp(name, FILE_ROOT) == 0;
  if (named && g_strcmp0(uri, DOCUMENT_NAMESPACE) == 0 && (!reader->in_svg || reader->in_metadata))
    return true;
  if (reader->depth == 1 && strcmp(name, "svg") == 0 && g_strcmp0(uri, SVG_NAMESPACE) == 0)
    reader->in_svg = true;
  else if (!reader->in_svg || (named && reader->in_metadata))
    refuse_root(reader, name, uri);
  else if (strcmp(name, "metadata") == 0)
    reader->in_metadata = true;
  return false;
}

static void
on_start(void *data, const xmlChar *local, const xmlChar *prefix, const xmlChar *uri, int n_spaces,
         const xmlChar **spaces, int n, int n_defaulted, const xmlChar **list)
{
  (void)prefix, (void)n_spaces, (void)spaces, (void)n_defaulted;
  Reader *reader = data;
  const char *name = (const char *)local;
  if (reader->error != NULL)
    return;
  reader->offset = tag_offset(reader);
  if (++reader->depth > FILE_MAX_DEPTH) {
    reader_fail(reader, FILE_ERROR_XML, reader->offset, NULL,
                _("elements are nested more than %d deep; a diagram needs three levels"),
                FILE_MAX_DEPTH);
    return;
  }
  if (reader->root_depth == 0) {
    if (reader->finished || !is_diagram(reader, name, (const char *)uri))
      return;
    reader->root_depth = reader->depth;
  } else if (g_strcmp0((const char *)uri, DOCUMENT_NAMESPACE) != 0) {
    g_autofree char *shown = text_clean(name, 40);
    reader_fail(reader, FILE_ERROR_FORMAT, reader->offset, NULL,
                _("<%s> is of a foreign namespace; a diagram holds none of those, take it out"),
                shown);
    return;
  }
  if (!take_attributes(reader, name, n, list))
    return;
  reader_start_element(reader, reader->depth - reader->root_depth, name);
  if (reader->error == NULL)
    add_to_tree(reader, name);
}

static void
on_end(void *data, const xmlChar *local, const xmlChar *prefix, const xmlChar *uri)
{
  (void)prefix;
  Reader *reader = data;
  if (reader->error != NULL)
    return;
  if (reader->root_depth > 0) {
    reader_end_element(reader, reader->depth - reader->root_depth);
    reader->node = reader->node->parent;
    if (reader->depth == reader->root_depth) {
      reader->root_depth = 0;
      reader->finished = true;
      reader->node = NULL;
    }
  } else if (reader->in_metadata && strcmp((const char *)local, "metadata") == 0 &&
             g_strcmp0((const char *)uri, SVG_NAMESPACE) == 0) {
    reader->in_metadata = false;
  }
  reader->depth--;
}

static void
on_text(void *data, const xmlChar *text, int length)
{
  Reader *reader = data;
  if (reader->error != NULL || reader->root_depth == 0)
    return;
  for (int i = 0; i < length; i++) {
    if (g_ascii_isspace((char)text[i]))
      continue;
    /* The parser has passed the text: go back by the lines in what follows. */
    int line = reader->parser->input->line;
    for (int j = i; j < length; j++)
      line -= text[j] == '\n';
    g_autofree char *piece = g_strndup((const char *)text + i, (gsize)MIN(length - i, 80));
    g_autofree char *shown = text_clean(g_strdelimit(piece, "\r\n\t", ' '), 20);
    g_autofree char *message = g_strdup_printf(
        _("there is loose text \"%s\" between the elements; everything is said in attributes, such "
          "as note=\"...\""),
        g_strchomp(shown));
    reader_fail_line(reader, FILE_ERROR_FORMAT, line, 0, message);
    return;
  }
}

static void
on_doctype(void *data, const xmlChar *name, const xmlChar *external, const xmlChar *system)
{
  (void)name, (void)external, (void)system;
  Reader *reader = data;
  if (reader->error == NULL)
    reader_fail_line(reader, FILE_ERROR_XML, reader->parser->input->line, 0,
                     _("a document type (<!DOCTYPE ...>) with or without entities is not accepted; "
                       "take it out"));
}

static void
on_error(void *data, xmlErrorPtr problem)
{
  Reader *reader = data;
  if (reader->error != NULL || problem->level < XML_ERR_ERROR)
    return;
  g_autofree char *valid =
      g_utf8_make_valid(problem->message != NULL ? problem->message : "unreadable", -1);
  g_autofree char *shown = text_clean(g_strstrip(valid), 200);
  g_autofree char *message = g_strdup_printf(_("this is not well-formed XML: %s"), shown);
  reader_fail_line(reader, FILE_ERROR_XML, problem->line, problem->int2, message);
}

/* --- before parsing --- */

/* What no parser needs to see: other encodings and files that are not text. */
static bool
check_bytes(Reader *reader)
{
  const char *data = reader->data;
  gsize size = reader->size;
  const char *end;
  if (size > FILE_MAX_BYTES) {
    reader->error = g_error_new(
        FILE_ERROR, FILE_ERROR_OPEN,
        _("%s: is larger than 64 MiB; no diagram is, so this is another file"), reader->file);
  } else if (size == 0) {
    reader_fail(reader, FILE_ERROR_XML, 0, NULL,
                _("the file is empty; if it was a diagram, look for an older copy"));
  } else if (size >= 2 && (memcmp(data, "\xff\xfe", 2) == 0 || memcmp(data, "\xfe\xff", 2) == 0)) {
    reader_fail(reader, FILE_ERROR_XML, 0, NULL,
                _("the text is UTF-16; expected UTF-8, so save it again in that encoding"));
  } else if (memchr(data, '\0', size) != NULL) {
    reader_fail(reader, FILE_ERROR_XML, (gsize)((const char *)memchr(data, '\0', size) - data),
                NULL, _("there is a NUL byte; this is not a text file, or it was damaged"));
  } else if (!g_utf8_validate_len(data, size, &end)) {
    reader_fail(reader, FILE_ERROR_XML, (gsize)(end - data), NULL,
                _("the byte 0x%02x is not UTF-8 text; save the file again as UTF-8"),
                (guint)(guchar)*end);
  }
  return reader->error == NULL;
}

static xmlParserCtxtPtr
parser_new(Reader *reader)
{
  xmlInitParser();
  xmlParserCtxtPtr parser = xmlCreateMemoryParserCtxt(reader->data, (int)reader->size);
  if (parser == NULL)
    return NULL;
  /* The limits on size, depth and counts are this reader's own. Any <!DOCTYPE> ends the reading, so
   * NOENT has nothing to expand: it makes the parser decode "&amp;" in attributes itself. */
  xmlCtxtUseOptions(parser, XML_PARSE_NONET | XML_PARSE_HUGE | XML_PARSE_NOENT);
  memset(parser->sax, 0, sizeof *parser->sax);
  parser->sax->initialized = XML_SAX2_MAGIC;
  parser->sax->startElementNs = on_start;
  parser->sax->endElementNs = on_end;
  parser->sax->characters = on_text;
  parser->sax->cdataBlock = on_text;
  parser->sax->internalSubset = on_doctype;
  parser->sax->serror = on_error;
  parser->userData = reader;
  return parser;
}

static bool
is_utf8_name(const char *encoding)
{
  return encoding == NULL || g_ascii_strcasecmp(encoding, "UTF-8") == 0 ||
         g_ascii_strcasecmp(encoding, "UTF8") == 0 || g_ascii_strcasecmp(encoding, "US-ASCII") == 0;
}

static void
parse(Reader *reader)
{
  reader->parser = parser_new(reader);
  if (reader->parser == NULL) {
    reader_fail(reader, FILE_ERROR_XML, 0, NULL, _("there is not enough memory to read this file"));
    return;
  }
  xmlParseDocument(reader->parser);
  const char *encoding =
      (const char *)(reader->parser->encoding != NULL ? reader->parser->encoding
                     : reader->parser->input != NULL  ? reader->parser->input->encoding
                                                      : NULL);
  if (!is_utf8_name(encoding)) {
    g_autofree char *shown = text_clean(encoding, 40);
    g_clear_error(&reader->error); /* whatever came of decoding it */
    reader_fail(reader, FILE_ERROR_XML, 0, NULL,
                _("the file says its encoding is \"%s\"; expected UTF-8"), shown);
  } else if (reader->error == NULL && !reader->parser->wellFormed) {
    reader_fail(reader, FILE_ERROR_XML, reader->size, NULL, _("this is not well-formed XML"));
  }
  if (reader->error == NULL && !reader->finished)
    reader_fail(reader, FILE_ERROR_FORMAT, 0, NULL,
                _("this picture carries no diagram; only an SVG exported by Doorsheet opens"));
  xmlFreeParserCtxt(reader->parser);
  reader->parser = NULL;
}

static void
clear_conductor(gpointer data)
{
  conductor_unref(((Pending *)data)->value);
}

static void
clear_measured(gpointer data)
{
  measured_unref(((Pending *)data)->value);
}

static void
reader_init(Reader *reader)
{
  reader->attributes = g_array_new(FALSE, FALSE, sizeof(Attribute));
  g_array_set_clear_func(reader->attributes, clear_attribute);
  reader->tree = xmlNewDoc((const xmlChar *)"1.0");
  reader->sheet = sheet_data_new();
  reader->devices = g_ptr_array_new_with_free_func((GDestroyNotify)device_unref);
  reader->ids = g_hash_table_new(g_str_hash, g_str_equal);
  reader->conductors = g_array_new(FALSE, FALSE, sizeof(Pending));
  g_array_set_clear_func(reader->conductors, clear_conductor);
  reader->measured = g_array_new(FALSE, FALSE, sizeof(Pending));
  g_array_set_clear_func(reader->measured, clear_measured);
  reader->intended = g_ptr_array_new_with_free_func((GDestroyNotify)intended_unref);
}

static void
reader_clear(Reader *reader)
{
  g_array_unref(reader->attributes);
  xmlFreeDoc(reader->tree);
  sheet_data_unref(reader->sheet);
  device_unref(reader->device);
  g_hash_table_unref(reader->ids);
  g_ptr_array_unref(reader->devices);
  g_array_unref(reader->conductors);
  g_array_unref(reader->measured);
  g_ptr_array_unref(reader->intended);
}

Document *
document_read_memory(const char *data, gsize size, const char *name, PartCatalog catalog,
                     GError **error)
{
  Reader reader = {.file = name, .data = data, .size = size, .catalog = catalog};
  Document *document = NULL;
  reader_init(&reader);
  if (check_bytes(&reader))
    parse(&reader);
  if (reader.error == NULL)
    document = reader_build(&reader);
  if (reader.error == NULL)
    reader_check_schema(&reader);
  if (reader.error != NULL) {
    g_clear_pointer(&document, document_free);
    g_propagate_error(error, reader.error);
  }
  reader_clear(&reader);
  return document;
}

Document *
document_read(const char *path, PartCatalog catalog, GError **error)
{
  g_autoptr(GBytes) bytes = file_read_bounded(path, error);
  if (bytes == NULL)
    return NULL;
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  g_autofree char *name = g_filename_display_name(path);
  return document_read_memory(data != NULL ? data : "", size, name, catalog, error);
}
