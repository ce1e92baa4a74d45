/* SPDX-License-Identifier: MIT */
#include "po.h"

#include <string.h>

static void
entry_free(gpointer data)
{
  PoEntry *entry = data;
  g_free(entry->id);
  g_free(entry->plural);
  g_free(entry->text[0]);
  g_free(entry->text[1]);
  g_free(entry);
}

/* What stands between the first and the last quote of a line. New. */
static char *
quoted(const char *line)
{
  const char *open = strchr(line, '"'), *close = strrchr(line, '"');
  return open != NULL && close > open ? g_strndup(open + 1, (gsize)(close - open - 1))
                                      : g_strdup("");
}

static void
append(char **text, const char *line)
{
  g_autofree char *more = quoted(line);
  char *joined = g_strconcat(*text != NULL ? *text : "", more, NULL);
  g_free(*text);
  *text = joined;
}

static PoEntry *
read_entry(const char *block)
{
  PoEntry *entry = g_new0(PoEntry, 1);
  char **into = NULL;
  g_auto(GStrv) lines = g_strsplit(block, "\n", -1);

  for (guint i = 0; lines[i] != NULL; i++) {
    const char *line = lines[i];
    if (line[0] == '#') {
      entry->fuzzy |= line[1] == ',' && strstr(line, "fuzzy") != NULL;
      continue;
    }
    if (g_str_has_prefix(line, "msgid_plural"))
      into = &entry->plural;
    else if (g_str_has_prefix(line, "msgid"))
      into = &entry->id;
    else if (g_str_has_prefix(line, "msgstr[1]"))
      into = &entry->text[1];
    else if (g_str_has_prefix(line, "msgstr"))
      into = &entry->text[0];
    if (into != NULL && strchr(line, '"') != NULL)
      append(into, line);
  }
  return entry;
}

GPtrArray *
po_read(const char *path)
{
  g_autofree char *text = NULL;
  g_autoptr(GError) error = NULL;

  if (!g_file_get_contents(path, &text, NULL, &error)) {
    g_printerr("%s\n", error->message);
    return NULL;
  }
  GPtrArray *entries = g_ptr_array_new_with_free_func(entry_free);
  g_auto(GStrv) blocks = g_strsplit(text, "\n\n", -1);
  for (guint i = 0; blocks[i] != NULL; i++) {
    PoEntry *entry = read_entry(blocks[i]);
    if (entry->id != NULL && entry->id[0] != '\0')
      g_ptr_array_add(entries, entry);
    else
      entry_free(entry);
  }
  return entries;
}

const PoEntry *
po_find(const GPtrArray *entries, const char *id)
{
  for (guint i = 0; i < entries->len; i++) {
    const PoEntry *entry = entries->pdata[i];
    if (strcmp(entry->id, id) == 0)
      return entry;
  }
  return NULL;
}

char *
po_unescape(const char *written)
{
  return g_strcompress(written);
}

/* Words: letters, at least three of them; what stands inside a printf place is none. */
static void
each_word(const char *text, void (*act)(const char *word, gpointer data), gpointer data)
{
  const char *p = text;
  while (*p != '\0') {
    if (*p == '%') {
      p += 1 + strspn(p + 1, "-+ #0123456789.*$lhz");
      p += *p != '\0';
      continue;
    }
    if (*p == '\\' && p[1] != '\0') {
      p += 2;
      continue;
    }
    const char *from = p;
    glong letters = 0;
    while (g_unichar_isalpha(g_utf8_get_char(p))) {
      p = g_utf8_next_char(p);
      letters++;
    }
    if (letters >= 3) {
      g_autofree char *word = g_strndup(from, (gsize)(p - from));
      g_autofree char *lower = g_utf8_strdown(word, -1);
      act(lower, data);
    }
    if (p == from)
      p = g_utf8_next_char(p);
  }
}

static void
add_word(const char *word, gpointer data)
{
  g_hash_table_add(data, g_strdup(word));
}

static void
remove_word(const char *word, gpointer data)
{
  g_hash_table_remove(data, word);
}

void
po_add_words(GHashTable *words, const char *text)
{
  each_word(text, add_word, words);
}

GHashTable *
po_english_words(const GPtrArray *entries)
{
  GHashTable *words = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);

  for (guint i = 0; i < entries->len; i++) {
    const PoEntry *entry = entries->pdata[i];
    po_add_words(words, entry->id);
    if (entry->plural != NULL)
      po_add_words(words, entry->plural);
  }
  for (guint i = 0; i < entries->len; i++) {
    const PoEntry *entry = entries->pdata[i];
    each_word(entry->text[0], remove_word, words);
    if (entry->text[1] != NULL)
      each_word(entry->text[1], remove_word, words);
  }
  return words;
}

typedef struct {
  GHashTable *english, *own;
  char *found;
} Search;

static void
match(const char *word, gpointer data)
{
  Search *search = data;
  if (search->found == NULL && g_hash_table_contains(search->english, word) &&
      (search->own == NULL || !g_hash_table_contains(search->own, word)))
    search->found = g_strdup(word);
}

char *
po_find_english(const char *text, GHashTable *english, GHashTable *own)
{
  Search search = {english, own, NULL};
  each_word(text, match, &search);
  return search.found;
}
