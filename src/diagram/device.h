/* SPDX-License-Identifier: MIT */
/* Devices, conductors and as-measured readings: reference-counted values that nobody changes once
 * a document holds them. To edit, copy, change the copy and put it through a Change. That makes
 * undo exact, lets a solver thread hold a snapshot, and keeps inputs const. */
#pragma once

#include "diagram/part_kind.h"

G_BEGIN_DECLS

struct Device {
  gatomicrefcount references;
  char *id;               /* unique in its document; text_is_name */
  const PartKind *kind;
  Placement placement;
  Value *values;          /* kind->n_fields */
  GArray *rows;           /* of Value *: each kind->n_row_fields long */
  GArray *terminals;      /* of Terminal; derived from the values by device_derive */
};

/* A new device with defaults and initial rows, one reference, owned by the caller, unplaced. */
Device *device_new(const PartKind *kind, const char *id);
/* A deep copy with one reference, free to be changed. */
Device *device_copy(const Device *device);
Device *device_ref(const Device *device); /* the const is given up: holders never change it */
void device_unref(Device *device);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Device, device_unref)
bool device_equal(const Device *a, const Device *b);

/* Sets by field name; error names device, field and what is allowed. Only on a copy of your own.
 * Call device_derive after the last change. */
bool device_set(Device *device, const char *field, const char *text, GError **error);
bool device_set_row(Device *device, guint row, const char *field, const char *text, GError **error);
void device_add_row(Device *device); /* with defaults */
void device_remove_row(Device *device, guint row);
/* Recomputes terminals and runs kind->validate. */
bool device_derive(Device *device, GError **error);

/* Values by the kind's own field index (parts) or by name (others). */
double device_number(const Device *device, guint field, double fallback);
int device_choice(const Device *device, guint field); /* -1 when there is no value */
bool device_flag(const Device *device, guint field);
const char *device_text(const Device *device, guint field); /* as written; "" when missing; borrowed */
const Value *device_value_named(const Device *device, const char *field); /* NULL: no such field */
double device_number_named(const Device *device, const char *field, double fallback);
guint device_row_count(const Device *device);
const Value *device_row(const Device *device, guint row); /* array of n_row_fields values */
double device_row_number(const Device *device, guint row, guint field, double fallback);
const char *device_row_text(const Device *device, guint row, guint field);
int device_row_choice(const Device *device, guint row, guint field);

/* What people call it: its designation field when the kind has one and it is set, else the id. */
const char *device_designation(const Device *device);

guint device_terminal_count(const Device *device);
const Terminal *device_terminal(const Device *device, guint index);
int device_terminal_index(const Device *device, const char *name); /* -1: none */
Point device_terminal_point(const Device *device, guint index);    /* on the sheet */
int device_terminal_side(const Device *device, guint index);       /* on the sheet, 0..3 */

/* ------------------------------------------------------------------------------------------- */

typedef struct {
  char *device, *terminal; /* ids by name; owned */
} Landing;
Landing landing_make(const char *device, const char *terminal); /* copies; device NULL: earth */
void landing_clear(Landing *landing);
bool landing_equal(const Landing *a, const Landing *b);
char *landing_dup_name(const Landing *landing); /* "T1.X1", "GND" for earth. New string. */

/* Fields of a conductor, in this order (conductor_fields in the same order). */
typedef enum {
  CONDUCTOR_NUMBER,      /* wire number, text */
  CONDUCTOR_COLOUR,      /* insulation: "black", "white/blue" base and tracer, "bare" */
  CONDUCTOR_GAUGE,       /* AWG, kcmil or mm2; missing: unknown, ideal */
  CONDUCTOR_MATERIAL,    /* copper, aluminium */
  CONDUCTOR_LENGTH,      /* missing: unknown, ideal */
  CONDUCTOR_INSULATION,  /* insulation voltage rating, "600 V" */
  CONDUCTOR_TEMPERATURE, /* insulation temperature rating */
  CONDUCTOR_RACEWAY,     /* marking of the raceway, cable or bundle; missing: not said */
  CONDUCTOR_BUNDLED,     /* how many in it carry current; missing: those on the sheet */
  CONDUCTOR_WIRING,      /* factory (solid), field (dashed) */
  CONDUCTOR_CONDITION,   /* sound, loose, broken */
  CONDUCTOR_NOTE,
  CONDUCTOR_FIELD_COUNT
} ConductorField;
extern const FieldSpec conductor_fields[CONDUCTOR_FIELD_COUNT];

typedef struct {
  gatomicrefcount references;
  Landing from, to;
  Value values[CONDUCTOR_FIELD_COUNT];
  GArray *via;             /* of Point, sheet mm: bends between the two landings; empty: automatic */
  guint32 key;             /* identity in its document; 0 until the document gives one */
} Conductor;

Conductor *conductor_new(const char *from_device, const char *from_terminal, const char *to_device,
                         const char *to_terminal);
Conductor *conductor_copy(const Conductor *conductor);
Conductor *conductor_ref(const Conductor *conductor);
void conductor_unref(Conductor *conductor);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Conductor, conductor_unref)
bool conductor_equal(const Conductor *a, const Conductor *b); /* the key does not count */
bool conductor_set(Conductor *conductor, const char *field, const char *text, GError **error);
const char *conductor_text(const Conductor *conductor, ConductorField field); /* "" when missing */
/* "conductor 101" or "conductor FU1.2-T1.H3". New string. */
char *conductor_dup_name(const Conductor *conductor);

/* ------------------------------------------------------------------------------------------- */

typedef enum {
  MEASURED_VALUE, /* volts */
  MEASURED_OHMS,  /* locked out only */
  MEASURED_STATE,
  MEASURED_POINT, /* "TP1": the pair is a test point of the sheet, measured or not */
  MEASURED_DATE,
  MEASURED_NOTE,
  MEASURED_FIELD_COUNT
} MeasuredField;
typedef enum { MEASURED_ENERGIZED, MEASURED_LOCKED_OUT } MeasuredState; /* choices of the field */
extern const FieldSpec measured_fields[MEASURED_FIELD_COUNT];

/* What the technician's meter showed between two terminals; "GND" stands for earth. A pair has at
 * most one of these for each state. */
typedef struct {
  gatomicrefcount references;
  Landing a, b;            /* device NULL: earth */
  Value values[MEASURED_FIELD_COUNT];
  guint32 key;
} Measured;
Measured *measured_new(void);
Measured *measured_copy(const Measured *measured);
Measured *measured_ref(const Measured *measured);
void measured_unref(Measured *measured);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Measured, measured_unref)
bool measured_equal(const Measured *a, const Measured *b); /* the key does not count */
MeasuredState measured_state(const Measured *measured);
/* In either order. */
bool measured_is_between(const Measured *measured, const Landing *a, const Landing *b);
const char *measured_point(const Measured *measured); /* "TP1"; NULL: not pinned. Borrowed */

/* ------------------------------------------------------------------------------------------- */

typedef enum {
  INTENDED_FAULT, /* name in the catalogue of faults */
  INTENDED_AT,    /* name of the place there: "T1.H3, T1.H4" */
  INTENDED_NOTE,
  INTENDED_FIELD_COUNT
} IntendedField;
extern const FieldSpec intended_fields[INTENDED_FIELD_COUNT];

/* A fault an instructor has chosen for quizzes made of this sheet: <expected-fault>. The sheet
 * itself stays sound. Both names are data here; what they mean is judged by the quiz, which says
 * so when the sheet has no such place any more. */
typedef struct {
  gatomicrefcount references;
  Value values[INTENDED_FIELD_COUNT];
} Intended;
Intended *intended_new(void);
Intended *intended_copy(const Intended *intended);
Intended *intended_ref(const Intended *intended);
void intended_unref(Intended *intended);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(Intended, intended_unref)
bool intended_equal(const Intended *a, const Intended *b);
const char *intended_fault(const Intended *intended); /* "" when missing; borrowed */
const char *intended_at(const Intended *intended);

/* ------------------------------------------------------------------------------------------- */

/* The sheet's own data: title block, paper, settings. sheet_data_fields: attributes of the root
 * element; equipment_fields: attributes of <equipment>; exercise_fields: of <exercise>. */
typedef enum {
  SHEET_TITLE, SHEET_NUMBER, SHEET_REVISION, SHEET_AUTHOR, SHEET_DATE, SHEET_PAPER,
  SHEET_ORIENTATION, SHEET_SYMBOLS, SHEET_CODE_EDITION, SHEET_AMBIENT, SHEET_UNITS, SHEET_LANGUAGE,
  SHEET_FIELD_COUNT
} SheetField;
typedef enum {
  EQUIPMENT_TAG, EQUIPMENT_LOCATION, EQUIPMENT_MODEL, EQUIPMENT_NOTE, EQUIPMENT_FIELD_COUNT
} EquipmentField;
typedef enum {
  EXERCISE_NUMBER,     /* of the version, from 1 */
  EXERCISE_LESSON,     /* title of the lesson */
  EXERCISE_SYMPTOM,    /* what somebody noticed */
  EXERCISE_DIFFICULTY, /* easy, medium, hard */
  EXERCISE_FAULTS,     /* how many were made */
  EXERCISE_SET,        /* digest of the master and the order it was dealt by */
  EXERCISE_SEALED,     /* the sound diagram, not to be read by eye (quiz/sealed.h); missing: none */
  EXERCISE_FIELD_COUNT
} ExerciseField;
extern const FieldSpec sheet_data_fields[SHEET_FIELD_COUNT];
extern const FieldSpec equipment_fields[EQUIPMENT_FIELD_COUNT];
extern const FieldSpec exercise_fields[EXERCISE_FIELD_COUNT];

typedef struct {
  gatomicrefcount references;
  Value values[SHEET_FIELD_COUNT];
  Value equipment[EQUIPMENT_FIELD_COUNT];
  Value exercise[EXERCISE_FIELD_COUNT];
} SheetData;
SheetData *sheet_data_new(void);
SheetData *sheet_data_copy(const SheetData *data);
SheetData *sheet_data_ref(const SheetData *data);
void sheet_data_unref(SheetData *data);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(SheetData, sheet_data_unref)
bool sheet_data_equal(const SheetData *a, const SheetData *b);
/* A student's version: it has a number and the digest of its set. */
bool sheet_is_exercise(const SheetData *data);
const char *sheet_exercise_text(const SheetData *data, ExerciseField field); /* "": none */

G_END_DECLS
