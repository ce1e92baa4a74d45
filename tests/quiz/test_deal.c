/* SPDX-License-Identifier: MIT */
/* Versions dealt by seed: fair, different, the same every time, undone to the byte. */
#include "../checks/edit_script.h"

#include "diagram/edit.h"
#include "matrix.h"
#include "parts/catalog.h"
#include "quiz/deal.h"

typedef struct {
  Document *document;
  Inspection *sound;
  FaultScene *scene;
  Evidence *evidence;
} Master;

static Master
master_open(Document *take_document)
{
  Inspection *sound = inspection_new(take_document);
  FaultScene *scene = fault_scene_new(sound);
  g_autoptr(GError) error = NULL;
  Evidence *evidence = evidence_new(scene, NULL, &error);
  if (evidence == NULL)
    fail_msg("%s", error->message);
  return (Master){take_document, sound, scene, evidence};
}

static void
master_clear(Master *master)
{
  evidence_free(master->evidence);
  fault_scene_free(master->scene);
  inspection_free(master->sound);
  document_free(master->document);
}

/* All versions as text: faults, places, difficulty and measuring path. */
static void
append_text(GString *text, const Master *master, const Deal *deal)
{
  for (guint v = 0; v < deal->versions->len; v++) {
    const DealtVersion *version = g_ptr_array_index(deal->versions, v);
    g_string_append_printf(text, "%u %s:", version->number, fault_level_word(version->difficulty));
    for (guint i = 0; i < version->faults->len; i++) {
      const DealtFault *dealt = g_ptr_array_index(version->faults, i);
      g_string_append_printf(text, " %s at %s", dealt->fault->name, dealt->place->name);
    }
    for (guint i = 0; i < version->path->steps->len; i++)
      g_string_append_printf(
          text, "; %s",
          evidence_point(master->evidence, g_array_index(version->path->steps, PathStep, i).point)
              ->name);
    g_string_append_c(text, '\n');
  }
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

static Deal *
must_deal(Master *master, const DealOrder *order)
{
  g_autoptr(GError) error = NULL;
  Deal *deal = deal_new(master->evidence, order, NULL, &error);
  if (deal == NULL)
    fail_msg("%s", error->message);
  return deal;
}

/* How many; order->up_to: as many as there are. */
static guint
deal_and_judge(Master *master, const DealOrder *order)
{
  g_autoptr(Deal) deal = must_deal(master, order);
  assert_true(order->up_to || deal->versions->len == order->versions);
  g_autoptr(GHashTable) seen = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint v = 0; v < deal->versions->len; v++) {
    const DealtVersion *version = g_ptr_array_index(deal->versions, v);
    assert_int_equal(version->number, v + 1);
    assert_true(version->proof.fair);
    assert_int_equal(version->proof.judged, FAIR_CONDITION_COUNT);
    assert_int_equal(version->path->same->len, 0);
    assert_true(version->path->steps->len > 0);
    assert_true(strlen(version->symptom) > 0);
    assert_fair(master, version, order, seen);
  }
  return deal->versions->len;
}

/* Thousand of every sound sample when DOORSHEET_QUIZ_VERSIONS asks; fewer would be dealt only where
 * the catalogue has no more. */
static void
test_every_sheet(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  const char *asked = g_getenv("DOORSHEET_QUIZ_VERSIONS");
  guint versions = asked != NULL ? (guint)g_ascii_strtoull(asked, NULL, 10) : 1000;
  guint dealt = 0, samples = 0;
  for (guint i = 0; i < sheets.documents->len; i++) {
    if (!g_str_has_prefix(g_ptr_array_index(sheets.names, i), "samples/"))
      continue;
    Master master = master_open(document_snapshot(g_ptr_array_index(sheets.documents, i)));
    DealOrder order = deal_order_default;
    order.versions = MIN(versions, DEAL_MOST_VERSIONS);
    order.faults = 2;
    order.seed = 20261125 + i;
    dealt += deal_and_judge(&master, &order);
    samples++;
    master_clear(&master);
  }
  sheets_clear(&sheets);
  assert_true(samples >= 9);
  g_print("%u versions of %u samples\n", dealt, samples);
}

/* Every single fault of every sample, where it is fair. */
static void
test_single(void **state)
{
  (void)state;
  g_autoptr(GString) problems = g_string_new(NULL);
  Sheets sheets = sheets_open(problems);
  guint rows = 0, fair = 0;
  g_autoptr(GHashTable) why = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < sheets.documents->len; i++) {
    if (!g_str_has_prefix(g_ptr_array_index(sheets.names, i), "samples/"))
      continue;
    Master master = master_open(document_snapshot(g_ptr_array_index(sheets.documents, i)));
    for (guint r = 0; r < evidence_row_count(master.evidence); r++) {
      const EvidenceRow *row = evidence_row(master.evidence, r);
      DealtFault dealt = {row->fault, (FaultPlace *)(guintptr)row->place};
      g_autoptr(GPtrArray) faults = g_ptr_array_new();
      g_ptr_array_add(faults, &dealt);
      g_autoptr(DealtVersion) version = deal_judge(master.evidence, faults);
      rows++;
      fair += version->proof.fair;
      if (!version->proof.fair)
        g_hash_table_add(why, g_strdup(version->proof.sentences[version->proof.judged - 1]));
    }
    master_clear(&master);
  }
  sheets_clear(&sheets);
  g_print("%u of %u single faults are fair\n", fair, rows);
  GHashTableIter iter;
  gpointer key;
  g_hash_table_iter_init(&iter, why);
  while (g_hash_table_iter_next(&iter, &key, NULL))
    g_print("  not: %s\n", (const char *)key);
  assert_true(rows > 1000);
  assert_true(fair * 100 >= rows * 95);
}

static void
test_topics_and_levels(void **state)
{
  (void)state;
  Master master = master_open(script_open("samples", "uv-480"));
  for (int topic = 0; topic < FAULT_TOPIC_COUNT; topic++) {
    DealOrder order = deal_order_default;
    order.topic = topic;
    if (topic != FAULT_CONTROL) /* little of it on that sheet */
      deal_and_judge(&master, &order);
  }
  for (FaultLevel level = FAULT_EASY; level <= FAULT_HARD; level++) {
    DealOrder order = deal_order_default;
    order.versions = 5;
    order.level = level;
    g_autoptr(Deal) deal = must_deal(&master, &order);
    for (guint v = 0; v < deal->versions->len; v++) {
      const DealtVersion *version = g_ptr_array_index(deal->versions, v);
      assert_int_equal(((DealtFault *)g_ptr_array_index(version->faults, 0))->fault->level, level);
    }
    order = deal_order_default;
    order.versions = 3;
    order.faults = level == FAULT_HARD ? 3 : 1;
    order.difficulty = (int)level;
    order.up_to = true;
    g_autoptr(Deal) rated = must_deal(&master, &order);
    for (guint v = 0; v < rated->versions->len; v++)
      assert_int_equal(((DealtVersion *)g_ptr_array_index(rated->versions, v))->difficulty, level);
  }
  master_clear(&master);
}

/* The digest is of what was dealt on the machine where the test was written: any other machine
 * deals the same. A change of catalogue, sample or rating changes it, on purpose. */
#define DEALT_DIGEST "3b52cddc348d27f2deb553cb892aae18bcca588d740268255ddb000cdde50755"

static void
test_seed(void **state)
{
  (void)state;
  char *texts[3];
  for (int run = 0; run < 3; run++) {
    GString *text = g_string_new(NULL);
    for (guint faults = 1; faults <= 3; faults++) {
      Master master = master_open(script_open("samples", faults == 2 ? "fan-480" : "pump-208"));
      DealOrder order = deal_order_default;
      order.versions = 20;
      order.faults = faults;
      order.seed = run == 2 ? 43 : 42;
      order.up_to = faults == 1;
      g_autoptr(Deal) deal = must_deal(&master, &order);
      assert_int_equal(strlen(deal->digest), 32);
      append_text(text, &master, deal);
      master_clear(&master);
    }
    texts[run] = g_string_free(text, FALSE);
  }
  assert_string_equal(texts[0], texts[1]);
  assert_string_not_equal(texts[0], texts[2]);
  g_autofree char *digest = g_compute_checksum_for_string(G_CHECKSUM_SHA256, texts[0], -1);
  if (strcmp(digest, DEALT_DIGEST) != 0)
    fail_msg("dealt %s:\n%s", digest, texts[0]);
  for (int run = 0; run < 3; run++)
    g_free(texts[run]);
}

/* Refusals say how many there are and why. */
static void
test_refused(void **state)
{
  (void)state;
  Master faulty = master_open(script_open("samples", "faulty-no-fuse"));
  g_autoptr(GError) error = NULL;
  assert_null(deal_new(faulty.evidence, &deal_order_default, NULL, &error));
  assert_true(g_error_matches(error, DEAL_ERROR, DEAL_ERROR_NOT_SOUND));
  master_clear(&faulty);
  Master master = master_open(script_open("samples", "pump-208"));
  g_autoptr(GError) few = NULL;
  DealOrder order = deal_order_default;
  order.versions = 500;
  order.level = FAULT_EASY;
  order.topic = FAULT_TAPS;
  assert_null(deal_new(master.evidence, &order, NULL, &few));
  assert_true(g_error_matches(few, DEAL_ERROR, DEAL_ERROR_TOO_FEW));
  assert_non_null(strstr(few->message, "of 500 versions"));
  assert_non_null(strstr(few->message, "same as another version"));
  order.up_to = true;
  g_autoptr(Deal) deal = must_deal(&master, &order);
  assert_true(deal->versions->len > 0 && deal->versions->len < 500);
  assert_true(deal->refusals->len > 0);
  guint counted = 0;
  for (guint i = 0; i < deal->refusals->len; i++)
    counted += ((DealRefusal *)g_ptr_array_index(deal->refusals, i))->count;
  assert_int_equal(counted, deal->refused);
  g_autoptr(GCancellable) cancellable = g_cancellable_new();
  g_cancellable_cancel(cancellable);
  g_autoptr(GError) cancelled = NULL;
  assert_null(deal_new(master.evidence, &order, cancellable, &cancelled));
  assert_true(g_error_matches(cancelled, G_IO_ERROR, G_IO_ERROR_CANCELLED));
  master_clear(&master);
}

/* Two faults that hide one another are refused, and the proof says at which condition. */
static void
test_unfair(void **state)
{
  (void)state;
  Master master = master_open(script_open("samples", "pump-208"));
  static const char *const names[] = {"load-cut-off", "fuse-blown"};
  g_autoptr(GPtrArray) faults = g_ptr_array_new_with_free_func((GDestroyNotify)dealt_fault_free);
  for (int i = 0; i < 2; i++) {
    g_autoptr(GPtrArray) places = fault_places(fault_find(names[i]), master.scene);
    assert_true(places->len > 0);
    DealtFault *dealt = deal_find_fault(master.scene, names[i],
                                        ((FaultPlace *)g_ptr_array_index(places, 0))->name, NULL);
    assert_non_null(dealt);
    g_ptr_array_add(faults, dealt);
  }
  g_autoptr(DealtVersion) version = deal_judge(master.evidence, faults);
  assert_false(version->proof.fair);
  assert_int_equal(version->proof.judged - 1, FAIR_UNMASKED);
  assert_string_equal(version->proof.sentences[FAIR_UNMASKED], "two faults show load-not-fed");
  master_clear(&master);
}

/* Faults the master intends: dealt, and named when they have no place. */
static void
test_by_hand(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("samples", "pump-208");
  DealOrder order = deal_order_default;
  order.by_hand = true;
  {
    Master none = master_open(document_snapshot(document));
    g_autoptr(GError) error = NULL;
    assert_null(deal_new(none.evidence, &order, NULL, &error));
    assert_true(g_error_matches(error, DEAL_ERROR, DEAL_ERROR_NO_PLACE));
    const EvidenceRow *row = evidence_row(none.evidence, 3);
    assert_true(document_apply(
        document, edit_intend(document, row->fault->name, row->place->name, NULL), NULL));
    master_clear(&none);
  }
  Master master = master_open(document_snapshot(document));
  g_autoptr(Deal) deal = must_deal(&master, &order);
  const DealtVersion *version = g_ptr_array_index(deal->versions, 0);
  const DealtFault *dealt = g_ptr_array_index(version->faults, 0);
  assert_string_equal(dealt->fault->name, intended_fault(document_intended(document, 0)));
  assert_string_equal(dealt->place->name, intended_at(document_intended(document, 0)));
  master_clear(&master);
  assert_true(document_apply(document, edit_intend(document, "fuse-blown", "FU99", NULL), NULL));
  Master lost = master_open(document_snapshot(document));
  g_autoptr(GError) error = NULL;
  assert_null(deal_new(lost.evidence, &order, NULL, &error));
  assert_true(g_error_matches(error, DEAL_ERROR, DEAL_ERROR_NO_PLACE));
  assert_non_null(strstr(error->message, "FU99"));
  master_clear(&lost);
}

/* The exercise shows its faults and nothing that nobody meant. */
static void
assert_findings(const Master *master, const DealtVersion *version, const Inspection *given)
{
  assert_null(given->error);
  for (guint i = 0; i < version->faults->len; i++)
    assert_true(fault_is_found(((DealtFault *)g_ptr_array_index(version->faults, i))->fault,
                               master->sound, given));
  for (guint f = 0; f < given->findings->len; f++) {
    const Finding *finding = g_ptr_array_index(given->findings, f);
    bool listed = finding->signal == SIGNAL_NOTICE;
    for (guint i = 0; i < version->faults->len && !listed; i++) {
      const Fault *fault = ((DealtFault *)g_ptr_array_index(version->faults, i))->fault;
      g_auto(GStrv) also = g_strsplit(fault->also != NULL ? fault->also : "", " ", -1);
      listed = strcmp(fault->check, finding->check) == 0 ||
               g_strv_contains((const char *const *)also, finding->check);
    }
    if (!listed)
      fail_msg("version %u: %s", version->number, finding->check);
  }
}

/* Lines of the student's file that are not in the file of an exercise without that fault: the fault
 * and nothing else. */
static guint
lines_apart(const char *a, const char *b)
{
  g_auto(GStrv) one = g_strsplit(a, "\n", -1), two = g_strsplit(b, "\n", -1);
  guint apart = 0;
  for (guint i = 0; one[i] != NULL; i++)
    apart += !g_strv_contains((const char *const *)two, one[i]);
  return apart;
}

static char *
exercise_text(Master *master, const Deal *deal, const DealtVersion *version)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) exercise =
      deal_exercise_document(deal, version, master->scene, "Lesson", &error);
  if (exercise == NULL)
    fail_msg("%s", error->message);
  assert_true(sheet_is_exercise(document_sheet(exercise)));
  assert_false(document_can_undo(exercise));
  assert_int_equal(document_measured_count(exercise), 0);
  assert_int_equal(document_intended_count(exercise), 0);
  g_autoptr(GBytes) bytes = document_write_memory(exercise);
  g_autoptr(Document) again = document_read_memory(
      g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), "exercise", parts_catalog(), &error);
  if (again == NULL)
    fail_msg("%s", error->message);
  assert_true(document_equal(exercise, again));
  g_autoptr(Inspection) given = inspection_new(exercise);
  assert_findings(master, version, given);
  return g_strdup(g_bytes_get_data(bytes, NULL));
}

/* At every level, one and two faults. */
static void
exercises_of(Master *master, FaultLevel level, guint faults)
{
  DealOrder order = deal_order_default;
  order.versions = 40;
  order.faults = faults;
  order.level = level;
  order.up_to = true;
  order.seed = 5;
  g_autoptr(Deal) deal = must_deal(master, &order);
  const DealtVersion *last = g_ptr_array_index(deal->versions, deal->versions->len - 1);
  g_autofree char *before = exercise_text(master, deal, last);
  for (guint v = 0; v < deal->versions->len; v++) {
    const DealtVersion *version = g_ptr_array_index(deal->versions, v);
    char *text = exercise_text(master, deal, version);
    for (guint i = 0; i < faults; i++)
      assert_null(strstr(text, ((DealtFault *)g_ptr_array_index(version->faults, i))->fault->name));
    assert_null(strstr(text, "via="));
    assert_null(strstr(text, "note="));
    /* A fault touches up to 9 lines (every reading of a supply); two versions differ by the faults
     * of both and the line that numbers them. */
    if (lines_apart(text, before) > 18 * faults + 1)
      fail_msg("version %u: %u lines differ", v + 1, lines_apart(text, before));
    g_free(before);
    before = text;
  }
}

static void
test_exercise(void **state)
{
  (void)state;
  Master master = master_open(script_open("samples", "fan-480"));
  for (FaultLevel level = FAULT_EASY; level <= FAULT_HARD; level++)
    for (guint faults = 1; faults <= 2; faults++)
      exercises_of(&master, level, faults);
  master_clear(&master);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_seed),    cmocka_unit_test(test_topics_and_levels),
      cmocka_unit_test(test_refused), cmocka_unit_test(test_unfair),
      cmocka_unit_test(test_by_hand), cmocka_unit_test(test_exercise),
      cmocka_unit_test(test_single),  cmocka_unit_test(test_every_sheet),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
