/* SPDX-License-Identifier: MIT */
#include "keep/disk_mark.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* As the reader of sheets: nothing larger is one. */
#define MOST_BYTES (64 << 20)

struct DiskMark {
  char *path;
  char *digest;
};

static DiskMark *
mark_take(const char *path, char *take_digest)
{
  DiskMark *mark = g_new0(DiskMark, 1);
  mark->path = g_canonicalize_filename(path, NULL);
  mark->digest = take_digest != NULL ? take_digest : g_strdup("");
  return mark;
}

/* Hexadecimal, new; NULL with errno. */
static char *
digest_of(const char *path)
{
  int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
  if (fd < 0)
    return NULL;
  struct stat info;
  if (fstat(fd, &info) != 0 || !S_ISREG(info.st_mode) || info.st_size > MOST_BYTES) {
    close(fd);
    errno = EINVAL;
    return NULL;
  }
  g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
  guint8 block[65536];
  ssize_t n;
  while ((n = read(fd, block, sizeof block)) > 0 || (n < 0 && errno == EINTR))
    if (n > 0)
      g_checksum_update(sum, block, n);
  int saved = errno;
  close(fd);
  errno = saved;
  return n == 0 ? g_strdup(g_checksum_get_string(sum)) : NULL;
}

DiskMark *
disk_mark_new(const char *path)
{
  return mark_take(path, digest_of(path));
}

DiskMark *
disk_mark_new_for_bytes(const char *path, GBytes *bytes)
{
  return mark_take(path, g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes));
}

DiskMark *
disk_mark_new_for_digest(const char *path, const char *digest)
{
  return mark_take(path, g_strdup(digest));
}

void
disk_mark_free(DiskMark *mark)
{
  if (mark == NULL)
    return;
  g_free(mark->path);
  g_free(mark->digest);
  g_free(mark);
}

const char *
disk_mark_get_path(const DiskMark *mark)
{
  return mark->path;
}

const char *
disk_mark_get_digest(const DiskMark *mark)
{
  return mark->digest;
}

DiskState
disk_mark_compare(const DiskMark *mark)
{
  g_autofree char *now = digest_of(mark->path);
  if (now == NULL && (errno == ENOENT || errno == ENOTDIR))
    return *mark->digest == '\0' ? DISK_SAME : DISK_GONE;
  return now != NULL && strcmp(now, mark->digest) == 0 ? DISK_SAME : DISK_CHANGED;
}

/* An administrator may write anywhere; permission bits that forbid everybody are still meant. */
static bool
is_protected(const char *path, const struct stat *info)
{
  return (info->st_mode & 0222) == 0 || access(path, W_OK) != 0;
}

bool
disk_is_read_only(const char *path)
{
  struct stat info;
  if (stat(path, &info) == 0 && is_protected(path, &info))
    return true;
  g_autofree char *real = g_canonicalize_filename(path, NULL);
  char *resolved = realpath(real, NULL); /* saving follows links: their folder counts */
  g_autofree char *folder = g_path_get_dirname(resolved != NULL ? resolved : real);
  free(resolved);
  return stat(folder, &info) == 0 && is_protected(folder, &info);
}

bool
disk_is_same_file(const char *a, const char *b)
{
  struct stat left, right;
  if (stat(a, &left) == 0 && stat(b, &right) == 0)
    return left.st_dev == right.st_dev && left.st_ino == right.st_ino;
  g_autofree char *full_a = g_canonicalize_filename(a, NULL);
  g_autofree char *full_b = g_canonicalize_filename(b, NULL);
  return strcmp(full_a, full_b) == 0;
}
