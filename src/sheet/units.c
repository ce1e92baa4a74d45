/* SPDX-License-Identifier: MIT */
#include "sheet/units.h"

#include "base/language.h"

char *
units_length(const Value *value, Units units)
{
  const Unit wanted = units == UNITS_METRIC ? UNIT_METRE : UNIT_FOOT;

  if (!value->has_value)
    return g_strdup("");
  if (value->low.unit == wanted)
    return quantity_format(value->low);
  return quantity_display(quantity_in(value->low, wanted), wanted, 3);
}

/* Three digits, without the unit. New string. */
static char *
area_text(Quantity size, Unit unit)
{
  const double area = quantity_in(size, unit);
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  return g_strdup(g_ascii_formatd(text, sizeof text,
                                  area >= 100  ? "%.0f"
                                  : area >= 10 ? "%.1f"
                                               : "%.2f",
                                  area));
}

char *
units_size(Quantity size, Units units)
{
  const bool is_metric = size.unit == UNIT_SQUARE_MM;
  g_autofree char *written =
      is_metric ? number_format(quantity_value(size)) : quantity_format(size);
  g_autofree char *area = area_text(size, units == UNITS_METRIC ? UNIT_SQUARE_MM : UNIT_KCMIL);

  if (is_metric)
    return units == UNITS_METRIC ? g_strdup_printf("%s mm²", written)
                                 : g_strdup_printf(_("%s mm² (%s kcmil)"), written, area);
  return units == UNITS_METRIC ? g_strdup_printf("%s (%s mm²)", written, area) : g_strdup(written);
}

/* The number that ends right before the text's position, or the position itself: none. */
static const char *
number_before(const char *text, const char *end)
{
  const char *start = end;

  while (start > text && (g_ascii_isdigit(start[-1]) || start[-1] == '.'))
    start--;
  if (start > text && start < end && start[-1] == '-')
    start--;
  return start;
}

static void
append_temperature(GString *out, double celsius, Units units)
{
  char c[G_ASCII_DTOSTR_BUF_SIZE], f[G_ASCII_DTOSTR_BUF_SIZE];

  g_ascii_formatd(c, sizeof c, "%.4g", celsius);
  /* NIST SP 811, appendix B: exact. */
  g_ascii_formatd(f, sizeof f, "%.4g", celsius * 1.8 + 32);
  if (units == UNITS_METRIC)
    g_string_append_printf(out, "%s °C", c);
  else
    g_string_append_printf(out, "%s °F (%s °C)", f, c);
}

char *
units_rating(const char *text, Units units)
{
  if (text == NULL)
    return NULL;
  GString *out = g_string_new(NULL);
  for (const char *at = text; *at != '\0'; at++) {
    const bool sign = g_str_has_prefix(at, " C") && !g_ascii_isalnum(at[2]);
    const char *start = sign ? number_before(text, at) : at;
    if (start == at) {
      g_string_append_c(out, *at);
      continue;
    }
    g_string_truncate(out, out->len - (gsize)(at - start));
    append_temperature(out, g_ascii_strtod(start, NULL), units);
    at++;
  }
  return g_string_free(out, FALSE);
}
