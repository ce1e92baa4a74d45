/* SPDX-License-Identifier: MIT */
/* From a master to a folder in one step. */
#include "base/language.h"
#include "handout/handout.h"

typedef struct {
  HandoutStageProgress progress; /* nullable */
  gpointer data;
} Report;

static void
on_tried(guint done, guint total, gpointer data)
{
  const Report *report = data;
  report->progress(HANDOUT_TRYING, done, total, report->data);
}

static void
on_dealt(guint done, guint total, gpointer data)
{
  const Report *report = data;
  report->progress(HANDOUT_DEALING, done, total, report->data);
}

static void
on_written(guint done, guint total, gpointer data)
{
  const Report *report = data;
  report->progress(HANDOUT_WRITING, done, total, report->data);
}

static Deal *
deal_and_write(const FaultScene *scene, const DealOrder *order, const char *folder,
               const HandoutOptions *options, Report *report, GCancellable *cancellable,
               GError **error)
{
  const bool heard = report->progress != NULL;
  g_autoptr(Deal) deal = NULL;
  g_autoptr(Evidence) evidence =
      evidence_new_watched(scene, heard ? on_tried : NULL, report, cancellable, error);

  if (evidence == NULL)
    return NULL;
  deal = deal_new_watched(evidence, order, heard ? on_dealt : NULL, report, cancellable, error);
  if (deal == NULL || !handout_write(deal, evidence, folder, options, heard ? on_written : NULL,
                                     report, cancellable, error))
    return NULL;
  return g_steal_pointer(&deal);
}

Deal *
handout_deal(const Document *master, const DealOrder *order, const char *folder,
             const HandoutOptions *options, HandoutStageProgress progress, gpointer data,
             GCancellable *cancellable, GError **error)
{
  Report report = {progress, data};

  /* Fewer versions than ordered are written where the order says so: then what the rest would be
   * called is asked for nothing, which harms nobody. */
  if (!options->replace && !handout_is_free(order->versions, folder, options, error))
    return NULL;
  /* The proof is part of what is written: it has the language of the sheets. */
  const char *before = language_choose(sheet_language(master, &options->sheet));
  g_autoptr(Inspection) sound = inspection_new(master);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  Deal *deal = NULL;
  if (deal_is_sound(scene, error))
    deal = deal_and_write(scene, order, folder, options, &report, cancellable, error);
  language_choose(before);
  return deal;
}
