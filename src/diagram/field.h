/* SPDX-License-Identifier: MIT */
/* Fields: the one description of a property that reader, writer, schema, nameplate panel, command
 * line and tests share. Tables of FieldSpec are static const. */
#pragma once

#include "base/quantity.h"

G_BEGIN_DECLS

typedef enum {
  FIELD_TEXT, /* any text, at most maximum characters (0: 200) */
  FIELD_NAME, /* text_is_name */
  FIELD_QUANTITY,
  FIELD_RANGE,   /* "110..125 V" */
  FIELD_CHOICE,  /* one of choices */
  FIELD_BOOLEAN, /* "yes" or "no" */
  FIELD_INTEGER,
  FIELD_TERMINALS /* two terminals of the device or sheet with a space between: "L1 GND" */
} FieldType;

typedef struct {
  const char *name;  /* attribute in the file: "fault-current" */
  const char *title; /* label for people: "Available fault current" */
  const char *help;  /* one line: what it is and where to find it */
  FieldType type;
  Unit unit;               /* quantities and ranges */
  double minimum, maximum; /* permitted, inclusive, in unit without prefix; both 0: any.
                              Conductor sizes (UNIT_AWG): in mm2, for AWG runs backwards. */
  const char *initial;     /* default as written in a file; NULL: none (the value may be missing) */
  const char *const *choices; /* NULL-terminated, first need not be the default; words are
                                 marked with N_(), for lists show what they are called */
  bool required;              /* the file must give it; its default, if any, is always written */
  bool is_colour;             /* the text names insulation: "brown", "white/blue" */
  bool refers; /* the text is another device's designation (a contact's coil): it follows
                  when that device is renamed */
} FieldSpec;

/* A property's value. When is_set is false the value holds the default (if the field has one),
 * and has_value tells whether there is any value at all. */
typedef struct {
  bool is_set;    /* given by the user: the writer writes it */
  bool has_value; /* is_set, or the field has a default */
  Quantity low;   /* quantity; low end of a range; integer in low.value */
  Quantity high;  /* high end of a range; equals low for a quantity */
  int choice;     /* index into choices; 0/1 for a boolean */
  char *text;     /* owned; as written in a file, for every type; NULL without a value */
} Value;

#define FIELD_ERROR (field_error_quark())
GQuark field_error_quark(void);
typedef enum { FIELD_ERROR_VALUE, FIELD_ERROR_RANGE, FIELD_ERROR_CHOICE } FieldErrorCode;

/* n fields; values: array of n, first made by value_init_defaults. */
void value_init_defaults(Value *values, const FieldSpec *fields, guint n);
void value_clear_all(Value *values, guint n);
void value_copy_all(Value *to, const Value *from, guint n);
bool value_equal(const FieldSpec *field, const Value *a, const Value *b);

/* text NULL (or an empty FIELD_TEXT without a default): back to the default. The error says what
 * was expected, the permitted range and an example. On failure the value is unchanged. */
bool value_set_text(Value *value, const FieldSpec *field, const char *text, GError **error);
/* As written in a file; NULL when there is no value. New string. */
char *value_dup_text(const Value *value, const FieldSpec *field);
/* Number in the field's unit (converted), without prefix. fallback when there is no value. */
double value_number(const Value *value, const FieldSpec *field, double fallback);

/* Index of the named field or -1. */
int field_index(const FieldSpec *fields, guint n, const char *name);

G_END_DECLS
