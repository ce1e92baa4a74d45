/* SPDX-License-Identifier: MIT */
/* Bytes in and out of the file system. */
#include "diagram/document_file.h"

#include "base/language.h"

#include "diagram/file_names.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

G_DEFINE_QUARK(doorsheet - file - error, file_error)

static bool
set_errno(GError **error, FileErrorCode code, const char *path, const char *what, int saved)
{
  g_autofree char *name = g_filename_display_name(path);
  g_set_error(error, FILE_ERROR, (gint)code, "%s: %s: %s", name, what, g_strerror(saved));
  return false;
}

static bool
set_open_error(GError **error, const char *path, const char *what)
{
  g_autofree char *name = g_filename_display_name(path);
  g_set_error(error, FILE_ERROR, FILE_ERROR_OPEN, "%s: %s", name, what);
  return false;
}

static bool
read_all(int fd, const char *path, GByteArray *bytes, GError **error)
{
  for (;;) {
    guint8 block[65536];
    ssize_t n = read(fd, block, sizeof block);
    if (n == 0)
      return true;
    if (n < 0 && errno == EINTR)
      continue;
    if (n < 0)
      return set_errno(error, FILE_ERROR_OPEN, path, _("cannot be read"), errno);
    if (bytes->len + (gsize)n > FILE_MAX_BYTES)
      return set_open_error(error, path,
                            _("is larger than 64 MiB; no diagram is, so this is another file"));
    g_byte_array_append(bytes, block, (guint)n);
  }
}

GBytes *
file_read_bounded(const char *path, GError **error)
{
  int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
  if (fd < 0) {
    set_errno(error, FILE_ERROR_OPEN, path, _("cannot be opened"), errno);
    return NULL;
  }
  struct stat info;
  g_autoptr(GByteArray) bytes = g_byte_array_new();
  bool good = true;
  if (fstat(fd, &info) != 0)
    good = set_errno(error, FILE_ERROR_OPEN, path, _("cannot be opened"), errno);
  else if (S_ISDIR(info.st_mode))
    good = set_open_error(error, path, _("is a folder; choose a .doorsheet file inside it"));
  good = good && read_all(fd, path, bytes, error);
  close(fd);
  return good ? g_byte_array_free_to_bytes(g_steal_pointer(&bytes)) : NULL;
}

/* --- atomic write --- */

/* Where a path leads once symbolic links are followed; the last one may lead to a file that is not
 * there yet. New string, or NULL with errno. */
static char *
dup_link_target(const char *path)
{
  g_autofree char *current = g_strdup(path);
  for (int links = 0; links < 40; links++) {
    g_autofree char *target = g_file_read_link(current, NULL);
    if (target == NULL)
      return g_steal_pointer(&current); /* no link: a file, or nothing yet */
    char *next;
    if (g_path_is_absolute(target)) {
      next = g_strdup(target);
    } else {
      g_autofree char *folder = g_path_get_dirname(current);
      next = g_build_filename(folder, target, NULL);
    }
    g_free(current);
    current = next;
  }
  errno = ELOOP;
  return NULL;
}

static bool
write_all(int fd, const guint8 *data, gsize size)
{
  while (size > 0) {
    ssize_t n = write(fd, data, MIN(size, (gsize)1 << 20));
    if (n < 0 && errno == EINTR)
      continue;
    if (n <= 0) {
      if (n == 0)
        errno = ENOSPC;
      return false;
    }
    data += n;
    size -= (gsize)n;
  }
  return true;
}

/* A new file beside the target. The kernel applies the umask. */
static int
open_temporary(const char *folder, char **name)
{
  for (int attempt = 0; attempt < 100; attempt++) {
    g_autofree char *base = g_strdup_printf(".doorsheet-%08x.tmp", g_random_int());
    g_autofree char *path = g_build_filename(folder, base, NULL);
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd >= 0) {
      *name = g_steal_pointer(&path);
      return fd;
    }
    if (errno != EEXIST)
      return -1;
  }
  return -1;
}

/* The folder entry itself has to reach the disk, or a power cut brings the old name back. Some
 * file systems refuse it; the data are written by then, so that is no failure. */
static void
sync_folder(const char *folder)
{
  int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0)
    return;
  (void)fsync(fd);
  close(fd);
}

/* Mode and, where permitted, owner of the file that will be replaced. */
static bool
keep_mode(int fd, const struct stat *old)
{
  if (fchown(fd, old->st_uid, old->st_gid) != 0)
    errno = 0; /* only root may give files away; the mode matters more */
  return fchmod(fd, old->st_mode & 07777) == 0;
}

static bool
replace_file(const char *target, const struct stat *old, const void *data, gsize size)
{
  g_autofree char *folder = g_path_get_dirname(target);
  g_autofree char *temporary = NULL;
  int fd = open_temporary(folder, &temporary);
  if (fd < 0)
    return false;
  bool good = write_all(fd, data, size) && (old == NULL || keep_mode(fd, old)) && fsync(fd) == 0;
  int saved = errno;
  if (close(fd) != 0 && good) {
    good = false;
    saved = errno;
  }
  if (good && rename(temporary, target) != 0) {
    good = false;
    saved = errno;
  }
  if (!good) {
    unlink(temporary);
    errno = saved;
    return false;
  }
  sync_folder(folder);
  return true;
}

bool
file_write_atomic(const char *path, const void *data, gsize size, GError **error)
{
  const char *failure = _("cannot be saved, and what was there before is untouched");
  g_autofree char *target = dup_link_target(path);
  if (target == NULL)
    return set_errno(error, FILE_ERROR_WRITE, path, failure, errno);
  struct stat old;
  bool exists = stat(target, &old) == 0;
  if (exists && !S_ISREG(old.st_mode))
    return set_errno(error, FILE_ERROR_WRITE, path, failure,
                     S_ISDIR(old.st_mode) ? EISDIR : EINVAL);
  /* Renaming would get round a write protection that somebody meant. */
  if (exists && access(target, W_OK) != 0)
    return set_errno(error, FILE_ERROR_WRITE, path, failure, errno);
  if (!replace_file(target, exists ? &old : NULL, data, size))
    return set_errno(error, FILE_ERROR_WRITE, path, failure, errno);
  return true;
}
