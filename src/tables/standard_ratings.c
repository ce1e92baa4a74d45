/* SPDX-License-Identifier: MIT */
#include "tables/standard_ratings.h"

#include <math.h>

/* Code columns READ except the 2020 wording of the extra fuse ratings (2017 READ, 2020 from
 * MEMORY). Small fuses marked MEMORY are ratings of the class CC and midget series known to the
 * trade; the others appear in a published chart of primary fuses. */
#define NO RATING_NONE
#define FUSE RATING_FUSE_ONLY
#define BOTH RATING_FUSE_AND_BREAKER
/* clang-format off: one row a line */
static const StandardRating rows[] = {
    {0.1, "1/10", {NO, NO}, true},
    {0.125, "1/8", {NO, NO}, true},   /* MEMORY */
    {0.15, "15/100", {NO, NO}, true}, /* MEMORY */
    {0.1875, "3/16", {NO, NO}, true}, /* MEMORY */
    {0.2, "2/10", {NO, NO}, true},
    {0.25, "1/4", {NO, NO}, true},
    {0.3, "3/10", {NO, NO}, true},
    {0.4, "4/10", {NO, NO}, true},
    {0.5, "1/2", {NO, NO}, true},
    {0.6, "6/10", {NO, NO}, true},
    {0.75, "3/4", {NO, NO}, true},
    {0.8, "8/10", {NO, NO}, true},
    {1, "1", {FUSE, FUSE}, true},
    {1.125, "1-1/8", {NO, NO}, true}, /* MEMORY */
    {1.25, "1-1/4", {NO, NO}, true},
    {1.4, "1-4/10", {NO, NO}, true},
    {1.5, "1-1/2", {NO, NO}, true},
    {1.6, "1-6/10", {NO, NO}, true},
    {1.8, "1-8/10", {NO, NO}, true}, /* MEMORY */
    {2, "2", {NO, NO}, true},
    {2.25, "2-1/4", {NO, NO}, true},
    {2.5, "2-1/2", {NO, NO}, true},
    {2.8, "2-8/10", {NO, NO}, true},
    {3, "3", {FUSE, FUSE}, true},
    {3.2, "3-2/10", {NO, NO}, true}, /* MEMORY */
    {3.5, "3-1/2", {NO, NO}, true},
    {4, "4", {NO, NO}, true},
    {4.5, "4-1/2", {NO, NO}, true}, /* MEMORY */
    {5, "5", {NO, NO}, true},
    {5.6, "5-6/10", {NO, NO}, true}, /* MEMORY */
    {6, "6", {FUSE, FUSE}, true},
    {6.25, "6-1/4", {NO, NO}, true},
    {7, "7", {NO, NO}, true},
    {7.5, "7-1/2", {NO, NO}, true}, /* MEMORY */
    {8, "8", {NO, NO}, true},
    {9, "9", {NO, NO}, true},       /* MEMORY */
    {10, "10", {FUSE, BOTH}, true}, /* editions differ */
    {12, "12", {NO, NO}, true},
    {15, "15", {BOTH, BOTH}, true},
    {17.5, "17-1/2", {NO, NO}, true}, /* MEMORY */
    {20, "20", {BOTH, BOTH}, true},
    {25, "25", {BOTH, BOTH}, true},
    {30, "30", {BOTH, BOTH}, true},
    {35, "35", {BOTH, BOTH}, false},
    {40, "40", {BOTH, BOTH}, false},
    {45, "45", {BOTH, BOTH}, false},
    {50, "50", {BOTH, BOTH}, false},
    {60, "60", {BOTH, BOTH}, false},
    {70, "70", {BOTH, BOTH}, false},
    {80, "80", {BOTH, BOTH}, false},
    {90, "90", {BOTH, BOTH}, false},
    {100, "100", {BOTH, BOTH}, false},
    {110, "110", {BOTH, BOTH}, false},
    {125, "125", {BOTH, BOTH}, false},
    {150, "150", {BOTH, BOTH}, false},
    {175, "175", {BOTH, BOTH}, false},
    {200, "200", {BOTH, BOTH}, false},
    {225, "225", {BOTH, BOTH}, false},
    {250, "250", {BOTH, BOTH}, false},
    {300, "300", {BOTH, BOTH}, false},
    {350, "350", {BOTH, BOTH}, false},
    {400, "400", {BOTH, BOTH}, false},
    {450, "450", {BOTH, BOTH}, false},
    {500, "500", {BOTH, BOTH}, false},
    {600, "600", {BOTH, BOTH}, false},
    {601, "601", {FUSE, FUSE}, false},
    {700, "700", {BOTH, BOTH}, false},
    {800, "800", {BOTH, BOTH}, false},
    {1000, "1000", {BOTH, BOTH}, false},
    {1200, "1200", {BOTH, BOTH}, false},
    {1600, "1600", {BOTH, BOTH}, false},
    {2000, "2000", {BOTH, BOTH}, false},
    {2500, "2500", {BOTH, BOTH}, false},
    {3000, "3000", {BOTH, BOTH}, false},
    {4000, "4000", {BOTH, BOTH}, false},
    {5000, "5000", {BOTH, BOTH}, false},
    {6000, "6000", {BOTH, BOTH}, false},
};
/* clang-format on */

CodeEdition
code_edition_parse(const char *text)
{
  return g_strcmp0(text, "2020") == 0 ? CODE_EDITION_2020 : CODE_EDITION_2023;
}

const StandardRating *
standard_ratings(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

static bool
allows(const StandardRating *row, CodeEdition edition, RatingDevice device)
{
  RatingUse use = row->use[edition == CODE_EDITION_2020 ? 0 : 1];
  return use == RATING_FUSE_AND_BREAKER || (use == RATING_FUSE_ONLY && device == RATING_FUSE);
}

/* Computed limits carry rounding: 3 x 0.4 A is not quite 1.2 A. */
static bool
at_most(double a, double b)
{
  return a <= b * (1 + 1e-9);
}

double
standard_rating_up(double amps, CodeEdition edition, RatingDevice device)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (at_most(amps, rows[i].amps) && allows(&rows[i], edition, device))
      return rows[i].amps;
  return NAN;
}

double
standard_rating_down(double amps, CodeEdition edition, RatingDevice device)
{
  for (gsize i = G_N_ELEMENTS(rows); i-- > 0;)
    if (at_most(rows[i].amps, amps) && allows(&rows[i], edition, device))
      return rows[i].amps;
  return NAN;
}

bool
standard_rating_is(double amps, CodeEdition edition, RatingDevice device)
{
  double up = standard_rating_up(amps, edition, device);
  return !isnan(up) && at_most(up, amps);
}

double
fuse_rating_down(double amps)
{
  for (gsize i = G_N_ELEMENTS(rows); i-- > 0;)
    if (at_most(rows[i].amps, amps))
      return rows[i].amps;
  return NAN;
}

double
fuse_rating_up(double amps)
{
  for (gsize i = 0; i < G_N_ELEMENTS(rows); i++)
    if (at_most(amps, rows[i].amps))
      return rows[i].amps;
  return NAN;
}
