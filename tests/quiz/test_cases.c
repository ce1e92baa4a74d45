/* SPDX-License-Identifier: MIT */
/* tests/cases: each file makes a sound diagram faulty and lists exactly what must be found above
 * NOTICE, no more and no less, and the places of the first.
 *
 *   base FOLDER/NAME            a sound diagram, without .doorsheet
 *   EDIT                        see ../checks/edit_script.h; also: reland NAME.from|to D.T,
 *                               remove ID, swap D.T D.T (all that lies on them changes places)
 *   expect CHECK CHECK ...      the first is the one meant
 *   at PLACE                    a place the first names; repeatable
 *
 * Undoing every edit restores the bytes. */
#include "../checks/edit_script.h"

#include "matrix.h"

typedef struct {
  const char *file;
  Document *document;
  GBytes *before;
  char **expect;     /* NULL until the line came */
  GPtrArray *places; /* borrowed from the lines */
  GString *problems;
} Case;

/* Both ends of every conductor on a exchanged for b; one edit a conductor end. */
static void
swap_landings(Document *document, const char *a, const char *b)
{
  g_autoptr(GPtrArray) edits = g_ptr_array_new_with_free_func(g_free);
  for (guint c = 0; c < document_conductor_count(document); c++) {
    const Conductor *conductor = document_conductor(document, c);
    g_autofree char *from = landing_dup_name(&conductor->from);
    g_autofree char *to = landing_dup_name(&conductor->to);
    const char *ends[2] = {to, from};
    for (int k = 0; k < 2; k++) {
      const char *other = strcmp(ends[k], a) == 0 ? b : strcmp(ends[k], b) == 0 ? a : NULL;
      if (other != NULL)
        g_ptr_array_add(edits, g_strdup_printf("%u %d %s", conductor->key, k, other));
    }
  }
  assert_true(edits->len > 0);
  for (guint i = 0; i < edits->len; i++) {
    g_auto(GStrv) words = g_strsplit(g_ptr_array_index(edits, i), " ", 3);
    g_autofree char *device = NULL, *terminal = NULL;
    assert_true(text_split_terminal(words[2], &device, &terminal));
    Landing landing = {device, terminal};
    g_autoptr(GError) error = NULL;
    Change *change = edit_reland(document, (guint32)g_ascii_strtoull(words[0], NULL, 10),
                                 strcmp(words[1], "1") == 0, &landing, &error);
    if (change == NULL || !document_apply(document, change, &error))
      fail_msg("swap %s %s: %s", a, b, error->message);
  }
}

static void
apply_edit(Document *document, const char *line)
{
  g_auto(GStrv) words = g_strsplit(line, " ", -1);
  g_autofree char *edit = g_strdup(line);
  if (strcmp(words[0], "swap") == 0) {
    assert_int_equal(g_strv_length(words), 3);
    swap_landings(document, words[1], words[2]);
    return;
  }
  if (strcmp(words[0], "remove") == 0) {
    g_free(edit);
    edit = g_strdup_printf("delete %s", words[1]);
  }
  char *dot = strcmp(words[0], "reland") == 0 && words[1] != NULL ? strrchr(words[1], '.') : NULL;
  if (dot != NULL && (strcmp(dot, ".to") == 0 || strcmp(dot, ".from") == 0)) {
    *dot = '\0';
    g_free(edit);
    edit = g_strdup_printf("reland %s %s %s", words[1], dot + 1, words[2]);
  }
  script_apply(document, edit);
}

static void
case_line(Case *one, char *line)
{
  char *rest = strchr(line, ' ');
  rest = rest != NULL ? rest + 1 : line + strlen(line);
  if (g_str_has_prefix(line, "base ")) {
    one->document = script_open(".", rest);
    one->before = document_write_memory(one->document);
    g_autoptr(Inspection) sound = inspection_new(one->document);
    if (!findings_sound(sound->findings))
      g_string_append_printf(one->problems, "%s: %s is not sound\n", one->file, rest);
  } else if (g_str_has_prefix(line, "expect ")) {
    one->expect = g_strsplit(rest, " ", -1);
  } else if (g_str_has_prefix(line, "at ")) {
    g_ptr_array_add(one->places, rest);
  } else {
    assert_non_null(one->document);
    apply_edit(one->document, line);
  }
}

/* The first expected check names all the places, in one finding or several. */
static void
judge_places(const Case *one, const Inspection *inspection)
{
  for (guint p = 0; p < one->places->len; p++) {
    bool named = false;
    for (guint i = 0; i < inspection->findings->len; i++) {
      const Finding *finding = g_ptr_array_index(inspection->findings, i);
      if (strcmp(finding->check, one->expect[0]) == 0)
        named = named || g_ptr_array_find_with_equal_func(
                             finding->places, g_ptr_array_index(one->places, p), g_str_equal, NULL);
    }
    if (!named)
      g_string_append_printf(one->problems, "%s: %s does not name %s\n", one->file, one->expect[0],
                             (char *)g_ptr_array_index(one->places, p));
  }
}

static void
judge(const Case *one)
{
  g_autoptr(Inspection) inspection = inspection_new(one->document);
  g_autoptr(GHashTable) found = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (finding->signal == SIGNAL_NOTICE || !g_hash_table_add(found, (gpointer)finding->check))
      continue;
    if (!g_strv_contains((const char *const *)one->expect, finding->check))
      g_string_append_printf(one->problems, "%s: also %s: %s\n", one->file, finding->check,
                             finding->message);
  }
  for (guint i = 0; one->expect[i] != NULL; i++) {
    assert_non_null(check_find(one->expect[i]));
    if (!g_hash_table_contains(found, one->expect[i]))
      g_string_append_printf(one->problems, "%s: %s is not found\n", one->file, one->expect[i]);
  }
  judge_places(one, inspection);
}

static void
run_case(const char *folder, const char *file, GString *problems, GHashTable *checks)
{
  g_autofree char *path = g_build_filename(folder, file, NULL);
  g_autofree char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  Case one = {.file = file, .places = g_ptr_array_new(), .problems = problems};
  for (guint i = 0; lines[i] != NULL; i++) {
    char *line = g_strstrip(lines[i]);
    if (*line != '\0' && *line != '#')
      case_line(&one, line);
  }
  if (one.document == NULL || one.expect == NULL || one.places->len == 0)
    fail_msg("%s: a case has base, expect and at", file);
  judge(&one);
  g_hash_table_add(checks, g_strdup(one.expect[0]));
  while (document_can_undo(one.document))
    document_undo(one.document);
  g_autoptr(GBytes) after = document_write_memory(one.document);
  if (!g_bytes_equal(one.before, after))
    g_string_append_printf(problems, "%s: undo does not restore the base\n", file);
  g_bytes_unref(one.before);
  document_free(one.document);
  g_ptr_array_unref(one.places);
  g_strfreev(one.expect);
}

static void
test_cases(void **state)
{
  (void)state;
  g_autofree char *folder = manual_path("tests/cases", NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  g_autoptr(GString) problems = g_string_new(NULL);
  g_autoptr(GHashTable) checks = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  guint cases = 0;
  for (const char *name; (name = g_dir_read_name(dir)) != NULL;)
    if (g_str_has_suffix(name, ".case")) {
      run_case(folder, name, problems, checks);
      cases++;
    }
  g_print("%u cases, %u checks\n", cases, g_hash_table_size(checks));
  if (problems->len > 0) {
    g_printerr("%s", problems->str);
    fail_msg("some cases failed");
  }
  assert_true(cases >= 60);
  assert_true(g_hash_table_size(checks) >= 45);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_cases),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
