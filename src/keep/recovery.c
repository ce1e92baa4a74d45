/* SPDX-License-Identifier: MIT */
#include "keep/recovery.h"

#include "diagram/document_file.h"
#include "keep/recovery_folder.h"
#include <errno.h>
#include <fcntl.h>
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

struct Recovery {
  gatomicrefcount references; /* a worker may outlive the window */
  bool freed;
  RecoveryFailed failed;
  gpointer data;
  bool told;    /* of a failure that lasts */
  char *base;   /* NULL: nothing kept yet */
  char *file;   /* set while something is kept */
  int lock;     /* -1: none */
  char *about;  /* what the .ini holds now */
  guint serial; /* counts edits */

  Document *newest; /* to be written by the worker; NULL: it only forces the file to the disk */
  bool dirty;       /* the worker has to run again */

  GMutex mutex;
  GCond done;
  bool running;  /* under the mutex: the worker is at work */
  bool renaming; /* under the mutex: ... and will put a file in place */
};

typedef struct {
  Recovery *recovery;
  Document *snapshot;
  char *file;
  GError *error;
} Job;

static void
recovery_unref(Recovery *recovery)
{
  if (!g_atomic_ref_count_dec(&recovery->references))
    return;
  document_free(recovery->newest);
  g_free(recovery->base);
  g_free(recovery->file);
  g_free(recovery->about);
  g_mutex_clear(&recovery->mutex);
  g_cond_clear(&recovery->done);
  g_free(recovery);
}

Recovery *
recovery_new(RecoveryFailed failed, gpointer data)
{
  Recovery *recovery = g_new0(Recovery, 1);
  g_atomic_ref_count_init(&recovery->references);
  recovery->failed = failed;
  recovery->data = data;
  recovery->lock = -1;
  g_mutex_init(&recovery->mutex);
  g_cond_init(&recovery->done);
  return recovery;
}

static void
tell(Recovery *recovery, const GError *error)
{
  if (error == NULL) {
    recovery->told = false;
    return;
  }
  if (!recovery->told && !recovery->freed && recovery->failed != NULL)
    recovery->failed(error, recovery->data);
  recovery->told = true;
}

/* --- the worker --- */

static void start_worker(Recovery *recovery);

static void
job_free(gpointer data)
{
  Job *job = data;
  recovery_unref(job->recovery);
  document_free(job->snapshot);
  g_free(job->file);
  g_clear_error(&job->error);
  g_free(job);
}

static void
force_to_disk(const char *file)
{
  int fd = open(file, O_RDONLY | O_CLOEXEC);
  if (fd < 0)
    return; /* cleared meanwhile */
  (void)fsync(fd);
  close(fd);
}

static void
job_run(GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  (void)source;
  (void)cancellable;
  Job *job = data;
  Recovery *recovery = job->recovery;
  if (job->snapshot != NULL) {
    g_autoptr(GBytes) bytes = document_write_memory(job->snapshot);
    gsize size;
    const void *text = g_bytes_get_data(bytes, &size);
    file_write_atomic(job->file, text, size, &job->error);
  } else {
    force_to_disk(job->file);
  }
  g_mutex_lock(&recovery->mutex);
  recovery->running = recovery->renaming = false;
  g_cond_broadcast(&recovery->done);
  g_mutex_unlock(&recovery->mutex);
  g_task_return_boolean(task, TRUE);
}

static void
job_done(GObject *source, GAsyncResult *result, gpointer user_data)
{
  (void)source;
  (void)user_data;
  Job *job = g_task_get_task_data(G_TASK(result));
  Recovery *recovery = job->recovery;
  if (job->snapshot != NULL)
    tell(recovery, job->error);
  if (!recovery->freed && recovery->dirty)
    start_worker(recovery);
}

static bool
is_renaming(Recovery *recovery)
{
  g_mutex_lock(&recovery->mutex);
  bool renaming = recovery->renaming;
  g_mutex_unlock(&recovery->mutex);
  return renaming;
}

static void
start_worker(Recovery *recovery)
{
  g_mutex_lock(&recovery->mutex);
  bool running = recovery->running;
  if (!running) {
    recovery->running = true;
    recovery->renaming = recovery->newest != NULL;
  }
  g_mutex_unlock(&recovery->mutex);
  recovery->dirty = running; /* job_done starts again */
  if (running)
    return;
  Job *job = g_new0(Job, 1);
  g_atomic_ref_count_inc(&recovery->references);
  job->recovery = recovery;
  job->snapshot = g_steal_pointer(&recovery->newest);
  job->file = g_strdup(recovery->file);
  g_autoptr(GTask) task = g_task_new(NULL, NULL, job_done, NULL);
  g_task_set_task_data(task, job, job_free);
  g_task_run_in_thread(task, job_run);
}

static void
wait_for_worker(Recovery *recovery)
{
  g_mutex_lock(&recovery->mutex);
  while (recovery->running)
    g_cond_wait(&recovery->done, &recovery->mutex);
  g_mutex_unlock(&recovery->mutex);
}

/* --- keeping --- */

static bool
keep_about(Recovery *recovery, const char *path, const char *digest, const char *name,
           GError **error)
{
  g_autoptr(GKeyFile) about = g_key_file_new();
  g_key_file_set_string(about, "sheet", "path", path != NULL ? path : "");
  g_key_file_set_string(about, "sheet", "digest", digest != NULL ? digest : "");
  g_key_file_set_string(about, "sheet", "name", name != NULL ? name : "");
  gsize size;
  g_autofree char *text = g_key_file_to_data(about, &size, NULL);
  if (g_strcmp0(text, recovery->about) == 0)
    return true;
  g_autofree char *file = recovery_folder_file(recovery->base, ".ini");
  if (!recovery_folder_write(file, text, size, error))
    return false;
  g_free(recovery->about);
  recovery->about = g_steal_pointer(&text);
  return true;
}

static bool
write_now(Recovery *recovery, const Document *document, GError **error)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const void *text = g_bytes_get_data(bytes, &size);
  return recovery_folder_write(recovery->file, text, size, error);
}

void
recovery_keep(Recovery *recovery, const Document *document, const char *path, const char *digest,
              const char *name)
{
  g_autoptr(GError) error = NULL;
  if (recovery->base == NULL)
    recovery->base = recovery_folder_take_name(&recovery->lock, &error);
  if (recovery->base == NULL || !keep_about(recovery, path, digest, name, &error)) {
    tell(recovery, error);
    return;
  }
  if (recovery->file == NULL)
    recovery->file = recovery_folder_file(recovery->base, ".doorsheet");
  g_clear_pointer(&recovery->newest, document_free);
  guint things = document_device_count(document) + document_conductor_count(document);
  /* An older snapshot must not be put in place after a newer sheet. */
  if (things > RECOVERY_INLINE || is_renaming(recovery)) {
    recovery->newest = document_snapshot(document);
  } else {
    write_now(recovery, document, &error);
    tell(recovery, error);
    if (error != NULL)
      return;
  }
  start_worker(recovery);
}

void
recovery_settle(Recovery *recovery)
{
  wait_for_worker(recovery);
  if (recovery->newest != NULL) {
    g_autoptr(Document) document = g_steal_pointer(&recovery->newest);
    g_autoptr(GError) error = NULL;
    write_now(recovery, document, &error);
    tell(recovery, error);
  }
  recovery->dirty = false;
}

void
recovery_clear(Recovery *recovery)
{
  g_clear_pointer(&recovery->newest, document_free);
  recovery->dirty = false;
  if (recovery->base == NULL)
    return;
  wait_for_worker(recovery);
  recovery_folder_remove(recovery->base, recovery->lock);
  recovery->lock = -1;
  g_clear_pointer(&recovery->base, g_free);
  g_clear_pointer(&recovery->file, g_free);
  g_clear_pointer(&recovery->about, g_free);
}

const char *
recovery_get_file(Recovery *recovery)
{
  return recovery->file;
}

void
recovery_free(Recovery *recovery)
{
  if (recovery == NULL)
    return;
  recovery_clear(recovery);
  recovery->freed = true;
  recovery_unref(recovery);
}
