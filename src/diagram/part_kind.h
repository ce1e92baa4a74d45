/* SPDX-License-Identifier: MIT */
/* What a device kind is: one static const table for each kind, in one file of src/parts. Reader,
 * writer, schema, nameplate panel, parts shelf, command line, circuit, sheet and tests read it and
 * never name a particular kind. */
#pragma once

#include "base/geometry.h"

#include "base/language.h"
#include "diagram/field.h"

G_BEGIN_DECLS

typedef struct Device Device; /* diagram/device.h */
typedef struct Pen Pen;       /* pen/pen.h */
typedef struct Stamp Stamp;   /* circuit/stamp.h */

/* The parts shelf's sections, in the order power flows. */
typedef enum {
  GROUP_SUPPLY,
  GROUP_PROTECTION,
  GROUP_TRANSFORMER,
  GROUP_CONTROL,
  GROUP_LOAD,
  GROUP_END,
  GROUP_COUNT
} PartGroup;
const char *part_group_title(PartGroup group); /* "Supply", "Protection", ... */

/* What checks and sheet ask instead of a kind's name. */
typedef enum {
  ROLE_SUPPLY,
  ROLE_DISCONNECT,
  ROLE_BREAKER,
  ROLE_FUSE,
  ROLE_TRANSFORMER,
  ROLE_LOAD,
  ROLE_MOTOR,
  ROLE_CAPACITOR,
  ROLE_COIL,
  ROLE_CONTACT,
  ROLE_SWITCH,
  ROLE_RECEPTACLE,
  ROLE_STRIP,
  ROLE_SPLICE,
  ROLE_CAP,
  ROLE_GROUND,
  ROLE_TEST_POINT,
  ROLE_OUTLINE
} PartRole;

typedef enum {
  TERMINAL_LINE,      /* an ungrounded line of a supply, or the line side of a device */
  TERMINAL_NEUTRAL,   /* the grounded (neutral) terminal of a supply */
  TERMINAL_EARTH,     /* a point that is bonded to earth by being what it is: node 0 */
  TERMINAL_FRAME,     /* a metal frame or enclosure that has to be grounded */
  TERMINAL_LOAD_SIDE, /* load side of a device */
  TERMINAL_PRIMARY,
  TERMINAL_SECONDARY, /* transformer */
  TERMINAL_PLAIN
} TerminalRole;

typedef struct {
  char name[34]; /* "H1", "L1", "1" */
  Point at;      /* in the device's own coordinates, on the grid */
  int side;      /* which way a conductor leaves: 0 right, 1 down, 2 left, 3 up (own) */
  TerminalRole role;
  bool flying;    /* a lead: it has to land somewhere or be capped */
  int row;        /* index of the device's row that made it (a transformer's lead), or -1 */
  guint capacity; /* how many conductors it may hold; 0: 2 */
} Terminal;

/* A pair worth measuring at this device: terminals by index, or PROBE_EARTH for earth. */
#define PROBE_EARTH (-1)
typedef struct {
  int a, b;
  const char *purpose; /* static: "line to line", "across the secondary" */
} Probe;

/* Operating a device on the sheet changes one boolean or choice field ("closed", "blown"). */
typedef struct PartKind {
  const char *name;        /* "transformer": value of kind="" */
  const char *title;       /* "Transformer" */
  const char *designation; /* letters for new devices: "T" */
  const char *help;        /* one line for the shelf */
  PartGroup group;
  PartRole role;
  const FieldSpec *fields;
  guint n_fields;
  /* Repeated child elements (a supply's readings, a transformer's leads); NULL when none. */
  const char *row_name;   /* element name: "lead"; N_(), for sentences show it */
  const char *row_title;  /* "Lead" */
  const char *rows_title; /* "Leads" */
  const FieldSpec *row_fields;
  guint n_row_fields;
  guint max_rows;
  /* Rows a new device starts with: n_initial_rows * n_row_fields texts (NULL: default). */
  const char *const *initial_rows;
  guint n_initial_rows;
  /* Appends Terminal values. Names must be unique in the device. At most 64. */
  void (*terminals)(const Device *device, GArray *terminals);
  /* Symbol in own coordinates; must draw to each terminal's point. The caller draws designation
   * and nameplate text at label positions it chooses from the bounds. */
  void (*draw)(const Device *device, Pen *pen);
  /* The symbol of IEC 60617 where it differs from draw, which follows IEEE 315; NULL: the same. It
   * reaches the same terminals and keeps within half a millimetre of draw's bounds, so that
   * labels and routes do not depend on the choice. */
  void (*draw_iec)(const Device *device, Pen *pen);
  /* A short nameplate line for the sheet: "250 VA", "30 A class CC". New string or NULL. */
  char *(*rating_text)(const Device *device);
  /* Adds circuit branches. NULL: none. */
  void (*stamp)(const Device *device, Stamp *stamp);
  /* Appends Probe values; NULL: none. */
  void (*probes)(const Device *device, GArray *probes);
  /* Consistency among fields that a single field's range cannot express; NULL: none. */
  bool (*validate)(const Device *device, GError **error);
  /* What cannot be right about a row among the others ("H2 has the same volts"), though the device
   * can be held so while its nameplate is being entered. New string; NULL: nothing. NULL: none. */
  char *(*row_problem)(const Device *device, guint row);
  const char *operate_field; /* boolean or choice field toggled by operating it; NULL: none */
} PartKind;

/* NULL-terminated, alphabetical by name. */
typedef const PartKind *const *PartCatalog;
const PartKind *part_catalog_find(PartCatalog catalog, const char *name);

G_END_DECLS
