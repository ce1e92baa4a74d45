/* SPDX-License-Identifier: MIT */
/* A number with its unit, as a person writes it: "480 V", "10 kA", "250 VA", "14 AWG", "110..125
 * V".
 *
 * Ownership: Quantity and QuantityRange are plain values. Functions returning char * give a new
 * string to free with g_free. Reading and writing are independent of locale: the decimal sign is
 * always a point. Errors are QUANTITY_ERROR with a sentence that shows an example. */
#pragma once

#include <glib.h>
#include <stdbool.h>
#include <stdint.h>

G_BEGIN_DECLS

typedef enum {
  UNIT_NONE,        /* a bare number */
  UNIT_VOLT,        /* V */
  UNIT_AMPERE,      /* A */
  UNIT_VOLT_AMPERE, /* VA */
  UNIT_WATT,        /* W */
  UNIT_VAR,         /* var */
  UNIT_OHM,         /* ohm; also read from the omega sign */
  UNIT_SIEMENS,     /* S */
  UNIT_FARAD,       /* F, mostly "30 uF" */
  UNIT_HENRY,       /* H */
  UNIT_HERTZ,       /* Hz */
  UNIT_HORSEPOWER,  /* hp */
  UNIT_FOOT,        /* ft */
  UNIT_METRE,       /* m */
  UNIT_INCH,        /* in */
  UNIT_MILLIMETRE,  /* mm */
  UNIT_AWG,         /* conductor size; 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3 */
  UNIT_KCMIL,       /* conductor size above 4/0 */
  UNIT_SQUARE_MM,   /* mm2, conductor size */
  UNIT_PERCENT,     /* % */
  UNIT_DEGREE,      /* deg, electrical angle */
  UNIT_CELSIUS,     /* C, also read from the degree sign C */
  UNIT_SECOND,      /* s */
  UNIT_COUNT
} Unit;

typedef struct {
  double value; /* as written, before the prefix: 10 for "10 kA" */
  Unit unit;
  int8_t prefix; /* power of ten of the prefix as written: 3 for k, 6 for M, -3 m, -6 u */
} Quantity;

typedef struct {
  Quantity low, high; /* same unit; low <= high in the base unit; equal for a single figure */
} QuantityRange;

#define QUANTITY_ERROR (quantity_error_quark())
GQuark quantity_error_quark(void);
typedef enum {
  QUANTITY_ERROR_NUMBER, /* not a finite number */
  QUANTITY_ERROR_UNIT,   /* unit missing, unknown or of another dimension */
  QUANTITY_ERROR_ORDER   /* a range whose low end lies above its high end */
} QuantityErrorCode;

/* The unit's symbol as written in a file: "V", "ohm", "mm2". Static. */
const char *unit_symbol(Unit unit);
/* Volts and kilovolts agree, feet and metres agree (both lengths), volts and amperes do not.
 * AWG, kcmil and mm2 agree with one another. */
bool unit_same_dimension(Unit a, Unit b);

/* Makes a quantity without prefix. */
Quantity quantity_make(double value, Unit unit);
/* The number in the unit without prefix: 10000 for "10 kA". For AWG the gauge number itself. */
double quantity_value(Quantity q);
/* The number converted into another unit of the same dimension ("12 ft" in UNIT_METRE: 3.6576).
 * Conductor sizes convert through their area (AWG to mm2 by the ASTM B258 formula).
 * NAN when the dimensions differ. */
double quantity_in(Quantity q, Unit unit);
bool quantity_equal(Quantity a, Quantity b);

/* Reads text. want: the unit whose dimension is expected; UNIT_NONE expects a bare number.
 * White space around and between is free; "nan", "inf", hexadecimal and anything that overflows
 * is refused. text must not be NULL. Returns false and sets error. */
bool quantity_parse(const char *text, Unit want, Quantity *out, GError **error);
/* Reads "110..125 V", "24 V". */
bool quantity_range_parse(const char *text, Unit want, QuantityRange *out, GError **error);

/* Canonical text: reading it back gives the same quantity, bit for bit. "14 AWG", "1/0 AWG". */
char *quantity_format(Quantity q);
char *quantity_range_format(QuantityRange range);

/* For people: a computed value with a fitting number of digits and prefix, always with its unit:
 * 118.37 V -> "118.4 V"; 9996 A -> "10.0 kA"; 0.0123 A -> "12.3 mA"; NAN -> "- V".
 * digits: significant digits, 2 to 6. */
char *quantity_display(double value, Unit unit, int digits);
/* "117.1 V to 119.6 V" written "117.1..119.6 V". */
char *quantity_display_range(double low, double high, Unit unit, int digits);

/* The shortest decimal text that reads back to the same double; no locale. */
char *number_format(double value);
/* "1.5" with so many decimals, at most 9, whatever the locale: g_strdup_printf("%.1f") would write
 * a comma where people do. New string. */
char *number_fixed(double value, int decimals);

G_END_DECLS
