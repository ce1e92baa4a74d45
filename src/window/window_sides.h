/* SPDX-License-Identifier: MIT */
/* What stands round the canvas and is not needed for the window's first frame: parts shelf,
 * clipboard pages, meter. Making it takes longer than the whole frame, so the window shows itself
 * first, with room kept for it. */
#pragma once

#include "lesson/deal_page.h"
#include "lesson/exercise_page.h"
#include "window/window.h"

G_BEGIN_DECLS

typedef struct {
  GtkBox *shelf, *clipboard, *meter;
  Canvas *canvas;
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
  DealPage *deal_page;
} WindowSides;

/* Makes them, puts them in their places and lets them follow the session. */
WindowSides window_sides_new(const WindowPlaces *places, Session *session);

/* An exercise puts every page but its own away; any other sheet has the job's five pages,
 * and the instructor's where faults are marked or are to be. */
void window_sides_follow(const WindowSides *sides);

/* The header of the first frame has its buttons but not what opens from them. The class names the
 * template children that are completed later. */
void window_header_bind(GtkWidgetClass *class);
/* Menus, tooltips and the window's own buttons. The menu of sheets opened lately, empty. Borrowed
 * from its button. */
GMenu *window_header_complete(GtkWidget *window);

G_END_DECLS
