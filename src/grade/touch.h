/* SPDX-License-Identifier: MIT */
/* What hands did between two states of a diagram, told from the states alone: conductors landed,
 * moved, taken off or replaced, devices replaced, handles thrown. Moving a symbol or a conductor's
 * bends on the paper touches nothing. */
#pragma once

#include "diagram/document.h"
#include "grade/attempt.h"

G_BEGIN_DECLS

typedef struct {
  StepKind kind;     /* STEP_LAND, STEP_REPLACE or STEP_OPERATE */
  char *place;       /* "conductor 101", "FU1" */
  char *text;        /* "Conductor 101 moved from T1.H3 to T1.H4"; translated */
  GArray *terminals; /* of Landing: what was touched, as it was before */
} Touch;

/* Of Touch *, in the order of the documents. Never NULL. */
GPtrArray *touches_new(const Document *before, const Document *after);

/* Fuses and breakers: what a technician replaces. Caps, splices, grounds and test points are
 * material. Others stay as the exercise has them. */
bool touch_is_replaceable(const Device *device);
bool touch_is_material(const Device *device);
/* What nobody sees from outside: whether a fuse is blown, how sound a conductor is. Index of the
 * device's field, or -1. */
int touch_concealed_field(const Device *device);
bool touch_is_blown(const Device *device);

G_END_DECLS
