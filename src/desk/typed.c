/* SPDX-License-Identifier: MIT */
#include "desk/typed.h"

#include "base/language.h"
#include "base/text.h"
#include <string.h>

/* --- spaces and signs that look alike --- */

static char *
plain(const char *typed)
{
  GString *text = g_string_new(NULL);
  g_autofree char *valid = g_utf8_make_valid(typed, -1);
  for (const char *p = valid; *p != '\0'; p = g_utf8_next_char(p)) {
    gunichar c = g_utf8_get_char(p);
    if (g_unichar_isspace(c)) /* no-break and thin spaces too */
      c = ' ';
    else if (c == 0x2212) /* minus sign */
      c = '-';
    else if (c == 0x2026) { /* ellipsis */
      g_string_append(text, "..");
      continue;
    }
    g_string_append_unichar(text, c);
  }
  return g_strstrip(g_string_free(text, FALSE));
}

/* --- commas --- */

typedef enum { COMMA_NONE, COMMA_DECIMAL, COMMA_GROUPS, COMMA_EITHER, COMMA_WRONG } Comma;

/* run: digits, points and commas. */
static Comma
judge_commas(const char *run)
{
  g_auto(GStrv) groups = g_strsplit(run, ",", -1);
  guint n = g_strv_length(groups);
  if (n <= 1)
    return COMMA_NONE;
  const char *last = groups[n - 1];
  const char *point = strchr(last, '.');
  size_t last_digits = point != NULL ? (size_t)(point - last) : strlen(last);
  bool grouped = last_digits == 3 && *groups[0] != '\0' && strlen(groups[0]) <= 3;
  for (guint i = 0; i + 1 < n; i++)
    if (strchr(groups[i], '.') != NULL || (i > 0 && strlen(groups[i]) != 3))
      return COMMA_WRONG;
  if (n > 2 || point != NULL)
    return grouped ? COMMA_GROUPS : COMMA_WRONG;
  if (grouped && strcmp(groups[0], "0") != 0)
    return COMMA_EITHER;
  return *last != '\0' ? COMMA_DECIMAL : COMMA_WRONG;
}

static bool
refuse_comma(GError **error, const char *run, Comma comma)
{
  g_auto(GStrv) groups = g_strsplit(run, ",", -1);
  g_autofree char *together = g_strjoinv("", groups);
  g_autofree char *decimal = g_strjoinv(".", groups);
  if (comma == COMMA_EITHER)
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                _("\"%s\" can mean two things: write %s or %s, with a point for decimals"), run,
                together, decimal);
  else
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                _("\"%s\" is not a number: write it without commas, with a point for decimals"),
                run);
  return false;
}

/* part: one figure with its unit. */
static bool
resolve_commas(GString *part, GError **error)
{
  gsize length = strspn(part->str, "0123456789.,+-");
  g_autofree char *run = g_strndup(part->str, length);
  const char *digits = run + strspn(run, "+-");
  Comma comma = judge_commas(digits);
  if (comma == COMMA_NONE)
    return true;
  if (comma == COMMA_EITHER || comma == COMMA_WRONG)
    return refuse_comma(error, digits, comma);
  g_auto(GStrv) groups = g_strsplit(run, ",", -1);
  g_autofree char *joined = g_strjoinv(comma == COMMA_DECIMAL ? "." : "", groups);
  g_string_erase(part, 0, (gssize)length);
  g_string_prepend(part, joined);
  return true;
}

/* --- units --- */

static bool
reads_as(Unit want, const char *unit)
{
  g_autofree char *text = g_strdup_printf("1 %s", unit);
  Quantity quantity;
  return quantity_parse(text, want, &quantity, NULL);
}

/* Words of the trade and of the keyboard. Small letters. */
static const struct {
  const char *word, *unit;
} words[] = {
    {"ga", "AWG"},         {"gauge", "AWG"},       {"mfd", "uF"},     {"ufd", "uF"},
    {"sqmm", "mm2"},       {"sq mm", "mm2"},       {"mm^2", "mm2"},   {"qmm", "mm2"},
    {"'", "ft"},           {"\342\200\262", "ft"}, {"\"", "in"},      {"\342\200\263", "in"},
    {"inches", "in"},      {"ampere", "A"},        {"amperes", "A"},  {"volt-amperes", "VA"},
    {"volt-ampere", "VA"}, {"meter", "m"},         {"meters", "m"},   {"metre", "m"},
    {"metres", "m"},       {"pct", "%"},           {"per cent", "%"}, {"horsepower", "hp"},
    {"\302\272c", "C"},    {"deg c", "C"},         {"sec", "s"},      {"seconds", "s"},
    {"vac", "V"},          {"v ac", "V"},          {"mcm", "kcmil"},
};

/* "kva" for "kVA", but never "m" for "M": milli and mega differ a billionfold. */
static bool
same_letters(const char *written, const char *prefix, const char *symbol)
{
  size_t n = strlen(prefix);
  bool kilo = n == 1 && *prefix == 'k' && (*written == 'k' || *written == 'K');
  if (n > 0 && !kilo && strncmp(written, prefix, n) != 0)
    return false;
  return g_ascii_strcasecmp(written + n, symbol) == 0;
}

/* The unit as a file writes it, or NULL when nothing fits. New string. */
static char *
dup_unit(Unit want, const char *written)
{
  static const char *const prefixes[] = {"", "k", "M", "m", "u"};
  if (reads_as(want, written))
    return g_strdup(written);
  g_autofree char *small = g_utf8_strdown(written, -1);
  if (*written != 'M' && reads_as(want, small)) /* a capital M is mega and stays it */
    return g_steal_pointer(&small);
  for (guint i = 0; i < G_N_ELEMENTS(words); i++)
    if (strcmp(small, words[i].word) == 0 && reads_as(want, words[i].unit))
      return g_strdup(words[i].unit);
  for (guint p = 0; p < G_N_ELEMENTS(prefixes); p++)
    for (Unit unit = UNIT_NONE + 1; unit < UNIT_COUNT; unit++) {
      g_autofree char *full = g_strconcat(prefixes[p], unit_symbol(unit), NULL);
      if (unit_same_dimension(unit, want) && reads_as(want, full) &&
          same_letters(written, prefixes[p], unit_symbol(unit)))
        return g_steal_pointer(&full);
    }
  /* "10k" of something that is counted in thousands */
  bool prefix = strcmp(small, "k") == 0 || strcmp(written, "M") == 0;
  g_autofree char *full = g_strconcat(*small == 'k' ? "k" : "M", unit_symbol(want), NULL);
  return prefix && reads_as(want, full) ? g_steal_pointer(&full) : NULL;
}

/* Where the figure ends and its unit begins. */
static gsize
number_length(const char *text)
{
  gsize n = strspn(text, "0123456789.,+-/ ");
  bool exponent =
      n > 0 && g_ascii_isdigit(text[n - 1]) && (text[n] == 'e' || text[n] == 'E') &&
      (g_ascii_isdigit(text[n + 1]) ||
       (strchr("+-", text[n + 1]) != NULL && text[n + 1] != '\0' && g_ascii_isdigit(text[n + 2])));
  return exponent ? n + 1 + strspn(text + n + 1, "0123456789+- ") : n;
}

/* "#14" and "AWG 14" name the size first. */
static void
turn_gauge(GString *part)
{
  gsize skip = part->str[0] == '#' ? 1 : g_ascii_strncasecmp(part->str, "awg", 3) == 0 ? 3 : 0;
  if (skip == 0)
    return;
  g_string_erase(part, 0, (gssize)skip);
  g_string_append(part, " AWG");
}

/* last: a figure without a unit gets the field's. */
static bool
read_part(const FieldSpec *field, GString *part, bool last, GError **error)
{
  g_autofree char *stripped = g_strstrip(g_strdup(part->str));
  g_string_assign(part, stripped);
  if (unit_same_dimension(field->unit, UNIT_AWG))
    turn_gauge(part);
  g_autofree char *bare = g_strchug(g_strdup(part->str));
  g_string_assign(part, bare);
  if (!resolve_commas(part, error))
    return false;
  gsize n = number_length(part->str);
  g_autofree char *number = g_strchomp(g_strndup(part->str, n));
  g_autofree char *written = g_strstrip(g_strdup(part->str + n));
  if (*number == '\0')
    return true; /* value_set_text says what was expected */
  if (*written == '\0') {
    if (last && field->unit != UNIT_NONE)
      g_string_printf(part, "%s %s", number, unit_symbol(field->unit));
    return true;
  }
  g_autofree char *unit = dup_unit(field->unit, written);
  if (unit != NULL)
    g_string_printf(part, "%s %s", number, unit);
  return true;
}

/* "110-125 V", "110 to 125 V" and "110 ... 125 V" are ranges too. */
static char *
plain_range(const char *text)
{
  g_autoptr(GRegex) between = g_regex_new(
      "(?<=[0-9A-Za-z%])\\s*(?:\\.{2,}|\\bto\\b|\\s-\\s|(?<=[0-9])-(?=[0-9])|\\342\\200\\223)\\s*"
      "(?=[0-9.])",
      G_REGEX_RAW | G_REGEX_CASELESS, 0, NULL);
  return g_regex_replace_literal(between, text, -1, 0, "..", 0, NULL);
}

char *
typed_text(const FieldSpec *field, const char *typed, GError **error)
{
  g_autofree char *text = plain(typed);
  bool quantity = field->type == FIELD_QUANTITY || field->type == FIELD_RANGE;
  if (*text == '\0' || !(quantity || field->type == FIELD_INTEGER))
    return g_strstrip(g_strdup(typed));
  if (field->type == FIELD_RANGE) {
    char *range = plain_range(text);
    g_free(text);
    text = range;
  }
  g_auto(GStrv) parts = g_strsplit(text, "..", 2);
  g_autoptr(GString) whole = g_string_new(NULL);
  for (guint i = 0; parts[i] != NULL; i++) {
    g_autoptr(GString) part = g_string_new(parts[i]);
    if (quantity ? !read_part(field, part, parts[i + 1] == NULL, error)
                 : !resolve_commas(part, error))
      return NULL;
    g_string_append_printf(whole, "%s%s", i > 0 ? ".." : "", part->str);
  }
  return g_string_free(g_steal_pointer(&whole), FALSE);
}
