/* SPDX-License-Identifier: MIT */
/* What is asked of a result beyond itself and may take longer than a frame: ohms of many pairs, and
 * the single faults that would explain what was measured. A worker thread finds it out; the newest question wins. Main-thread object. */
#pragma once

#include "canvas/session.h"
#include "quiz/suspects.h"
#include "solve/meter.h"

G_BEGIN_DECLS

typedef struct Study Study;

typedef struct {
  GArray *ohms; /* of MeterReading, locked out, as result->expected_locked; NULL: none */
  GPtrArray *suspects; /* of Suspect *, best first; NULL: nothing to explain */
} StudyAnswer;

/* Called in the main loop; the answer is lent. Not called for a question that a newer one has
 * overtaken, nor after study_free. */
typedef void (*StudyDone)(const StudyAnswer *answer, gpointer data);

Study *study_new(StudyDone done, gpointer data);
void study_free(Study *study);
/* most: so many pairs at most. */
void study_ask(Study *study, SessionResult *result, guint most);

G_END_DECLS
