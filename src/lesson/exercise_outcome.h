/* SPDX-License-Identifier: MIT */
/* What an exercise answers on its page: what power did, and after handing in the points, the safety
 * errors apart from them, and the explanation. */
#pragma once

#include "canvas/session.h"
#include "grade/score.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

/* list: of Consequence *, worst first; said in the status line too. Empty: what was shown stays. */
void exercise_outcome_power(GtkBox *box, Session *session, const GPtrArray *list);
/* Points, then safety errors, then the lines of the score. */
void exercise_outcome_score(GtkBox *box, const Score *score, const Attempt *attempt);

G_END_DECLS
