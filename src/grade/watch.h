/* SPDX-License-Identifier: MIT */
/* Watches a student at one exercise and writes the attempt: readings as the meter shows them, the
 * switch, what was touched and whether it was proved dead, what power did. Knows the diagram only
 * as it stands in front of the student. Main-thread object; snapshots what it is given. */
#pragma once

#include "grade/attempt.h"
#include "grade/consequence.h"
#include "solve/meter.h"

G_BEGIN_DECLS

typedef struct Watch Watch;

/* Begins locked out. day: "2026-11-25". */
Watch *watch_new(const Document *exercise, const char *student, const char *day);
void watch_free(Watch *watch);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Watch, watch_free)
/* Borrowed; grows with every call below. */
Attempt *watch_get_attempt(Watch *watch);
bool watch_get_energized(const Watch *watch);

/* A reading between two points; logged. Energized as a high-impedance meter shows it; locked out as
 * the low-impedance tester does with which absence of voltage is tested, so that a ghost is dead.
 * landing device NULL: earth. NULL when a point is not there or the circuit cannot be solved; else
 * the step, borrowed. Ohms while energized, or on live points, are a safety error and read nothing.
 */
const AttemptStep *watch_volts(Watch *watch, double seconds, const Landing *a, const Landing *b);
const AttemptStep *watch_ohms(Watch *watch, double seconds, const Landing *a, const Landing *b);
/* A clamp round the conductor with this key. */
const AttemptStep *watch_amps(Watch *watch, double seconds, guint32 key);

/* The switch. Energizing gives what power does that was not told before (of Consequence *, worst
 * first; owned by the caller; empty: nothing new): each is logged and a safety error. */
GPtrArray *watch_energize(Watch *watch, double seconds);
void watch_lock_out(Watch *watch, double seconds);

/* The student changed the diagram: what was landed, replaced and operated is logged, and what was
 * touched is judged. While energized the answer is as of watch_energize, else empty. by_itself: no
 * hand did it (a fuse opened): nothing is logged or judged. */
GPtrArray *watch_changed(Watch *watch, double seconds, const Document *document, bool by_itself);

/* The student names a fault; it stands until taken back. title: for the log. */
void watch_name(Watch *watch, double seconds, const char *place, const char *fault,
                const char *title);
void watch_take_back(Watch *watch, guint answer);

/* Whether the terminal has been proved dead since the last lock-out: a reading of less than 1 V
 * was taken from its metal to other metal. proved: with a meter that read a live source before and
 * after, where the diagram keeps one live while locked out. */
bool watch_is_verified(Watch *watch, const Landing *terminal, bool *proved);

G_END_DECLS
