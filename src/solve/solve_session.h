/* SPDX-License-Identifier: MIT */
/* A solver that remembers the last circuit's pattern. When only values changed (volts, ohms,
 * watts; no joint opened, no device added) the next solution skips nets, numbering and ordering
 * and refactors with the old pivots. A session belongs to one thread at a time. */
#pragma once

#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct SolveSession SolveSession;

SolveSession *solve_session_new(void);
void solve_session_free(SolveSession *session);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(SolveSession, solve_session_free)

/* As solution_new_warm; the session may be used again for any circuit. `before` may be NULL. */
Solution *solve_session_solve(SolveSession *session, const Circuit *circuit, const Solution *before,
                              GError **error);
/* How often the pattern was made anew, and how often it was reused. */
guint solve_session_rebuilds(const SolveSession *session);
guint solve_session_reuses(const SolveSession *session);

G_END_DECLS
