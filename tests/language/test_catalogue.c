/* SPDX-License-Identifier: MIT */
/* The Spanish catalogue says everything the source says now: the texts are gathered anew here, by
 * the same script a translator uses, so that a sentence added today is missed today. */
#include "po.h"

#include "base/language.h"
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define SKIP 77

static GPtrArray *sources, *spanish;

static char *
source_path(const char *relative)
{
  return g_build_filename(g_getenv("DOORSHEET_SOURCE"), relative, NULL);
}

/* false: gettext's tools are not here. */
static bool
gather(const char *into)
{
  g_autofree char *tool = g_find_program_in_path("xgettext");
  g_autofree char *script = source_path("ui/po/extract");
  const char *command[] = {"sh", script, into, NULL};
  g_autofree char *said = NULL;
  g_autoptr(GError) error = NULL;
  int status = 0;

  if (tool == NULL)
    return false;
  if (!g_spawn_sync(NULL, (char **)(guintptr)command, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL,
                    &said, &status, &error) ||
      !g_spawn_check_wait_status(status, &error))
    g_error("%s %s", error->message, said);
  /* A warning of xgettext is a text that translators cannot get right. */
  if (said[0] != '\0')
    g_error("%s", said);
  return true;
}

static void
every_text_has_a_translation(void **state)
{
  guint missing = 0;
  (void)state;

  assert_true(sources->len > 2000);
  for (guint i = 0; i < sources->len; i++) {
    const PoEntry *source = sources->pdata[i];
    const PoEntry *entry = po_find(spanish, source->id);
    const char *fault =
        entry == NULL                                   ? "is not in es.po"
        : entry->text[0][0] == '\0'                     ? "has no Spanish"
        : entry->fuzzy                                  ? "is fuzzy"
        : g_strcmp0(source->plural, entry->plural) != 0 ? "has another plural"
        : source->plural != NULL && (entry->text[1] == NULL || entry->text[1][0] == '\0')
            ? "has one form only"
            : NULL;
    if (fault != NULL)
      print_error("\"%s\" %s\n", source->id, fault);
    missing += fault != NULL;
  }
  assert_int_equal(missing, 0);
}

static void
nothing_is_translated_that_nobody_says(void **state)
{
  (void)state;
  for (guint i = 0; i < spanish->len; i++)
    if (po_find(sources, ((const PoEntry *)spanish->pdata[i])->id) == NULL)
      fail_msg("nobody says \"%s\" any more", ((const PoEntry *)spanish->pdata[i])->id);
}

/* "%u", "%-8.3f", "%2$s" in the order of their arguments: what kind, and by which place. "%%" is
 * none. "85 % of" is none either. New. */
static char *
places_of(const char *text)
{
  char kinds[10][16] = {{0}};
  guint next = 0;
  for (const char *p = text; (p = strchr(p, '%')) != NULL;) {
    gsize digits = strspn(p + 1, "0123456789");
    bool numbered = digits > 0 && p[1 + digits] == '$';
    guint at = numbered ? (guint)g_ascii_strtoull(p + 1, NULL, 10) - 1 : next;
    const char *end = p + 1 + (numbered ? digits + 1 : 0);
    end += strspn(end, "-+#0123456789.*lhz");
    if (strchr("sudgfexc", *end) == NULL || *end == '\0') {
      p = end + (*end == '%');
      continue;
    }
    if (at < G_N_ELEMENTS(kinds)) {
      const char *from = numbered ? p + 2 + digits : p + 1;
      g_strlcpy(kinds[at], from, MIN(sizeof kinds[at], (gsize)(end - from) + 2));
    }
    next++;
    p = end + 1;
  }
  GString *all = g_string_new(NULL);
  for (guint i = 0; i < G_N_ELEMENTS(kinds); i++)
    g_string_append_printf(all, "%s ", kinds[i]);
  return g_string_free(all, FALSE);
}

static void
check_places(const PoEntry *entry, const char *source, const char *text)
{
  g_autofree char *here = places_of(source), *there = places_of(text);
  if (strcmp(here, there) != 0)
    fail_msg("\"%s\" has the places %sbut \"%s\" has %s", source, here, text, there);
  (void)entry;
}

static void
places_are_the_same(void **state)
{
  (void)state;
  for (guint i = 0; i < spanish->len; i++) {
    const PoEntry *entry = spanish->pdata[i];
    check_places(entry, entry->id, entry->text[0]);
    if (entry->plural != NULL)
      check_places(entry, entry->plural, entry->text[1]);
  }
  /* The comparison itself can fail. */
  g_autofree char *one = places_of("%s of %u at 5 %"), *other = places_of("%u de %s");
  g_autofree char *turned = places_of("%2$u de %1$s");
  assert_string_not_equal(one, other);
  assert_string_equal(one, turned);
}

/* What stands at the ends of a text joins it to what stands beside it. */
static void
ends_are_the_same(void **state)
{
  (void)state;
  for (guint i = 0; i < spanish->len; i++) {
    const PoEntry *entry = spanish->pdata[i];
    const char *a = entry->id, *b = entry->text[0];
    bool begins = (*a == ' ') == (*b == ' ');
    bool ends = g_str_has_suffix(a, " ") == g_str_has_suffix(b, " ") &&
                g_str_has_suffix(a, "\\n") == g_str_has_suffix(b, "\\n");
    if (!begins || !ends)
      fail_msg("\"%s\" and \"%s\" differ at their ends", a, b);
  }
}

/* A comma between digits could be read as thousands or as decimals on a panel door. */
static void
numbers_keep_their_point(void **state)
{
  (void)state;
  for (guint i = 0; i < spanish->len; i++) {
    const char *text = ((const PoEntry *)spanish->pdata[i])->text[0];
    for (const char *p = text; *p != '\0'; p++)
      if (p > text && *p == ',' && g_ascii_isdigit(p[-1]) && g_ascii_isdigit(p[1]) &&
          strstr(((const PoEntry *)spanish->pdata[i])->id, ",") == NULL)
        fail_msg("\"%s\" has a number with a comma", text);
  }
}

/* msgfmt --check looks at what gettext's own rules say, msgfmt is what the build uses. */
static void
the_program_reads_it(void **state)
{
  guint differ = 0;
  (void)state;

  for (guint i = 0; i < spanish->len; i++) {
    const PoEntry *entry = spanish->pdata[i];
    g_autofree char *id = po_unescape(entry->id);
    g_autofree char *text = po_unescape(entry->text[0]);
    assert_string_equal(language_text_in("es", id), text);
    differ += strcmp(id, text) != 0;
  }
  assert_true(differ * 100 > spanish->len * 95); /* Spanish, not English copied */
}

int
main(void)
{
  g_autofree char *folder = g_dir_make_tmp("doorsheet-po-XXXXXX", NULL);
  g_autofree char *pot = g_build_filename(folder, "now.pot", NULL);
  g_autofree char *po = source_path("ui/po/es.po");

  if (!gather(pot))
    return g_getenv("CI") != NULL ? 1 : SKIP;
  sources = po_read(pot);
  spanish = po_read(po);
  g_unlink(pot);
  g_rmdir(folder);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_text_has_a_translation),
      cmocka_unit_test(nothing_is_translated_that_nobody_says),
      cmocka_unit_test(places_are_the_same),
      cmocka_unit_test(ends_are_the_same),
      cmocka_unit_test(numbers_keep_their_point),
      cmocka_unit_test(the_program_reads_it),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_ptr_array_unref(sources);
  g_ptr_array_unref(spanish);
  return failed;
}
