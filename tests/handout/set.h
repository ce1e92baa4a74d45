/* SPDX-License-Identifier: MIT */
/* A sound sample with its evidence, and versions of it, for the tests of hand-outs. */
#pragma once

#include "quiz/deal.h"

G_BEGIN_DECLS

typedef struct {
  Document *document;
  Inspection *sound;
  FaultScene *scene;
  Evidence *evidence;
} Master;

Master master_open(const char *sample); /* "pump-208" */
void master_close(Master *master);
/* One fault at its first place, judged; NULL where it has none. *deal gets a set of that version
 * alone. */
DealtVersion *master_version(const Master *master, const Fault *fault, Deal *deal);

G_END_DECLS
