/* SPDX-License-Identifier: MIT */
/* Disjoint sets of 0..n-1 in a plain array: parent[i] is i for the set's representative, which
 * union_join keeps the smallest member. Finding shortens paths (halving): the array changes, the sets
 * do not. */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* n sets of one each; room for one when n is 0. Free with g_free. */
guint *union_singletons(guint n);
guint union_find(guint *parent, guint item);
void union_join(guint *parent, guint a, guint b);
/* Every entry becomes its representative. */
void union_flatten(guint *parent, guint n);

G_END_DECLS
