/* SPDX-License-Identifier: MIT */
/* The .doorsheet file: reading, writing, schema. XML namespace "urn:doorsheet:1", UTF-8.
 *
 * Reading is strict about meaning and kind about form. No entities are expanded, nothing is
 * fetched; at most 64 MiB, 64 levels deep, and the document's limits. Every complaint is a
 * FILE_ERROR whose message starts "FILE:LINE: " and says what was expected, with an example or the
 * nearest known name. An SVG that carries a diagram in its metadata reads as that diagram. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

#define DOCUMENT_NAMESPACE "urn:doorsheet:1"
#define DOCUMENT_VERSION 1

#define FILE_ERROR (file_error_quark())
GQuark file_error_quark(void);
typedef enum {
  FILE_ERROR_OPEN,    /* cannot be opened, is a folder, too large */
  FILE_ERROR_XML,     /* not well formed, or hostile */
  FILE_ERROR_FORMAT,  /* not a doorsheet, unknown element or attribute */
  FILE_ERROR_NEWER,   /* written by a newer Doorsheet */
  FILE_ERROR_VALUE,   /* a value outside what its field permits */
  FILE_ERROR_MEANING, /* duplicate id, a landing that is not there */
  FILE_ERROR_WRITE
} FileErrorCode;

Document *document_read(const char *path, PartCatalog catalog, GError **error);
/* name: how complaints call it ("clipboard", a path). */
Document *document_read_memory(const char *data, gsize size, const char *name, PartCatalog catalog,
                               GError **error);
/* The file's text; same document, same bytes. New bytes, with a NUL behind the last one. */
GBytes *document_write_memory(const Document *document);
/* Atomic: a temporary file beside it, fsync, rename, fsync of the folder; keeps the mode of an
 * existing file and follows a symbolic link. On failure the old file is untouched. */
bool document_save(const Document *document, const char *path, GError **error);
/* Writes bytes in the same atomic way (exports use it). */
bool file_write_atomic(const char *path, const void *data, gsize size, GError **error);

/* RELAX NG schema (XML syntax) generated from the tables of the catalog. New string. */
char *document_schema(PartCatalog catalog);

G_END_DECLS
