/* SPDX-License-Identifier: MIT */
/* The part of the instructor's page in which a fault is chosen: for the device, conductor or
 * terminal that is selected everything the catalogue can do there, narrowed down by words. Enter,
 * a double click or the button marks it. */
#pragma once

#include "lesson/deal_study.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define DEAL_CHOICES_TYPE (deal_choices_get_type())
G_DECLARE_FINAL_TYPE(DealChoices, deal_choices, DOORSHEET, DEAL_CHOICES, GtkBox)

DealChoices *deal_choices_new(Session *session);
/* scene: lent until the next call; NULL: none, busy: it is being found out. */
void deal_choices_show(DealChoices *choices, const DealScene *scene, bool busy);
/* Something else is selected: the places to choose from are others. */
void deal_choices_follow(DealChoices *choices);
/* Chooses the place of that name, nullable, and takes the keyboard. */
void deal_choices_begin(DealChoices *choices, const char *place);

G_END_DECLS
