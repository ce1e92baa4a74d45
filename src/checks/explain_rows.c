/* SPDX-License-Identifier: MIT */
/* Rows of the published tables as the checks use them: printed from the tables themselves. */
#include "checks/explain.h"

#include "base/language.h"
#include "tables/ampacity.h"
#include "tables/class2.h"
#include "tables/colours.h"
#include "tables/egc.h"
#include "tables/nominal_systems.h"
#include "tables/transformer_protection.h"
#include "tables/voltage_ranges.h"

#include <math.h>
#include <string.h>

static const double columns[3] = {60, 75, 90};

/* A number as it reads best, independent of locale. */
static void
add(GString *text, double value)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  g_string_append(text, g_ascii_formatd(buffer, sizeof buffer, "%.6g", value));
}

static void
add_size(GString *text, Quantity size)
{
  g_autofree char *shown = quantity_format(size);
  g_string_append(text, shown);
}

void
explain_rows_taps(GString *text)
{
  static const double leads[] = {120, 208, 240, 277, 480, 600};
  g_string_append(text, _("Supply volts a primary lead suits\n"));
  for (gsize i = 0; i < G_N_ELEMENTS(leads); i++) {
    TapRange range = tap_range(leads[i]);
    add(text, leads[i]);
    g_string_append(text, " V: ");
    add(text, range.low);
    g_string_append(text, _(" to "));
    add(text, range.high);
    g_string_append(text, range.published ? _(" V (published)\n") : _(" V (90 to 110 %)\n"));
  }
}

static const char *
method_text(ProtectionMethod method)
{
  switch (method) {
  case PROTECT_PRIMARY_ONLY:
    return _("primary, no secondary device");
  case PROTECT_PRIMARY_OF_BOTH:
    return _("primary, with secondary device");
  case PROTECT_SECONDARY_OF_BOTH:
    return _("secondary");
  case PROTECT_COORDINATED_6:
  case PROTECT_COORDINATED_10:
    return _("primary, coordinated thermal protection by the maker (not judged)");
  case PROTECT_MOTOR_CONTROL:
    return _("primary, motor control circuit");
  }
  return "";
}

void
explain_rows_protection(GString *text)
{
  guint n;
  const ProtectionRow *rows = transformer_protection_rows(&n);
  g_string_append(text, _("Largest protection, per cent of rated amperes\n"));
  for (guint i = 0; i < n; i++) {
    g_string_append_printf(text, "%s, ", method_text(rows[i].method));
    if (isfinite(rows[i].max_amps)) {
      add(text, rows[i].min_amps);
      g_string_append(text, _(" A to below "));
      add(text, rows[i].max_amps);
      g_string_append(text, " A: ");
    } else {
      add(text, rows[i].min_amps);
      g_string_append(text, _(" A and more: "));
    }
    add(text, rows[i].percent);
    g_string_append_printf(text, " %%%s (%s)\n", rows[i].round_up ? _(", next rating up") : "",
                           rows[i].clause);
  }
}

static void
standard_line(GString *text, const char *title, CodeEdition edition, RatingUse least)
{
  guint n;
  const StandardRating *rows = standard_ratings(&n);
  g_string_append_printf(text, "%s:", title);
  for (guint i = 0; i < n; i++)
    if (rows[i].use[edition] == least) {
      g_string_append(text, text->str[text->len - 1] == ':' ? " " : ", ");
      add(text, rows[i].amps);
    }
  g_string_append(text, " A\n");
}

void
explain_rows_standard(GString *text)
{
  g_string_append(text, _("Standard ratings of 240.6(A)\n"));
  standard_line(text, _("2020, fuses and breakers"), CODE_EDITION_2020, RATING_FUSE_AND_BREAKER);
  standard_line(text, _("2020, fuses only"), CODE_EDITION_2020, RATING_FUSE_ONLY);
  standard_line(text, _("2023, fuses and breakers"), CODE_EDITION_2023, RATING_FUSE_AND_BREAKER);
  standard_line(text, _("2023, fuses only"), CODE_EDITION_2023, RATING_FUSE_ONLY);
}

void
explain_rows_ampacity(GString *text)
{
  guint n;
  const AmpacityRow *rows = ampacity_rows(&n);
  g_string_append(text, _("Table 310.16, A at 60 C, 75 C, 90 C, copper (aluminium); 18 and 16 AWG "
                          "below 90 C by Table 402.5\n"));
  for (guint i = 0; i < n; i++) {
    add_size(text, rows[i].size);
    g_string_append_c(text, ':');
    for (int c = 0; c < 3; c++) {
      double copper = ampacity_amps(rows[i].size, METAL_COPPER, columns[c]);
      double aluminium = rows[i].aluminium[c];
      g_string_append(text, c > 0 ? ", " : " ");
      add(text, copper);
      if (aluminium > 0) {
        g_string_append(text, " (");
        add(text, aluminium);
        g_string_append_c(text, ')');
      }
    }
    g_string_append_c(text, '\n');
  }
}

void
explain_rows_air(GString *text)
{
  g_string_append(text, _("Table 310.15(B)(1), factor for air up to, by insulation of 60 C, 75 C, "
                          "90 C\n"));
  for (double air = 10; air <= 85; air += 5) {
    add(text, air);
    g_string_append(text, " C:");
    for (int c = 0; c < 3; c++) {
      double factor = ampacity_ambient_factor(air, columns[c]);
      g_string_append(text, c > 0 ? ", " : " ");
      if (factor > 0)
        add(text, factor);
      else
        g_string_append(text, _("not permitted"));
    }
    g_string_append_c(text, '\n');
  }
}

void
explain_rows_bundle(GString *text)
{
  g_string_append(text,
                  _("Table 310.15(C)(1), factor for conductors that carry current together\n"));
  for (guint count = 1, first = 1; count <= 41; count++) {
    double factor = ampacity_bundle_factor(count);
    if (count < 41 && ampacity_bundle_factor(count + 1) == factor)
      continue;
    g_string_append_printf(text, count > 40 ? _("%u and more: ") : "%u to %u: ", first, count);
    add(text, factor);
    g_string_append_c(text, '\n');
    first = count + 1;
  }
}

void
explain_rows_small(GString *text)
{
  static const int gauges[] = {18, 16, 14, 12, 10};
  g_string_append(text, _("240.4(D), largest device, copper\n"));
  for (gsize i = 0; i < G_N_ELEMENTS(gauges); i++) {
    Quantity size = quantity_make(gauges[i], UNIT_AWG);
    add_size(text, size);
    g_string_append(text, ": ");
    add(text, ampacity_small_conductor_limit(size, METAL_COPPER));
    g_string_append(text, " A\n");
  }
}

void
explain_rows_grounding(GString *text)
{
  guint n;
  const GroundingRow *rows = egc_rows(&n);
  g_string_append(text, _("Table 250.122, device not over: copper (aluminium)\n"));
  for (guint i = 0; i < n; i++) {
    add(text, rows[i].device_amps);
    g_string_append(text, " A: ");
    add_size(text, rows[i].copper);
    g_string_append(text, " (");
    add_size(text, rows[i].aluminium);
    g_string_append(text, ")\n");
  }
}

void
explain_rows_class2(GString *text)
{
  g_string_append(text, _("Chapter 9 Table 11(A), largest nameplate of a source that limits itself "
                          "(partly from memory)\n"));
  static const double volts[] = {12, 20, 24, 30};
  for (gsize i = 0; i < G_N_ELEMENTS(volts); i++) {
    Class2Limit limit;
    if (!class2_limit(true, volts[i], &limit))
      continue;
    add(text, volts[i]);
    g_string_append(text, " V: ");
    add(text, limit.nameplate_va);
    g_string_append(text, _(" VA, short-circuit current at most "));
    add(text, limit.max_amps);
    g_string_append(text, " A\n");
  }
}

void
explain_rows_colours(GString *text)
{
  guint n;
  const ColourRule *rows = colour_rules(&n);
  g_string_append(text, _("Colours with a rule\n"));
  for (guint i = 0; i < n; i++)
    if (strcmp(rows[i].set, "NEC") == 0)
      g_string_append_printf(text, "%s: %s (%s)\n", _(rows[i].role), rows[i].colours,
                             rows[i].clause);
}

void
explain_rows_supply(GString *text)
{
  guint n;
  const VoltageRange *rows = voltage_ranges(&n);
  g_string_append(text, _("ANSI C84.1 ranges (from memory, cross-checked)\n"));
  for (guint i = 0; i < n; i++) {
    if (!g_str_has_prefix(rows[i].item, "C84.1"))
      continue;
    g_string_append_printf(text, _("%s %s, %s range %s: "), rows[i].item, rows[i].pair,
                           _(rows[i].kind), rows[i].range);
    add(text, rows[i].low);
    g_string_append(text, _(" to "));
    add(text, rows[i].high);
    g_string_append(text, " V\n");
  }
}

void
explain_rows_systems(GString *text)
{
  guint n;
  const NominalPair *rows = nominal_pairs(&n);
  g_string_append(text, _("Systems and their readings\n"));
  for (guint i = 0; i < n; i++) {
    bool first = i == 0 || strcmp(rows[i - 1].system, rows[i].system) != 0;
    if (first)
      g_string_append_printf(text, "%s%s:", i > 0 ? "\n" : "", _(rows[i].system));
    g_string_append_printf(text, "%s %s ", first ? "" : ",", rows[i].pair);
    if (rows[i].nominal < 0) {
      g_string_append(text, _("not fixed"));
    } else {
      add(text, rows[i].nominal);
      g_string_append(text, " V");
    }
  }
  g_string_append_c(text, '\n');
}
