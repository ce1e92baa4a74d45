/* SPDX-License-Identifier: MIT */
/* What stands round the canvas and is not needed for the window's first frame: parts shelf,
 * clipboard pages, meter. Making it takes longer than the whole frame, so the window shows itself
 * first, with room kept for it. */
#pragma once

#include "lesson/exercise_page.h"
#include "window/window.h"

G_BEGIN_DECLS

typedef struct {
  GtkBox *shelf, *clipboard, *meter;
} WindowPlaces;

/* Borrowed from the widgets' parents; all NULL before they are made. */
typedef struct {
  Shelf *shelf;
  GtkStack *pages;
  MeasurePage *measure_page;
  LandPage *land_page;
  CheckPage *check_page;
  ReadPage *read_page;
  PostPage *post_page;
  MeterStrip *meter;
  ExercisePage *exercise_page;
} WindowSides;

/* Makes them, puts them in their places and lets them follow the session. */
WindowSides window_sides_new(const WindowPlaces *places, Session *session);

/* An exercise puts every page but its own away; any other sheet has the job's five pages. */
void window_sides_follow(const WindowSides *sides);

G_END_DECLS
