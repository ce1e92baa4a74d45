/* SPDX-License-Identifier: MIT */
/* Remedies that compute: beside its sentence a finding may carry the edits that clear it, for one
 * command or one button. A finding without them takes a person's judgement. Checks note steps;
 * inspection_remedy makes one reversible change of them. */
#pragma once

#include "checks/survey.h"

G_BEGIN_DECLS

/* Sets a device's field. value NULL: clears it. */
void remedy_set(CheckContext *context, const Finding *finding, guint device, const char *field,
                char *take_value);
void remedy_set_number(CheckContext *context, const Finding *finding, guint device,
                       const char *field, double value, Unit unit);
/* Sets a conductor's field; conductor by index. */
void remedy_wire(CheckContext *context, const Finding *finding, guint conductor, const char *field,
                 char *take_value);
/* Exchanges what lies on two terminals; one of them may be empty. */
void remedy_swap(CheckContext *context, const Finding *finding, guint one, guint two);
/* Gives a lead an insulated closed end of its own. */
void remedy_cap(CheckContext *context, const Finding *finding, guint node);
/* Lands a green conductor from a terminal on a ground of its own. */
void remedy_ground(CheckContext *context, const Finding *finding, guint node);
void remedy_move(CheckContext *context, const Finding *finding, guint device, Point by);

/* Finding * -> GArray of steps. */
GHashTable *remedy_table_new(void);

G_END_DECLS
