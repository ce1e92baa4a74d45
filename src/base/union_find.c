/* SPDX-License-Identifier: MIT */
#include "base/union_find.h"

guint *
union_singletons(guint n)
{
  guint *parent = g_new(guint, MAX(n, 1));
  for (guint i = 0; i < n; i++)
    parent[i] = i;
  return parent;
}

guint
union_find(guint *parent, guint item)
{
  while (parent[item] != item) {
    parent[item] = parent[parent[item]];
    item = parent[item];
  }
  return item;
}

void
union_join(guint *parent, guint a, guint b)
{
  a = union_find(parent, a);
  b = union_find(parent, b);
  if (a < b)
    parent[b] = a;
  else
    parent[a] = b;
}

void
union_flatten(guint *parent, guint n)
{
  for (guint i = 0; i < n; i++)
    parent[i] = union_find(parent, i);
}
