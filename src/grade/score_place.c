/* SPDX-License-Identifier: MIT */
/* Whether what a student points at lies where something else is said to be. */
#include "grade/score_private.h"

#include <string.h>

static bool
same_device(const char *a, const char *b)
{
  gsize n = strcspn(a, "."), m = strcspn(b, ".");
  return n == m && strncmp(a, b, n) == 0;
}

static const Conductor *
conductor_called(const Document *document, const char *name)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *its = conductor_dup_name(conductor);
    if (strcmp(its, name) == 0)
      return conductor;
  }
  return NULL;
}

/* The ends of a conductor: those in the document, or those in its name. */
static void
add_ends(const Document *document, const char *name, GPtrArray *ends)
{
  const Conductor *conductor = conductor_called(document, name);
  if (conductor != NULL) {
    g_ptr_array_add(ends, landing_dup_name(&conductor->from));
    g_ptr_array_add(ends, landing_dup_name(&conductor->to));
    return;
  }
  const char *word = strrchr(name, ' ');
  const char *dash = word != NULL ? strchr(word, '-') : NULL;
  if (dash == NULL)
    return;
  g_ptr_array_add(ends, g_strndup(word + 1, (gsize)(dash - word - 1)));
  g_ptr_array_add(ends, g_strdup(dash + 1));
}

static bool
one_meets(const Document *document, const char *pointed, const char *place)
{
  if (strcmp(pointed, place) == 0)
    return true;
  bool wire_pointed = strchr(pointed, ' ') != NULL, wire_place = strchr(place, ' ') != NULL;
  if (!wire_pointed && !wire_place)
    return same_device(pointed, place);
  if (wire_pointed && wire_place)
    return false;
  g_autoptr(GPtrArray) ends = g_ptr_array_new_with_free_func(g_free);
  add_ends(document, wire_pointed ? pointed : place, ends);
  const char *other = wire_pointed ? place : pointed;
  for (guint i = 0; i < ends->len; i++)
    if (strcmp(ends->pdata[i], other) == 0 ||
        (strchr(other, '.') == NULL && same_device(ends->pdata[i], other)))
      return true;
  return false;
}

bool
score_places_meet(const Document *document, const char *pointed, const char *other)
{
  g_auto(GStrv) places = g_strsplit(other, ", ", -1);
  for (guint i = 0; places[i] != NULL; i++) {
    char *as = strstr(places[i], " as "); /* "conductor 101 as 102" */
    if (as != NULL)
      *as = '\0';
    if (one_meets(document, pointed, places[i]))
      return true;
  }
  return false;
}

bool
score_conductor_meets(const Conductor *conductor, const char *pointed)
{
  g_autofree char *name = conductor_dup_name(conductor);
  g_autofree char *from = landing_dup_name(&conductor->from);
  g_autofree char *to = landing_dup_name(&conductor->to);
  g_autofree char *there = g_strdup_printf("conductor %s-%s", from, to);
  g_autofree char *back = g_strdup_printf("conductor %s-%s", to, from);
  const char *const names[] = {name, from, to, there, back, NULL};
  if (g_strv_contains(names, pointed))
    return true;
  return strpbrk(pointed, " .") == NULL && (same_device(from, pointed) || same_device(to, pointed));
}
