/* SPDX-License-Identifier: MIT */
/* The student's answer on the exercise page: a place, a topic, a fault of the catalogue, and what
 * was named so far. It keeps nothing: what is named and taken back is told to the owner. */
#pragma once

#include "grade/attempt.h"
#include "quiz/fault.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

typedef struct ExerciseAnswer ExerciseAnswer;

typedef struct {
  void (*name)(const char *place, const Fault *fault, gpointer data);
  void (*take_back)(guint answer, gpointer data);
} ExerciseAnswerCalls;

/* Built into the box; free before the box goes. calls: static. */
ExerciseAnswer *exercise_answer_new(GtkBox *into, const ExerciseAnswerCalls *calls, gpointer data);
void exercise_answer_free(ExerciseAnswer *answer);
/* "T1", "conductor 101"; NULL: not one thing is selected. */
void exercise_answer_set_place(ExerciseAnswer *answer, const char *place);
/* Lists what stands. */
void exercise_answer_show(ExerciseAnswer *answer, const Attempt *attempt);

G_END_DECLS
