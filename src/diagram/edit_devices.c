/* SPDX-License-Identifier: MIT */
/* Placing, moving, turning, deleting and copying whole devices. */
#include "diagram/edit_private.h"

#include "base/language.h"

#include <string.h>

Change *
edit_place(const Document *document, const PartKind *kind, Point at, char **id)
{
  g_autofree char *own_id = document_free_id(document, kind->designation);
  g_autoptr(Device) device = device_new(kind, own_id);
  device->placement.at = edit_place_point(at);
  g_autofree char *title = g_strdup_printf(_("Place %s"), own_id);
  Change *change = change_new(title);
  change_device(change, NULL, device);
  if (id != NULL)
    *id = g_steal_pointer(&own_id);
  return change;
}

/* One rigid movement of the sheet. */
typedef struct {
  Point by;      /* then moved by */
  Point about;   /* mirrored and turned about */
  int turns;     /* quarter turns clockwise */
  bool mirrored; /* left to right, before turning */
} Motion;

static Point
motion_point(const Motion *motion, Point point)
{
  Placement placement = {point_add(motion->about, motion->by), motion->turns, motion->mirrored};
  return edit_place_point(placement_apply(placement, point_sub(point, motion->about)));
}

static void
motion_device(const Motion *motion, Device *device)
{
  Placement *placement = &device->placement;
  placement->at = motion_point(motion, placement->at);
  if (motion->mirrored) { /* mirror after turn = opposite turn after mirror */
    placement->turns = (4 - placement->turns) & 3;
    placement->mirrored = !placement->mirrored;
  }
  placement->turns = (placement->turns + motion->turns) & 3;
}

static void
motion_via(const Motion *motion, Conductor *conductor)
{
  for (guint i = 0; i < conductor->via->len; i++) {
    Point *point = &g_array_index(conductor->via, Point, i);
    *point = motion_point(motion, *point);
  }
}

/* How many ends of conductors lie on these devices. */
static guint
count_ends(const Document *document, const GPtrArray *devices)
{
  guint ends = 0;
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    for (guint j = 0; j < device_terminal_count(device); j++)
      ends += document_landings(document, device->id, device_terminal(device, j)->name);
  }
  return ends;
}

static GHashTable *
id_set(const GPtrArray *devices)
{
  GHashTable *set = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < devices->len; i++)
    g_hash_table_add(set, ((Device *)devices->pdata[i])->id);
  return set;
}

static bool
lies_within(GHashTable *ids, const Conductor *conductor)
{
  return g_hash_table_contains(ids, conductor->from.device) &&
         g_hash_table_contains(ids, conductor->to.device);
}

static Change *
move_all(const Document *document, const GPtrArray *devices, const Motion *motion, EditVerb verb)
{
  g_autofree char *title = edit_title(verb, devices);
  Change *change = change_new(title);
  for (guint i = 0; i < devices->len; i++) {
    const Device *before = devices->pdata[i];
    g_autoptr(Device) after = device_copy(before);
    motion_device(motion, after);
    if (!device_equal(before, after))
      change_device(change, before, after);
  }
  g_autoptr(GHashTable) ids = id_set(devices);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *before = document_conductor(document, i);
    if (before->via->len == 0 || !lies_within(ids, before))
      continue;
    g_autoptr(Conductor) after = conductor_copy(before);
    motion_via(motion, after);
    if (!conductor_equal(before, after))
      change_conductor(change, before, after);
  }
  return change;
}

Change *
edit_move(const Document *document, const char *const *ids, Point by)
{
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  Motion motion = {.by = by};
  return move_all(document, devices, &motion, EDIT_MOVE);
}

/* The pivot is the device named first, so that four turns or two mirrorings come back exactly. */
static Point
pivot(const Document *document, const char *const *ids)
{
  for (; ids != NULL && *ids != NULL; ids++) {
    const Device *device = document_find_device(document, *ids);
    if (device != NULL)
      return device->placement.at;
  }
  return (Point){0, 0};
}

Change *
edit_turn(const Document *document, const char *const *ids, int quarter_turns)
{
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  Motion motion = {.about = pivot(document, ids), .turns = ((quarter_turns % 4) + 4) % 4};
  return move_all(document, devices, &motion, EDIT_TURN);
}

Change *
edit_mirror(const Document *document, const char *const *ids)
{
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  Motion motion = {.about = pivot(document, ids), .mirrored = true};
  return move_all(document, devices, &motion, EDIT_MIRROR);
}

static char *
delete_title(const Document *document, const GPtrArray *devices, const guint32 *keys, guint n)
{
  if (devices->len > 0 || n != 1)
    return devices->len > 0 ? edit_title(EDIT_DELETE, devices)
                            : g_strdup_printf(_("Delete %u conductors"), n);
  const Conductor *conductor = document_find_conductor(document, keys[0]);
  if (conductor == NULL)
    return g_strdup(_("Delete"));
  g_autofree char *name = conductor_dup_name(conductor);
  return g_strdup_printf(_("Delete %s"), name);
}

/* Conductors that land on a device that goes. The walk ends with the last landing. */
static void
delete_landings(const Document *document, Change *change, const GPtrArray *devices,
                GHashTable *gone)
{
  guint ends = count_ends(document, devices);
  for (guint i = 0; ends > 0 && i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    guint lost = (guint)g_hash_table_contains(gone, conductor->from.device) +
                 (guint)g_hash_table_contains(gone, conductor->to.device);
    if (lost > 0)
      change_conductor(change, conductor, NULL);
    ends -= lost;
  }
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *measured = document_measured(document, i);
    if ((measured->a.device != NULL && g_hash_table_contains(gone, measured->a.device)) ||
        (measured->b.device != NULL && g_hash_table_contains(gone, measured->b.device)))
      change_measured(change, measured, NULL);
  }
}

Change *
edit_delete(const Document *document, const char *const *ids, const guint32 *keys, guint n)
{
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  g_autoptr(GHashTable) gone = id_set(devices);
  g_autoptr(GHashTable) gone_keys = g_hash_table_new(NULL, NULL);
  g_autofree char *title = delete_title(document, devices, keys, n);
  Change *change = change_new(title);
  for (guint i = 0; i < devices->len; i++)
    change_device(change, devices->pdata[i], NULL);
  delete_landings(document, change, devices, gone);
  for (guint i = 0; i < n; i++) {
    const Conductor *conductor = document_find_conductor(document, keys[i]);
    bool new_key = g_hash_table_add(gone_keys, GUINT_TO_POINTER(keys[i]));
    if (conductor == NULL || !new_key || g_hash_table_contains(gone, conductor->from.device) ||
        g_hash_table_contains(gone, conductor->to.device))
      continue; /* unknown, named twice, or gone with its device */
    change_conductor(change, conductor, NULL);
  }
  return change;
}

/* --- duplicates --- */

/* "FU12" -> "FU"; a name of digits alone takes the kind's letters. New string. */
static char *
id_letters(const Device *device)
{
  size_t length = strlen(device->id);
  while (length > 0 && g_ascii_isdigit(device->id[length - 1]))
    length--;
  return length > 0 && length < 24 ? g_strndup(device->id, length)
                                   : g_strdup(device->kind->designation);
}

/* One copying: from a sheet (the same or another) onto a sheet. */
typedef struct {
  const Document *document; /* that gets the copies */
  const Document *source;
  Motion motion;
  GHashTable *last;   /* letters -> last number given */
  GHashTable *new_id; /* id on the source, borrowed -> id here, owned */
  GHashTable *given;  /* ids given here, borrowed from new_id */
} Copying;

static void
copying_init(Copying *copying, const Document *document, const Document *source, Point by)
{
  *copying = (Copying){
      .document = document,
      .source = source,
      .motion = {.by = by},
      .last = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL),
      .new_id = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, g_free),
      .given = g_hash_table_new(g_str_hash, g_str_equal),
  };
}

static void
copying_clear(Copying *copying)
{
  g_hash_table_unref(copying->last);
  g_hash_table_unref(copying->given);
  g_hash_table_unref(copying->new_id);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Copying, copying_clear)

/* The lowest number free for the device's letters, counting on from what this edit gave already. */
static char *
next_free_id(Copying *copying, const Device *device)
{
  g_autofree char *letters = id_letters(device);
  guint number = GPOINTER_TO_UINT(g_hash_table_lookup(copying->last, letters));
  for (;;) {
    g_autofree char *id = g_strdup_printf("%s%u", letters, ++number);
    if (document_find_device(copying->document, id) != NULL ||
        g_hash_table_contains(copying->given, id))
      continue;
    g_hash_table_insert(copying->last, g_steal_pointer(&letters), GUINT_TO_POINTER(number));
    return g_steal_pointer(&id);
  }
}

static void
give_id(Copying *copying, const Device *device, char *take_id)
{
  g_hash_table_insert(copying->new_id, device->id, take_id);
  g_hash_table_add(copying->given, take_id);
}

/* Those that can keep their id come first, so that no counted one takes it from them. */
static void
give_ids(Copying *copying, const GPtrArray *devices)
{
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    if (document_find_device(copying->document, device->id) == NULL)
      give_id(copying, device, g_strdup(device->id));
  }
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    if (!g_hash_table_contains(copying->new_id, device->id))
      give_id(copying, device, next_free_id(copying, device));
  }
}

/* Designations and wire numbers in use: the same one twice would be a conflict. Borrowed. */
static GHashTable *
designations_of(const Document *document)
{
  GHashTable *used = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < document_device_count(document); i++)
    g_hash_table_add(used, (gpointer)(gintptr)device_designation(document_device(document, i)));
  return used;
}

static GHashTable *
numbers_of(const Document *document)
{
  GHashTable *used = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < document_conductor_count(document); i++)
    g_hash_table_add(
        used, (gpointer)(gintptr)conductor_text(document_conductor(document, i), CONDUCTOR_NUMBER));
  return used;
}

/* References inside the copied group follow the copies; those to the outside stay. A designation
 * that is free here is kept, and what refers to it stays true. */
static void
refer_to_copies(Copying *copying, Device *copy, const GPtrArray *devices, GHashTable *used)
{
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    const char *to = g_hash_table_lookup(copying->new_id, device->id);
    const char *designation = device_designation(device);
    bool kept = strcmp(designation, device->id) != 0 && !g_hash_table_contains(used, designation);
    if (strcmp(to, device->id) != 0)
      edit_rename_references(copy, device->id, to);
    if (!kept && strcmp(to, designation) != 0)
      edit_rename_designation(copy, designation, to);
  }
}

static void
copy_conductors(Copying *copying, Change *change)
{
  g_autoptr(GHashTable) used = numbers_of(copying->document);
  for (guint i = 0; i < document_conductor_count(copying->source); i++) {
    const Conductor *conductor = document_conductor(copying->source, i);
    if (!lies_within(copying->new_id, conductor))
      continue;
    g_autoptr(Conductor) copy = conductor_copy(conductor);
    copy->key = 0;
    char **ends[] = {&copy->from.device, &copy->to.device};
    for (guint j = 0; j < 2; j++) {
      char *id = g_strdup(g_hash_table_lookup(copying->new_id, *ends[j]));
      g_free(*ends[j]);
      *ends[j] = id;
    }
    if (g_hash_table_contains(used, conductor_text(copy, CONDUCTOR_NUMBER)))
      value_set_text(&copy->values[CONDUCTOR_NUMBER], &conductor_fields[CONDUCTOR_NUMBER], NULL,
                     NULL);
    motion_via(&copying->motion, copy);
    change_conductor(change, NULL, copy);
  }
}

static void
copy_devices(Copying *copying, Change *change, const GPtrArray *devices, GPtrArray *new_ids)
{
  g_autoptr(GHashTable) used = designations_of(copying->document);
  for (guint i = 0; i < devices->len; i++) {
    const Device *device = devices->pdata[i];
    g_autoptr(Device) copy = device_copy(device);
    g_free(copy->id);
    copy->id = g_strdup(g_hash_table_lookup(copying->new_id, device->id));
    motion_device(&copying->motion, copy);
    if (device_value_named(copy, "designation") != NULL &&
        g_hash_table_contains(used, device_designation(device)))
      device_set(copy, "designation", NULL, NULL); /* two devices never share one */
    if (edit_has_references(copy))
      refer_to_copies(copying, copy, devices, used);
    device_derive(copy, NULL);
    change_device(change, NULL, copy);
    if (new_ids != NULL)
      g_ptr_array_add(new_ids, g_strdup(copy->id));
  }
  copy_conductors(copying, change);
}

Change *
edit_duplicate(const Document *document, const char *const *ids, Point by, GPtrArray *new_ids)
{
  g_autoptr(GPtrArray) devices = edit_selected(document, ids);
  g_auto(Copying) copying;
  copying_init(&copying, document, document, by);
  give_ids(&copying, devices);
  g_autofree char *title = edit_title(EDIT_DUPLICATE, devices);
  Change *change = change_new(title);
  copy_devices(&copying, change, devices, new_ids);
  return change;
}

Change *
edit_paste(const Document *document, const Document *pasted, Point by, GPtrArray *new_ids)
{
  g_autoptr(GPtrArray) devices = g_ptr_array_new();
  for (guint i = 0; i < document_device_count(pasted); i++)
    g_ptr_array_add(devices, (gpointer)(guintptr)document_device(pasted, i));
  g_auto(Copying) copying;
  copying_init(&copying, document, pasted, by);
  give_ids(&copying, devices);
  g_autofree char *title = edit_title(EDIT_PASTE, devices);
  Change *change = change_new(title);
  copy_devices(&copying, change, devices, new_ids);
  return change;
}
