/* SPDX-License-Identifier: MIT */
/* The recovery folder: BASE.doorsheet the sheet, BASE.ini what it belongs to, BASE.lock held by
 * whoever answers for both. Only recovery*.c include this. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

char *recovery_folder_path(void);
char *recovery_folder_file(const char *base, const char *suffix);
/* A name nobody uses, locked; makes the folder. NULL with error. */
char *recovery_folder_take_name(int *lock, GError **error);
/* Locks an existing name: -1 while somebody answers for it. */
int recovery_folder_lock(const char *base);
void recovery_folder_unlock(int lock);
/* The files, then the lock. */
void recovery_folder_remove(const char *base, int lock);
/* Puts new contents in place at once or not at all, without waiting for the disk: a killed
 * program loses nothing by that, and an edit does not wait. */
bool recovery_folder_write(const char *file, const void *data, gsize size, GError **error);

G_END_DECLS
