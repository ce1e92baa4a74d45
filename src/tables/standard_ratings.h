/* SPDX-License-Identifier: MIT */
/* Standard ampere ratings of fuses and inverse-time circuit breakers, and the small fuses the
 * trade stocks below them.
 *
 * Source: NFPA 70 240.6(A), 2020 and 2023 editions (2023 begins at 10 A for breakers too and no
 * longer names 10 A among the extra fuse ratings). Small fuses: trade practice, no code list. */
#pragma once

#include <glib.h>
#include <stdbool.h>

G_BEGIN_DECLS

typedef enum { CODE_EDITION_2020, CODE_EDITION_2023 } CodeEdition;
/* "2020" and "2023"; anything else is the default, 2023. */
CodeEdition code_edition_parse(const char *text);

typedef enum { RATING_NONE, RATING_FUSE_ONLY, RATING_FUSE_AND_BREAKER } RatingUse;
typedef enum { RATING_FUSE, RATING_BREAKER } RatingDevice;
typedef struct {
  double amps;
  const char *label; /* as marked: "6-1/4" */
  RatingUse use[2];  /* by CodeEdition */
  bool small_fuse;   /* stocked as a small fuse */
} StandardRating;
const StandardRating *standard_ratings(guint *n); /* ascending */

/* The code's own list only. NAN when there is none (above 6000 A, below the smallest). */
double standard_rating_up(double amps, CodeEdition edition, RatingDevice device);
double standard_rating_down(double amps, CodeEdition edition, RatingDevice device);
bool standard_rating_is(double amps, CodeEdition edition, RatingDevice device);
/* With the small fuses too: the largest fuse not above, the smallest not below. NAN: none. */
double fuse_rating_down(double amps);
double fuse_rating_up(double amps);

G_END_DECLS
