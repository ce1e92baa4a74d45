/* SPDX-License-Identifier: MIT */
/* Who wants to be told: functions with their data, in the order they came. A listener may leave, add
 * others, or tell anew while it is told; those added meanwhile wait for the next time, those that
 * left are passed over. For one thread. */
#pragma once

#include <glib-object.h>

G_BEGIN_DECLS

/* {0} is nobody. */
typedef struct {
  GArray *entries; /* NULL: nobody */
  guint last;      /* id given out */
} Listeners;

/* Calls the listener by its own type; about is the teller's. */
typedef void (*ListenersCall)(GCallback listener, gpointer about, gpointer data);

/* Returns an id, never 0. */
guint listeners_add(Listeners *listeners, GCallback listener, gpointer data);
void listeners_remove(Listeners *listeners, guint id); /* unknown ids are ignored */
void listeners_tell(Listeners *listeners, ListenersCall call, gpointer about);
void listeners_clear(Listeners *listeners);

G_END_DECLS
