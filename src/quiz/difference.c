/* SPDX-License-Identifier: MIT */
#include "quiz/difference.h"

#include <string.h>

/* What is printed on a conductor or said of where it runs: nothing of it is in the circuit. */
static bool
is_marking(guint field)
{
  return field == CONDUCTOR_NUMBER || field == CONDUCTOR_COLOUR || field == CONDUCTOR_INSULATION ||
         field == CONDUCTOR_RACEWAY || field == CONDUCTOR_BUNDLED || field == CONDUCTOR_WIRING ||
         field == CONDUCTOR_NOTE;
}

static bool
only_marked_otherwise(const Conductor *a, const Conductor *b)
{
  if (!landing_equal(&a->from, &b->from) || !landing_equal(&a->to, &b->to))
    return false;
  for (guint i = 0; i < CONDUCTOR_FIELD_COUNT; i++)
    if (!is_marking(i) && !value_equal(&conductor_fields[i], &a->values[i], &b->values[i]))
      return false;
  return true;
}

static void
see_ends(Difference *difference, const Document *sound, const Conductor *conductor)
{
  const char *const ids[] = {conductor->from.device, conductor->to.device};
  for (gsize i = 0; i < G_N_ELEMENTS(ids); i++) {
    int index = ids[i] != NULL ? document_device_index(sound, ids[i]) : -1;
    if (index >= 0)
      difference->seen_device[index] = true;
  }
}

static void
compare_devices(Difference *difference, const Document *sound, const Document *faulty)
{
  guint n = document_device_count(sound);
  difference->electrical |= n != document_device_count(faulty);
  for (guint i = 0; i < n; i++) {
    bool same = i < document_device_count(faulty) &&
                document_device(sound, i) == document_device(faulty, i);
    difference->seen_device[i] = !same;
    difference->electrical |= !same;
  }
}

static void
compare_conductors(Difference *difference, const Document *sound, const Document *faulty)
{
  g_autoptr(GHashTable) sounds = g_hash_table_new(NULL, NULL); /* key -> index + 1 */
  for (guint i = 0; i < document_conductor_count(sound); i++) {
    difference->conductors[i] = G_MAXUINT;
    g_hash_table_insert(sounds, GUINT_TO_POINTER(document_conductor(sound, i)->key),
                        GUINT_TO_POINTER(i + 1));
  }
  for (guint i = 0; i < document_conductor_count(faulty); i++) {
    const Conductor *now = document_conductor(faulty, i);
    guint at = GPOINTER_TO_UINT(g_hash_table_lookup(sounds, GUINT_TO_POINTER(now->key)));
    const Conductor *before = at > 0 ? document_conductor(sound, at - 1) : NULL;
    if (at > 0)
      difference->conductors[at - 1] = i;
    if (before == now)
      continue;
    see_ends(difference, sound, now);
    difference->electrical |= before == NULL || at - 1 != i || !only_marked_otherwise(before, now);
  }
  for (guint i = 0; i < document_conductor_count(sound); i++) {
    guint at = difference->conductors[i];
    difference->electrical |= at == G_MAXUINT;
    if (at != G_MAXUINT && document_conductor(faulty, at) == document_conductor(sound, i))
      continue;
    difference->seen_conductor[i] = true;
    see_ends(difference, sound, document_conductor(sound, i));
  }
}

void
difference_init(Difference *difference, const Document *sound, const Document *faulty)
{
  guint devices = document_device_count(sound), conductors = document_conductor_count(sound);
  *difference = (Difference){
      .conductors = g_new(guint, conductors + 1),
      .seen_device = g_new0(bool, devices + 1),
      .seen_conductor = g_new0(bool, conductors + 1),
  };
  /* Ambient temperature and the like belong to the sheet. */
  difference->electrical = document_sheet(sound) != document_sheet(faulty);
  compare_devices(difference, sound, faulty);
  compare_conductors(difference, sound, faulty);
}

void
difference_clear(Difference *difference)
{
  g_free(difference->conductors);
  g_free(difference->seen_device);
  g_free(difference->seen_conductor);
}
