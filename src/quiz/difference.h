/* SPDX-License-Identifier: MIT */
/* Private to the quiz: what is other in a faulty diagram than in the sound one it was made from.
 * Documents share what was not changed, so this is told by comparing pointers; what is not other
 * need not be solved or looked at again. */
#pragma once

#include "diagram/document.h"

G_BEGIN_DECLS

typedef struct {
  bool electrical;    /* false: no volt, ampere or ohm can be other */
  guint *conductors;  /* sound conductor -> its index in the faulty diagram; G_MAXUINT: gone */
  bool *seen_device;  /* by sound index: it or what lies on it may look other */
  bool *seen_conductor;
} Difference;

void difference_init(Difference *difference, const Document *sound, const Document *faulty);
void difference_clear(Difference *difference);

G_END_DECLS
