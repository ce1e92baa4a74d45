/* SPDX-License-Identifier: MIT */
/* The canvas: the sheet on its bench, drawn by the same pen code as every export, and the tools
 * that work on it with mouse and keyboard.
 *
 * Signals: "readout" (const char *): where the pointer is and the zoom, for the status line;
 *          "hint" (const char *): what the tool in hand waits for. */
#pragma once

#include "canvas/session.h"
#include <gtk/gtk.h>

G_BEGIN_DECLS

#define CANVAS_TYPE (canvas_get_type())
G_DECLARE_FINAL_TYPE(Canvas, canvas, DOORSHEET, CANVAS, GtkWidget)

/* Takes a reference. Call once. */
void canvas_set_session(Canvas *canvas, Session *session);

/* --- view --- */
void canvas_zoom_by(Canvas *canvas, double factor); /* about the middle of the view */
void canvas_zoom_normal(Canvas *canvas);            /* paper at its real size */
void canvas_zoom_fit(Canvas *canvas);               /* the whole paper */
void canvas_zoom_content(Canvas *canvas);           /* what is drawn */
/* Scrolls (and zooms out when it must) so that the area is in view. */
void canvas_reveal(Canvas *canvas, Rect area);
/* The same for what is selected, when nothing of it is in view. */
void canvas_reveal_selection(Canvas *canvas);
Point canvas_to_sheet(Canvas *canvas, double x, double y);
void canvas_from_sheet(Canvas *canvas, Point p, double *x, double *y);

/* --- tools --- */
/* Takes a new device in hand: it follows the pointer or the arrow keys until it is put down. */
void canvas_place(Canvas *canvas, const PartKind *kind);
/* The same with a nameplate: the sample's values and rows, not its name and place. */
void canvas_place_sample(Canvas *canvas, const Device *sample);
/* Starts landing a conductor by keyboard from the selected device. */
void canvas_land(Canvas *canvas);
/* The same from a terminal that is already chosen: "T1.H2". */
void canvas_land_from(Canvas *canvas, const char *terminal);
/* The next terminal clicked takes the probe. */
void canvas_take_probe(Canvas *canvas, ProbeColour probe);
void canvas_cancel(Canvas *canvas);
bool canvas_is_busy(Canvas *canvas); /* a tool is in hand */
/* Moves what is selected by grid steps. */
void canvas_nudge(Canvas *canvas, int dx, int dy);
/* Selects the next or previous device in sheet order and brings it into view. */
void canvas_walk(Canvas *canvas, int step);
/* Adds the next or previous device in sheet order to the selection. */
void canvas_extend(Canvas *canvas, int step);

/* --- conductors by keyboard (canvas_wires.c) --- */
/* Selects the next or previous conductor of the selected device; with nothing selected, of all. */
void canvas_walk_conductor(Canvas *canvas, int step);
/* Takes an end of the selected conductor in hand. */
void canvas_reland(Canvas *canvas, bool from_end);
/* Takes the stretches of the selected conductor in hand. */
void canvas_bend(Canvas *canvas);
/* Takes all bends of the selected conductors away: they are routed by themselves again. */
void canvas_straighten(Canvas *canvas);

/* --- flags (canvas_flags.c) --- */
typedef struct {
  Point at; /* the place it means */
  guint number;
} CanvasFlag;
/* flags: of CanvasFlag, copied; NULL: none. */
void canvas_set_flags(Canvas *canvas, const GArray *flags);
const GArray *canvas_get_flags(Canvas *canvas); /* borrowed; NULL: none yet */
/* The terminal under the pointer, lent; false: none. */
bool canvas_get_pointed(Canvas *canvas, Landing *borrowed);

G_END_DECLS
