/* SPDX-License-Identifier: MIT */
/* Ampacity where a conductor runs, through the whole pipeline: for every row of the published
 * factors a load just below is quiet and one just above is found, and the gauge the remedy names
 * clears it. Figures: NFPA 70 Tables 310.16, 310.15(B)(1), 310.15(C)(1); 110.14(C)(1); 240.4. */
#include "../tables/table_csv.h"
#include "edit_script.h"

#include "checks/check.h"

static G_GNUC_PRINTF(2, 3) void edit(Document *document, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  g_autofree char *line = g_strdup_vprintf(format, arguments);
  va_end(arguments);
  script_apply(document, line);
}

/* A 240 V heater behind conductors 5 and 6, terminals marked 90 C unless said otherwise. */
static Document *
heater_sheet(const char *gauge, double insulation)
{
  Document *document = script_open("tests/data/checks", "panel-120");
  for (int i = 5; i <= 6; i++) {
    edit(document, "wire %d gauge %s AWG", i, gauge);
    edit(document, "wire %d temperature %.0f C", i, insulation);
  }
  edit(document, "set CB2 terminal-temperature 90 C");
  edit(document, "set HTR1 terminal-temperature 90 C");
  return document;
}

/* Amperes the heater draws for each watt of its nameplate: it is resistive. */
static double
amps_per_watt(Document *document)
{
  edit(document, "set HTR1 power 1 kW");
  g_autoptr(Inspection) inspection = inspection_new(document);
  assert_non_null(inspection->solution);
  for (guint i = 0; i < inspection->circuit->loads->len; i++) {
    const Load *load = circuit_item(inspection->circuit->loads, Load, i);
    g_autofree char *owner = circuit_owner_name(inspection->circuit, load->owner);
    if (strcmp(owner, "HTR1") == 0)
      return cabs(inspection->solution->load_amps[i]) / 1000;
  }
  fail_msg("no heater");
  return 0;
}

static const Finding *
find_at(const Inspection *inspection, const char *place)
{
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (strcmp(finding->check, "conductor-too-small") == 0 &&
        strcmp(g_ptr_array_index(finding->places, 0), place) == 0)
      return finding;
  }
  return NULL;
}

static bool
overloaded(const Document *document)
{
  g_autoptr(Inspection) inspection = inspection_new(document);
  const Finding *finding = find_at(inspection, "conductor 5");
  return finding != NULL && finding->signal == SIGNAL_WARNING;
}

/* Quiet 1 % below the amperes, found 1 % above, and the remedy for both conductors clears it. */
static void
assert_carries(Document *document, double amps)
{
  double per_watt = amps_per_watt(document);
  edit(document, "set CB2 rating 6000 A"); /* its own finding is a CAUTION */
  edit(document, "set HTR1 power %.3f W", 0.99 * amps / per_watt);
  if (overloaded(document))
    fail_msg("found at 99 %% of %g A", amps);
  edit(document, "set HTR1 power %.3f W", 1.01 * amps / per_watt);
  if (!overloaded(document))
    fail_msg("not found at 101 %% of %g A", amps);
  edit(document, "set CB2 rating 20 A");
  for (int i = 5; i <= 6; i++) {
    g_autofree char *place = g_strdup_printf("conductor %d", i);
    g_autoptr(Inspection) inspection = inspection_new(document);
    const Finding *finding = find_at(inspection, place);
    assert_non_null(finding);
    assert_true(document_apply(document, inspection_remedy(inspection, finding, NULL), NULL));
    g_autoptr(Inspection) after = inspection_new(document);
    assert_null(find_at(after, place));
  }
}

static double
upper(const char *key)
{
  const char *dash = strchr(key, '-');
  if (g_str_has_prefix(key, "<="))
    return g_ascii_strtod(key + 2, NULL);
  return g_ascii_strtod(dash != NULL ? dash + 1 : key, NULL);
}

static double
table_amps(const Csv *csv, const char *gauge, const char *column)
{
  for (guint i = 0; i < csv->rows->len; i++)
    if (strcmp(csv_text(csv, i, "table"), "310.16") == 0 &&
        strcmp(csv_text(csv, i, "key"), gauge) == 0)
      return csv_number(csv, i, column, NAN);
  fail_msg("no row for %s AWG", gauge);
  return NAN;
}

static const char *const columns[] = {"cu_60c", "cu_75c", "cu_90c"};
static const double celsius[] = {60, 75, 90};
static const char *const gauges[] = {"14", "10", "6"};

static void
test_air_rows(void **state)
{
  (void)state;
  Csv csv = csv_read("conductor_ampacity.csv");
  guint seen = 0;
  for (guint i = 0; i < csv.rows->len; i++)
    for (int c = 0; c < 3 && strcmp(csv_text(&csv, i, "table"), "310.15(B)(1)") == 0; c++) {
      double factor = csv_number(&csv, i, columns[c], 0);
      const char *gauge = gauges[seen++ % 3];
      g_autoptr(Document) document = heater_sheet(gauge, celsius[c]);
      edit(document, "sheet ambient %g C", upper(csv_text(&csv, i, "key")));
      if (factor > 0) {
        /* Cold air helps the insulation, not the terminals. */
        double most = table_amps(&csv, gauge, "cu_90c");
        assert_carries(document, fmin(table_amps(&csv, gauge, columns[c]) * factor, most));
      } else {
        edit(document, "set HTR1 power 1 W"); /* no current is permitted at all */
        assert_true(overloaded(document));
      }
    }
  assert_true(seen >= 40);
  csv_clear(&csv);
}

static void
test_bundle_rows(void **state)
{
  (void)state;
  Csv csv = csv_read("conductor_ampacity.csv");
  guint seen = 0;
  for (guint i = 0; i < csv.rows->len; i++) {
    const char *key = csv_text(&csv, i, "key");
    if (strcmp(csv_text(&csv, i, "table"), "310.15(C)(1)") != 0)
      continue;
    for (int end = 0; end < 2; end++) { /* both ends of the range of counts */
      double count = end == 0 ? g_ascii_strtod(key, NULL) : upper(key);
      g_autoptr(Document) document = heater_sheet("10", 90);
      edit(document, "wire 5 bundled %.0f", count);
      edit(document, "wire 6 bundled %.0f", count);
      assert_carries(document, 40 * csv_number(&csv, i, "cu_60c", NAN));
      seen++;
    }
  }
  assert_int_equal(seen, 14);
  csv_clear(&csv);
}

/* 110.14(C)(1): 8 AWG is 40, 50, 55 A. Unmarked terminals of a circuit up to 100 A: 60 C. */
static void
test_terminals(void **state)
{
  (void)state;
  static const struct {
    const char *breaker, *heater;
    double amps;
  } rows[] = {{"", "", 40},           {" 75 C", "", 40},      {" 75 C", " 60 C", 40},
              {" 75 C", " 75 C", 50}, {" 90 C", " 75 C", 50}, {" 90 C", " 90 C", 55}};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autoptr(Document) document = heater_sheet("8", 90);
    edit(document, "set CB2 terminal-temperature%s", rows[i].breaker);
    edit(document, "set HTR1 terminal-temperature%s", rows[i].heater);
    double per_watt = amps_per_watt(document);
    edit(document, "set CB2 rating 50 A");
    edit(document, "set HTR1 power %.3f W", 0.99 * rows[i].amps / per_watt);
    assert_false(overloaded(document));
    edit(document, "set HTR1 power %.3f W", 1.01 * rows[i].amps / per_watt);
    assert_true(overloaded(document));
  }
  /* A 110 A circuit: 75 C unmarked, so 2 AWG carries 115 A, not 95 A. */
  g_autoptr(Document) document = heater_sheet("2", 90);
  edit(document, "set CB2 terminal-temperature");
  edit(document, "set HTR1 terminal-temperature");
  double per_watt = amps_per_watt(document);
  edit(document, "set CB2 rating 110 A");
  edit(document, "set HTR1 power %.3f W", 105 / per_watt);
  assert_false(overloaded(document));
  edit(document, "set CB2 rating 100 A");
  assert_true(overloaded(document));
}

/* 310.15(A), 240.4: 10 AWG of 90 C insulation, factors first, then the next standard device. */
static void
test_device_after_factors(void **state)
{
  (void)state;
  static const struct {
    int count, permitted, found;
  } rows[] = {{3, 30, 35}, {9, 30, 35}, {20, 20, 25}, {30, 20, 25}, {41, 15, 20}};
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
    g_autoptr(Document) document = heater_sheet("10", 90);
    edit(document, "wire 5 bundled %d", rows[i].count);
    edit(document, "set HTR1 power 1 kW");
    edit(document, "set CB2 rating %d A", rows[i].permitted);
    g_autoptr(Inspection) quiet = inspection_new(document);
    assert_null(find_at(quiet, "conductor 5"));
    edit(document, "set CB2 rating %d A", rows[i].found);
    g_autoptr(Inspection) loud = inspection_new(document);
    const Finding *finding = find_at(loud, "conductor 5");
    assert_non_null(finding);
    g_autofree char *permitted = g_strdup_printf("at most %d A", rows[i].permitted);
    assert_non_null(strstr(finding->remedy, permitted));
  }
}

/* The count comes from the sheet: grounding and class 2 conductors do not count, a nipple of
 * 24 in needs no factor. */
static void
test_raceway_counted(void **state)
{
  (void)state;
  g_autoptr(Document) document = heater_sheet("10", 90);
  static const char *const others[] = {"1", "2"};
  edit(document, "wire 5 raceway R1");
  edit(document, "wire 6 raceway R1");
  edit(document, "wire HTR1.FRAME-GRD1.1 raceway R1");
  for (gsize i = 0; i < G_N_ELEMENTS(others); i++)
    edit(document, "wire %s raceway R2", others[i]);
  double per_watt = amps_per_watt(document);
  edit(document, "set CB2 rating 30 A");
  edit(document, "set HTR1 power %.3f W", 36 / per_watt); /* 40 A alone, 32 A with four */
  assert_false(overloaded(document));
  for (gsize i = 0; i < G_N_ELEMENTS(others); i++)
    edit(document, "wire %s raceway R1", others[i]);
  assert_true(overloaded(document));
  g_autoptr(Inspection) inspection = inspection_new(document);
  const Finding *finding = find_at(inspection, "conductor 5");
  assert_non_null(strstr(finding->message, "0.8 for 4 conductors"));
  edit(document, "wire 5 length 24 in");
  assert_false(overloaded(document));
  edit(document, "wire 5 length 25 in");
  assert_true(overloaded(document));
}

/* Air of an enclosure: only for what lies in it. */
static void
test_enclosure_air(void **state)
{
  (void)state;
  g_autoptr(Document) document = heater_sheet("10", 90);
  double per_watt = amps_per_watt(document);
  edit(document, "set CB2 rating 30 A");
  edit(document, "set HTR1 power %.3f W", 35 / per_watt); /* 40 A x 0.82 at 50 C: 32.8 A */
  edit(document, "place outline ENC9 120 80");
  edit(document, "set ENC9 width 60 mm");
  edit(document, "set ENC9 height 40 mm");
  assert_false(overloaded(document));
  edit(document, "set ENC9 ambient 50 C");
  assert_true(overloaded(document));
  edit(document, "set ENC9 width 15 mm"); /* the heater lies outside now */
  assert_false(overloaded(document));
}

/* 240.4(G): a motor's conductors may stand behind a larger device, one-phase motors too. */
static void
test_motor_exempt(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("tests/data/checks", "panel-120");
  edit(document, "set CB2 rating 30 A"); /* 12 AWG: 20 A by 240.4(D) */
  g_autoptr(Inspection) heater = inspection_new(document);
  assert_non_null(find_at(heater, "conductor 5"));
  edit(document, "delete HTR1");
  edit(document, "place motor MTR9 140 90");
  edit(document, "set MTR9 accepts 208..240 V");
  edit(document, "set MTR9 full-load 12 A");
  const Device *motor = document_find_device(document, "MTR9");
  edit(document, "land CB2.T1 MTR9.%s", device_terminal(motor, 0)->name);
  edit(document, "land CB2.T2 MTR9.%s", device_terminal(motor, 1)->name);
  g_autofree char *own =
      g_strdup_printf("conductor CB2.T1-MTR9.%s", device_terminal(motor, 0)->name);
  edit(document, "wire %s gauge 12 AWG", own + strlen("conductor "));
  g_autoptr(Inspection) inspection = inspection_new(document);
  assert_null(find_at(inspection, own));
  /* 430.52: 250 % of 12 A is 30 A. */
  edit(document, "set CB2 rating 35 A");
  g_autoptr(Inspection) beyond = inspection_new(document);
  assert_non_null(find_at(beyond, own));
  /* 430.22: 125 % of 16.4 A is 20.5 A, of 15.6 A 19.5 A. */
  edit(document, "set CB2 rating 20 A");
  edit(document, "set MTR9 full-load 15.6 A");
  g_autoptr(Inspection) below = inspection_new(document);
  assert_null(find_at(below, own));
  edit(document, "set MTR9 full-load 16.4 A");
  g_autoptr(Inspection) loaded = inspection_new(document);
  const Finding *finding = find_at(loaded, own);
  assert_non_null(finding);
  assert_non_null(strstr(finding->message, "20.5 A"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_air_rows),        cmocka_unit_test(test_bundle_rows),
      cmocka_unit_test(test_terminals),       cmocka_unit_test(test_device_after_factors),
      cmocka_unit_test(test_raceway_counted), cmocka_unit_test(test_enclosure_air),
      cmocka_unit_test(test_motor_exempt),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
