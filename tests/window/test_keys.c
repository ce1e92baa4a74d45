/* SPDX-License-Identifier: MIT */
/* The keys people read about are the keys of the code: the manual's chapter and the man page are
 * held equal to the table that binds them, and no key does two things.
 * DOORSHEET_WRITE_KEYS=FOLDER writes both texts there, to be taken over. */
#include "drive.h"

#include "desk/keys.h"
#include <string.h>

static char *
dup_chapter(void)
{
  g_autoptr(GString) text = g_string_new("# Keys\n\nWritten from the table in `src/desk/keys.c`; a "
                                         "test holds the two equal. Ctrl+? shows "
                                         "the same list.\n");
  guint n;
  const KeysRow *rows = keys_table(&n);
  const char *section = NULL;
  for (guint i = 0; i < n; i++) {
    if (g_strcmp0(section, rows[i].section) != 0)
      g_string_append_printf(text, "\n## %s\n\n| key | what it does |\n|---|---|\n",
                             rows[i].section);
    section = rows[i].section;
    g_autofree char *label = keys_dup_label(&rows[i]);
    g_string_append_printf(text, "| %s | %s |\n", label, rows[i].what);
  }
  return g_string_free(g_steal_pointer(&text), FALSE);
}

static char *
dup_man(void)
{
  g_autoptr(GString) text = g_string_new(NULL);
  guint n;
  const KeysRow *rows = keys_table(&n);
  const char *section = NULL;
  for (guint i = 0; i < n; i++) {
    if (g_strcmp0(section, rows[i].section) != 0)
      g_string_append_printf(text, ".SS %s\n", rows[i].section);
    section = rows[i].section;
    g_autofree char *label = keys_dup_label(&rows[i]);
    g_auto(GStrv) parts = g_strsplit(label, "\\", -1);
    g_autofree char *plain = g_strjoinv("\\e", parts);
    g_string_append_printf(text, ".TP\n.B \"%s\"\n%s\n", plain, rows[i].what);
  }
  return g_string_free(g_steal_pointer(&text), FALSE);
}

static char *
read_source(const char *folder, const char *name)
{
  g_autofree char *path = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "ui", folder, name, NULL);
  char *text = NULL;
  if (!g_file_get_contents(path, &text, NULL, NULL))
    fail_msg("%s cannot be read", path);
  return text;
}

static void
write_out(const char *name, const char *text)
{
  const char *folder = g_getenv("DOORSHEET_WRITE_KEYS");
  if (folder == NULL)
    return;
  g_autofree char *path = g_build_filename(folder, name, NULL);
  assert_true(g_file_set_contents(path, text, -1, NULL));
}

static void
the_manual_lists_the_keys(void **state)
{
  (void)state;
  g_autofree char *wanted = dup_chapter();
  write_out("keys.md", wanted);
  g_autofree char *text = read_source("manual", "keys.md");
  assert_string_equal(text, wanted);
}

static void
the_man_page_lists_the_keys(void **state)
{
  (void)state;
  g_autofree char *wanted = dup_man();
  write_out("keys.roff", wanted);
  g_autofree char *text = read_source(".", "doorsheet.1");
  if (strstr(text, wanted) == NULL)
    fail_msg("doorsheet.1 does not list the keys of desk/keys.c");
}

/* A key of the window works everywhere, so the canvas must not mean something else by it. */
static void
no_key_does_two_things(void **state)
{
  (void)state;
  guint n;
  const KeysRow *rows = keys_table(&n);
  g_autoptr(GHashTable) taken = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < n; i++)
    for (guint a = 0; a < G_N_ELEMENTS(rows[i].accels) && rows[i].accels[a] != NULL; a++) {
      guint key;
      GdkModifierType modifiers;
      if (!gtk_accelerator_parse(rows[i].accels[a], &key, &modifiers))
        fail_msg("%s is no key", rows[i].accels[a]);
      char *name = gtk_accelerator_name(key, modifiers);
      const char *other = g_hash_table_lookup(taken, name);
      if (other != NULL)
        fail_msg("%s is both %s and %s", name, other, rows[i].action);
      g_hash_table_insert(taken, name, (gpointer)(gintptr)rows[i].action);
    }
  assert_true(g_hash_table_size(taken) > 50);
}

int
main(void)
{
  if (!gtk_init_check())
    return DRIVE_SKIP;
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_manual_lists_the_keys),
      cmocka_unit_test(the_man_page_lists_the_keys),
      cmocka_unit_test(no_key_does_two_things),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
