/* SPDX-License-Identifier: MIT */
/* What is selected in an exercise, on the exercise page: its nameplate as eyes find it
 * (handout/seen.h), and what hands may do with it (grade/repair.h): replace it by a new one, by one
 * with another rating, size or colour, throw its handle, take it off. */
#pragma once

#include "canvas/session.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

typedef struct ExerciseRepairs ExerciseRepairs;

/* Built into the box; free before the box goes. */
ExerciseRepairs *exercise_repairs_new(GtkBox *into, Session *session);
void exercise_repairs_free(ExerciseRepairs *repairs);
/* Selection or diagram are others than before. */
void exercise_repairs_show(ExerciseRepairs *repairs);

/* The one device or conductor that is selected, as a place: "T1", "conductor 101"; a conductor
 * whose number others carry too by its ends. NULL unless it is one thing. New string. */
char *exercise_repairs_dup_place(Session *session);

G_END_DECLS
