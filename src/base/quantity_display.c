/* SPDX-License-Identifier: MIT */
/* Computed values for people: a fitting prefix and number of digits, always with the unit. */
#include "base/quantity_units.h"

#include "base/language.h"

#include <math.h>
#include <string.h>

/* Which power of ten reads best for a computed value. */
static int8_t
display_prefix(double magnitude, Unit unit)
{
  const UnitInfo *info = &quantity_units[unit];
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
  const char *symbol = quantity_units[unit].symbol;
  const char *space = unit == UNIT_NONE ? "" : " ";
  if (isnan(value))
    return g_strconcat("-", space, symbol, NULL);
  if (isinf(value))
    return g_strconcat(value < 0 ? "-" : "", _("unlimited"), space, symbol, NULL);
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
  return g_strconcat(number, space, quantity_prefix_symbol(power), symbol, NULL);
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
    return g_strconcat(a, " ", quantity_prefix_symbol(power), quantity_units[unit].symbol, NULL);
  return g_strconcat(a, "..", b, " ", quantity_prefix_symbol(power), quantity_units[unit].symbol,
                     NULL);
}
