/* SPDX-License-Identifier: MIT */
/* Putting a change into the contents and taking it out again. Order: take the old landings off the
 * terminals, change the devices, land the new ones, then change the lists. A device whose terminal
 * still carries a landing cannot lose that terminal. */
#include "diagram/change.h"

#include "base/language.h"

#include <string.h>

/* --- landings --- */

/* Adds `by` to the tallies of both ends. False (and nothing done) when an end is not there. */
static bool
tally_ends(const Contents *contents, const Landing *a, const Landing *b, bool conductors, int by)
{
  const Landing *ends[] = {a, b};
  guint32 *counts[2] = {NULL, NULL};
  for (guint i = 0; i < 2; i++) {
    if (!conductors && ends[i]->device == NULL)
      continue; /* a reading against earth */
    Tally *tally = contents_tally(contents, ends[i]);
    if (tally == NULL)
      return false;
    counts[i] = conductors ? &tally->conductors : &tally->measured;
  }
  for (guint i = 0; i < 2; i++)
    if (counts[i] != NULL)
      *counts[i] += (guint32)by;
  return true;
}

static bool
tally_conductor(const Contents *contents, const Conductor *conductor, int by)
{
  return conductor == NULL || tally_ends(contents, &conductor->from, &conductor->to, true, by);
}

static bool
tally_measured(const Contents *contents, const Measured *measured, int by)
{
  return measured == NULL || tally_ends(contents, &measured->a, &measured->b, false, by);
}

typedef enum { BEFORE, AFTER } Side;

static gpointer
pair_side(const PairList *list, guint index, Side side)
{
  const Pair *pair = &g_array_index(list->pairs, Pair, index);
  return side == BEFORE ? pair->before : pair->after;
}

/* Tallies the first n_conductors and n_measured pairs' values of one side, known to be there. */
static void
tally_known(const Change *change, const Contents *contents, Side side, int by, guint n_conductors,
            guint n_measured)
{
  bool there = true;
  for (guint i = 0; i < n_conductors; i++)
    there = tally_conductor(contents, pair_side(&change->conductors, i, side), by) && there;
  for (guint i = 0; i < n_measured; i++)
    there = tally_measured(contents, pair_side(&change->measured, i, side), by) && there;
  g_return_if_fail(there);
}

static void
tally_side(const Change *change, const Contents *contents, Side side, int by)
{
  tally_known(change, contents, side, by, change->conductors.pairs->len,
              change->measured.pairs->len);
}

static bool
set_landing_error(const Contents *contents, const char *what, const Landing *a, const Landing *b,
                  GError **error)
{
  bool first_is_bad = a->device != NULL && contents_tally(contents, a) == NULL;
  g_autofree char *why = contents_explain_landing(contents, first_is_bad ? a : b);
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING, _("%s cannot land there: %s"), what,
              why);
  return false;
}

/* Lands the after values; on failure takes off again what it landed. */
static bool
land_after(const Change *change, const Contents *contents, GError **error)
{
  for (guint i = 0; i < change->conductors.pairs->len; i++) {
    const Conductor *conductor = pair_side(&change->conductors, i, AFTER);
    if (tally_conductor(contents, conductor, 1))
      continue;
    g_autofree char *name = conductor_dup_name(conductor);
    tally_known(change, contents, AFTER, -1, i, 0);
    return set_landing_error(contents, name, &conductor->from, &conductor->to, error);
  }
  for (guint i = 0; i < change->measured.pairs->len; i++) {
    const Measured *measured = pair_side(&change->measured, i, AFTER);
    if (tally_measured(contents, measured, 1))
      continue;
    tally_known(change, contents, AFTER, -1, change->conductors.pairs->len, i);
    return set_landing_error(contents, _("a measured reading"), &measured->a, &measured->b, error);
  }
  return true;
}

/* What still lands on a terminal that would go: for the error only. */
static char *
dup_holder(const Change *change, const Contents *contents, const Landing *landing)
{
  for (guint i = 0; i < contents->conductors->len; i++) {
    const Conductor *conductor = contents->conductors->pdata[i];
    if ((landing_equal(&conductor->from, landing) || landing_equal(&conductor->to, landing)) &&
        !pair_list_has_before(&change->conductors, conductor))
      return conductor_dup_name(conductor);
  }
  return g_strdup(_("a measured reading"));
}

/* No terminal that still carries something may go. */
static bool
check_terminals_stay(const Change *change, const Contents *contents, GError **error)
{
  for (guint i = 0; i < change->devices.pairs->len; i++) {
    const Pair *pair = &g_array_index(change->devices.pairs, Pair, i);
    const Device *before = pair->before, *after = pair->after;
    if (before == NULL)
      continue;
    bool same = after != NULL && strcmp(before->id, after->id) == 0;
    const Slot *slot = contents_slot(contents, pair->position);
    for (guint j = 0; j < device_terminal_count(before); j++) {
      const char *name = device_terminal(before, j)->name;
      if (slot->tallies[j].conductors + slot->tallies[j].measured == 0 ||
          (same && device_terminal_index(after, name) >= 0))
        continue;
      Landing landing = {before->id, (char *)name};
      g_autofree char *holder = dup_holder(change, contents, &landing);
      g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING,
                  _("%s still lands on %s.%s, which would go; take it off first"), holder,
                  before->id, name);
      return false;
    }
  }
  return true;
}

/* --- devices --- */

/* Replaces in place; true when an id changed and the table is stale. */
static bool
replace_devices(const PairList *list, Contents *contents, Side side)
{
  bool renamed = false;
  for (guint i = 0; i < list->pairs->len; i++) {
    const Pair *pair = &g_array_index(list->pairs, Pair, i);
    const Device *before = pair->before, *after = pair->after;
    if (before == NULL || after == NULL)
      continue;
    renamed = renamed || strcmp(before->id, after->id) != 0;
    contents_replace_device(contents, pair->position, device_ref(side == AFTER ? after : before));
  }
  return renamed;
}

static guint *
removed_positions(const PairList *list)
{
  guint *positions = g_new(guint, MAX(list->removed->len, 1));
  for (guint i = 0; i < list->removed->len; i++)
    positions[i] =
        g_array_index(list->pairs, Pair, g_array_index(list->removed, guint, i)).position;
  return positions;
}

static void
devices_forward(const PairList *list, Contents *contents)
{
  bool stale = replace_devices(list, contents, AFTER);
  if (list->removed->len > 0) {
    g_autofree guint *positions = removed_positions(list);
    contents_remove_devices(contents, positions, list->removed->len);
    stale = true;
  }
  if (stale)
    contents_reindex(contents);
  for (guint i = 0; i < list->pairs->len; i++) {
    const Pair *pair = &g_array_index(list->pairs, Pair, i);
    if (pair->before == NULL && pair->after != NULL)
      contents_append_device(contents, device_ref(pair->after));
  }
}

static void
devices_backward(const PairList *list, Contents *contents)
{
  contents_drop_devices(contents, list->added);
  bool stale = list->removed->len > 0;
  if (stale) {
    g_autofree guint *positions = removed_positions(list);
    g_autofree Device **devices = g_new(Device *, list->removed->len);
    for (guint i = 0; i < list->removed->len; i++)
      devices[i] = device_ref(pair_side(list, g_array_index(list->removed, guint, i), BEFORE));
    contents_insert_devices(contents, positions, devices, list->removed->len);
  }
  if (replace_devices(list, contents, BEFORE) || stale)
    contents_reindex(contents);
}

/* --- conductors, measured readings and intended faults --- */

static void
replace_items(const PairList *list, GPtrArray *items, Side side)
{
  for (guint i = 0; i < list->pairs->len; i++) {
    const Pair *pair = &g_array_index(list->pairs, Pair, i);
    if (pair->before == NULL || pair->after == NULL)
      continue;
    gpointer *place = &items->pdata[pair->position];
    list->unref(*place);
    *place = list->ref(side == AFTER ? pair->after : pair->before);
  }
}

static void
items_forward(const PairList *list, GPtrArray *items)
{
  replace_items(list, items, AFTER);
  if (list->removed->len > 0) {
    g_autofree guint *positions = removed_positions(list);
    guint write = positions[0];
    for (guint read = positions[0], next = 0; read < items->len; read++) {
      if (next < list->removed->len && positions[next] == read) {
        list->unref(items->pdata[read]);
        next++;
      } else {
        items->pdata[write++] = items->pdata[read];
      }
    }
    for (guint i = write; i < items->len; i++)
      items->pdata[i] = NULL; /* moved down; the array must not free it here */
    g_ptr_array_set_size(items, (gint)write);
  }
  for (guint i = 0; i < list->pairs->len; i++) {
    const Pair *pair = &g_array_index(list->pairs, Pair, i);
    if (pair->before == NULL && pair->after != NULL)
      g_ptr_array_add(items, list->ref(pair->after));
  }
}

static void
items_backward(const PairList *list, GPtrArray *items)
{
  g_ptr_array_set_size(items, (gint)(items->len - list->added));
  guint n = list->removed->len;
  if (n > 0) {
    g_autofree guint *positions = removed_positions(list);
    guint read = items->len, write = items->len + n;
    g_ptr_array_set_size(items, (gint)write);
    for (guint next = n; next > 0;) {
      write--;
      if (positions[next - 1] == write) {
        next--;
        items->pdata[write] =
            list->ref(pair_side(list, g_array_index(list->removed, guint, next), BEFORE));
      } else {
        items->pdata[write] = items->pdata[--read];
      }
    }
  }
  replace_items(list, items, BEFORE);
}

/* --- keys --- */

static guint32 *
conductor_key(gpointer value)
{
  return &((Conductor *)value)->key;
}

static guint32 *
measured_key(gpointer value)
{
  return &((Measured *)value)->key;
}

static gpointer
copy_conductor(gconstpointer value)
{
  return conductor_copy(value);
}

static gpointer
copy_measured(gconstpointer value)
{
  return measured_copy(value);
}

/* A new value gets the next key; one that replaces another keeps that one's key. A value that has
 * a key already belongs to a document somewhere and is never touched: it is copied. */
static void
give_keys(PairList *list, guint32 *next_key, guint32 *(*key_of)(gpointer),
          gpointer (*copy)(gconstpointer))
{
  for (guint i = 0; i < list->pairs->len; i++) {
    Pair *pair = &g_array_index(list->pairs, Pair, i);
    if (pair->after == NULL)
      continue;
    guint32 key = pair->before != NULL ? *key_of(pair->before) : (*next_key)++;
    if (*key_of(pair->after) != 0 && *key_of(pair->after) != key) {
      gpointer own = copy(pair->after);
      list->unref(pair->after);
      pair->after = own;
    }
    *key_of(pair->after) = key;
  }
}

static void
change_sheet_data(Contents *contents, const SheetData *data)
{
  SheetData *kept = sheet_data_ref(data);
  sheet_data_unref(contents->sheet);
  contents->sheet = kept;
}

bool
change_forward(Change *change, Contents *contents, guint32 *next_key, GError **error)
{
  tally_side(change, contents, BEFORE, -1);
  if (!check_terminals_stay(change, contents, error)) {
    tally_side(change, contents, BEFORE, 1);
    return false;
  }
  devices_forward(&change->devices, contents);
  if (!land_after(change, contents, error)) {
    devices_backward(&change->devices, contents);
    tally_side(change, contents, BEFORE, 1);
    return false;
  }
  if (next_key != NULL) {
    give_keys(&change->conductors, next_key, conductor_key, copy_conductor);
    give_keys(&change->measured, next_key, measured_key, copy_measured);
  }
  items_forward(&change->conductors, contents->conductors);
  items_forward(&change->measured, contents->measured);
  items_forward(&change->intended, contents->intended);
  if (change->sheet_after != NULL)
    change_sheet_data(contents, change->sheet_after);
  return true;
}

void
change_backward(Change *change, Contents *contents)
{
  tally_side(change, contents, AFTER, -1);
  devices_backward(&change->devices, contents);
  tally_side(change, contents, BEFORE, 1);
  items_backward(&change->conductors, contents->conductors);
  items_backward(&change->measured, contents->measured);
  items_backward(&change->intended, contents->intended);
  if (change->sheet_before != NULL)
    change_sheet_data(contents, change->sheet_before);
}
