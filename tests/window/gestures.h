/* SPDX-License-Identifier: MIT */
/* The vocabulary of the random gestures: each tool as a person uses it, with a random hand. */
#pragma once

#include "window/window.h"

typedef struct {
  const char *name;
  guint weight;
  bool edits; /* can change the document */
  void (*make)(DoorsheetWindow *window, GRand *random);
} Gesture;

guint gestures_count(void);
const Gesture *gestures_at(guint index);
/* By weight. */
guint gestures_choose(GRand *random);
