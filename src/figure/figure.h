/* SPDX-License-Identifier: MIT */
/* How a diagram looks, wherever it is drawn: symbols, conductors with their colours, landing dots,
 * labels. The canvas and the sheet draw through these functions, so that what you see is what the
 * panel door gets. */
#pragma once

#include "pen/pen.h"
#include "solve/solution.h"

G_BEGIN_DECLS

typedef struct FigureCache FigureCache; /* sheet/figure_cache.h */

typedef struct {
  const Solution *solution; /* nullable: then nothing is marked live */
  bool energized;           /* show potentials and live marks */
  bool labels;              /* designations, lead marks, nameplate lines */
  bool as_printed;          /* no screen aids */
  bool covered;             /* an exercise: fuses look whole, whatever they are inside */
  /* Nullable: routes and label places kept by the caller, already brought up to date with the
   * document. Without one each call compares the document with a cache of the calling thread. */
  const FigureCache *cache;
} FigureStyle;

/* One device with its group (id "device-T1"), symbol and labels. */
void figure_draw_device(Pen *pen, const Document *document, const Device *device,
                        const FigureStyle *style);
/* One conductor: its route with insulation colour, tracer, dash and wire number. */
void figure_draw_conductor(Pen *pen, const Document *document, const Conductor *conductor,
                           const FigureStyle *style);
/* The numbered tags of the sheet's test points; window nullable: those in or across it. */
void figure_draw_points(Pen *pen, const Document *document, const FigureStyle *style,
                        const Rect *window);
/* Only the tags of points that touch one of the devices (moving true), or none of them. */
void figure_draw_points_of(Pen *pen, const Document *document, const FigureStyle *style,
                           const Rect *window, GHashTable *device_ids, bool moving);
/* The insulation's colour in letters ("BLU/WHT") beside the conductor, when there is room: a screen
 * aid for those who do not see the colour. */
void figure_draw_code(Pen *pen, const Document *document, const Conductor *conductor,
                      const FigureStyle *style);

/* --- what is dead on an energized sheet (figure_power.c) --- */
typedef struct FigurePower FigurePower;
/* Borrows the solution, which belongs to this document. */
FigurePower *figure_power_new(const Document *document, const Solution *solution);
void figure_power_free(FigurePower *power);
G_DEFINE_AUTOPTR_CLEANUP_FUNC(FigurePower, figure_power_free)
/* By index in the document: no volts to ground at either end and no current. */
bool figure_power_is_dead_conductor(const FigurePower *power, const Document *document,
                                    guint index);
/* No volts to ground on any terminal, and nothing that carries current lands on one. An outline is
 * never dead. */
bool figure_power_is_dead_device(const FigurePower *power, const Document *document, guint index);
/* Everything: outlines, then conductors, then devices, then test points. */
void figure_draw(Pen *pen, const Document *document, const FigureStyle *style);
/* The same for what lies in or across window only, and for the devices its conductors come from:
 * the dots where they part may lie in it. Nothing is cut off at its edges. */
void figure_draw_within(Pen *pen, const Document *document, const FigureStyle *style, Rect window);

/* Bounds on the sheet of the symbol (without labels), and with labels. */
Rect figure_device_bounds(const Device *device);
Rect figure_device_bounds_labelled(const Device *device);
Rect figure_bounds(const Document *document);

/* The corners of a conductor's route, first and last point at the terminals: through its bends
 * when it has some, else an orthogonal route that leaves each terminal on its own side and goes
 * round devices where it can. New array of Point. */
GArray *figure_route(const Document *document, const Conductor *conductor);
/* An orthogonal route between two points (side 0..3, or -1 for a free end), for rubber bands. */
GArray *figure_route_points(const Document *document, Point from, int from_side, Point to,
                            int to_side);

/* Insulation colour names the program can draw ("black", "white", "red", "blue", "orange",
 * "yellow", "brown", "green", "grey", "violet", "pink", "tan", "bare", base/tracer pairs). */
bool figure_colour(const char *name, PenColour *base, PenColour *tracer, bool *has_tracer);
extern const char *const figure_colour_names[]; /* NULL-terminated base colours */

/* The tag of a test point: black for the red probe, framed for the other. Its box is FIGURE_TAG_MM
 * high. */
#define FIGURE_TAG_MM 3.7
void figure_draw_tag(Pen *pen, Rect box, const char *text, bool red);

G_END_DECLS
