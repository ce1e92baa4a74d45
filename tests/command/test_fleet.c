/* SPDX-License-Identifier: MIT */
/* Fleets: what a row does to the diagram, file names from hostile tags, and runs that meet bad
 * rows, damaged files and a sudden end. */
#include "command/command.h"
#include "command/fleet.h"
#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "parts/catalog.h"
#include "sheet/sheet.h"
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static char *
fan_path(void)
{
  return g_build_filename(g_getenv("DOORSHEET_SOURCE"), "samples", "fan-480.doorsheet", NULL);
}

static Document *
read_fan(void)
{
  g_autofree char *path = fan_path();
  g_autoptr(GError) error = NULL;
  Document *document = document_read(path, parts_catalog(), &error);
  if (document == NULL)
    fail_msg("%s", error->message);
  return document;
}

static Fleet *
make_fleet(const char *text, GError **error)
{
  g_autoptr(Document) fan = read_fan();
  return fleet_new(fan, csv_read(text, strlen(text), NULL), error);
}

/* --- rows ------------------------------------------------------------------------------------ */

/* The supply's reading between two points as written; "" when it is not measured. */
static const char *
reading_of(const Document *document, const char *between)
{
  const Device *supply = document_find_device(document, "S1");
  for (guint r = 0; r < device_row_count(supply); r++)
    if (strcmp(device_row_text(supply, r, 0), between) == 0)
      return device_row_text(supply, r, 1);
  return "";
}

static void
test_row_sets_values(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(Fleet) fleet =
      make_fleet("tag,location,sheet,L1-L2,L3-L2,L3-GND,FU1.rating,T1.H4.volts,#note\n"
                 " EF-7 ,,E-7,486,\"479.5 V\",,0.6 A,460,anything\n"
                 "EF-8,West,,,,,,,\n",
                 &error);
  (void)state;

  assert_non_null(fleet);
  assert_int_equal(fleet_count(fleet), 2);
  g_autoptr(Document) one = fleet_unit(fleet, 0, &error);
  g_autoptr(Document) two = fleet_unit(fleet, 1, &error);
  assert_non_null(one);
  assert_non_null(two);
  const SheetData *data = document_sheet(one);
  assert_string_equal(data->equipment[EQUIPMENT_TAG].text, "EF-7");
  assert_false(data->equipment[EQUIPMENT_LOCATION].has_value); /* not the diagram's own place */
  assert_string_equal(data->equipment[EQUIPMENT_MODEL].text, "Fan section, 480Y/277 V");
  assert_string_equal(data->values[SHEET_NUMBER].text, "E-7");
  assert_string_equal(document_sheet(two)->values[SHEET_NUMBER].text, "E-109");
  assert_string_equal(reading_of(one, "L1 L2"), "486 V");
  assert_string_equal(reading_of(one, "L2 L3"), "479.5 V");
  /* No column for these, or an empty cell: another unit's readings must not stay. */
  assert_string_equal(reading_of(one, "L3 L1"), "");
  assert_string_equal(reading_of(one, "L3 GND"), "");
  assert_string_equal(reading_of(two, "L1 L2"), "");
  const Device *fuse = document_find_device(one, "FU1");
  assert_true(ABS(device_number_named(fuse, "rating", 0) - 0.6) < 1e-9);
  assert_true(ABS(device_number_named(document_find_device(two, "FU1"), "rating", 0) - 0.5) < 1e-9);
  const Device *transformer = document_find_device(one, "T1");
  const int volts =
      field_index(transformer->kind->row_fields, transformer->kind->n_row_fields, "volts");
  assert_string_equal(device_row_text(transformer, 0, (guint)volts), "460 V");
}

/* Without a column for readings the diagram's own count; notes of measuring never do. */
static void
test_readings_without_columns(void **state)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(Document) fan = read_fan();
  const Landing a = {(char *)"T1", (char *)"X1"}, b = {(char *)"T1", (char *)"X2"};
  Change *change = edit_set_measured(fan, &a, &b, "118 V", "2026-11-25", &error);
  (void)state;

  assert_non_null(change);
  assert_true(document_apply(fan, change, &error));
  g_autoptr(Fleet) fleet = fleet_new(fan, csv_read("tag\nEF-9\n", 9, NULL), &error);
  g_autoptr(Document) unit = fleet_unit(fleet, 0, &error);
  assert_string_equal(reading_of(unit, "L1 L2"), "483 V");
  assert_int_equal(document_measured_count(unit), 0);
  assert_int_equal(document_measured_count(fan), 1);
  /* A test point is the same at every unit; what was read there is not. */
  assert_true(document_apply(fan, edit_pin(fan, &a, &b, NULL, NULL), &error));
  g_autoptr(Fleet) again = fleet_new(fan, csv_read("tag\nEF-9\n", 9, NULL), &error);
  g_autoptr(Document) other = fleet_unit(again, 0, &error);
  assert_int_equal(document_measured_count(other), 1);
  assert_string_equal(measured_point(document_measured(other, 0)), "TP1");
  assert_false(document_measured(other, 0)->values[MEASURED_VALUE].has_value);
}

static void
test_columns_refused(void **state)
{
  static const struct {
    const char *text, *says;
  } cases[] = {
      {"tag,locaton\nA,B\n", "Did you mean \"location\"?"},
      {"tag,L1-L4\nA,1\n", "no column \"L1-L4\""},
      {"tag,FU1.ratng\nA,1\n", "Did you mean \"FU1.rating\"?"},
      {"tag,FU99.rating\nA,1\n", "no column \"FU99.rating\""},
      {"tag,T1.H4.volt\nA,1\n", "Did you mean \"T1.H4.volts\"?"},
      {"tag,L1-L2,L2-L1\nA,1,2\n", "mean the same"},
      {"tag,tag\nA,B\n", "mean the same"},
      {"location\nA\n", "\"tag\" among them"},
      {"tag\n", "a row for each unit"},
      {"", "a row for each unit"},
      {"\"tag\nA\n", "never closed"},
      {"tag,\nA,\n", "no column \"\""},
      {"tag,CB1.L1-L2\nA,1\n", "no column"},
  };
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(GError) error = NULL;
    g_autoptr(Fleet) fleet = make_fleet(cases[i].text, &error);
    assert_null(fleet);
    if (strstr(error->message, cases[i].says) == NULL)
      fail_msg("\"%s\" gives \"%s\"", cases[i].text, error->message);
  }
}

static void
test_rows_refused(void **state)
{
  static const char *const says[] = {"no tag", "cannot be read", "cells, but there are", "rating",
                                     "never closed"};
  g_autoptr(GError) error = NULL;
  g_autoptr(Fleet) fleet = make_fleet("tag,L1-L2,FU1.rating\n,486,1 A\nA,486 A,1 A\nB,486,1 A,x\n"
                                      "C,486,-5 A\n\"D\n",
                                      &error);
  (void)state;

  assert_int_equal(fleet_count(fleet), G_N_ELEMENTS(says));
  for (guint i = 0; i < G_N_ELEMENTS(says); i++) {
    g_clear_error(&error);
    assert_null(fleet_unit(fleet, i, &error));
    if (strstr(error->message, says[i]) == NULL)
      fail_msg("row %u gives \"%s\"", i, error->message);
  }
}

/* --- names ----------------------------------------------------------------------------------- */

static void
test_file_names(void **state)
{
  static const char *const pairs[][2] = {
      {"EF-1", "EF-1"},
      {"ef-1", "ef-1-2"}, /* the same file where case does not count */
      {"EF-1", "EF-1-3"},
      {"EF-1-2", "EF-1-2-2"},
      {"../../etc/passwd", "etc_passwd"},
      {"/abs", "abs"},
      {".hidden", "hidden"},
      {"-rf", "rf"},
      {"a  b\\c:d*e?", "a_b_c_d_e"},
      {"CON", "CON_"},
      {"nul.txt", "nul.txt_"},
      {"...", "unit"},
      {"$(touch x)`y`;z", "touch_x_y_z"},
      {"\xe2\x80\xae"
       "gpj.exe",
       "gpj.exe"}, /* an override turns no name round */
      {"Lüfter 3", "Lüfter_3"},
      {"L\x75\xcc\x88"
       "fter 3",
       "Lüfter_3-2"}, /* the same letters composed otherwise */
  };
  g_autoptr(GString) text = g_string_new("tag\n");
  g_autoptr(GError) error = NULL;
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(pairs); i++) {
    csv_append(text, pairs[i][0]);
    csv_end_row(text);
  }
  g_autoptr(Fleet) fleet = make_fleet(text->str, &error);
  g_auto(GStrv) names = fleet_file_names(fleet);
  assert_int_equal(g_strv_length(names), G_N_ELEMENTS(pairs));
  for (guint i = 0; i < G_N_ELEMENTS(pairs); i++)
    assert_string_equal(names[i], pairs[i][1]);
}

/* Many like tags, and very long ones, stay short, apart and quick. */
static void
test_many_like_names(void **state)
{
  g_autoptr(GString) text = g_string_new("tag\n");
  g_autofree char *longest = g_strnfill(60000, 'x');
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  g_autoptr(GError) error = NULL;
  (void)state;

  for (guint i = 0; i < 20000; i++)
    g_string_append(text, "same\n");
  g_string_append_printf(text, "%s\n%s\n", longest, longest);
  g_autoptr(Fleet) fleet = make_fleet(text->str, &error);
  g_auto(GStrv) names = fleet_file_names(fleet);
  for (guint i = 0; names[i] != NULL; i++) {
    assert_true(strlen(names[i]) < 100);
    assert_true(g_hash_table_add(seen, names[i]));
  }
  assert_int_equal(g_hash_table_size(seen), 20002);
}

/* --- runs ------------------------------------------------------------------------------------ */

typedef struct {
  char *dir, *table, *out;
} Place;

static void
remove_tree(const char *path)
{
  g_autoptr(GDir) dir = g_dir_open(path, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
    g_autofree char *inner = g_build_filename(path, name, NULL);
    remove_tree(inner);
  }
  g_remove(path);
}

static Place
place_new(void)
{
  Place place = {.dir = g_dir_make_tmp("doorsheet-XXXXXX", NULL)};
  place.table = g_build_filename(place.dir, "units.csv", NULL);
  place.out = g_build_filename(place.dir, "sheets", NULL);
  return place;
}

static void
place_clear(Place *place)
{
  remove_tree(place->dir);
  g_free(place->dir);
  g_free(place->table);
  g_free(place->out);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Place, place_clear)

static void
write_table(const Place *place, const char *text)
{
  assert_true(g_file_set_contents(place->table, text, -1, NULL));
}

static char *
read_out(const Place *place, const char *name)
{
  g_autofree char *path = g_build_filename(place->out, name, NULL);
  char *data = NULL;
  g_file_get_contents(path, &data, NULL, NULL);
  return data;
}

static bool
is_there(const Place *place, const char *name)
{
  g_autofree char *data = read_out(place, name);
  return data != NULL;
}

/* Runs the verb in this process; *said gets what it printed. */
static CommandStatus
run_fleet(const Place *place, const char *jobs, char **said, char **complained)
{
  g_autofree char *fan = fan_path();
  g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
  const char *argv[] = {"doorsheet", "sheet", "--fleet", place->table, fan,      "-o", place->out,
                        "--format",  "svg",   "--date",  "2026-11-25", "--jobs", jobs, "--quiet"};
  const CommandStatus status = command_run(G_N_ELEMENTS(argv), argv, out, err);
  if (said != NULL)
    *said = g_strdup(out->str);
  if (complained != NULL)
    *complained = g_strdup(err->str);
  return status;
}

#define HEAD "tag,L1-L2,L2-L3,L3-L1,L1-GND,L2-GND,L3-GND\n"
#define GOOD ",483,485,482,279,280,279\n"

static void
expect_said(const Place *place, CommandStatus status, const char *part)
{
  g_autofree char *said = NULL, *complained = NULL;
  assert_int_equal(run_fleet(place, "2", &said, &complained), status);
  if (strstr(said, part) == NULL)
    fail_msg("no \"%s\" in \"%s\" (%s)", part, said, complained);
}

static void
test_run_and_again(void **state)
{
  g_auto(Place) place = place_new();
  (void)state;

  write_table(&place, HEAD "EF-1" GOOD "EF-2,banana,,,,,\nEF-3,400,402,401,231,232,231\n,,,,,,\n");
  expect_said(&place, COMMAND_FAILED, "4 units, 2 written, 0 unchanged, 2 without a sheet; 1 not");
  g_autofree char *summary = read_out(&place, "summary.csv");
  g_autoptr(GPtrArray) rows = csv_read(summary, strlen(summary), NULL);
  assert_int_equal(rows->len, 5);
  const CsvRow *good = rows->pdata[1], *bad = rows->pdata[2], *low = rows->pdata[3];
  assert_string_equal(good->fields->pdata[0], "EF-1");
  assert_string_equal(good->fields->pdata[1], "EF-1.svg");
  assert_string_equal(good->fields->pdata[2], "yes");
  assert_string_equal(bad->fields->pdata[1], "");
  assert_non_null(strstr(bad->fields->pdata[8], "banana"));
  assert_string_equal(low->fields->pdata[2], "no");
  assert_true(strlen(low->fields->pdata[7]) > 5); /* the findings' names */
  assert_true(is_there(&place, "EF-3.svg"));
  assert_false(is_there(&place, "EF-2.svg"));
  assert_false(is_there(&place, "summary.partial.csv"));

  expect_said(&place, COMMAND_FAILED, "0 written, 2 unchanged, 2 without");
  /* A mended row is made, a changed one again, and one that went bad loses its old sheet. */
  write_table(&place, HEAD "EF-1,?,,,,,\nEF-2" GOOD "EF-3,480,481,482,279,280,279\n");
  expect_said(&place, COMMAND_FAILED, "3 units, 2 written, 0 unchanged, 1 without a sheet; 0 not");
  assert_false(is_there(&place, "EF-1.svg"));
  assert_true(is_there(&place, "EF-2.svg"));
}

/* Other units are another sheet. */
static void
test_units_are_made_again(void **state)
{
  g_auto(Place) place = place_new();
  g_autofree char *fan = fan_path();
  g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
  (void)state;

  write_table(&place, HEAD "EF-1" GOOD);
  expect_said(&place, COMMAND_SOUND, "1 written, 0 unchanged");
  g_autofree char *feet = read_out(&place, "EF-1.svg");
  const char *argv[] = {"doorsheet",  "sheet",   "--fleet",  place.table, fan,
                        "-o",         place.out, "--format", "svg",       "--date",
                        "2026-11-25", "--quiet", "--units",  "metric"};
  assert_int_equal(command_run(G_N_ELEMENTS(argv), argv, out, err), COMMAND_SOUND);
  assert_non_null(strstr(out->str, "1 written, 0 unchanged"));
  g_autofree char *metres = read_out(&place, "EF-1.svg");
  assert_null(strstr(feet, "AWG (2.08 mm²)"));
  assert_non_null(strstr(metres, "AWG (2.08 mm²)"));
}

/* A file that somebody damaged is made again; a foreign file of that name is only overwritten by a
 * sheet, never removed. */
static void
test_damaged_and_foreign_files(void **state)
{
  g_auto(Place) place = place_new();
  g_autofree char *path = g_build_filename(place.out, "EF-1.svg", NULL);
  g_autofree char *foreign = g_build_filename(place.out, "EF-2.svg", NULL);
  (void)state;

  write_table(&place, HEAD "EF-1" GOOD "EF-2,?,,,,,\n");
  g_mkdir(place.out, 0755);
  assert_true(g_file_set_contents(foreign, "mine", -1, NULL));
  expect_said(&place, COMMAND_FAILED, "1 written");
  assert_true(is_there(&place, "EF-2.svg"));
  g_autofree char *before = read_out(&place, "EF-1.svg");
  assert_true(g_file_set_contents(path, before, (gssize)strlen(before) / 2, NULL));
  expect_said(&place, COMMAND_FAILED, "1 written, 0 unchanged");
  g_autofree char *after = read_out(&place, "EF-1.svg");
  assert_string_equal(before, after);
}

/* The sheet of a unit is the sheet its own diagram would give, byte for byte. */
static void
test_unit_is_its_own_sheet(void **state)
{
  g_auto(Place) place = place_new();
  g_autoptr(GError) error = NULL;
  const char table[] = HEAD "EF-1" GOOD "EF-2,471,470,472,271,272,270\n";
  (void)state;

  write_table(&place, table);
  expect_said(&place, COMMAND_SOUND, "2 written");
  g_autoptr(Fleet) fleet = make_fleet(table, &error);
  g_autoptr(Document) unit = fleet_unit(fleet, 1, &error);
  g_autoptr(Inspection) inspection = inspection_new(unit);
  const SheetOptions options = {.date = "2026-11-25"};
  g_autoptr(Sheet) sheet = sheet_compose(inspection, &options, &error);
  g_autoptr(GBytes) bytes = sheet_export(sheet, SHEET_SVG, 0, &error);
  g_autofree char *written = read_out(&place, "EF-2.svg");
  assert_int_equal(strlen(written), g_bytes_get_size(bytes));
  assert_memory_equal(written, g_bytes_get_data(bytes, NULL), g_bytes_get_size(bytes));
}

static char *
many_units(guint count)
{
  GString *text = g_string_new(HEAD);
  for (guint i = 0; i < count; i++)
    g_string_append_printf(text, "EF-%u,%u,%u,%u,279,280,279\n", i + 1, 470 + i % 30, 472 + i % 27,
                           471 + i % 29);
  return g_string_free(text, FALSE);
}

/* However many threads work, summary and so every file (by digest) are the same. */
static void
test_threads_agree(void **state)
{
  g_auto(Place) one = place_new();
  g_auto(Place) many = place_new();
  g_autofree char *text = many_units(60);
  (void)state;

  write_table(&one, text);
  write_table(&many, text);
  assert_int_not_equal(run_fleet(&one, "1", NULL, NULL), COMMAND_FINDINGS);
  assert_int_not_equal(run_fleet(&many, "8", NULL, NULL), COMMAND_FINDINGS);
  g_autofree char *first = read_out(&one, "summary.csv"), *second = read_out(&many, "summary.csv");
  assert_non_null(first);
  assert_string_equal(first, second);
}

static guint
count_lines(const Place *place)
{
  g_autofree char *text = read_out(place, "summary.partial.csv");
  guint lines = 0;
  for (const char *c = text; c != NULL && *c != '\0'; c++)
    lines += *c == '\n';
  return lines;
}

/* Killed in the middle, and with its last row torn, a run goes on where it was and ends like one
 * that nobody disturbed. */
static void
test_killed_run_goes_on(void **state)
{
  g_auto(Place) place = place_new();
  g_auto(Place) calm = place_new();
  g_autofree char *text = many_units(120), *fan = fan_path(), *said = NULL;
  g_autofree char *program = g_build_filename(g_getenv("DOORSHEET_BUILD"), "doorsheet", NULL);
  guint lines = 0, unchanged = 0;
  (void)state;

  write_table(&place, text);
  write_table(&calm, text);
  g_autoptr(GSubprocess) process = g_subprocess_new(
      G_SUBPROCESS_FLAGS_STDOUT_SILENCE, NULL, program, "sheet", "--fleet", place.table, fan, "-o",
      place.out, "--format", "svg", "--date", "2026-11-25", "--quiet", NULL);
  assert_non_null(process);
  for (guint i = 0; i < 20000 && (lines = count_lines(&place)) < 10; i++)
    g_usleep(1000);
  g_subprocess_force_exit(process);
  g_subprocess_wait(process, NULL, NULL);
  assert_true(lines >= 10);
  assert_false(is_there(&place, "summary.csv"));
  g_autofree char *partial = g_build_filename(place.out, "summary.partial.csv", NULL);
  FILE *torn = fopen(partial, "ab");
  fputs("EF-99,EF-99.svg,ye", torn);
  fclose(torn);
  run_fleet(&place, "2", &said, NULL);
  assert_int_equal(sscanf(strstr(said, "written, "), "written, %u", &unchanged), 1);
  assert_true(unchanged >= 8 && unchanged < 120);
  run_fleet(&calm, "2", NULL, NULL);
  g_autofree char *first = read_out(&place, "summary.csv");
  g_autofree char *second = read_out(&calm, "summary.csv");
  assert_string_equal(first, second);
}

/* What a spreadsheet would run as a formula stays a text. */
static void
test_formulas_stay_text(void **state)
{
  g_auto(Place) place = place_new();
  (void)state;

  write_table(&place, HEAD "=cmd|' /C calc'!A0" GOOD "@SUM(1)" GOOD "+1" GOOD);
  expect_said(&place, COMMAND_SOUND, "3 written");
  g_autofree char *summary = read_out(&place, "summary.csv");
  assert_non_null(strstr(summary, "\n'=cmd"));
  assert_non_null(strstr(summary, "\n'@SUM"));
  assert_non_null(strstr(summary, "\n'+1"));
}

static void
test_run_refused(void **state)
{
  g_auto(Place) place = place_new();
  g_autofree char *fan = fan_path();
  static const char *const words[][3] = {{"--format", "gif", "no format"},
                                         {"--jobs", "0", "no number of jobs"},
                                         {"--jobs", "many", "no number of jobs"}};
  g_autofree char *complained = NULL;
  (void)state;

  assert_int_equal(run_fleet(&place, "1", NULL, &complained), COMMAND_FAILED); /* no table */
  assert_non_null(strstr(complained, "units.csv"));
  write_table(&place, HEAD "EF-1" GOOD);
  for (guint i = 0; i < G_N_ELEMENTS(words); i++) {
    g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
    const char *argv[] = {"doorsheet", "sheet",   fan,         "--fleet",  place.table,
                          "-o",        place.out, words[i][0], words[i][1]};
    assert_int_equal(command_run(G_N_ELEMENTS(argv), argv, out, err), COMMAND_FAILED);
    assert_non_null(strstr(err->str, words[i][2]));
  }
  g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
  const char *alone[] = {"doorsheet", "sheet", fan, "-o", "/tmp/x.svg", "--jobs", "2"};
  assert_int_equal(command_run(G_N_ELEMENTS(alone), alone, out, err), COMMAND_FAILED);
  assert_non_null(strstr(err->str, "with --fleet only"));
  /* The folder is a file. */
  g_clear_pointer(&complained, g_free);
  assert_true(g_file_set_contents(place.out, "x", -1, NULL));
  assert_int_equal(run_fleet(&place, "1", NULL, &complained), COMMAND_FAILED);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_row_sets_values),
      cmocka_unit_test(test_readings_without_columns),
      cmocka_unit_test(test_columns_refused),
      cmocka_unit_test(test_rows_refused),
      cmocka_unit_test(test_file_names),
      cmocka_unit_test(test_many_like_names),
      cmocka_unit_test(test_run_and_again),
      cmocka_unit_test(test_units_are_made_again),
      cmocka_unit_test(test_damaged_and_foreign_files),
      cmocka_unit_test(test_unit_is_its_own_sheet),
      cmocka_unit_test(test_threads_agree),
      cmocka_unit_test(test_killed_run_goes_on),
      cmocka_unit_test(test_formulas_stay_text),
      cmocka_unit_test(test_run_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
