/* SPDX-License-Identifier: MIT */
#include "canvas/listing_rows.h"
#include "base/language.h"
#include "base/text.h"
#include <string.h>

struct _ListingRows {
  GObject parent;
  Session *session;
  GPtrArray *list;            /* of ListingRow */
  GHashTable *conductors;     /* device id: GArray of guint, indexes into the document */
  GHashTable *findings;       /* device id or name of a conductor: GPtrArray of Finding, borrowed */
  SessionResult *findings_of; /* what they are borrowed from */
};

static void model_init(GListModelInterface *interface);

G_DEFINE_FINAL_TYPE(ListingRow, listing_row, G_TYPE_OBJECT)
G_DEFINE_FINAL_TYPE_WITH_CODE(ListingRows, listing_rows, G_TYPE_OBJECT,
                              G_IMPLEMENT_INTERFACE(G_TYPE_LIST_MODEL, model_init))

/* --- a row --- */

static void
listing_row_finalize(GObject *object)
{
  ListingRow *row = DOORSHEET_LISTING_ROW(object);
  g_free(row->device);
  g_free(row->terminal);
  g_free(row->finding);
  g_clear_pointer(&row->places, g_ptr_array_unref);
  G_OBJECT_CLASS(listing_row_parent_class)->finalize(object);
}

static void
listing_row_class_init(ListingRowClass *class)
{
  G_OBJECT_CLASS(class)->finalize = listing_row_finalize;
}

static void
listing_row_init(ListingRow *row)
{
  (void)row;
}

static ListingRow *
row_new(ListingKind kind, const char *device)
{
  ListingRow *row = g_object_new(LISTING_ROW_TYPE, NULL);
  row->kind = kind;
  row->device = g_strdup(device);
  return row;
}

static bool
same_row(const ListingRow *a, const ListingRow *b)
{
  return a->kind == b->kind && a->conductor == b->conductor && strcmp(a->device, b->device) == 0 &&
         g_strcmp0(a->terminal, b->terminal) == 0 && g_strcmp0(a->finding, b->finding) == 0;
}

/* --- what lands where, and what was found where: made when first asked for --- */

static void
add_index(GHashTable *table, const char *device, guint index)
{
  GArray *list = g_hash_table_lookup(table, device);
  if (list == NULL) {
    list = g_array_new(FALSE, FALSE, sizeof(guint));
    g_hash_table_insert(table, g_strdup(device), list);
  }
  if (list->len == 0 || g_array_index(list, guint, list->len - 1) != index)
    g_array_append_val(list, index);
}

static const GArray *
conductors_of(ListingRows *rows, const char *device)
{
  const Document *document = session_get_document(rows->session);
  if (rows->conductors == NULL) {
    rows->conductors =
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_array_unref);
    for (guint i = 0; i < document_conductor_count(document); i++) {
      const Conductor *conductor = document_conductor(document, i);
      if (conductor->from.device != NULL)
        add_index(rows->conductors, conductor->from.device, i);
      if (conductor->to.device != NULL)
        add_index(rows->conductors, conductor->to.device, i);
    }
  }
  return g_hash_table_lookup(rows->conductors, device);
}

static void
add_finding(GHashTable *table, const char *place, Finding *finding)
{
  g_autofree char *device = NULL, *terminal = NULL;
  const char *key = text_split_terminal(place, &device, &terminal) ? device : place;
  GPtrArray *list = g_hash_table_lookup(table, key);
  if (list == NULL) {
    list = g_ptr_array_new();
    g_hash_table_insert(table, g_strdup(key), list);
  }
  if (list->len == 0 || list->pdata[list->len - 1] != finding)
    g_ptr_array_add(list, finding);
}

/* NULL: nothing found there, nothing known yet, or an exercise, where finding is the student's. */
static const GPtrArray *
findings_at(ListingRows *rows, const char *place)
{
  if (sheet_is_exercise(document_sheet(session_get_document(rows->session))))
    return NULL;
  if (rows->findings == NULL) {
    rows->findings =
        g_hash_table_new_full(g_str_hash, g_str_equal, g_free, (GDestroyNotify)g_ptr_array_unref);
    if (session_is_fresh(rows->session))
      rows->findings_of = session_result_ref(session_get_result(rows->session));
    const GPtrArray *all =
        rows->findings_of != NULL ? rows->findings_of->inspection->findings : NULL;
    for (guint i = 0; all != NULL && i < all->len; i++) {
      Finding *finding = all->pdata[i];
      for (guint p = 0; p < finding->places->len; p++)
        add_finding(rows->findings, finding->places->pdata[p], finding);
    }
  }
  return g_hash_table_lookup(rows->findings, place);
}

static void
forget(ListingRows *rows)
{
  g_clear_pointer(&rows->conductors, g_hash_table_unref);
  g_clear_pointer(&rows->findings, g_hash_table_unref);
  g_clear_pointer(&rows->findings_of, session_result_unref);
}

/* --- rows of a device --- */

/* Takes the row over; one that was there and stands for the same goes in its place. */
static void
add_child(GPtrArray *next, GPtrArray *old, ListingRow *take_row)
{
  for (guint i = 0; i < old->len; i++)
    if (same_row(old->pdata[i], take_row)) {
      g_ptr_array_add(next, g_object_ref(old->pdata[i]));
      g_object_unref(take_row);
      return;
    }
  g_ptr_array_add(next, take_row);
}

static void
add_landings(ListingRows *rows, const Device *device, guint terminal, GPtrArray *next,
             GPtrArray *old)
{
  const Document *document = session_get_document(rows->session);
  const char *name = device_terminal(device, terminal)->name;
  const GArray *indexes = conductors_of(rows, device->id);
  bool landed = false;
  for (guint i = 0; indexes != NULL && i < indexes->len; i++) {
    const Conductor *conductor = document_conductor(document, g_array_index(indexes, guint, i));
    const Landing *ends[] = {&conductor->from, &conductor->to};
    for (guint e = 0; e < 2; e++) {
      if (g_strcmp0(ends[e]->device, device->id) != 0 || g_strcmp0(ends[e]->terminal, name) != 0)
        continue;
      ListingRow *row = row_new(LISTING_LANDING, device->id);
      row->terminal = g_strdup(name);
      row->conductor = conductor->key;
      add_child(next, old, row);
      landed = true;
    }
  }
  if (landed)
    return;
  ListingRow *row = row_new(LISTING_LANDING, device->id);
  row->terminal = g_strdup(name);
  add_child(next, old, row);
}

static void
add_children(ListingRows *rows, const Device *device, GPtrArray *next, GPtrArray *old)
{
  const GPtrArray *found = findings_at(rows, device->id);
  for (guint i = 0; found != NULL && i < found->len; i++) {
    const Finding *finding = found->pdata[i];
    ListingRow *row = row_new(LISTING_FINDING, device->id);
    row->finding = g_strdup_printf("%s. %s. %s", signal_word(finding->signal), finding->title,
                                   finding->message);
    row->places = g_ptr_array_ref(finding->places);
    add_child(next, old, row);
  }
  for (guint t = 0; t < device_terminal_count(device); t++)
    add_landings(rows, device, t, next, old);
}

/* --- following --- */

/* The device's row as it was, with the children it had (borrowed, into old). */
static ListingRow *
row_before(ListingRows *rows, const char *id, guint *hint, GPtrArray *old)
{
  g_ptr_array_set_size(old, 0);
  guint n = rows->list->len;
  /* Mostly the next one in order; else it is looked for from the start. */
  for (guint round = 0; round < 2; round++)
    for (guint i = round == 0 ? *hint : 0; i < (round == 0 ? MIN(*hint + 1, n) : n); i++) {
      ListingRow *row = rows->list->pdata[i];
      if (row->kind != LISTING_DEVICE || strcmp(row->device, id) != 0)
        continue;
      for (i++; i < n && ((ListingRow *)rows->list->pdata[i])->kind != LISTING_DEVICE; i++)
        g_ptr_array_add(old, rows->list->pdata[i]);
      *hint = i;
      return g_object_ref(row);
    }
  return NULL;
}

static void
put(ListingRows *rows, GPtrArray *take_next)
{
  g_autoptr(GPtrArray) before = rows->list;
  rows->list = take_next;
  guint same = 0, tail = 0, n = before->len, m = take_next->len;
  while (same < MIN(n, m) && before->pdata[same] == take_next->pdata[same])
    same++;
  while (tail < MIN(n, m) - same && before->pdata[n - 1 - tail] == take_next->pdata[m - 1 - tail])
    tail++;
  if (n != m || same < n)
    g_list_model_items_changed(G_LIST_MODEL(rows), same, n - same - tail, m - same - tail);
}

void
listing_rows_follow(ListingRows *rows)
{
  const Document *document = session_get_document(rows->session);
  forget(rows);
  GPtrArray *next = g_ptr_array_new_full(rows->list->len, g_object_unref);
  g_autoptr(GPtrArray) old = g_ptr_array_new();
  g_autoptr(GHashTable) known = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < rows->list->len; i++) {
    const ListingRow *row = rows->list->pdata[i];
    if (row->kind == LISTING_DEVICE)
      g_hash_table_add(known, row->device);
  }
  guint hint = 0;
  for (guint d = 0; d < document_device_count(document); d++) {
    const Device *device = document_device(document, d);
    ListingRow *row =
        g_hash_table_contains(known, device->id) ? row_before(rows, device->id, &hint, old) : NULL;
    if (row == NULL) {
      g_ptr_array_set_size(old, 0);
      row = row_new(LISTING_DEVICE, device->id);
    }
    g_ptr_array_add(next, row);
    if (row->open)
      add_children(rows, device, next, old);
  }
  put(rows, next);
}

void
listing_rows_set_open(ListingRows *rows, guint at, bool open)
{
  ListingRow *row = listing_rows_get(rows, at);
  if (row == NULL || row->kind != LISTING_DEVICE || row->open == open)
    return;
  row->open = open;
  GPtrArray *next = g_ptr_array_new_full(rows->list->len, g_object_unref);
  g_autoptr(GPtrArray) none = g_ptr_array_new();
  const Device *device = document_find_device(session_get_document(rows->session), row->device);
  for (guint i = 0; i < rows->list->len; i++) {
    ListingRow *one = rows->list->pdata[i];
    if (one->kind == LISTING_DEVICE || strcmp(one->device, row->device) != 0)
      g_ptr_array_add(next, g_object_ref(one));
    if (one == row && open && device != NULL)
      add_children(rows, device, next, none);
  }
  put(rows, next);
}

/* --- asking --- */

ListingRow *
listing_rows_get(ListingRows *rows, guint at)
{
  return at < rows->list->len ? rows->list->pdata[at] : NULL;
}

bool
listing_rows_find_device(ListingRows *rows, const char *id, guint *at)
{
  for (guint i = 0; i < rows->list->len; i++) {
    const ListingRow *row = rows->list->pdata[i];
    if (row->kind == LISTING_DEVICE && strcmp(row->device, id) == 0) {
      *at = i;
      return true;
    }
  }
  return false;
}

bool
listing_rows_find_conductor(ListingRows *rows, guint32 key, guint *at)
{
  const Conductor *conductor = document_find_conductor(session_get_document(rows->session), key);
  guint device;
  if (conductor == NULL || conductor->from.device == NULL ||
      !listing_rows_find_device(rows, conductor->from.device, &device))
    return false;
  listing_rows_set_open(rows, device, true);
  for (guint i = device + 1; i < rows->list->len; i++) {
    const ListingRow *row = rows->list->pdata[i];
    if (row->kind == LISTING_DEVICE)
      return false;
    if (row->conductor == key) {
      *at = i;
      return true;
    }
  }
  return false;
}

static char *
words_of_device(ListingRows *rows, const Device *device)
{
  g_autofree char *rating =
      device->kind->rating_text != NULL ? device->kind->rating_text(device) : NULL;
  GString *text = g_string_new(device_designation(device));
  g_string_append_printf(text, ", %s", _(device->kind->title));
  if (rating != NULL)
    g_string_append_printf(text, ", %s", rating);
  const GPtrArray *found = findings_at(rows, device->id);
  if (found == NULL)
    return g_string_free(text, FALSE);
  const Finding *gravest = found->pdata[0]; /* they come sorted */
  g_string_append(text, ". ");
  g_string_append_printf(
      text, language_plural("%u finding, a %s", "%u findings, the gravest a %s", found->len),
      found->len, signal_word(gravest->signal));
  return g_string_free(text, FALSE);
}

static char *
words_of_landing(ListingRows *rows, const ListingRow *row)
{
  const Document *document = session_get_document(rows->session);
  g_autofree char *volts = session_dup_volts(rows->session, row->device, row->terminal);
  const Conductor *conductor =
      row->conductor != 0 ? document_find_conductor(document, row->conductor) : NULL;
  if (conductor == NULL)
    return g_strdup_printf(_("%s, %s, nothing landed"), row->terminal, volts);
  bool from = g_strcmp0(conductor->from.device, row->device) == 0 &&
              g_strcmp0(conductor->from.terminal, row->terminal) == 0;
  g_autofree char *other = landing_dup_name(from ? &conductor->to : &conductor->from);
  g_autofree char *name = conductor_dup_name(conductor);
  const char *colour = conductor_text(conductor, CONDUCTOR_COLOUR);
  g_autoptr(GString) text = g_string_new(NULL);
  g_string_append_printf(text, _("%s, %s, to %s by %s"), row->terminal, volts, other, name);
  if (*colour != '\0')
    g_string_append_printf(text, ", %s", colour);
  const GPtrArray *found = findings_at(rows, name);
  for (guint i = 0; found != NULL && i < found->len; i++) {
    const Finding *finding = found->pdata[i];
    g_string_append_printf(text, ". %s: %s", signal_word(finding->signal), finding->title);
  }
  return g_string_free(g_steal_pointer(&text), FALSE);
}

char *
listing_rows_dup_text(ListingRows *rows, const ListingRow *row)
{
  if (row->kind == LISTING_FINDING)
    return g_strdup(row->finding);
  const Device *device = document_find_device(session_get_document(rows->session), row->device);
  if (device == NULL) /* between an edit and the rows that follow it */
    return g_strdup(row->device);
  return row->kind == LISTING_DEVICE ? words_of_device(rows, device) : words_of_landing(rows, row);
}

/* --- the model --- */

static GType
item_type(GListModel *model)
{
  (void)model;
  return LISTING_ROW_TYPE;
}

static guint
n_items(GListModel *model)
{
  return DOORSHEET_LISTING_ROWS(model)->list->len;
}

static gpointer
get_item(GListModel *model, guint at)
{
  ListingRow *row = listing_rows_get(DOORSHEET_LISTING_ROWS(model), at);
  return row != NULL ? g_object_ref(row) : NULL;
}

static void
model_init(GListModelInterface *interface)
{
  interface->get_item_type = item_type;
  interface->get_n_items = n_items;
  interface->get_item = get_item;
}

static void
listing_rows_finalize(GObject *object)
{
  ListingRows *rows = DOORSHEET_LISTING_ROWS(object);
  forget(rows);
  g_ptr_array_unref(rows->list);
  g_clear_object(&rows->session);
  G_OBJECT_CLASS(listing_rows_parent_class)->finalize(object);
}

static void
listing_rows_class_init(ListingRowsClass *class)
{
  G_OBJECT_CLASS(class)->finalize = listing_rows_finalize;
}

static void
listing_rows_init(ListingRows *rows)
{
  rows->list = g_ptr_array_new_with_free_func(g_object_unref);
}

ListingRows *
listing_rows_new(Session *session)
{
  ListingRows *rows = g_object_new(LISTING_ROWS_TYPE, NULL);
  rows->session = g_object_ref(session);
  return rows;
}
