/* SPDX-License-Identifier: MIT */
/* What network.c and quantity.c share. */
#pragma once

#include "network.h"

typedef enum {
  ELEMENT_NONE,
  ELEMENT_SOURCE,
  ELEMENT_JOIN,
  ELEMENT_IMPEDANCE,
  ELEMENT_LOAD,
  ELEMENT_SEGMENT,
  ELEMENT_DELTA
} ElementKind;

typedef struct {
  ElementKind kind;
  guint index; /* of the first; conductors of a line follow one another */
  guint count;
  guint a, b; /* first two nodes */
} Element;

struct Network {
  Circuit *circuit;
  GHashTable *nodes;    /* name -> index */
  GHashTable *elements; /* name -> Element */
  GHashTable *cores;    /* name -> index + 1 */
};

/* Sets error, when there is none yet, and returns false. */
bool network_complain(GError **error, const char *format, ...) G_GNUC_PRINTF(2, 3);
