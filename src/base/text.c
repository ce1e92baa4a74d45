/* SPDX-License-Identifier: MIT */
#include "base/text.h"

#include <string.h>

/* Edit distance with swaps of neighbours, by bytes; gives up above limit. */
static guint
edit_distance(const char *a, const char *b, guint limit)
{
  size_t n = strlen(a), m = strlen(b);
  if (n > 64 || m > 64 || (n > m ? n - m : m - n) > limit)
    return limit + 1;
  guint row[3][65];
  for (guint j = 0; j <= m; j++)
    row[0][j] = j;
  for (guint i = 1; i <= n; i++) {
    guint *above = row[(i - 1) % 3], *here = row[i % 3];
    const guint *two_above = row[(i + 1) % 3];
    here[0] = i;
    for (guint j = 1; j <= m; j++) {
      guint change = above[j - 1] + (a[i - 1] != b[j - 1]);
      guint best = MIN(MIN(above[j] + 1, here[j - 1] + 1), change);
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        best = MIN(best, two_above[j - 2] + 1);
      here[j] = best;
    }
  }
  return row[n % 3][m];
}

const char *
text_nearest(const char *word, const char *const *names)
{
  const char *best = NULL;
  guint limit = (guint)MAX(strlen(word) / 3, (size_t)1), best_distance = limit + 1;
  for (guint i = 0; names[i]; i++) {
    guint distance = edit_distance(word, names[i], limit);
    if (distance < best_distance) {
      best_distance = distance;
      best = names[i];
    }
  }
  return best;
}

bool
text_is_name(const char *text)
{
  if (!g_ascii_isalnum(text[0]))
    return false;
  size_t n = strlen(text);
  for (size_t i = 0; i < n; i++)
    if (!g_ascii_isalnum(text[i]) && !strchr("-_/+", text[i]))
      return false;
  return n <= 32;
}

/* Characters that change the direction or order of the text around them, or are no text. */
static bool
is_harmful(gunichar c)
{
  bool bidirectional = (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069) ||
                       c == 0x200E || c == 0x200F || c == 0x061C;
  bool none = (c >= 0xFDD0 && c <= 0xFDEF) || (c & 0xFFFE) == 0xFFFE;
  bool separator = c == 0x2028 || c == 0x2029 || c == 0xFEFF;
  return bidirectional || none || separator || g_unichar_iscntrl(c);
}

char *
text_clean(const char *text, guint max_chars)
{
  g_autofree char *valid = g_utf8_make_valid(text, -1);
  GString *out = g_string_new(NULL);
  guint count = 0;
  for (const char *p = valid; *p; p = g_utf8_next_char(p), count++) {
    if (count == max_chars) {
      g_string_append(out, "\xe2\x80\xa6");
      break;
    }
    gunichar c = g_utf8_get_char(p);
    g_string_append_unichar(out, is_harmful(c) ? 0xFFFD : c);
  }
  return g_string_free(out, FALSE);
}

void
text_disarm(GString *text)
{
  bool harmful = !g_utf8_validate(text->str, (gssize)text->len, NULL);

  for (const char *p = text->str; !harmful && *p; p = g_utf8_next_char(p))
    harmful = *p != '\n' && *p != '\t' && is_harmful(g_utf8_get_char(p));
  if (!harmful)
    return;
  g_autofree char *valid = g_utf8_make_valid(text->str, (gssize)text->len);
  g_string_truncate(text, 0);
  for (const char *p = valid; *p; p = g_utf8_next_char(p)) {
    const gunichar c = g_utf8_get_char(p);
    const bool kept = c == '\n' || c == '\t' || (c == '\r' && p[1] == '\n') || !is_harmful(c);
    g_string_append_unichar(text, kept ? c : 0xFFFD);
  }
}

/* As UTF-16 units, which JSON counts in. */
static void
append_escaped(GString *out, gunichar c)
{
  if (c < 0x10000)
    g_string_append_printf(out, "\\u%04x", c);
  else
    g_string_append_printf(out, "\\u%04x\\u%04x", 0xD800 + ((c - 0x10000) >> 10),
                           0xDC00 + ((c - 0x10000) & 0x3FF));
}

void
text_append_json(GString *out, const char *text)
{
  g_autofree char *valid = g_utf8_make_valid(text, -1);
  g_string_append_c(out, '"');
  for (const char *p = valid; *p; p = g_utf8_next_char(p)) {
    const gunichar c = g_utf8_get_char(p);
    if (c == '"' || c == '\\')
      g_string_append_printf(out, "\\%c", (char)c);
    else if (c == '\n')
      g_string_append(out, "\\n");
    else if (c == '\t')
      g_string_append(out, "\\t");
    else if (is_harmful(c))
      append_escaped(out, c);
    else
      g_string_append_unichar(out, c);
  }
  g_string_append_c(out, '"');
}

bool
text_split_terminal(const char *text, char **device, char **terminal)
{
  const char *dot = strchr(text, '.');
  if (!dot || strchr(dot + 1, '.'))
    return false;
  g_autofree char *before = g_strndup(text, (gsize)(dot - text));
  if (!text_is_name(before) || !text_is_name(dot + 1))
    return false;
  *device = g_steal_pointer(&before);
  *terminal = g_strdup(dot + 1);
  return true;
}
