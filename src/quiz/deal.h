/* SPDX-License-Identifier: MIT */
/* Versions of a sound diagram with faults dealt by seed, each proven fair before it is handed out:
 * the same diagram, order and seed give the same versions on every machine. */
#pragma once

#include "quiz/fault.h"

G_BEGIN_DECLS

#define DEAL_ERROR (deal_error_quark())
GQuark deal_error_quark(void);
typedef enum {
  DEAL_ERROR_NOT_SOUND, /* the diagram has findings of its own */
  DEAL_ERROR_TOO_FEW    /* not that many versions that differ and are fair */
} DealErrorCode;

#define DEAL_MOST_FAULTS 5
#define DEAL_MOST_VERSIONS 10000

typedef struct {
  guint versions; /* 1..DEAL_MOST_VERSIONS */
  guint faults;   /* in each, 1..DEAL_MOST_FAULTS */
  guint64 seed;
  FaultLevel level; /* none harder; in each at least one as hard, where the diagram has any */
  int topic;        /* FaultTopic, or -1: any */
} DealOrder;

typedef struct {
  const Fault *fault;
  FaultPlace *place; /* owned */
} DealtFault;

typedef struct {
  guint number;      /* from 1 */
  GPtrArray *faults; /* of DealtFault *, in the order they are made */
} DealtVersion;
void deal_version_free(DealtVersion *version);

/* The versions (DealtVersion *), or NULL with an error that says how many there are and why others
 * were not dealt. */
GPtrArray *deal_versions(const FaultScene *scene, const DealOrder *order, GError **error);

/* Makes the version's faults in the document, one undo step each. The document is the sound one of
 * the scene; on an error it is as before. */
bool deal_make(const DealtVersion *version, const FaultScene *scene, Document *document,
               GError **error);

/* NULL when fair, else a new sentence: the faults can be made together, each shows its finding and
 * would be missed, no two share a finding, and nothing else is found above NOTICE but what is
 * listed to follow. */
char *deal_why_unfair(const DealtVersion *version, const FaultScene *scene);

G_END_DECLS
