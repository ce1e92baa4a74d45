/* SPDX-License-Identifier: MIT */
#include "keep/recovery_folder.h"

#include "base/language.h"

#include "diagram/document_file.h"
#include <errno.h>
#include <fcntl.h>
#include <glib/gstdio.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

char *
recovery_folder_path(void)
{
  return g_build_filename(g_get_user_state_dir(), "doorsheet", "recovery", NULL);
}

char *
recovery_folder_file(const char *base, const char *suffix)
{
  g_autofree char *folder = recovery_folder_path();
  g_autofree char *name = g_strconcat(base, suffix, NULL);
  return g_build_filename(folder, name, NULL);
}

static bool
fail(GError **error, const char *file, int saved)
{
  g_autofree char *shown = g_filename_display_name(file);
  g_set_error(
      error, FILE_ERROR, FILE_ERROR_WRITE,
      _("%s: the unsaved sheet cannot be kept for recovery: %s. Save it yourself, and often."),
      shown, g_strerror(saved));
  return false;
}

/* EWOULDBLOCK only when somebody holds it: a file system without locks must not stop the rest. */
static int
open_locked(const char *file, int flags)
{
  int fd = open(file, O_RDWR | O_CLOEXEC | O_NOFOLLOW | flags, 0600);
  if (fd < 0)
    return -1;
  while (flock(fd, LOCK_EX | LOCK_NB) != 0) {
    if (errno == EINTR)
      continue;
    if (errno != EWOULDBLOCK)
      break;
    close(fd);
    errno = EWOULDBLOCK;
    return -1;
  }
  return fd;
}

char *
recovery_folder_take_name(int *lock, GError **error)
{
  g_autofree char *folder = recovery_folder_path();
  if (g_mkdir_with_parents(folder, 0700) != 0) {
    fail(error, folder, errno);
    return NULL;
  }
  for (int attempt = 0; attempt < 20; attempt++) {
    g_autofree char *base = g_uuid_string_random();
    g_autofree char *file = recovery_folder_file(base, ".lock");
    int fd = open_locked(file, O_CREAT | O_EXCL);
    if (fd >= 0) {
      *lock = fd;
      return g_steal_pointer(&base);
    }
    if (errno != EEXIST && errno != EWOULDBLOCK)
      break;
  }
  fail(error, folder, errno);
  return NULL;
}

int
recovery_folder_lock(const char *base)
{
  g_autofree char *file = recovery_folder_file(base, ".lock");
  return open_locked(file, O_CREAT);
}

void
recovery_folder_unlock(int lock)
{
  if (lock >= 0)
    close(lock);
}

void
recovery_folder_remove(const char *base, int lock)
{
  static const char *const suffixes[] = {".doorsheet", ".ini", ".new", ".lock"};
  for (guint i = 0; i < G_N_ELEMENTS(suffixes); i++) {
    g_autofree char *file = recovery_folder_file(base, suffixes[i]);
    g_unlink(file);
  }
  recovery_folder_unlock(lock);
}

static bool
write_all(int fd, const guint8 *data, gsize size)
{
  while (size > 0) {
    ssize_t n = write(fd, data, size);
    if (n < 0 && errno == EINTR)
      continue;
    if (n <= 0) {
      errno = n == 0 ? ENOSPC : errno;
      return false;
    }
    data += n;
    size -= (gsize)n;
  }
  return true;
}

bool
recovery_folder_write(const char *file, const void *data, gsize size, GError **error)
{
  const char *dot = strrchr(file, '.');
  g_autofree char *stem = g_strndup(file, (gsize)(dot - file));
  g_autofree char *fresh = g_strconcat(stem, ".new", NULL);
  int fd = open(fresh, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (fd < 0)
    return fail(error, file, errno);
  bool good = write_all(fd, data, size);
  int saved = errno;
  if (close(fd) != 0 && good) {
    good = false;
    saved = errno;
  }
  if (good && rename(fresh, file) == 0)
    return true;
  saved = good ? errno : saved;
  g_unlink(fresh);
  return fail(error, file, saved);
}
