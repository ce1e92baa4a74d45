/* SPDX-License-Identifier: MIT */
#include "diagram/contents.h"

#include "base/language.h"

#include "base/text.h"

#include <string.h>

#define MAX_ID 33 /* text_is_name: at most 32 bytes */

static gpointer
ref_conductor(gconstpointer conductor, gpointer unused)
{
  (void)unused;
  return conductor_ref(conductor);
}

static gpointer
ref_measured(gconstpointer measured, gpointer unused)
{
  (void)unused;
  return measured_ref(measured);
}

static gpointer
ref_intended(gconstpointer intended, gpointer unused)
{
  (void)unused;
  return intended_ref(intended);
}

static void
slot_clear(gpointer data)
{
  Slot *slot = data;
  device_unref(slot->device);
  g_free(slot->tallies);
}

static GArray *
slots_new(guint reserve)
{
  GArray *slots = g_array_sized_new(FALSE, FALSE, sizeof(Slot), reserve);
  g_array_set_clear_func(slots, slot_clear);
  return slots;
}

static Tally *
tallies_new(const Device *device)
{
  guint n = device_terminal_count(device);
  return n > 0 ? g_new0(Tally, n) : NULL;
}

static Slot
slot_make(Device *take_device)
{
  return (Slot){take_device, g_str_hash(take_device->id), tallies_new(take_device)};
}

/* --- numbers of ids --- */

static GHashTable *
numbers_new(void)
{
  return g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
}

/* "FU12" -> letters "FU" in the buffer and 12; 0 when it does not end in a plain number. */
static guint
split_id(const char *id, char letters[MAX_ID])
{
  size_t length = strlen(id);
  size_t end = length;
  while (length > 0 && g_ascii_isdigit(id[length - 1]))
    length--;
  if (length == end || id[length] == '0' || end - length > 6 || length >= MAX_ID)
    return 0;
  memcpy(letters, id, length);
  letters[length] = '\0';
  return (guint)g_ascii_strtoull(id + length, NULL, 10);
}

static guint
numbers_next(const Contents *contents, const char *letters)
{
  return MAX(GPOINTER_TO_UINT(g_hash_table_lookup(contents->numbers, letters)), 1);
}

static void
number_taken(Contents *contents, const char *id)
{
  char letters[MAX_ID];
  guint number = split_id(id, letters);
  if (number != 0 && number == numbers_next(contents, letters))
    g_hash_table_insert(contents->numbers, g_strdup(letters), GUINT_TO_POINTER(number + 1));
}

static void
number_freed(Contents *contents, const char *id)
{
  char letters[MAX_ID];
  guint number = split_id(id, letters);
  if (number != 0 && number < numbers_next(contents, letters))
    g_hash_table_insert(contents->numbers, g_strdup(letters), GUINT_TO_POINTER(number));
}

char *
contents_free_id(const Contents *contents, const char *letters)
{
  for (guint number = numbers_next(contents, letters);; number++) {
    g_autofree char *id = g_strdup_printf("%s%u", letters, number);
    if (contents_find(contents, id) < 0)
      return g_steal_pointer(&id);
  }
}

/* --- the store --- */

Contents *
contents_new(PartCatalog catalog)
{
  Contents *contents = g_new0(Contents, 1);
  g_atomic_ref_count_init(&contents->references);
  contents->catalog = catalog;
  contents->sheet = sheet_data_new();
  contents->slots = slots_new(0);
  contents->table_size = 16;
  contents->table = g_new0(guint32, contents->table_size);
  contents->numbers = numbers_new();
  contents->conductors = g_ptr_array_new_with_free_func((GDestroyNotify)conductor_unref);
  contents->measured = g_ptr_array_new_with_free_func((GDestroyNotify)measured_unref);
  contents->intended = g_ptr_array_new_with_free_func((GDestroyNotify)intended_unref);
  return contents;
}

Contents *
contents_copy(const Contents *contents)
{
  Contents *copy = g_new0(Contents, 1);
  g_atomic_ref_count_init(&copy->references);
  copy->catalog = contents->catalog;
  copy->sheet = sheet_data_ref(contents->sheet);
  copy->slots = slots_new(contents->slots->len);
  for (guint i = 0; i < contents->slots->len; i++) {
    const Slot *slot = contents_slot(contents, i);
    Slot twin = {device_ref(slot->device), slot->hash,
                 g_memdup2(slot->tallies, device_terminal_count(slot->device) * sizeof(Tally))};
    g_array_append_val(copy->slots, twin);
  }
  copy->table_size = contents->table_size;
  copy->table = g_memdup2(contents->table, contents->table_size * sizeof(guint32));
  copy->numbers = numbers_new();
  GHashTableIter iter;
  gpointer letters, number;
  g_hash_table_iter_init(&iter, contents->numbers);
  while (g_hash_table_iter_next(&iter, &letters, &number))
    g_hash_table_insert(copy->numbers, g_strdup(letters), number);
  copy->conductors = g_ptr_array_copy(contents->conductors, ref_conductor, NULL);
  copy->measured = g_ptr_array_copy(contents->measured, ref_measured, NULL);
  copy->intended = g_ptr_array_copy(contents->intended, ref_intended, NULL);
  return copy;
}

Contents *
contents_ref(Contents *contents)
{
  g_atomic_ref_count_inc(&contents->references);
  return contents;
}

void
contents_unref(Contents *contents)
{
  if (contents == NULL || !g_atomic_ref_count_dec(&contents->references))
    return;
  sheet_data_unref(contents->sheet);
  g_array_unref(contents->slots);
  g_free(contents->table);
  g_hash_table_unref(contents->numbers);
  g_ptr_array_unref(contents->conductors);
  g_ptr_array_unref(contents->measured);
  g_ptr_array_unref(contents->intended);
  g_free(contents);
}

bool
contents_equal(const Contents *a, const Contents *b)
{
  if (a == b)
    return true;
  if (a->slots->len != b->slots->len || a->conductors->len != b->conductors->len ||
      a->measured->len != b->measured->len || a->intended->len != b->intended->len ||
      !sheet_data_equal(a->sheet, b->sheet))
    return false;
  for (guint i = 0; i < a->slots->len; i++)
    if (!device_equal(contents_slot(a, i)->device, contents_slot(b, i)->device))
      return false;
  for (guint i = 0; i < a->conductors->len; i++)
    if (!conductor_equal(a->conductors->pdata[i], b->conductors->pdata[i]))
      return false;
  for (guint i = 0; i < a->measured->len; i++)
    if (!measured_equal(a->measured->pdata[i], b->measured->pdata[i]))
      return false;
  for (guint i = 0; i < a->intended->len; i++)
    if (!intended_equal(a->intended->pdata[i], b->intended->pdata[i]))
      return false;
  return true;
}

Slot *
contents_slot(const Contents *contents, guint index)
{
  return &g_array_index(contents->slots, Slot, index);
}

int
contents_find(const Contents *contents, const char *id)
{
  guint32 hash = g_str_hash(id);
  guint mask = contents->table_size - 1;
  for (guint i = hash & mask; contents->table[i] != 0; i = (i + 1) & mask) {
    guint position = contents->table[i] - 1;
    const Slot *slot = contents_slot(contents, position);
    if (slot->hash == hash && strcmp(slot->device->id, id) == 0)
      return (int)position;
  }
  return -1;
}

static int
find_key(const GPtrArray *items, guint32 key, guint32 (*key_of)(gconstpointer))
{
  guint low = 0, high = items->len;
  while (low < high) {
    guint middle = low + (high - low) / 2;
    guint32 found = key_of(items->pdata[middle]);
    if (found == key)
      return (int)middle;
    if (found < key)
      low = middle + 1;
    else
      high = middle;
  }
  return -1;
}

static guint32
conductor_key(gconstpointer item)
{
  return ((const Conductor *)item)->key;
}

static guint32
measured_key(gconstpointer item)
{
  return ((const Measured *)item)->key;
}

int
contents_find_conductor(const Contents *contents, guint32 key)
{
  return find_key(contents->conductors, key, conductor_key);
}

int
contents_find_measured(const Contents *contents, guint32 key)
{
  return find_key(contents->measured, key, measured_key);
}

int
contents_find_intended(const Contents *contents, const Intended *intended)
{
  for (guint i = 0; i < contents->intended->len; i++)
    if (contents->intended->pdata[i] == intended)
      return (int)i;
  return -1;
}

Tally *
contents_tally(const Contents *contents, const Landing *landing)
{
  if (landing->device == NULL || landing->terminal == NULL)
    return NULL;
  int index = contents_find(contents, landing->device);
  if (index < 0)
    return NULL;
  const Slot *slot = contents_slot(contents, (guint)index);
  int terminal = device_terminal_index(slot->device, landing->terminal);
  return terminal < 0 ? NULL : &slot->tallies[terminal];
}

char *
contents_explain_landing(const Contents *contents, const Landing *landing)
{
  int index = landing->device != NULL ? contents_find(contents, landing->device) : -1;
  if (index < 0) {
    g_autofree char *shown = text_clean(landing->device != NULL ? landing->device : "GND", 40);
    g_autofree const char **ids = g_new0(const char *, contents->slots->len + 1);
    for (guint i = 0; i < contents->slots->len; i++)
      ids[i] = contents_slot(contents, i)->device->id;
    const char *nearest = text_nearest(shown, ids);
    return nearest != NULL ? g_strdup_printf(_("there is no device \"%s\"; did you mean \"%s\"?"),
                                             shown, nearest)
                           : g_strdup_printf(_("there is no device \"%s\""), shown);
  }
  const Device *device = contents_slot(contents, (guint)index)->device;
  guint n = device_terminal_count(device);
  if (n == 0)
    return g_strdup_printf(_("%s has no terminals"), device->id);
  g_autofree const char **names = g_new0(const char *, n + 1);
  for (guint i = 0; i < n; i++)
    names[i] = device_terminal(device, i)->name;
  g_autofree char *all = g_strjoinv(", ", (char **)names);
  g_autofree char *shown = text_clean(landing->terminal != NULL ? landing->terminal : "", 40);
  return g_strdup_printf(_("%s has no terminal \"%s\"; it has %s"), device->id, shown, all);
}

/* The table keeps at least half its places free, so a search ends soon. */
static void
table_put(Contents *contents, guint position)
{
  guint mask = contents->table_size - 1;
  guint i = contents_slot(contents, position)->hash & mask;
  while (contents->table[i] != 0)
    i = (i + 1) & mask;
  contents->table[i] = position + 1;
}

void
contents_reindex(Contents *contents)
{
  guint size = contents->table_size;
  while (size < 2 * (contents->slots->len + 1))
    size *= 2;
  if (size != contents->table_size) {
    g_free(contents->table);
    contents->table = g_new(guint32, size);
    contents->table_size = size;
  }
  memset(contents->table, 0, size * sizeof(guint32));
  for (guint i = 0; i < contents->slots->len; i++)
    table_put(contents, i);
}

void
contents_append_device(Contents *contents, Device *take_device)
{
  Slot slot = slot_make(take_device);
  number_taken(contents, take_device->id);
  g_array_append_val(contents->slots, slot);
  if (contents->table_size < 2 * (contents->slots->len + 1))
    contents_reindex(contents);
  else
    table_put(contents, contents->slots->len - 1);
}

void
contents_replace_device(Contents *contents, guint index, Device *take_device)
{
  Slot *slot = contents_slot(contents, index);
  Tally *tallies = tallies_new(take_device);
  for (guint i = 0; i < device_terminal_count(take_device); i++) {
    int before = device_terminal_index(slot->device, device_terminal(take_device, i)->name);
    if (before >= 0)
      tallies[i] = slot->tallies[before];
  }
  if (strcmp(slot->device->id, take_device->id) != 0) {
    number_freed(contents, slot->device->id);
    number_taken(contents, take_device->id);
  }
  slot_clear(slot);
  *slot = (Slot){take_device, g_str_hash(take_device->id), tallies};
}

void
contents_remove_devices(Contents *contents, const guint *positions, guint n)
{
  if (n == 0)
    return;
  GArray *slots = contents->slots;
  guint write = positions[0];
  for (guint read = positions[0], next = 0; read < slots->len; read++) {
    if (next < n && positions[next] == read) {
      number_freed(contents, contents_slot(contents, read)->device->id);
      slot_clear(contents_slot(contents, read));
      next++;
    } else {
      *contents_slot(contents, write++) = *contents_slot(contents, read);
    }
  }
  /* The tail now holds bytes that moved down: forget them without clearing. */
  g_array_set_clear_func(slots, NULL);
  g_array_set_size(slots, write);
  g_array_set_clear_func(slots, slot_clear);
}

void
contents_insert_devices(Contents *contents, const guint *positions, Device *const *devices, guint n)
{
  GArray *slots = contents->slots;
  guint read = slots->len, write = slots->len + n;
  g_array_set_size(slots, write);
  for (guint next = n; next > 0;) { /* from the end, so that nothing is overwritten */
    write--;
    if (positions[next - 1] == write) {
      *contents_slot(contents, write) = slot_make(devices[--next]);
      number_taken(contents, devices[next]->id);
    } else
      *contents_slot(contents, write) = *contents_slot(contents, --read);
  }
}

/* Frees one place of the table and moves up what was put behind it because it was taken. */
static void
table_drop(Contents *contents, guint position)
{
  guint mask = contents->table_size - 1;
  guint hole = contents_slot(contents, position)->hash & mask;
  while (contents->table[hole] != position + 1)
    hole = (hole + 1) & mask;
  for (guint i = (hole + 1) & mask; contents->table[i] != 0; i = (i + 1) & mask) {
    guint home = contents_slot(contents, contents->table[i] - 1)->hash & mask;
    if (((i - home) & mask) >= ((i - hole) & mask)) {
      contents->table[hole] = contents->table[i];
      hole = i;
    }
  }
  contents->table[hole] = 0;
}

void
contents_drop_devices(Contents *contents, guint n)
{
  guint first = contents->slots->len - n;
  for (guint i = contents->slots->len; i > first; i--) {
    number_freed(contents, contents_slot(contents, i - 1)->device->id);
    table_drop(contents, i - 1);
  }
  g_array_set_size(contents->slots, first);
}
