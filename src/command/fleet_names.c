/* SPDX-License-Identifier: MIT */
/* File names from equipment tags, which may hold anything. */
#include "command/fleet.h"

#include <stdbool.h>
#include <string.h>

#define LONGEST_NAME 80 /* bytes; leaves room for "-12345" and an ending within 255 */

/* Names that some file systems keep for devices, whatever ending follows. */
static bool
is_reserved(const char *name)
{
  static const char *const words[] = {"con",  "prn",  "aux",  "nul",  "com1", "com2",
                                      "com3", "com4", "com5", "com6", "com7", "com8",
                                      "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5",
                                      "lpt6", "lpt7", "lpt8", "lpt9", NULL};
  g_autofree char *lower = g_ascii_strdown(name, (gssize)strcspn(name, "."));
  return g_strv_contains(words, lower);
}

/* Letters, digits, '-', '_' and '.' stay; anything else becomes one '_'. A name begins with a
 * letter or digit and ends with none of the rest, so that it is never hidden, an option or a way
 * out of the folder. New string. */
static char *
clean_name(const char *tag)
{
  g_autofree char *whole = g_utf8_normalize(tag, -1, G_NORMALIZE_NFC);
  GString *name = g_string_new(NULL);

  for (const char *c = whole != NULL ? whole : ""; *c != '\0'; c = g_utf8_next_char(c)) {
    const gunichar letter = g_utf8_get_char(c);
    char bytes[6];
    const int n = g_unichar_to_utf8(letter, bytes);
    if (name->len + (gsize)n > LONGEST_NAME)
      break;
    if (g_unichar_isalnum(letter))
      g_string_append_len(name, bytes, n);
    else if (name->len > 0 && (letter == '-' || letter == '.' || name->str[name->len - 1] != '_'))
      g_string_append_c(name, letter == '-' || letter == '.' ? (char)letter : '_');
  }
  while (name->len > 0 && strchr("-_.", name->str[name->len - 1]) != NULL)
    g_string_truncate(name, name->len - 1);
  if (name->len == 0)
    g_string_append(name, "unit");
  else if (is_reserved(name->str))
    g_string_append_c(name, '_');
  return g_string_free(name, FALSE);
}

char **
fleet_file_names(const Fleet *fleet)
{
  const guint n = fleet_count(fleet);
  char **names = g_new0(char *, n + 1);
  g_autoptr(GHashTable) taken = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr(GHashTable) next = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);

  for (guint i = 0; i < n; i++) {
    g_autofree char *plain = clean_name(fleet_tag(fleet, i));
    g_autofree char *first = g_utf8_casefold(plain, -1);
    char *folded = g_strdup(first);
    names[i] = g_strdup(plain);
    guint count = GPOINTER_TO_UINT(g_hash_table_lookup(next, first));
    for (count = MAX(count, 2); g_hash_table_contains(taken, folded); count++) {
      g_free(names[i]);
      g_free(folded);
      names[i] = g_strdup_printf("%s-%u", plain, count);
      folded = g_utf8_casefold(names[i], -1);
    }
    g_hash_table_insert(next, g_strdup(first), GUINT_TO_POINTER(count));
    g_hash_table_add(taken, folded);
  }
  return names;
}
