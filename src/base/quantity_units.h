/* SPDX-License-Identifier: MIT */
/* The units table, shared by reading and showing. Only quantity*.c include this. */
#pragma once

#include "base/quantity.h"

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

extern const UnitInfo quantity_units[UNIT_COUNT];

/* Prefixes as read; the first spelling of a power is the one written. */
typedef struct {
  const char *symbol;
  int8_t power;
} UnitPrefix;
extern const UnitPrefix quantity_prefixes[];
extern const guint quantity_n_prefixes;

/* "k" for 3, "" for 0. Static. */
const char *quantity_prefix_symbol(int8_t power);
