/* SPDX-License-Identifier: MIT */
#include "diagram/change.h"

#include "base/language.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static gpointer
pair_ref_device(gconstpointer value)
{
  return device_ref(value);
}

static gpointer
pair_ref_conductor(gconstpointer value)
{
  return conductor_ref(value);
}

static gpointer
pair_ref_measured(gconstpointer value)
{
  return measured_ref(value);
}

static gpointer
pair_ref_intended(gconstpointer value)
{
  return intended_ref(value);
}

static void
pair_unref_device(gpointer value)
{
  device_unref(value);
}

static void
pair_unref_conductor(gpointer value)
{
  conductor_unref(value);
}

static void
pair_unref_measured(gpointer value)
{
  measured_unref(value);
}

static void
pair_unref_intended(gpointer value)
{
  intended_unref(value);
}

static PairList
pair_list_new(gpointer (*ref)(gconstpointer), void (*unref)(gpointer))
{
  return (PairList){
      .pairs = g_array_new(FALSE, FALSE, sizeof(Pair)),
      .ref = ref,
      .unref = unref,
      .removed = g_array_new(FALSE, FALSE, sizeof(guint)),
  };
}

static void
pair_list_settle(PairList *list)
{
  g_clear_pointer(&list->by_after, g_hash_table_unref);
  g_clear_pointer(&list->by_before, g_hash_table_unref);
}

static void
pair_list_clear(PairList *list)
{
  pair_list_settle(list);
  for (guint i = 0; i < list->pairs->len; i++) {
    Pair *pair = &g_array_index(list->pairs, Pair, i);
    list->unref(pair->before);
    list->unref(pair->after);
  }
  g_array_unref(list->pairs);
  g_array_unref(list->removed);
}

Change *
change_new(const char *title)
{
  Change *change = g_new0(Change, 1);
  change->title = g_strdup(title);
  change->devices = pair_list_new(pair_ref_device, pair_unref_device);
  change->conductors = pair_list_new(pair_ref_conductor, pair_unref_conductor);
  change->measured = pair_list_new(pair_ref_measured, pair_unref_measured);
  change->intended = pair_list_new(pair_ref_intended, pair_unref_intended);
  return change;
}

void
change_free(Change *change)
{
  if (change == NULL)
    return;
  pair_list_clear(&change->devices);
  pair_list_clear(&change->conductors);
  pair_list_clear(&change->measured);
  pair_list_clear(&change->intended);
  sheet_data_unref(change->sheet_before);
  sheet_data_unref(change->sheet_after);
  g_free(change->title);
  g_free(change);
}

static bool
pair_list_is_empty(const PairList *list)
{
  for (guint i = 0; i < list->pairs->len; i++) {
    const Pair *pair = &g_array_index(list->pairs, Pair, i);
    if (pair->before != pair->after)
      return false;
  }
  return true;
}

bool
change_is_empty(const Change *change)
{
  return pair_list_is_empty(&change->devices) && pair_list_is_empty(&change->conductors) &&
         pair_list_is_empty(&change->measured) && pair_list_is_empty(&change->intended) &&
         change->sheet_after == change->sheet_before;
}

bool
change_visit(const Change *change, ChangeVisitor visitor, gpointer data)
{
  const PairList *const lists[] = {
      [CHANGE_DEVICE] = &change->devices,
      [CHANGE_CONDUCTOR] = &change->conductors,
      [CHANGE_MEASURED] = &change->measured,
      [CHANGE_INTENDED] = &change->intended,
  };
  for (guint item = 0; item < G_N_ELEMENTS(lists); item++)
    for (guint i = 0; i < lists[item]->pairs->len; i++) {
      const Pair *pair = &g_array_index(lists[item]->pairs, Pair, i);
      if (!visitor((ChangeItem)item, pair->before, pair->after, data))
        return false;
    }
  return change->sheet_before == change->sheet_after ||
         visitor(CHANGE_SHEET, change->sheet_before, change->sheet_after, data);
}

void
change_settle(Change *change)
{
  pair_list_settle(&change->devices);
  pair_list_settle(&change->conductors);
  pair_list_settle(&change->measured);
  pair_list_settle(&change->intended);
}

#define FEW_PAIRS 8 /* up to here a walk is as fast as a table */

/* Index + 1 of the pair with this before value, or 0. */
static guint
find_before(const PairList *list, gconstpointer value)
{
  if (list->by_before != NULL)
    return GPOINTER_TO_UINT(g_hash_table_lookup(list->by_before, value));
  for (guint i = 0; i < list->pairs->len; i++)
    if (g_array_index(list->pairs, Pair, i).before == value)
      return i + 1;
  return 0;
}

static guint
find_after(const PairList *list, gconstpointer value)
{
  if (list->by_after != NULL)
    return GPOINTER_TO_UINT(g_hash_table_lookup(list->by_after, value));
  for (guint i = 0; i < list->pairs->len; i++)
    if (g_array_index(list->pairs, Pair, i).after == value)
      return i + 1;
  return 0;
}

bool
pair_list_has_before(const PairList *list, gconstpointer value)
{
  return find_before(list, value) > 0;
}

static void
index_pair(PairList *list, guint index)
{
  const Pair *pair = &g_array_index(list->pairs, Pair, index);
  if (pair->before != NULL)
    g_hash_table_insert(list->by_before, pair->before, GUINT_TO_POINTER(index + 1));
  if (pair->after != NULL)
    g_hash_table_insert(list->by_after, pair->after, GUINT_TO_POINTER(index + 1));
}

static void
index_new_pair(PairList *list)
{
  guint n = list->pairs->len;
  if (list->by_after != NULL) {
    index_pair(list, n - 1);
  } else if (n > FEW_PAIRS) {
    list->by_after = g_hash_table_new(NULL, NULL);
    list->by_before = g_hash_table_new(NULL, NULL);
    for (guint i = 0; i < n; i++)
      index_pair(list, i);
  }
}

/* Edits are put together from smaller ones: a before value that is an earlier pair's after value
 * continues that pair. A pair that ends with nothing on both sides stays as a blank, so that the
 * indices hold; forward and backward pass over it. */
static void
pair_list_add(PairList *list, gconstpointer before, gconstpointer after, bool *contradictory)
{
  if (before == after)
    return;
  guint earlier = before != NULL ? find_after(list, before) : 0;
  if ((after != NULL && find_after(list, after) > 0) ||
      (before != NULL && earlier == 0 && find_before(list, before) > 0))
    *contradictory = true;
  gpointer kept = after != NULL ? list->ref(after) : NULL;
  if (earlier == 0) {
    Pair pair = {before != NULL ? list->ref(before) : NULL, kept, 0};
    g_array_append_val(list->pairs, pair);
    index_new_pair(list);
    return;
  }
  Pair *pair = &g_array_index(list->pairs, Pair, earlier - 1);
  if (list->by_after != NULL) {
    g_hash_table_remove(list->by_after, before);
    if (kept != NULL)
      g_hash_table_insert(list->by_after, kept, GUINT_TO_POINTER(earlier));
  }
  list->unref(pair->after);
  pair->after = kept;
}

void
change_device(Change *change, const Device *before, const Device *after)
{
  pair_list_add(&change->devices, before, after, &change->contradictory);
}

void
change_conductor(Change *change, const Conductor *before, const Conductor *after)
{
  pair_list_add(&change->conductors, before, after, &change->contradictory);
}

void
change_measured(Change *change, const Measured *before, const Measured *after)
{
  pair_list_add(&change->measured, before, after, &change->contradictory);
}

void
change_intended(Change *change, const Intended *before, const Intended *after)
{
  pair_list_add(&change->intended, before, after, &change->contradictory);
}

void
change_sheet(Change *change, const SheetData *before, const SheetData *after)
{
  g_return_if_fail(before != NULL && after != NULL);
  if (before == after)
    return;
  if (change->sheet_before == NULL)
    change->sheet_before = sheet_data_ref(before);
  else if (before != change->sheet_after)
    change->contradictory = true;
  SheetData *kept = sheet_data_ref(after);
  sheet_data_unref(change->sheet_after);
  change->sheet_after = kept;
}

/* --- finding the before values --- */

static int
locate_device(const Contents *contents, gconstpointer value)
{
  int index = contents_find(contents, ((const Device *)value)->id);
  return index >= 0 && contents_slot(contents, (guint)index)->device == value ? index : -1;
}

static int
locate_conductor(const Contents *contents, gconstpointer value)
{
  int index = contents_find_conductor(contents, ((const Conductor *)value)->key);
  return index >= 0 && contents->conductors->pdata[index] == value ? index : -1;
}

static int
locate_measured(const Contents *contents, gconstpointer value)
{
  int index = contents_find_measured(contents, ((const Measured *)value)->key);
  return index >= 0 && contents->measured->pdata[index] == value ? index : -1;
}

static int
locate_intended(const Contents *contents, gconstpointer value)
{
  return contents_find_intended(contents, value);
}

static gint
compare_positions(gconstpointer a, gconstpointer b, gpointer pairs)
{
  const Pair *first = &g_array_index((GArray *)pairs, Pair, *(const guint *)a);
  const Pair *second = &g_array_index((GArray *)pairs, Pair, *(const guint *)b);
  return first->position < second->position ? -1 : first->position > second->position;
}

static bool
pair_list_locate(PairList *list, const Contents *contents,
                 int (*locate)(const Contents *, gconstpointer))
{
  g_array_set_size(list->removed, 0);
  list->added = 0;
  for (guint i = 0; i < list->pairs->len; i++) {
    Pair *pair = &g_array_index(list->pairs, Pair, i);
    if (pair->before == NULL) {
      list->added += pair->after != NULL;
      continue;
    }
    int position = locate(contents, pair->before);
    if (position < 0)
      return false;
    pair->position = (guint)position;
    if (pair->after == NULL)
      g_array_append_val(list->removed, i);
  }
  g_array_sort_with_data(list->removed, compare_positions, list->pairs);
  return true;
}

/* --- judging the after values --- */

static bool
set_duplicate(GError **error, const char *id)
{
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE,
              _("the sheet already has a device \"%s\"; every device needs a name of its own"), id);
  return false;
}

/* An id must be a name and belong to one device only, once the change is in. */
static bool
check_ids(const Change *change, const Contents *contents, GError **error)
{
  const GArray *pairs = change->devices.pairs;
  g_autoptr(GHashTable) leaving = g_hash_table_new(g_str_hash, g_str_equal);
  g_autoptr(GHashTable) arriving = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < pairs->len; i++) {
    const Pair *pair = &g_array_index(pairs, Pair, i);
    const Device *before = pair->before, *after = pair->after;
    if (before != NULL && (after == NULL || strcmp(before->id, after->id) != 0))
      g_hash_table_add(leaving, before->id);
  }
  for (guint i = 0; i < pairs->len; i++) {
    const Pair *pair = &g_array_index(pairs, Pair, i);
    const Device *before = pair->before, *after = pair->after;
    if (after == NULL || (before != NULL && strcmp(before->id, after->id) == 0))
      continue;
    if (!text_is_name(after->id)) {
      g_autofree char *shown = text_clean(after->id, 40);
      g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE,
                  _("\"%s\" is not a name for a device; expected letters and digits, for example "
                    "\"T1\""),
                  shown);
      return false;
    }
    if (!g_hash_table_add(arriving, after->id))
      return set_duplicate(error, after->id);
    if (contents_find(contents, after->id) >= 0 && !g_hash_table_contains(leaving, after->id))
      return set_duplicate(error, after->id);
  }
  return true;
}

static bool
check_limit(const PairList *list, guint now, guint limit, const char *what, GError **error)
{
  if (now + list->added - list->removed->len <= limit)
    return true;
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LIMIT,
              _("a sheet holds at most %u %s; split the diagram over several sheets"), limit, what);
  return false;
}

static bool
check_ends(const PairList *conductors, GError **error)
{
  for (guint i = 0; i < conductors->pairs->len; i++) {
    const Conductor *conductor = g_array_index(conductors->pairs, Pair, i).after;
    if (conductor != NULL && landing_equal(&conductor->from, &conductor->to)) {
      g_autofree char *name = landing_dup_name(&conductor->from);
      g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LANDING,
                  _("a conductor cannot start and end on the same terminal %s; land its other end "
                    "elsewhere"),
                  name);
      return false;
    }
  }
  return true;
}

static bool
check_point(Point point, const char *what, GError **error)
{
  if (fabs(point.x) <= DOCUMENT_MAX_MM && fabs(point.y) <= DOCUMENT_MAX_MM)
    return true; /* a NaN compares false */
  g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LIMIT,
              _("%s would lie off every sheet; expected coordinates from -%.0f mm to %.0f mm"),
              what, DOCUMENT_MAX_MM, DOCUMENT_MAX_MM);
  return false;
}

/* What a document holds must be fit to be written and read back. */
static bool
check_fit(const Change *change, GError **error)
{
  const GArray *devices = change->devices.pairs, *conductors = change->conductors.pairs;
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = g_array_index(devices, Pair, i).after;
    if (device == NULL)
      continue;
    if (!check_point(device->placement.at, device->id, error) ||
        (device->kind->validate != NULL && !device->kind->validate(device, error)))
      return false;
  }
  for (guint i = 0; i < conductors->len; i++) {
    const Conductor *conductor = g_array_index(conductors, Pair, i).after;
    if (conductor == NULL)
      continue;
    if (conductor->via->len > DOCUMENT_MAX_BENDS) {
      g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LIMIT,
                  _("a conductor has %u bends; expected at most %d"), conductor->via->len,
                  DOCUMENT_MAX_BENDS);
      return false;
    }
    for (guint j = 0; j < conductor->via->len; j++)
      if (!check_point(g_array_index(conductor->via, Point, j), _("a bend"), error))
        return false;
  }
  return true;
}

bool
change_locate(Change *change, const Contents *contents, GError **error)
{
  if (change->contradictory || !pair_list_locate(&change->devices, contents, locate_device) ||
      !pair_list_locate(&change->conductors, contents, locate_conductor) ||
      !pair_list_locate(&change->measured, contents, locate_measured) ||
      !pair_list_locate(&change->intended, contents, locate_intended) ||
      (change->sheet_before != NULL && change->sheet_before != contents->sheet)) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_STALE,
                _("\"%s\" was prepared for an earlier state of the sheet; try again"),
                change->title);
    return false;
  }
  return check_ids(change, contents, error) && check_ends(&change->conductors, error) &&
         check_fit(change, error) &&
         check_limit(&change->devices, contents->slots->len, DOCUMENT_MAX_DEVICES, "devices",
                     error) &&
         check_limit(&change->conductors, contents->conductors->len, DOCUMENT_MAX_CONDUCTORS,
                     "conductors", error) &&
         check_limit(&change->measured, contents->measured->len, DOCUMENT_MAX_CONDUCTORS,
                     _("measured readings"), error) &&
         check_limit(&change->intended, contents->intended->len, DOCUMENT_MAX_INTENDED,
                     _("intended faults"), error);
}
