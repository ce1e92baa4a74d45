/* SPDX-License-Identifier: MIT */
#include "lesson/deal_job.h"

#include <gio/gio.h>

#define LOOK_MS 80 /* how often the main loop looks how far it is */

struct DealJob {
  gint references; /* the owner's and the task's */
  Document *master;
  DealOrder order;
  HandoutOptions options;
  char *folder, *paper, *language, *date, *lesson;
  GCancellable *cancellable;
  gint stage, done_count, total; /* atomic: from the worker */
  guint look;                    /* source */
  DealJobProgress progress;
  DealJobDone done; /* NULL: the owner has gone */
  gpointer data;
};

static void
unref(DealJob *job)
{
  if (!g_atomic_int_dec_and_test(&job->references))
    return;
  document_free(job->master);
  g_object_unref(job->cancellable);
  g_free(job->folder);
  g_free(job->paper);
  g_free(job->language);
  g_free(job->date);
  g_free(job->lesson);
  g_free(job);
}

static void
on_progress(HandoutStage stage, guint done, guint total, gpointer data)
{
  DealJob *job = data;
  g_atomic_int_set(&job->stage, (gint)stage);
  g_atomic_int_set(&job->total, (gint)total);
  g_atomic_int_set(&job->done_count, (gint)done);
}

static void
run(GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  (void)source;
  DealJob *job = data;
  GError *error = NULL;
  Deal *deal = handout_deal(job->master, &job->order, job->folder, &job->options, on_progress, job,
                            cancellable, &error);
  if (deal != NULL)
    g_task_return_pointer(task, deal, (GDestroyNotify)deal_free);
  else
    g_task_return_error(task, error);
}

static gboolean
on_look(gpointer data)
{
  DealJob *job = data;
  if (job->progress != NULL)
    job->progress((HandoutStage)g_atomic_int_get(&job->stage),
                  (guint)g_atomic_int_get(&job->done_count), (guint)g_atomic_int_get(&job->total),
                  job->data);
  return G_SOURCE_CONTINUE;
}

static void
finished(GObject *source, GAsyncResult *async, gpointer data)
{
  (void)source;
  DealJob *job = data;
  g_autoptr(GError) error = NULL;
  g_autoptr(Deal) deal = g_task_propagate_pointer(G_TASK(async), &error);
  g_clear_handle_id(&job->look, g_source_remove);
  if (job->done != NULL)
    job->done(deal, error, job->data);
  unref(job);
}

DealJob *
deal_job_new(const Document *master, const DealOrder *order, const char *folder,
             const HandoutOptions *options, DealJobProgress progress, DealJobDone done,
             gpointer data)
{
  DealJob *job = g_new0(DealJob, 1);
  *job = (DealJob){.references = 2,
                   .master = document_snapshot(master),
                   .order = *order,
                   .options = *options,
                   .folder = g_strdup(folder),
                   .paper = g_strdup(options->sheet.paper),
                   .language = g_strdup(options->sheet.language),
                   .date = g_strdup(options->sheet.date),
                   .lesson = g_strdup(options->lesson),
                   .cancellable = g_cancellable_new(),
                   .progress = progress,
                   .done = done,
                   .data = data};
  job->options.sheet.paper = job->paper;
  job->options.sheet.language = job->language;
  job->options.sheet.date = job->date;
  job->options.lesson = job->lesson;
  job->look = g_timeout_add(LOOK_MS, on_look, job);
  g_autoptr(GTask) task = g_task_new(NULL, job->cancellable, finished, job);
  g_task_set_check_cancellable(task, FALSE); /* what was written whole counts as done */
  g_task_set_task_data(task, job, NULL);
  g_task_run_in_thread(task, run);
  return job;
}

void
deal_job_cancel(DealJob *job)
{
  g_cancellable_cancel(job->cancellable);
}

void
deal_job_free(DealJob *job)
{
  if (job == NULL)
    return;
  job->done = NULL;
  g_clear_handle_id(&job->look, g_source_remove);
  g_cancellable_cancel(job->cancellable);
  unref(job);
}
