/* SPDX-License-Identifier: MIT */
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "small_catalog.h"

static char *
dump(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  return g_strndup(data, size);
}

static void
assert_same(const Document *document, const char *text)
{
  g_autofree char *now = dump(document);
  assert_string_equal(now, text);
}

static void
must(Document *document, Change *change)
{
  g_autoptr(GError) error = NULL;
  if (!document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

static void
add_device(Document *document, const PartKind *kind, const char *id)
{
  g_autoptr(Device) device = small_device(kind, id, 10, 10);
  Change *change = change_new("Add");
  change_device(change, NULL, device);
  must(document, change);
}

static guint32
add_conductor(Document *document, const char *a, const char *ta, const char *b, const char *tb)
{
  g_autoptr(Conductor) conductor = conductor_new(a, ta, b, tb);
  Change *change = change_new("Land");
  change_conductor(change, NULL, conductor);
  must(document, change);
  return document_conductor(document, document_conductor_count(document) - 1)->key;
}

static Document *
three_devices(void)
{
  Document *document = document_new(small_catalog);
  add_device(document, &bank_kind, "T1");
  add_device(document, &contact_kind, "CR1");
  add_device(document, &every_kind, "LD1");
  return document;
}

static void
test_look_up(void **state)
{
  (void)state;
  g_autoptr(Document) document = three_devices();
  guint32 key = add_conductor(document, "T1", "X1", "CR1", "1");
  assert_int_equal(document_device_count(document), 3);
  assert_int_equal(document_device_index(document, "LD1"), 2);
  assert_int_equal(document_device_index(document, "LD2"), -1);
  assert_ptr_equal(document_find_device(document, "CR1"), document_device(document, 1));
  assert_null(document_find_device(document, "CR"));
  assert_true(key != 0);
  assert_ptr_equal(document_find_conductor(document, key), document_conductor(document, 0));
  assert_null(document_find_conductor(document, key + 1));
  assert_ptr_equal(document_catalog(document), small_catalog);

  const Device *device;
  guint terminal;
  Landing there = {(char *)"T1", (char *)"X2"}, nowhere = {(char *)"T1", (char *)"X9"};
  assert_true(document_resolve(document, &there, &device, &terminal));
  assert_string_equal(device->id, "T1");
  assert_int_equal(terminal, 3);
  assert_false(document_resolve(document, &nowhere, &device, &terminal));
  g_autofree char *why = document_explain_landing(document, &nowhere);
  assert_string_equal(why, "T1 has no terminal \"X9\"; it has H1, H2, X1, X2");
  Landing stranger = {(char *)"LD12", (char *)"1"};
  g_autofree char *who = document_explain_landing(document, &stranger);
  assert_string_equal(who, "there is no device \"LD12\"; did you mean \"LD1\"?");

  g_autofree char *free_id = document_free_id(document, "T");
  assert_string_equal(free_id, "T2");
  add_device(document, &bank_kind, "T3");
  g_autofree char *gap = document_free_id(document, "T");
  assert_string_equal(gap, "T2");
  add_device(document, &bank_kind, "T2");
  g_autofree char *next = document_free_id(document, "T");
  assert_string_equal(next, "T4");
  document_undo(document);
  document_undo(document);
  g_autofree char *again = document_free_id(document, "T");
  assert_string_equal(again, "T2");
}

static void
test_landing_counts(void **state)
{
  (void)state;
  g_autoptr(Document) document = three_devices();
  guint32 key = add_conductor(document, "T1", "X1", "CR1", "1");
  add_conductor(document, "T1", "X1", "LD1", "L1");
  assert_int_equal(document_landings(document, "T1", "X1"), 2);
  assert_int_equal(document_landings(document, "CR1", "1"), 1);
  assert_int_equal(document_landings(document, "CR1", "2"), 0);
  assert_int_equal(document_landings(document, "CR9", "2"), 0);
  must(document, edit_delete(document, NULL, &key, 1));
  assert_int_equal(document_landings(document, "T1", "X1"), 1);
  const char *moved[] = {"T1", NULL};
  must(document, edit_move(document, moved, (Point){50, 0})); /* another value, same landings */
  assert_int_equal(document_landings(document, "T1", "X1"), 1);
  must(document, edit_remove_row(document, "T1", 0, NULL)); /* terminals shift; counts go by name */
  assert_int_equal(document_landings(document, "T1", "X1"), 1);
  assert_int_equal(document_landings(document, "T1", "H1"), 0);
  document_undo(document);
  document_undo(document);
  document_undo(document);
  assert_int_equal(document_landings(document, "T1", "X1"), 2);
  g_autoptr(Document) copy = document_snapshot(document);
  assert_int_equal(document_landings(copy, "T1", "X1"), 2);
}

typedef struct {
  const char *title;
  void (*fill)(const Document *document, Change *change);
  DocumentErrorCode code;
  const char *words;
} Refusal;

static void
fill_duplicate(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Device) a = device_new(&joint_kind, "SP1"), b = device_new(&bank_kind, "T1");
  change_device(change, NULL, a);
  change_device(change, NULL, b);
}

static void
fill_twice(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Device) a = device_new(&joint_kind, "SP1"), b = device_new(&joint_kind, "SP1");
  change_device(change, NULL, a);
  change_device(change, NULL, b);
}

static void
fill_bad_name(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Device) a = device_new(&joint_kind, "SP.1");
  change_device(change, NULL, a);
}

static void
fill_landing(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Device) splice = device_new(&joint_kind, "SP1");
  g_autoptr(Conductor) good = conductor_new("SP1", "1", "T1", "H1");
  g_autoptr(Conductor) bad = conductor_new("SP1", "1", "T1", "H7");
  change_device(change, NULL, splice);
  change_conductor(change, NULL, good);
  change_conductor(change, NULL, bad);
}

static void
fill_self(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Conductor) bad = conductor_new("T1", "H1", "T1", "H1");
  change_conductor(change, NULL, bad);
}

static void
fill_measured(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Conductor) good = conductor_new("LD1", "L1", "T1", "H1");
  g_autoptr(Measured) bad = measured_new();
  bad->a = landing_make("T9", "H1");
  change_conductor(change, NULL, good);
  change_measured(change, NULL, bad);
}

static void
fill_removed_terminal(const Document *document, Change *change)
{
  const Device *before = document_find_device(document, "T1");
  g_autoptr(Device) after = device_copy(before);
  device_remove_row(after, 2); /* X1, where a conductor lands */
  device_derive(after, NULL);
  g_autoptr(Device) splice = device_new(&joint_kind, "SP1");
  change_device(change, NULL, splice);
  change_device(change, before, after);
}

static void
fill_removed_device(const Document *document, Change *change)
{
  change_device(change, document_find_device(document, "LD1"), NULL);
  change_device(change, document_find_device(document, "CR1"), NULL);
}

static void
fill_stale(const Document *document, Change *change)
{
  g_autoptr(Device) twin = device_copy(document_find_device(document, "LD1"));
  g_autoptr(Device) moved = device_copy(twin);
  g_autoptr(Device) splice = device_new(&joint_kind, "SP1");
  change_device(change, NULL, splice);
  change_device(change, twin, moved);
}

static void
fill_contradiction(const Document *document, Change *change)
{
  const Device *before = document_find_device(document, "LD1");
  g_autoptr(Device) a = device_copy(before), b = device_copy(before);
  change_device(change, before, a);
  change_device(change, before, b);
}

static void
fill_far(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Device) far = small_device(&joint_kind, "SP1", 0, 1e9);
  change_device(change, NULL, far);
}

static void
fill_inconsistent(const Document *document, Change *change)
{
  (void)document;
  g_autoptr(Device) odd = device_new(&bank_kind, "T2");
  device_set(odd, "rating", "13 VA", NULL);
  change_device(change, NULL, odd);
}

static const Refusal refusals[] = {
    {"duplicate", fill_duplicate, DOCUMENT_ERROR_DUPLICATE, "already has a device \"T1\""},
    {"twice", fill_twice, DOCUMENT_ERROR_DUPLICATE, "already has a device \"SP1\""},
    {"bad name", fill_bad_name, DOCUMENT_ERROR_DUPLICATE, "\"SP.1\" is not a name"},
    {"landing", fill_landing, DOCUMENT_ERROR_LANDING, "T1 has no terminal \"H7\""},
    {"self", fill_self, DOCUMENT_ERROR_LANDING, "same terminal T1.H1"},
    {"measured", fill_measured, DOCUMENT_ERROR_LANDING, "there is no device \"T9\""},
    {"terminal goes", fill_removed_terminal, DOCUMENT_ERROR_LANDING,
     "conductor T1.X1-CR1.1 still lands on T1.X1"},
    {"device goes", fill_removed_device, DOCUMENT_ERROR_LANDING, "still lands on CR1.1"},
    {"stale", fill_stale, DOCUMENT_ERROR_STALE, "\"stale\" was prepared for an earlier state"},
    {"contradiction", fill_contradiction, DOCUMENT_ERROR_STALE, "earlier state"},
    {"far", fill_far, DOCUMENT_ERROR_LIMIT, "off every sheet"},
    {"inconsistent", fill_inconsistent, 0, "13 VA is made by nobody"},
};

/* All or nothing: after a refusal everything is as before, undo list and counts included. */
static void
test_refusals(void **state)
{
  (void)state;
  g_autoptr(Document) document = three_devices();
  add_conductor(document, "T1", "X1", "CR1", "1");
  g_autofree char *before = dump(document);
  for (guint i = 0; i < G_N_ELEMENTS(refusals); i++) {
    const Refusal *refusal = &refusals[i];
    g_autoptr(GError) error = NULL;
    Change *change = change_new(refusal->title);
    refusal->fill(document, change);
    if (document_apply(document, change, &error))
      fail_msg("%s was accepted", refusal->title);
    if (strstr(error->message, refusal->words) == NULL)
      fail_msg("%s: \"%s\" does not say \"%s\"", refusal->title, error->message, refusal->words);
    if (error->domain == DOCUMENT_ERROR)
      assert_int_equal(error->code, (gint)refusal->code);
    assert_same(document, before);
    assert_int_equal(document_landings(document, "T1", "X1"), 1);
    assert_int_equal(document_landings(document, "T1", "H1"), 0);
    assert_int_equal(document_landings(document, "LD1", "L1"), 0);
    assert_int_equal(document_device_index(document, "SP1"), -1);
    assert_int_equal(document_device_index(document, "LD1"), 2);
    assert_string_equal(document_undo_title(document), "Land");
    assert_false(document_can_redo(document));
  }
}

static void
test_limit(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(small_catalog);
  Change *change = change_new("Many");
  for (guint i = 0; i <= DOCUMENT_MAX_DEVICES; i++) {
    g_autofree char *id = g_strdup_printf("SP%u", i);
    g_autoptr(Device) device = device_new(&joint_kind, id);
    change_device(change, NULL, device);
  }
  g_autoptr(GError) error = NULL;
  assert_false(document_apply(document, change, &error));
  assert_true(g_error_matches(error, DOCUMENT_ERROR, DOCUMENT_ERROR_LIMIT));
  assert_non_null(strstr(error->message, "at most 50000 devices"));
  assert_int_equal(document_device_count(document), 0);
}

static void
test_order_is_restored(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(small_catalog);
  for (int i = 1; i <= 9; i++) {
    g_autofree char *id = g_strdup_printf("CR%d", i);
    add_device(document, &contact_kind, id);
  }
  for (int i = 1; i < 9; i++) {
    g_autofree char *a = g_strdup_printf("CR%d", i);
    g_autofree char *b = g_strdup_printf("CR%d", i + 1);
    add_conductor(document, a, "2", b, "1");
  }
  g_autofree char *before = dump(document);
  const char *ids[] = {"CR8", "CR2", "CR5", "CR2", "NONE", NULL};
  must(document, edit_delete(document, ids, NULL, 0));
  assert_int_equal(document_device_count(document), 6);
  assert_int_equal(document_conductor_count(document), 2);
  assert_int_equal(document_device_index(document, "CR9"), 5);
  g_autofree char *after = dump(document);
  document_undo(document);
  assert_same(document, before);
  for (guint i = 0; i < 9; i++)
    assert_int_equal(document_device_index(document, document_device(document, i)->id), i);
  document_redo(document);
  assert_same(document, after);
}

static void
test_one_change_of_many_steps(void **state)
{
  (void)state;
  g_autoptr(Document) document = three_devices();
  g_autofree char *before = dump(document);
  const Device *one = document_find_device(document, "LD1");
  g_autoptr(Device) two = device_copy(one), three = NULL, passing = device_new(&joint_kind, "SP1");
  two->placement.at.x = 100;
  three = device_copy(two);
  three->placement.at.y = 100;
  Change *change = change_new("Steps");
  assert_true(change_is_empty(change));
  change_device(change, one, two);
  change_device(change, two, three); /* goes on from the step before */
  change_device(change, NULL, passing);
  change_device(change, passing, NULL); /* never arrives */
  assert_false(change_is_empty(change));
  must(document, change);
  assert_int_equal(document_device_count(document), 3);
  assert_ptr_equal(document_find_device(document, "LD1"), three);
  document_undo(document);
  assert_same(document, before);

  /* Two devices exchange their names in one change. */
  g_autoptr(Device) a = device_copy(document_find_device(document, "LD1"));
  g_autoptr(Device) b = device_copy(document_find_device(document, "CR1"));
  g_free(a->id);
  a->id = g_strdup("CR1");
  g_free(b->id);
  b->id = g_strdup("LD1");
  change = change_new("Exchange");
  change_device(change, document_find_device(document, "LD1"), a);
  change_device(change, document_find_device(document, "CR1"), b);
  must(document, change);
  assert_ptr_equal(document_find_device(document, "CR1")->kind, &every_kind);
  assert_ptr_equal(document_find_device(document, "LD1")->kind, &contact_kind);
  document_undo(document);
  assert_same(document, before);
  assert_ptr_equal(document_find_device(document, "CR1")->kind, &contact_kind);
}

static void
test_undo_titles_and_redo(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(small_catalog);
  assert_null(document_undo_title(document));
  assert_null(document_redo_title(document));
  document_undo(document); /* nothing to undo: nothing happens */
  add_device(document, &joint_kind, "SP1");
  must(document, edit_set_sheet_field(document, false, "title", "Pump", NULL));
  assert_string_equal(document_undo_title(document), "Set title of the sheet");
  document_undo(document);
  assert_string_equal(document_redo_title(document), "Set title of the sheet");
  assert_string_equal(document_undo_title(document), "Add");
  must(document, change_new("Nothing")); /* empty: not even the redo list goes */
  assert_true(document_can_redo(document));
  add_device(document, &joint_kind, "SP2");
  assert_false(document_can_redo(document));
  document_clear_history(document);
  assert_false(document_can_undo(document) || document_can_redo(document));
  assert_int_equal(document_device_count(document), 2);
}

static void
test_modified(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(small_catalog);
  assert_false(document_modified(document));
  add_device(document, &joint_kind, "SP1");
  assert_true(document_modified(document));
  document_mark_saved(document);
  assert_false(document_modified(document));
  const char *ids[] = {"SP1", NULL};
  must(document, edit_move(document, ids, (Point){10, 0}));
  assert_true(document_modified(document));
  document_undo(document);
  assert_false(document_modified(document));
  document_undo(document);
  assert_true(document_modified(document));
  document_redo(document);
  must(document, edit_move(document, ids, (Point){10, 0}));
  must(document, edit_move(document, ids, (Point){-10, 0}));
  assert_false(document_modified(document)); /* back by hand is back */
}

typedef struct {
  Document *document;
  guint calls, other;
  guint id;
  guint count_seen;
} Heard;

static void
on_change(const Document *document, gpointer data)
{
  Heard *heard = data;
  heard->calls++;
  heard->count_seen = document_device_count(document);
}

static void
on_change_leave(const Document *document, gpointer data)
{
  (void)document;
  Heard *heard = data;
  heard->other++;
  document_unlisten(heard->document, heard->id);
}

static void
test_listeners(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(small_catalog);
  Heard heard = {.document = document};
  heard.id = document_listen(document, on_change_leave, &heard);
  guint id = document_listen(document, on_change, &heard);
  assert_true(id != 0 && heard.id != 0 && id != heard.id);
  add_device(document, &joint_kind, "SP1");
  assert_int_equal(heard.calls, 1);
  assert_int_equal(heard.other, 1);
  assert_int_equal(heard.count_seen, 1);
  document_undo(document);
  assert_int_equal(heard.count_seen, 0);
  document_redo(document);
  document_mark_saved(document);
  assert_int_equal(heard.calls, 4);
  assert_int_equal(heard.other, 1); /* it left while it was told */
  Change *bad = change_new("Bad");
  fill_bad_name(document, bad);
  assert_false(document_apply(document, bad, NULL));
  must(document, change_new("Nothing"));
  assert_int_equal(heard.calls, 4); /* nothing changed, nobody was told */
  document_unlisten(document, id);
  document_undo(document);
  assert_int_equal(heard.calls, 4);
}

static void
test_snapshot_stays(void **state)
{
  (void)state;
  g_autoptr(Document) document = three_devices();
  add_conductor(document, "T1", "X1", "CR1", "1");
  g_autofree char *before = dump(document);
  g_autoptr(Document) snapshot = document_snapshot(document);
  assert_true(document_equal(document, snapshot));
  assert_ptr_equal(document_device(document, 0), document_device(snapshot, 0)); /* shared */
  assert_false(document_can_undo(snapshot));
  const char *ids[] = {"T1", NULL};
  must(document, edit_delete(document, ids, NULL, 0));
  assert_false(document_equal(document, snapshot));
  assert_same(snapshot, before);
  assert_int_equal(document_landings(snapshot, "T1", "X1"), 1);
  while (document_can_undo(document))
    document_undo(document);
  assert_same(snapshot, before);
  must(snapshot, edit_move(snapshot, ids, (Point){10, 10})); /* and may go its own way */
  assert_int_equal(document_device_count(document), 0);
}

static gpointer
read_snapshots(gpointer data)
{
  GAsyncQueue *queue = data;
  guint wrong = 0;
  for (;;) {
    Document *snapshot = g_async_queue_pop(queue);
    guint n = document_device_count(snapshot);
    if (n == 0) {
      document_free(snapshot);
      return GUINT_TO_POINTER(wrong);
    }
    for (guint i = 0; i < n; i++)
      wrong += document_device_index(snapshot, document_device(snapshot, i)->id) != (int)i;
    for (guint i = 0; i < document_conductor_count(snapshot); i++) {
      const Device *device;
      guint terminal;
      wrong +=
          !document_resolve(snapshot, &document_conductor(snapshot, i)->to, &device, &terminal);
    }
    document_free(snapshot);
  }
}

/* Another thread reads and frees snapshots while this one goes on editing. */
static void
test_snapshots_in_threads(void **state)
{
  (void)state;
  g_autoptr(GAsyncQueue) queue = g_async_queue_new();
  g_autoptr(Document) document = document_new(small_catalog);
  GThread *threads[2];
  for (guint i = 0; i < 2; i++)
    threads[i] = g_thread_new("reader", read_snapshots, queue);
  add_device(document, &contact_kind, "CR1");
  for (int i = 2; i < 400; i++) {
    g_autofree char *id = g_strdup_printf("CR%d", i);
    g_autofree char *previous = g_strdup_printf("CR%d", i - 1);
    add_device(document, &contact_kind, id);
    add_conductor(document, previous, "2", id, "1");
    if (i % 7 == 0)
      document_undo(document);
    if (i % 7 == 0)
      document_redo(document);
    g_async_queue_push(queue, document_snapshot(document));
  }
  for (guint i = 0; i < 2; i++)
    g_async_queue_push(queue, document_new(small_catalog)); /* empty: the end */
  guint wrong = 0;
  for (guint i = 0; i < 2; i++)
    wrong += GPOINTER_TO_UINT(g_thread_join(threads[i]));
  assert_int_equal(wrong, 0);
}

/* A value that lives in another document keeps that document's key. */
static void
test_keys_are_per_document(void **state)
{
  (void)state;
  g_autoptr(Document) first = three_devices(), second = three_devices();
  add_conductor(first, "LD1", "L1", "CR1", "2");
  add_conductor(first, "T1", "X1", "CR1", "1");
  const Conductor *conductor = document_conductor(first, 1);
  guint32 key = conductor->key;
  Change *change = change_new("Paste");
  change_conductor(change, NULL, conductor);
  must(second, change);
  assert_int_equal(conductor->key, key);
  const Conductor *pasted = document_conductor(second, 0);
  assert_true(pasted != conductor && conductor_equal(pasted, conductor));
  assert_ptr_equal(document_find_conductor(second, pasted->key), pasted);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_look_up),
      cmocka_unit_test(test_landing_counts),
      cmocka_unit_test(test_refusals),
      cmocka_unit_test(test_limit),
      cmocka_unit_test(test_order_is_restored),
      cmocka_unit_test(test_one_change_of_many_steps),
      cmocka_unit_test(test_undo_titles_and_redo),
      cmocka_unit_test(test_modified),
      cmocka_unit_test(test_listeners),
      cmocka_unit_test(test_snapshot_stays),
      cmocka_unit_test(test_snapshots_in_threads),
      cmocka_unit_test(test_keys_are_per_document),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
