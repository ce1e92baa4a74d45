/* SPDX-License-Identifier: MIT */
#include "base/quantity.h"

#include <math.h>
#include <string.h>

G_DEFINE_QUARK(doorsheet - quantity - error - quark, quantity_error)

typedef enum {
  DIMENSION_NONE,
  DIMENSION_VOLTAGE,
  DIMENSION_CURRENT,
  DIMENSION_APPARENT,
  DIMENSION_POWER,
  DIMENSION_REACTIVE,
  DIMENSION_RESISTANCE,
  DIMENSION_CONDUCTANCE,
  DIMENSION_CAPACITANCE,
  DIMENSION_INDUCTANCE,
  DIMENSION_FREQUENCY,
  DIMENSION_LENGTH,
  DIMENSION_CONDUCTOR_SIZE,
  DIMENSION_RATIO,
  DIMENSION_ANGLE,
  DIMENSION_TEMPERATURE,
  DIMENSION_TIME
} Dimension;

typedef struct {
  const char *symbol;
  const char *spellings[4]; /* also read, after the symbol */
  Dimension dimension;
  double factor;    /* to the dimension's base unit; conductor sizes convert by area */
  bool prefixes;    /* k, M, m, u may precede it */
  double kilo_from; /* display: from here on the k prefix reads better */
  const char *example;
} UnitInfo;

static const UnitInfo units[UNIT_COUNT] = {
    [UNIT_NONE] = {"", {NULL}, DIMENSION_NONE, 1, false, 0, "4.9"},
    [UNIT_VOLT] = {"V", {"volt", "volts"}, DIMENSION_VOLTAGE, 1, true, 1e4, "480 V"},
    [UNIT_AMPERE] = {"A", {"amp", "amps"}, DIMENSION_CURRENT, 1, true, 1e3, "10 kA"},
    [UNIT_VOLT_AMPERE] = {"VA", {NULL}, DIMENSION_APPARENT, 1, true, 1e4, "250 VA"},
    [UNIT_WATT] = {"W", {"watt", "watts"}, DIMENSION_POWER, 1, true, 1e4, "90 W"},
    [UNIT_VAR] = {"var", {NULL}, DIMENSION_REACTIVE, 1, true, 1e4, "40 var"},
    [UNIT_OHM] =
        {"ohm", {"ohms", "\xe2\x84\xa6", "\xce\xa9"}, DIMENSION_RESISTANCE, 1, true, 1e3, "12 ohm"},
    [UNIT_SIEMENS] = {"S", {NULL}, DIMENSION_CONDUCTANCE, 1, true, 1e3, "0.5 S"},
    [UNIT_FARAD] = {"F", {NULL}, DIMENSION_CAPACITANCE, 1, true, 1e3, "30 uF"},
    [UNIT_HENRY] = {"H", {NULL}, DIMENSION_INDUCTANCE, 1, true, 1e3, "20 mH"},
    [UNIT_HERTZ] = {"Hz", {"hertz"}, DIMENSION_FREQUENCY, 1, true, 1e4, "60 Hz"},
    [UNIT_HORSEPOWER] = {"hp", {"HP"}, DIMENSION_POWER, 745.69987158227022, false, 0, "0.5 hp"},
    [UNIT_FOOT] = {"ft", {"feet", "foot"}, DIMENSION_LENGTH, 0.3048, false, 0, "12 ft"},
    [UNIT_METRE] = {"m", {NULL}, DIMENSION_LENGTH, 1, true, 1e4, "3.6 m"},
    [UNIT_INCH] = {"in", {"inch"}, DIMENSION_LENGTH, 0.0254, false, 0, "6 in"},
    [UNIT_MILLIMETRE] = {"mm", {NULL}, DIMENSION_LENGTH, 0.001, false, 0, "40 mm"},
    [UNIT_AWG] = {"AWG", {"awg"}, DIMENSION_CONDUCTOR_SIZE, 1, false, 0, "14 AWG"},
    [UNIT_KCMIL] = {"kcmil", {"MCM"}, DIMENSION_CONDUCTOR_SIZE, 1, false, 0, "250 kcmil"},
    [UNIT_SQUARE_MM] = {"mm2", {"mm\xc2\xb2"}, DIMENSION_CONDUCTOR_SIZE, 1, false, 0, "2.5 mm2"},
    [UNIT_PERCENT] = {"%", {"percent"}, DIMENSION_RATIO, 1, false, 0, "5 %"},
    [UNIT_DEGREE] = {"deg", {"\xc2\xb0"}, DIMENSION_ANGLE, 1, false, 0, "120 deg"},
    [UNIT_CELSIUS] = {"C",
                      {"\xc2\xb0"
                       "C",
                       "degC"},
                      DIMENSION_TEMPERATURE,
                      1,
                      false,
                      0,
                      "75 C"},
    [UNIT_SECOND] = {"s", {NULL}, DIMENSION_TIME, 1, true, 1e4, "0.5 s"},
};

static const struct {
  const char *symbol;
  int8_t power;
} prefixes[] = {
    {"k", 3}, {"M", 6}, {"m", -3}, {"u", -6}, {"\xc2\xb5", -6}, {"\xce\xbc", -6},
};

const char *
unit_symbol(Unit unit)
{
  return units[unit].symbol;
}

bool
unit_same_dimension(Unit a, Unit b)
{
  return units[a].dimension == units[b].dimension;
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
  return unit == UNIT_KCMIL ? size * 0.506707479 : size;
}

double
quantity_in(Quantity q, Unit unit)
{
  double value = quantity_value(q);
  if (!unit_same_dimension(q.unit, unit))
    return NAN;
  if (q.unit == unit)
    return value;
  if (units[unit].dimension != DIMENSION_CONDUCTOR_SIZE)
    return value * units[q.unit].factor / units[unit].factor;
  double area = conductor_area(value, q.unit);
  if (unit == UNIT_SQUARE_MM)
    return area;
  if (unit == UNIT_KCMIL)
    return area / 0.506707479;
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
    if (match_symbol(text, length, &units[u])) {
      *unit = u;
      *prefix = 0;
      return true;
    }
  }
  for (guint p = 0; p < G_N_ELEMENTS(prefixes); p++) {
    size_t n = strlen(prefixes[p].symbol);
    if (length <= n || strncmp(text, prefixes[p].symbol, n) != 0)
      continue;
    for (Unit u = UNIT_NONE + 1; u < UNIT_COUNT; u++) {
      if (units[u].prefixes && match_symbol(text + n, length - n, &units[u])) {
        *unit = u;
        *prefix = prefixes[p].power;
        return true;
      }
    }
  }
  return false;
}

static bool
fail(GError **error, QuantityErrorCode code, const char *text, const char *what, Unit want)
{
  g_autofree char *shown = g_strndup(text, 60);
  g_autofree char *valid = g_utf8_make_valid(shown, -1);
  g_set_error(error, QUANTITY_ERROR, (gint)code, "\xe2\x80\x9c%s\xe2\x80\x9d %s; write it like %s",
              valid, what, units[want].example);
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
  bool is_gauge =
      units[want].dimension == DIMENSION_CONDUCTOR_SIZE && read_gauge(start, &gauge, &gauge_end);
  if (!read_number(start, &q.value, &end) && !is_gauge)
    return fail(error, QUANTITY_ERROR_NUMBER, text, "is not a number", want);
  if (is_gauge && (!end || gauge_end > end))
    end = gauge_end;
  const char *unit_text = skip_space(end);
  size_t length = strlen(unit_text);
  while (length > 0 && g_ascii_isspace(unit_text[length - 1]))
    length--;
  *has_unit = length > 0;
  if (length > 0 && want == UNIT_NONE)
    return fail(error, QUANTITY_ERROR_UNIT, text, "has a unit, but a bare number is expected",
                want);
  if (length > 0 && !read_unit(unit_text, length, &q.unit, &q.prefix))
    return fail(error, QUANTITY_ERROR_UNIT, text, "has an unknown unit", want);
  if (!unit_same_dimension(q.unit, want))
    return fail(error, QUANTITY_ERROR_UNIT, text, "has the wrong unit", want);
  if (q.unit == UNIT_AWG && *has_unit) {
    if (!is_gauge || gauge_end != end)
      return fail(error, QUANTITY_ERROR_NUMBER, text, "is not a wire gauge", want);
    q.value = gauge;
  }
  if (!isfinite(quantity_value(q)))
    return fail(error, QUANTITY_ERROR_NUMBER, text, "is too large", want);
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
    return fail(error, QUANTITY_ERROR_UNIT, text, "has no unit", want);
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
    return fail(error, QUANTITY_ERROR_ORDER, text, "has its ends the wrong way round", want);
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

static const char *
prefix_symbol(int8_t power)
{
  for (guint i = 0; i < G_N_ELEMENTS(prefixes); i++)
    if (prefixes[i].power == power)
      return prefixes[i].symbol;
  return "";
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
  return g_strconcat(number, " ", prefix_symbol(q.prefix), units[q.unit].symbol, NULL);
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

/* Which power of ten reads best for a computed value. */
static int8_t
display_prefix(double magnitude, Unit unit)
{
  const UnitInfo *info = &units[unit];
  if (!info->prefixes || magnitude == 0)
    return 0;
  if (magnitude >= info->kilo_from * 1e3)
    return 6;
  /* A hair below counts, so that 9996 A and 10.0 kA agree on where the switch is. */
  if (magnitude >= info->kilo_from * 0.99995)
    return 3;
  if (unit == UNIT_FARAD || unit == UNIT_HENRY || magnitude < 0.1)
    return (int8_t)(magnitude < 1e-3 ? -6 : magnitude < 1 ? -3 : 0);
  return 0;
}

static char *
display_number(double scaled, int decimals)
{
  char format[16], buffer[G_ASCII_DTOSTR_BUF_SIZE * 8];
  g_snprintf(format, sizeof format, "%%.%df", decimals);
  g_ascii_formatd(buffer, sizeof buffer, format, scaled);
  /* "-0.0" says nothing to a reader. */
  const char *text = buffer;
  if (text[0] == '-' && strspn(text + 1, "0.") == strlen(text + 1))
    text++;
  return g_strdup(text);
}

static int
display_decimals(double scaled, int digits)
{
  double magnitude = fabs(scaled);
  if (magnitude == 0)
    return 0;
  int whole = (int)floor(log10(magnitude)) + 1;
  double half = 0.5 * pow(10.0, whole - digits);
  if (magnitude + half >= pow(10.0, whole))
    whole++;
  return CLAMP(digits - whole, 0, 6);
}

char *
quantity_display(double value, Unit unit, int digits)
{
  const char *symbol = units[unit].symbol;
  const char *space = unit == UNIT_NONE ? "" : " ";
  if (isnan(value))
    return g_strconcat("-", space, symbol, NULL);
  if (isinf(value))
    return g_strconcat(value < 0 ? "-" : "", "unlimited", space, symbol, NULL);
  if (unit == UNIT_AWG || unit == UNIT_KCMIL)
    return quantity_format(quantity_make(value, unit));
  /* Rounding noise of a solution is not a reading. */
  double magnitude =
      fabs(value) < 1e-6 && unit != UNIT_FARAD && unit != UNIT_HENRY ? 0 : fabs(value);
  if (magnitude == 0)
    return g_strconcat("0", space, symbol, NULL);
  int8_t power = display_prefix(magnitude, unit);
  double scaled = value / pow(10.0, power);
  g_autofree char *number = display_number(scaled, display_decimals(scaled, digits));
  return g_strconcat(number, space, prefix_symbol(power), symbol, NULL);
}

char *
quantity_display_range(double low, double high, Unit unit, int digits)
{
  double magnitude = MAX(fabs(low), fabs(high));
  if (!isfinite(low) || !isfinite(high) || magnitude < 1e-6) {
    g_autofree char *a = quantity_display(low, unit, digits);
    g_autofree char *b = quantity_display(high, unit, digits);
    return strcmp(a, b) == 0 ? g_steal_pointer(&a) : g_strconcat(a, "..", b, NULL);
  }
  int8_t power = display_prefix(magnitude, unit);
  double scale = pow(10.0, power);
  int decimals = display_decimals(magnitude / scale, digits);
  g_autofree char *a = display_number(low / scale, decimals);
  g_autofree char *b = display_number(high / scale, decimals);
  if (strcmp(a, b) == 0)
    return g_strconcat(a, " ", prefix_symbol(power), units[unit].symbol, NULL);
  return g_strconcat(a, "..", b, " ", prefix_symbol(power), units[unit].symbol, NULL);
}
