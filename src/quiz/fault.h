/* SPDX-License-Identifier: MIT */
/* The catalogue of faults: reversible changes an instructor makes on purpose, each with the finding
 * it has to cause. The quiz deals them, the tests try them on every sound diagram, and undoing the
 * change restores the document to the byte.
 *
 * A fault is an edit and a check: the edit is tried at one place of the diagram after another, and
 * a place counts only when the check finds it there and nothing else above NOTICE is found but
 * what is known to follow. So no fault depends on a device kind or on one sheet's wiring. */
#pragma once

#include "checks/check.h"

G_BEGIN_DECLS

typedef enum { FAULT_EASY, FAULT_MEDIUM, FAULT_HARD } FaultLevel;

typedef enum {
  FAULT_CUT,       /* a conductor is left out */
  FAULT_SWAP,      /* two conductors exchange their landings on one device */
  FAULT_RELAND,    /* a conductor's end lies on another terminal of the device, or of one like it */
  FAULT_LAND,      /* a conductor too many between two terminals of one device */
  FAULT_GROUND,    /* a terminal is bonded to a ground of its own */
  FAULT_RETURN,    /* a conductor's end lies on a ground instead */
  FAULT_FIELD,     /* a device's field has another value */
  FAULT_SCALE,     /* a device's figure is multiplied */
  FAULT_ROW,       /* a figure in a device's row is multiplied */
  FAULT_WIRE,      /* a conductor's field has another value */
  FAULT_COPY_WIRE, /* a conductor's field has another conductor's value */
  FAULT_COPY_FIELD, /* a device's field has another device's id as its value */
  FAULT_MOVE        /* a device lies far off the paper */
} FaultEdit;

typedef struct {
  const char *name;  /* "lead-left-open" */
  const char *title; /* for the answer key: what was done */
  const char *check; /* the finding it causes */
  const char *also;  /* checks that may follow from it, parted by spaces; NULL: none */
  FaultLevel level;
  FaultEdit edit;
  const char *field; /* of the device, row or conductor */
  const char *value; /* text; NULL: cleared */
  double factor;
} Fault;

extern const Fault fault_table[]; /* NULL name ends it */
const Fault *fault_find(const char *name);

/* The change that makes the fault at the n-th place of a sound diagram where it works; NULL: there
 * are fewer such places. place (nullable): new string, where. The caller owns the change. */
Change *fault_make(const Fault *fault, const Inspection *sound, guint n, char **place);

G_END_DECLS
