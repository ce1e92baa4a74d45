/* SPDX-License-Identifier: MIT */
/* What the catalogue can do to a master, and whether the faults marked on it make fair versions.
 * A worker thread finds it out: first where faults fit, which is quick, then what each of them
 * shows, which is not. The newest edit wins; as long as only marks change, what was found of the
 * diagram is kept. Main-thread object. */
#pragma once

#include "canvas/session.h"
#include "quiz/deal.h"

G_BEGIN_DECLS

/* A fault at a place. Borrowed from its scene. */
typedef struct {
  const Fault *fault;
  const FaultPlace *place;
  FaultSpot spot;
} DealChoice;

/* A sound diagram with everything that can be marked on it. Counted; never changed once made, but
 * for the evidence, which comes later. */
typedef struct {
  gint references;
  SessionResult *result;
  FaultScene *scene;
  GPtrArray *places;  /* of GPtrArray of FaultPlace *: keeps them */
  GArray *choices;    /* of DealChoice, in the catalogue's order */
  Evidence *evidence; /* NULL until every fault has been tried */
} DealScene;
/* -1: there is none. */
int deal_scene_find(const DealScene *scene, const char *fault, const char *place);

/* Nothing but its marks is other than in the document. */
bool deal_scene_is_of(const DealScene *scene, const Document *document);

typedef struct {
  DealScene *scene; /* NULL: not known yet, or nothing can be marked */
  char *trouble;    /* why nothing can be marked; NULL */
  bool busy;        /* more is to come */
  /* Of the marks that were asked about last: of DealtVersion *, first all of them together, then
   * each by itself; NULL where there is nothing to judge. NULL while busy. */
  GPtrArray *judged;
  char *together; /* why they are not judged together; NULL */
} DealAnswer;

typedef struct DealStudy DealStudy;
/* Called in the main loop whenever the answer is another. */
typedef void (*DealStudyDone)(gpointer data);
DealStudy *deal_study_new(DealStudyDone done, gpointer data);
void deal_study_free(DealStudy *study);
/* result: of the master as it is now, marks included. */
void deal_study_ask(DealStudy *study, SessionResult *result);
/* What is known is of another sheet: forget it. */
void deal_study_forget(DealStudy *study);
const DealAnswer *deal_study_get(const DealStudy *study); /* borrowed until the main loop runs */

G_END_DECLS
