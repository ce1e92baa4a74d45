/* SPDX-License-Identifier: MIT */
/* The file of a nameplate shelf as a tree: all that was in it is still in it when it is written
 * back. Only nameplates*.c include this. */
#pragma once

#include "keep/nameplates.h"
#include <libxml/tree.h>

G_BEGIN_DECLS

typedef struct {
  char *path;
  xmlDocPtr tree;
  xmlNodePtr root;
  int lock; /* -1: not locked */
} NameplatesFile;

/* Reads the file, or makes an empty shelf when there is none. lock: nobody else edits it until it
 * is freed. NULL with error. */
NameplatesFile *nameplates_file_open(const char *path, bool lock, GError **error);
void nameplates_file_free(NameplatesFile *file);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(NameplatesFile, nameplates_file_free)
/* An empty shelf, not yet in the file. */
NameplatesFile *nameplates_file_new(const char *path);
bool nameplates_file_write(const NameplatesFile *file, GError **error);

/* The elements <nameplate> in order. */
xmlNodePtr nameplates_file_first(const NameplatesFile *file);
xmlNodePtr nameplates_file_next(xmlNodePtr node);
/* The name, made fit to be shown and counted on when an earlier one has it. Borrowed. */
const char *nameplates_file_name(xmlNodePtr node);
xmlNodePtr nameplates_file_find(const NameplatesFile *file, const char *name);
void nameplates_file_set_name(xmlNodePtr node, const char *name);
void nameplates_file_remove(xmlNodePtr node);
/* The device in it, or NULL with error. */
Device *nameplates_file_read(xmlNodePtr node, const char *name, PartCatalog catalog,
                             GError **error);
/* Appends a nameplate, or fills one (in place of what is in it). */
bool nameplates_file_put(NameplatesFile *file, xmlNodePtr into, const char *name,
                         const Device *device, GError **error);
/* Appends a copy of another file's nameplate. */
void nameplates_file_copy(NameplatesFile *file, xmlNodePtr node, const char *name);

G_END_DECLS
