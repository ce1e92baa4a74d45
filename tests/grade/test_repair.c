/* SPDX-License-Identifier: MIT */
/* What may be done to an exercise and what not, and what grading knows without the master. */
#include "dealt.h"

#include "grade/repair.h"
#include "grade/score.h"
#include "quiz/sealed.h"

/* The change is judged, not applied. */
static void
judge(Change *take_change, bool allowed, const char *what)
{
  g_autoptr(Change) change = take_change;
  g_autoptr(GError) error = NULL;
  if (change == NULL)
    fail_msg("%s: no change", what);
  if (change_is_empty(change))
    fail_msg("%s: changes nothing", what);
  if (repair_allows(change, &error) != allowed)
    fail_msg("%s: %s", what, allowed ? error->message : "went by");
  if (allowed)
    return;
  /* A sentence, not a word: it ends like one and says what can be done. */
  assert_true(g_error_matches(error, REPAIR_ERROR, REPAIR_ERROR_NOT_HERE));
  if (strlen(error->message) < 40 || !g_str_has_suffix(error->message, "."))
    fail_msg("%s: \"%s\" is no sentence", what, error->message);
}

static const Device *
device_of(const Document *document, PartRole role)
{
  for (guint i = 0; i < document_device_count(document); i++)
    if (document_device(document, i)->kind->role == role)
      return document_device(document, i);
  fail_msg("no device of role %d", (int)role);
  return NULL;
}

static void
field(const Document *document, PartRole role, const char *name, const char *text, bool allowed)
{
  GError *error = NULL;
  const Device *device = device_of(document, role);
  g_autofree char *what = g_strdup_printf("%s %s", device->id, name);
  Change *change = edit_set_field(document, device->id, name, text, &error);
  if (change == NULL)
    fail_msg("%s: %s", what, error->message);
  judge(change, allowed, what);
}

static void
nameplates_of_what_is_replaced(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("pump-208", "fuse-blown", 0);
  const Document *d = dealt.exercise;
  field(d, ROLE_FUSE, "rating", "7 A", true);
  field(d, ROLE_FUSE, "class", "RK1", true);
  field(d, ROLE_FUSE, "volts", "250 V", true);
  field(d, ROLE_FUSE, "interrupting", "50 kA", true);
  field(d, ROLE_FUSE, "note", "mine", false);
  field(d, ROLE_FUSE, "designation", "F9", false);
  field(d, ROLE_TRANSFORMER, "rating", "150 VA", true);
  field(d, ROLE_TRANSFORMER, "regulation", "3 %", false);
  field(d, ROLE_TRANSFORMER, "class-2", "yes", false);
  field(d, ROLE_SUPPLY, "fault-current", "1 kA", false);
  judge(edit_set_row_field(d, device_of(d, ROLE_TRANSFORMER)->id, 1, "volts", "999 V", NULL), false,
        "a lead's volts");
  judge(edit_set_row_field(d, device_of(d, ROLE_SUPPLY)->id, 0, "value", "480 V", NULL), false,
        "a supply's reading");
  judge(edit_add_row(d, device_of(d, ROLE_TRANSFORMER)->id, NULL), false, "another lead");
  judge(edit_operate(d, device_of(d, ROLE_FUSE)->id, NULL), true, "a new fuse");
  dealt_clear(&dealt);
}

static const Conductor *
any_conductor(const Document *document)
{
  return document_conductor(document, document_conductor_count(document) / 2);
}

static void
conductors_and_material(void **state)
{
  (void)state;
  static const struct {
    ConductorField field;
    const char *text;
    bool allowed;
  } fields[] = {
      {CONDUCTOR_NUMBER, "977", true},      {CONDUCTOR_COLOUR, "orange/blue", true},
      {CONDUCTOR_GAUGE, "2 AWG", true},     {CONDUCTOR_MATERIAL, "aluminium", true},
      {CONDUCTOR_INSULATION, "1 kV", true}, {CONDUCTOR_TEMPERATURE, "105 C", true},
      {CONDUCTOR_LENGTH, "77 ft", false},   {CONDUCTOR_RACEWAY, "R99", false},
      {CONDUCTOR_BUNDLED, "9", false},      {CONDUCTOR_CONDITION, "broken", false},
      {CONDUCTOR_NOTE, "look here", false}, {CONDUCTOR_GAUGE, NULL, false},
      {CONDUCTOR_COLOUR, NULL, false},
  };
  Dealt dealt = dealt_with("pump-208", "conductor-broken", 0);
  const Document *d = dealt.exercise;
  const Conductor *one = any_conductor(d);
  for (gsize i = 0; i < G_N_ELEMENTS(fields); i++) {
    const char *name = conductor_fields[fields[i].field].name;
    judge(edit_set_conductor_field(d, one->key, name, fields[i].text, NULL), fields[i].allowed,
          name);
  }
  for (guint i = 0; i < document_conductor_count(d); i++) {
    const Conductor *broken = document_conductor(d, i);
    if (strcmp(conductor_text(broken, CONDUCTOR_CONDITION), "broken") == 0)
      judge(edit_set_conductor_field(d, broken->key, "condition", NULL, NULL), true, "a whole one");
  }
  const char *const none[] = {NULL};
  judge(edit_delete(d, none, &one->key, 1), true, "taken off");
  judge(edit_reland(d, one->key, true, &document_conductor(d, 0)->to, NULL), true, "landed anew");
  judge(edit_land(d, &one->from, &document_conductor(d, 0)->to, NULL), true, "added");
  judge(edit_land_on_conductor(d, &document_conductor(d, 0)->from, one->key, (Point){50, 50}, NULL),
        true, "spliced");
  for (guint i = 0; document_catalog(d)[i] != NULL; i++) {
    const PartKind *kind = document_catalog(d)[i];
    g_autofree char *what = g_strdup_printf("placing a %s", kind->name);
    judge(edit_place(d, kind, (Point){200, 20}, NULL), repair_offers(kind), what);
  }
  dealt_clear(&dealt);
}

static void
everything_else_stays(void **state)
{
  (void)state;
  Dealt dealt = dealt_with("pump-208", "fuse-blown", 0);
  const Document *d = dealt.exercise;
  const Landing earth = {NULL, NULL};
  const Landing here = any_conductor(d)->from;
  judge(edit_set_sheet_field(d, false, "title", "Mine", NULL), false, "the title");
  judge(edit_set_sheet_field(d, true, "tag", "Mine", NULL), false, "the tag");
  judge(edit_set_measured(d, &here, &earth, "120 V", "2026-11-25", NULL), false, "a reading");
  judge(edit_pin(d, &here, &earth, NULL, NULL), false, "a test point");
  judge(edit_intend(d, "fuse-blown", "FU1", NULL), false, "a fault");
  for (guint i = 0; i < document_device_count(d); i++) {
    const Device *device = document_device(d, i);
    const char *const ids[] = {device->id, NULL};
    bool material = repair_offers(device->kind);
    g_autofree char *what = g_strdup_printf("%s", device->id);
    judge(edit_delete(d, ids, NULL, 0), material, what);
    judge(edit_set_id(d, device->id, "ZZ9", NULL), material && false, what);
    judge(edit_duplicate(d, ids, (Point){10, 10}, NULL), material, what);
    judge(edit_move(d, ids, (Point){5, 5}), true, what); /* only where it is drawn */
  }
  g_autoptr(Change) sealed = change_new("Sealed");
  g_autoptr(SheetData) sheet = sheet_data_copy(document_sheet(d));
  assert_true(value_set_text(&sheet->exercise[EXERCISE_NUMBER], &exercise_fields[EXERCISE_NUMBER],
                             NULL, NULL));
  change_sheet(sealed, document_sheet(d), sheet);
  judge(g_steal_pointer(&sealed), false, "no exercise any more");
  dealt_clear(&dealt);
}

/* --- the sealed master --- */

static const char *const samples[] = {"pump-208",        "fan-480",     "heater-240",
                                      "uv-480",          "lesson-taps", "lesson-protection",
                                      "lesson-grounding"};

/* The exercise as it is handed out; NULL: the fault has no such place. */
static Document *
handed_out(const FaultScene *scene, const Fault *fault, guint index, guint number, char **place)
{
  g_autoptr(GPtrArray) places = fault_places(fault, scene);
  if (places->len <= index)
    return NULL;
  DealtFault dealt = {fault, places->pdata[index]};
  g_autoptr(GPtrArray) faults = g_ptr_array_new();
  g_ptr_array_add(faults, &dealt);
  DealtVersion version = {.number = number, .faults = faults, .symptom = (char *)"Nothing runs."};
  Deal deal = {.digest = (char *)"0123456789abcdef0123456789abcdef", .order = deal_order_default};
  g_autoptr(GError) error = NULL;
  Document *document = deal_exercise_document(&deal, &version, scene, "Lesson", &error);
  if (document == NULL)
    fail_msg("%s: %s", fault->name, error->message);
  *place = g_strdup(((FaultPlace *)places->pdata[index])->name);
  return document;
}

static void
the_master_lies_in_it_sealed(void **state)
{
  (void)state;
  g_autoptr(Document) master = script_open("samples", "lesson-taps");
  g_autoptr(Inspection) sound = inspection_new(master);
  g_autoptr(FaultScene) scene = fault_scene_new(sound);
  g_autofree char *place = NULL, *other = NULL;
  g_autoptr(Document) one = handed_out(scene, fault_find("lead-too-low"), 0, 1, &place);
  g_autoptr(Document) two = handed_out(scene, fault_find("fuse-blown"), 0, 2, &other);
  assert_non_null(one);
  assert_non_null(two);
  const char *sealed = sheet_exercise_text(document_sheet(one), EXERCISE_SEALED);
  assert_true(strlen(sealed) > 1000);
  /* Versions of a set cannot be told apart by it. */
  assert_string_equal(sealed, sheet_exercise_text(document_sheet(two), EXERCISE_SEALED));
  gsize size;
  g_autofree guint8 *raw = g_base64_decode(sealed, &size);
  for (gsize i = 0; i + 9 < size; i++)
    assert_memory_not_equal(raw + i, "doorsheet", 9);
  g_autoptr(Document) opened = sealed_open(one);
  assert_non_null(opened);
  assert_int_equal(document_device_count(opened), document_device_count(master));
  assert_int_equal(document_conductor_count(opened), document_conductor_count(master));
  assert_int_equal(document_intended_count(opened),
                   0); /* chosen faults are no student's business */
  g_autoptr(Inspection) again = inspection_new(opened);
  assert_true(findings_sound(again->findings));
  /* Through the file, and not with another set's key or a letter changed. */
  g_autoptr(GBytes) bytes = document_write_memory(one);
  g_autoptr(Document) read = document_read_memory(
      g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes), "x", parts_catalog(), NULL);
  assert_non_null(read);
  g_autoptr(Document) from_file = sealed_open(read);
  assert_true(document_equal(opened, from_file));
  g_autofree char *bent = g_strdup(sealed);
  bent[500] = bent[500] == 'A' ? 'B' : 'A';
  const char *const wrong[][2] = {{"fedcba9876543210", sealed}, {NULL, bent}, {NULL, "AAAA"}};
  for (gsize i = 0; i < G_N_ELEMENTS(wrong); i++) {
    g_autoptr(SheetData) sheet = sheet_data_copy(document_sheet(one));
    if (wrong[i][0] != NULL)
      assert_true(value_set_text(&sheet->exercise[EXERCISE_SET], &exercise_fields[EXERCISE_SET],
                                 wrong[i][0], NULL));
    assert_true(value_set_text(&sheet->exercise[EXERCISE_SEALED], &exercise_fields[EXERCISE_SEALED],
                               wrong[i][1], NULL));
    g_autoptr(Document) copy = document_snapshot(one);
    Change *change = change_new("Wrong");
    change_sheet(change, document_sheet(copy), sheet);
    assert_true(document_apply(copy, change, NULL));
    assert_null(sealed_open(copy));
  }
}

static double
solved_by(const Document *exercise, const Document *final, const char *place, const char *fault,
          bool *mended)
{
  g_autoptr(Attempt) attempt = attempt_new("Jo", "2026-11-25");
  if (place != NULL)
    attempt_add_answer(attempt, place, fault);
  g_autoptr(Score) score = score_new(exercise, final, NULL, attempt);
  assert_true(score->by_reference);
  if (mended != NULL)
    *mended = score->mended;
  return score->solved;
}

static bool
has_conductor(const Document *document, const Conductor *like)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *it = document_conductor(document, i);
    if ((landing_equal(&it->from, &like->from) && landing_equal(&it->to, &like->to)) ||
        (landing_equal(&it->from, &like->to) && landing_equal(&it->to, &like->from)))
      return true;
  }
  return false;
}

/* A missing conductor is named by either device it ran to, and mended by landing another. */
static void
missing_conductors_are_known_without_the_master(void **state)
{
  (void)state;
  guint tried = 0;
  for (gsize s = 0; s < G_N_ELEMENTS(samples); s++) {
    g_autoptr(Document) master = script_open("samples", samples[s]);
    g_autoptr(Inspection) sound = inspection_new(master);
    g_autoptr(FaultScene) scene = fault_scene_new(sound);
    for (guint f = 0; f < fault_count(); f++) {
      const Fault *fault = fault_at(f);
      g_autofree char *place = NULL;
      g_autoptr(Document) exercise =
          fault->edit == FAULT_CUT ? handed_out(scene, fault, 0, 1, &place) : NULL;
      if (exercise == NULL)
        continue;
      const Conductor *gone = NULL;
      for (guint i = 0; i < document_conductor_count(master) && gone == NULL; i++)
        if (!has_conductor(exercise, document_conductor(master, i)))
          gone = document_conductor(master, i);
      assert_non_null(gone);
      const char *ends[] = {gone->from.device, gone->to.device};
      for (gsize e = 0; e < 2; e++)
        if (solved_by(exercise, exercise, ends[e], fault->name, NULL) != SCORE_SOLVED)
          fail_msg("%s: %s at %s, named at %s", samples[s], fault->name, place, ends[e]);
      assert_true(solved_by(exercise, exercise, ends[0], "supply-low", NULL) < SCORE_SOLVED);
      g_autoptr(Document) final = document_snapshot(exercise);
      assert_true(document_apply(final, edit_land(final, &gone->from, &gone->to, NULL), NULL));
      bool mended = false;
      solved_by(exercise, final, NULL, NULL, &mended);
      if (!mended) {
        g_autoptr(Attempt) attempt = attempt_new("Jo", "2026-11-25");
        g_autoptr(Score) score = score_new(exercise, final, NULL, attempt);
        fail_msg("%s: %s at %s: %s", samples[s], fault->name, place, score->why_not);
      }
      tried++;
    }
  }
  g_print("%u missing conductors\n", tried);
  assert_true(tried > 10);
}

/* What the sound diagram has there, new string. */
static char *
master_text(const Document *master, const char *place, const char *field)
{
  const Device *device = document_find_device(master, place);
  if (device != NULL) {
    int at = field_index(device->kind->fields, device->kind->n_fields, field);
    return value_dup_text(&device->values[at], &device->kind->fields[at]);
  }
  int at = field_index(conductor_fields, CONDUCTOR_FIELD_COUNT, field);
  for (guint c = 0; c < document_conductor_count(master); c++) {
    g_autofree char *name = conductor_dup_name(document_conductor(master, c));
    if (strcmp(name, place) == 0)
      return value_dup_text(&document_conductor(master, c)->values[at], &conductor_fields[at]);
  }
  fail_msg("no %s", place);
  return NULL;
}

/* Every rating, size and colour a student may replace mends by physics, whatever the catalogue
 * called it; a worse one does not. */
static void
other_ratings_mend(void **state)
{
  (void)state;
  static const struct {
    const char *sample, *fault, *good, *bad; /* a value of the fault's field */
  } cases[] = {
      {"pump-208", "primary-fuse-too-large", NULL, "60 A"},
      {"pump-208", "fuse-too-small", NULL, "0.05 A"},
      {"pump-208", "device-for-less-volts", "600 V", "30 V"},
      {"pump-208", "transformer-too-small", "500 VA", "10 VA"},
      {"heater-240", "conductor-too-thin", NULL, "16 AWG"},
      {"pump-208", "insulation-too-low", "1 kV", "30 V"},
      {"pump-208", "white-on-a-line", "red", "grey"},
  };
  for (gsize i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(Document) master = script_open("samples", cases[i].sample);
    g_autoptr(Inspection) sound = inspection_new(master);
    g_autoptr(FaultScene) scene = fault_scene_new(sound);
    const Fault *fault = fault_find(cases[i].fault);
    g_autofree char *place = NULL;
    g_autoptr(Document) exercise = NULL;
    /* The first place at what can be replaced. */
    for (guint at = 0; place == NULL; at++) {
      g_clear_pointer(&exercise, document_free);
      exercise = handed_out(scene, fault, at, 1, &place);
      if (exercise == NULL)
        fail_msg("%s has no place on %s", cases[i].fault, cases[i].sample);
      const Device *device = document_find_device(master, place);
      if (device != NULL &&
          !repair_may_differ(device, (guint)field_index(device->kind->fields,
                                                        device->kind->n_fields, fault->field)))
        g_clear_pointer(&place, g_free);
    }
    for (int good = 0; good < 2; good++) {
      g_autoptr(Document) final = document_snapshot(exercise);
      g_autofree char *own = NULL;
      const char *text = good ? cases[i].good : cases[i].bad;
      const Device *before = document_find_device(master, place);
      if (text == NULL) {
        text = own = master_text(master, place, fault->field);
      }
      Change *change = NULL;
      GError *error = NULL;
      for (guint c = 0; c < document_conductor_count(final) && before == NULL; c++) {
        g_autofree char *name = conductor_dup_name(document_conductor(final, c));
        if (strcmp(name, place) == 0)
          change = edit_set_conductor_field(final, document_conductor(final, c)->key, fault->field,
                                            text, &error);
      }
      if (before != NULL)
        change = edit_set_field(final, place, fault->field, text, &error);
      if (change == NULL)
        fail_msg("%s at %s: %s", fault->name, place, error != NULL ? error->message : "not there");
      assert_true(repair_allows(change, NULL));
      assert_true(document_apply(final, change, NULL));
      bool mended;
      solved_by(exercise, final, NULL, NULL, &mended);
      if (mended != (good == 1))
        fail_msg("%s at %s with %s: %s", fault->name, place, text,
                 mended ? "taken for mended" : "not mended");
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nameplates_of_what_is_replaced),
      cmocka_unit_test(conductors_and_material),
      cmocka_unit_test(everything_else_stays),
      cmocka_unit_test(the_master_lies_in_it_sealed),
      cmocka_unit_test(missing_conductors_are_known_without_the_master),
      cmocka_unit_test(other_ratings_mend),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
