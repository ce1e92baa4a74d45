/* SPDX-License-Identifier: MIT */
#include "tables/transformer_protection.h"

#include "base/language.h"

#include <math.h>

/* Table 450.3(B) READ (reprint and two guides that agree). Coordinated rows from MEMORY. 500 %
 * rule READ (training page, chart note); its sub-number (C)(4) is from MEMORY. */
/* clang-format off: one row a line */
static const ProtectionRow rows[] = {
    {"P1", PROTECT_PRIMARY_ONLY, 9, INFINITY, 125, true, N_("NFPA 70 Table 450.3(B) Note 1")},
    {"P2", PROTECT_PRIMARY_ONLY, 2, 9, 167, false, N_("NFPA 70 Table 450.3(B)")},
    {"P3", PROTECT_PRIMARY_ONLY, 0, 2, 300, false, N_("NFPA 70 Table 450.3(B)")},
    {"B1", PROTECT_PRIMARY_OF_BOTH, 9, INFINITY, 250, false, N_("NFPA 70 Table 450.3(B) Note 3")},
    {"B2", PROTECT_PRIMARY_OF_BOTH, 2, 9, 250, false, N_("NFPA 70 Table 450.3(B) Note 3")},
    {"B3", PROTECT_PRIMARY_OF_BOTH, 0, 2, 250, false, N_("NFPA 70 Table 450.3(B) Note 3")},
    {"B4", PROTECT_SECONDARY_OF_BOTH, 9, INFINITY, 125, true, N_("NFPA 70 Table 450.3(B) Note 1")},
    {"B5", PROTECT_SECONDARY_OF_BOTH, 0, 9, 167, false, N_("NFPA 70 Table 450.3(B)")},
    {"C1", PROTECT_COORDINATED_6, 0, INFINITY, 600, false, N_("NFPA 70 Table 450.3(B) Note 3")},
    {"C2", PROTECT_COORDINATED_10, 0, INFINITY, 400, false, N_("NFPA 70 Table 450.3(B) Note 3")},
    {"M1", PROTECT_MOTOR_CONTROL, 0, 2, 500, false, "NFPA 70 430.72(C)(4)"},
};
/* clang-format on */

const ProtectionRow *
transformer_protection_rows(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

const ProtectionRow *
transformer_protection_row(ProtectionMethod method, double rated_amps)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (rows[i].method == method && rated_amps >= rows[i].min_amps && rated_amps < rows[i].max_amps)
      return &rows[i];
  return NULL;
}

double
transformer_protection_limit(ProtectionMethod method, double rated_amps)
{
  const ProtectionRow *row = transformer_protection_row(method, rated_amps);
  return row != NULL ? rated_amps * row->percent / 100.0 : (double)NAN;
}

double
transformer_protection_largest(ProtectionMethod method, double rated_amps, CodeEdition edition,
                               RatingDevice device)
{
  const ProtectionRow *row = transformer_protection_row(method, rated_amps);
  double limit = transformer_protection_limit(method, rated_amps);
  if (row == NULL || !row->round_up)
    return limit;
  double up = standard_rating_up(limit, edition, device);
  return isnan(up) ? limit : up;
}

double
transformer_protection_rating(ProtectionMethod method, double rated_amps, CodeEdition edition,
                              RatingDevice device)
{
  double largest = transformer_protection_largest(method, rated_amps, edition, device);
  if (isnan(largest))
    return NAN;
  return device == RATING_FUSE && largest < 35 ? fuse_rating_down(largest)
                                               : standard_rating_down(largest, edition, device);
}

double
transformer_secondary_by_primary(double ampacity, double primary_volts, double secondary_volts)
{
  return primary_volts > 0 ? ampacity * secondary_volts / primary_volts : (double)NAN;
}

double
transformer_rated_amps(double volt_amperes, double volts, int phases)
{
  return volts > 0 ? volt_amperes / (volts * (phases == 3 ? sqrt(3.0) : 1.0)) : (double)NAN;
}
