/* SPDX-License-Identifier: MIT */
/* Versions dealt by seed: fair, different, the same every time, undone to the byte. */
#include "../checks/edit_script.h"

#include "matrix.h"
#include "quiz/deal.h"

typedef struct {
  Document *document;
  Inspection *sound;
  FaultScene *scene;
} Master;

static Master
master_open(Document *take_document)
{
  Inspection *sound = inspection_new(take_document);
  return (Master){take_document, sound, fault_scene_new(sound)};
}

static void
master_clear(Master *master)
{
  fault_scene_free(master->scene);
  inspection_free(master->sound);
  document_free(master->document);
}

/* All versions as text: faults and places. */
static char *
text_of(const GPtrArray *versions)
{
  GString *text = g_string_new(NULL);
  for (guint v = 0; v < versions->len; v++) {
    const DealtVersion *version = g_ptr_array_index(versions, v);
    g_string_append_printf(text, "%u:", version->number);
    for (guint i = 0; i < version->faults->len; i++) {
      const DealtFault *dealt = g_ptr_array_index(version->faults, i);
      g_string_append_printf(text, " %s at %s", dealt->fault->name, dealt->place->name);
    }
    g_string_append_c(text, '\n');
  }
  return g_string_free(text, FALSE);
}

/* Judged again from outside: made in the document itself, with the checks. */
static void
assert_fair(Master *master, const DealtVersion *version, const DealOrder *order, GHashTable *seen)
{
  g_autoptr(GBytes) before = document_write_memory(master->document);
  g_autoptr(GError) error = NULL;
  assert_int_equal(version->faults->len, order->faults);
  if (!deal_make(version, master->scene, master->document, &error))
    fail_msg("%s", error->message);
  g_autoptr(GBytes) made = document_write_memory(master->document);
  assert_false(g_bytes_equal(before, made));
  assert_true(g_hash_table_add(seen, g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, made)));
  g_autoptr(Inspection) faulty = inspection_new(master->document);
  for (guint i = 0; i < version->faults->len; i++) {
    const DealtFault *dealt = g_ptr_array_index(version->faults, i);
    assert_true(dealt->fault->level <= order->level);
    assert_true(order->topic < 0 || (int)dealt->fault->topic == order->topic);
    assert_true(fault_is_found(dealt->fault, master->sound, faulty));
    document_undo(master->document);
  }
  g_autoptr(GBytes) after = document_write_memory(master->document);
  assert_true(g_bytes_equal(before, after));
}

static guint
deal_and_judge(Master *master, const DealOrder *order)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GPtrArray) versions = deal_versions(master->scene, order, &error);
  if (versions == NULL)
    fail_msg("%s", error->message);
  assert_int_equal(versions->len, order->versions);
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint v = 0; v < versions->len; v++) {
    const DealtVersion *version = g_ptr_array_index(versions, v);
    assert_int_equal(version->number, v + 1);
    assert_fair(master, version, order, seen);
  }
  return versions->len;
}

static void
test_every_sheet(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  guint dealt = 0;
  for (guint i = 0; i < sheets.documents->len; i++) {
    Master master = master_open(document_snapshot(g_ptr_array_index(sheets.documents, i)));
    for (guint faults = 1; faults <= 3; faults++)
      dealt += deal_and_judge(&master, &(DealOrder){.versions = 6 * faults,
                                                    .faults = faults,
                                                    .seed = 20261125 + i,
                                                    .level = FAULT_HARD,
                                                    .topic = -1});
    master_clear(&master);
  }
  sheets_clear(&sheets);
  g_print("%u versions\n", dealt);
}

static void
test_thousand(void **state)
{
  (void)state;
  Master master = master_open(script_open("samples", "fan-480"));
  deal_and_judge(
      &master,
      &(DealOrder){.versions = 1000, .faults = 2, .seed = 7, .level = FAULT_HARD, .topic = -1});
  master_clear(&master);
}

static void
test_topics_and_levels(void **state)
{
  (void)state;
  Master master = master_open(script_open("samples", "uv-480"));
  for (int topic = 0; topic < FAULT_TOPIC_COUNT; topic++) {
    if (topic == FAULT_CONTROL)
      continue; /* little of it on that sheet */
    deal_and_judge(
        &master,
        &(DealOrder){.versions = 1, .faults = 1, .seed = 3, .level = FAULT_HARD, .topic = topic});
  }
  for (FaultLevel level = FAULT_EASY; level <= FAULT_HARD; level++) {
    DealOrder order = {.versions = 5, .faults = 1, .seed = 11, .level = level, .topic = -1};
    g_autoptr(GPtrArray) versions = deal_versions(master.scene, &order, NULL);
    assert_non_null(versions);
    for (guint v = 0; v < versions->len; v++) {
      const DealtVersion *version = g_ptr_array_index(versions, v);
      assert_int_equal(((DealtFault *)g_ptr_array_index(version->faults, 0))->fault->level, level);
    }
  }
  master_clear(&master);
}

static void
test_seed(void **state)
{
  (void)state;
  DealOrder order = {.versions = 10, .faults = 2, .seed = 42, .level = FAULT_HARD, .topic = -1};
  char *texts[3];
  for (int run = 0; run < 3; run++) {
    Master master = master_open(script_open("samples", "pump-208"));
    order.seed = run == 2 ? 43 : 42;
    g_autoptr(GPtrArray) versions = deal_versions(master.scene, &order, NULL);
    assert_non_null(versions);
    texts[run] = text_of(versions);
    master_clear(&master);
  }
  assert_string_equal(texts[0], texts[1]);
  assert_string_not_equal(texts[0], texts[2]);
  for (int run = 0; run < 3; run++)
    g_free(texts[run]);
}

/* Refusals say how many there are and why. */
static void
test_refused(void **state)
{
  (void)state;
  DealOrder order = {.versions = 1, .faults = 1, .seed = 1, .level = FAULT_HARD, .topic = -1};
  Master faulty = master_open(script_open("samples", "faulty-no-fuse"));
  g_autoptr(GError) error = NULL;
  assert_null(deal_versions(faulty.scene, &order, &error));
  assert_true(g_error_matches(error, DEAL_ERROR, DEAL_ERROR_NOT_SOUND));
  master_clear(&faulty);
  Master master = master_open(script_open("samples", "pump-208"));
  g_autoptr(GError) few = NULL;
  order = (DealOrder){
      .versions = 500, .faults = 1, .seed = 1, .level = FAULT_EASY, .topic = FAULT_TAPS};
  assert_null(deal_versions(master.scene, &order, &few));
  assert_true(g_error_matches(few, DEAL_ERROR, DEAL_ERROR_TOO_FEW));
  assert_non_null(strstr(few->message, "of 500 versions"));
  assert_non_null(strstr(few->message, "same as another version"));
  master_clear(&master);
}

/* A fault hidden by another is named: a load that is cut off twice, a fuse that feeds nothing. */
static void
test_unfair(void **state)
{
  (void)state;
  Master master = master_open(script_open("samples", "pump-208"));
  DealtVersion version = {.number = 1, .faults = g_ptr_array_new()};
  DealtFault pair[2] = {{.fault = fault_find("load-cut-off")}, {.fault = fault_find("fuse-blown")}};
  GPtrArray *places[2];
  for (int i = 0; i < 2; i++) {
    places[i] = fault_places(pair[i].fault, master.scene);
    assert_true(places[i]->len > 0);
    pair[i].place = g_ptr_array_index(places[i], 0);
    g_ptr_array_add(version.faults, &pair[i]);
  }
  g_autofree char *why = deal_why_unfair(&version, master.scene);
  assert_non_null(why);
  for (int i = 0; i < 2; i++)
    g_ptr_array_unref(places[i]);
  g_ptr_array_unref(version.faults);
  master_clear(&master);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_seed),        cmocka_unit_test(test_topics_and_levels),
      cmocka_unit_test(test_refused),     cmocka_unit_test(test_unfair),
      cmocka_unit_test(test_every_sheet), cmocka_unit_test(test_thousand),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
