/* SPDX-License-Identifier: MIT */
/* Every sample's sheet in Spanish and in both languages: nothing English is left in the one, both
 * stand in the other, the numbers are those of the English sheet, nothing is cut off or lies on
 * something else, and no locale changes a letter. */
#include "po.h"

#include "../sheet/sheet_fixture.h"
#include "base/language.h"
#include "command/command.h"
#include "handout/seen.h"
#include "handout/student.h"
#include "sheet/sheet_private.h"
#include <locale.h>

static GPtrArray *catalogue;
static GHashTable *english;

static Sheet *
compose(const Document *document, const char *paper, const char *language)
{
  const SheetOptions options = {.paper = paper, .language = language, .date = "2026-11-25"};
  g_autoptr(GError) error = NULL;
  const char *before = language_choose(sheet_language(document, &options));
  g_autoptr(Inspection) inspection = inspection_new(document);
  language_choose(before);
  Sheet *sheet = sheet_compose(inspection, &options, &error);
  if (sheet == NULL)
    fail_msg("%s", error->message);
  return sheet;
}

/* --- what the user wrote --- */

static void
add_fields(GHashTable *own, const FieldSpec *fields, guint n, const Value *values)
{
  for (guint i = 0; i < n; i++)
    if ((fields[i].type == FIELD_TEXT || fields[i].type == FIELD_NAME) && values[i].is_set &&
        values[i].text != NULL && !fields[i].is_colour)
      po_add_words(own, values[i].text);
}

static GHashTable *
own_words(const Document *document)
{
  GHashTable *own = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  const SheetData *data = document_sheet(document);

  add_fields(own, sheet_data_fields, SHEET_FIELD_COUNT, data->values);
  add_fields(own, equipment_fields, EQUIPMENT_FIELD_COUNT, data->equipment);
  for (guint i = 0; i < document_device_count(document); i++) {
    const Device *device = document_device(document, i);
    add_fields(own, device->kind->fields, device->kind->n_fields, device->values);
    for (guint r = 0; r < device_row_count(device); r++)
      add_fields(own, device->kind->row_fields, device->kind->n_row_fields, device_row(device, r));
  }
  for (guint i = 0; i < document_conductor_count(document); i++)
    add_fields(own, conductor_fields, CONDUCTOR_FIELD_COUNT,
               document_conductor(document, i)->values);
  return own;
}

/* --- Spanish --- */

/* Texts of one page are joined, for a sentence is wrapped into several. */
static GPtrArray *
texts_of(const Sheet *sheet)
{
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  GPtrArray *texts = g_ptr_array_new_with_free_func(g_free);

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT)
      g_ptr_array_add(texts, g_strdup(item->text));
  }
  return texts;
}

static void
assert_no_english(const char *text, const char *where, GHashTable *own)
{
  g_autofree char *word = po_find_english(text, english, own);
  if (word != NULL)
    fail_msg("%s: \"%s\" is English: %.300s", where, word, text);
}

/* "480 V", "12.5 A", "75 VA", "14 AWG", "85 %": what a person acts upon, sorted. New. */
static char *
numbers_of(const Sheet *sheet)
{
  g_autoptr(GPtrArray) texts = texts_of(sheet);
  g_ptr_array_add(texts, NULL);
  g_autofree char *all = g_strjoinv("\n", (char **)texts->pdata);
  g_autoptr(GRegex) form =
      g_regex_new("[0-9][0-9./]*(?:\u00a0| "
                  ")(?:[kmM]?(?:VA|V|A|W|ohm|\u03a9)|AWG|%|ft|mm2|mm\u00b2|Hz)(?![A-Za-z])",
                  G_REGEX_DEFAULT, 0, NULL);
  g_autoptr(GMatchInfo) match = NULL;
  g_autoptr(GPtrArray) found = g_ptr_array_new_with_free_func(g_free);
  g_regex_match(form, all, 0, &match);
  for (; g_match_info_matches(match); g_match_info_next(match, NULL))
    g_ptr_array_add(found, g_match_info_fetch(match, 0));
  g_ptr_array_sort(found, fixture_compare);
  /* A table that goes on over the page says its heading again, and pages break elsewhere: each
   * number once. */
  GString *list = g_string_new(NULL);
  for (guint i = 0; i < found->len; i++)
    if (i == 0 || strcmp(found->pdata[i], found->pdata[i - 1]) != 0)
      g_string_append_printf(list, "%s\n", (const char *)found->pdata[i]);
  g_string_replace(list, "\u00a0", " ", 0);
  return g_string_free(list, FALSE);
}

static void
assert_numbers_are_plain(const char *text, const char *where)
{
  for (const char *p = text; *p != '\0'; p++)
    if (p > text && *p == ',' && g_ascii_isdigit(p[-1]) && g_ascii_isdigit(p[1]))
      fail_msg("%s: a number with a comma: %s", where, text);
}

static void
nothing_english_is_left(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autoptr(GHashTable) own = own_words(document);
    g_autofree char *name = g_path_get_basename(paths->pdata[i]);
    for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
      g_autoptr(Sheet) sheet = compose(document, paper->name, "es");
      g_autoptr(GPtrArray) texts = texts_of(sheet);
      assert_true(texts->len > 20);
      for (guint t = 0; t < texts->len; t++) {
        assert_no_english(texts->pdata[t], name, own);
        assert_numbers_are_plain(texts->pdata[t], name);
      }
    }
  }
}

/* The search finds what it should: every English sheet has English words. */
static void
english_is_found_where_it_is(void **state)
{
  g_autoptr(Document) document = fixture_pump();
  g_autoptr(GHashTable) own = own_words(document);
  g_autoptr(Sheet) sheet = compose(document, "letter", "en");
  g_autoptr(GPtrArray) texts = texts_of(sheet);
  guint found = 0;
  (void)state;

  for (guint t = 0; t < texts->len; t++) {
    g_autofree char *word = po_find_english(texts->pdata[t], english, own);
    found += word != NULL;
  }
  assert_true(found > 50);
}

static void
numbers_are_those_of_the_english_sheet(void **state)
{
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autoptr(Sheet) en = compose(document, "letter", "en"), es = compose(document, "letter", "es");
    g_autofree char *here = numbers_of(en), *there = numbers_of(es);
    assert_true(strlen(here) > 100);
    if (strcmp(here, there) != 0)
      fail_msg("%s: English has\n%s\nSpanish has\n%s", (const char *)paths->pdata[i], here, there);
  }
}

/* --- both --- */

static bool
says(const GPtrArray *texts, const char *part)
{
  for (guint i = 0; i < texts->len; i++)
    if (strstr(texts->pdata[i], part) != NULL)
      return true;
  return false;
}

static void
cautions_stand_in_both(void **state)
{
  static const char *const pairs[][2] = {{"DANGER", "PELIGRO"}, {"WARNING", "ADVERTENCIA"}};
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    for (const Paper *paper = sheet_papers; paper->name != NULL; paper++) {
      g_autoptr(Sheet) both = compose(document, paper->name, "en-es");
      g_autoptr(Sheet) one = compose(document, paper->name, "en");
      g_autoptr(GPtrArray) texts = texts_of(both), plain = texts_of(one);
      for (guint p = 0; p < G_N_ELEMENTS(pairs); p++)
        if (says(plain, pairs[p][0]) && (!says(texts, pairs[p][0]) || !says(texts, pairs[p][1])))
          fail_msg("%s on %s lacks %s or %s", (const char *)paths->pdata[i], paper->name,
                   pairs[p][0], pairs[p][1]);
      assert_true(says(texts, "DANGER") && says(texts, "PELIGRO"));
    }
  }
}

/* --- geometry --- */

static void
check_geometry(const Sheet *sheet, const char *what)
{
  g_autoptr(Pen) record = fixture_record(sheet);
  const GArray *items = pen_record_items(record);
  const double edge = sheet->frame.label ? 3 : 6;
  const Rect paper = {edge, edge, sheet->width - 2 * edge, sheet->height - 2 * edge};

  for (guint i = 0; i < items->len; i++) {
    const RecordItem *item = &g_array_index(items, RecordItem, i);
    if (item->kind == RECORD_TEXT && !rect_is_empty(item->bounds) &&
        !rect_holds(rect_grow(paper, 0.01), item->bounds))
      fail_msg("%s: page %u: \"%s\" leaves the border", what, item->page + 1, item->text);
    for (guint j = 0; item->kind == RECORD_TEXT && j < i; j++) {
      const RecordItem *other = &g_array_index(items, RecordItem, j);
      if (other->kind == RECORD_TEXT && other->page == item->page &&
          rect_intersects(rect_grow(item->bounds, -0.02), rect_grow(other->bounds, -0.02)))
        fail_msg("%s: page %u: \"%s\" stands on \"%s\"", what, item->page + 1, item->text,
                 other->text);
    }
  }
}

static void
nothing_is_cut_off_or_covered(void **state)
{
  static const char *const languages[] = {"es", "en-es"};
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    for (const Paper *paper = sheet_papers; paper->name != NULL; paper++)
      for (guint l = 0; l < G_N_ELEMENTS(languages); l++) {
        g_autoptr(Sheet) sheet = compose(document, paper->name, languages[l]);
        g_autofree char *what =
            g_strdup_printf("%s, %s, %s", (const char *)paths->pdata[i], paper->name, languages[l]);
        check_geometry(sheet, what);
      }
  }
}

/* --- locale --- */

static char *
dump(const Document *document, const char *language)
{
  g_autoptr(Sheet) sheet = compose(document, "letter", language);
  g_autoptr(Pen) record = fixture_record(sheet);
  return pen_record_dump(record);
}

/* Makes the locale in a folder of our own: most machines do not have it installed. */
static bool
make_locale(const char *folder, const char *name)
{
  g_autofree char *full = g_strconcat(name, ".UTF-8", NULL);
  g_autofree char *path = g_build_filename(folder, full, NULL);
  const char *command[] = {"localedef", "-i", name, "-f", "UTF-8", path, NULL};
  g_spawn_sync(NULL, (char **)(guintptr)command, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL,
               NULL, NULL);
  g_setenv("LOCPATH", folder, TRUE);
  return setlocale(LC_ALL, full) != NULL && strcmp(localeconv()->decimal_point, ",") == 0;
}

static void
assert_same_lines(const char *here, const char *there, const char *what)
{
  g_auto(GStrv) left = g_strsplit(here, "\n", -1), right = g_strsplit(there, "\n", -1);
  for (guint i = 0; left[i] != NULL && right[i] != NULL; i++)
    if (strcmp(left[i], right[i]) != 0)
      fail_msg("%s, line %u: %s instead of %s", what, i, left[i], right[i]);
  assert_int_equal(strlen(here), strlen(there));
}

static void
no_locale_changes_a_letter(void **state)
{
  static const char *const names[] = {"es_ES", "de_DE"};
  g_autoptr(Document) document = fixture_pump();
  g_autofree char *folder = g_dir_make_tmp("doorsheet-locale-XXXXXX", NULL);
  setlocale(LC_ALL, "C");
  g_autofree char *es = dump(document, "es"), *both = dump(document, "en-es");
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(names); i++) {
    if (!make_locale(folder, names[i])) {
      print_message("%s can be neither found nor made here\n", names[i]);
      continue;
    }
    g_autofree char *es_here = dump(document, "es"), *both_here = dump(document, "en-es");
    assert_same_lines(es_here, es, names[i]);
    assert_same_lines(both_here, both, names[i]);
  }
  setlocale(LC_ALL, "C");
  const char *remove[] = {"rm", "-r", folder, NULL};
  g_spawn_sync(NULL, (char **)(guintptr)remove, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL,
               NULL, NULL);
}

/* --- the command line --- */

static void
the_command_line_speaks_spanish(void **state)
{
  static const char *const commands[][4] = {{"check", NULL},
                                            {"readings", NULL},
                                            {"readings", "--locked-out", NULL},
                                            {"readings", "--faults", NULL},
                                            {"readings", "--amps", NULL}};
  g_autoptr(GPtrArray) paths = fixture_all_paths();
  (void)state;

  language_choose("es");
  for (guint i = 0; i < paths->len; i++) {
    g_autoptr(Document) document = fixture_read(paths->pdata[i]);
    g_autoptr(GHashTable) own = own_words(document);
    po_add_words(own, paths->pdata[i]);
    for (guint c = 0; c < G_N_ELEMENTS(commands); c++) {
      const char *argv[] = {"doorsheet", commands[c][0], paths->pdata[i], commands[c][1], NULL};
      g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
      command_run(commands[c][1] != NULL ? 4 : 3, argv, out, err);
      assert_true(out->len > 40);
      g_auto(GStrv) lines = g_strsplit(out->str, "\n", -1);
      for (guint l = 0; lines[l] != NULL; l++) {
        /* The first line of a finding names its check, which is a word of the command line. */
        for (const Check *check = checks_table; check->name != NULL; check++) {
          char *at = strstr(lines[l], check->name);
          if (at != NULL && strncmp(lines[l], "  ", 2) != 0)
            memset(at, ' ', strlen(check->name));
        }
        assert_no_english(lines[l], commands[c][0], own);
      }
    }
  }
  language_choose(NULL);
}

/* Dealt as a Spanish instructor deals: what the student gets on paper, and the proof. */
static void
handouts_speak_spanish(void **state)
{
  g_autofree char *master = fixture_path("samples/lesson-taps.doorsheet");
  g_autofree char *folder = g_dir_make_tmp("doorsheet-deal-XXXXXX", NULL);
  const char *argv[] = {"doorsheet",  "quiz", master, "--marked", "--versions", "1",
                        "--language", "es",   "-o",   folder,     NULL};
  g_autoptr(GString) out = g_string_new(NULL), err = g_string_new(NULL);
  const SheetOptions options = {.paper = "letter", .language = "es", .date = "2026-11-25"};
  g_autoptr(GError) error = NULL;
  (void)state;

  language_choose("es");
  if (command_run((int)G_N_ELEMENTS(argv) - 1, argv, out, err) != COMMAND_SOUND)
    fail_msg("%s", err->str);
  language_choose(NULL);
  g_autofree char *file = g_build_filename(folder, "student", "version-01.doorsheet", NULL);
  g_autoptr(Document) exercise = fixture_read(file);
  g_autoptr(GHashTable) own = own_words(exercise);
  po_add_words(own, sheet_exercise_text(document_sheet(exercise), EXERCISE_LESSON));
  assert_no_english(sheet_exercise_text(document_sheet(exercise), EXERCISE_SYMPTOM), "symptom",
                    NULL);
  g_autoptr(Document) seen = seen_document(exercise);
  const char *before = language_choose("es");
  g_autoptr(Sheet) sheet = student_sheet_compose(seen, &options, &error);
  language_choose(before);
  if (sheet == NULL)
    fail_msg("%s", error->message);
  g_autoptr(GPtrArray) texts = texts_of(sheet);
  assert_true(texts->len > 100);
  for (guint t = 0; t < texts->len; t++) {
    assert_no_english(texts->pdata[t], "student sheet", own);
    assert_numbers_are_plain(texts->pdata[t], "student sheet");
  }
  check_geometry(sheet, "student sheet");
  g_autofree char *proof = g_build_filename(folder, "fairness.txt", NULL);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(proof, &text, NULL, NULL));
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (guint l = 0; lines[l] != NULL; l++)
    assert_no_english(lines[l], "fairness.txt", own);
  const char *remove[] = {"rm", "-r", folder, NULL};
  g_spawn_sync(NULL, (char **)(guintptr)remove, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL,
               NULL, NULL);
}

int
main(void)
{
  g_autofree char *po = fixture_path("ui/po/es.po");
  catalogue = po_read(po);
  english = po_english_words(catalogue);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nothing_english_is_left),
      cmocka_unit_test(english_is_found_where_it_is),
      cmocka_unit_test(numbers_are_those_of_the_english_sheet),
      cmocka_unit_test(cautions_stand_in_both),
      cmocka_unit_test(nothing_is_cut_off_or_covered),
      cmocka_unit_test(no_locale_changes_a_letter),
      cmocka_unit_test(the_command_line_speaks_spanish),
      cmocka_unit_test(handouts_speak_spanish),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_hash_table_unref(english);
  g_ptr_array_unref(catalogue);
  return failed;
}
