/* SPDX-License-Identifier: MIT */
#include "base/listeners.h"

#include <stdbool.h>

typedef struct {
  guint id;
  GCallback listener;
  gpointer data;
} Entry;

static int
find(const Listeners *listeners, guint id)
{
  for (guint i = 0; listeners->entries != NULL && i < listeners->entries->len; i++)
    if (g_array_index(listeners->entries, Entry, i).id == id)
      return (int)i;
  return -1;
}

guint
listeners_add(Listeners *listeners, GCallback listener, gpointer data)
{
  const Entry entry = {++listeners->last, listener, data};
  if (listeners->entries == NULL)
    listeners->entries = g_array_new(FALSE, FALSE, sizeof(Entry));
  g_array_append_val(listeners->entries, entry);
  return entry.id;
}

void
listeners_remove(Listeners *listeners, guint id)
{
  int at = find(listeners, id);
  if (at >= 0)
    g_array_remove_index(listeners->entries, (guint)at);
  if (listeners->entries != NULL && listeners->entries->len == 0)
    listeners_clear(listeners);
}

void
listeners_tell(Listeners *listeners, ListenersCall call, gpointer about)
{
  g_autoptr(GArray) told = listeners->entries != NULL ? g_array_copy(listeners->entries) : NULL;
  for (guint i = 0; told != NULL && i < told->len; i++) {
    const Entry *entry = &g_array_index(told, Entry, i);
    if (find(listeners, entry->id) >= 0)
      call(entry->listener, about, entry->data);
  }
}

void
listeners_clear(Listeners *listeners)
{
  g_clear_pointer(&listeners->entries, g_array_unref);
}
