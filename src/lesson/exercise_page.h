/* SPDX-License-Identifier: MIT */
/* The clipboard's page for a student at an exercise: the symptom, the log of what was measured and
 * done, the answers, repairs that hands make, what power did, and after handing in the points, the
 * safety errors and the explanation. A document is an exercise when its sheet says so
 * (sheet_is_exercise); for any other the page is empty.
 *
 * A reading counts when it has stood for EXERCISE_DWELL_MS: probes on their way do not. Ohms with
 * the switch energized count at once.
 *
 * Signal "save-result": the student wants the result file; whoever asks for a name calls
 * exercise_page_save. */
#pragma once

#include "canvas/session.h"
#include "grade/result_file.h"
#include "grade/watch.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define EXERCISE_DWELL_MS 1000

#define EXERCISE_PAGE_TYPE (exercise_page_get_type())
G_DECLARE_FINAL_TYPE(ExercisePage, exercise_page, DOORSHEET, EXERCISE_PAGE, GtkBox)

/* meter: a widget with a property "dial" that says "volts", "ohms" or "amps". Once. */
ExercisePage *exercise_page_new(Session *session, GtkWidget *meter);

/* An exercise is open here. */
bool exercise_page_is_active(ExercisePage *page);
bool exercise_page_is_handed_in(ExercisePage *page);
/* What has been logged; NULL without an exercise. Borrowed. */
const Attempt *exercise_page_get_attempt(ExercisePage *page);
/* Takes the reading that stands now without waiting. */
void exercise_page_settle(ExercisePage *page);
/* Proposed name of the result file, new string; NULL before handing in. */
char *exercise_page_dup_name(ExercisePage *page);
bool exercise_page_save(ExercisePage *page, const char *path, GError **error);

G_END_DECLS
