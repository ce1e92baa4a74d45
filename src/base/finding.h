/* SPDX-License-Identifier: MIT */
/* What a check has found: a sentence, numbers, places, a remedy and a source. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Signal words of ANSI Z535.4, most severe first. */
typedef enum { SIGNAL_DANGER, SIGNAL_WARNING, SIGNAL_CAUTION, SIGNAL_NOTICE } Signal;

typedef struct {
  const char *check; /* static: the check's name, "tap-too-low" */
  const char *title; /* static: "Tap too low for this supply" */
  Signal signal;
  GPtrArray *places;  /* of char *: "T1.H2", "T1", "conductor 101"; owned; may be empty */
  char *message;      /* owned: one or two sentences with the measured and the allowed number */
  char *remedy;       /* owned: what to do, naming the lead, rating or gauge */
  const char *source; /* static: standard and clause, or "common practice" */
} Finding;

const char *signal_word(Signal signal); /* "DANGER", static */

/* places: a NULL-terminated list after remedy. Takes message and remedy. */
Finding *finding_new(const char *check, const char *title, Signal signal, const char *source,
                     char *take_message, char *take_remedy, ...) G_GNUC_NULL_TERMINATED;
void finding_add_place(Finding *finding, const char *format, ...) G_GNUC_PRINTF(2, 3);
void finding_free(Finding *finding);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Finding, finding_free)

/* Most severe first, then by check name, then by first place: a stable order for people and tests.
 */
gint finding_compare(gconstpointer a, gconstpointer b); /* for g_ptr_array_sort */
/* A sheet is sound when nothing above NOTICE was found. findings: GPtrArray of Finding *. */
gboolean findings_sound(const GPtrArray *findings);

G_END_DECLS
