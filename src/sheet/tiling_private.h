/* SPDX-License-Identifier: MIT */
/* What the tiling's own files share. */
#pragma once

#include "sheet/tiling.h"

G_BEGIN_DECLS

/* Where a conductor crosses from one part into another. */
typedef struct {
  guint part, other; /* the reference stands on part and names other */
  int side;          /* of part: 0 right, 1 down, 2 left, 3 up */
  Point at;          /* canvas */
  char *name;        /* wire number or where the conductor comes from */
} Reference;

struct Tiling {
  double scale;
  Rect area;
  GArray *across, *down; /* of double: edges of the parts, canvas */
  guint *pages;          /* by row * columns + column: part number + 1, 0: nothing there */
  GArray *cells;         /* of guint: by part, the index into pages */
  GArray *references;    /* of Reference */
};

G_END_DECLS
