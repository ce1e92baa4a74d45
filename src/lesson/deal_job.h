/* SPDX-License-Identifier: MIT */
/* A set being dealt beside the main loop, by the function the command line uses (handout_deal). */
#pragma once

#include "handout/handout.h"

G_BEGIN_DECLS

typedef struct DealJob DealJob;

/* Both in the main loop. deal NULL: error says why not; both are lent. */
typedef void (*DealJobProgress)(HandoutStage stage, guint done, guint total, gpointer data);
typedef void (*DealJobDone)(const Deal *deal, const GError *error, gpointer data);

/* Everything is copied; the master is snapshotted. */
DealJob *deal_job_new(const Document *master, const DealOrder *order, const char *folder,
                      const HandoutOptions *options, DealJobProgress progress, DealJobDone done,
                      gpointer data);
/* done comes with G_IO_ERROR_CANCELLED; versions written so far stay. */
void deal_job_cancel(DealJob *job);
/* Cancels what is under way and calls nobody any more. */
void deal_job_free(DealJob *job);

G_END_DECLS
