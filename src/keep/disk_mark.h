/* SPDX-License-Identifier: MIT */
/* What a file on disk held when it was last read or written here, so that nothing another program
 * wrote since is overwritten unasked. Contents are compared by SHA-256, not by time: a copy put
 * back with its old time counts as changed, a touched file does not. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef struct DiskMark DiskMark;
typedef enum {
  DISK_SAME,
  DISK_CHANGED, /* other contents, or not readable any more */
  DISK_GONE     /* deleted, renamed or its folder taken away */
} DiskState;

/* Reads the file as it is now; a file that is not there makes a mark that says so. */
DiskMark *disk_mark_new(const char *path);
/* The file was just written with these bytes. */
DiskMark *disk_mark_new_for_bytes(const char *path, GBytes *bytes);
/* From a digest remembered elsewhere; "" or NULL: the file was not there. */
DiskMark *disk_mark_new_for_digest(const char *path, const char *digest);
void disk_mark_free(DiskMark *mark);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(DiskMark, disk_mark_free)

const char *disk_mark_get_path(const DiskMark *mark);
const char *disk_mark_get_digest(const DiskMark *mark); /* hexadecimal; "": there was no file */
/* Reads the file. */
DiskState disk_mark_compare(const DiskMark *mark);

/* Whether saving to path would fail or get round a protection: the file or its folder has no
 * write permission at all, or none for this user, or lies on a read-only file system. */
bool disk_is_read_only(const char *path);
/* The same file by whatever name: links and "..", "./" included. */
bool disk_is_same_file(const char *a, const char *b);

G_END_DECLS
