/* SPDX-License-Identifier: MIT */
/* Every check against cases in text: a sound document, edits that make the fault, what must be
 * found; then undo, and the document is the same to the byte and the finding gone. */
#include "edit_script.h"

#include "checks/explain.h"

typedef struct {
  char *check, *base, *says;
  int line, signal; /* -1: any */
  GPtrArray *edits, *places, *also;
  bool also_any;
} Case;

static GHashTable *remedied; /* checks whose remedy was applied */

static void
case_free(gpointer data)
{
  Case *one = data;
  g_free(one->check);
  g_free(one->base);
  g_free(one->says);
  g_ptr_array_unref(one->edits);
  g_ptr_array_unref(one->places);
  g_ptr_array_unref(one->also);
  g_free(one);
}

static int
signal_parse(const char *word)
{
  for (int s = SIGNAL_DANGER; s <= SIGNAL_NOTICE; s++)
    if (strcmp(signal_word((Signal)s), word) == 0)
      return s;
  fail_msg("no signal word %s", word);
  return -1;
}

static void
case_line(Case *one, const char *line)
{
  const char *rest = strchr(line, ' ');
  rest = rest != NULL ? rest + 1 : "";
  if (g_str_has_prefix(line, "base ")) {
    one->base = g_strdup(rest);
  } else if (g_str_has_prefix(line, "find ")) {
    g_ptr_array_add(one->places, g_strdup(rest));
  } else if (g_str_has_prefix(line, "says ")) {
    one->says = g_strdup(rest);
  } else if (g_str_has_prefix(line, "signal ")) {
    one->signal = signal_parse(rest);
  } else if (g_str_has_prefix(line, "also ")) {
    g_auto(GStrv) names = g_strsplit(rest, " ", -1);
    for (guint i = 0; names[i] != NULL; i++) {
      one->also_any = one->also_any || strcmp(names[i], "any") == 0;
      g_ptr_array_add(one->also, g_strdup(names[i]));
    }
  } else {
    g_ptr_array_add(one->edits, g_strdup(line));
  }
}

static GPtrArray *
read_cases(void)
{
  const char *root = g_getenv("DOORSHEET_SOURCE");
  g_autofree char *path =
      g_build_filename(root != NULL ? root : ".", "tests", "checks", "cases.txt", NULL);
  g_autofree char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, NULL))
    fail_msg("cannot read %s", path);
  GPtrArray *cases = g_ptr_array_new_with_free_func(case_free);
  g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
  for (guint i = 0; lines[i] != NULL; i++) {
    char *line = g_strchomp(lines[i]);
    if (*line == '\0' || *line == '#')
      continue;
    if (g_str_has_prefix(line, "case ")) {
      Case *one = g_new0(Case, 1);
      one->check = g_strdup(line + 5);
      one->line = (int)i + 1;
      one->signal = -1;
      one->edits = g_ptr_array_new_with_free_func(g_free);
      one->places = g_ptr_array_new_with_free_func(g_free);
      one->also = g_ptr_array_new_with_free_func(g_free);
      g_ptr_array_add(cases, one);
    } else {
      assert_true(cases->len > 0);
      case_line(g_ptr_array_index(cases, cases->len - 1), line);
    }
  }
  return cases;
}

static bool
holds(const GPtrArray *texts, const char *text)
{
  for (guint i = 0; i < texts->len; i++)
    if (strcmp(g_ptr_array_index(texts, i), text) == 0)
      return true;
  return false;
}

static char *
describe(const GPtrArray *findings)
{
  GString *text = g_string_new(NULL);
  for (guint i = 0; i < findings->len; i++) {
    const Finding *finding = g_ptr_array_index(findings, i);
    g_string_append_printf(text, "\n  %s %s", signal_word(finding->signal), finding->check);
    for (guint p = 0; p < finding->places->len; p++)
      g_string_append_printf(text, " %s", (const char *)g_ptr_array_index(finding->places, p));
    g_string_append_printf(text, ": %s -> %s", finding->message, finding->remedy);
  }
  return g_string_free(text, FALSE);
}

static bool
fits(const Case *one, const Finding *finding)
{
  if (strcmp(finding->check, one->check) != 0)
    return false;
  if (one->signal >= 0 && finding->signal != (Signal)one->signal)
    return false;
  for (guint i = 0; i < one->places->len; i++)
    if (!holds(finding->places, g_ptr_array_index(one->places, i)))
      return false;
  return one->says == NULL || strstr(finding->message, one->says) != NULL ||
         strstr(finding->remedy, one->says) != NULL;
}

static void
assert_well_formed(const Finding *finding)
{
  assert_non_null(check_find(finding->check));
  assert_true(strlen(finding->message) > 20);
  assert_true(strlen(finding->remedy) > 10);
  assert_non_null(finding->source);
  assert_true(finding->places->len > 0);
  assert_null(strstr(finding->message, "(null)"));
  assert_null(strstr(finding->message, "nan"));
  assert_null(strstr(finding->remedy, "nan"));
}

static guint
count_of(const GPtrArray *findings, const char *check)
{
  guint n = 0;
  for (guint i = 0; i < findings->len; i++)
    n += strcmp(((const Finding *)g_ptr_array_index(findings, i))->check, check) == 0;
  return n;
}

/* What is wrong with what was found, appended to problems. */
static void
judge(const Case *one, const Inspection *inspection, GString *problems)
{
  bool found = false;
  g_autofree char *all = describe(inspection->findings);
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    assert_well_formed(finding);
    found = found || fits(one, finding);
    if (finding->signal == SIGNAL_NOTICE || one->also_any ||
        strcmp(finding->check, one->check) == 0 || holds(one->also, finding->check))
      continue;
    g_string_append_printf(problems, "\ncases.txt:%d: %s also finds %s: %s", one->line, one->check,
                           finding->check, finding->message);
  }
  if (!found)
    g_string_append_printf(problems, "\ncases.txt:%d: %s not found as described:%s", one->line,
                           one->check, all);
  for (guint i = 0; i < one->also->len && !one->also_any; i++)
    if (count_of(inspection->findings, g_ptr_array_index(one->also, i)) == 0)
      g_string_append_printf(problems, "\ncases.txt:%d: %s not found:%s", one->line,
                             (const char *)g_ptr_array_index(one->also, i), all);
}

static bool
same_finding(const Finding *a, const Finding *b)
{
  if (strcmp(a->check, b->check) != 0 || a->places->len != b->places->len)
    return false;
  for (guint i = 0; i < a->places->len; i++)
    if (!holds(b->places, g_ptr_array_index(a->places, i)))
      return false;
  return true;
}

/* A computed remedy is one change; with it the finding is gone, and undo takes it back. */
static void
try_remedies(const Case *one, Document *document, const Inspection *inspection, GString *problems)
{
  g_autoptr(GBytes) faulty = document_write_memory(document);
  for (guint i = 0; i < inspection->findings->len; i++) {
    const Finding *finding = g_ptr_array_index(inspection->findings, i);
    if (strcmp(finding->check, one->check) != 0 || !fits(one, finding) ||
        !inspection_has_remedy(inspection, finding))
      continue;
    g_hash_table_add(remedied, g_strdup(one->check));
    g_autoptr(GError) error = NULL;
    Change *change = inspection_remedy(inspection, finding, &error);
    if (change == NULL || !document_apply(document, change, &error)) {
      g_string_append_printf(problems, "\ncases.txt:%d: remedy of %s: %s", one->line, one->check,
                             error != NULL ? error->message : "no change");
      return;
    }
    g_autoptr(Inspection) after = inspection_new(document);
    for (guint k = 0; k < after->findings->len; k++)
      if (same_finding(finding, g_ptr_array_index(after->findings, k))) {
        g_autofree char *all = describe(after->findings);
        g_string_append_printf(problems, "\ncases.txt:%d: after its remedy %s is still found:%s",
                               one->line, one->check, all);
        break;
      }
    document_undo(document);
    g_autoptr(GBytes) undone = document_write_memory(document);
    assert_true(g_bytes_equal(faulty, undone));
  }
}

static void
run_case(const Case *one, GString *problems)
{
  g_autoptr(Document) document = script_open("tests/data/checks", one->base);
  g_autoptr(GBytes) before = document_write_memory(document);
  g_autoptr(Inspection) sound = inspection_new(document);
  if (count_of(sound->findings, one->check) != 0 || !findings_sound(sound->findings)) {
    g_autofree char *all = describe(sound->findings);
    g_string_append_printf(problems, "\ncases.txt:%d: the base %s is not sound:%s", one->line,
                           one->base, all);
  }
  for (guint i = 0; i < one->edits->len; i++)
    script_apply(document, g_ptr_array_index(one->edits, i));
  g_autoptr(Inspection) faulty = inspection_new(document);
  judge(one, faulty, problems);
  try_remedies(one, document, faulty, problems);
  while (document_can_undo(document))
    document_undo(document);
  g_autoptr(GBytes) after = document_write_memory(document);
  assert_true(g_bytes_equal(before, after));
}

/* Every check that offers a remedy has had one tried, and no other offers one. */
static void
assert_remedies_tried(void)
{
  guint n = 0;
  for (const CheckExplanation *one = explain_table; one->check != NULL; one++) {
    bool tried = g_hash_table_contains(remedied, one->check);
    n += tried;
    if (tried != (one->remedy != NULL))
      fail_msg("%s: remedy %s", one->check, tried ? "is not described" : "has not been tried");
  }
  g_print("remedies of %u checks applied\n", n);
  assert_int_equal(n, g_hash_table_size(remedied));
}

static void
test_cases(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) cases = read_cases();
  g_autoptr(GString) problems = g_string_new(NULL);
  remedied = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < cases->len; i++)
    run_case(g_ptr_array_index(cases, i), problems);
  assert_remedies_tried();
  g_clear_pointer(&remedied, g_hash_table_unref);
  if (problems->len > 0) {
    g_printerr("%s\n", problems->str); /* fail_msg would cut it */
    fail_msg("some cases failed");
  }
}

static void
test_every_check_has_a_case(void **state)
{
  (void)state;
  g_autoptr(GPtrArray) cases = read_cases();
  for (const Check *check = checks_table; check->name != NULL; check++) {
    /* No edit makes the solver fail for certain: test_not_solved.c. */
    bool found = strcmp(check->name, "not-solved") == 0;
    for (guint i = 0; i < cases->len; i++)
      found = found || strcmp(((Case *)g_ptr_array_index(cases, i))->check, check->name) == 0;
    if (!found)
      fail_msg("no case for %s", check->name);
  }
  for (guint i = 0; i < cases->len; i++)
    assert_non_null(check_find(((Case *)g_ptr_array_index(cases, i))->check));
}

static void
test_table(void **state)
{
  (void)state;
  g_autoptr(GHashTable) names = g_hash_table_new(g_str_hash, g_str_equal);
  for (const Check *check = checks_table; check->name != NULL; check++) {
    assert_true(g_hash_table_add(names, (gpointer)check->name));
    assert_ptr_equal(check_find(check->name), check);
    assert_true(strlen(check->title) > 5);
    assert_true(strlen(check->source) > 5);
    assert_true(strlen(check->looks_at) > 20);
    assert_non_null(check->run);
    const CheckExplanation *more = check_explanation(check->name);
    assert_ptr_equal(more, &explain_table[check - checks_table]);
    assert_true(strlen(more->formula) > 10);
  }
  assert_null(check_find("no-such-check"));
  assert_null(check_find(""));
}

/* An empty sheet, and one with nothing but a device that nobody landed, have nothing to fear. */
static void
test_nothing_drawn(void **state)
{
  (void)state;
  for (PartCatalog kind = parts_catalog();; kind++) {
    g_autoptr(Document) document = document_new(parts_catalog());
    if (*kind != NULL)
      document_apply(document, edit_place(document, *kind, (Point){100, 100}, NULL), NULL);
    g_autoptr(Inspection) inspection = inspection_new(document);
    for (guint i = 0; i < inspection->findings->len; i++) {
      const Finding *finding = g_ptr_array_index(inspection->findings, i);
      bool expected = finding->signal == SIGNAL_NOTICE ||
                      strcmp(finding->check, "lead-not-capped") == 0 ||
                      strcmp(finding->check, "supply-not-measured") == 0;
      if (!expected)
        fail_msg("%s alone: %s %s", *kind != NULL ? (*kind)->name : "nothing", finding->check,
                 finding->message);
    }
    if (*kind == NULL)
      break;
  }
}

/* The same document always gives the same findings in the same order, most severe first. */
static void
test_order(void **state)
{
  (void)state;
  g_autoptr(Document) document = script_open("tests/data/checks", "control-480");
  script_apply(document, "cut 105");
  script_apply(document, "wire 103 colour white");
  script_apply(document, "set FU1 rating 2 A");
  g_autoptr(Inspection) one = inspection_new(document);
  g_autoptr(Inspection) two = inspection_new(document);
  g_autofree char *first = describe(one->findings), *second = describe(two->findings);
  assert_string_equal(first, second);
  assert_true(one->findings->len >= 3);
  for (guint i = 1; i < one->findings->len; i++)
    assert_true(((Finding *)g_ptr_array_index(one->findings, i - 1))->signal <=
                ((Finding *)g_ptr_array_index(one->findings, i))->signal);
}

static gpointer
inspect_in_thread(gpointer data)
{
  return inspection_new(data);
}

/* Threads inspect snapshots of one document and all say the same. */
static void
test_threads(void **state)
{
  (void)state;
  enum { THREADS = 4 };
  g_autoptr(Document) document = script_open("tests/data/checks", "motor-480");
  script_apply(document, "set FU1 rating 4 A");
  script_apply(document, "cut T1.FRAME-GRD1.1");
  g_autoptr(Inspection) here = inspection_new(document);
  g_autofree char *expected = describe(here->findings);
  Document *snapshots[THREADS];
  GThread *threads[THREADS];
  for (int i = 0; i < THREADS; i++) {
    snapshots[i] = document_snapshot(document);
    threads[i] = g_thread_new("inspect", inspect_in_thread, snapshots[i]);
  }
  for (int i = 0; i < THREADS; i++) {
    g_autoptr(Inspection) there = g_thread_join(threads[i]);
    g_autofree char *found = describe(there->findings);
    assert_string_equal(found, expected);
    document_free(snapshots[i]);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_table),         cmocka_unit_test(test_every_check_has_a_case),
      cmocka_unit_test(test_nothing_drawn), cmocka_unit_test(test_order),
      cmocka_unit_test(test_cases),         cmocka_unit_test(test_threads),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
