/* SPDX-License-Identifier: MIT */
/* What to assume of a dry-type transformer whose nameplate does not say: regulation, reactance to
 * resistance ratio, no-load current and its power factor, by rated volt-amperes.
 *
 * Sources, row by row in the table: makers' published notes on small control transformers (a 24 V
 * secondary stands at 28 to 29 V without load; a 120 V secondary of a small compensated unit up to
 * 2 kVA at about 135 V; power and lighting units regulate to 2 to 4 %) and an open- and
 * short-circuit test of a 1 kVA 230/115 V unit in an open course text (8.7 A at 19.1 V and 42.3 W
 * shorted; 0.45 A and 30 W open). Rows marked "from memory" join those points. All are meant for
 * a first answer: the nameplate or a reading of the open secondary always comes first. */
#pragma once

#include <stdbool.h>

typedef struct {
  double rating;          /* VA */
  double regulation;      /* per unit at rated load, power factor 1 */
  double x_over_r;        /* of the winding impedance */
  double no_load_current; /* per unit of rated current */
  double no_load_power_factor;
  const char *source; /* static: where the row comes from */
} TransformerDefaults;

/* Up to this rating the turns are taken to be compensated, so that rated load gives rated volts
 * (published: factors are large below 5 kVA). */
#define TRANSFORMER_COMPENSATED_UP_TO 5000.0

/* Interpolated in the logarithm of the rating, held at the ends. rating NAN or <= 0: as the
 * smallest. source is that of the nearer row. */
TransformerDefaults transformer_defaults(double rating);

/* VA assumed when a nameplate has no rating: the common small control unit (common practice, no
 * source). */
#define TRANSFORMER_ASSUMED_RATING 50.0
