/* SPDX-License-Identifier: MIT */
/* Largest overcurrent protection of transformers of 1000 V and less.
 *
 * Source: NFPA 70 Table 450.3(B) with its notes; 430.72(C) for a transformer that is part of a
 * motor control circuit; 240.4(F) for two-wire secondary conductors. 2020 and 2023 agree. */
#pragma once

#include "tables/standard_ratings.h"

G_BEGIN_DECLS

typedef enum {
  PROTECT_PRIMARY_ONLY,    /* no secondary device needed */
  PROTECT_PRIMARY_OF_BOTH, /* primary, where the secondary has its own device */
  PROTECT_SECONDARY_OF_BOTH,
  PROTECT_COORDINATED_6,  /* maker-fitted coordinated thermal protection, impedance <= 6 % */
  PROTECT_COORDINATED_10, /* the same, over 6 % to 10 % */
  PROTECT_MOTOR_CONTROL   /* 430.72(C)(4) */
} ProtectionMethod;

typedef struct {
  const char *id; /* of the row, for tests */
  ProtectionMethod method;
  double min_amps, max_amps; /* rated current of that winding: min <= I < max */
  double percent;            /* of that current */
  bool round_up;             /* the next higher standard rating may be used (Note 1) */
  const char *clause;
} ProtectionRow;
const ProtectionRow *transformer_protection_rows(guint *n);

/* The row for a winding's rated current. NULL: no row (a motor control transformer of 2 A or more
 * falls back to PROTECT_PRIMARY_ONLY by the caller). */
const ProtectionRow *transformer_protection_row(ProtectionMethod method, double rated_amps);
/* percent x rated current, before any rounding; NAN without a row. */
double transformer_protection_limit(ProtectionMethod method, double rated_amps);
/* The largest device permitted: the limit itself where rounding up is not, else the next standard
 * rating. */
double transformer_protection_largest(ProtectionMethod method, double rated_amps,
                                      CodeEdition edition, RatingDevice device);
/* A rating to buy: the largest standard (or small) fuse, or breaker, that is permitted. NAN: none.
 */
double transformer_protection_rating(ProtectionMethod method, double rated_amps,
                                     CodeEdition edition, RatingDevice device);
/* 240.4(F): largest primary device that protects a two-wire secondary conductor. */
double transformer_secondary_by_primary(double ampacity, double primary_volts,
                                        double secondary_volts);
/* Rated current. phases 1 or 3. */
double transformer_rated_amps(double volt_amperes, double volts, int phases);

G_END_DECLS
