/* SPDX-License-Identifier: MIT */
#include "base/quantity_units.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

G_DEFINE_QUARK(doorsheet - quantity - error - quark, quantity_error)

const char *
unit_symbol(Unit unit)
{
  return quantity_units[unit].symbol;
}

bool
unit_same_dimension(Unit a, Unit b)
{
  return quantity_units[a].dimension == quantity_units[b].dimension;
}

Quantity
quantity_make(double value, Unit unit)
{
  return (Quantity){.value = value, .unit = unit};
}

double
quantity_value(Quantity q)
{
  /* Dividing by an exact power keeps "12.3 mA" equal to what 0.0123 reads as. */
  switch (q.prefix) {
  case 6:
    return q.value * 1e6;
  case 3:
    return q.value * 1e3;
  case -3:
    return q.value / 1e3;
  case -6:
    return q.value / 1e6;
  default:
    return q.value;
  }
}

/* Area in mm2: ASTM B258 gives the AWG diameters as a geometric series, 0.127 mm at 36 AWG. */
static double
conductor_area(double size, Unit unit)
{
  if (unit == UNIT_AWG) {
    double diameter = 0.127 * pow(92.0, (36.0 - size) / 39.0);
    return G_PI_4 * diameter * diameter;
  }
  return unit == UNIT_KCMIL ? size * 0.50670747909749771 : size;
}

double
quantity_in(Quantity q, Unit unit)
{
  double value = quantity_value(q);
  if (!unit_same_dimension(q.unit, unit))
    return NAN;
  if (q.unit == unit)
    return value;
  if (quantity_units[unit].dimension != DIMENSION_CONDUCTOR_SIZE)
    return value * quantity_units[q.unit].factor / quantity_units[unit].factor;
  double area = conductor_area(value, q.unit);
  if (unit == UNIT_SQUARE_MM)
    return area;
  if (unit == UNIT_KCMIL)
    return area / 0.50670747909749771;
  double diameter = sqrt(area / G_PI_4);
  return 36.0 - 39.0 * log(diameter / 0.127) / log(92.0);
}

bool
quantity_equal(Quantity a, Quantity b)
{
  return a.value == b.value && a.unit == b.unit && a.prefix == b.prefix;
}

static const char *
skip_space(const char *text)
{
  while (g_ascii_isspace(*text))
    text++;
  return text;
}

/* A plain decimal number: what strtod takes, less "nan", "inf" and hexadecimal. */
static bool
read_number(const char *text, double *out, const char **end)
{
  const char *digits = text + (*text == '-' || *text == '+');
  bool starts = g_ascii_isdigit(*digits) || (*digits == '.' && g_ascii_isdigit(digits[1]));
  if (!starts || (digits[0] == '0' && (digits[1] == 'x' || digits[1] == 'X')))
    return false;
  /* "110..125" must not let the first dot be eaten as a decimal sign. */
  g_autofree char *copy = g_strdup(text);
  char *dots = strstr(copy, "..");
  if (dots)
    *dots = '\0';
  char *stop = NULL;
  double value = g_ascii_strtod(copy, &stop);
  if (stop == copy || !isfinite(value))
    return false;
  *out = value == 0 ? 0 : value;
  *end = text + (stop - copy);
  return true;
}

static bool
match_symbol(const char *text, size_t length, const UnitInfo *info)
{
  if (strlen(info->symbol) == length && strncmp(text, info->symbol, length) == 0)
    return length > 0;
  for (guint i = 0; i < G_N_ELEMENTS(info->spellings) && info->spellings[i]; i++)
    if (strlen(info->spellings[i]) == length && strncmp(text, info->spellings[i], length) == 0)
      return true;
  return false;
}

static bool
read_unit(const char *text, size_t length, Unit *unit, int8_t *prefix)
{
  for (Unit u = UNIT_NONE + 1; u < UNIT_COUNT; u++) {
    if (match_symbol(text, length, &quantity_units[u])) {
      *unit = u;
      *prefix = 0;
      return true;
    }
  }
  for (guint p = 0; p < quantity_n_prefixes; p++) {
    size_t n = strlen(quantity_prefixes[p].symbol);
    if (length <= n || strncmp(text, quantity_prefixes[p].symbol, n) != 0)
      continue;
    for (Unit u = UNIT_NONE + 1; u < UNIT_COUNT; u++) {
      if (quantity_units[u].prefixes && match_symbol(text + n, length - n, &quantity_units[u])) {
        *unit = u;
        *prefix = quantity_prefixes[p].power;
        return true;
      }
    }
  }
  return false;
}

static bool
fail(GError **error, QuantityErrorCode code, const char *text, const char *sentence, Unit want)
{
  g_autofree char *shown = g_strndup(text, 60);
  g_autofree char *valid = g_utf8_make_valid(shown, -1);
  g_autofree char *message = language_fill(sentence, valid, quantity_units[want].example, NULL);
  g_set_error_literal(error, QUANTITY_ERROR, (gint)code, message);
  return false;
}

/* "1/0" to "4/0", and whole numbers up to 40. */
static bool
read_gauge(const char *text, double *out, const char **end)
{
  if (text[0] >= '1' && text[0] <= '4' && text[1] == '/' && text[2] == '0') {
    *out = 1.0 - (text[0] - '0');
    *end = text + 3;
    return true;
  }
  double value = 0;
  if (!read_number(text, &value, end) || value != floor(value) || value < 0 || value > 40)
    return false;
  *out = value;
  return true;
}

/* Reads a number with an optional unit; *has_unit tells whether one was written. */
static bool
parse_part(const char *text, Unit want, Quantity *out, bool *has_unit, GError **error)
{
  const char *start = skip_space(text);
  const char *end = NULL;
  Quantity q = {.unit = want};
  double gauge = 0;
  const char *gauge_end = NULL;
  bool is_gauge = quantity_units[want].dimension == DIMENSION_CONDUCTOR_SIZE &&
                  read_gauge(start, &gauge, &gauge_end);
  if (!read_number(start, &q.value, &end) && !is_gauge)
    return fail(error, QUANTITY_ERROR_NUMBER, text,
                _("\342\200\234%s\342\200\235 is not a number; write it like %s"), want);
  if (is_gauge && (!end || gauge_end > end))
    end = gauge_end;
  const char *unit_text = skip_space(end);
  size_t length = strlen(unit_text);
  while (length > 0 && g_ascii_isspace(unit_text[length - 1]))
    length--;
  *has_unit = length > 0;
  if (length > 0 && want == UNIT_NONE)
    return fail(
        error, QUANTITY_ERROR_UNIT, text,
        _("\342\200\234%s\342\200\235 has a unit, but a bare number is expected; write it like %s"),
        want);
  if (length > 0 && !read_unit(unit_text, length, &q.unit, &q.prefix))
    return fail(error, QUANTITY_ERROR_UNIT, text,
                _("\342\200\234%s\342\200\235 has an unknown unit; write it like %s"), want);
  if (!unit_same_dimension(q.unit, want))
    return fail(error, QUANTITY_ERROR_UNIT, text,
                _("\342\200\234%s\342\200\235 has the wrong unit; write it like %s"), want);
  if (q.unit == UNIT_AWG && *has_unit) {
    if (!is_gauge || gauge_end != end)
      return fail(error, QUANTITY_ERROR_NUMBER, text,
                  _("\342\200\234%s\342\200\235 is not a wire gauge; write it like %s"), want);
    q.value = gauge;
  }
  if (!isfinite(quantity_value(q)))
    return fail(error, QUANTITY_ERROR_NUMBER, text,
                _("\342\200\234%s\342\200\235 is too large; write it like %s"), want);
  *out = q;
  return true;
}

bool
quantity_parse(const char *text, Unit want, Quantity *out, GError **error)
{
  Quantity q = {0};
  bool has_unit = false;
  if (!parse_part(text, want, &q, &has_unit, error))
    return false;
  if (!has_unit && want != UNIT_NONE)
    return fail(error, QUANTITY_ERROR_UNIT, text,
                _("\342\200\234%s\342\200\235 has no unit; write it like %s"), want);
  *out = q;
  return true;
}

bool
quantity_range_parse(const char *text, Unit want, QuantityRange *out, GError **error)
{
  const char *dots = strstr(text, "..");
  QuantityRange range = {0};
  if (!dots) {
    if (!quantity_parse(text, want, &range.low, error))
      return false;
    range.high = range.low;
    *out = range;
    return true;
  }
  g_autofree char *low_text = g_strndup(text, (gsize)(dots - text));
  bool has_unit = false;
  if (!quantity_parse(dots + 2, want, &range.high, error) ||
      !parse_part(low_text, want, &range.low, &has_unit, error))
    return false;
  if (!has_unit) {
    range.low.unit = range.high.unit;
    range.low.prefix = range.high.prefix;
  }
  if (quantity_in(range.low, want) > quantity_in(range.high, want))
    return fail(error, QUANTITY_ERROR_ORDER, text,
                _("\342\200\234%s\342\200\235 has its ends the wrong way round; write it like %s"),
                want);
  *out = range;
  return true;
}

char *
number_format(double value)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  static const char *const formats[] = {"%.15g", "%.16g", "%.17g"};
  for (guint i = 0; i < G_N_ELEMENTS(formats); i++) {
    g_ascii_formatd(buffer, sizeof buffer, formats[i], value);
    if (g_ascii_strtod(buffer, NULL) == value)
      break;
  }
  return g_strdup(buffer);
}

char *
number_fixed(double value, int decimals)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  const char format[] = {'%', '.', (char)('0' + CLAMP(decimals, 0, 9)), 'f', '\0'};
  return g_strdup(g_ascii_formatd(buffer, sizeof buffer, format, value));
}

static char *
format_number_part(Quantity q)
{
  if (q.unit == UNIT_AWG && q.value <= 0 && q.value >= -3)
    return g_strdup_printf("%d/0", (int)(1 - q.value));
  return number_format(q.value);
}

char *
quantity_format(Quantity q)
{
  g_autofree char *number = format_number_part(q);
  if (q.unit == UNIT_NONE)
    return g_steal_pointer(&number);
  return g_strconcat(number, " ", quantity_prefix_symbol(q.prefix), quantity_units[q.unit].symbol,
                     NULL);
}

char *
quantity_range_format(QuantityRange range)
{
  if (quantity_equal(range.low, range.high))
    return quantity_format(range.low);
  bool same_unit = range.low.unit == range.high.unit && range.low.prefix == range.high.prefix;
  g_autofree char *low = same_unit ? format_number_part(range.low) : quantity_format(range.low);
  g_autofree char *high = quantity_format(range.high);
  return g_strconcat(low, "..", high, NULL);
}
