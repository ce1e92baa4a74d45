/* SPDX-License-Identifier: MIT */
/* Lines of a block of text.
 *
 * A sheet is laid out by trial: the same words are measured for many widths. Widths of words and
 * line counts of whole blocks are kept for each thread, and a line is shaped as a whole only where
 * the sum of its words does not already decide whether it fits. */
#include "pen/pen_text.h"

#include <math.h>
#include <string.h>

#define CACHE_GENERATION 8192
#define CACHE_LONGEST_TEXT 512
/* A line may differ from the sum of its words and spaces by kerning across a space, in ems for
 * each space. tests/pen/test_text.c compares with measuring every line whole. */
#define KERNING_AT_SPACE 0.1

typedef struct {
  char *text;
  double height, width; /* width 0: of a word; else what a block is wrapped into */
  bool bold, italic;
} MeasureKey;

typedef struct {
  GHashTable *young, *old; /* MeasureKey * -> double *: two generations stand in for an LRU */
} MeasureCache;

static guint
measure_key_hash(gconstpointer data)
{
  const MeasureKey *key = data;
  return g_str_hash(key->text) ^ g_double_hash(&key->height) ^ (g_double_hash(&key->width) * 31u) ^
         (key->bold ? 0x9e3779b9u : 0) ^ (key->italic ? 0x7f4a7c15u : 0);
}

static bool
same_number(double a, double b)
{
  return !(a < b) && !(a > b);
}

static gboolean
measure_key_equal(gconstpointer a, gconstpointer b)
{
  const MeasureKey *left = a, *right = b;
  return same_number(left->height, right->height) && same_number(left->width, right->width) &&
         left->bold == right->bold && left->italic == right->italic &&
         strcmp(left->text, right->text) == 0;
}

static void
measure_key_free(gpointer data)
{
  MeasureKey *key = data;
  g_free(key->text);
  g_free(key);
}

static GHashTable *
generation_new(void)
{
  return g_hash_table_new_full(measure_key_hash, measure_key_equal, measure_key_free, g_free);
}

static void
measure_cache_free(gpointer data)
{
  MeasureCache *cache = data;
  g_hash_table_unref(cache->young);
  g_hash_table_unref(cache->old);
  g_free(cache);
}

static MeasureCache *
measure_cache_get(void)
{
  static GPrivate caches = G_PRIVATE_INIT(measure_cache_free);
  MeasureCache *cache = g_private_get(&caches);

  if (cache == NULL) {
    cache = g_new(MeasureCache, 1);
    *cache = (MeasureCache){generation_new(), generation_new()};
    g_private_set(&caches, cache);
  }
  return cache;
}

static void
measure_cache_put(MeasureCache *cache, const MeasureKey *probe, double value)
{
  if (strlen(probe->text) > CACHE_LONGEST_TEXT)
    return;
  if (g_hash_table_size(cache->young) >= CACHE_GENERATION) {
    g_hash_table_unref(cache->old);
    cache->old = cache->young;
    cache->young = generation_new();
  }
  MeasureKey *key = g_memdup2(probe, sizeof *probe);
  key->text = g_strdup(probe->text);
  g_hash_table_insert(cache->young, key, g_memdup2(&value, sizeof value));
}

static bool
measure_cache_find(MeasureCache *cache, const MeasureKey *probe, double *out)
{
  const double *known = g_hash_table_lookup(cache->young, probe);

  if (known == NULL) {
    known = g_hash_table_lookup(cache->old, probe);
    if (known == NULL)
      return false;
    *out = *known;
    measure_cache_put(cache, probe, *out); /* still in use: keep it for another generation */
    return true;
  }
  *out = *known;
  return true;
}

static double
word_width(const char *word, const TextStyle *style)
{
  const MeasureKey probe = {(char *)(gintptr)word, style->height, 0, style->bold, style->italic};
  MeasureCache *cache = measure_cache_get();
  double width = 0;

  if (measure_cache_find(cache, &probe, &width))
    return width;
  width = pen_text_width(word, style);
  measure_cache_put(cache, &probe, width);
  return width;
}

/* Bytes of the longest start of word that is no wider than width; at least one character. A
 * combining mark stays with its letter. */
static gsize
fitting_bytes(const char *word, double width, const TextStyle *style)
{
  long length = g_utf8_strlen(word, -1);
  long good = 1, bad = 2;
  /* Gallop first: measuring a whole 10 000-letter word again for each line would be quadratic. */
  for (; bad <= length; bad = good * 2) {
    g_autofree char *part = g_utf8_substring(word, 0, bad);
    if (pen_text_width(part, style) > width)
      break;
    good = bad;
  }
  bad = MIN(bad, length + 1);
  while (bad - good > 1) {
    long middle = good + (bad - good) / 2;
    g_autofree char *part = g_utf8_substring(word, 0, middle);
    if (pen_text_width(part, style) > width)
      bad = middle;
    else
      good = middle;
  }
  const char *cut = g_utf8_offset_to_pointer(word, good);
  while (*cut != '\0' && g_unichar_ismark(g_utf8_get_char(cut)))
    cut = g_utf8_next_char(cut);
  return (gsize)(cut - word);
}

/* A line being filled. */
typedef struct {
  GString *text;
  double width; /* of the text, give or take doubt */
  double doubt;
} Line;

static bool
word_fits(const Line *line, const char *word, double width, const TextStyle *style, Line *after)
{
  const double sum = line->width + word_width(" ", style) + word_width(word, style);
  const double doubt = line->doubt + KERNING_AT_SPACE * pen_text_em(style);

  after->width = sum;
  after->doubt = doubt;
  if (sum + doubt <= width)
    return true;
  if (sum - doubt > width)
    return false;
  g_autofree char *whole = g_strconcat(line->text->str, " ", word, NULL);
  after->width = pen_text_width(whole, style);
  after->doubt = 0;
  return after->width <= width;
}

static void
start_line(Line *line, const char *word, const TextStyle *style)
{
  g_string_assign(line->text, word);
  line->width = word_width(word, style);
  line->doubt = 0;
}

static void
wrap_word(GPtrArray *lines, Line *line, const char *word, double width, const TextStyle *style)
{
  Line after;

  if (line->text->len > 0) {
    if (word_fits(line, word, width, style, &after)) {
      g_string_append_c(line->text, ' ');
      g_string_append(line->text, word);
      line->width = after.width;
      line->doubt = after.doubt;
      return;
    }
    g_ptr_array_add(lines, g_strdup(line->text->str));
  }
  while (*word != '\0' && word_width(word, style) > width) {
    const gsize bytes = fitting_bytes(word, width, style);
    if (word[bytes] == '\0')
      break;
    g_ptr_array_add(lines, g_strndup(word, bytes));
    word += bytes;
  }
  start_line(line, word, style);
}

GPtrArray *
pen_text_wrap(double width, const char *utf8, const TextStyle *style)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func(g_free);
  g_autofree char *valid = g_utf8_make_valid(utf8, -1);
  g_auto(GStrv) paragraphs = g_strsplit(valid, "\n", -1);

  for (char **paragraph = paragraphs; *paragraph != NULL; paragraph++) {
    g_autofree char *clean = pen_text_prepare(*paragraph);
    g_auto(GStrv) words = g_strsplit(clean, " ", -1);
    Line line = {.text = g_string_new(NULL)};
    for (char **word = words; *word != NULL; word++)
      if (**word != '\0')
        wrap_word(lines, &line, *word, width, style);
    /* Empty too: an empty line between paragraphs. */
    g_ptr_array_add(lines, g_string_free(line.text, FALSE));
  }
  return lines;
}

guint
pen_text_line_count(double width, const char *utf8, const TextStyle *style)
{
  const MeasureKey probe = {(char *)(gintptr)utf8, style->height, width, style->bold,
                            style->italic};
  MeasureCache *cache = measure_cache_get();
  double count = 0;

  /* Width 0 marks the words of the cache. */
  if (width > 0 && measure_cache_find(cache, &probe, &count))
    return (guint)count;
  g_autoptr(GPtrArray) lines = pen_text_wrap(width, utf8, style);
  if (width > 0)
    measure_cache_put(cache, &probe, lines->len);
  return lines->len;
}
