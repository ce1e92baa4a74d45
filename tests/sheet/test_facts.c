/* SPDX-License-Identifier: MIT */
/* What the sheet states: leads, wires, readings, cautions, for a pump fed through a 480-to-120 V
 * transformer from measured 486/484/485 V. Volts are held to what a turns ratio gives. */
#include "diagram/edit.h"
#include "sheet/cautions.h"
#include "sheet/facts.h"
#include "sheet_fixture.h"
#include <math.h>

static int
find_row(const Table *table, const char *first)
{
  for (guint i = 0; i < table->rows->len; i++)
    if (strcmp(table_cell(table, i, 0), first) == 0)
      return (int)i;
  fail_msg("no row \"%s\"", first);
  return -1;
}

static double
leading_number(const char *text)
{
  return g_ascii_strtod(text, NULL);
}

static void
test_leads(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Landings) landings = landings_new(document);
  const guint t1 = (guint)document_device_index(document, "T1");
  g_autoptr(Table) table = facts_leads_table(inspection, landings, t1, false);
  (void)state;

  assert_non_null(table);
  assert_int_equal(table->rows->len, 5);
  const guint h1 = (guint)find_row(table, "H1"), h2 = (guint)find_row(table, "H2");
  const guint h3 = (guint)find_row(table, "H3"), x2 = (guint)find_row(table, "X2");
  assert_string_equal(table_cell(table, h1, 1), "black");
  assert_string_equal(table_cell(table, h1, 4), "common");
  assert_string_equal(table_cell(table, h2, 5), "240 V");
  assert_string_equal(table_cell(table, h2, 2), "capped (WC1)");
  assert_string_equal(table_cell(table, h3, 2), "FU2.2, wire 106");
  /* H3 to H1 is the measured 486 V; the half tap stands at half of it, 243 V, less what its part
   * of the winding drops: a quarter of the regulation at 90 of 250 VA, 0.36 * 6 % * 486 / 4 = 2.6.
   */
  assert_true(fabs(leading_number(table_cell(table, h3, 4)) - 486) < 1.5);
  assert_true(leading_number(table_cell(table, h2, 4)) < 243);
  assert_true(leading_number(table_cell(table, h2, 4)) > 243 - 2.6);
  /* The middle of two lines 281 and 280 V to ground, 486 V apart:
   * sqrt((281^2 + 280^2) / 2 - (486 / 2)^2) = 139.8 V (length of a triangle's median). */
  assert_true(fabs(leading_number(table_cell(table, h2, 3)) - 139.8) < 2.0);
  /* 486 / 4 = 121.5 V, more by what the winding rises at part load, less what the wires drop. */
  assert_true(leading_number(table_cell(table, x2, 4)) > 118);
  assert_true(leading_number(table_cell(table, x2, 4)) < 129);
}

static void
test_unused_leads(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Landings) landings = landings_new(document);
  g_autoptr(GArray) leads = facts_unused_leads(inspection, landings);
  (void)state;

  assert_int_equal(leads->len, 1);
  const UnusedLead *lead = &g_array_index(leads, UnusedLead, 0);
  assert_string_equal(lead->name, "T1.H2");
  assert_string_equal(lead->common, "T1.H1");
  assert_true(lead->capped);
  assert_int_equal(lead->to_ground.state, READING_LIVE);
}

static void
test_wires(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Table) table = facts_wires_table(inspection, UNITS_IMPERIAL);
  (void)state;

  assert_int_equal(table->rows->len, document_conductor_count(document));
  const guint row = (guint)find_row(table, "202");
  assert_string_equal(table_cell(table, row, 1), "blue");
  assert_string_equal(table_cell(table, row, 2), "16 AWG");
  assert_string_equal(table_cell(table, row, 3), "12 ft");
  assert_string_equal(table_cell(table, row, 4), "FU3.2");
  assert_string_equal(table_cell(table, row, 5), "LD1.1");
  assert_string_equal(table_cell(table, row, 6), "field");
  /* 90 VA at about 123 V. */
  const char *amps = table_cell(table, row, 8);
  const double value = leading_number(amps) * (strstr(amps, "mA") != NULL ? 1e-3 : 1);
  assert_true(fabs(value - 90 / leading_number(table_cell(table, row, 7))) < 0.03);
}

/* 250 VA at 480 V: 0.521 A; Table 450.3(B) allows 250 % of it with secondary protection, 1.30 A,
 * and at most 300 % below 2 A without, 1.56 A. 16 AWG stands behind 10 A at most, 14 AWG behind 15
 * A (240.4(D)). */
static void
test_protection(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Landings) landings = landings_new(document);
  g_autoptr(Table) table = facts_protection_table(inspection, landings, UNITS_IMPERIAL);
  (void)state;

  const guint primary = (guint)find_row(table, "T1 primary");
  assert_true(fabs(leading_number(table_cell(table, primary, 1)) - 250.0 / 480) < 0.001);
  assert_string_equal(table_cell(table, primary, 4), "450.3(B)");
  const char *limit = table_cell(table, primary, 3);
  assert_true(fabs(leading_number(limit + strlen("device up to ")) - 1.30) < 0.005);
  assert_non_null(strstr(limit, "1.56 A with none on the secondary"));
  const guint fuse = (guint)find_row(table, "FU1");
  assert_string_equal(table_cell(table, fuse, 3), "continuous load up to 0.800 A");
  assert_string_equal(table_cell(table, (guint)find_row(table, "14 AWG copper (6)"), 3),
                      "device up to 15.0 A");
  assert_string_equal(table_cell(table, (guint)find_row(table, "16 AWG copper (3)"), 3),
                      "device up to 10.0 A");
}

static void
test_readings_with_measured(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Table) table = facts_readings_table(inspection, false);
  bool found = false;
  (void)state;

  assert_non_null(table);
  for (guint i = 0; i < table->rows->len; i++) {
    if (strcmp(table_cell(table, i, 0), "T1.X2 to T1.X1") == 0) {
      found = true;
      assert_string_equal(table_cell(table, i, 3), "119 V (21 Nov 2026)");
    } else {
      assert_string_equal(table_cell(table, i, 3), "");
    }
    assert_string_equal(table_cell(table, i, 4), "");
  }
  assert_true(found);
}

static void
note(Document *document, const Landing *a, const Landing *b, MeasuredState measured_in,
     MeasuredField field, const char *text)
{
  g_autoptr(GError) error = NULL;
  Change *change = edit_note_reading(document, a, b, measured_in, field, text, NULL, &error);

  if (change == NULL || !document_apply(document, change, &error))
    fail_msg("%s", error->message);
}

/* "As found" of a table for the energized circuit is what was measured energized, whichever was
 * noted first; ohms are no volts; a note and a pair that is not listed are not left off. */
static void
test_as_found_by_state(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  const Landing primary = {(char *)"FU1", (char *)"2"}, cap = {(char *)"WC1", (char *)"1"};
  const Landing h3 = {(char *)"T1", (char *)"H3"}, earth = {NULL, (char *)"GND"};
  (void)state;

  note(document, &earth, &primary, MEASURED_LOCKED_OUT, MEASURED_VALUE, "0 V");
  note(document, &earth, &cap, MEASURED_LOCKED_OUT, MEASURED_VALUE, "1.5 V");
  note(document, &primary, &earth, MEASURED_ENERGIZED, MEASURED_VALUE, "279 V");
  note(document, &cap, &h3, MEASURED_ENERGIZED, MEASURED_VALUE, "241 V");
  note(document, &primary, &earth, MEASURED_ENERGIZED, MEASURED_NOTE, "meter 2, new leads");
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Table) table = facts_readings_table(inspection, false);
  const guint fed = (guint)find_row(table, "FU1.2 to GND");
  assert_string_equal(table_cell(table, fed, 3), "279 V");
  assert_non_null(strstr(table_cell(table, fed, 5), "noted: meter 2, new leads"));
  assert_string_equal(table_cell(table, (guint)find_row(table, "WC1.1 to GND"), 3), "");
  const guint other = (guint)find_row(table, "WC1.1 to T1.H3");
  assert_int_equal(other, table->rows->len - 1);
  assert_string_equal(table_cell(table, other, 3), "241 V");
  /* The half tap to the end: half of 486 V. */
  assert_true(fabs(leading_number(table_cell(table, other, 1)) - 243) < 3);
  for (guint i = 0; i < other; i++)
    assert_null(strstr(table_cell(table, i, 3), "1.5 V"));
}

static void
test_points_lead_the_readings(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  const Landing a = {(char *)"T1", (char *)"X2"}, earth = {NULL, (char *)"GND"};
  (void)state;

  assert_true(document_apply(document, edit_pin(document, &a, &earth, NULL, NULL), NULL));
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Table) table = facts_readings_table(inspection, false);
  assert_string_equal(table_cell(table, 0, 0), "TP1: T1.X2 to GND");
  assert_string_equal(table_cell(table, 0, 3), ""); /* pinned, not measured */
  for (guint i = 1; i < table->rows->len; i++)
    assert_null(strstr(table_cell(table, i, 0), "TP1"));
}

static const Caution *
find_caution_or_null(const GPtrArray *cautions, const char *name)
{
  for (guint i = 0; i < cautions->len; i++) {
    const Caution *caution = cautions->pdata[i];
    if (strcmp(caution->name, name) == 0)
      return caution;
  }
  return NULL;
}

static const Caution *
find_caution(const GPtrArray *cautions, const char *name)
{
  const Caution *caution = find_caution_or_null(cautions, name);
  if (caution == NULL)
    g_error("there is no caution %s", name);
  return caution;
}

static bool
caution_says(const Caution *caution, const char *part)
{
  if (strstr(caution->headline, part) != NULL)
    return true;
  for (guint i = 0; i < caution->paragraphs->len; i++)
    if (strstr(caution->paragraphs->pdata[i], part) != NULL)
      return true;
  return false;
}

static void
test_cautions(void **state)
{
  static const struct {
    const char *name;
    Signal signal;
    const char *says;
  } wanted[] = {
      {"lockout", SIGNAL_DANGER, "DISC1"},
      {"verify", SIGNAL_DANGER, "live, dead, live"},
      {"verify", SIGNAL_DANGER, "Up to 486 V"},
      {"line-side", SIGNAL_DANGER, "DISC1: L1 28"},
      {"unused-leads", SIGNAL_WARNING, "T1.H2: "},
      {"backfeed", SIGNAL_WARNING, "T1"},
      {"capacitors", SIGNAL_WARNING, "wait as long as the equipment label says"},
      {"qualified", SIGNAL_WARNING, "qualified"},
      {"local-code", SIGNAL_NOTICE, "not an approval"},
  };
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Landings) landings = landings_new(document);
  g_autoptr(GPtrArray) cautions = cautions_new(inspection, landings);
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(wanted); i++) {
    const Caution *caution = find_caution(cautions, wanted[i].name);
    assert_int_equal(caution->signal, wanted[i].signal);
    if (!caution_says(caution, wanted[i].says))
      fail_msg("%s does not say \"%s\"", wanted[i].name, wanted[i].says);
  }
  assert_null(find_caution_or_null(cautions, "high-leg"));
  assert_null(find_caution_or_null(cautions, "not-sound"));
  for (guint i = 1; i < cautions->len; i++) {
    const Caution *before = cautions->pdata[i - 1], *after = cautions->pdata[i];
    assert_true(before->key > after->key ||
                (before->key == after->key && before->signal <= after->signal));
  }
}

/* A label gets one panel for each signal word, with every headline and every computed volt. */
static void
test_merged_cautions(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Landings) landings = landings_new(document);
  g_autoptr(GPtrArray) cautions = cautions_new(inspection, landings);
  (void)state;

  for (int signal = SIGNAL_DANGER; signal <= SIGNAL_NOTICE; signal++) {
    Caution *merged = cautions_merge(cautions, (Signal)signal);
    for (guint i = 0; i < cautions->len; i++) {
      const Caution *caution = cautions->pdata[i];
      if ((int)caution->signal == signal)
        assert_true(merged != NULL && caution_says(merged, caution->headline));
    }
    if (signal == SIGNAL_DANGER)
      assert_true(merged != NULL && caution_says(merged, "DISC1: L1 28"));
    if (signal == SIGNAL_WARNING)
      assert_true(merged != NULL && caution_says(merged, "T1.H2: "));
    caution_free(merged);
  }
}

/* With H2 joined to nothing and no cap the lead is named as not capped, and findings forbid. */
static void
test_cautions_of_an_unsound_diagram(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  const char *const cap[] = {"WC1", NULL};
  (void)state;

  assert_true(document_apply(document, edit_delete(document, cap, NULL, 0), &error));
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Landings) landings = landings_new(document);
  g_autoptr(GPtrArray) cautions = cautions_new(inspection, landings);
  const Caution *unused = find_caution(cautions, "unused-leads");
  const Caution *not_sound = find_caution(cautions, "not-sound");
  assert_true(caution_says(unused, "NOT CAPPED"));
  assert_true(not_sound->key);
  assert_true(caution_says(not_sound, "Do not energize as drawn"));
}

static void
test_digest(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GError) error = NULL;
  g_autofree char *before = facts_digest(document);
  (void)state;

  assert_int_equal(strlen(before), 12);
  assert_int_equal(strspn(before, "0123456789abcdef"), 12);
  assert_true(document_apply(
      document, edit_set_sheet_field(document, false, "revision", "C", &error), &error));
  g_autofree char *after = facts_digest(document);
  assert_string_not_equal(before, after);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_leads),
      cmocka_unit_test(test_unused_leads),
      cmocka_unit_test(test_wires),
      cmocka_unit_test(test_protection),
      cmocka_unit_test(test_readings_with_measured),
      cmocka_unit_test(test_as_found_by_state),
      cmocka_unit_test(test_points_lead_the_readings),
      cmocka_unit_test(test_cautions),
      cmocka_unit_test(test_cautions_of_an_unsound_diagram),
      cmocka_unit_test(test_digest),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
