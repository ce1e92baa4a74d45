/* SPDX-License-Identifier: MIT */
/* The log of an attempt on the exercise page, newest step first. Steps are only ever added, so that
 * what stands is left alone. */
#pragma once

#include "grade/attempt.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

typedef struct {
  GtkBox *list; /* borrowed */
  guint shown;  /* steps that have their line */
} ExerciseLog;

/* Builds heading and list into the box. */
ExerciseLog exercise_log_new(GtkBox *into);
/* Another attempt: begins empty. */
void exercise_log_restart(ExerciseLog *log);
/* Adds lines for the steps that came since. */
void exercise_log_show(ExerciseLog *log, const Attempt *attempt);

G_END_DECLS
