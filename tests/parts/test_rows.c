/* SPDX-License-Identifier: MIT */
/* Rows that move and go (leads, contacts), and nameplates that are replaced: what is landed stays
 * landed on the same lead, or the edit says what happens to it. */
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define SHEET(inside) "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">" inside "</doorsheet>"
#define FUSES                                                                                      \
  "<device id=\"FU1\" kind=\"fuse\" x=\"0\" y=\"0\"/>"                                             \
  "<device id=\"FU2\" kind=\"fuse\" x=\"0\" y=\"20\"/>"
#define LEAD(name, winding, volts) "<lead " name "winding=\"" winding "\" volts=\"" volts "\"/>"
#define TRANSFORMER(leads)                                                                         \
  "<device id=\"T1\" kind=\"transformer\" x=\"50\" y=\"0\" designation=\"TC\">" leads "</device>"
#define NAMED                                                                                      \
  TRANSFORMER(LEAD("name=\"H3\" ", "primary", "480 V") LEAD("name=\"H2\" ", "primary", "240 V")    \
                  LEAD("name=\"H1\" ", "primary", "0 V") LEAD("name=\"X2\" ", "secondary", "24 V") \
                      LEAD("name=\"X1\" ", "secondary", "0 V"))
#define NUMBERED                                                                                   \
  TRANSFORMER(LEAD("", "primary", "480 V") LEAD("", "primary", "240 V") LEAD("", "primary", "0 V") \
                  LEAD("", "secondary", "24 V") LEAD("", "secondary", "0 V"))

static Document *
read_sheet(const char *text)
{
  g_autoptr(GError) error = NULL;
  Document *document = document_read_memory(text, strlen(text), "test", parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

static void
apply(Document *document, Change *change, GError *error)
{
  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

/* The volts written on the lead a conductor of this number lands on with its far end. */
static const char *
volts_at(const Document *document, const char *number)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    if (strcmp(conductor_text(conductor, CONDUCTOR_NUMBER), number) != 0)
      continue;
    const Device *device;
    guint terminal;
    assert_true(document_resolve(document, &conductor->to, &device, &terminal));
    int row = device_terminal(device, terminal)->row;
    int field = field_index(device->kind->row_fields, device->kind->n_row_fields, "volts");
    return device_row_text(device, (guint)row, (guint)field);
  }
  return NULL;
}

/* Name of the terminal of a row. */
static const char *
lead(const Document *document, guint row)
{
  const Device *device = document_find_device(document, "T1");
  for (guint t = 0; t < device_terminal_count(device); t++)
    if (device_terminal(device, t)->row == (int)row)
      return device_terminal(device, t)->name;
  return NULL;
}

static Document *
landed(const char *transformer, bool measured)
{
  g_autofree char *bare = g_strdup_printf(SHEET(FUSES "%s"), transformer);
  g_autoptr(Document) first = read_sheet(bare);
  g_autofree char *note = measured ? g_strdup_printf("<as-measured between=\"T1.%s T1.%s\" "
                                                     "value=\"236 V\"/>",
                                                     lead(first, 1), lead(first, 2))
                                   : g_strdup("");
  g_autofree char *full =
      g_strdup_printf(SHEET(FUSES "%s<conductor from=\"FU1.2\" to=\"T1.%s\" number=\"480\"/>"
                                  "<conductor from=\"FU2.2\" to=\"T1.%s\" number=\"240\"/>%s"),
                      transformer, lead(first, 0), lead(first, 1), note);
  return read_sheet(full);
}

/* Every row to every place, with marked leads and with leads numbered in order. */
static void
landings_follow_moved_leads(void **state)
{
  (void)state;
  static const char *const sheets[] = {NAMED, NUMBERED};
  for (guint s = 0; s < G_N_ELEMENTS(sheets); s++)
    for (guint from = 0; from < 5; from++)
      for (guint to = 0; to < 5; to++) {
        g_autoptr(Document) document = landed(sheets[s], true);
        g_autoptr(Document) before = document_snapshot(document);
        g_autofree char *moved =
            g_strdup(device_row_text(document_find_device(document, "T1"), from, 2));
        GError *error = NULL;
        Change *change = edit_move_row(document, "T1", from, to, &error);
        apply(document, change, error);
        assert_string_equal(device_row_text(document_find_device(document, "T1"), to, 2), moved);
        assert_string_equal(volts_at(document, "480"), "480 V");
        assert_string_equal(volts_at(document, "240"), "240 V");
        assert_int_equal(document_measured_count(document), 1);
        if (from != to) {
          assert_true(document_can_undo(document));
          document_undo(document);
          assert_true(document_equal(document, before));
        } else
          assert_false(document_can_undo(document));
      }
}

static void
removed_leads_take_their_conductor(void **state)
{
  (void)state;
  static const char *const sheets[] = {NAMED, NUMBERED};
  for (guint s = 0; s < G_N_ELEMENTS(sheets); s++) {
    g_autoptr(Document) document = landed(sheets[s], true);
    g_autoptr(Document) before = document_snapshot(document);
    g_autofree char *gone = NULL;
    GError *error = NULL;
    Change *change = edit_remove_row_landed(document, "T1", 1, &gone, &error);
    apply(document, change, error);
    assert_string_equal(gone, "conductor 240");
    assert_int_equal(document_conductor_count(document), 1);
    assert_int_equal(document_measured_count(document), 0);
    assert_string_equal(volts_at(document, "480"), "480 V");
    document_undo(document);
    assert_true(document_equal(document, before));

    /* Nothing on it: nothing goes with it, and the others keep their leads. */
    g_autofree char *none = NULL;
    change = edit_remove_row_landed(document, "T1", 3, &none, &error);
    apply(document, change, error);
    assert_string_equal(none, "");
    assert_int_equal(document_conductor_count(document), 2);
    assert_string_equal(volts_at(document, "240"), "240 V");
  }
}

static void
rows_that_are_not_there(void **state)
{
  (void)state;
  g_autoptr(Document) document = landed(NAMED, false);
  g_autoptr(GError) error = NULL;
  assert_null(edit_move_row(document, "T1", 0, 5, &error));
  assert_non_null(strstr(error->message, "no lead 6"));
  g_clear_error(&error);
  assert_null(edit_move_row(document, "FU1", 0, 1, &error));
  g_clear_error(&error);
  assert_null(edit_remove_row_landed(document, "T1", 9, NULL, &error));
  g_clear_error(&error);
  assert_null(edit_remove_row_landed(document, "T9", 0, NULL, &error));
}

/* --- nameplates --- */

static void
placed_nameplates_get_their_own_name(void **state)
{
  (void)state;
  g_autoptr(Document) document = landed(NAMED, false);
  g_autoptr(Device) nameplate = edit_dup_nameplate(document_find_device(document, "T1"));
  g_autofree char *id = NULL;
  Placement at = {.at = {120, 40}, .turns = 1};
  apply(document, edit_place_nameplate(document, nameplate, at, &id), NULL);
  assert_string_equal(id, "T2");
  const Device *placed = document_find_device(document, "T2");
  assert_true(edit_same_nameplate(placed, document_find_device(document, "T1")));
  assert_string_equal(device_designation(placed), "T2"); /* not a second TC */
  assert_int_equal(placed->placement.turns, 1);
  assert_string_equal(document_undo_title(document), "Place T2");
}

static void
replaced_nameplates_keep_landings(void **state)
{
  (void)state;
  g_autoptr(Document) document = landed(NAMED, true);
  g_autoptr(Document) before = document_snapshot(document);
  g_autoptr(Device) other = device_copy(document_find_device(document, "T1"));
  assert_true(device_set(other, "rating", "250 VA", NULL));
  assert_true(device_set_row(other, 3, "volts", "120 V", NULL));
  assert_true(device_derive(other, NULL));
  g_autoptr(Device) nameplate = edit_dup_nameplate(other);
  GError *error = NULL;
  Change *change = edit_set_nameplate(document, "T1", nameplate, &error);
  apply(document, change, error);
  const Device *now = document_find_device(document, "T1");
  assert_string_equal(device_value_named(now, "rating")->text, "250 VA");
  assert_string_equal(device_designation(now), "TC");
  assert_true(now->placement.at.x == 50);
  assert_int_equal(document_conductor_count(document), 2);
  assert_int_equal(document_measured_count(document), 1);
  document_undo(document);
  assert_true(document_equal(document, before));

  /* A nameplate without the 240 V lead that is landed: refused, by name. */
  device_remove_row(other, 1);
  assert_true(device_derive(other, NULL));
  g_autoptr(Device) shorter = edit_dup_nameplate(other);
  assert_null(edit_set_nameplate(document, "T1", shorter, &error));
  assert_non_null(strstr(error->message, "conductor 240"));
  assert_non_null(strstr(error->message, "H2"));
  g_clear_error(&error);
  assert_true(document_equal(document, before));

  g_autoptr(Device) fuse = edit_dup_nameplate(document_find_device(document, "FU1"));
  assert_null(edit_set_nameplate(document, "T1", fuse, &error));
  assert_non_null(strstr(error->message, "Fuse"));
  g_clear_error(&error);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(landings_follow_moved_leads),
      cmocka_unit_test(removed_leads_take_their_conductor),
      cmocka_unit_test(rows_that_are_not_there),
      cmocka_unit_test(placed_nameplates_get_their_own_name),
      cmocka_unit_test(replaced_nameplates_keep_landings),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
