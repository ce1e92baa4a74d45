/* SPDX-License-Identifier: MIT */
/* Private to the diagram layer: the state of one reading.
 *
 * The parser hands over one element at a time (SAX), so that hostile input is refused where it
 * starts to be wrong and never fills memory. Elements are interpreted at once (file_elements.c,
 * file_landings.c); a bare tree of them is kept for the schema (schema.c). Places are byte offsets
 * of a tag's
 * '<'; lines and columns are counted only when there is something to complain about. */
#pragma once

#include "diagram/file_names.h"

#include <libxml/parser.h>

G_BEGIN_DECLS

typedef struct {
  const char *name; /* borrowed from the parser */
  char *value;
} Attribute;

typedef struct {
  gpointer value; /* Conductor or Measured; one reference */
  gsize offset;
} Pending;

typedef struct {
  const char *file; /* how complaints call it */
  const char *data;
  gsize size;
  PartCatalog catalog;
  xmlParserCtxtPtr parser;
  GError *error; /* the first complaint; nothing is read after it */

  guint depth, root_depth; /* root_depth: depth of <doorsheet>, 0 before it */
  bool in_svg, in_metadata, finished;
  gsize offset;       /* of the tag being read */
  GArray *attributes; /* of Attribute: those of the tag being read */
  guint elements;      /* of the diagram so far */
  xmlDocPtr tree;
  xmlNodePtr node;

  SheetData *sheet;
  bool has_equipment, has_exercise;
  Device *device; /* being read */
  gsize device_offset;
  GPtrArray *devices;
  GHashTable *ids;    /* id (borrowed from the device) -> offset + 1 */
  GArray *conductors; /* of Pending; they may come before their devices */
  GArray *measured;   /* of Pending */
  GPtrArray *intended;
} Reader;

/* Notes the first complaint and stops the parser. attribute: nullable, adds the column. */
void reader_fail(Reader *reader, FileErrorCode code, gsize offset, const char *attribute,
                 const char *format, ...) G_GNUC_PRINTF(5, 6);
/* The same at a line the parser tells. */
void reader_fail_line(Reader *reader, FileErrorCode code, int line, int column,
                      const char *message);

/* The tag's own attributes. need: complains when it is missing; set_fields: sets the fields,
 * passing over the names in own (NULL-terminated), and refuses what is left. */
const char *reader_find_attribute(const Reader *reader, const char *name);
const char *reader_need_attribute(Reader *reader, const char *element, const char *name,
                                  const char *example);
void reader_set_fields(Reader *reader, const char *place, const char *const *own, Value *values,
                       const FieldSpec *fields, guint n);

/* file_elements.c: level 0 is <doorsheet> itself. After reader_fail nothing is called any more. */
void reader_start_element(Reader *reader, guint level, const char *name);
void reader_end_element(Reader *reader, guint level);
/* file_landings.c. */
void reader_read_conductor(Reader *reader);
void reader_read_measured(Reader *reader);
void reader_read_intended(Reader *reader);
/* Lands everything; NULL after reader_fail. */
Document *reader_build(Reader *reader);

/* schema.c: complains about the first thing the schema refuses. */
void reader_check_schema(Reader *reader);

G_END_DECLS
