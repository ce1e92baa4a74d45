/* SPDX-License-Identifier: MIT */
/* Every edit, what it does, and that undo gives back the same bytes. */
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "small_catalog.h"

#include <math.h>

static char *
dump(const Document *document)
{
  g_autoptr(GBytes) bytes = document_write_memory(document);
  gsize size;
  const char *data = g_bytes_get_data(bytes, &size);
  return g_strndup(data, size);
}

/* Long texts differ in one line mostly: shows that one. */
static void
assert_same_text(const char *a, const char *b)
{
  g_auto(GStrv) x = g_strsplit(a, "\n", -1);
  g_auto(GStrv) y = g_strsplit(b, "\n", -1);
  for (guint i = 0; x[i] != NULL || y[i] != NULL; i++)
    if (g_strcmp0(x[i], y[i]) != 0)
      fail_msg("line %u: \"%s\" against \"%s\"", i + 1, x[i], y[i] != NULL ? y[i] : "(end)");
}

static void
must(Document *document, Change *change)
{
  g_autoptr(GError) error = NULL;
  assert_non_null(change);
  if (!document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

/* Applies, and checks on the way that undo and redo give the same bytes again. */
static void
edit(Document *document, Change *change, const char *title)
{
  g_autofree char *before = dump(document);
  must(document, change);
  g_autofree char *after = dump(document);
  assert_string_not_equal(before, after);
  assert_string_equal(document_undo_title(document), title);
  document_undo(document);
  g_autofree char *undone = dump(document);
  assert_string_equal(before, undone);
  document_redo(document);
  g_autofree char *redone = dump(document);
  assert_string_equal(after, redone);
}

static void
assert_refused(Change *change, GError **error, const char *words)
{
  assert_null(change);
  assert_non_null(*error);
  if (strstr((*error)->message, words) == NULL)
    fail_msg("\"%s\" does not say \"%s\"", (*error)->message, words);
  g_clear_error(error);
}

static Landing
at(const char *device, const char *terminal)
{
  return (Landing){(char *)(guintptr)device, (char *)(guintptr)terminal};
}

static guint32
land(Document *document, const char *a, const char *ta, const char *b, const char *tb)
{
  Landing from = at(a, ta), to = at(b, tb);
  must(document, edit_land(document, &from, &to, NULL));
  return document_conductor(document, document_conductor_count(document) - 1)->key;
}

/* T1 at 0,0; CR1 at 100,0; LD1 at 200,0; CR1.2-LD1.L1 with two bends, numbered and 10 ft long. */
static Document *
sheet(guint32 *key)
{
  Document *document = document_new(small_catalog);
  must(document, edit_place(document, &bank_kind, (Point){0, 0}, NULL));
  must(document, edit_place(document, &contact_kind, (Point){100, 0}, NULL));
  must(document, edit_place(document, &every_kind, (Point){200, 0}, NULL));
  *key = land(document, "CR1", "2", "LD1", "L1");
  must(document, edit_set_conductor_field(document, *key, "number", "101", NULL));
  must(document, edit_set_conductor_field(document, *key, "length", "10 ft", NULL));
  Point via[] = {{120, 20}, {200, 20}};
  must(document, edit_set_via(document, *key, via, 2));
  Landing a = at("CR1", "2"), earth = {NULL, NULL};
  must(document, edit_set_measured(document, &a, &earth, "118 V", "2026-11-25", NULL));
  return document;
}

static void
test_place(void **state)
{
  (void)state;
  g_autoptr(Document) document = document_new(small_catalog);
  g_autofree char *id = NULL;
  edit(document, edit_place(document, &bank_kind, (Point){11, 19.9}, &id), "Place T1");
  assert_string_equal(id, "T1");
  const Device *device = document_find_device(document, "T1");
  assert_true(point_equal(device->placement.at, (Point){10, 20})); /* on the grid */
  edit(document, edit_place(document, &bank_kind, (Point){1e300, (double)NAN}, NULL), "Place T2");
  device = document_find_device(document, "T2");
  assert_true(device->placement.at.x == DOCUMENT_MAX_MM && device->placement.at.y == 0.0);
}

static void
test_move_turn_mirror(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(Document) document = sheet(&key);
  g_autofree char *start = dump(document);
  const char *pair[] = {"CR1", "LD1", NULL}, *one[] = {"CR1", NULL}, *none[] = {"XX", NULL};
  edit(document, edit_move(document, pair, (Point){10, 5}), "Move 2 devices");
  const Conductor *conductor = document_find_conductor(document, key);
  assert_true(point_equal(g_array_index(conductor->via, Point, 0), (Point){130, 25}));
  edit(document, edit_move(document, one, (Point){-10, -5}), "Move CR1");
  conductor = document_find_conductor(document, key);
  assert_true(point_equal(g_array_index(conductor->via, Point, 0), (Point){130, 25})); /* stays */
  document_undo(document);
  document_undo(document);

  Change *nothing = edit_move(document, none, (Point){10, 5});
  assert_true(change_is_empty(nothing));
  change_free(nothing);
  nothing = edit_move(document, pair, (Point){0, 0});
  assert_true(change_is_empty(nothing));
  change_free(nothing);

  edit(document, edit_turn(document, pair, 1), "Turn 2 devices");
  const Device *second = document_find_device(document, "LD1");
  assert_true(point_equal(second->placement.at, (Point){100, 100}));
  assert_int_equal(second->placement.turns, 1);
  for (int i = 0; i < 3; i++)
    must(document, edit_turn(document, pair, 1));
  g_autofree char *round = dump(document);
  assert_string_equal(start, round);
  must(document, edit_turn(document, pair, 7));  /* three quarters on */
  must(document, edit_turn(document, pair, -3)); /* three quarters back */
  g_autofree char *level = dump(document);
  assert_string_equal(start, level);

  edit(document, edit_mirror(document, pair), "Mirror 2 devices");
  second = document_find_device(document, "LD1");
  assert_true(point_equal(second->placement.at, (Point){0, 0}));
  assert_true(second->placement.mirrored);
  must(document, edit_mirror(document, pair));
  g_autofree char *back = dump(document);
  assert_string_equal(start, back);
}

/* Rigid motions keep every distance between the terminals of a group. */
static void
test_motions_are_rigid(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(Document) document = sheet(&key);
  const char *all[] = {"T1", "CR1", "LD1", NULL};
  must(document, edit_turn(document, (const char *[]){"LD1", NULL}, 1));
  const Device *a = document_find_device(document, "T1");
  const Device *b = document_find_device(document, "LD1");
  double was = point_distance(device_terminal_point(a, 1), device_terminal_point(b, 1));
  for (int turn = 0; turn < 4; turn++)
    for (int mirror = 0; mirror < 2; mirror++) {
      Change *turned = edit_turn(document, all, turn);
      must(document, turned);
      if (mirror)
        must(document, edit_mirror(document, all));
      a = document_find_device(document, "T1");
      b = document_find_device(document, "LD1");
      double is = point_distance(device_terminal_point(a, 1), device_terminal_point(b, 1));
      assert_true(ABS(is - was) < 1e-9);
    }
}

static void
test_delete(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(Document) document = sheet(&key);
  guint32 other = land(document, "T1", "X1", "CR1", "1");
  const char *ids[] = {"LD1", NULL};
  edit(document, edit_delete(document, ids, NULL, 0), "Delete LD1");
  assert_int_equal(document_conductor_count(document), 1);
  assert_int_equal(document_measured_count(document), 1);
  document_undo(document);
  edit(document, edit_delete(document, NULL, &other, 1), "Delete conductor T1.X1-CR1.1");
  const char *contact[] = {"CR1", NULL};
  edit(document, edit_delete(document, contact, &key, 1), "Delete CR1");
  assert_int_equal(document_conductor_count(document), 0);
  assert_int_equal(document_measured_count(document), 0);
  guint32 gone[] = {key, key, 12345};
  Change *nothing = edit_delete(document, contact, gone, 3);
  assert_true(change_is_empty(nothing));
  change_free(nothing);
}

static void
test_fields(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  edit(document, edit_set_field(document, "T1", "rating", "100 VA", &error), "Set rating of T1");
  assert_refused(edit_set_field(document, "T1", "rating", "100", &error), &error,
                 "T1, rating: \"100\" cannot be read");
  assert_refused(edit_set_field(document, "T9", "rating", "1 VA", &error), &error,
                 "no device \"T9\"");
  assert_refused(edit_set_field(document, "T1", "rating", "13 VA", &error), &error, "nobody");
  edit(document, edit_set_field(document, "T1", "rating", NULL, &error), "Set rating of T1");
  Change *same = edit_set_field(document, "T1", "rating", NULL, &error);
  assert_true(change_is_empty(same));
  change_free(same);
  edit(document, edit_set_conductor_field(document, key, "gauge", "14 AWG", &error),
       "Set gauge of conductor 101");
  assert_refused(edit_set_conductor_field(document, key, "gauge", "14 V", &error), &error,
                 "conductor 101, gauge: \"14 V\" cannot be read");
  assert_refused(edit_set_conductor_field(document, 999, "gauge", "14 AWG", &error), &error,
                 "no longer on the sheet");
  edit(document, edit_set_sheet_field(document, false, "paper", "a4", &error),
       "Set paper of the sheet");
  edit(document, edit_set_sheet_field(document, true, "tag", "MAU-2", &error),
       "Set tag of the equipment");
  assert_refused(edit_set_sheet_field(document, false, "paper", "a5", &error), &error,
                 "sheet, paper: \"a5\" is not a choice");
  assert_refused(edit_set_sheet_field(document, true, "paper", "a4", &error), &error,
                 "no field \"paper\"");
}

static void
test_rows(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  land(document, "T1", "X2", "CR1", "1");
  Landing a = at("T1", "X2"), b = at("T1", "X1");
  must(document, edit_set_measured(document, &a, &b, "24 V", NULL, NULL));
  edit(document, edit_set_row_field(document, "T1", 3, "name", "X4", &error),
       "Set name of T1, Lead 4");
  assert_string_equal(document_conductor(document, 1)->from.terminal, "X4"); /* follows */
  assert_string_equal(document_measured(document, 1)->a.terminal, "X4");
  assert_int_equal(document_landings(document, "T1", "X4"), 1);
  edit(document, edit_set_row_field(document, "T1", 3, "volts", "28 V", &error),
       "Set volts of T1, Lead 4");
  assert_refused(edit_set_row_field(document, "T1", 3, "name", "X1", &error), &error,
                 "two terminals named \"X1\"");
  assert_refused(edit_set_row_field(document, "T1", 8, "name", "X9", &error), &error, "no lead 9");
  edit(document, edit_add_row(document, "T1", &error), "Add a lead to T1");
  assert_string_equal(device_row_text(document_find_device(document, "T1"), 4, 0), "X5");
  edit(document, edit_remove_row(document, "T1", 4, &error), "Remove lead 5 of T1");
  assert_refused(edit_remove_row(document, "T1", 4, &error), &error, "T1 has no lead 5; it has 4");
  assert_refused(edit_add_row(document, "CR1", &error), &error, "has no rows");
  Change *loses = edit_remove_row(document, "T1", 3, &error);
  assert_non_null(loses);
  assert_false(document_apply(document, loses, &error));
  assert_non_null(strstr(error->message, "conductor T1.X4-CR1.1 still lands on T1.X4"));
  g_clear_error(&error);
  for (int i = 0; i < 4; i++)
    must(document, edit_add_row(document, "T1", &error));
  assert_refused(edit_add_row(document, "T1", &error), &error, "at most 8");
}

static void
test_rename(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  must(document, edit_place(document, &contact_kind, (Point){0, 100}, NULL));
  must(document, edit_set_field(document, "CR2", "coil", "CR1", NULL));
  must(document, edit_set_field(document, "CR2", "across", "CR1.1 CR1.2", NULL));
  edit(document, edit_set_id(document, "CR1", "M7", &error), "Rename CR1 to M7");
  assert_null(document_find_device(document, "CR1"));
  assert_string_equal(document_find_conductor(document, key)->from.device, "M7");
  assert_string_equal(document_measured(document, 0)->a.device, "M7");
  const Device *contact = document_find_device(document, "CR2");
  assert_string_equal(device_text(contact, 0), "M7");
  assert_string_equal(device_text(contact, 1), "M7.1 M7.2");
  assert_int_equal(document_landings(document, "M7", "2"), 1);
  assert_refused(edit_set_id(document, "M7", "T1", &error), &error, "already has a device \"T1\"");
  assert_refused(edit_set_id(document, "M7", "a b", &error), &error, "is not a name");
  assert_refused(edit_set_id(document, "CR1", "M8", &error), &error, "no device \"CR1\"");
  Change *same = edit_set_id(document, "M7", "M7", &error);
  assert_true(change_is_empty(same));
  change_free(same);
}

/* A contact's coil follows the coil's designation, but not when two devices share it. */
static void
test_designation_is_followed(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(Document) document = sheet(&key);
  must(document, edit_set_field(document, "CR1", "coil", "T1", NULL));
  edit(document, edit_set_field(document, "T1", "designation", "T-A", NULL),
       "Set designation of T1");
  assert_string_equal(device_text(document_find_device(document, "CR1"), 0), "T-A");
  must(document, edit_place(document, &bank_kind, (Point){0, 50}, NULL));
  must(document, edit_set_field(document, "T2", "designation", "T-A", NULL));
  must(document, edit_set_field(document, "T1", "designation", "T-B", NULL));
  assert_string_equal(device_text(document_find_device(document, "CR1"), 0), "T-A");
}

static void
test_land(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  Landing x1 = at("T1", "X1"), one = at("CR1", "1"), two = at("CR1", "2"), l1 = at("LD1", "L1");
  Landing nowhere = at("T1", "X7"), nobody = at("T7", "X1"), earth = {NULL, NULL};
  edit(document, edit_land(document, &x1, &one, &error), "Land T1.X1 on CR1.1");
  assert_refused(edit_land(document, &one, &x1, &error), &error,
                 "conductor T1.X1-CR1.1 already joins CR1.1 and T1.X1");
  assert_refused(edit_land(document, &l1, &two, &error), &error, "conductor 101 already joins");
  assert_refused(edit_land(document, &x1, &x1, &error), &error, "same terminal T1.X1");
  assert_refused(edit_land(document, &x1, &nowhere, &error), &error, "it has H1, H2, X1, X2");
  assert_refused(edit_land(document, &nobody, &x1, &error), &error, "no device \"T7\"");
  assert_refused(edit_land(document, &earth, &x1, &error), &error, "nothing to land on");

  Landing x2 = at("T1", "X2");
  edit(document, edit_reland(document, key, false, &x2, &error), "Move conductor 101 to T1.X2");
  assert_int_equal(document_landings(document, "LD1", "L1"), 0);
  assert_int_equal(document_landings(document, "T1", "X2"), 1);
  edit(document, edit_reland(document, key, true, &l1, &error), "Move conductor 101 to LD1.L1");
  assert_refused(edit_reland(document, key, true, &x2, &error), &error, "same terminal");
  assert_refused(edit_reland(document, 777, true, &x2, &error), &error, "no longer");
  assert_refused(edit_reland(document, key, true, &nowhere, &error), &error, "no terminal");
  Change *same = edit_reland(document, key, true, &l1, &error);
  assert_true(change_is_empty(same));
  change_free(same);
}

static void
test_land_on_conductor(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  Landing x1 = at("T1", "X1"), own = at("CR1", "2");
  /* Drawn from 120,0 over 120,20 and 200,20 to 200,0: 20 + 80 + 20 mm; half way is 160,20. */
  edit(document, edit_land_on_conductor(document, &x1, key, (Point){160, 21}, &error),
       "Splice T1.X1 into conductor 101");
  const Device *splice = document_find_device(document, "SP1");
  assert_true(point_equal(splice->placement.at, (Point){160, 20}));
  const Conductor *first = document_find_conductor(document, key);
  assert_string_equal(first->from.device, "CR1");
  assert_string_equal(first->to.device, "SP1");
  const Conductor *second = document_conductor(document, 1);
  assert_string_equal(second->from.device, "SP1");
  assert_string_equal(second->to.device, "LD1");
  assert_int_equal(first->via->len, 1);
  assert_int_equal(second->via->len, 1);
  assert_string_equal(conductor_text(first, CONDUCTOR_LENGTH), "5 ft");
  assert_string_equal(conductor_text(second, CONDUCTOR_LENGTH), "5 ft");
  assert_string_equal(conductor_text(second, CONDUCTOR_NUMBER), "101");
  const Conductor *branch = document_conductor(document, 2);
  assert_string_equal(branch->from.device, "T1");
  assert_string_equal(branch->to.device, "SP1");
  assert_int_equal(document_landings(document, "SP1", "1"), 3);
  assert_refused(edit_land_on_conductor(document, &own, key, (Point){130, 20}, &error), &error,
                 "conductor 101 already lands on CR1.2");
  assert_refused(edit_land_on_conductor(document, &x1, 4711, (Point){0, 0}, &error), &error,
                 "no longer");

  static const PartKind *const no_splice[] = {&contact_kind, NULL};
  g_autoptr(Document) poor = document_new(no_splice);
  must(poor, edit_place(poor, &contact_kind, (Point){0, 0}, NULL));
  must(poor, edit_place(poor, &contact_kind, (Point){50, 0}, NULL));
  must(poor, edit_place(poor, &contact_kind, (Point){50, 50}, NULL));
  guint32 wire = land(poor, "CR1", "1", "CR2", "1");
  Landing third = at("CR3", "1");
  assert_refused(edit_land_on_conductor(poor, &third, wire, (Point){20, 0}, &error), &error,
                 "no splice");
}

/* Both parts keep the length of the whole wherever the cut lies. */
static void
test_split_keeps_length(void **state)
{
  (void)state;
  static const char *const lengths[] = {"10 ft", "3.7 m", "0.13 m", "999.99 ft", "0 m"};
  for (guint i = 0; i < G_N_ELEMENTS(lengths); i++)
    for (int x = 0; x <= 100; x += 7) {
      guint32 key;
      g_autoptr(Document) document = sheet(&key);
      must(document, edit_set_conductor_field(document, key, "length", lengths[i], NULL));
      const FieldSpec *field = &conductor_fields[CONDUCTOR_LENGTH];
      double whole = value_number(&document_find_conductor(document, key)->values[CONDUCTOR_LENGTH],
                                  field, -1);
      Landing x1 = at("T1", "X1");
      must(document,
           edit_land_on_conductor(document, &x1, key, (Point){100 + x, x % 3 * 10.0}, NULL));
      double first =
          value_number(&document_conductor(document, 0)->values[CONDUCTOR_LENGTH], field, -1);
      double second =
          value_number(&document_conductor(document, 1)->values[CONDUCTOR_LENGTH], field, -1);
      assert_true(first >= 0 && second >= 0);
      assert_true(ABS(first + second - whole) < 1e-9);
    }
}

static void
test_via(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(Document) document = sheet(&key);
  Point via[] = {{121, 31}};
  edit(document, edit_set_via(document, key, via, 1), "Route conductor 101");
  const Conductor *conductor = document_find_conductor(document, key);
  assert_true(point_equal(g_array_index(conductor->via, Point, 0), (Point){120, 30}));
  edit(document, edit_set_via(document, key, NULL, 0), "Route conductor 101");
  Change *nothing = edit_set_via(document, 4711, via, 1);
  assert_true(change_is_empty(nothing));
  change_free(nothing);
}

static void
test_measured(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  Landing a = at("CR1", "2"), b = at("LD1", "T1"), earth = {NULL, NULL}, bad = at("LD1", "T9");
  edit(document, edit_set_measured(document, &a, &b, "0.3 V", "2026-11-25", &error),
       "Note reading CR1.2 to LD1.T1");
  edit(document, edit_set_measured(document, &earth, &a, "119 V", NULL, &error),
       "Note reading GND to CR1.2");
  assert_int_equal(document_measured_count(document), 2); /* the old note of that pair */
  assert_string_equal(document_measured(document, 0)->values[MEASURED_VALUE].text, "119 V");
  edit(document, edit_set_measured(document, &a, &earth, "", NULL, &error),
       "Note reading CR1.2 to GND");
  assert_int_equal(document_measured_count(document), 1);
  assert_refused(edit_set_measured(document, &a, &bad, "1 V", NULL, &error), &error, "LD1 has no");
  assert_refused(edit_set_measured(document, &a, &a, "1 V", NULL, &error), &error, "same point");
  assert_refused(edit_set_measured(document, &earth, &earth, "1 V", NULL, &error), &error,
                 "same point");
  assert_refused(edit_set_measured(document, &a, &b, "118", NULL, &error), &error,
                 "reading CR1.2 to LD1.T1: \"118\" cannot be read");
}

/* A pair has one note for each state; only what is said in neither goes. */
static void
test_measured_locked_out(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  Landing a = at("CR1", "2"), b = at("LD1", "T1");
  guint before = document_measured_count(document);
  edit(document, edit_set_measured(document, &a, &b, "118 V", "2026-11-25", &error),
       "Note reading CR1.2 to LD1.T1");
  must(document, edit_note_reading(document, &b, &a, MEASURED_LOCKED_OUT, MEASURED_OHMS, "12 ohm",
                                   "2026-11-25", NULL));
  must(document, edit_note_reading(document, &a, &b, MEASURED_LOCKED_OUT, MEASURED_VALUE, "0 V",
                                   "2026-11-25", NULL));
  assert_int_equal(document_measured_count(document), before + 2);
  const Measured *cold = document_find_measured(document, &a, &b, MEASURED_LOCKED_OUT);
  assert_string_equal(cold->values[MEASURED_OHMS].text, "12 ohm");
  assert_string_equal(cold->values[MEASURED_VALUE].text, "0 V");
  const Measured *live = document_find_measured(document, &b, &a, MEASURED_ENERGIZED);
  assert_string_equal(live->values[MEASURED_VALUE].text, "118 V");
  assert_false(live->values[MEASURED_STATE].is_set); /* not written: files stay as they were */
  must(document, edit_note_reading(document, &a, &b, MEASURED_LOCKED_OUT, MEASURED_OHMS, NULL,
                                   "2026-11-25", NULL));
  must(document, edit_note_reading(document, &a, &b, MEASURED_LOCKED_OUT, MEASURED_VALUE, "", NULL,
                                   NULL));
  assert_null(document_find_measured(document, &a, &b, MEASURED_LOCKED_OUT));
  assert_refused(edit_note_reading(document, &a, &b, MEASURED_LOCKED_OUT, MEASURED_OHMS, "12 V",
                                   NULL, &error),
                 &error, "reading CR1.2 to LD1.T1: ");
}

static void
test_pin(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  Landing a = at("CR1", "2"), b = at("LD1", "T1"), earth = {NULL, NULL}, bad = at("LD1", "T9");
  guint before = document_measured_count(document);
  g_autofree char *first = NULL, *second = NULL;
  edit(document, edit_pin(document, &a, &b, &first, &error), "Pin TP1, CR1.2 to LD1.T1");
  edit(document, edit_pin(document, &b, &earth, &second, &error), "Pin TP2, LD1.T1 to GND");
  assert_string_equal(first, "TP1");
  assert_string_equal(second, "TP2");
  assert_refused(edit_pin(document, &b, &a, NULL, &error), &error, "already test point TP1");
  assert_refused(edit_pin(document, &a, &bad, NULL, &error), &error, "LD1 has no");
  assert_refused(edit_pin(document, &a, &a, NULL, &error), &error, "same point");
  /* A reading joins its test point, and outlives it. */
  must(document, edit_set_measured(document, &b, &a, "24 V", NULL, NULL));
  assert_int_equal(document_measured_count(document), before + 2);
  edit(document, edit_unpin(document, &a, &b, &error), "Unpin TP1");
  const Measured *left = document_find_measured(document, &a, &b, MEASURED_ENERGIZED);
  assert_string_equal(left->values[MEASURED_VALUE].text, "24 V");
  assert_null(measured_point(left));
  assert_refused(edit_unpin(document, &a, &b, &error), &error, "no test point");
  must(document, edit_unpin(document, &earth, &b, NULL));
  assert_null(document_find_measured(document, &b, &earth, MEASURED_ENERGIZED));
  /* The lowest free number again, and none that a device has. */
  must(document, edit_set_id(document, "LD1", "TP1", NULL));
  g_autofree char *third = NULL;
  must(document, edit_pin(document, &a, &earth, &third, NULL));
  assert_string_equal(third, "TP2");
}

static void
test_operate(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) document = sheet(&key);
  edit(document, edit_operate(document, "CR1", &error), "Close CR1");
  assert_true(device_flag(document_find_device(document, "CR1"), 2));
  edit(document, edit_operate(document, "CR1", &error), "Open CR1");
  edit(document, edit_operate(document, "LD1", &error), "Set state of LD1 to locked");
  edit(document, edit_operate(document, "LD1", &error), "Set state of LD1 to off");
  edit(document, edit_operate(document, "LD1", &error), "Set state of LD1 to run");
  assert_refused(edit_operate(document, "T1", &error), &error, "nothing to operate");
  assert_refused(edit_operate(document, "T9", &error), &error, "no device");
}

static void
test_duplicate(void **state)
{
  (void)state;
  guint32 key;
  g_autoptr(Document) document = sheet(&key);
  must(document, edit_set_field(document, "T1", "designation", "T-A", NULL));
  must(document, edit_set_field(document, "CR1", "coil", "T-A", NULL));
  must(document, edit_set_field(document, "CR1", "across", "LD1.L1 CR1.1", NULL));
  land(document, "T1", "X1", "CR1", "1");
  const char *ids[] = {"LD1", "CR1", "T1", NULL};
  g_autoptr(GPtrArray) new_ids = g_ptr_array_new_with_free_func(g_free);
  edit(document, edit_duplicate(document, ids, (Point){0, 100}, new_ids), "Duplicate 3 devices");
  assert_int_equal(new_ids->len, 3);
  assert_int_equal(document_device_count(document), 6);
  assert_int_equal(document_conductor_count(document), 4);
  const Device *bank = document_find_device(document, "T2");
  assert_string_equal(device_designation(bank), "T2");
  const Device *contact = document_find_device(document, "CR2");
  assert_string_equal(device_text(contact, 0), "T2");
  assert_string_equal(device_text(contact, 1), "LD2.L1 CR2.1");
  assert_true(point_equal(contact->placement.at, (Point){100, 100}));
  const Conductor *copy = document_conductor(document, 2);
  assert_string_equal(copy->from.device, "CR2");
  assert_string_equal(conductor_text(copy, CONDUCTOR_NUMBER), "");
  assert_string_equal(conductor_text(copy, CONDUCTOR_LENGTH), "10 ft");
  assert_true(point_equal(g_array_index(copy->via, Point, 0), (Point){120, 120}));
  const char *one[] = {"CR2", NULL};
  edit(document, edit_duplicate(document, one, (Point){0, 50}, NULL), "Duplicate CR2");
  assert_string_equal(device_text(document_find_device(document, "CR3"), 0), "T2"); /* outside */
  assert_int_equal(document_conductor_count(document), 4);
}

/* --- any edit after any other --- */

static const char *
any_id(GRand *dice, const Document *document)
{
  guint n = document_device_count(document);
  return n > 0 ? document_device(document, (guint)g_rand_int_range(dice, 0, (gint32)n))->id
               : "none";
}

static guint32
any_key(GRand *dice, const Document *document)
{
  guint n = document_conductor_count(document);
  return n > 0 ? document_conductor(document, (guint)g_rand_int_range(dice, 0, (gint32)n))->key : 0;
}

static Landing
any_landing(GRand *dice, const Document *document)
{
  for (int attempt = 0; attempt < 10; attempt++) {
    const Device *device = document_find_device(document, any_id(dice, document));
    guint n = device != NULL ? device_terminal_count(device) : 0;
    if (n > 0)
      return at(device->id,
                device_terminal(device, (guint)g_rand_int_range(dice, 0, (gint32)n))->name);
  }
  return at("none", "1");
}

static Point
any_point(GRand *dice)
{
  return (Point){g_rand_int_range(dice, -100, 400), g_rand_int_range(dice, -100, 300)};
}

static Change *
any_device_edit(GRand *dice, const Document *document, int which)
{
  const char *ids[] = {any_id(dice, document), any_id(dice, document), any_id(dice, document),
                       NULL};
  const PartKind *kind = small_catalog[g_rand_int_range(dice, 0, 5)];
  guint32 key = any_key(dice, document);
  g_autofree char *name = g_strdup_printf("N%d", g_rand_int_range(dice, 0, 60));
  static const char *const ratings[] = {"100 VA", "1 kVA", NULL, "13 VA", "rubbish"};
  switch (which) {
  case 0:
    return edit_move(document, ids, any_point(dice));
  case 1:
    return edit_turn(document, ids, g_rand_int_range(dice, -5, 6));
  case 2:
    return edit_mirror(document, ids);
  case 3:
    ids[g_rand_int_range(dice, 0, 2)] = NULL;
    return edit_delete(document, ids, &key, (guint)g_rand_int_range(dice, 0, 2));
  case 4:
    ids[2] = NULL;
    return edit_duplicate(document, ids, any_point(dice), NULL);
  case 5:
    return edit_set_id(document, ids[0], name, NULL);
  case 6:
    return edit_operate(document, ids[0], NULL);
  case 7:
    return edit_set_field(document, ids[0], "rating", ratings[g_rand_int_range(dice, 0, 5)], NULL);
  case 8:
    return edit_set_field(document, ids[0], "poles",
                          g_rand_boolean(dice)   ? "3"
                          : g_rand_boolean(dice) ? "1"
                                                 : "2",
                          NULL);
  case 9:
    return edit_set_field(document, ids[0], "coil", ids[1], NULL);
  default:
    return edit_place(document, kind, any_point(dice), NULL);
  }
}

static Change *
any_edit(GRand *dice, const Document *document)
{
  Landing a = any_landing(dice, document), b = any_landing(dice, document), earth = {NULL, NULL};
  const char *id = any_id(dice, document);
  guint32 key = any_key(dice, document);
  Point via[] = {any_point(dice), any_point(dice), any_point(dice)};
  guint row = (guint)g_rand_int_range(dice, 0, 6);
  g_autofree char *text = g_strdup_printf("%d", g_rand_int_range(dice, 1, 200));
  g_autofree char *volts = g_strdup_printf("%s V", text);
  switch (g_rand_int_range(dice, 0, 28)) {
  case 26:
    return edit_pin(document, &a, g_rand_boolean(dice) ? &b : &earth, NULL, NULL);
  case 27: {
    guint n = document_measured_count(document);
    const Measured *any =
        n > 0 ? document_measured(document, (guint)g_rand_int_range(dice, 0, (gint32)n)) : NULL;
    if (any == NULL || g_rand_boolean(dice))
      return edit_note_reading(document, &a, &earth, MEASURED_LOCKED_OUT, MEASURED_VALUE, volts,
                               NULL, NULL);
    return edit_unpin(document, &any->a, &any->b, NULL);
  }
  case 0:
  case 1:
  case 2:
  case 3:
    return edit_land(document, &a, &b, NULL);
  case 4:
    return edit_reland(document, key, g_rand_boolean(dice), &a, NULL);
  case 5:
    return edit_land_on_conductor(document, &a, key, via[0], NULL);
  case 6:
    return edit_set_via(document, key, via, (guint)g_rand_int_range(dice, 0, 4));
  case 7:
    return edit_set_conductor_field(document, key, "number", text, NULL);
  case 8:
    return edit_set_conductor_field(document, key, "length", "10 ft", NULL);
  case 9:
    return edit_set_sheet_field(document, false, "title", text, NULL);
  case 10:
    return edit_set_measured(document, &a, g_rand_boolean(dice) ? &b : &earth,
                             g_rand_int_range(dice, 0, 4) > 0 ? volts : NULL, NULL, NULL);
  case 11:
    return edit_add_row(document, id, NULL);
  case 12:
    return edit_remove_row(document, id, row, NULL);
  case 13:
    return edit_set_row_field(document, id, row, "volts", volts, NULL);
  case 14:
    return edit_set_row_field(document, id, row, "name", text, NULL);
  default:
    return any_device_edit(dice, document, g_rand_int_range(dice, 0, 13));
  }
}

/* Counts and look-ups kept step by step are those counted from nothing. */
static void
assert_counts(const Document *document)
{
  g_autoptr(GHashTable) counts = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    assert_ptr_equal(document_find_conductor(document, conductor->key), conductor);
    const Landing *ends[] = {&conductor->from, &conductor->to};
    for (guint j = 0; j < 2; j++) {
      char *name = landing_dup_name(ends[j]);
      guint n = GPOINTER_TO_UINT(g_hash_table_lookup(counts, name));
      g_hash_table_insert(counts, name, GUINT_TO_POINTER(n + 1));
    }
  }
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    assert_int_equal(document_device_index(document, device->id), i);
    for (guint j = 0; j < device_terminal_count(device); j++) {
      const char *terminal = device_terminal(device, j)->name;
      g_autofree char *name = g_strdup_printf("%s.%s", device->id, terminal);
      assert_int_equal(document_landings(document, device->id, terminal),
                       GPOINTER_TO_UINT(g_hash_table_lookup(counts, name)));
    }
  }
  static const char *const letters[] = {"T", "CR", "LD", "SP", "BOX", "N"};
  for (guint i = 0; i < G_N_ELEMENTS(letters); i++) {
    g_autofree char *id = document_free_id(document, letters[i]);
    for (guint number = 1;; number++) {
      g_autofree char *expected = g_strdup_printf("%s%u", letters[i], number);
      if (document_find_device(document, expected) != NULL)
        continue;
      assert_string_equal(id, expected);
      break;
    }
  }
}

/* Random edits; now and then some are undone and redone; at the end everything back to the empty
 * sheet and forward again. Every state on the way back has the bytes it had on the way forth, and
 * reads back as the same bytes. */
static void
test_random_edits(void **state)
{
  (void)state;
  const guint seed = 20261125, wanted = 3000;
  g_autoptr(GRand) dice = g_rand_new_with_seed(seed);
  g_autoptr(Document) document = document_new(small_catalog);
  g_autoptr(GPtrArray) states = g_ptr_array_new_with_free_func(g_free);
  g_ptr_array_add(states, dump(document));
  guint refused = 0;
  while (states->len <= wanted) {
    Change *change = any_edit(dice, document);
    bool empty = change == NULL || change_is_empty(change);
    if (empty)
      change_free(change);
    if (empty || !document_apply(document, change, NULL)) {
      refused++;
      continue;
    }
    g_ptr_array_add(states, dump(document));
    if (states->len % 50 == 0)
      assert_counts(document);
    while (document_device_count(document) > 60) { /* keep it small, by an edit like any other */
      const char *ids[] = {any_id(dice, document), NULL};
      must(document, edit_delete(document, ids, NULL, 0));
      g_ptr_array_add(states, dump(document));
    }
  }
  assert_true(refused > 100); /* refusals were tried as well */
  for (guint i = states->len - 1; i > 0; i--) {
    document_undo(document);
    g_autofree char *now = dump(document);
    if (strcmp(now, states->pdata[i - 1]) != 0)
      fail_msg("seed %u: undo of \"%s\" (step %u) differs", seed, document_redo_title(document), i);
  }
  assert_false(document_can_undo(document));
  assert_counts(document);
  for (guint i = 1; i < states->len; i++) {
    document_redo(document);
    g_autofree char *now = dump(document);
    if (strcmp(now, states->pdata[i]) != 0)
      fail_msg("seed %u: redo of \"%s\" (step %u) differs", seed, document_undo_title(document), i);
    if (i % 40 != 0)
      continue;
    assert_counts(document);
    g_autoptr(GError) error = NULL;
    g_autoptr(Document) read =
        document_read_memory(now, strlen(now), "state", small_catalog, &error);
    if (read == NULL)
      fail_msg("seed %u, step %u: %s", seed, i, error->message);
    assert_true(document_equal(document, read));
    g_autofree char *written = dump(read);
    assert_same_text(now, written);
  }
  assert_false(document_can_redo(document));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_place),
      cmocka_unit_test(test_move_turn_mirror),
      cmocka_unit_test(test_motions_are_rigid),
      cmocka_unit_test(test_delete),
      cmocka_unit_test(test_fields),
      cmocka_unit_test(test_rows),
      cmocka_unit_test(test_rename),
      cmocka_unit_test(test_designation_is_followed),
      cmocka_unit_test(test_land),
      cmocka_unit_test(test_land_on_conductor),
      cmocka_unit_test(test_split_keeps_length),
      cmocka_unit_test(test_via),
      cmocka_unit_test(test_measured),
      cmocka_unit_test(test_measured_locked_out),
      cmocka_unit_test(test_pin),
      cmocka_unit_test(test_operate),
      cmocka_unit_test(test_duplicate),
      cmocka_unit_test(test_random_edits),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
