/* SPDX-License-Identifier: MIT */
/* A person's own shelf of nameplates: kept once, placed on any sheet. One file under the user's
 * data folder, doorsheet/nameplates.doorshelf, and any file of the same form to share.
 *
 * The form is XML of the namespace "urn:doorsheet:shelf:1": <shelf version="1"> holds
 * <nameplate name="...">, each of which holds a <doorsheet> with one device, read and written as
 * any sheet is. Every edit reads the file, changes the one nameplate it is about and puts the file
 * back at once or not at all, under a lock: several windows and programs at work do not undo one
 * another, and what this program cannot read (a newer kind of device, a nameplate damaged by hand)
 * stays in the file as it is. A file that is damaged as a whole or written by a newer Doorsheet is
 * never written to; nameplates_set_aside takes it out of the way under another name.
 *
 * Errors are FILE_ERROR. Main thread only. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

#define NAMEPLATES_NAMESPACE "urn:doorsheet:shelf:1"
#define NAMEPLATES_VERSION 1
#define NAMEPLATES_SUFFIX ".doorshelf"
#define NAMEPLATES_MOST 2000       /* in one file */
#define NAMEPLATES_NAME_LETTERS 80 /* in one name */

typedef struct {
  char *name;     /* no other in the file has it */
  Device *device; /* as edit_dup_nameplate gives it; NULL: this program cannot read it */
  char *problem;  /* why not; NULL with a device */
} Nameplate;

/* The user's own shelf. New string. */
char *nameplates_dup_path(void);
/* In the order of the file: array of Nameplate that owns them. No file: none. NULL with error when
 * the file cannot be read or is no shelf. */
GPtrArray *nameplates_read(const char *path, PartCatalog catalog, GError **error);
const Nameplate *nameplates_find(const GPtrArray *nameplates, const char *name); /* NULL: none */
/* A name for people: letters on one line, at least one, at most NAMEPLATES_NAME_LETTERS. */
bool nameplates_check_name(const char *name, GError **error);
/* "75 VA transformer", counted on until it is free in nameplates (nullable). New string. */
char *nameplates_propose_name(const GPtrArray *nameplates, const Device *device);

/* Keeps the device's nameplate at the end of the file. Taken names are refused (FILE_ERROR_MEANING)
 * unless replace is true: then it takes the place of the one that has the name. */
bool nameplates_keep(const char *path, const char *name, const Device *device, bool replace,
                     GError **error);
bool nameplates_rename(const char *path, const char *name, const char *new_name, GError **error);
bool nameplates_remove(const char *path, const char *name, GError **error);

typedef struct {
  guint added;
  guint present;    /* were there already, under the same name */
  guint renamed;    /* added under a name counted on: another one has the name */
  guint unreadable; /* left where they were */
} NameplatesImport;
/* Adds all of another shelf's nameplates. from and path must differ. */
bool nameplates_import(const char *path, const char *from, PartCatalog catalog,
                       NameplatesImport *import, GError **error);
/* Writes the nameplates as a shelf file of its own; only: NULL for all of them, else one name. */
bool nameplates_export(const char *path, const char *to, const char *only, GError **error);
/* Renames a file that cannot be used, so that a new shelf can be begun. *moved: where it is now
 * (new string, nullable). */
bool nameplates_set_aside(const char *path, char **moved, GError **error);

/* Told after every edit made in this program. */
typedef void (*NameplatesListener)(gpointer data);
guint nameplates_listen(NameplatesListener listener, gpointer data);
void nameplates_unlisten(guint id);

G_END_DECLS
